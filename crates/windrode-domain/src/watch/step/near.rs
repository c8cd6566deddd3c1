//! The vessels near by, in the same watch: each judged from her reports, and those that come to us claimed as alarms.

use jiff::{SignedDuration, Timestamp};

use super::Watch;
use crate::units::Length;
use crate::watch::event::NeighbourReport;
use crate::watch::guards::neighbours::{NeighbourThreat, ThreatKind};
use crate::watch::neighbours::{NeighbourState, OwnState, Surroundings, VesselView};

/// All are looked at anew so often, s: silence and forgetting are matters of an hour.
const LOOK_ROUND_S: f64 = 60.0;
/// A vessel under way that will pass too near is told so long before, and not earlier: she steers, and most pass clear.
const PASSING: SignedDuration = SignedDuration::from_mins(10);
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
        self.threats.clear();
        let views: Vec<VesselView> = self.fleet.vessels().collect();
        for view in &views {
            self.threaten(view);
        }
    }

    fn threaten(&mut self, view: &VesselView) {
        match self.threat(view) {
            Some(threat) => {
                self.threats.insert(view.mmsi, threat);
            }
            None => {
                self.threats.remove(&view.mmsi);
            }
        }
    }

    /// What she does that the crew must hear, if anything: she drags or drifts this way, or passes too near.
    fn threat(&self, view: &VesselView) -> Option<NeighbourThreat> {
        let kind = match view.state {
            NeighbourState::Dragging => ThreatKind::Dragging,
            NeighbourState::Adrift => ThreatKind::Adrift,
            NeighbourState::UnderWay => ThreatKind::Closing,
            NeighbourState::Lying | NeighbourState::CannotTell => return None,
        };
        let approach = view.approach.filter(|approach| approach.nearest < self.given.limits.neighbour)?;
        let soon = approach.at.duration_since(self.clock.now()) <= PASSING;
        (kind != ThreatKind::Closing || soon).then(|| NeighbourThreat {
            mmsi: view.mmsi,
            name: view.name.clone(),
            kind,
            nearest: approach.nearest,
            at: approach.at,
        })
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
