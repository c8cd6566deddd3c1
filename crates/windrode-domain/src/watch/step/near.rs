//! The vessels near by, in the same watch: each judged from her reports, and those that may come to us claimed as
//! alarms.
//!
//! The rule: one that is called dragging or adrift rings where her way, or one within 60° of it, leads within the
//! crew's distance of where our boat can lie in the next two hours, or where she is within half a cable of that now.
//! One that is clear of both is told and rings nothing. One under way rings where her way leads within that distance
//! in ten minutes.

use jiff::{SignedDuration, Timestamp};

use super::Watch;
use crate::units::Length;
use crate::watch::event::NeighbourReport;
use crate::watch::guards::neighbours::{NeighbourThreat, ThreatKind};
use crate::watch::neighbours::{NeighbourState, OwnState, Surroundings, VesselView};
use crate::watch::reason::Reason;

/// All are looked at anew so often, s: silence and forgetting are matters of an hour.
const LOOK_ROUND_S: f64 = 60.0;
/// A vessel under way that will pass too near is told so long before, and not earlier: she steers, and most pass clear.
const PASSING: SignedDuration = SignedDuration::from_mins(10);
/// One that drags or drifts within this of where we can lie rings, whichever way she goes: her rode or ours may foul,
/// and a word of her way is minutes old (common practice, no source: half a cable).
const BESIDE: Length = Length::metres(90.0);
/// Length of a boat of which nothing is known: the upper part of what cruises.
const GUESSED_LENGTH: Length = Length::metres(15.0);

impl Watch {
    /// A vessel near by has spoken.
    pub(super) fn hear_neighbour(&mut self, report: &NeighbourReport) {
        let now = self.clock.now();
        let around = self.around();
        self.fleet.hear(report, &around, now);
        if let Some(view) = self.fleet.vessel(report.mmsi) {
            self.threaten(&view);
        }
    }

    /// Time has passed for all of them.
    pub(super) fn look_round(&mut self) {
        let now = self.clock.now();
        let since = |at: Timestamp| now.duration_since(at).as_secs_f64();
        if self.fleet.followed() == 0 || self.looked_round.is_some_and(|at| since(at) < LOOK_ROUND_S) {
            return;
        }
        self.looked_round = Some(now);
        let around = self.around();
        self.fleet.tick(&around, now);
        let views: Vec<VesselView> = self.fleet.vessels().collect();
        let followed = |mmsi: &u32| views.binary_search_by_key(mmsi, |view| view.mmsi).is_ok();
        self.threats.retain(|mmsi, _| followed(mmsi));
        self.clear_of.retain(followed);
        for view in &views {
            self.threaten(view);
        }
    }

    fn threaten(&mut self, view: &VesselView) {
        if let Some(threat) = self.threat(view) {
            self.threats.insert(view.mmsi, threat);
        } else {
            self.threats.remove(&view.mmsi);
            self.tell_of_one_that_is_clear(view);
        }
    }

    /// What she does that the crew must hear, if anything: she drags or drifts and may come this way, or passes too
    /// near.
    fn threat(&self, view: &VesselView) -> Option<NeighbourThreat> {
        let kind = kind_of(view)?;
        let approach = view.approach?;
        // What stands about the limit stands until she is clear by half as much again.
        let stood = self.threats.get(&view.mmsi).is_some_and(|before| before.kind == kind);
        let limit = self.given.limits.neighbour * if stood { 1.5 } else { 1.0 };
        if kind == ThreatKind::Closing {
            let soon = approach.at.duration_since(self.clock.now()) <= PASSING;
            return (soon && approach.nearest < limit)
                .then(|| threat(view, kind, approach.nearest, approach.at));
        }
        let beside = if stood { BESIDE * 1.5 } else { BESIDE };
        if !(approach.may_be < limit || approach.now < beside) {
            return None;
        }
        let straight = approach.nearest < limit;
        let (nearest, at) =
            if straight { (approach.nearest, approach.at) } else { (approach.may_be, approach.may_be_at) };
        Some(threat(view, kind, nearest, at))
    }

    /// One that drags or drifts and is clear by far is told once, and rings nothing.
    fn tell_of_one_that_is_clear(&mut self, view: &VesselView) {
        let kind = kind_of(view).filter(|kind| *kind != ThreatKind::Closing);
        let (Some(kind), Some(approach)) = (kind, view.approach) else {
            self.clear_of.remove(&view.mmsi);
            return;
        };
        if self.clear_of.insert(view.mmsi) {
            let clear = threat(view, kind, approach.may_be, approach.may_be_at);
            self.to_tell.push(Reason::Neighbour(clear));
        }
    }

    /// What is known around her: her own place and wind.
    fn around(&self) -> Surroundings {
        let own = self.sample.zip(self.origin).map(|(sample, origin)| {
            let anchor = self.found.map(|found| origin.plus(found.anchor));
            let line = self.given.rode.as_ref().map(|rode| rode.line.length());
            let lies = self.found.map(|found| (sample.place - found.anchor).length());
            OwnState {
                bow: origin.plus(sample.place),
                anchor,
                reach: line.or(lies).unwrap_or(Length::ZERO),
                length: self.given.boat.length.unwrap_or(GUESSED_LENGTH),
            }
        });
        Surroundings { own, wind: self.sample.and_then(|sample| sample.wind) }
    }
}

const fn kind_of(view: &VesselView) -> Option<ThreatKind> {
    match view.state {
        NeighbourState::Dragging => Some(ThreatKind::Dragging),
        NeighbourState::Adrift => Some(ThreatKind::Adrift),
        NeighbourState::UnderWay => Some(ThreatKind::Closing),
        NeighbourState::Lying | NeighbourState::CannotTell => None,
    }
}

fn threat(view: &VesselView, kind: ThreatKind, nearest: Length, at: Timestamp) -> NeighbourThreat {
    NeighbourThreat { mmsi: view.mmsi, name: view.name.clone(), kind, nearest, at }
}
