//! Water under the keel, now and until the next low water; and whether the tide stands as it was foretold.

use std::collections::VecDeque;

use jiff::Timestamp;

use crate::position::Offset;
use crate::units::Length;
use crate::watch::alarm::Claim;
use crate::watch::effect::AlarmKind;
use crate::watch::gather::foretold;
use crate::watch::given::{Expected, Given};
use crate::watch::own_clock::{after, seconds};
use crate::watch::reason::Reason;

/// The median of the soundings of so long is taken, s: fish, weed and wake make single ones wrong.
const SOUNDINGS_S: f64 = 60.0;
/// Of so many at the most.
const MOST_SOUNDINGS: usize = 61;
/// And no fewer than this, unless the sounder is slow.
const LEAST_SOUNDINGS: usize = 3;
/// A slow sounder's last word is worth something for so long, s: the tide moves 0.2 m in it at the most (a rise of 8
/// m).
const SLOW_S: f64 = 600.0;
/// How far ahead the lowest water is looked for, s: past the next low water of any tide.
const AHEAD_S: f64 = 12.0 * 3_600.0;
/// Above its limit by so much, the water is enough again, m.
const ENOUGH_AGAIN_M: f64 = 0.1;
/// The tide stands otherwise than foretold by more than this, m...
const OTHERWISE_M: f64 = 0.3;
/// ...for so long, s...
const OTHERWISE_FOR_S: f64 = 1_800.0;
/// ...judged only where she lay when the two were first set against each other, m: ground slopes.
const SAME_PLACE_M: f64 = 15.0;

/// What is sounded, and what was foretold.
#[derive(Clone, Debug, Default, PartialEq)]
pub(in crate::watch) struct WaterGuard {
    soundings: VecDeque<(Timestamp, f64)>,
    short_now: bool,
    short_later: bool,
    first: Option<(Offset, f64)>,
    otherwise_since: Option<Timestamp>,
}

/// What the water is judged by.
#[derive(Clone, Copy, Debug)]
pub(in crate::watch) struct WaterBy<'a> {
    /// What the watch was given.
    pub(in crate::watch) given: &'a Given,
    /// Where she is, if it is known.
    pub(in crate::watch) place: Option<Offset>,
    /// Now, in own time.
    pub(in crate::watch) now: Timestamp,
    /// Now, by the boat's clock.
    pub(in crate::watch) told: Timestamp,
}

impl WaterGuard {
    /// A sounding.
    pub(in crate::watch) fn hear(&mut self, at: Timestamp, depth: Length) {
        self.soundings.push_back((at, depth.as_metres()));
        while MOST_SOUNDINGS < self.soundings.len() {
            self.soundings.pop_front();
        }
    }
    /// What it claims now.
    pub(in crate::watch) fn judge(&mut self, by: WaterBy<'_>, claims: &mut Vec<Claim>) {
        let sounded = self.sounded(by.now);
        claims.extend(self.under_keel(sounded, by));
        claims.extend(self.otherwise(sounded, by));
    }

    fn sounded(&self, now: Timestamp) -> Option<Length> {
        let mut recent: Vec<f64> =
            self.soundings.iter().filter(|(at, _)| seconds(now, *at) <= SOUNDINGS_S).map(|s| s.1).collect();
        if recent.len() < LEAST_SOUNDINGS {
            let &(at, last_m) = self.soundings.back()?;
            let before = self.soundings.iter().rev().nth(1).map(|&(at, _)| at);
            let slow = before.is_some_and(|before| SOUNDINGS_S / 3.0 <= seconds(at, before));
            return (slow && seconds(now, at) <= SLOW_S).then_some(Length::metres(last_m));
        }
        recent.sort_by(f64::total_cmp);
        recent.get(recent.len() / 2).copied().map(Length::metres)
    }
    /// The claim of too little water, now before later.
    fn under_keel(&mut self, sounded: Option<Length>, by: WaterBy<'_>) -> Option<Claim> {
        let draught = by.given.boat.draught?;
        let expected = by.given.expected.as_ref();
        let at_anchor = || expected.and_then(|expected| foretold(expected, by.told, |step| step.water));
        let water = sounded.or_else(|| at_anchor().or_else(|| given_now(by)))?;
        let under_keel = water - draught;
        let limit = by.given.limits.under_keel;
        self.short_now = is_short(under_keel, limit, self.short_now);
        let lowest = expected.and_then(|expected| lowest_fall(expected, by.told));
        let later = lowest.map(|(fall, at)| (under_keel + fall, at));
        self.short_later = later.is_some_and(|(later, _)| is_short(later, limit, self.short_later));
        let reason = match later {
            _ if self.short_now => Reason::WaterNow { under_keel, limit, sounded: sounded.is_some() },
            Some((under_keel, at)) if self.short_later => Reason::WaterForetold { under_keel, limit, at },
            _ => return None,
        };
        let least = later.map_or(under_keel, |(later, _)| later.min(under_keel));
        Some(Claim { kind: AlarmKind::Water, reason, measure: least.as_metres() })
    }
    fn otherwise(&mut self, sounded: Option<Length>, by: WaterBy<'_>) -> Option<Claim> {
        let expected = by.given.expected.as_ref()?;
        let (sounded, place) = (sounded?, by.place?);
        let tide = foretold(expected, by.told, |step| step.tide.or(step.water))?;
        let less_m = (sounded - tide).as_metres();
        let (where_first, first_m) = *self.first.get_or_insert((place, less_m));
        if SAME_PLACE_M < where_first.distance_to(place).as_metres() {
            return None;
        }
        let residual_m = less_m - first_m;
        if !(OTHERWISE_M < residual_m.abs()) {
            self.otherwise_since = None;
            return None;
        }
        let since = *self.otherwise_since.get_or_insert(by.now);
        let reason = Reason::TideOtherwise { residual: Length::metres(residual_m) };
        let lasts = OTHERWISE_FOR_S <= seconds(by.now, since);
        lasts.then_some(Claim { kind: AlarmKind::PlanOvertaken, reason, measure: residual_m.abs() })
    }
}

