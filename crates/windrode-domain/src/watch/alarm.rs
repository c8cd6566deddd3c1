//! The alarms: ringing, heard, still for a time, past.
//!
//! A guard claims an alarm as long as its reason stands. The first claim rings. Somebody hears it: it is still while
//! its reason stands, unless it worsens by the step of its kind; then it rings again. It may be silenced for a time;
//! after that it rings again if its reason still stands.
//!
//! **What comes and goes is one alarm.** A reason must have been gone for a while, longer for what swings about a limit
//! ([`rests_after_s`]), before it is gone at all: it then takes away an alarm that somebody heard, and leaves one that
//! nobody heard as past, for the crew to see. If it comes again unheard, it is the same alarm since the same instant,
//! and from then on it rings until somebody hears it. An anchor that was called and a circle that was left are never
//! past by themselves: they ring until somebody has looked.

use jiff::{SignedDuration, Timestamp};

use super::effect::{AlarmKind, Effect};
use super::own_clock::{OwnClock, seconds};
use super::reason::Reason;
use super::remembered::RememberedAlarm;
use super::view::{Alarm, Standing};

/// A reason that is gone for less than this still stands, s: one that begins and ends by itself, as a silence does.
const RESTS_AFTER_S: f64 = 60.0;
/// The same of what swings about a limit, s: wind, water and the way she lies come and go in minutes (a gust front, a
/// sheer, a seiche), and what has been away for ten of them has been away (common practice, no source).
const SWINGS_FOR_S: f64 = 600.0;
/// Longest time for which the crew may silence an alarm, h: a night's sleep would be too long.
const SILENCE_MOST: SignedDuration = SignedDuration::from_hours(2);

/// Past alarms that are kept for the crew to see: in a busy roads every neighbour leaves one, and nobody reads more.
const PAST_MOST: usize = 64;

/// What a guard claims.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Claim {
    /// Which alarm.
    pub(super) kind: AlarmKind,
    /// Why.
    pub(super) reason: Reason,
    /// How bad, in the kind's own measure (see [`is_worse`]).
    pub(super) measure: f64,
}

/// An alarm that is held.
#[derive(Clone, Debug, PartialEq)]
struct Held {
    kind: AlarmKind,
    reason: Reason,
    measure: f64,
    heard_at: f64,
    heard_code: Option<&'static str>,
    since: Timestamp,
    claimed: Timestamp,
    standing: Standing,
    cleared: bool,
    /// It was past unheard, and came again: it rings until somebody hears it.
    came_again: bool,
}

/// The alarms.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Alarms {
    held: Vec<Held>,
}

/// Whether an alarm is so much worse than when somebody last heard it that it must ring again. Common practice, no
/// source: each step is one that a crew which went back to sleep would want to be woken for.
fn is_worse(kind: AlarmKind, heard: f64, now: f64) -> bool {
    match kind {
        // Metres: twice as far, and 5 m, for twice a decimetre is no news.
        AlarmKind::Dragging | AlarmKind::OutsideCircle => (2.0 * heard).max(heard + 5.0) <= now,
        // Metres under the keel: 0.2 m less.
        AlarmKind::Water => now <= heard - 0.2,
        // Metres a second: 5 kn more.
        AlarmKind::WindAboveProof | AlarmKind::WindAboveForecast => heard + 2.6 <= now,
        // Degrees: three points more.
        AlarmKind::WindShift => heard + 34.0 <= now,
        // Metres to her hull: half.
        AlarmKind::Neighbour(_) => now <= 0.5 * heard && now + 1.0 <= heard,
        // Volts: half a volt less.
        AlarmKind::Battery => now <= heard - 0.5,
        AlarmKind::Blind
        | AlarmKind::SensorSilent
        | AlarmKind::ReceiversDisagree
        | AlarmKind::PlanOvertaken => false,
    }
}

/// How long a reason must be gone to be gone, s.
const fn rests_after_s(kind: AlarmKind) -> f64 {
    match kind {
        AlarmKind::OutsideCircle
        | AlarmKind::Water
        | AlarmKind::WindAboveProof
        | AlarmKind::WindAboveForecast
        | AlarmKind::WindShift
        | AlarmKind::PlanOvertaken => SWINGS_FOR_S,
        // Heard and gone and come anew, each of these is news: a boat that is blind again, an anchor that goes again.
        AlarmKind::Dragging
        | AlarmKind::Blind
        | AlarmKind::Neighbour(_)
        | AlarmKind::Battery
        | AlarmKind::SensorSilent
        | AlarmKind::ReceiversDisagree => RESTS_AFTER_S,
    }
}

