//! What is claimed now: the anchor's own alarms, and each guard's.

use jiff::Timestamp;

use super::Watch;
use crate::units::{Length, Speed};
use crate::watch::alarm::Claim;
use crate::watch::effect::AlarmKind;
use crate::watch::guards::neighbours::NeighbourThreat;
use crate::watch::guards::{WaterBy, silence};
use crate::watch::judgement;
use crate::watch::own_clock::seconds;
use crate::watch::reason::{Reason, Sensor};
use crate::watch::remembered::Leaving;

/// Blindness at the beginning rings after so long, s: a receiver that was just switched on needs half a minute.
const FIRST_FIX_S: f64 = 60.0;

impl Watch {
    pub(super) fn claims(&mut self, blind: bool) -> Vec<Claim> {
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
        claims.extend(self.lies_elsewhere_claim());
        claims.extend(self.plan_claim().filter(|_| lies));
        claims.extend(self.battery.judge(self.given.limits.battery_v, now));
        claims.extend(self.silence_claim(now));
        claims.extend(self.threats.values().map(neighbour_claim));
        one_of_each(claims)
    }
    fn claim_anchor(&self, blind: bool, claims: &mut Vec<Claim>) {
        let told = matches!(self.leaving, Some((Leaving::Told | Leaving::NotYet, _)));
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
    /// She has left and lies somewhere else: nobody watches her there until the crew say what is to be watched.
    fn lies_elsewhere_claim(&self) -> Option<Claim> {
        let (_, reason) = self.leaving.as_ref()?;
        let elsewhere = matches!(reason, Reason::LiesElsewhere { .. });
        elsewhere.then(|| Claim { kind: AlarmKind::PlanOvertaken, reason: reason.clone(), measure: 0.0 })
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
