//! How the rode lies on the ground, as far as the bow tells: bent or drawn straight, and whether she is turning.
//!
//! A chain that lies in a bend holds her nearer than her reach, until a load draws it out. What it may still give is
//! told by the ground's friction: she can lie as far inside as [`super::super::reach::Reach::bend_m`] of half the load
//! allows (half: windage off by a third, friction by a third). A load that she has lain under on this side of her
//! anchor has drawn out what it can; only a **greater load than ever on this side** can draw out more, and then by no
//! more than the difference of the two bends. So much, and for a while, the radius is doubted, by all hypotheses alike:
//! way outward with the greatest gust yet is no evidence, the same way under a load that she has borne before is.
//!
//! Left out: a stream draws out a bend as well, and nothing aboard tells its load. A boat that does not point to where
//! her anchor should be, for minutes, is held by something else than the wind: then nothing is taken for straight.

use super::{Look, well_inside};
use crate::watch::estimate::Radial;

/// Over how long the direction in which she lies is averaged, s: two or three sheers.
const LIES_S: f64 = 300.0;
/// Cosine of 26°: a sheer goes 23° to a side once in a hundred (simulation), so further off the mean she is turning.
const TURNS: f64 = 0.9;
/// Over how long it is averaged whether she points to her anchor, s: a sheer and more.
const POINTS_S: f64 = 180.0;
/// A boat that rides to her rode points to her anchor with a mean cosine of 0.75 and more, sheering 40° to either side.
const POINTS: f64 = 0.6;
/// Most that a bend is taken to give, m: of those seen in simulation after a shift 19 of 20.
const GIVES_MOST_M: f64 = 4.0;
/// One deviation of the radius for each metre that a bend may have given: it gives between nothing and all.
const GIVES_SPREAD: f64 = 0.5;
/// What it may have given is forgotten in so long, s: by then she has lain under the greater load.
const GIVES_S: f64 = 600.0;
/// So far the doubt of a radius goes, m: half of the most that a bend gives.
const DOUBT_MOST_M: f64 = 2.0;
/// Lying well inside for so long under a load that draws the rode straight, she is at the edge: the drop was marked
/// badly or the rode is shorter than told, s.
const LAIN_S: f64 = 600.0;
/// Once she has met an edge for so long, the place of the anchor is known well enough, s, and inside is inside.
const MET_S: f64 = 300.0;
/// Cosine of 18°: steady in direction, as is asked of lying so.
const STEADY: f64 = 0.95;
/// Cosine of 37°: as near to downwind of her anchor as is asked of lying so.
const DOWNWIND: f64 = 0.8;
/// Cosine of 60°: so far off the wind's way something else has hold of her.
const OFF_WIND: f64 = 0.5;

/// What is remembered of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lie {
    /// Mean direction from the anchor to her.
    mean_along: [f64; 2],
    /// Mean cosine between her heading and the way to her anchor.
    points: f64,
    /// Seconds of lying well inside, the rode taut: forgotten while it is not.
    lain_s: f64,
    /// Seconds of lying at the edge since the estimate began.
    met_s: f64,
    /// The least bend that any load has left on this side, m.
    bend_left_m: f64,
    /// What greater loads may have drawn out of late, m.
    drawn_out_m: f64,
    /// Way outward by Doppler at the last sample, m/s; without end where it is not known.
    pub(super) going_ms: f64,
}

impl Lie {
    /// Of a boat that lies in a direction from her anchor.
    pub(super) const fn begun(along: [f64; 2]) -> Self {
        Self {
            mean_along: along,
            points: 1.0,
            lain_s: 0.0,
            met_s: 0.0,
            bend_left_m: f64::INFINITY,
            drawn_out_m: 0.0,
            going_ms: f64::INFINITY,
        }
    }

