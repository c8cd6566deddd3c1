//! The wind of the last ten minutes, and what it is held against: what the set has proved, what was foretold, and
//! whence it blew when that was last told.

use std::collections::VecDeque;

use jiff::Timestamp;

use crate::environment::wind::Wind;
use crate::units::{Angle, Bearing, Speed};
use crate::watch::alarm::Claim;
use crate::watch::effect::AlarmKind;
use crate::watch::gather::steps_about;
use crate::watch::given::{Expected, ExpectedAt};
use crate::watch::own_clock::seconds;
use crate::watch::reason::Reason;

/// A forecast's mean is over ten minutes, s.
const MEAN_S: f64 = 600.0;
/// The wind is kept in steps of so long, s.
const STEP_S: f64 = 10.0;
/// A mean that stands on less than this says nothing yet, s...
const LEAST_S: f64 = 300.0;
/// ...or on fewer words than this.
const LEAST_WORDS: u32 = 3;
/// A gust is three seconds, s (WMO/TD-No. 1555).
const GUST_S: f64 = 3.0;
/// Below this a wind has no quarter: 5 kn.
const HAS_QUARTER: Speed = Speed::knots(5.0);
/// A shift that has been told is over when the wind is back to so much of what is told: it swings by two points about
/// its mean all night.
const SHIFT_BACK_SHARE: f64 = 0.5;
/// Wind that the set proved is passed again only after the gusts fell below this share of it.
const BELOW_SHARE: f64 = 0.9;
/// A mean is above the forecast from this share of the foretold mean, and so many knots, on: forecasts of wind are
/// off by a fifth and a few knots (common practice, no source).
const ABOVE_SHARE: f64 = 1.25;
/// See [`ABOVE_SHARE`].
const ABOVE_KN: f64 = 4.0;
/// It must have been so for so long, s.
const ABOVE_FOR_S: f64 = 600.0;
/// From another quarter than foretold: more than five points and a bit.
const ELSEWHERE: Angle = Angle::degrees(60.0);
/// In more wind than this.
const ELSEWHERE_FROM: Speed = Speed::knots(8.0);
/// It is back when it is nearer than this...
const AS_FORETOLD: Angle = Angle::degrees(45.0);
/// ...or weaker than this.
const ELSEWHERE_UNTIL: Speed = Speed::knots(6.0);
/// For so long, s: fronts are foretold to the hour, not to the minute.
const ELSEWHERE_FOR_S: f64 = 3_600.0;

/// Some seconds of wind.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Few {
    from: Timestamp,
    words: u32,
    speed_sum_ms: f64,
    sum: Wind,
    gust_ms: f64,
}

/// The wind of the last ten minutes.
#[expect(clippy::struct_excessive_bools, reason = "each is what one of its claims has told")]
#[derive(Clone, Debug, Default, PartialEq)]
pub(in crate::watch) struct WindGuard {
    steps: VecDeque<Few>,
    gust: Option<(Timestamp, f64, f64)>,
    last: Option<Timestamp>,
    before: Option<Bearing>,
    above_proof: bool,
    above_forecast_since: Option<Timestamp>,
    above_forecast: bool,
    elsewhere: bool,
    elsewhere_since: Option<Timestamp>,
    shifted: bool,
}

/// Mean, gust and quarter of ten minutes.
#[derive(Clone, Copy, Debug, PartialEq)]
struct TenMinutes {
    mean: Speed,
    gust: Speed,
    from: Option<Bearing>,
}

