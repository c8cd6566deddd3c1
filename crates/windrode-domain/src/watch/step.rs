//! The watch itself: a value that changes only in its step.
//!
//! A step takes one event at one instant. What is seen goes to the receivers and the instruments; a trusted fix goes
//! into a sample; a full sample goes to the drag test; then the word is judged, the guards claim their alarms, and
//! what the world shall do is asked for. The same events at the same instants give the same watch.

mod claims;
mod memory;
mod near;
mod seen;
mod taken;
mod told;
pub mod whereabouts;

use std::collections::{BTreeMap, BTreeSet, VecDeque};

use jiff::Timestamp;

use super::alarm::Alarms;
use super::detector::Detector;
use super::effect::{AlarmKind, Effect};
use super::event::Event;
use super::found::Found;
use super::gather::{Gather, Surroundings};
use super::given::{Drop, Given};
use super::guards::neighbours::NeighbourThreat;
use super::guards::{BatteryGuard, WaterGuard, WindGuard};
use super::judgement::Judged;
use super::leaving::Going;
use super::neighbours::{Fleet, FleetSetup};
use super::own_clock::{OwnClock, after, seconds};
use super::reason::{Reason, Sensor};
use super::receivers::Receivers;
use super::remembered::Leaving;
use super::sample::Sample;
use super::verdict::{AnchorEstimate, Moved, Verdict};
use super::view::{Here, LeftOut, Standing, View};
use crate::position::{Offset, Position};
use crate::units::Length;

/// The watch asks to be called so often, s: silence is noticed a sixth of its limit late at the most.
const CALL_S: f64 = 5.0;
/// The word is judged no more often than this where nothing asks for it, s.
const JUDGE_S: f64 = 1.0;
/// A place is kept on the track so often, s...
const TRACK_S: f64 = 60.0;
/// ...or when she has moved by more than this, m.
const TRACK_M: f64 = 5.0;

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
    /// Those that drag or drift clear of her, and have been told.
    clear_of: BTreeSet<u32>,
    to_tell: Vec<Reason>,
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
    /// Where her anchor lay when she left.
    left: Option<Position>,
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
            clear_of: BTreeSet::new(),
            to_tell: Vec::new(),
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
            left: None,
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
    /// What the world shall do besides ringing.
    fn ask(&mut self, effects: &mut Vec<Effect>) {
        let now = self.clock.now();
        effects.extend(self.to_tell.drain(..).map(Effect::Tell));
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

#[cfg(test)]
mod tests;