    /// Takes a sample; `came_in` where she has sailed inward of late, `straight` the load over what surely draws the
    /// rode straight.
    pub(super) fn see(&mut self, look: &Look, still: &Radial, came_in: bool, straight: f64) {
        let e = still.along;
        let share = |over_s: f64| 1.0 - (-look.seconds / over_s).exp();
        for (mean, now) in self.mean_along.iter_mut().zip(e) {
            *mean += share(LIES_S) * (now - *mean);
        }
        if let Some(ahead) = look.ahead {
            self.points += share(POINTS_S) * (-dot(ahead, e) - self.points);
        }
        self.going_ms = look.way_ms.map_or(f64::INFINITY, |way| dot(way, e));
        let lies = look.downwind.map_or(-1.0, |way| dot(way, e));
        if MET_S < self.met_s || lies < OFF_WIND || (well_inside(still) && came_in) {
            self.lain_s = 0.0;
        } else if STEADY < self.cos_from_mean(e) && DOWNWIND < lies && 1.0 < straight {
            self.lain_s = (self.lain_s + look.seconds).min(1.5 * LAIN_S);
        } else {
            self.lain_s *= (-look.seconds / LAIN_S).exp();
        }
    }

    /// She is turning to another side: what she shows is the chain's sweep, no edge.
    pub(super) fn turns(&self, still: &Radial) -> bool {
        self.cos_from_mean(still.along) < TURNS
    }

    /// She does not point to where her anchor should be: the wind's load is not what she lies to.
    pub(super) fn astray(&self) -> bool {
        self.points < POINTS
    }

    /// Nothing but a wrong anchor or radius explains that she lies where she lies.
    pub(super) fn has_lain(&self) -> bool {
        LAIN_S <= self.lain_s
    }

    /// She lies at the edge.
    pub(super) fn meets(&mut self, seconds: f64) {
        if !self.has_lain() {
            self.met_s += seconds;
        }
    }

    /// There was slack, or she is on another side: a new bend, under the load of now.
    pub(super) const fn bend_anew(&mut self, look: &Look) {
        self.bend_left_m = look.bend_m;
    }

    /// By how much the radius is to be doubted since the load is greater than any on this side: a deviation and the
    /// most that it may come to, m.
    pub(super) fn gives_m(&mut self, look: &Look) -> (f64, f64) {
        let before_m = self.drawn_out_m;
        if look.bend_m < self.bend_left_m {
            let gave_m = if self.bend_left_m.is_finite() { self.bend_left_m - look.bend_m } else { 0.0 };
            self.drawn_out_m = (before_m + gave_m).min(GIVES_MOST_M);
            self.bend_left_m = look.bend_m;
        }
        let given_m2 = (self.drawn_out_m * self.drawn_out_m - before_m * before_m).max(0.0);
        self.drawn_out_m *= (-look.seconds / GIVES_S).exp();
        (GIVES_SPREAD * given_m2.sqrt(), DOUBT_MOST_M)
    }

    fn cos_from_mean(&self, along: [f64; 2]) -> f64 {
        let length = self.mean_along[0].hypot(self.mean_along[1]);
        dot(self.mean_along, along) / length.max(1e-6)
    }

    /// Every number that it carries, for the memory.
    pub(super) fn each(&mut self, visit: &mut dyn FnMut(&mut f64)) {
        self.mean_along.iter_mut().for_each(&mut *visit);
        visit(&mut self.points);
        visit(&mut self.lain_s);
        visit(&mut self.met_s);
        visit(&mut self.bend_left_m);
        visit(&mut self.drawn_out_m);
        visit(&mut self.going_ms);
    }
}

