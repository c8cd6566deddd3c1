//! One receiver: what it said last that could be trusted, and what speaks against it.

use jiff::Timestamp;

use super::frozen::{Still, Stillness};
use super::interval::Interval;
use super::leap::{self, Base, Leap, Step, Witness};
use super::usual::Usual;
use crate::position::Position;
use crate::units::Length;
use crate::watch::doppler::{DopplerWay, Milestone};
use crate::watch::observation::{Fix, FixKind, Sky, Source, Way};
use crate::watch::own_clock::{duration, seconds};
use crate::watch::reason::Fault;

/// No fix for so many usual intervals, and for at least so many seconds, is silence: a receiver at 1 Hz that starts
/// again is back within half a minute (from memory).
pub(in crate::watch) const SILENT_INTERVALS: f64 = 3.0;
/// See [`SILENT_INTERVALS`].
pub(in crate::watch) const SILENT_S: f64 = 30.0;
/// Way and fix of one report are no further apart than this, s.
const SAME_REPORT_S: f64 = 1.0;
/// A pause of a receiver that calls for another one, where there is one, s.
const PAUSES_S: f64 = 5.0;
/// Satellites or signals must have sunk for so long without a break, s: a mast or a crest passes sooner.
const SUNK_S: f64 = 10.0;
/// Fewer satellites than this give no fix of three dimensions.
const FEWEST_SATELLITES: f64 = 4.0;
/// Of a receiver that usually has so many.
const USUAL_SATELLITES: f64 = 6.0;
/// And below this share of the usual, many have gone at once: the sky takes them one by one (a choice).
const GONE_SHARE: f64 = 0.5;
/// Carrier to noise sunk by so much, dB: a tenth of the power; wet sails and people take 3 to 6 dB (from memory).
const SUNK_DB: f64 = 10.0;
/// Its stated time against the boat's clock jumps by more than this, s: feeds are delayed by a second or two.
const CLOCK_STEP_S: f64 = 3.0;
/// Fixes before its clock's habit is known.
const CLOCK_KNOWN: u32 = 10;
/// Weight of one fix in that habit.
const CLOCK_WEIGHT: f64 = 0.02;
/// Scatter of fixes where the receiver says nothing, one standard deviation along an axis, m: autonomous fixes at sea
/// are within 1.5 m slowly wandering, and twice that is taken for want of better.
const UNSAID_SPREAD_M: f64 = 3.0;
/// Metres of scatter for each unit of horizontal dilution, one standard deviation along an axis (common practice).
const DILUTION_M: f64 = 2.0;
/// Weight of one fix in the share of fixes that were left out: ten minutes at 1 Hz.
const LEFT_OUT_WEIGHT: f64 = 1.0 / 600.0;

/// One receiver.
#[derive(Clone, Debug, PartialEq)]
pub(in crate::watch) struct Receiver {
    pub(super) source: Source,
    pub(super) interval: Interval,
    pub(super) base: Option<Base>,
    pub(super) doppler: DopplerWay,
    pub(super) good: u64,
    pub(super) left_out: u64,
    mark: Option<Milestone>,
    way: Option<(Timestamp, Way)>,
    way_at_base_ms: Option<f64>,
    away: Option<(Leap, Option<f64>)>,
    stillness: Stillness,
    frozen_since: Option<Timestamp>,
    satellites: Usual,
    used: Usual,
    carrier: Usual,
    sunk: Option<Fault>,
    gone: Option<Fault>,
    no_fix: bool,
    not_measured: bool,
    clock_s: Option<f64>,
    clock_heard: u32,
    spread_m: f64,
    left_out_share: f64,
}

/// What became of a fix.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::watch) enum Outcome {
    /// It can be used.
    Usable,
    /// Something speaks against it.
    LeftOut,
    /// It came after a later one.
    Late,
}

impl Receiver {
    /// Nothing is known of it yet; `last` is the place trusted before the watch was taken up again.
    pub(super) fn new(source: Source, last: Option<(Timestamp, Position)>, usual_s: Option<f64>) -> Self {
        Self {
            source,
            interval: Interval::of(usual_s),
            base: last.map(|(at, place)| Base { at, place, fixes: u32::MAX / 2 }),
            doppler: DopplerWay::default(),
            good: 0,
            left_out: 0,
            mark: None,
            way: None,
            way_at_base_ms: None,
            away: None,
            stillness: Stillness::default(),
            frozen_since: None,
            satellites: Usual::default(),
            used: Usual::default(),
            carrier: Usual::default(),
            sunk: None,
            gone: None,
            no_fix: false,
            not_measured: false,
            clock_s: None,
            clock_heard: 0,
            spread_m: UNSAID_SPREAD_M,
            left_out_share: 0.0,
        }
    }

