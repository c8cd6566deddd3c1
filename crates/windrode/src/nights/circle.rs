//! The plain circle that every watch is measured against: drawn once about the drop, with the rode's reach, the antenna
//! and a margin for its radius; it rings when every fix of half a minute lies outside.
//!
//! Its own small piece of work, of fixes and nothing else, so that nothing of the watch can flatter or spoil it.
//!
//! ```text
//! radius = √(L² − h²) + a + margin         L rode as the crew believe it, h roller above the ground, a antenna aft (m)
//! ```
//!
//! Where no drop was recorded, it is drawn as a crew would draw it: a reach ahead of where she lies at first, by her
//! heading, else to windward; where neither is known, about where she lies, with twice the reach.

use jiff::{SignedDuration, Timestamp};
use windrode_domain::position::Position;
use windrode_domain::units::{Bearing, Length};
use windrode_domain::watch::given::Given;
use windrode_domain::watch::observation::{Observation, Seen};

/// Margins that are tried side by side, m.
pub(crate) const MARGINS_M: [f64; 9] = [5.0, 7.5, 10.0, 12.5, 15.0, 17.5, 20.0, 22.5, 25.0];
/// How long every fix must lie outside.
const LASTING: SignedDuration = SignedDuration::from_secs(30);
/// An alarm that nobody can clear rings again after so long.
const AGAIN: SignedDuration = SignedDuration::from_mins(30);

/// Circles of all margins about one middle.
#[derive(Clone, Debug)]
pub(super) struct Circles {
    reach_m: f64,
    antenna_m: f64,
    middle: Option<(Position, f64)>,
    heading: Option<Bearing>,
    windward: Option<Bearing>,
    each: [Circle; MARGINS_M.len()],
}

/// One of them.
#[derive(Clone, Copy, Debug, Default)]
struct Circle {
    outside_since: Option<Timestamp>,
    fixes: u32,
    rang: Option<Timestamp>,
}

impl Circles {
    /// As a crew who were told this would draw them.
    pub(super) fn new(given: &Given) -> Self {
        let metres = |length: Option<Length>| length.map_or(0.0, Length::as_metres);
        let rode_m = metres(given.rode.as_ref().map(|rode| rode.line.length()));
        let height_m = metres(given.depth) + metres(given.boat.roller_height);
        let reach_m = (rode_m * rode_m - height_m * height_m).max(0.0).sqrt();
        let antenna_m = metres(given.boat.antenna.map(|antenna| antenna.aft_of_roller));
        let middle = given.drop.map(|drop| (drop.at, reach_m));
        Self { reach_m, antenna_m, middle, heading: None, windward: None, each: Default::default() }
    }

    /// Hears what the instruments say; calls `rang` with the number of each margin that rings now.
    pub(super) fn hear(&mut self, seen: &Observation, mut rang: impl FnMut(usize)) {
        match seen.seen {
            Seen::Heading { bow, .. } => self.heading = Some(bow),
            Seen::Wind(wind) => self.windward = wind.from().or(self.windward),
            Seen::Fix(fix) => {
                let (middle, reach_m) = self.middle.unwrap_or_else(|| self.drawn(fix.antenna));
                self.middle = Some((middle, reach_m));
                let from_m = middle.offset_of(fix.antenna).length().as_metres();
                for (index, (circle, margin_m)) in self.each.iter_mut().zip(MARGINS_M).enumerate() {
                    if circle.fix(seen.at, reach_m + self.antenna_m + margin_m < from_m) {
                        rang(index);
                    }
                }
            }
            _ => {}
        }
    }

    fn drawn(&self, first: Position) -> (Position, f64) {
        match self.heading.or(self.windward) {
            Some(ahead) => (first.at(Length::metres(self.reach_m + self.antenna_m), ahead), self.reach_m),
            None => (first, 2.0 * self.reach_m),
        }
    }
}

impl Circle {
    /// Whether it rings at this fix.
    fn fix(&mut self, at: Timestamp, outside: bool) -> bool {
        if !outside {
            *self = Self::default();
            return false;
        }
        let since = *self.outside_since.get_or_insert(at);
        self.fixes += 1;
        let lasts = 2 <= self.fixes && LASTING <= at.duration_since(since);
        let still = self.rang.is_some_and(|rang| at.duration_since(rang) < AGAIN);
        if !lasts || still {
            return false;
        }
        self.rang = Some(at);
        true
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rings(seconds: &[(i64, bool)]) -> Vec<i64> {
        let mut circle = Circle::default();
        let at = |second: i64| Timestamp::from_second(second).unwrap();
        seconds
            .iter()
            .filter(|&&(second, outside)| circle.fix(at(second), outside))
            .map(|&(second, _)| second)
            .collect()
    }

    #[test]
    fn half_a_minute_outside_rings_and_a_fix_inside_begins_it_anew() {
        let outside: Vec<(i64, bool)> = (0..100).map(|second| (second, second != 20)).collect();
        assert_eq!(rings(&outside), [51]);
    }

    #[test]
    fn two_fixes_are_needed_however_far_apart() {
        assert_eq!(rings(&[(0, true), (180, true)]), [180]);
    }

    #[test]
    fn an_alarm_that_stands_rings_again_after_half_an_hour() {
        let outside: Vec<(i64, bool)> = (0..2000).map(|second| (second, true)).collect();
        assert_eq!(rings(&outside), [30, 1830]);
    }
}