/// Whether it rings until somebody hears it, though its reason goes.
const fn rings_on(kind: AlarmKind) -> bool {
    matches!(kind, AlarmKind::Dragging | AlarmKind::OutsideCircle)
}

impl Alarms {
    /// As they stood when the watch broke off; what rang then rings again.
    pub(super) fn resumed(kept: &[RememberedAlarm], broke_off: Timestamp, now: Timestamp) -> Self {
        let held = |alarm: &RememberedAlarm| Held {
            kind: alarm.kind,
            reason: Reason::StoodBefore { broke_off },
            measure: alarm.heard_at,
            heard_at: alarm.heard_at,
            heard_code: None,
            since: alarm.since,
            claimed: now,
            standing: alarm.standing,
            cleared: alarm.cleared,
            came_again: false,
        };
        Self { held: kept.iter().map(held).collect() }
    }
    /// What must be kept.
    pub(super) fn remember(&self, clock: &OwnClock) -> Vec<RememberedAlarm> {
        let kept = |held: &Held| RememberedAlarm {
            kind: held.kind,
            since: clock.as_told(held.since),
            standing: told(held.standing, clock),
            heard_at: if held.standing == Standing::Ringing { held.measure } else { held.heard_at },
            cleared: held.cleared,
        };
        self.held.iter().map(kept).collect()
    }
    /// Those that ring.
    pub(super) fn ringing(&self) -> impl Iterator<Item = AlarmKind> {
        self.held.iter().filter(|held| held.rings()).map(|held| held.kind)
    }
    /// Whether this one has been rung and nobody has heard it.
    pub(super) fn is_unheard(&self, kind: AlarmKind) -> bool {
        self.held.iter().any(|held| held.kind == kind && held.rings())
    }
    /// As they are shown: ringing first, and most urgent first among those that stand alike.
    pub(super) fn shown(&self, clock: &OwnClock) -> Vec<Alarm> {
        let mut shown: Vec<&Held> = self.held.iter().filter(|held| !held.cleared).collect();
        shown.sort_by_key(|held| (rank(held.standing), held.kind));
        let show = |held: &Held| Alarm {
            kind: held.kind,
            reason: held.reason.clone(),
            since: clock.as_told(held.since),
            standing: told(held.standing, clock),
        };
        shown.into_iter().map(show).collect()
    }

    /// All that is claimed now; what is not claimed any more comes to rest.
    pub(super) fn judge(&mut self, claims: Vec<Claim>, now: Timestamp, effects: &mut Vec<Effect>) {
        for claim in claims {
            if let Some(held) = self.held.iter_mut().find(|held| held.kind == claim.kind) {
                held.claim_again(claim, now, effects);
            } else {
                effects.push(Effect::Ring(claim.kind));
                self.held.push(Held::first(claim, now));
            }
        }
        self.held.retain_mut(|held| held.stays(now, effects));
        while PAST_MOST < self.held.iter().filter(|held| held.standing == Standing::Past).count() {
            let past = |held: &&Held| held.standing == Standing::Past;
            let Some(oldest) = self.held.iter().filter(past).map(|held| held.since).min() else { return };
            self.held.retain(|held| held.standing != Standing::Past || held.since != oldest);
        }
    }
    /// Somebody heard it.
    pub(super) fn acknowledge(&mut self, kind: AlarmKind, effects: &mut Vec<Effect>) {
        let Some(held) = self.held.iter_mut().find(|held| held.kind == kind) else { return };
        let past = held.standing == Standing::Past;
        held.be_still(Standing::Acknowledged, effects);
        if past {
            self.held.retain(|held| held.kind != kind);
        }
    }
    /// It shall be still for a time.
    pub(super) fn silence(
        &mut self,
        kind: AlarmKind,
        lasting: SignedDuration,
        now: Timestamp,
        effects: &mut Vec<Effect>,
    ) {
        let lasting = lasting.clamp(SignedDuration::ZERO, SILENCE_MOST);
        let until = now.checked_add(lasting).unwrap_or(Timestamp::MAX);
        if let Some(held) = self.held.iter_mut().find(|held| held.kind == kind) {
            held.be_still(Standing::Silenced(until), effects);
        }
    }
    /// The crew is done with it until its reason has gone and comes again.
    pub(super) fn clear(&mut self, kind: AlarmKind, effects: &mut Vec<Effect>) {
        if let Some(held) = self.held.iter_mut().find(|held| held.kind == kind) {
            held.be_still(Standing::Acknowledged, effects);
            held.cleared = true;
        }
    }
}