impl WindGuard {
    /// One that knows whence the wind blew when its shift was last told.
    pub(in crate::watch) fn resumed(before: Option<Bearing>) -> Self {
        Self { before, ..Self::default() }
    }
    /// Whence the wind blew when the watch was taken, or when its shift was last told.
    pub(in crate::watch) const fn told_from(&self) -> Option<Bearing> {
        self.before
    }
    /// The crew have heard of the shift: the next is reckoned from here.
    pub(in crate::watch) fn hear_told(&mut self, now: Timestamp) {
        if let Some(from) = self.ten_minutes(now).and_then(|wind| wind.from) {
            (self.before, self.shifted) = (Some(from), false);
        }
    }
    /// A word of wind.
    pub(in crate::watch) fn hear(&mut self, at: Timestamp, wind: Wind) {
        self.last = Some(at);
        let speed_ms = wind.speed().as_metres_per_second();
        let gust_ms = self.gust_ms(at, speed_ms);
        match self.steps.back_mut() {
            Some(few) if seconds(at, few.from) < STEP_S => {
                few.words += 1;
                few.speed_sum_ms += speed_ms;
                few.sum.east_ms += wind.east_ms;
                few.sum.north_ms += wind.north_ms;
                few.gust_ms = few.gust_ms.max(gust_ms);
            }
            _ => self.steps.push_back(Few { from: at, words: 1, speed_sum_ms: speed_ms, sum: wind, gust_ms }),
        }
        while self.steps.front().is_some_and(|few| MEAN_S < seconds(at, few.from)) {
            self.steps.pop_front();
        }
    }
    /// The mean of three seconds' words when they are full; a word that comes alone is its own mean.
    fn gust_ms(&mut self, at: Timestamp, speed_ms: f64) -> f64 {
        match self.gust {
            Some((since, sum_ms, number)) if seconds(at, since) < GUST_S => {
                self.gust = Some((since, sum_ms + speed_ms, number + 1.0));
                0.0
            }
            Some((since, sum_ms, number)) if seconds(at, since) < 2.0 * GUST_S => {
                self.gust = Some((at, speed_ms, 1.0));
                sum_ms / number
            }
            _ => {
                self.gust = Some((at, speed_ms, 1.0));
                speed_ms
            }
        }
    }
    fn ten_minutes(&self, now: Timestamp) -> Option<TenMinutes> {
        let steps = || self.steps.iter().filter(|few| seconds(now, few.from) <= MEAN_S);
        let words: u32 = steps().map(|few| few.words).sum();
        let first = steps().next()?;
        if words < LEAST_WORDS || seconds(self.last?, first.from) < LEAST_S {
            return None;
        }
        let number = f64::from(words);
        let mean = Speed::metres_per_second(steps().map(|few| few.speed_sum_ms).sum::<f64>() / number);
        let sum = steps().fold(Wind::default(), |sum, few| Wind {
            east_ms: sum.east_ms + few.sum.east_ms,
            north_ms: sum.north_ms + few.sum.north_ms,
        });
        let gust = Speed::metres_per_second(steps().map(|few| few.gust_ms).fold(0.0, f64::max)).max(mean);
        Some(TenMinutes { mean, gust, from: sum.from().filter(|_| HAS_QUARTER < mean) })
    }

