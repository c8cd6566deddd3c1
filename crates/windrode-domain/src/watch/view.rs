//! What a watch shows: the word, why, since when, and all that stands beside it.

use jiff::Timestamp;

use super::effect::AlarmKind;
use super::reason::Reason;
use super::verdict::{AnchorEstimate, Moved, Verdict};

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