impl Held {
    fn first(claim: Claim, now: Timestamp) -> Self {
        let Claim { kind, reason, measure } = claim;
        Self {
            kind,
            reason,
            measure,
            heard_at: measure,
            heard_code: None,
            since: now,
            claimed: now,
            standing: Standing::Ringing,
            cleared: false,
            came_again: false,
        }
    }
    fn rings(&self) -> bool {
        self.standing == Standing::Ringing && !self.cleared
    }
    fn claim_again(&mut self, claim: Claim, now: Timestamp, effects: &mut Vec<Effect>) {
        let Claim { kind, reason, measure } = claim;
        let is_new = self.heard_code.is_some_and(|code| code != reason.code());
        let again = match self.standing {
            Standing::Ringing => false,
            Standing::Past => true,
            Standing::Silenced(until) => until <= now || is_new || is_worse(kind, self.heard_at, measure),
            Standing::Acknowledged => is_new || is_worse(kind, self.heard_at, measure),
        };
        self.came_again |= self.standing == Standing::Past;
        (self.reason, self.measure, self.claimed) = (reason, measure, now);
        if again {
            (self.standing, self.cleared, self.heard_code) = (Standing::Ringing, false, None);
            effects.push(Effect::Ring(kind));
        }
    }
    fn be_still(&mut self, standing: Standing, effects: &mut Vec<Effect>) {
        if self.rings() {
            effects.push(Effect::Quiet(self.kind));
        }
        (self.standing, self.heard_at, self.heard_code) = (standing, self.measure, Some(self.reason.code()));
        self.came_again = false;
    }
    /// Whether it is still held, after what has not been claimed for a while has come to rest.
    fn stays(&mut self, now: Timestamp, effects: &mut Vec<Effect>) -> bool {
        // What the crew are done with comes anew as soon as it has been gone at all.
        let rests_after_s = if self.cleared { RESTS_AFTER_S } else { rests_after_s(self.kind) };
        if seconds(now, self.claimed) < rests_after_s {
            return true;
        }
        match self.standing {
            Standing::Ringing if self.came_again || rings_on(self.kind) => true,
            Standing::Ringing => {
                effects.push(Effect::Quiet(self.kind));
                self.standing = Standing::Past;
                true
            }
            Standing::Past => true,
            Standing::Acknowledged | Standing::Silenced(_) => false,
        }
    }
}

const fn rank(standing: Standing) -> u8 {
    match standing {
        Standing::Ringing => 0,
        Standing::Silenced(_) => 1,
        Standing::Acknowledged => 2,
        Standing::Past => 3,
    }
}

