//! Whether a compass or a wind vane contradicts itself, and is to be left out until it does no longer.
//!
//! **A leap.** A boat at anchor turns by some 10° a second at the most (from memory, low confidence: a light boat that
//! tacks in a gust); a compass shaken by waves is off by tens of degrees for a moment. A heading that goes by more
//! than `40° + 10°/s Δt` from one report to the next has not turned with her: the compass was set anew, its cable was
//! changed, or half a turn was put to it. It carries the fix from the antenna to the wrong side, tens of metres off.
//! Which of the two directions was right is not asked: the one before was lived with, so what comes after is left out
//! until it leaps back.
//!
//! **The same to the last digit.** Both tremble by tenths of a degree and of a knot as long as they measure. What does
//! not for minutes, over tens of reports, repeats its last word. A calm of less than half a metre a second may.

use jiff::Timestamp;

use crate::environment::wind::Wind;
use crate::units::{Angle, Bearing};
use crate::watch::own_clock::seconds;

/// What a compass may be off by for a moment, shaken.
const SHAKEN: Angle = Angle::degrees(40.0);
/// Fastest turn at anchor, degrees a second.
const FASTEST_DEG_S: f64 = 10.0;
/// A heading repeated for so long is stuck, s: in a flat calm a compass of whole degrees may stand for minutes.
const HEADING_STUCK_S: f64 = 300.0;
/// A wind repeated for so long is stuck, s.
const WIND_STUCK_S: f64 = 120.0;
/// And over so many reports: an instrument that speaks seldom may repeat itself.
const STUCK_REPORTS: u32 = 30;
/// Below this a wind may stand still, m/s.
const CALM_MS: f64 = 0.5;

/// What is left out of account though it is heard, and why.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct LeftOut {
    /// The compass.
    pub heading: Option<Unsound>,
    /// The wind's.
    pub wind: Option<Unsound>,
}

/// Why an instrument is left out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unsound {
    /// It turned faster than a boat does.
    Leapt,
    /// It repeats its last word.
    Stuck,
    /// It says the contrary of how she lies: only the drag test sees that.
    TurnedRound,
}

/// A word that may be repeated, and since when.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
struct Repeated {
    word: Option<([u64; 2], Timestamp)>,
    reports: u32,
}

impl Repeated {
    /// Seconds for which it has been the same, over enough reports; nothing else.
    fn hear(&mut self, at: Timestamp, word: [f64; 2]) -> f64 {
        let bits = word.map(f64::to_bits);
        match self.word {
            Some((before, since)) if before == bits => {
                self.reports = self.reports.saturating_add(1);
                if STUCK_REPORTS <= self.reports { seconds(at, since) } else { 0.0 }
            }
            _ => {
                (self.word, self.reports) = (Some((bits, at)), 0);
                0.0
            }
        }
    }
}

/// A compass, as far as it can be believed.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct SoundHeading {
    last: Option<(Timestamp, Bearing)>,
    leapt: bool,
    repeated: Repeated,
}

impl SoundHeading {
    /// A heading comes: why it is to be left out, if it is.
    pub(super) fn hear(&mut self, at: Timestamp, bow: Bearing) -> Option<Unsound> {
        let before = self.last.replace((at, bow));
        if let Some((then, was)) = before {
            let turned_deg = was.to(bow).as_degrees().abs();
            let most_deg = SHAKEN.as_degrees() + FASTEST_DEG_S * seconds(at, then).abs();
            self.leapt ^= most_deg < turned_deg;
        }
        let stuck = HEADING_STUCK_S <= self.repeated.hear(at, [bow.as_radians(), 0.0]);
        match (self.leapt, stuck) {
            (true, _) => Some(Unsound::Leapt),
            (false, true) => Some(Unsound::Stuck),
            (false, false) => None,
        }
    }
}

/// A wind, as far as it can be believed.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct SoundWind {
    repeated: Repeated,
}

impl SoundWind {
    /// A wind comes: why it is to be left out, if it is.
    pub(super) fn hear(&mut self, at: Timestamp, wind: Wind) -> Option<Unsound> {
        let stood_s = self.repeated.hear(at, [wind.east_ms, wind.north_ms]);
        let calm = wind.speed().as_metres_per_second() < CALM_MS;
        (!calm && WIND_STUCK_S <= stood_s).then_some(Unsound::Stuck)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::watch::own_clock::after;

    fn second(seconds: f64) -> Timestamp {
        after(Timestamp::UNIX_EPOCH, seconds)
    }

    #[test]
    fn a_heading_that_goes_half_round_at_once_is_left_out_until_it_comes_back() {
        let mut compass = SoundHeading::default();
        let mut hear = |s: f64, deg: f64| compass.hear(second(s), Bearing::degrees(deg));
        assert_eq!(hear(0.0, 350.0), None);
        assert_eq!(hear(1.0, 10.0), None, "twenty degrees through north");
        assert_eq!(hear(2.0, 190.0), Some(Unsound::Leapt));
        assert_eq!(hear(3.0, 195.0), Some(Unsound::Leapt));
        assert_eq!(hear(4.0, 14.0), None);
    }

    #[test]
    fn a_boat_that_turns_round_in_half_a_minute_turns() {
        for every_s in [1.0, 3.0, 10.0] {
            let mut compass = SoundHeading::default();
            let turning = (0..=30).map(f64::from).filter(|s| s % every_s < 0.5);
            for s in turning {
                assert_eq!(compass.hear(second(s), Bearing::degrees(90.0 + 6.0 * s)), None, "{every_s}");
            }
        }
    }

    #[test]
    fn a_heading_that_stands_to_the_last_digit_is_stuck_and_one_that_trembles_is_not() {
        for tremble_deg in [0.0, 0.1] {
            let mut compass = SoundHeading::default();
            let heard = (0..=400).map(|s| {
                let deg = 120.0 + if s % 50 == 0 { tremble_deg } else { 0.0 };
                compass.hear(second(f64::from(s)), Bearing::degrees(deg))
            });
            let last = heard.last().flatten();
            assert_eq!(last, (tremble_deg < 0.05).then_some(Unsound::Stuck));
        }
    }

    #[test]
    fn a_wind_that_repeats_itself_is_stuck_but_for_a_calm_and_one_that_is_told_seldom() {
        let after_s = |from_s: f64, every_s: f64, east_ms: f64| {
            let mut vane = SoundWind::default();
            let mut s = 0.0;
            let mut said = None;
            while s <= from_s {
                said = vane.hear(second(s), Wind { east_ms, north_ms: 0.0 });
                s += every_s;
            }
            said
        };
        assert_eq!(after_s(130.0, 1.0, 8.0), Some(Unsound::Stuck));
        assert_eq!(after_s(100.0, 1.0, 8.0), None);
        assert_eq!(after_s(600.0, 1.0, 0.2), None, "a calm");
        assert_eq!(after_s(1200.0, 60.0, 8.0), None, "twenty reports");
    }
}
