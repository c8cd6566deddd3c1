//! The watch itself: a value that changes only in its step.
//!
//! A step takes one event at one instant. What is seen goes to the receivers and the instruments; a trusted fix goes
//! into a sample; a full sample goes to the drag test; then the word is judged, the guards claim their alarms, and
//! what the world shall do is asked for. The same events at the same instants give the same watch.

mod memory;
mod near;
mod seen;
mod told;
pub mod whereabouts;

use std::collections::{BTreeMap, VecDeque};

use jiff::Timestamp;

use super::alarm::{Alarms, Claim};
use super::detector::Detector;
use super::effect::{AlarmKind, Effect};
use super::event::Event;
use super::found::Found;
use super::gather::{Gather, Surroundings};
use super::given::{Drop, Given};
use super::guards::neighbours::NeighbourThreat;
use super::guards::{BatteryGuard, WaterBy, WaterGuard, WindGuard, silence};
use super::judgement::{self, Judged};
use super::leaving::{Going, Way};
use super::neighbours::{Fleet, FleetSetup};
use super::own_clock::{OwnClock, after, seconds};
use super::reason::{Reason, Sensor};
use super::receivers::Receivers;
use super::remembered::Leaving;
use super::sample::Sample;
use super::verdict::{AnchorEstimate, Moved, Verdict};
use super::view::{Here, LeftOut, Standing, View};
use crate::position::{Offset, Position};
use crate::units::{Length, Speed};

/// The watch asks to be called so often, s: silence is noticed a sixth of its limit late at the most.
const CALL_S: f64 = 5.0;
/// The word is judged no more often than this where nothing asks for it, s.
const JUDGE_S: f64 = 1.0;
/// A place is kept on the track so often, s...
const TRACK_S: f64 = 60.0;
/// ...or when she has moved by more than this, m.
const TRACK_M: f64 = 5.0;
/// Blindness at the beginning rings after so long, s: a receiver that was just switched on needs half a minute.
const FIRST_FIX_S: f64 = 60.0;
/// Samples further apart than this are too few to show a swing, s: a sheer takes a minute or two.
const SELDOM_S: f64 = 60.0;
/// Samples over which the longest interval is taken: five minutes of a receiver that speaks each second.
const INTERVALS: usize = 60;
/// Engine above this turns, rpm.
const TURNS_RPM: f64 = 1.0;
/// A word of the engine is good for so long, s.
const ENGINE_S: f64 = 60.0;

/// A watch.
#[expect(clippy::struct_excessive_bools, reason = "facts of a night that are independent of each other")]
#[derive(Clone, Debug)]
pub struct Watch {
    given: Given,
    clock: OwnClock,
    from: Timestamp,
    receivers: Receivers,
    gather: Gather,
    going: Going,
    wind: WindGuard,
    water: WaterGuard,
    battery: BatteryGuard,
    fleet: Fleet,
    threats: BTreeMap<u32, NeighbourThreat>,
    looked_round: Option<Timestamp>,
    alarms: Alarms,
    origin: Option<Position>,
    detector: Option<Detector>,
    sample: Option<Sample>,
    found: Option<Found>,
    last_known: Timestamp,
    any_fix: bool,
    arc_seen: u64,
    intervals_s: VecDeque<f64>,
    dragging: bool,
    moved: Option<Moved>,
    leaving: Option<(Leaving, Reason)>,
    may_leave: Option<Reason>,
    engine_told: bool,
    engine: Option<(Timestamp, f64)>,
    drop_told: Option<Drop>,
    drop_left: bool,
    rode_told: Option<Length>,
    before: Option<(Verdict, Timestamp)>,
    anchor_before: Option<AnchorEstimate>,
    sensors_before: Vec<Sensor>,
    word: (Verdict, Vec<Reason>),
    since: Timestamp,
    left_out: LeftOut,
    judged: Option<Timestamp>,
    called: Option<Timestamp>,
    tracked: Option<(Timestamp, Offset, Verdict)>,
    published: Option<Published>,
    ring_again: bool,
}

