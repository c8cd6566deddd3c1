//! The way that Doppler tells, added up: `D(t) = ∫ v dt`, by trapezia between reports.
//!
//! A receiver's Doppler is nearly free of what bends its fixes (reflections off the shore and the rig), so the way it
//! adds up to over seconds is good to centimetres where the fixes are good to metres. Three things spoil it. A gap:
//! then what she did meanwhile is not known. A coarse step: 0.1 kn is 3 m a minute, as much as a slow drag; way below
//! one and a half steps is left out. A receiver that holds still what moves slowly and says nothing but zero: five
//! zeros on end are taken for that, and left out. After each, the sum begins a new stretch, and nothing is said
//! across the joint.

use jiff::Timestamp;

use super::observation::Way;
use super::own_clock::seconds;
use crate::position::Offset;
use crate::units::{Length, Speed};

/// Reports further apart than this leave a gap, s. Five seconds are a sixth of the quickest sheer's half period: a
/// trapezium misses `t³/12` of the change of her acceleration, 5 cm of half a metre a second sheered off in a minute,
/// where Doppler's own noise adds up to 18 cm.
const GAP_S: f64 = 6.0;
/// Way below so many of its steps is left out: the rounding is then as large as the way.
const LEAST_STEPS: f64 = 1.5;
/// A step finer than this rounds less than Doppler's own noise of 0.03 m/s, kn.
const FINE_STEP_KN: f64 = 0.06;
/// So many zeros on end are a receiver that holds still.
const HELD_ZEROS: u32 = 5;

/// The way added up, in stretches.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct DopplerWay {
    stretch: u32,
    total: Offset,
    last: Option<(Timestamp, Offset)>,
    zeros: u32,
}

/// A point on the way added up.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Milestone {
    stretch: u32,
    total: Offset,
}

impl DopplerWay {
    /// A report comes.
    pub(super) fn hear(&mut self, at: Timestamp, way: &Way) {
        self.zeros = if way.speed <= Speed::ZERO { self.zeros.saturating_add(1) } else { 0 };
        let Some(velocity) = self.velocity(way) else {
            self.break_off();
            return;
        };
        match self.last {
            Some((before, was)) if seconds(at, before) <= GAP_S => {
                let half_s = 0.5 * seconds(at, before).max(0.0);
                self.total = plus_scaled(plus_scaled(self.total, was, half_s), velocity, half_s);
            }
            Some(_) => self.stretch = self.stretch.wrapping_add(1),
            None => {}
        }
        self.last = Some((at, velocity));
    }
    /// Nothing is said across this joint.
    pub(super) fn break_off(&mut self) {
        if self.last.take().is_some() {
            self.stretch = self.stretch.wrapping_add(1);
        }
    }
    /// Where the sum stands at an instant; nothing in a gap.
    pub(super) fn at(&self, at: Timestamp) -> Option<Milestone> {
        let (before, velocity) = self.last?;
        let since_s = seconds(at, before);
        let total = plus_scaled(self.total, velocity, since_s);
        (since_s.abs() <= GAP_S).then_some(Milestone { stretch: self.stretch, total })
    }
    /// Metres east and north a second, if the report is worth anything.
    fn velocity(&self, way: &Way) -> Option<Offset> {
        let coarse = FINE_STEP_KN <= way.step.as_knots();
        if !way.speed.is_finite()
            || HELD_ZEROS <= self.zeros
            || (coarse && way.speed < LEAST_STEPS * way.step)
        {
            return None;
        }
        match way.course {
            Some(course) => Some(Offset::along(course, Length::metres(way.speed.as_metres_per_second()))),
            None => (way.speed <= way.step).then_some(Offset::ORIGIN),
        }
    }
}

impl Milestone {
    /// The way from an earlier point, if no joint lies between.
    pub(super) fn since(self, earlier: Self) -> Option<Offset> {
        (self.stretch == earlier.stretch).then(|| self.total - earlier.total)
    }
    /// The mean of points of one stretch; nothing if they are of several, or there are none.
    pub(super) fn mean(points: impl Iterator<Item = Option<Self>>) -> Option<Self> {
        let (mut sum, mut number, mut stretch) = (Offset::ORIGIN, 0.0, None);
        for point in points {
            let point = point?;
            if *stretch.get_or_insert(point.stretch) != point.stretch {
                return None;
            }
            sum = sum + point.total;
            number += 1.0;
        }
        let total = Offset { east_m: sum.east_m / number, north_m: sum.north_m / number };
        stretch.map(|stretch| Self { stretch, total })
    }
}

fn plus_scaled(to: Offset, velocity_ms: Offset, by_s: f64) -> Offset {
    Offset { east_m: to.east_m + velocity_ms.east_m * by_s, north_m: to.north_m + velocity_ms.north_m * by_s }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Bearing;
    use crate::watch::own_clock::after;

    fn way(speed_kn: f64, course_deg: f64, step_kn: f64) -> Way {
        let course = Some(Bearing::degrees(course_deg));
        Way { speed: Speed::knots(speed_kn), course, step: Speed::knots(step_kn) }
    }

    fn second(seconds: f64) -> Timestamp {
        after(Timestamp::UNIX_EPOCH, seconds)
    }

    #[test]
    fn a_knot_eastward_for_an_hour_is_a_mile_east() {
        let mut sum = DopplerWay::default();
        for s in 0..=3_600 {
            sum.hear(second(f64::from(s)), &way(1.0, 90.0, 0.01));
        }
        let begin = Milestone { stretch: 0, total: Offset::ORIGIN };
        let went = sum.at(second(3_600.0)).unwrap().since(begin).unwrap();
        assert!((went.east_m - 1852.0).abs() < 1e-6 && went.north_m.abs() < 1e-6);
    }

    #[test]
    fn nothing_is_said_across_a_gap_a_coarse_step_or_a_receiver_that_holds_still() {
        for spoils in [0, 1, 2] {
            let mut sum = DopplerWay::default();
            sum.hear(second(0.0), &way(0.5, 90.0, 0.1));
            let before = sum.at(second(0.0)).unwrap();
            match spoils {
                0 => {}
                1 => sum.hear(second(1.0), &way(0.1, 90.0, 0.1)),
                _ => (1..=5).for_each(|s| sum.hear(second(f64::from(s) / 5.0), &way(0.0, 90.0, 0.01))),
            }
            let later_s = if spoils == 0 { 2.0 * GAP_S } else { 2.0 };
            sum.hear(second(later_s), &way(0.5, 90.0, 0.1));
            assert_eq!(sum.at(second(later_s)).unwrap().since(before), None, "{spoils}");
        }
    }
}
