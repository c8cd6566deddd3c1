//! How hard she lies to her rode, and whether it lies straight, as far as can be told from outside.
//!
//! A chain on the ground is drawn straight by about 0.7 of what it takes to drag it along; below that it lies in
//! bends, and she may go out by them without her anchor moving. Our own wind tells the load: for a yacht from
//! [`STRAIGHT_WIND`] on. A ship's chain is heavier for her windage. With a chain of 20 mm and 0.35 mm for every
//! metre of her length, a drag area of 0.016 of its square and five times the depth out in 27 m of water, the same
//! share takes 19 m/s at 60 m of length and 14.5 m/s at 200 m (`H = ½ ρ C A V²` against `0.7 μ w g`, friction 0.7;
//! [`crate::catenary`]). Ships with more windage reach it earlier, so twice a yacht's wind is taken, 13 m/s.
//!
//! The wind alone does not do it. After a turn her chain lies in a bend that a fresh wind takes an hour to draw out;
//! a stream against the wind holds her off; and the wind that straightens one boat's chain leaves another's in
//! heaps. So she is taken to lie straight only if she has not been turned for a while, heads into the wind, and has
//! kept her distance from her anchor: a boat on a bent chain comes and goes by many metres with every gust.
//!
//! Each threshold is lower for leaving than for entering, so that a wind about it does not change the word with
//! every gust. Left out: rope, which lies in no bends on the ground; two anchors.

use super::Vessel;
use crate::position::Offset;
use crate::units::{Bearing, Speed};
use crate::watch::neighbours::felt::{Felt, SLACK_WIND, STRAIGHT_WIND, TURNED_DEG};
use crate::watch::neighbours::stations::Load;

/// Turn of her head against its mean of forty minutes beyond which she has swung, degrees: three reports of a boat
/// that sheers 30° to either side wander 17°.
const HEAD_TURNED_DEG: f64 = 45.0;
/// Share of a turn below which it is over.
const TURN_IS_OVER: f64 = 0.67;
/// Share of a wind at which a load is left again: gusts of five minutes wander by a tenth.
const WIND_IS_LEFT: f64 = 0.88;
/// Between mean wind and mean head, degrees: beyond it a stream holds her. A yacht's mean of forty minutes is
/// within 20°.
const OFF_WIND_DEG: f64 = 40.0;
/// Longest gap between reports that counts as time spent as before, s.
const LONGEST_GAP_S: f64 = 900.0;
/// Most time that is remembered, s.
const MOST_S: f64 = 7200.0;
/// Time of a straightening wind on one side after which a bend is drawn out, s. Longer would be safer, and blind
/// for the first hour of every wind.
const DRAWN_OUT_S: f64 = 1800.0;
/// Scatter of her distance from her anchor below which she lies straight, m, where the wind is fresh, and where it
/// is between: the fix errs by 1.0 to 1.5 m, single strays left out.
const SCATTER_FRESH_M: f64 = 3.0;
const SCATTER_BETWEEN_M: f64 = 2.5;
/// What each metre from antenna to bow adds to it: a heading within 2.3°.
const SCATTER_OF_LEVER: f64 = 0.04;
/// Length up to which a vessel is a yacht, and from which a ship, m.
const YACHT_M: f64 = 20.0;
const SHIP_M: f64 = 60.0;
/// Wind that a ship needs over what a yacht needs.
const SHIPS_WIND: f64 = 2.0;
/// Of a vessel of unknown length: how many of her lengths she swings on, from a berth on little scope.
const LENGTHS_OUT: f64 = 2.5;
/// Length of one of whom nothing is known yet, m.
const USUAL_LENGTH_M: f64 = 12.0;

/// How hard she lies, from report to report.
#[derive(Clone, Copy, Debug)]
pub(super) struct Drawn {
    pub(super) load: Load,
    /// Wind or head has turned of late.
    pub(super) turned: bool,
    /// Time in a straightening wind since the last turn, s; slack time undoes it.
    straight_s: f64,
    /// She does not head into the wind.
    off_wind: bool,
}

impl Default for Drawn {
    fn default() -> Self {
        Self { load: Load::Unknown, turned: false, straight_s: 0.0, off_wind: false }
    }
}

/// What she shows of it herself.
#[derive(Clone, Copy, Debug)]
pub(super) struct Shown {
    /// Seconds since her last report.
    pub(super) passed_s: f64,
    /// Mean of her heading.
    pub(super) mean_head: Option<Offset>,
    /// How far her head is turned from it, degrees.
    pub(super) turned_deg: f64,
    /// Wind that she needs over what a yacht needs.
    pub(super) heavier: f64,
}

impl Drawn {
    /// The next report.
    pub(super) fn feel(&mut self, felt: &Felt, shown: &Shown) {
        let over = if self.turned { TURN_IS_OVER } else { 1.0 };
        self.turned = match felt.wind {
            Some(_) => over * TURNED_DEG < felt.turned_deg,
            None => over * HEAD_TURNED_DEG < shown.turned_deg,
        };
        self.load = self.load_in(felt.wind.map(|(speed, _)| speed), shown.heavier);
        let from = felt.wind.and_then(|(_, from)| from);
        let off_deg =
            shown.mean_head.zip(from).map(|(head, from)| head.bearing().to(from).as_degrees().abs());
        self.off_wind = off_deg.is_some_and(|deg| OFF_WIND_DEG < deg);
        let passed_s = shown.passed_s.min(LONGEST_GAP_S);
        self.straight_s = match self.load {
            _ if self.turned || self.off_wind => 0.0,
            Load::Straight => (self.straight_s + passed_s).min(MOST_S),
            Load::Unknown => self.straight_s,
            Load::Slack => (self.straight_s - passed_s).max(0.0),
        };
    }