/// What was last published, as far as a change of it asks for another.
#[derive(Clone, Debug, PartialEq)]
struct Published {
    verdict: Verdict,
    codes: Vec<&'static str>,
    backstop: bool,
    alarms: Vec<(AlarmKind, Standing, &'static str)>,
}

impl Watch {
    /// A watch that is taken when it was given.
    pub fn new(given: Given) -> Self {
        let now = given.from;
        let waited = now.duration_since(now);
        Self {
            clock: OwnClock::new(now),
            from: now,
            receivers: Receivers::new(given.boat.length),
            gather: Gather::default(),
            going: Going::default(),
            wind: WindGuard::default(),
            water: WaterGuard::default(),
            battery: BatteryGuard::default(),
            fleet: Fleet::new(FleetSetup::default()),
            threats: BTreeMap::new(),
            looked_round: None,
            alarms: Alarms::default(),
            origin: None,
            detector: None,
            sample: None,
            found: None,
            last_known: now,
            any_fix: false,
            arc_seen: 0,
            intervals_s: VecDeque::new(),
            dragging: false,
            moved: None,
            leaving: None,
            may_leave: None,
            engine_told: false,
            engine: None,
            drop_told: None,
            drop_left: false,
            rode_told: None,
            before: None,
            anchor_before: None,
            sensors_before: Vec::new(),
            word: (Verdict::Blind, vec![Reason::NoFixYet { waited }]),
            since: now,
            left_out: LeftOut::default(),
            judged: None,
            called: None,
            tracked: None,
            published: None,
            ring_again: false,
            given,
        }
    }

    /// What happened, at this instant by the boat's own clock; what the watch asks for is appended to `effects`.
    ///
    /// Of one instant, the heading, the wind and the way are to be told before the fix. An event of the past is taken
    /// as it is, unless a later one of the same kind from the same source came before it.
    pub fn step(&mut self, event: &Event, now: Timestamp, effects: &mut Vec<Effect>) {
        let own = self.clock.advance(now);
        if core::mem::take(&mut self.ring_again) {
            effects.extend(self.alarms.ringing().map(Effect::Ring));
        }
        let asks = match event {
            Event::Observed(observation) => self.hear(observation),
            Event::Told(told) => {
                self.hear_told(told, effects);
                true
            }
            Event::Neighbour(report) => {
                self.hear_neighbour(report);
                false
            }
            Event::Tick => true,
        };
        self.look_round();
        let mut samples = Vec::new();
        self.with_surroundings(|gather, by| gather.tick(by, &mut samples));
        self.take(&samples);
        if asks || !samples.is_empty() || self.judged.is_none_or(|last| JUDGE_S <= seconds(own, last)) {
            self.judge(effects);
        }
        self.ask(effects);
    }

    /// The vessels near by, each with what is said of her.
    pub const fn neighbours(&self) -> &Fleet {
        &self.fleet
    }

    /// What it was given, with what the crew told since.
    pub const fn given(&self) -> &Given {
        &self.given
    }

    /// What it shows now.
    pub fn view(&self) -> View {
        let now = self.clock.now();
        View {
            at: self.clock.as_told(now),
            verdict: self.word.0,
            since: self.clock.as_told(self.since),
            reasons: self.word.1.clone(),
            anchor: self.anchor(),
            moved: self.moved_told(),
            backstop: self.found.is_some_and(|found| found.outside_circle),
            alarms: self.alarms.shown(&self.clock),
            here: self.here(),
            receivers: self.receivers.seen(now),
            left_out: self.left_out,
        }
    }

    fn anchor(&self) -> Option<AnchorEstimate> {
        let (Some(found), Some(origin)) = (self.found, self.origin) else { return self.anchor_before };
        let [east_m2, both_m2, north_m2] = found.anchor_covariance_m2;
        // The larger root of the covariance's characteristic equation.
        let half_m2 = 0.5 * (east_m2 + north_m2);
        let worse_m2 = half_m2 + (0.5 * (east_m2 - north_m2)).hypot(both_m2);
        let spread = Length::metres(worse_m2.max(0.0).sqrt());
        Some(AnchorEstimate { at: origin.plus(found.anchor), spread })
    }
    fn moved_told(&self) -> Option<Moved> {
        self.moved.map(|moved| Moved { since: moved.since.map(|since| self.clock.as_told(since)), ..moved })
    }
    fn here(&self) -> Option<Here> {
        let (sample, origin) = (self.sample?, self.origin?);
        Some(Here {
            at: self.clock.as_told(sample.at),
            place: origin.plus(sample.place),
            at_bow: sample.at_bow,
            heading: sample.heading,
            wind: sample.wind,
            depth: sample.depth,
        })
    }