pub(super) fn dot(a: [f64; 2], b: [f64; 2]) -> f64 {
    a[0] * b[0] + a[1] * b[1]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::watch::estimate::{Filter, Noise, Step};

    /// She lies `out_m` from her anchor in a direction, heads somewhere, and half the load leaves such a bend.
    fn look(along_deg: f64, out_m: f64, ahead_deg: f64, bend_m: f64) -> (Look, Radial) {
        let unit = |deg: f64| [deg.to_radians().sin(), deg.to_radians().cos()];
        let noise = Noise::by(true, true, true);
        let bow = unit(along_deg).map(|e| out_m * e);
        let still = Filter::begun([0.0; 2], [1.0, 0.0, 1.0], 1.0, [0.0; 2], &noise);
        let step = Step { keep: 1.0, taken_m: [0.0; 2], variance_m2: 0.0 };
        let look = Look {
            seconds: 5.0,
            bow,
            way_ms: Some([0.0; 2]),
            reach_m: 40.0,
            band_m: 1.0,
            taut: 3.0,
            bend_m,
            downwind: Some(unit(along_deg)),
            ahead: Some(unit(ahead_deg)),
            went: [0.0; 2],
            reached_m: 0.0,
            noise,
            place_m2: 0.06,
            step,
            came_in_m: 2.5,
            since_burst_s: 1e9,
            radius_most_m: 4.0,
        };
        (look, still.look(bow, 40.0, 0.06))
    }

    #[test]
    fn only_a_load_greater_than_any_on_this_side_may_draw_out_more() {
        let mut lie = Lie::begun([0.0, 1.0]);
        let mut gives = |bend_m: f64| lie.gives_m(&look(0.0, 40.0, 180.0, bend_m).0).0;
        assert!(gives(6.0) <= 0.0, "the first load has drawn out what it can");
        let first_m = gives(4.0);
        assert!((0.9..1.1).contains(&first_m), "half of two metres: {first_m}");
        assert!(gives(5.0) <= 0.0 && gives(4.0) <= 0.0, "a load that she has borne draws out nothing");
        assert!(0.0 < gives(3.0));
    }

    #[test]
    fn what_a_bend_may_have_given_is_bounded_and_forgotten() {
        let mut lie = Lie::begun([0.0, 1.0]);
        lie.gives_m(&look(0.0, 40.0, 180.0, 60.0).0);
        let (spread_m, most_m) = lie.gives_m(&look(0.0, 40.0, 180.0, 0.0).0);
        assert!((spread_m - GIVES_SPREAD * GIVES_MOST_M).abs() < 1e-9 && spread_m <= most_m);
        (0..1000).for_each(|_| {
            lie.gives_m(&look(0.0, 40.0, 180.0, 0.0).0);
        });
        assert!(lie.drawn_out_m < 0.01);
    }

    #[test]
    fn a_sheer_is_no_turn_and_another_side_is() {
        let mut lie = Lie::begun([0.0, 1.0]);
        for i in 0..720 {
            let along_deg = 23.0 * (f64::from(i) * 5.0 / 120.0 * core::f64::consts::TAU).sin();
            let (look, still) = look(along_deg, 40.0, along_deg + 180.0, 0.0);
            lie.see(&look, &still, false, 2.0);
            assert!(!lie.turns(&still), "{along_deg}");
        }
        let (look, still) = look(45.0, 40.0, 225.0, 0.0);
        lie.see(&look, &still, false, 2.0);
        assert!(lie.turns(&still));
    }

    #[test]
    fn a_boat_that_points_elsewhere_for_minutes_is_held_by_something_else() {
        let mut lie = Lie::begun([0.0, 1.0]);
        let mut after = |minutes: u32, ahead_deg: f64| {
            for _ in 0..12 * minutes {
                let (look, still) = look(0.0, 40.0, ahead_deg, 0.0);
                lie.see(&look, &still, false, 2.0);
            }
            lie.astray()
        };
        assert!(!after(1, 90.0), "a minute of it is a sheer");
        assert!(after(5, 90.0));
        assert!(!after(10, 180.0 + 40.0));
    }

    #[test]
    fn lying_well_inside_a_taut_rode_for_long_is_an_edge_until_one_is_met() {
        let mut lie = Lie::begun([0.0, 1.0]);
        let (look, still) = look(0.0, 30.0, 180.0, 0.0);
        let lying =
            |lie: &mut Lie, straight: f64| (0..150).for_each(|_| lie.see(&look, &still, false, straight));
        lying(&mut lie, 0.7);
        assert!(!lie.has_lain(), "a rode that may lie in a bend explains it");
        lying(&mut lie, 1.5);
        assert!(lie.has_lain());
        lie.lain_s = 0.0;
        lie.meets(1.1 * MET_S);
        lying(&mut lie, 1.5);
        assert!(!lie.has_lain());
    }
}
