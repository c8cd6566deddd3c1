//! The vessels of a recording, each judged by her own reports alone.
//!
//! Every report is heard at its own instant, and time passes between them, so that silence is heard too; but a vessel
//! is judged only until her last report: where her part of the recording ends, nothing is known of her any more, and
//! that is no state of hers.

use std::collections::BTreeMap;

use jiff::{SignedDuration, Timestamp};
use windrode_domain::watch::event::NeighbourReport;
use windrode_domain::watch::neighbours::{Fleet, FleetSetup, NeighbourState, Surroundings, VesselView};

use crate::recording::vessels::{Called, Vessels};

/// Time passes in steps of this: silence is told after three quarters of an hour, and a step late is no harm.
const STEP: SignedDuration = SignedDuration::from_mins(5);

/// A vessel and the words that were said of her.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct VesselReplayed {
    /// What she is called.
    pub(crate) called: Called,
    /// The first word and every change, with the instant at which it was said.
    pub(crate) words: Vec<(Timestamp, VesselView)>,
    /// How many reports she made.
    pub(crate) reports: usize,
}

/// Judges them all; in the order of their names.
pub(crate) fn judge(vessels: &Vessels) -> Vec<VesselReplayed> {
    let mut running = Running::of(vessels);
    for (at, report) in &vessels.reports {
        running.pass_until(*at);
        running.hear(*at, report);
    }
    running.told(vessels)
}

/// What is kept of one vessel.
struct Kept {
    last_report: Timestamp,
    reports: usize,
    state: Option<NeighbourState>,
    words: Vec<(Timestamp, VesselView)>,
}

struct Running {
    fleet: Fleet,
    kept: BTreeMap<u32, Kept>,
    step: Option<Timestamp>,
}

impl Running {
    fn of(vessels: &Vessels) -> Self {
        let mut kept: BTreeMap<u32, Kept> = BTreeMap::new();
        for (at, report) in &vessels.reports {
            let fresh = || Kept { last_report: *at, reports: 0, state: None, words: Vec::new() };
            let one = kept.entry(report.mmsi).or_insert_with(fresh);
            one.last_report = *at;
            one.reports += 1;
        }
        // A recording is judged whole, however many vessels are in it.
        let most_vessels = vessels.called.len().max(1);
        let fleet = Fleet::new(FleetSetup { most_vessels, ..FleetSetup::default() });
        Self { fleet, kept, step: None }
    }

    /// Steps of time before an instant; none while nobody is followed.
    fn pass_until(&mut self, until: Timestamp) {
        let mut step = self.step.unwrap_or(until);
        while step < until && 0 < self.fleet.followed() {
            self.fleet.tick(&Surroundings::default(), step);
            for view in self.fleet.vessels() {
                keep(&mut self.kept, step, view);
            }
            step = step.checked_add(STEP).unwrap_or(until);
        }
        self.step = Some(if step < until { until } else { step });
    }

    fn hear(&mut self, at: Timestamp, report: &NeighbourReport) {
        self.fleet.hear(report, &Surroundings::default(), at);
        if let Some(view) = self.fleet.vessel(report.mmsi) {
            keep(&mut self.kept, at, view);
        }
    }

    fn told(mut self, vessels: &Vessels) -> Vec<VesselReplayed> {
        let mut told: Vec<VesselReplayed> = vessels
            .called
            .iter()
            .map(|(number, called)| {
                let kept = self.kept.remove(number);
                let (words, reports) = kept.map(|kept| (kept.words, kept.reports)).unwrap_or_default();
                VesselReplayed { called: called.clone(), words, reports }
            })
            .collect();
        told.sort_by_cached_key(|vessel| name_order(&vessel.called));
        told
    }
}

/// Numbers by their size, whatever they are written as; names after them.
fn name_order(called: &Called) -> (u64, String) {
    match called {
        Called::Mmsi(mmsi) => (u64::from(*mmsi), String::new()),
        Called::Segment(name) => (name.parse().unwrap_or(u64::MAX), name.clone()),
    }
}

fn keep(kept: &mut BTreeMap<u32, Kept>, at: Timestamp, view: VesselView) {
    let Some(one) = kept.get_mut(&view.mmsi).filter(|one| at <= one.last_report) else { return };
    if one.state != Some(view.state) {
        one.state = Some(view.state);
        one.words.push((at, view));
    }
}
