//! Replays for programs: the shapes that `docs/json.md` documents.

use jiff::Timestamp;
use serde::Serialize;
use windrode_domain::watch::neighbours::{NeighbourState, VesselView};
use windrode_domain::watch::verdict::{AnchorEstimate, Moved};

use super::neighbours::VesselReplayed;
use super::{Change, Judged, Replayed, WORDS};
use crate::alarm_score::Score;
use crate::recording::vessels::Called;
use crate::words::{self, Voice};

/// A night.
#[derive(Serialize)]
pub(crate) struct NightView {
    version: u32,
    events: Vec<EventView>,
    summary: SummaryView,
}

#[derive(Serialize)]
struct EventView {
    time: String,
    verdict: &'static str,
    reasons: Vec<ReasonView>,
    anchor: Option<AnchorView>,
    moved_m: f64,
    backstop: bool,
}

#[derive(Serialize)]
struct ReasonView {
    code: &'static str,
    text: String,
}

#[derive(Serialize)]
struct AnchorView {
    lat: f64,
    lon: f64,
    sigma_m: f64,
}

#[derive(Serialize)]
struct SummaryView {
    from: String,
    to: String,
    heard: usize,
    verdict: &'static str,
    alarm: Option<String>,
    backstop: Option<String>,
    alarms: usize,
    backstops: usize,
    seconds: SecondsView,
    truth: Option<TruthView>,
    notes: Vec<String>,
}

#[derive(Serialize)]
struct SecondsView {
    holding: f64,
    doubtful: f64,
    dragging: f64,
    blind: f64,
    under_way: f64,
}

#[derive(Serialize)]
struct TruthView {
    dragged: bool,
    began: Option<String>,
    farthest_m: f64,
    watch: ScoreView,
    backstop: ScoreView,
}

/// One row of the confusion table.
#[derive(Serialize)]
struct ScoreView {
    found: u32,
    missed: u32,
    false_alarms: u32,
    quiet: u32,
    alarm: Option<String>,
    gone_m: Option<f64>,
    after_s: Option<f64>,
}

impl NightView {
    /// Of a replay, with what must be said beside it.
    pub(crate) fn of(replayed: &Replayed, judged: Option<&Judged>, notes: &[String], voice: &Voice) -> Self {
        let [from, to] = replayed.span;
        let (alarms, backstops) = (replayed.alarms(), replayed.backstops());
        let [holding, doubtful, dragging, blind, under_way] = replayed.seconds();
        Self {
            version: 1,
            events: replayed.changes.iter().map(|change| EventView::of(change, voice)).collect(),
            summary: SummaryView {
                from: from.to_string(),
                to: to.to_string(),
                heard: replayed.heard,
                verdict: replayed.last.verdict.code(),
                alarm: alarms.first().map(Timestamp::to_string),
                backstop: backstops.first().map(Timestamp::to_string),
                alarms: alarms.len(),
                backstops: backstops.len(),
                seconds: SecondsView { holding, doubtful, dragging, blind, under_way },
                truth: judged.map(TruthView::from),
                notes: notes.to_vec(),
            },
        }
    }
}

impl EventView {
    fn of(change: &Change, voice: &Voice) -> Self {
        let view = &change.view;
        Self {
            time: view.at.to_string(),
            verdict: view.verdict.code(),
            reasons: view
                .reasons
                .iter()
                .map(|reason| ReasonView { code: reason.code(), text: words::watch::reason(reason, voice) })
                .collect(),
            anchor: view.anchor.map(AnchorView::from),
            moved_m: moved_m(view.moved),
            backstop: change.backstop,
        }
    }
}

/// Metres gone; none while nothing says that it has gone anywhere.
fn moved_m(moved: Option<Moved>) -> f64 {
    moved.map_or(0.0, |moved| moved.distance.as_metres())
}

impl From<AnchorEstimate> for AnchorView {
    fn from(anchor: AnchorEstimate) -> Self {
        Self {
            lat: anchor.at.latitude_deg(),
            lon: anchor.at.longitude_deg(),
            sigma_m: anchor.spread.as_metres(),
        }
    }
}

impl From<&Judged> for TruthView {
    fn from(judged: &Judged) -> Self {
        let dragged = judged.began.is_some();
        Self {
            dragged,
            began: judged.began.map(|at| at.to_string()),
            farthest_m: judged.farthest_m,
            watch: ScoreView::of(&judged.watch, dragged),
            backstop: ScoreView::of(&judged.backstop, dragged),
        }
    }
}

impl ScoreView {
    fn of(score: &Score, dragged: bool) -> Self {
        Self {
            found: u32::from(score.found.is_some()),
            missed: u32::from(score.missed),
            false_alarms: score.false_alarms,
            quiet: u32::from(!dragged && score.false_alarms == 0),
            alarm: score.found.map(|found| found.at.to_string()),
            gone_m: score.found.map(|found| found.gone_m),
            after_s: score.found.map(|found| found.after_s),
        }
    }
}

/// The vessels of a recording.
#[derive(Serialize)]
pub(crate) struct VesselsView {
    version: u32,
    vessels: Vec<VesselReplayView>,
    notes: Vec<String>,
}

#[derive(Serialize)]
struct VesselReplayView {
    #[serde(skip_serializing_if = "Option::is_none")]
    mmsi: Option<u32>,
    #[serde(skip_serializing_if = "Option::is_none")]
    segment: Option<String>,
    name: Option<String>,
    reports: usize,
    states: Vec<StateView>,
}

#[derive(Serialize)]
struct StateView {
    time: String,
    state: &'static str,
    reasons: Vec<CodeView>,
    anchor: Option<AnchorView>,
    moved_m: f64,
}

#[derive(Serialize)]
struct CodeView {
    code: &'static str,
}

/// A neighbour's state for programs, the same for ever.
pub(crate) const fn state_code(state: NeighbourState) -> &'static str {
    match state {
        NeighbourState::Lying => "lying",
        NeighbourState::Dragging => "dragging",
        NeighbourState::Adrift => "adrift",
        NeighbourState::UnderWay => "under_way",
        NeighbourState::CannotTell => "cannot_tell",
    }
}

impl VesselsView {
    /// Of all that were judged, with what must be said beside it.
    pub(crate) fn of(vessels: &[VesselReplayed], notes: &[String]) -> Self {
        Self {
            version: 1,
            vessels: vessels.iter().map(VesselReplayView::from).collect(),
            notes: notes.to_vec(),
        }
    }
}

impl From<&VesselReplayed> for VesselReplayView {
    fn from(vessel: &VesselReplayed) -> Self {
        let (mmsi, segment) = match &vessel.called {
            Called::Mmsi(mmsi) => (Some(*mmsi), None),
            Called::Segment(name) => (None, Some(name.clone())),
        };
        let name = vessel.words.iter().rev().find_map(|(_, view)| view.name.clone());
        let states = vessel.words.iter().map(|(at, view)| StateView::of(*at, view)).collect();
        Self { mmsi, segment, name, reports: vessel.reports, states }
    }
}

impl StateView {
    fn of(at: Timestamp, view: &VesselView) -> Self {
        Self {
            time: at.to_string(),
            state: state_code(view.state),
            reasons: view.reasons.iter().map(|reason| CodeView { code: reason.code() }).collect(),
            anchor: view.anchor.map(AnchorView::from),
            moved_m: moved_m(view.moved),
        }
    }
}

/// The words in the order of [`SecondsView`].
const _: () = assert!(WORDS.len() == 5);
