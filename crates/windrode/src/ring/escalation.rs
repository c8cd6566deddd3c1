//! When nobody gets up: an alarm that has rung unheard for a time is made louder and sent on.

use std::collections::BTreeMap;

use jiff::{SignedDuration, Timestamp};
use windrode_domain::watch::effect::AlarmKind;
use windrode_domain::watch::view::{Alarm, Standing};

use super::{Urgency, urgency};

/// Which alarms ring, since when, and which have been escalated.
#[derive(Clone, Debug)]
pub(crate) struct Escalation {
    after: SignedDuration,
    ringing: BTreeMap<AlarmKind, (Timestamp, bool)>,
}

impl Escalation {
    /// After so long.
    pub(crate) const fn after(after: SignedDuration) -> Self {
        Self { after, ringing: BTreeMap::new() }
    }

    /// Looks at the alarms that stand; those that have just rung for too long are given back.
    pub(crate) fn look(&mut self, alarms: &[Alarm], now: Timestamp) -> Vec<AlarmKind> {
        let rings = |kind: &AlarmKind| {
            alarms.iter().any(|alarm| alarm.kind == *kind && alarm.standing == Standing::Ringing)
        };
        self.ringing.retain(|kind, _| rings(kind));
        for alarm in alarms.iter().filter(|alarm| alarm.standing == Standing::Ringing) {
            self.ringing.entry(alarm.kind).or_insert((now, false));
        }
        let mut over = Vec::new();
        for (kind, (since, escalated)) in &mut self.ringing {
            if !*escalated && self.after <= now.duration_since(*since) {
                *escalated = true;
                over.push(*kind);
            }
        }
        over
    }

    /// How loud it is now; nothing when nothing rings.
    pub(crate) fn loudest(&self) -> Option<Urgency> {
        let loud =
            |(kind, (_, escalated)): (&AlarmKind, &(Timestamp, bool))| match (urgency(*kind), escalated) {
                (Urgency::Alarm, true) => Urgency::Escalated,
                (Urgency::Caution, true) => Urgency::Alarm,
                (usual, _) => usual,
            };
        self.ringing.iter().map(loud).max()
    }

    /// When it must be looked at again.
    pub(crate) fn due(&self) -> Option<Timestamp> {
        let waiting = self.ringing.values().filter(|(_, escalated)| !escalated);
        waiting.filter_map(|(since, _)| since.checked_add(self.after).ok()).min()
    }
}

#[cfg(test)]
mod tests {
    use windrode_domain::units::Length;
    use windrode_domain::watch::reason::Reason;

    use super::*;

    fn at(second: i64) -> Timestamp {
        Timestamp::from_second(1_800_000_000 + second).expect("a time")
    }
    fn alarm(kind: AlarmKind, standing: Standing) -> Alarm {
        let reason =
            Reason::OutsideCircle { from_middle: Length::metres(60.0), radius: Length::metres(50.0) };
        Alarm { kind, reason, since: at(0), standing }
    }

    #[test]
    fn an_alarm_that_nobody_hears_is_louder_after_the_time_and_once() {
        let mut escalation = Escalation::after(SignedDuration::from_mins(3));
        let ringing = [alarm(AlarmKind::Dragging, Standing::Ringing)];
        assert!(escalation.look(&ringing, at(0)).is_empty());
        assert_eq!(escalation.loudest(), Some(Urgency::Alarm));
        assert_eq!(escalation.due(), Some(at(180)));
        assert_eq!(escalation.look(&ringing, at(180)), [AlarmKind::Dragging]);
        assert_eq!(escalation.loudest(), Some(Urgency::Escalated));
        assert!(escalation.look(&ringing, at(300)).is_empty());
        assert_eq!(escalation.due(), None);
    }

    #[test]
    fn what_is_heard_is_still_and_begins_anew_when_it_rings_again() {
        let mut escalation = Escalation::after(SignedDuration::from_mins(3));
        escalation.look(&[alarm(AlarmKind::WindShift, Standing::Ringing)], at(0));
        escalation.look(&[alarm(AlarmKind::WindShift, Standing::Acknowledged)], at(100));
        assert_eq!(escalation.loudest(), None);
        assert!(escalation.look(&[alarm(AlarmKind::WindShift, Standing::Ringing)], at(200)).is_empty());
        assert_eq!(escalation.due(), Some(at(380)));
    }
}
