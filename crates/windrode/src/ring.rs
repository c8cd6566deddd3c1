//! Waking the crew: sound aboard, a command, messages to far ends, and silence that rings ashore.
//!
//! What sounds is settled by what stands now, not by what happened: as long as an alarm rings that nobody has heard,
//! its sound is repeated; when none does, it is still. Commands and messages go with each change. Each way has a thread
//! of its own, so that a hung player or far end delays neither the watch nor the other ways.

pub(crate) mod tone;
pub(crate) mod sound;
pub(crate) mod command;
pub(crate) mod webhook;
pub(crate) mod heartbeat;
pub(crate) mod escalation;

use jiff::Timestamp;
use windrode_domain::watch::effect::AlarmKind;

/// How loud.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Urgency {
    /// Something the crew should read: one soft chime.
    Notice,
    /// Something to get up for before long.
    Caution,
    /// Get up now.
    Alarm,
    /// Nobody has got up.
    Escalated,
}

/// How urgent an alarm is when it begins.
pub(crate) const fn urgency(kind: AlarmKind) -> Urgency {
    match kind {
        AlarmKind::Dragging
        | AlarmKind::OutsideCircle
        | AlarmKind::Blind
        | AlarmKind::Water
        | AlarmKind::Neighbour(_) => Urgency::Alarm,
        AlarmKind::WindAboveProof
        | AlarmKind::WindAboveForecast
        | AlarmKind::WindShift
        | AlarmKind::Battery
        | AlarmKind::SensorSilent
        | AlarmKind::ReceiversDisagree
        | AlarmKind::PlanOvertaken => Urgency::Caution,
    }
}

/// What happened to an alarm.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Change {
    /// It rings.
    Ring,
    /// It is still.
    Quiet,
    /// It rings, and nobody has heard it for too long.
    Escalate,
}

impl Change {
    /// A word for programs.
    pub(crate) const fn code(self) -> &'static str {
        match self {
            Self::Ring => "ring",
            Self::Quiet => "quiet",
            Self::Escalate => "escalate",
        }
    }
}

/// What commands and far ends are told of one alarm.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Told {
    /// What happened.
    pub(crate) change: Change,
    /// When.
    pub(crate) at: Timestamp,
    /// The alarm's code.
    pub(crate) alarm: String,
    /// Its name and reason, in the crew's words.
    pub(crate) text: String,
    /// The stay.
    pub(crate) stay: String,
    /// The boat.
    pub(crate) boat: String,
}
