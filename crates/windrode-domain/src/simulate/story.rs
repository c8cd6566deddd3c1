//! What wind and stream do in the course of a night: told by knots, straight lines between them.

/// The mean wind at an instant.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WindKnot {
    /// Seconds from the beginning.
    pub at_s: f64,
    /// Mean wind at 10 m, m/s.
    pub mean_ms: f64,
    /// Where it comes from, degrees true; not wrapped: 170 to 350 veers, 170 to −10 backs.
    pub from_deg: f64,
}

/// The wind of a night.
#[derive(Clone, Debug, PartialEq)]
pub struct WindStory {
    /// In order of time; before the first and after the last it stays.
    pub knots: Vec<WindKnot>,
    /// Turbulence intensity: standard deviation of the gusts over the mean.
    pub turbulence: f64,
    /// How wildly its direction gusts: 1 for the usual 5° and 7°.
    pub direction_gusts: f64,
    /// Slow wandering of the mean, as a share of it: spread and memory, s.
    pub mean_wanders: (f64, f64),
    /// Slow wandering of the direction: spread in degrees and memory, s.
    pub direction_wanders: (f64, f64),
}

/// The stream at an instant.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StreamKnot {
    /// Seconds from the beginning.
    pub at_s: f64,
    /// Eastward, m/s.
    pub east_ms: f64,
    /// Northward, m/s.
    pub north_ms: f64,
}

/// The height of the tide over what it was at the beginning: a sine.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TideStory {
    /// Half the range, m.
    pub half_range_m: f64,
    /// From high water to high water, s.
    pub period_s: f64,
    /// Phase at the beginning, rad: nothing is mean level, rising.
    pub phase_rad: f64,
}

impl TideStory {
    /// No tide.
    pub const NONE: Self = Self { half_range_m: 0.0, period_s: 44_714.0, phase_rad: 0.0 };

    /// Rise over the level at the beginning, m.
    pub fn rise_m(&self, at_s: f64) -> f64 {
        let angle = self.phase_rad + core::f64::consts::TAU * at_s / self.period_s;
        self.half_range_m * (angle.sin() - self.phase_rad.sin())
    }
    /// Least and greatest rise that any instant can have, m.
    pub fn bounds_m(&self) -> (f64, f64) {
        let begun_m = self.half_range_m * self.phase_rad.sin();
        (-self.half_range_m - begun_m, self.half_range_m - begun_m)
    }
}

/// Height of the water at an instant, over what it was at the beginning, where a tide is foretold by a table.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WaterKnot {
    /// Seconds from the beginning.
    pub at_s: f64,
    /// Rise, m.
    pub rise_m: f64,
}

/// Where a story stands: the knot last passed, so that going on costs nothing.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Place(usize);

impl Place {
    /// The share of the way between the knot last passed and the next, with both; the last knot alone at the end.
    fn between<'a, K>(
        &mut self,
        knots: &'a [K],
        at_s: f64,
        when: impl Fn(&K) -> f64,
    ) -> Option<(&'a K, &'a K, f64)> {
        while knots.get(self.0 + 1).is_some_and(|next| when(next) <= at_s) {
            self.0 += 1;
        }
        let from = knots.get(self.0)?;
        let to = knots.get(self.0 + 1).unwrap_or(from);
        let span_s = when(to) - when(from);
        let share = if 0.0 < span_s { ((at_s - when(from)) / span_s).clamp(0.0, 1.0) } else { 0.0 };
        Some((from, to, share))
    }
    /// Mean (m/s) and direction (degrees) at an instant; calm without knots.
    pub(super) fn wind(&mut self, story: &WindStory, at_s: f64) -> (f64, f64) {
        self.between(&story.knots, at_s, |k| k.at_s).map_or((0.0, 0.0), |(a, b, share)| {
            (a.mean_ms + share * (b.mean_ms - a.mean_ms), a.from_deg + share * (b.from_deg - a.from_deg))
        })
    }
    /// Rise of the water at an instant, m; none without knots.
    pub(super) fn water(&mut self, knots: &[WaterKnot], at_s: f64) -> f64 {
        self.between(knots, at_s, |k| k.at_s)
            .map_or(0.0, |(a, b, share)| a.rise_m + share * (b.rise_m - a.rise_m))
    }
    /// Stream east and north at an instant, m/s; none without knots.
    pub(super) fn stream(&mut self, knots: &[StreamKnot], at_s: f64) -> (f64, f64) {
        self.between(knots, at_s, |k| k.at_s).map_or((0.0, 0.0), |(a, b, share)| {
            (a.east_ms + share * (b.east_ms - a.east_ms), a.north_ms + share * (b.north_ms - a.north_ms))
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_story_stays_before_its_first_knot_and_after_its_last() {
        let knot = |at_s, mean_ms, from_deg| WindKnot { at_s, mean_ms, from_deg };
        let story = WindStory {
            knots: vec![knot(100.0, 4.0, 170.0), knot(200.0, 8.0, 350.0)],
            turbulence: 0.0,
            direction_gusts: 0.0,
            mean_wanders: (0.0, 1.0),
            direction_wanders: (0.0, 1.0),
        };
        let mut place = Place::default();
        let told: Vec<_> = [0.0, 100.0, 150.0, 200.0, 1e6].map(|at_s| place.wind(&story, at_s)).into();
        assert_eq!(told, [(4.0, 170.0), (4.0, 170.0), (6.0, 260.0), (8.0, 350.0), (8.0, 350.0)]);
    }

    #[test]
    fn the_tide_rises_from_where_it_was() {
        let tide = TideStory { half_range_m: 1.5, period_s: 44_714.0, phase_rad: 0.7 };
        let (low_m, high_m) = tide.bounds_m();
        assert!(tide.rise_m(0.0).abs() < 1e-12);
        for minute in 0..800 {
            let rise_m = tide.rise_m(f64::from(minute) * 60.0);
            assert!(low_m <= rise_m && rise_m <= high_m);
        }
        assert!((high_m - low_m - 3.0).abs() < 1e-12);
    }
}