    /// It says where it is.
    pub(super) fn hear_fix(&mut self, at: Timestamp, fix: &Fix, other: Option<Position>) -> Outcome {
        if self.interval.last().is_some_and(|last| at < last) {
            return Outcome::Late;
        }
        self.interval.hear(at);
        self.no_fix = false;
        self.not_measured = !is_measured(fix);
        if self.not_measured {
            return self.leave_out();
        }
        self.hear_satellites(at, fix.satellites);
        self.spread_m = spread_m(fix);
        let clock_step_s = self.hear_clock(at, fix.stated);
        self.hear_stillness(at, fix, other);
        if !self.is_possible(at, fix.antenna, other, clock_step_s) {
            return self.leave_out();
        }
        self.trust(at, fix.antenna);
        if self.fault_said().is_some() {
            return self.leave_out();
        }
        self.good = self.good.saturating_add(1);
        self.left_out_share -= self.left_out_share * LEFT_OUT_WEIGHT;
        Outcome::Usable
    }
    /// It says that it has no fix.
    pub(super) const fn hear_no_fix(&mut self) {
        self.no_fix = true;
    }
    /// It says how she moves.
    pub(super) fn hear_way(&mut self, at: Timestamp, way: &Way) -> Outcome {
        if self.way.is_some_and(|(last, _)| at < last) {
            return Outcome::Late;
        }
        self.doppler.hear(at, way);
        self.way = way.speed.is_finite().then_some((at, *way));
        Outcome::Usable
    }
    /// It says what it sees of the sky.
    pub(super) fn hear_sky(&mut self, at: Timestamp, sky: &Sky) {
        if let Some(used) = sky.used.filter(|&used| 0 < used) {
            let low_s = self.used.hear(f64::from(used), at, satellites_are_gone);
            self.gone = gone(low_s, used, self.used.known());
        }
        if let Some(carrier_db_hz) = sky.carrier_db_hz.filter(|carrier| carrier.is_finite()) {
            let low_s = self.carrier.hear(carrier_db_hz, at, |now, usual| now <= usual - SUNK_DB);
            let usual_db_hz = self.carrier.known().unwrap_or(carrier_db_hz);
            let sunk = low_s.is_some_and(|low_s| SUNK_S <= low_s);
            self.sunk = sunk.then_some(Fault::SignalsSunk { carrier_db_hz, usual_db_hz });
        }
    }

    /// What speaks against it now.
    pub(in crate::watch) fn fault(&self, now: Timestamp) -> Option<Fault> {
        let silent_s = self.interval.silent_s(now);
        // Of one that has spoken once only it is not known how often it does: the judgement waits longer for it.
        let allowed_s = self.interval.slow_s().map(|slow_s| (SILENT_INTERVALS * slow_s).max(SILENT_S));
        let silent = allowed_s.zip(silent_s).is_some_and(|(allowed_s, silent_s)| allowed_s < silent_s);
        let lasting = duration(silent_s.unwrap_or(0.0));
        match self.fault_said() {
            Some(fault) => Some(fault),
            None => (silent && silent_s.is_some()).then_some(Fault::Silent { lasting }),
        }
    }
    /// Whether its last fix is there, fresh and trusted.
    pub(super) fn is_usable(&self, now: Timestamp) -> bool {
        self.base.is_some() && self.good > 0 && self.fault(now).is_none()
    }
    /// Whether it can be used and speaks at its usual interval: another takes over long before it counts as silent.
    pub(super) fn is_speaking(&self, now: Timestamp) -> bool {
        self.is_usable(now) && self.interval.is_fresh(now, PAUSES_S, SILENT_INTERVALS)
    }
    /// How far its fixes may be off, as far as its own word and its past go: less is better.
    pub(super) fn badness_m(&self) -> f64 {
        let slow = 1.0 + self.interval.usual_s().unwrap_or(0.0) / 30.0;
        self.spread_m * (1.0 + 10.0 * self.left_out_share) * slow
    }
    /// What it or its kind says that a fix may be off, one standard deviation along an axis, m.
    pub(super) const fn spread_m(&self) -> f64 {
        self.spread_m
    }
    /// The crew says that where it is, is where she is.
    pub(super) const fn believe(&mut self) {
        self.base = None;
        self.away = None;
        self.frozen_since = None;
    }

    /// The way that it said with a fix of this instant.
    pub(super) fn way_with(&self, at: Timestamp) -> Option<Way> {
        self.way_within(at, SAME_REPORT_S)
    }

