//! Water under the keel, now and until the next low water; and whether the tide stands as it was foretold.
//!
//! The ground slopes, and she swings over it: what is sounded less the height of tide foretold is the ground's depth
//! under her, another one at every place. So it is kept place by place, a few metres apart, and the tide is judged
//! where she has been before:
//!
//! ```text
//! ground(place) = sounded − tide foretold − residual       when she is first there
//! residual      = sounded − tide foretold − ground(place)  when she is there again
//! ```
//!
//! A residual is told beyond 0.3 m and what the ground's slope makes of her distance from that place. The water to come
//! is that over the shallowest ground that she has shown in her swing, at the lowest tide foretold, less what
//! the water lacks now: what stands higher than foretold may have gone by then.

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
/// ...and is as foretold again below this, m.
const AS_FORETOLD_M: f64 = 0.2;
/// A place is the same within this, m: the fix wanders by half as much.
const SAME_PLACE_M: f64 = 6.0;
/// So near to a place the ground is as it was there, m: a slope of one in ten makes half a decimetre of it.
const SURELY_M: f64 = 0.5;
/// Places that are kept: a swing of 50 m all round has as many on its ring.
const MOST_PLACES: usize = 64;
/// Slope of a ground of which none has been seen, one in twenty (common practice, no source).
const SLOPE: f64 = 0.05;
/// Two places tell a slope when they are so far apart, m: nearer, the sounder's decimetre is a slope by itself.
const SLOPE_FROM_M: f64 = 10.0;

/// What is sounded, and what was foretold.
#[derive(Clone, Debug, Default, PartialEq)]
pub(in crate::watch) struct WaterGuard {
    soundings: VecDeque<(Timestamp, f64)>,
    short_now: bool,
    short_later: bool,
    places: VecDeque<(Timestamp, Offset)>,
    ground: Vec<Ground>,
    residual_m: f64,
    /// The residual where the ground was surely known: what a place that is new is reckoned with.
    sure_m: f64,
    otherwise: bool,
    otherwise_since: Option<Timestamp>,
}

