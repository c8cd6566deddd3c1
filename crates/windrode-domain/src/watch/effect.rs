//! What a step of the watch asks the world to do: ring, record, publish, call again.

use jiff::Timestamp;

use super::reason::Reason;

/// What an alarm is about. One of each can stand at a time.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum AlarmKind {
    /// The anchor moves.
    Dragging,
    /// She is outside the plain circle round the drop: the backstop that depends on no estimate.
    OutsideCircle,
    /// It cannot be told where she is.
    Blind,
    /// Water under the keel is, or will be, too little.
    Water,
    /// More wind than the set has proved.
    WindAboveProof,
    /// More wind than was foretold.
    WindAboveForecast,
    /// The wind has shifted.
    WindShift,
    /// This neighbour drags, drifts or comes too near.
    Neighbour(u32),
    /// The battery is low.
    Battery,
    /// An instrument has fallen silent.
    SensorSilent,
    /// Two receivers disagree.
    ReceiversDisagree,
    /// What the plan rests on is no longer true.
    PlanOvertaken,
}

impl AlarmKind {
    /// Those of which there is one each: all but the neighbours'.
    pub const SINGLE: [Self; 11] = [
        Self::Dragging,
        Self::OutsideCircle,
        Self::Blind,
        Self::Water,
        Self::WindAboveProof,
        Self::WindAboveForecast,
        Self::WindShift,
        Self::Battery,
        Self::SensorSilent,
        Self::ReceiversDisagree,
        Self::PlanOvertaken,
    ];

    /// A word for programs, the same for ever; which neighbour it is about stands beside it.
    pub const fn code(self) -> &'static str {
        match self {
            Self::Dragging => "dragging",
            Self::OutsideCircle => "outside_circle",
            Self::Blind => "blind",
            Self::Water => "water",
            Self::WindAboveProof => "wind_above_proof",
            Self::WindAboveForecast => "wind_above_forecast",
            Self::WindShift => "wind_shift",
            Self::Neighbour(_) => "neighbour",
            Self::Battery => "battery",
            Self::SensorSilent => "sensor_silent",
            Self::ReceiversDisagree => "receivers_disagree",
            Self::PlanOvertaken => "plan_overtaken",
        }
    }
}

/// What a step asks the world to do.
#[derive(Clone, Debug, PartialEq)]
pub enum Effect {
    /// This alarm begins to ring, or rings again because it worsened.
    Ring(AlarmKind),
    /// This alarm is still.
    Quiet(AlarmKind),
    /// Something that the crew should read, and that rings nothing.
    Tell(Reason),
    /// The word, its reasons or the alarms changed: record and publish the watch's view of now.
    Publish,
    /// Record where she is now: the track, at a density that is worth keeping.
    Track,
    /// Call `step` with a tick at this instant, or before.
    CallAt(Timestamp),
}