    fn way_within(&self, at: Timestamp, within_s: f64) -> Option<Way> {
        self.way.filter(|&(said, _)| seconds(at, said).abs() <= within_s).map(|(_, way)| way)
    }
    fn leave_out(&mut self) -> Outcome {
        self.left_out = self.left_out.saturating_add(1);
        self.left_out_share += (1.0 - self.left_out_share) * LEFT_OUT_WEIGHT;
        Outcome::LeftOut
    }
    fn fault_said(&self) -> Option<Fault> {
        if self.no_fix {
            return Some(Fault::NoFix);
        }
        if self.not_measured {
            return Some(Fault::NotMeasured);
        }
        if let Some((leap, clock_s)) = self.away {
            let distance = Length::metres(leap.distance_m);
            return Some(match clock_s {
                Some(clock_s) => Fault::LeapWithClock { distance, clock_s },
                None => Fault::Leap { distance, within: duration(leap.within_s) },
            });
        }
        let frozen = || {
            let (since, last) = (self.frozen_since?, self.interval.last()?);
            Some(Fault::Frozen { lasting: duration(seconds(last, since)) })
        };
        frozen().or(self.gone).or(self.sunk)
    }
    fn hear_satellites(&mut self, at: Timestamp, satellites: Option<u8>) {
        // None used and yet a fix: a receiver that does not say.
        let Some(used) = satellites.filter(|&used| 0 < used) else { return };
        let low_s = self.satellites.hear(f64::from(used), at, satellites_are_gone);
        self.gone = gone(low_s, used, self.satellites.known());
    }
    /// Seconds by which its own clock has stepped against the boat's, if it has.
    fn hear_clock(&mut self, at: Timestamp, stated: Option<Timestamp>) -> Option<f64> {
        let behind_s = seconds(at, stated?);
        let usual_s = *self.clock_s.get_or_insert(behind_s);
        let step_s = behind_s - usual_s;
        if CLOCK_STEP_S < step_s.abs() && CLOCK_KNOWN <= self.clock_heard {
            // From here on this is its habit: the boat's own clock may have been set, and stays so.
            self.clock_s = Some(behind_s);
            return Some(step_s);
        }
        self.clock_heard = self.clock_heard.saturating_add(1);
        self.clock_s = Some(usual_s + step_s * CLOCK_WEIGHT);
        None
    }
    fn hear_stillness(&mut self, at: Timestamp, fix: &Fix, other: Option<Position>) {
        let way_ms = self.way_within(at, SILENT_S).map(|way| way.speed.as_metres_per_second());
        let still = Still { at, place: fix.antenna, stated: fix.stated, way_ms, other };
        self.frozen_since = self.stillness.hear(&still);
        if let (Some(since), Some(base)) = (self.frozen_since, self.base.as_mut()) {
            // What it said since is worth nothing: she may have gone anywhere from where she was then.
            base.at = base.at.min(since);
        }
    }
    fn is_possible(
        &mut self,
        at: Timestamp,
        place: Position,
        other: Option<Position>,
        clock_step_s: Option<f64>,
    ) -> bool {
        let Some(base) = self.base else { return true };
        let went = match (self.doppler.at(at), self.mark) {
            (Some(now), Some(then)) => now.since(then),
            _ => None,
        };
        let now_ms = self.way_within(at, SAME_REPORT_S).map(|way| way.speed.as_metres_per_second());
        let way_ms = match (now_ms, self.way_at_base_ms) {
            (Some(a), Some(b)) => Some(a.max(b)),
            _ => None,
        };
        let witness = Witness { went, way_ms, other, clock_stepped: clock_step_s.is_some() };
        match leap::judge(&base, self.away.as_ref().map(|(leap, _)| leap), at, place, &witness) {
            Step::Possible => {
                self.away = None;
                true
            }
            Step::Away(leap) => {
                let clock_s = self.away.and_then(|(_, clock_s)| clock_s).or(clock_step_s);
                self.away = Some((leap, clock_s));
                false
            }
        }
    }
    fn trust(&mut self, at: Timestamp, place: Position) {
        if self.frozen_since.is_some() {
            return;
        }
        let fixes = self.base.map_or(1, |base| base.fixes.saturating_add(1));
        self.base = Some(Base { at, place, fixes });
        self.mark = self.doppler.at(at);
        self.way_at_base_ms = self.way_within(at, SAME_REPORT_S).map(|way| way.speed.as_metres_per_second());
    }
}

fn is_measured(fix: &Fix) -> bool {
    // Nought north, nought east is what a receiver says that has never known where it is; no boat anchors there.
    let nowhere = fix.antenna.latitude_deg().abs() < 1e-6 && fix.antenna.longitude_deg().abs() < 1e-6;
    !nowhere && !matches!(fix.kind, FixKind::Estimated | FixKind::NotMeasured)
}

fn satellites_are_gone(now: f64, usual: f64) -> bool {
    USUAL_SATELLITES <= usual && (now < FEWEST_SATELLITES || now < GONE_SHARE * usual)
}

fn gone(low_s: Option<f64>, used: u8, usual: Option<f64>) -> Option<Fault> {
    let usual = usual?;
    low_s.is_some_and(|low_s| SUNK_S <= low_s).then_some(Fault::SatellitesGone { used, usual })
}

fn spread_m(fix: &Fix) -> f64 {
    let said = fix.spread.map(Length::as_metres).filter(|said| 0.0 < *said && said.is_finite());
    let by_dilution = fix.dilution.filter(|dilution| 0.0 < *dilution && dilution.is_finite());
    said.or_else(|| by_dilution.map(|dilution| dilution * DILUTION_M)).unwrap_or(match fix.kind {
        FixKind::CarrierPhase => 0.1,
        FixKind::Differential => 1.5,
        _ => UNSAID_SPREAD_M,
    })
}
