//! The vessels near by: which of them lies still, which drags, drifts or is under way, and which of them comes to us.
//!
//! A vessel fitted with AIS tells her position, and often her heading and her own word for what she does, every
//! few seconds under way and every three minutes at anchor. Nothing is known of her rode or of where she let go.
//! So she is judged by what she has shown: the circle she swings on is learned from where she lay (`circle`), a
//! report well outside every circle that is still possible speaks for dragging, and no single report can speak
//! loudly enough to be believed alone. Where that tells nothing (light air, a boat that has just stopped or just
//! swung, few reports) the word is [`NeighbourState::CannotTell`], with the reason.
//!
//! Her status ("at anchor", "not under command") is typed in by hand and often wrong: it shifts how soon something
//! is believed, and proves nothing. Her dimensions are often wrong too (Banys et al. 2015, on the reference points
//! of AIS antennas): they only move the point that is watched.
//!
//! Left out: vessels without AIS; rafts of vessels; two anchors; what her wash or a sea does to her fix.

mod approach;
mod circle;
mod felt;
mod motion;
mod stations;
mod suspicion;
mod vessel;

use std::collections::BTreeMap;

use jiff::{SignedDuration, Timestamp};

use self::felt::FeltWind;
use self::vessel::Vessel;
use super::event::NeighbourReport;
use super::verdict::{AnchorEstimate, Moved};
use crate::environment::wind::Wind;
use crate::position::Position;
use crate::units::{Angle, Length, Speed};

/// What the watch over the neighbours is given.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FleetSetup {
    /// Vessels followed at once; beyond it the farthest (or, where our own place is unknown, the longest silent) is
    /// forgotten.
    pub most_vessels: usize,
    /// Silence after which nothing is said of a vessel that lay still.
    pub silent_after: SignedDuration,
    /// Silence after which she is forgotten.
    pub forgotten_after: SignedDuration,
    /// How far ahead an approach is looked for.
    pub look_ahead: SignedDuration,
}

impl Default for FleetSetup {
    /// 2,000 vessels. A vessel at anchor reports every 3 min, a moored one every 3 to 6 min (ITU-R M.1371-5), and
    /// receivers ashore and aboard lose most of it: silence of half an hour is common in recorded logs, six hours
    /// is not.
    fn default() -> Self {
        Self {
            most_vessels: 2000,
            silent_after: SignedDuration::from_mins(45),
            forgotten_after: SignedDuration::from_hours(24),
            look_ahead: SignedDuration::from_hours(2),
        }
    }
}

/// What is known around at the instant of a report. In a log alone, nothing is.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Surroundings {
    /// Our own boat.
    pub own: Option<OwnState>,
    /// Wind over the ground at 10 m, here.
    pub wind: Option<Wind>,
}

/// Our own boat, as far as a neighbour can hit her.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OwnState {
    /// Her bow.
    pub bow: Position,
    /// Her anchor, if it is known; else she is taken to lie where she is.
    pub anchor: Option<Position>,
    /// How far her bow can get from her anchor.
    pub reach: Length,
    /// Her length.
    pub length: Length,
}

/// The word for a neighbour.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum NeighbourState {
    /// She lies still: at anchor where she was, or alongside.
    Lying,
    /// Her anchor moves, or has moved and she has not lain still since for long enough.
    Dragging,
    /// She moves without an anchor and without steering.
    Adrift,
    /// She goes where she means to.
    UnderWay,
    /// It cannot be told.
    CannotTell,
}

/// Why, with its numbers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum NeighbourReason {
    /// She lies on the circle that she has shown.
    LiesOnHerCircle {
        /// Metres outside of it; negative inside.
        beyond: Length,
        /// One standard deviation.
        spread: Length,
        /// Its radius, from her anchor to the point that is watched.
        radius: Length,
    },
    /// She lies outside of every circle that she may swing on, and one report does not say so alone.
    OutsideHerCircle {
        /// Metres outside.
        beyond: Length,
        /// One standard deviation.
        spread: Length,
        /// Reports in a row that say so.
        reports: u16,
    },
    /// Something speaks for dragging, not enough to call it.
    MayBeMoving {
        /// Metres outside.
        beyond: Length,
        /// Share of the evidence that calls it.
        evidence: f64,
    },
    /// She has lain here, or been heard, for too short a time.
    JustStopped {
        /// How long.
        lain: SignedDuration,
        /// How long it takes.
        needed: SignedDuration,
    },
    /// Too few reports to learn how she lies.
    TooFewReports {
        /// How many.
        heard: u16,
        /// How many it takes.
        needed: u16,
    },
    /// Nothing was heard of her for so long.
    Silent {
        /// How long.
        lasting: SignedDuration,
    },
    /// The wind is too light to draw her chain straight: she may lie anywhere within her reach.
    LightWind {
        /// Mean wind.
        speed: Speed,
        /// Wind from which she is judged.
        needed: Speed,
    },
    /// Wind or tide has turned her: how she lies on this side is not learned yet.
    Swung {
        /// How far the wind, or her head, has turned.
        by: Angle,
    },
    /// How far out she may lie in this direction is not known well enough.
    EdgeUnknown {
        /// One standard deviation of it.
        spread: Length,
    },
    /// Two vessels speak with her number.
    TwoVoices {
        /// How far apart they are.
        apart: Length,
    },
    /// She makes way, with her head along it or faster than anything drifts.
    MakesWay {
        /// Over the ground.
        speed: Speed,
    },
    /// She was shifted between two reports, and lies elsewhere now.
    Shifted {
        /// How far.
        by: Length,
    },
    /// She goes farther than any anchor would let her, without steering.
    Drifts {
        /// Over the ground.
        speed: Speed,
        /// Between her head and her way, if both are known.
        across: Option<Angle>,
        /// How far she has come.
        gone: Length,
    },
    /// She says that she is not under command.
    SaysNotUnderCommand,
}