    fn with_surroundings(&mut self, act: impl FnOnce(&mut Gather, Surroundings<'_>)) {
        let Some(origin) = self.origin else { return };
        let now = self.clock.now();
        let told = self.clock.as_told(now);
        let by = Surroundings { given: &self.given, origin, receivers: &self.receivers, now, told };
        act(&mut self.gather, by);
    }

    /// Samples that are full go to the drag test.
    fn take(&mut self, samples: &[Sample]) {
        for sample in samples {
            let Some(origin) = self.origin else { return };
            self.sample = Some(*sample);
            if matches!(self.leaving, Some((Leaving::Told, _))) {
                continue;
            }
            let given = &self.given;
            let detector = self.detector.get_or_insert_with(|| Detector::new(given, origin, sample));
            let found = detector.step(sample);
            self.found = Some(found);
            self.before = None;
            self.see_interval(sample);
            self.see_arc(sample, &found);
            self.see_way(sample, &found);
            self.see_dragging(&found);
        }
    }
    fn see_arc(&mut self, sample: &Sample, found: &Found) {
        let from_anchor = sample.place - found.anchor;
        let tens = (from_anchor.bearing().as_degrees() / 10.0).floor();
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a bearing is in [0, 360)"
        )]
        let tens = tens as u32 % 36;
        self.arc_seen |= 1 << tens;
    }
    fn see_way(&mut self, sample: &Sample, found: &Found) {
        let engine = self.engine_runs();
        let anchor = found.settled.then_some(found.anchor);
        let said = self.receivers.used_way(sample.at);
        let way = self.going.hear(sample, said.as_ref(), anchor, engine);
        match (&self.leaving, way) {
            (None, Way::Leaves(reason)) => {
                self.leaving = Some((Leaving::Seen, reason));
                self.may_leave = None;
            }
            (None, Way::MayLeave(reason)) => self.may_leave = Some(reason),
            (None, Way::Lies) => self.may_leave = None,
            (Some((Leaving::Seen, _)), Way::Leaves(reason)) => self.leaving = Some((Leaving::Seen, reason)),
            (Some((Leaving::Seen, _)), _) if self.going.lies_still(sample.at) => self.begin_anew(None),
            (Some(_), _) => {}
        }
    }
    fn see_dragging(&mut self, found: &Found) {
        if found.dragging
            && self.too_seldom_s().is_none()
            && self.leaving.is_none()
            && self.may_leave.is_none()
            && self.drop_elsewhere().is_none()
        {
            self.dragging = true;
        }
        if !self.dragging || !found.dragging {
            return;
        }
        if let Some(gone) = found.gone {
            let distance = gone.by.length();
            self.moved = Some(Moved {
                distance,
                spread: Length::metres(gone.spread_m),
                toward: (Length::ZERO < distance).then(|| gone.by.bearing()),
                since: Some(gone.since),
                speed_ms: Some(gone.speed_ms),
            });
        }
    }
    /// A drop that is not hers says nothing of her anchor: that is told, and the plain circle about it rings.
    fn drop_elsewhere(&self) -> Option<[Length; 2]> {
        let (_, fix) = self.receivers.last_trusted()?;
        judgement::drop_elsewhere(&self.given, fix)
    }
    fn see_interval(&mut self, sample: &Sample) {
        self.intervals_s.push_back(sample.seconds);
        while INTERVALS < self.intervals_s.len() {
            self.intervals_s.pop_front();
        }
    }
    /// Of a boat whose rode, drop and wind are all unknown, a place every few minutes tells a drag from a swing about
    /// an unknown radius to nobody: she is doubtful, and the plain circle stands guard. The longest interval then, s.
    fn too_seldom_s(&self) -> Option<f64> {
        let wind = self.sample.is_some_and(|sample| sample.wind.is_some());
        let known = self.given.rode.is_some() || self.given.drop.is_some() || wind;
        let longest_s = self.intervals_s.iter().copied().fold(0.0, f64::max);
        (!known && SELDOM_S <= longest_s).then_some(longest_s)
    }
    /// The estimate begins anew: she lies to another anchor, or to the same one somewhere else.
    fn begin_anew(&mut self, drop: Option<Drop>) {
        (self.given.drop, self.drop_told, self.drop_left) = (drop, drop, true);
        (self.detector, self.found, self.before, self.anchor_before) = (None, None, None, None);
        (self.dragging, self.moved, self.leaving, self.may_leave) = (false, None, None, None);
        self.arc_seen = 0;
        self.from = self.clock.now();
        self.going.begin_anew();
        self.origin = drop.map(|drop| drop.at).or(self.origin);
        if drop.is_some() {
            // What was gathered is reckoned from the origin before.
            self.gather.begin_anew();
            self.tracked = None;
        }
    }
    fn engine_runs(&self) -> bool {
        let turns =
            |(at, rpm): (Timestamp, f64)| seconds(self.clock.now(), at) <= ENGINE_S && TURNS_RPM < rpm;
        self.engine_told || self.engine.is_some_and(turns)
    }

