//! The watch itself: a value that changes only in its step.

use jiff::Timestamp;

use super::effect::Effect;
use super::event::Event;
use super::given::Given;
use super::reason::Reason;
use super::remembered::Remembered;
use super::verdict::Verdict;
use super::view::{LeftOut, View};

/// A watch.
#[derive(Clone, Debug)]
pub struct Watch {
    given: Given,
    now: Timestamp,
    remembered: Option<Remembered>,
}

impl Watch {
    /// A watch that is taken now.
    pub fn new(given: Given) -> Self {
        let now = given.from;
        Self { given, now, remembered: None }
    }

    /// What happened, at this instant by the boat's own clock; what the watch asks for is appended to `effects`.
    pub fn step(&mut self, _event: &Event, now: Timestamp, effects: &mut Vec<Effect>) {
        self.now = now;
        effects.push(Effect::Publish);
    }

    /// What it shows now.
    pub fn view(&self) -> View {
        View {
            at: self.now,
            verdict: Verdict::Blind,
            since: self.given.from,
            reasons: vec![Reason::NoFixYet { waited: self.now.duration_since(self.given.from) }],
            anchor: None,
            moved: None,
            backstop: false,
            alarms: Vec::new(),
            here: None,
            receivers: Vec::new(),
            left_out: LeftOut::default(),
        }
    }

    /// What it was given, with what the crew told since.
    pub const fn given(&self) -> &Given {
        &self.given
    }

    /// What must be kept to take it up again.
    pub fn remember(&self) -> Remembered {
        self.remembered.clone().unwrap_or_else(|| Remembered {
            at: self.now,
            origin: None,
            detector: None,
            verdict: Verdict::Blind,
            since: self.given.from,
            dragging: false,
            moved: None,
            under_way: None,
            drop_told: None,
            rode_told: None,
            engine_running: false,
            wind_told: None,
            used: None,
            last_fix: None,
            usual_interval_s: None,
            alarms: Vec::new(),
        })
    }

    /// The watch taken up again at an instant, from what was given to it at first and what it remembered.
    pub fn recall(given: Given, remembered: Remembered, now: Timestamp) -> Self {
        Self { given, now, remembered: Some(remembered) }
    }
}
