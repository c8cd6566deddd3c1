//! A boat under engine, as her helmsman takes her: no forces, only way and heading that change no faster than a boat's.
//!
//! ```text
//! u' = (u_ordered − u)/τu      r' = (r_wanted − r)/τr      r_wanted = a · heading error, held below r_most
//! v' = −v/τv                                               u ahead, v to starboard (m/s), r turning (rad/s)
//! ```
//!
//! So a motion that was taken over from a ride goes on without a jump in place, way or heading. Left out: wind and
//! stream under engine, leeway, the propeller's walk, the pivot's going forward as she gathers way.
//!
//! Times are a yacht's of 10 to 15 m: common practice, no source.

use crate::position::Offset;
use crate::ride::Motion;
use crate::units::Bearing;

/// Step of the motion, s.
const STEP_S: f64 = 0.25;
/// Steps in a second.
const STEPS: u32 = 4;
/// She takes up an ordered speed over this, s.
const AHEAD_S: f64 = 6.0;
/// She loses way across over this, s.
const ACROSS_S: f64 = 4.0;
/// She takes up a turn over this, s.
const TURN_S: f64 = 1.5;
/// Turning wanted for an error of heading, 1/s.
const TURNS_A_RADIAN: f64 = 0.2;
/// Fastest turn, rad/s: 6° a second.
const TURNS_MOST_RAD_S: f64 = 0.105;

/// What the helmsman wants.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Order {
    /// Her heading.
    pub(super) heading: Bearing,
    /// Ahead, m/s; astern is negative.
    pub(super) ahead_ms: f64,
}

/// One second of an order.
pub(super) fn second(mut motion: Motion, order: Order) -> Motion {
    for _ in 0..STEPS {
        let off_rad = turn(motion.heading_rad, order.heading);
        let wanted_rad_s = (TURNS_A_RADIAN * off_rad).clamp(-TURNS_MOST_RAD_S, TURNS_MOST_RAD_S);
        motion.turning_rad_s += STEP_S * (wanted_rad_s - motion.turning_rad_s) / TURN_S;
        motion.ahead_ms += STEP_S * (order.ahead_ms - motion.ahead_ms) / AHEAD_S;
        motion.starboard_ms -= STEP_S * motion.starboard_ms / ACROSS_S;
        motion.heading_rad += STEP_S * motion.turning_rad_s;
        let (sin, cos) = motion.heading_rad.sin_cos();
        let (u, v) = (motion.ahead_ms, motion.starboard_ms);
        motion.centre = motion.centre
            + Offset { east_m: STEP_S * (u * sin + v * cos), north_m: STEP_S * (u * cos - v * sin) };
    }
    motion
}

/// From a heading to a wanted one the shorter way, rad, clockwise.
fn turn(from_rad: f64, to: Bearing) -> f64 {
    let raw = to.as_radians() - from_rad;
    let (sin, cos) = raw.sin_cos();
    sin.atan2(cos)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at_rest(heading_deg: f64) -> Motion {
        Motion {
            centre: Offset::ORIGIN,
            heading_rad: heading_deg.to_radians(),
            ahead_ms: 0.0,
            starboard_ms: 0.0,
            turning_rad_s: 0.0,
        }
    }

    #[test]
    fn she_turns_the_shorter_way_and_steadies_on_her_course() {
        let order = Order { heading: Bearing::degrees(20.0), ahead_ms: 2.0 };
        let mut motion = at_rest(350.0);
        for _ in 0..90 {
            motion = second(motion, order);
        }
        assert!((motion.heading_rad.to_degrees() - 380.0).abs() < 0.1);
        assert!((motion.ahead_ms - 2.0).abs() < 1e-3 && motion.turning_rad_s.abs() < 1e-3);
    }

    #[test]
    fn way_across_is_lost_and_none_is_gained() {
        let motion = Motion { starboard_ms: 0.5, ..at_rest(0.0) };
        let order = Order { heading: Bearing::degrees(0.0), ahead_ms: 0.0 };
        let after = (0..60).fold(motion, |motion, _| second(motion, order));
        assert!(after.starboard_ms.abs() < 1e-6 && after.ahead_ms.abs() < 1e-12);
        // The integral of 0.5 exp(−t/4) is 2 m; steps of a sixteenth of that time fall short by a sixteenth.
        assert!((after.centre.east_m - 1.875).abs() < 0.001, "{}", after.centre.east_m);
    }
}