fn told(standing: Standing, clock: &OwnClock) -> Standing {
    match standing {
        Standing::Silenced(until) => Standing::Silenced(clock.as_told(until)),
        other => other,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Length;
    use crate::watch::own_clock::after;

    fn second(seconds: u32) -> Timestamp {
        after(Timestamp::UNIX_EPOCH, f64::from(seconds))
    }

    fn gone(metres: f64) -> Claim {
        let reason = Reason::OutsideCircle { from_middle: Length::metres(metres), radius: Length::ZERO };
        Claim { kind: AlarmKind::Dragging, reason, measure: metres }
    }

    fn judged(alarms: &mut Alarms, claim: Option<Claim>, at_s: u32) -> Vec<Effect> {
        let mut effects = Vec::new();
        alarms.judge(claim.into_iter().collect(), second(at_s), &mut effects);
        effects
    }

    fn standing(alarms: &Alarms) -> Option<Standing> {
        alarms.shown(&OwnClock::new(second(0))).first().map(|alarm| alarm.standing)
    }

    const RING: Effect = Effect::Ring(AlarmKind::Dragging);
    const QUIET: Effect = Effect::Quiet(AlarmKind::Dragging);

    #[test]
    fn what_was_heard_rings_again_at_twice_the_metres_and_not_before() {
        let mut alarms = Alarms::default();
        assert_eq!(judged(&mut alarms, Some(gone(10.0)), 0), [RING]);
        let mut effects = Vec::new();
        alarms.acknowledge(AlarmKind::Dragging, &mut effects);
        assert_eq!(effects, [QUIET]);
        assert_eq!(judged(&mut alarms, Some(gone(19.9)), 10), []);
        assert_eq!(judged(&mut alarms, Some(gone(20.0)), 20), [RING]);
    }

    #[test]
    fn what_is_silenced_rings_again_when_its_time_is_over_or_it_worsens() {
        for (metres, at_s, rings) in [(11.0, 599, false), (11.0, 600, true), (21.0, 30, true)] {
            let mut alarms = Alarms::default();
            judged(&mut alarms, Some(gone(10.0)), 0);
            let ten_minutes = SignedDuration::from_mins(10);
            alarms.silence(AlarmKind::Dragging, ten_minutes, second(0), &mut Vec::new());
            assert_eq!(standing(&alarms), Some(Standing::Silenced(second(600))));
            assert_eq!(
                judged(&mut alarms, Some(gone(metres)), at_s),
                if rings { vec![RING] } else { vec![] }
            );
        }
    }

    fn shifted(degrees: f64) -> Claim {
        Claim { kind: AlarmKind::WindShift, ..gone(degrees) }
    }

    #[test]
    fn a_reason_that_has_gone_leaves_what_nobody_heard_and_takes_away_what_somebody_did() {
        let mut alarms = Alarms::default();
        judged(&mut alarms, Some(shifted(50.0)), 0);
        assert_eq!(judged(&mut alarms, None, 599), []);
        assert_eq!(judged(&mut alarms, None, 600), [Effect::Quiet(AlarmKind::WindShift)]);
        assert_eq!(standing(&alarms), Some(Standing::Past));
        assert_eq!(judged(&mut alarms, Some(shifted(50.0)), 700), [Effect::Ring(AlarmKind::WindShift)]);
        alarms.acknowledge(AlarmKind::WindShift, &mut Vec::new());
        judged(&mut alarms, None, 1_300);
        assert_eq!(standing(&alarms), None);
    }

    #[test]
    fn what_comes_and_goes_unheard_is_one_alarm_however_often() {
        // An hour in the limit's reach, half an hour away from it, again and again through a night.
        for (away_s, most) in [(300, 1), (1_800, 2)] {
            let mut alarms = Alarms::default();
            let mut rang = 0;
            for minute in 0..720_u32 {
                let stands = (minute * 60) % (away_s + 900) < 900;
                let effects = judged(&mut alarms, stands.then(|| shifted(50.0)), minute * 60);
                rang += effects.iter().filter(|effect| matches!(effect, Effect::Ring(_))).count();
            }
            assert_eq!(rang, most, "{away_s}");
            let shown = alarms.shown(&OwnClock::new(second(0)));
            assert_eq!((shown.len(), shown[0].since, shown[0].standing), (1, second(0), Standing::Ringing));
        }
    }

    #[test]
    fn an_anchor_that_was_called_rings_until_somebody_hears_it() {
        let mut alarms = Alarms::default();
        judged(&mut alarms, Some(gone(10.0)), 0);
        assert_eq!(judged(&mut alarms, None, 30_000), []);
        assert_eq!(standing(&alarms), Some(Standing::Ringing));
        let mut effects = Vec::new();
        alarms.acknowledge(AlarmKind::Dragging, &mut effects);
        assert_eq!(effects, [QUIET]);
        judged(&mut alarms, None, 30_060);
        assert_eq!(standing(&alarms), None);
        assert_eq!(judged(&mut alarms, Some(gone(3.0)), 30_070), [RING], "what goes again is news");
    }

    #[test]
    fn what_was_heard_is_still_while_it_swings_about_its_limit_unless_it_worsens() {
        let mut alarms = Alarms::default();
        judged(&mut alarms, Some(shifted(50.0)), 0);
        alarms.acknowledge(AlarmKind::WindShift, &mut Vec::new());
        judged(&mut alarms, None, 500);
        assert_eq!(judged(&mut alarms, Some(shifted(52.0)), 590), []);
        assert_eq!(judged(&mut alarms, Some(shifted(84.0)), 600), [Effect::Ring(AlarmKind::WindShift)]);
    }

    #[test]
    fn what_is_cleared_is_not_shown_and_rings_anew_only_when_it_comes_again_or_worsens() {
        let mut alarms = Alarms::default();
        judged(&mut alarms, Some(gone(10.0)), 0);
        alarms.clear(AlarmKind::Dragging, &mut Vec::new());
        assert_eq!(judged(&mut alarms, Some(gone(10.0)), 10), []);
        assert_eq!(standing(&alarms), None);
        judged(&mut alarms, None, 80);
        assert_eq!(judged(&mut alarms, Some(gone(10.0)), 90), [RING]);
    }

    #[test]
    fn what_rang_when_the_watch_broke_off_rings_and_what_was_heard_then_is_still() {
        let clock = OwnClock::new(second(0));
        let mut alarms = Alarms::default();
        judged(&mut alarms, Some(gone(10.0)), 0);
        let again = Alarms::resumed(&alarms.remember(&clock), second(0), second(30));
        assert!(again.ringing().eq([AlarmKind::Dragging]));
        alarms.acknowledge(AlarmKind::Dragging, &mut Vec::new());
        let mut again = Alarms::resumed(&alarms.remember(&clock), second(0), second(30));
        assert_eq!(judged(&mut again, Some(gone(12.0)), 40), []);
        assert_eq!(judged(&mut again, Some(gone(20.0)), 50), [RING]);
    }
}
