//! Where a vessel was seen to lie: a few dozen places, spread over her stay.
//!
//! Her reports come every few seconds or every quarter of an hour, for an hour or for a week. What the fit of her
//! circle needs is where she lay on each heading, and that costs no more than 48 places. When they are full, the
//! one that its neighbours in time can best spare goes, and leaves them its weight.

use crate::position::Offset;

/// Places kept for one vessel: two and a half hours of reports every three minutes before any is spared, and a fit of
/// them costs some microseconds.
pub(super) const MOST_STATIONS: usize = 48;
/// The latest places, never spared: they say where she lies now.
const LATEST: usize = 12;
/// Time after which two reports tell two things of how she lies, s: her sheer turns in minutes, the error of a
/// receiver wanders over 200 to 1500 s (Sensors 20 (2020) 6050, whose stationary receivers fit a Gauss-Markov
/// error).
pub(super) const APART_S: f64 = 600.0;
/// Time below which a report adds nothing worth a place of its own, s: the shortest interval of a vessel at anchor is
/// three minutes (ITU-R M.1371-5, table 1).
const CLOSEST_S: f64 = 150.0;

/// How hard she lay to her rode.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Load {
    /// Too light to draw the chain straight on the ground, or she had just swung: she lies anywhere inside her reach.
    Slack,
    /// Nobody knows the wind.
    Unknown,
    /// Drawn straight: she lies at her reach.
    Straight,
}

/// The way from her anchor to her, as far as heading or wind tell it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Lee {
    /// East part of the unit vector.
    pub(super) east: f32,
    /// North part.
    pub(super) north: f32,
    /// One standard deviation, rad.
    pub(super) spread: f32,
}

/// One place where she lay.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Station {
    /// Seconds since she was first heard.
    pub(super) at_s: f64,
    /// Metres east and north of the origin of her sheet.
    pub(super) east_m: f32,
    pub(super) north_m: f32,
    /// Which way her anchor lies, if told.
    pub(super) lee: Option<Lee>,
    /// How hard she lay.
    pub(super) load: Load,
    /// What share of an independent sight of her it is worth.
    pub(super) weight: f32,
}

impl Station {
    pub(super) fn place(&self) -> Offset {
        Offset { east_m: f64::from(self.east_m), north_m: f64::from(self.north_m) }
    }
}

/// The places where she lay since she came to lie here, in order of time.
#[derive(Clone, Debug, Default)]
pub(super) struct Stations {
    kept: Vec<Station>,
}

impl Stations {
    pub(super) fn clear(&mut self) {
        self.kept.clear();
    }

    #[cfg(test)]
    pub(super) fn bytes(&self) -> usize {
        self.kept.capacity() * size_of::<Station>()
    }

    pub(super) fn all(&self) -> &[Station] {
        &self.kept
    }

    /// Seconds from the first place to the last.
    pub(super) fn span_s(&self) -> f64 {
        match (self.kept.first(), self.kept.last()) {
            (Some(first), Some(last)) => last.at_s - first.at_s,
            _ => 0.0,
        }
    }

    /// The middle of all places.
    pub(super) fn middle(&self) -> Offset {
        let n = self.kept.len().max(1) as f64;
        let sum = self.kept.iter().map(Station::place).fold(Offset::ORIGIN, |a, b| a + b);
        Offset { east_m: sum.east_m / n, north_m: sum.north_m / n }
    }

    /// Adds a place, weighed by the time since the one before.
    pub(super) fn add(&mut self, mut station: Station) {
        let gap_s = self.kept.last().map_or(APART_S, |last| station.at_s - last.at_s);
        if gap_s < CLOSEST_S {
            return;
        }
        station.weight = single((gap_s / APART_S).min(1.0));
        if self.kept.len() == MOST_STATIONS {
            self.spare_one();
        }
        if self.kept.capacity() == 0 {
            self.kept.reserve_exact(MOST_STATIONS);
        }
        self.kept.push(station);
    }

    fn spare_one(&mut self) {
        let older = self.kept.len().saturating_sub(LATEST);
        let gap = |i: usize| self.kept[i + 1].at_s - self.kept[i - 1].at_s;
        let Some(i) = (1..older).min_by(|&a, &b| gap(a).total_cmp(&gap(b))) else {
            return;
        };
        let spared = self.kept.remove(i);
        let before = &mut self.kept[i - 1];
        before.weight = (before.weight + spared.weight).min(1.0);
    }
}

/// A figure in half the memory: to a millimetre within 8 km.
#[expect(
    clippy::cast_possible_truncation,
    reason = "the seven digits of a single are enough for what is fitted"
)]
pub(super) const fn single(value: f64) -> f32 {
    value as f32
}

#[cfg(test)]
mod tests {
    use super::*;

    fn station(at_s: f64) -> Station {
        Station { at_s, east_m: 1.0, north_m: 2.0, lee: None, load: Load::Unknown, weight: 0.0 }
    }

    #[test]
    fn a_week_of_reports_is_kept_in_forty_eight_places_that_span_it() {
        let mut stations = Stations::default();
        for i in 0..3360 {
            stations.add(station(f64::from(i) * 180.0));
        }
        assert_eq!(stations.all().len(), MOST_STATIONS);
        assert!((stations.span_s() - 3359.0 * 180.0).abs() < 1e-9);
        let widest =
            stations.all().windows(2).map(|pair| pair[1].at_s - pair[0].at_s).fold(0.0_f64, f64::max);
        // 604,620 s over 36 older places: even would be 16,800 s; sparing keeps within a factor of four of even.
        assert!(widest < 4.0 * 16_800.0, "{widest}");
    }

    #[test]
    fn two_reports_within_seconds_are_one_place() {
        let mut stations = Stations::default();
        stations.add(station(0.0));
        stations.add(station(1.0));
        assert_eq!(stations.all().len(), 1);
    }
}