    fn load_in(&self, wind: Option<Speed>, heavier: f64) -> Load {
        let from =
            |threshold: Speed, held: bool| threshold * (heavier * if held { WIND_IS_LEFT } else { 1.0 });
        match wind {
            _ if self.turned => Load::Slack,
            None => Load::Unknown,
            Some(speed) if from(STRAIGHT_WIND, self.load == Load::Straight) <= speed => Load::Straight,
            Some(speed) if from(SLACK_WIND, self.load != Load::Slack) <= speed => Load::Unknown,
            Some(_) => Load::Slack,
        }
    }
}

impl Vessel {
    /// She feels the wind.
    pub(super) fn feel_load(&mut self) {
        let passed_s = self.motion.since_before_s().unwrap_or(0.0);
        let shown = Shown {
            passed_s,
            mean_head: self.mean_head,
            turned_deg: self.turned_deg,
            heavier: self.heavier(),
        };
        self.drawn.feel(&self.felt, &shown);
    }

    /// Her rode lies straight, as far as can be told; nothing tells it without the wind.
    pub(super) fn lies_straight(&self) -> bool {
        let scatter_m = self.circles.scatter_m(&self.stations);
        let lever_m = SCATTER_OF_LEVER * self.hull.map_or(0.0, |hull| hull.ahead_m);
        let keeps_within = |most_m: f64| scatter_m.is_some_and(|metres| metres < most_m.hypot(lever_m));
        match self.drawn.load {
            Load::Straight => DRAWN_OUT_S <= self.drawn.straight_s && keeps_within(SCATTER_FRESH_M),
            Load::Unknown => {
                self.felt.wind.is_some() && !self.drawn.off_wind && keeps_within(SCATTER_BETWEEN_M)
            }
            Load::Slack => false,
        }
    }

    /// How many times the wind of a yacht it takes to draw her chain straight: one to two. The circle of a vessel of
    /// unknown length says what she is.
    pub(super) fn heavier(&self) -> f64 {
        let by_circle = || self.circles.best().map_or(USUAL_LENGTH_M, |best| best.radius_m / LENGTHS_OUT);
        let length_m = self.hull.map_or_else(by_circle, |hull| hull.ahead_m + hull.astern_m);
        let ship = ((length_m - YACHT_M) / (SHIP_M - YACHT_M)).clamp(0.0, 1.0);
        1.0 + (SHIPS_WIND - 1.0) * ship
    }

    /// The way her lee lies by the wind, where it is strong enough to set her.
    pub(super) fn lee_by_wind(&self) -> Option<Bearing> {
        let (speed, from) = self.felt.wind?;
        (SLACK_WIND <= speed && !self.drawn.turned).then_some(from?.reversed())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn felt(speed_ms: f64, turned_deg: f64) -> Felt {
        let wind = Some((Speed::metres_per_second(speed_ms), Some(Bearing::degrees(230.0))));
        Felt { wind, turned_deg, doublings: 0.0 }
    }

    fn shown(head_deg: f64, heavier: f64) -> Shown {
        let mean_head = Some(Offset::along(Bearing::degrees(head_deg), crate::units::Length::metres(1.0)));
        Shown { passed_s: 180.0, mean_head, turned_deg: 0.0, heavier }
    }

    #[test]
    fn a_wind_about_a_threshold_does_not_change_the_load_with_every_gust() {
        let mut drawn = Drawn::default();
        let loads: Vec<Load> = (0..20)
            .map(|i| {
                drawn.feel(&felt(if i % 2 == 0 { 6.6 } else { 6.2 }, 0.0), &shown(230.0, 1.0));
                drawn.load
            })
            .collect();
        assert!(loads.iter().all(|load| *load == Load::Straight), "{loads:?}");
        drawn.feel(&felt(5.0, 0.0), &shown(230.0, 1.0));
        assert_eq!(drawn.load, Load::Unknown);
    }

    #[test]
    fn a_ship_needs_twice_the_wind_of_a_yacht() {
        let load = |speed_ms: f64, heavier: f64| {
            let mut drawn = Drawn::default();
            drawn.feel(&felt(speed_ms, 0.0), &shown(230.0, heavier));
            drawn.load
        };
        assert_eq!((load(7.5, 1.0), load(7.5, 2.0)), (Load::Straight, Load::Slack));
        assert_eq!((load(11.0, 2.0), load(13.1, 2.0)), (Load::Unknown, Load::Straight));
    }

    #[test]
    fn a_turn_and_a_stream_begin_the_drawing_out_anew() {
        let drawn_out = |turned_deg: f64, head_deg: f64| {
            let mut drawn = Drawn::default();
            for _ in 0..20 {
                drawn.feel(&felt(9.0, 0.0), &shown(230.0, 1.0));
            }
            drawn.feel(&felt(9.0, turned_deg), &shown(head_deg, 1.0));
            drawn.straight_s
        };
        assert!(DRAWN_OUT_S <= drawn_out(0.0, 230.0));
        assert!(drawn_out(60.0, 230.0) < 1.0 && drawn_out(0.0, 120.0) < 1.0);
    }
}