impl NeighbourReason {
    /// A word for programs, the same for ever.
    pub const fn code(&self) -> &'static str {
        match self {
            Self::LiesOnHerCircle { .. } => "lies_on_her_circle",
            Self::OutsideHerCircle { .. } => "outside_her_circle",
            Self::MayBeMoving { .. } => "may_be_moving",
            Self::JustStopped { .. } => "just_stopped",
            Self::TooFewReports { .. } => "too_few_reports",
            Self::Silent { .. } => "silent",
            Self::LightWind { .. } => "light_wind",
            Self::Swung { .. } => "swung",
            Self::EdgeUnknown { .. } => "edge_unknown",
            Self::TwoVoices { .. } => "two_voices",
            Self::MakesWay { .. } => "makes_way",
            Self::Shifted { .. } => "shifted",
            Self::Drifts { .. } => "drifts",
            Self::SaysNotUnderCommand => "says_not_under_command",
        }
    }
}

/// Whether and when she comes to us, if she goes on as she does.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Approach {
    /// Least distance between her hull and where any part of our boat can swing; nothing where they meet.
    pub nearest: Length,
    /// When: of the first touch where they meet.
    pub at: Timestamp,
    /// The same least distance over all ways within [`TURNS_BY_DEG`] of hers, her own among them.
    pub may_be: Length,
    /// When that is.
    pub may_be_at: Timestamp,
    /// The same distance as she lies now.
    pub now: Length,
}

/// What her way may turn by where nobody steers: the wind may shift by as much within the hours that are looked ahead,
/// and a few reports tell her way to two or three points (common practice, no source).
pub const TURNS_BY_DEG: f64 = 60.0;

/// What is said of one vessel.
#[derive(Clone, Debug, PartialEq)]
pub struct VesselView {
    /// Her number.
    pub mmsi: u32,
    /// Her name, if she has told it.
    pub name: Option<String>,
    /// The word.
    pub state: NeighbourState,
    /// Since when: for dragging and drifting, when it began as far as can be told.
    pub since: Timestamp,
    /// Why, most telling first; never empty.
    pub reasons: Vec<NeighbourReason>,
    /// Where her anchor is thought to lie, if she is thought to have one and it can be told.
    pub anchor: Option<AnchorEstimate>,
    /// How far and whither it has gone, if it is thought to have.
    pub moved: Option<Moved>,
    /// Whether she comes to us; for a vessel that moves, and where our own place is known.
    pub approach: Option<Approach>,
    /// Where she last said she was.
    pub last_seen: Position,
    /// When.
    pub last_heard: Timestamp,
}

/// All vessels near by.
#[derive(Clone, Debug)]
pub struct Fleet {
    setup: FleetSetup,
    vessels: BTreeMap<u32, Vessel>,
    wind: FeltWind,
    own: Option<OwnState>,
    now: Option<Timestamp>,
}

impl Fleet {
    /// Nobody yet.
    pub fn new(setup: FleetSetup) -> Self {
        Self { setup, vessels: BTreeMap::new(), wind: FeltWind::default(), own: None, now: None }
    }

    /// Takes in a report, at the instant `now` (that of the report, or somewhat later).
    pub fn hear(&mut self, report: &NeighbourReport, around: &Surroundings, now: Timestamp) {
        self.look_round(around, now);
        let felt = self.wind.felt(now);
        if !self.vessels.contains_key(&report.mmsi) {
            self.make_room();
        }
        let vessel = self.vessels.entry(report.mmsi).or_insert_with(|| Vessel::new(report.mmsi, report.at));
        vessel.hear(report, &felt);
    }

    /// Time has passed: the silent are told, and forgotten in the end.
    pub fn tick(&mut self, around: &Surroundings, now: Timestamp) {
        self.look_round(around, now);
        let forgotten = self.setup.forgotten_after;
        self.vessels.retain(|_, vessel| now.duration_since(vessel.last_heard()) <= forgotten);
    }

    /// What is said of each, in the order of their numbers, as of the last report or tick.
    pub fn vessels(&self) -> impl Iterator<Item = VesselView> {
        self.vessels.values().filter_map(|vessel| self.view(vessel))
    }

    /// What is said of one.
    pub fn vessel(&self, mmsi: u32) -> Option<VesselView> {
        self.vessels.get(&mmsi).and_then(|vessel| self.view(vessel))
    }

    /// How many are followed.
    pub fn followed(&self) -> usize {
        self.vessels.len()
    }

    fn look_round(&mut self, around: &Surroundings, now: Timestamp) {
        if let Some(wind) = around.wind {
            self.wind.feel(wind, now);
        }
        self.own = around.own.or(self.own);
        self.now = Some(self.now.map_or(now, |before| before.max(now)));
    }

    fn view(&self, vessel: &Vessel) -> Option<VesselView> {
        vessel.view(&self.setup, self.now?, self.own.as_ref())
    }

    fn make_room(&mut self) {
        if self.vessels.len() < self.setup.most_vessels.max(1) {
            return;
        }
        let own = self.own;
        let far = |vessel: &Vessel| {
            let seen = own.zip(vessel.last_seen());
            seen.map_or(f64::MAX, |(own, seen)| own.bow.towards(seen).0.as_metres())
        };
        let least_wanted = self
            .vessels
            .iter()
            .map(|(mmsi, vessel)| (*mmsi, far(vessel), vessel.last_heard()))
            .max_by(|a, b| a.1.total_cmp(&b.1).then(b.2.cmp(&a.2)));
        if let Some((mmsi, ..)) = least_wanted {
            self.vessels.remove(&mmsi);
        }
    }
}

#[cfg(test)]
mod tests;