    /// What it claims now; `told` is now by the boat's clock.
    pub(in crate::watch) fn judge(
        &mut self,
        expected: Option<&Expected>,
        shift_deg: f64,
        [now, told]: [Timestamp; 2],
        claims: &mut Vec<Claim>,
    ) {
        let Some(wind) = self.ten_minutes(now) else {
            (self.above_forecast_since, self.elsewhere_since) = (None, None);
            (self.above_forecast, self.elsewhere) = (false, false);
            return;
        };
        claims.extend(self.shift(&wind, shift_deg));
        let Some(expected) = expected else { return };
        claims.extend(self.above_proof(&wind, expected.proved_wind));
        let foretold = steps_about(expected, told).map(|(before, next)| [*before, *next]);
        claims.extend(self.above_forecast(&wind, foretold, now));
        claims.extend(self.blows_from_elsewhere(&wind, foretold, now));
    }
    fn shift(&mut self, wind: &TenMinutes, shift_deg: f64) -> Option<Claim> {
        let from = wind.from?;
        let before = *self.before.get_or_insert(from);
        let turn = before.to(from);
        let limit_deg = if self.shifted { shift_deg * SHIFT_BACK_SHARE } else { shift_deg };
        self.shifted = limit_deg < turn.abs().as_degrees();
        let reason = Reason::WindShift { before, from, turn, mean: wind.mean };
        let measure = turn.abs().as_degrees();
        self.shifted.then_some(Claim { kind: AlarmKind::WindShift, reason, measure })
    }
    fn above_proof(&mut self, wind: &TenMinutes, proved: Option<Speed>) -> Option<Claim> {
        let proved = proved?;
        let limit = if self.above_proof { proved * BELOW_SHARE } else { proved };
        self.above_proof = limit < wind.gust;
        let reason = Reason::WindAboveProof { gust: wind.gust, mean: wind.mean, proved };
        let measure = wind.gust.as_metres_per_second();
        self.above_proof.then_some(Claim { kind: AlarmKind::WindAboveProof, reason, measure })
    }
    fn above_forecast(
        &mut self,
        wind: &TenMinutes,
        foretold: Option<[ExpectedAt; 2]>,
        now: Timestamp,
    ) -> Option<Claim> {
        let strongest = |figure: fn(&ExpectedAt) -> Option<Speed>| {
            let [before, next] = foretold?;
            Some(figure(&before)?.max(figure(&next)?))
        };
        let foretold_gust = strongest(|step| step.gust);
        let Some(foretold_mean) = strongest(|step| step.mean) else {
            (self.above_forecast_since, self.above_forecast) = (None, false);
            return None;
        };
        let limit = foretold_mean * ABOVE_SHARE + Speed::knots(ABOVE_KN);
        // Once told it is above until it has fallen by a tenth.
        let held = if self.above_forecast { BELOW_SHARE } else { 1.0 };
        let is_above = |limit: Speed| limit * held < wind.mean;
        if !(is_above(limit) || foretold_gust.is_some_and(is_above)) {
            (self.above_forecast_since, self.above_forecast) = (None, false);
            return None;
        }
        let since = *self.above_forecast_since.get_or_insert(now);
        let reason = Reason::WindAboveForecast { mean: wind.mean, foretold_mean, foretold_gust };
        let measure = wind.mean.as_metres_per_second();
        self.above_forecast = ABOVE_FOR_S <= seconds(now, since);
        self.above_forecast.then_some(Claim { kind: AlarmKind::WindAboveForecast, reason, measure })
    }
    fn blows_from_elsewhere(
        &mut self,
        wind: &TenMinutes,
        foretold: Option<[ExpectedAt; 2]>,
        now: Timestamp,
    ) -> Option<Claim> {
        let quarters = foretold.map(|steps| steps.map(|step| step.from));
        // Between two steps the wind may blow from anywhere between: it is elsewhere when it is so of both.
        let elsewhere = match (wind.from, quarters) {
            (Some(from), Some([Some(before), Some(next)])) => {
                let nearer = if before.to(from).abs() < next.to(from).abs() { before } else { next };
                let (turned, blows) =
                    if self.elsewhere { (AS_FORETOLD, ELSEWHERE_UNTIL) } else { (ELSEWHERE, ELSEWHERE_FROM) };
                let far = turned < nearer.to(from).abs() && blows < wind.mean;
                far.then_some((from, nearer))
            }
            _ => None,
        };
        let Some((from, foretold)) = elsewhere else {
            (self.elsewhere_since, self.elsewhere) = (None, false);
            return None;
        };
        let since = *self.elsewhere_since.get_or_insert(now);
        let reason = Reason::WindFromElsewhere { from, foretold, mean: wind.mean };
        let measure = foretold.to(from).abs().as_degrees();
        self.elsewhere = ELSEWHERE_FOR_S <= seconds(now, since);
        self.elsewhere.then_some(Claim { kind: AlarmKind::PlanOvertaken, reason, measure })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::limits::Limits;
    use crate::watch::own_clock::after;

    fn second(seconds: u32) -> Timestamp {
        after(Timestamp::UNIX_EPOCH, f64::from(seconds))
    }

    fn foretold(mean_kn: f64, gust_kn: f64, from_deg: f64, proved_kn: f64) -> Expected {
        let step = |hours: u32| ExpectedAt {
            at: second(hours * 3_600),
            tide: None,
            water: None,
            mean: Some(Speed::knots(mean_kn)),
            gust: Some(Speed::knots(gust_kn)),
            from: Some(Bearing::degrees(from_deg)),
        };
        Expected {
            steps: (0..12).map(step).collect(),
            proved_wind: Some(Speed::knots(proved_kn)),
            proved_load: None,
            verdict: None,
            limits: Limits::default(),
        }
    }

    /// Alarms claimed in the hours of a wind that blows so, once every `each_s`, and when each first was.
    fn claimed(
        expected: &Expected,
        kn: f64,
        from_deg: f64,
        each_s: u32,
        hours: u32,
    ) -> Vec<(AlarmKind, u32)> {
        let mut guard = WindGuard::default();
        let mut first: Vec<(AlarmKind, u32)> = Vec::new();
        for at_s in (0..hours * 3_600).step_by(each_s as usize) {
            guard.hear(second(at_s), Wind::blowing(Bearing::degrees(from_deg), Speed::knots(kn)));
            let mut claims = Vec::new();
            guard.judge(Some(expected), 45.0, [second(at_s); 2], &mut claims);
            for claim in claims {
                if first.iter().all(|(kind, _)| *kind != claim.kind) {
                    first.push((claim.kind, at_s));
                }
            }
        }
        first
    }

    #[test]
    fn the_wind_that_was_foretold_and_proved_claims_nothing() {
        for each_s in [1, 4, 30, 180] {
            assert_eq!(claimed(&foretold(15.0, 22.0, 270.0, 25.0), 17.0, 285.0, each_s, 2), [], "{each_s}");
        }
    }

    #[test]
    fn a_gale_in_place_of_a_breeze_is_told_within_the_half_hour_however_seldom_the_vane_speaks() {
        for each_s in [1, 4, 30, 180] {
            let claims = claimed(&foretold(15.0, 22.0, 270.0, 25.0), 34.0, 270.0, each_s, 1);
            let kinds: Vec<_> = claims.iter().map(|(kind, _)| *kind).collect();
            assert_eq!(kinds, [AlarmKind::WindAboveProof, AlarmKind::WindAboveForecast], "{each_s}");
            assert!(claims.iter().all(|(_, at_s)| *at_s <= 1_800), "{claims:?}");
        }
    }

    /// How often a claim of a kind begins over eight hours of a wind that swings by so much to either side of a quarter
    /// and so many knots about a strength, once in half an hour.
    fn begins(kind: AlarmKind, [from_deg, swings_deg]: [f64; 2], [kn, swings_kn]: [f64; 2]) -> usize {
        let mut guard = WindGuard::default();
        let mut stood = false;
        let mut begins = 0;
        for at_s in (0..8 * 3_600_u32).step_by(10) {
            // An hour and a quarter at one end of the swing, so that what asks for an hour has had it.
            let turns = f64::from(at_s.saturating_sub(5_400)) / 1_800.0;
            let phase = (core::f64::consts::TAU * turns).cos();
            let from = Bearing::degrees(if at_s < 900 { 270.0 } else { from_deg + swings_deg * phase });
            guard.hear(second(at_s), Wind::blowing(from, Speed::knots(kn + swings_kn * phase)));
            let mut claims = Vec::new();
            guard.judge(Some(&foretold(15.0, 22.0, 270.0, 40.0)), 45.0, [second(at_s); 2], &mut claims);
            let stands = claims.iter().any(|claim| claim.kind == kind);
            begins += usize::from(stands && !stood);
            stood = stands;
        }
        begins
    }

    #[test]
    fn a_wind_that_swings_about_a_limit_is_past_it_once() {
        assert_eq!(begins(AlarmKind::WindShift, [315.0, 20.0], [15.0, 0.0]), 1);
        assert_eq!(begins(AlarmKind::WindAboveForecast, [270.0, 0.0], [23.5, 3.0]), 1);
        assert_eq!(begins(AlarmKind::PlanOvertaken, [326.0, 9.0], [15.0, 0.0]), 1);
    }

    #[test]
    fn a_shift_that_goes_back_and_comes_again_is_claimed_again() {
        assert!(4 < begins(AlarmKind::WindShift, [300.0, 60.0], [15.0, 0.0]));
    }

    #[test]
    fn a_wind_from_another_quarter_overtakes_the_plan_after_an_hour() {
        let claims = claimed(&foretold(15.0, 22.0, 270.0, 25.0), 15.0, 180.0, 5, 2);
        assert!(matches!(claims.as_slice(), [(AlarmKind::PlanOvertaken, at_s)] if 3_600 <= *at_s));
    }
}