/// Depth of the ground below the tide's datum at a place, m.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Ground {
    at: Offset,
    depth_m: f64,
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
    /// She lies elsewhere: the ground that she has shown is another's.
    pub(in crate::watch) fn begin_anew(&mut self) {
        *self = Self { soundings: core::mem::take(&mut self.soundings), ..Self::default() };
    }
    /// What it claims now.
    pub(in crate::watch) fn judge(&mut self, by: WaterBy<'_>, claims: &mut Vec<Claim>) {
        let sounded = self.sounded(by.now);
        let place = self.mean_place(by);
        let otherwise = self.otherwise(sounded, place, by);
        claims.extend(self.under_keel(sounded, by));
        claims.extend(otherwise);
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
        let here = lowest.map(|(fall, at)| (under_keel + fall, at));
        let shown = expected.and_then(|expected| self.least_shown(expected, by.told));
        let shown = shown.map(|(water, at)| (water - draught, at));
        let later =
            [here, shown].into_iter().flatten().min_by(|a, b| a.0.as_metres().total_cmp(&b.0.as_metres()));
        self.short_later = later.is_some_and(|(later, _)| is_short(later, limit, self.short_later));
        let reason = match later {
            _ if self.short_now => Reason::WaterNow { under_keel, limit, sounded: sounded.is_some() },
            Some((under_keel, at)) if self.short_later => Reason::WaterForetold { under_keel, limit, at },
            _ => return None,
        };
        let least = later.map_or(under_keel, |(later, _)| later.min(under_keel));
        Some(Claim { kind: AlarmKind::Water, reason, measure: least.as_metres() })
    }
    /// Where she was while the soundings came whose median is taken: their mean, as the median is of their middle.
    fn mean_place(&mut self, by: WaterBy<'_>) -> Option<Offset> {
        let place = by.place?;
        if self.places.back().is_none_or(|(last, _)| 1.0 <= seconds(by.now, *last)) {
            self.places.push_back((by.now, place));
        }
        while self.places.front().is_some_and(|(at, _)| SOUNDINGS_S < seconds(by.now, *at)) {
            self.places.pop_front();
        }
        let number = self.places.len().max(1) as f64;
        let sum = self.places.iter().fold(Offset::ORIGIN, |sum, (_, place)| sum + *place);
        Some(Offset { east_m: sum.east_m / number, north_m: sum.north_m / number })
    }
    fn otherwise(
        &mut self,
        sounded: Option<Length>,
        place: Option<Offset>,
        by: WaterBy<'_>,
    ) -> Option<Claim> {
        let expected = by.given.expected.as_ref()?;
        let (sounded, place) = (sounded?, place?);
        let tide = foretold(expected, by.told, |step| step.tide.or(step.water))?;
        let allowed_m = self.learn_ground((sounded - tide).as_metres(), place);
        let limit_m = if self.otherwise { AS_FORETOLD_M } else { OTHERWISE_M } + allowed_m;
        if !(limit_m < self.residual_m.abs()) {
            (self.otherwise_since, self.otherwise) = (None, false);
            return None;
        }
        let since = *self.otherwise_since.get_or_insert(by.now);
        self.otherwise = OTHERWISE_FOR_S <= seconds(by.now, since);
        let reason = Reason::TideOtherwise { residual: Length::metres(self.residual_m) };
        let measure = self.residual_m.abs();
        self.otherwise.then_some(Claim { kind: AlarmKind::PlanOvertaken, reason, measure })
    }
    /// Sets what is sounded less the tide against the ground here, or learns the ground; what the slope may make of
    /// it, m.
    fn learn_ground(&mut self, less_m: f64, place: Offset) -> f64 {
        let Some((depth_m, off_m, between)) = self.ground_at(place) else {
            if self.ground.len() < MOST_PLACES {
                self.ground.push(Ground { at: place, depth_m: less_m - self.sure_m });
            }
            return 0.0;
        };
        self.residual_m = less_m - depth_m;
        if between || off_m <= SURELY_M {
            self.sure_m = self.residual_m;
        }
        self.slope() * off_m * if between { 0.5 } else { 1.0 }
    }
    /// Depth of the ground at a place, straight between the nearest place that she was in and the next beyond, and how
    /// far the nearest is, m, and whether she is between two; nothing where she was not.
    fn ground_at(&self, place: Offset) -> Option<(f64, f64, bool)> {
        let far_m = |ground: &&Ground| ground.at.distance_to(place).as_metres();
        let near = self.ground.iter().min_by(|a, b| far_m(a).total_cmp(&far_m(b)))?;
        let off_m = far_m(&near);
        if SAME_PLACE_M < off_m {
            return None;
        }
        // Share of the way from the nearest place to another at which she is.
        let share = |beyond: &Ground| {
            let (by, way) = (beyond.at - near.at, place - near.at);
            let along_m2 = by.east_m * way.east_m + by.north_m * way.north_m;
            (along_m2 / (by.east_m * by.east_m + by.north_m * by.north_m)).min(1.0)
        };
        let beyond =
            self.ground.iter().filter(|ground| *ground != near && far_m(ground) <= 2.0 * SAME_PLACE_M);
        let beyond = beyond.filter(|ground| 0.0 < share(ground)).min_by(|a, b| far_m(a).total_cmp(&far_m(b)));
        let rises_m = beyond.map_or(0.0, |beyond| share(beyond) * (beyond.depth_m - near.depth_m));
        Some((near.depth_m + rises_m, off_m, beyond.is_some()))
    }
    /// The steepest that has been seen from the place before to the next, or what is usual.
    fn slope(&self) -> f64 {
        let steps = self.ground.iter().zip(self.ground.iter().skip(1));
        let slopes = steps.map(|(from, to)| {
            let apart_m = from.at.distance_to(to.at).as_metres().max(SLOPE_FROM_M);
            (to.depth_m - from.depth_m).abs() / apart_m
        });
        slopes.fold(SLOPE, f64::max)
    }
    /// The least water that she will have over the shallowest ground that she has shown, and when.
    fn least_shown(&self, expected: &Expected, told: Timestamp) -> Option<(Length, Timestamp)> {
        let shallowest_m = self.ground.iter().map(|ground| ground.depth_m).reduce(f64::min)?;
        let (fall, at) = lowest_fall(expected, told)?;
        let tide = foretold(expected, told, |step| step.tide.or(step.water))?;
        Some((tide + fall + Length::metres(shallowest_m + self.sure_m.min(0.0)), at))
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
        swung(given, until_s, |_| 0.0, depth_m)
    }

    /// The same of a boat that swings east and west of where she lay first.
    fn swung(
        given: &Given,
        until_s: u32,
        east_m: impl Fn(f64) -> f64,
        depth_m: impl Fn(f64) -> f64,
    ) -> Vec<(AlarmKind, &'static str)> {
        let mut guard = WaterGuard::default();
        let mut claims = Vec::new();
        for s in (0..=until_s).map(f64::from) {
            guard.hear(second(s), Length::metres(depth_m(s)));
            claims.clear();
            let place = Some(Offset { east_m: east_m(s), north_m: 0.0 });
            let now = second(s);
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

    /// Height of the tide of [`given`].
    fn tide_m(falls_m: f64, s: f64) -> f64 {
        falls_m * 0.5 * (core::f64::consts::TAU * s / 43_200.0).cos()
    }

    /// Fifty metres from side to side in forty minutes.
    fn swings_m(s: f64) -> f64 {
        25.0 * (core::f64::consts::TAU * s / 2_400.0).sin()
    }

    #[test]
    fn sloping_ground_that_she_swings_over_is_no_other_tide() {
        // One in ten: five metres' difference from side to side would be a tide by itself.
        let slopes = |s: f64| 8.0 + tide_m(2.0, s) + 0.1 * swings_m(s);
        assert_eq!(swung(&given(2.0), 20_000, swings_m, slopes), []);
    }

    #[test]
    fn another_tide_is_told_on_sloping_ground_all_the_same() {
        // From the second hour on the water stands 0.6 m lower than foretold, and stays so.
        let lower = |s: f64| -0.6 * ((s - 7_200.0) / 1_800.0).clamp(0.0, 1.0);
        let depth = |s: f64| 8.0 + tide_m(2.0, s) + 0.1 * swings_m(s) + lower(s);
        assert_eq!(
            swung(&given(2.0), 14_000, swings_m, depth),
            [(AlarmKind::PlanOvertaken, "tide_otherwise")]
        );
    }

    #[test]
    fn the_shallow_side_that_she_has_shown_is_counted_at_the_next_low_water() {
        // Sounded 4.2 m at high water over the shallow side, 5.2 m where she lies since: 2 m of tide leave 0.2 m there.
        let east_m = |s: f64| 20.0 * ((s - 600.0) / 400.0).clamp(0.0, 1.0);
        let depth = |s: f64| 3.2 + tide_m(2.0, s) + 0.05 * east_m(s);
        assert_eq!(swung(&given(2.0), 1_500, east_m, depth), [(AlarmKind::Water, "water_foretold")]);
        let deep = |s: f64| depth(s) + 0.5;
        assert_eq!(swung(&given(2.0), 1_500, east_m, deep), []);
    }
}
