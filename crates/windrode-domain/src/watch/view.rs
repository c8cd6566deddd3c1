//! What a watch shows: the word, why, since when, and all that stands beside it.

use jiff::Timestamp;

use super::effect::AlarmKind;
use super::observation::Source;
use super::reason::{Fault, Reason};
use super::verdict::{AnchorEstimate, Moved, Verdict};
use crate::environment::wind::Wind;
use crate::position::Position;
use crate::units::{Bearing, Length};

/// What a watch shows at an instant.
#[derive(Clone, Debug, PartialEq)]
pub struct View {
    /// The instant of it.
    pub at: Timestamp,
    /// The word.
    pub verdict: Verdict,
    /// Since when.
    pub since: Timestamp,
    /// Why, most urgent first; never empty.
    pub reasons: Vec<Reason>,
    /// Where the anchor is thought to lie, if it can be told.
    pub anchor: Option<AnchorEstimate>,
    /// How far and which way it has gone, if it is thought to have gone.
    pub moved: Option<Moved>,
    /// She is outside the plain circle: told apart, for it depends on no estimate.
    pub backstop: bool,
    /// The other guards' alarms and the verdict's, most urgent first.
    pub alarms: Vec<Alarm>,
    /// Where she is, by the last sample; nothing before the first.
    pub here: Option<Here>,
    /// The receivers, in the order of their numbers.
    pub receivers: Vec<ReceiverSeen>,
    /// What was heard and not used, since the watch began.
    pub left_out: LeftOut,
}

/// Where she is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Here {
    /// When.
    pub at: Timestamp,
    /// The bow if `at_bow`, else the antenna.
    pub place: Position,
    /// Whether it is the bow.
    pub at_bow: bool,
    /// True heading, if there.
    pub heading: Option<Bearing>,
    /// Wind over the ground at 10 m, if there.
    pub wind: Option<Wind>,
    /// Depth of water at the anchor, if it can be told.
    pub depth: Option<Length>,
}

/// A receiver, as the watch sees it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ReceiverSeen {
    /// Which.
    pub source: Source,
    /// Whether it is the one used.
    pub used: bool,
    /// What speaks against it, if anything does.
    pub fault: Option<Fault>,
    /// Fixes of it that were used or could have been.
    pub good: u64,
    /// Fixes of it that were left out.
    pub left_out: u64,
}

/// What was heard and not used.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct LeftOut {
    /// Fixes that a receiver's faults forbade to use.
    pub fixes: u64,
    /// Things seen that came after a later one of the same kind from the same source.
    pub late: u64,
    /// Things seen that say they are of the future, by the boat's own clock.
    pub early: u64,
}

/// An alarm that stands.
#[derive(Clone, Debug, PartialEq)]
pub struct Alarm {
    /// What it is about.
    pub kind: AlarmKind,
    /// Why it stands.
    pub reason: Reason,
    /// Since when.
    pub since: Timestamp,
    /// Where it is between ringing and forgotten.
    pub standing: Standing,
}

/// Where an alarm is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// It rings, and nobody has heard it.
    Ringing,
    /// Somebody has heard it; its reason stands.
    Acknowledged,
    /// It is still until this instant, unless it worsens.
    Silenced(Timestamp),
    /// Its reason has gone, but nobody has heard it yet.
    Past,
}
