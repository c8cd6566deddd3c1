//! Stand-in for the drag test until the real one is merged: the plain circle round the drop.

use jiff::{SignedDuration, Timestamp};

use super::found::{Found, Gone};
use super::given::Given;
use super::sample::Sample;
use crate::position::{Offset, Position};

/// Stand-in.
#[derive(Clone, Debug, PartialEq)]
pub struct Detector {
    memory: Memory,
    reach_m: f64,
}

/// What it keeps.
#[derive(Clone, Debug, PartialEq)]
pub struct Memory {
    /// The middle.
    pub middle: Offset,
    /// When it began.
    pub began: Timestamp,
    /// Since when she is outside.
    pub outside_since: Option<Timestamp>,
    /// Called.
    pub dragging: bool,
}

impl Detector {
    /// New.
    pub fn new(given: &Given, origin: Position, first: &Sample) -> Self {
        let middle = given.drop.map_or(first.place, |drop| origin.offset_of(drop.at));
        let memory = Memory { middle, began: first.at, outside_since: None, dragging: false };
        Self { memory, reach_m: reach_m(given) }
    }
    /// Step.
    pub fn step(&mut self, sample: &Sample) -> Found {
        let from_circle_m = sample.place.distance_to(self.memory.middle).as_metres();
        let circle_m = self.reach_m + 15.0;
        if circle_m < from_circle_m {
            self.memory.outside_since.get_or_insert(sample.at);
        } else {
            self.memory.outside_since = None;
        }
        let outside = self
            .memory
            .outside_since
            .is_some_and(|since| SignedDuration::from_secs(30) <= sample.at.duration_since(since));
        let beyond_m = from_circle_m - self.reach_m;
        self.memory.dragging |= outside;
        let gone = self.memory.dragging.then(|| Gone {
            by: Offset { east_m: 0.0, north_m: -beyond_m },
            spread_m: 3.0,
            speed_ms: 0.1,
            since: sample.at,
        });
        Found {
            anchor: self.memory.middle,
            anchor_covariance_m2: [9.0, 0.0, 9.0],
            settled: SignedDuration::from_mins(15) <= sample.at.duration_since(self.memory.began),
            evidence: if self.memory.dragging { 1.0 } else { (beyond_m / 15.0).clamp(0.0, 0.9) },
            dragging: self.memory.dragging,
            gone,
            beyond_m,
            beyond_spread_m: 1.5,
            taut: true,
            outside_circle: outside,
            circle_m,
            from_circle_m,
        }
    }
    /// Keep.
    pub fn remember(&self) -> Memory {
        self.memory.clone()
    }
    /// Again.
    pub fn recall(given: &Given, memory: Memory) -> Self {
        Self { memory, reach_m: reach_m(given) }
    }
}

fn reach_m(given: &Given) -> f64 {
    given.rode.as_ref().map_or(40.0, |rode| rode.line.length().as_metres()) + 8.0
}