fn is_short(under_keel: Length, limit: Length, was: bool) -> bool {
    under_keel < if was { limit + Length::metres(ENOUGH_AGAIN_M) } else { limit }
}

/// The depth given when the watch began, with the tide since; as it was given where no tide is foretold.
fn given_now(by: WaterBy<'_>) -> Option<Length> {
    let depth = by.given.depth?;
    let tide = |at| by.given.expected.as_ref().and_then(|expected| foretold(expected, at, |step| step.tide));
    match (tide(by.given.from), tide(by.told)) {
        (Some(then), Some(now)) => Some(depth + (now - then)),
        // A depth that was given once, hours ago, says nothing of the water now.
        _ => None,
    }
}

/// How far the water falls from now to its lowest in the hours ahead, not above nothing, and when.
fn lowest_fall(expected: &Expected, told: Timestamp) -> Option<(Length, Timestamp)> {
    let height = |at| foretold(expected, at, |step| step.tide.or(step.water));
    let now = height(told)?;
    let until = after(told, AHEAD_S);
    let ahead = expected.steps.iter().filter(|step| told < step.at && step.at <= until);
    let falls = ahead.filter_map(|step| Some((step.tide.or(step.water)? - now, step.at)));
    falls.min_by(|a, b| a.0.as_metres().total_cmp(&b.0.as_metres()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::limits::Limits;
    use crate::watch::given::{ExpectedAt, WatchLimits, WatchedBoat};

    fn second(seconds: f64) -> Timestamp {
        after(Timestamp::UNIX_EPOCH, seconds)
    }

    /// Two metres of draught, half a metre to be kept; a tide that falls by so much in six hours and rises again.
    fn given(falls_m: f64) -> Given {
        let step = |hour: u32| {
            let tide_m = falls_m * 0.5 * (core::f64::consts::TAU * f64::from(hour) / 12.0).cos();
            let nothing = (None, None, None);
            ExpectedAt {
                at: second(3_600.0 * f64::from(hour)),
                tide: Some(Length::metres(tide_m)),
                water: Some(Length::metres(4.0 + tide_m)),
                mean: nothing.0,
                gust: nothing.1,
                from: nothing.2,
            }
        };
        let limits = WatchLimits {
            under_keel: Length::metres(0.5),
            battery_v: None,
            silence_s: 60.0,
            neighbour: Length::ZERO,
            wind_shift_deg: 45.0,
        };
        let boat = WatchedBoat {
            length: None,
            antenna: None,
            drag_area_m2: None,
            roller_height: None,
            draught: Some(Length::metres(2.0)),
            multihull: None,
        };
        let expected = Expected {
            steps: (0..13).map(step).collect(),
            proved_wind: None,
            proved_load: None,
            verdict: None,
            limits: Limits::default(),
        };
        Given {
            from: second(0.0),
            boat,
            drop: None,
            rode: None,
            depth: None,
            expected: Some(expected),
            limits,
        }
    }

    /// What is claimed at the end of so many seconds of soundings, one each second.
    fn claimed(given: &Given, until_s: u32, depth_m: impl Fn(f64) -> f64) -> Vec<(AlarmKind, &'static str)> {
        let mut guard = WaterGuard::default();
        let mut claims = Vec::new();
        for s in (0..=until_s).map(f64::from) {
            guard.hear(second(s), Length::metres(depth_m(s)));
            claims.clear();
            let (now, place) = (second(s), Some(Offset::ORIGIN));
            guard.judge(WaterBy { given, place, now, told: now }, &mut claims);
        }
        claims.iter().map(|claim| (claim.kind, claim.reason.code())).collect()
    }

    #[test]
    fn a_low_water_that_will_be_too_low_is_told_hours_before() {
        // Four metres now, three and a half metres under the keel gone in six hours: 2 + 3 − 2 × 1.5 = 1.0 and 0.0 m.
        assert_eq!(claimed(&given(1.0), 120, |_| 4.5), []);
        assert_eq!(claimed(&given(3.0), 120, |_| 5.0), [(AlarmKind::Water, "water_foretold")]);
    }

    #[test]
    fn too_little_water_now_is_told_before_what_comes() {
        assert_eq!(claimed(&given(3.0), 120, |_| 2.4), [(AlarmKind::Water, "water_now")]);
    }

    #[test]
    fn a_tide_that_stands_otherwise_than_foretold_overtakes_the_plan_after_half_an_hour() {
        // The water falls by 0.7 m in the half hour after it was first sounded, where the tide foretells centimetres.
        let falling = |s: f64| 6.0 - 0.7 * (s / 1_800.0).min(1.0);
        assert_eq!(claimed(&given(1.0), 1_700, falling), []);
        assert_eq!(claimed(&given(1.0), 4_000, falling), [(AlarmKind::PlanOvertaken, "tide_otherwise")]);
    }
}
