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