    fn judge(&mut self, effects: &mut Vec<Effect>) {
        let now = self.clock.now();
        self.judged = Some(now);
        self.receivers.choose(now);
        let (word, blind) = {
            let judged = self.judged();
            (judged.judge(), judged.is_blind())
        };
        if word.0 != self.word.0 {
            self.since = now;
        }
        self.word = word;
        let claims = self.claims(blind);
        self.alarms.judge(claims, now, effects);
    }
    fn judged(&self) -> Judged<'_> {
        Judged {
            clock: &self.clock,
            from: self.from,
            last_known: self.last_known,
            any_fix: self.any_fix,
            receivers: &self.receivers,
            sample: self.sample.as_ref(),
            found: self.found.as_ref(),
            drop_elsewhere: self.drop_elsewhere(),
            rode_known: self.given.rode.is_some(),
            arc_seen: self.arc_seen,
            too_seldom_s: self.too_seldom_s(),
            dragging: self.dragging,
            moved: self.moved.as_ref(),
            leaving: self.leaving.as_ref().map(|(how, reason)| (*how, reason)),
            may_leave: self.may_leave.as_ref(),
            before: self.before,
        }
    }
    fn claims(&mut self, blind: bool) -> Vec<Claim> {
        let mut claims = Vec::new();
        self.claim_anchor(blind, &mut claims);
        let now = self.clock.now();
        let told = self.clock.as_told(now);
        let lies = self.leaving.is_none();
        if lies {
            let shift_deg = self.given.limits.wind_shift_deg;
            self.wind.judge(self.given.expected.as_ref(), shift_deg, [now, told], &mut claims);
        }
        let place = self.sample.map(|sample| sample.place);
        let mut water = Vec::new();
        self.water.judge(WaterBy { given: &self.given, place, now, told }, &mut water);
        claims.extend(water.into_iter().filter(|claim| lies || claim.kind == AlarmKind::Water));
        claims.extend(self.plan_claim().filter(|_| lies));
        claims.extend(self.battery.judge(self.given.limits.battery_v, now));
        claims.extend(self.silence_claim(now));
        claims.extend(self.threats.values().map(neighbour_claim));
        one_of_each(claims)
    }
    fn claim_anchor(&self, blind: bool, claims: &mut Vec<Claim>) {
        let told = matches!(self.leaving, Some((Leaving::Told, _)));
        let seen = matches!(self.leaving, Some((Leaving::Seen, _)));
        // What rang before she was seen to leave rings until somebody hears it: it may have been a drag after all.
        let stands = |kind| !told && (!seen || self.alarms.is_unheard(kind));
        if self.dragging && stands(AlarmKind::Dragging) {
            let distance = self.moved.map_or(Length::ZERO, |moved| moved.distance);
            let first = self.word.1.first().filter(|first| matches!(first, Reason::AnchorGone { .. }));
            let reason = first.cloned().unwrap_or(Reason::AnchorGone {
                distance,
                spread: self.moved.map_or(Length::ZERO, |moved| moved.spread),
                toward: self.moved.and_then(|moved| moved.toward),
                speed: self.moved.and_then(|moved| moved.speed_ms).map(Speed::metres_per_second),
                began: self.moved_told().and_then(|moved| moved.since),
            });
            claims.push(Claim { kind: AlarmKind::Dragging, reason, measure: distance.as_metres() });
        }
        let outside = self.found.filter(|found| found.outside_circle && stands(AlarmKind::OutsideCircle));
        if let Some(found) = outside {
            let measure = found.from_circle_m - found.circle_m;
            let reason = judgement::outside(&found);
            claims.push(Claim { kind: AlarmKind::OutsideCircle, reason, measure });
        }
        let now = self.clock.now();
        let waits = !self.any_fix && seconds(now, self.last_known) < FIRST_FIX_S;
        if blind && !waits && !told {
            let first = self.word.1.iter().find(|reason| is_blindness(reason)).cloned();
            let lasting = now.duration_since(self.last_known);
            let reason = first.unwrap_or(Reason::NoFixYet { waited: lasting });
            claims.push(Claim { kind: AlarmKind::Blind, reason, measure: lasting.as_secs_f64() });
        }
        if let Some(apart) = self.receivers.disagreement(now) {
            let (used, other, limit) = (apart.used, apart.other, apart.limit);
            let reason = Reason::ReceiversDisagree { used, other, apart: apart.apart, limit };
            let measure = apart.apart.as_metres();
            claims.push(Claim { kind: AlarmKind::ReceiversDisagree, reason, measure });
        }
    }
    fn plan_claim(&self) -> Option<Claim> {
        use crate::plan::sheet::Verdict as Plan;
        let reason = match self.given.expected.as_ref()?.verdict? {
            Plan::DoNotLieHere => Reason::PlanForbids,
            Plan::CannotSay => Reason::PlanCannotSay,
            Plan::LiesWell | Plan::LiesWithCare => return None,
        };
        Some(Claim { kind: AlarmKind::PlanOvertaken, reason, measure: 0.0 })
    }
    fn silence_claim(&self, now: Timestamp) -> Option<Claim> {
        let [heading, wind, sounder] = self.gather.intervals();
        let battery = self.battery.interval();
        let sensors = [
            (Sensor::Heading, heading),
            (Sensor::Wind, wind),
            (Sensor::Sounder, sounder),
            (Sensor::Battery, battery),
        ];
        silence(sensors.into_iter(), &self.sensors_before, self.given.limits.silence_s, [self.from, now])
    }

    /// What the world shall do besides ringing.
    fn ask(&mut self, effects: &mut Vec<Effect>) {
        let now = self.clock.now();
        if let Some(sample) = self.sample {
            let moved = |place: Offset| TRACK_M < place.distance_to(sample.place).as_metres();
            let stale = |(at, place, verdict): (Timestamp, Offset, Verdict)| {
                TRACK_S <= seconds(sample.at, at) || moved(place) || verdict != self.word.0
            };
            if self.tracked.is_none_or(stale) {
                self.tracked = Some((sample.at, sample.place, self.word.0));
                effects.push(Effect::Track);
            }
        }
        let shown = self.alarms.shown(&self.clock);
        let face = Published {
            verdict: self.word.0,
            codes: self.word.1.iter().map(Reason::code).collect(),
            backstop: self.found.is_some_and(|found| found.outside_circle),
            alarms: shown.iter().map(|alarm| (alarm.kind, alarm.standing, alarm.reason.code())).collect(),
        };
        if self.published.as_ref() != Some(&face) {
            self.published = Some(face);
            effects.push(Effect::Publish);
        }
        if self.called.is_none_or(|call| call <= now) {
            let call = after(now, CALL_S);
            self.called = Some(call);
            effects.push(Effect::CallAt(self.clock.as_told(call)));
        }
    }
}

fn neighbour_claim(threat: &NeighbourThreat) -> Claim {
    Claim {
        kind: AlarmKind::Neighbour(threat.mmsi),
        reason: Reason::Neighbour(threat.clone()),
        measure: threat.nearest.as_metres(),
    }
}

const fn is_blindness(reason: &Reason) -> bool {
    matches!(reason, Reason::NoUsableFix { .. } | Reason::NoFixYet { .. })
}

/// The first claim of each kind: guards speak in order of urgency.
fn one_of_each(claims: Vec<Claim>) -> Vec<Claim> {
    let mut kept: Vec<Claim> = Vec::with_capacity(claims.len());
    for claim in claims {
        if !kept.iter().any(|other| other.kind == claim.kind) {
            kept.push(claim);
        }
    }
    kept
}

#[cfg(test)]
mod tests;
