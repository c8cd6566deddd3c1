//! What a watch must keep to be taken up again after its program or its power died.
//!
//! Plain values, so that any store can keep them. What the watch was given is not in here: the stay's files carry it.
//! What the crew told since is. Reasons are not kept: each is worked out anew from the first that is heard.

use jiff::Timestamp;

use super::detector;
use super::effect::AlarmKind;
use super::given::Drop;
use super::observation::Source;
use super::reason::Sensor;
use super::verdict::{AnchorEstimate, Moved, Verdict};
use super::view::Standing;
use crate::position::Position;
use crate::units::{Bearing, Length};

/// What a watch must keep.
#[derive(Clone, Debug, PartialEq)]
pub struct Remembered {
    /// When this was so, by the boat's own clock.
    pub at: Timestamp,
    /// Origin of the flat sheet, once there is one; the drag test's own memory is reckoned from it.
    pub origin: Option<Position>,
    /// What the drag test keeps, once it has begun.
    pub detector: Option<detector::Remembered>,
    /// The word.
    pub verdict: Verdict,
    /// Since when.
    pub since: Timestamp,
    /// The anchor has been called dragging, and nobody has cleared it.
    pub dragging: bool,
    /// How far it had gone.
    pub moved: Option<Moved>,
    /// Where the anchor was thought to lie.
    pub anchor: Option<AnchorEstimate>,
    /// In which directions from the anchor she had been seen: a bit for each ten degrees from north.
    pub arc_seen: u64,
    /// She leaves of her own accord.
    pub under_way: Option<Leaving>,
    /// Where the anchor was let go, if the crew told it after the watch was taken.
    pub drop_told: Option<Drop>,
    /// The drop that was given when the watch was taken counts no more: she has left it.
    pub drop_left: bool,
    /// The rode that is out, if the crew told it after the watch was taken.
    pub rode_told: Option<Length>,
    /// The crew said that the engine runs.
    pub engine_running: bool,
    /// Where the wind came from when its shift was last told.
    pub wind_told: Option<Bearing>,
    /// The receiver in use.
    pub used: Option<Source>,
    /// The last place of the antenna that was trusted, and when.
    pub last_fix: Option<(Timestamp, Position)>,
    /// The usual interval between fixes, seconds.
    pub usual_interval_s: Option<f64>,
    /// Which instruments had spoken, so that one that is silent ever since is missed.
    pub sensors_heard: Vec<Sensor>,
    /// The alarms that stand.
    pub alarms: Vec<RememberedAlarm>,
}

/// How it is known that she leaves.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Leaving {
    /// The crew said so.
    Told,
    /// Her way over the ground says so.
    Seen,
    /// She has not come to lie yet: the watch was taken before the anchor was let go.
    NotYet,
}

/// An alarm that stands, without its reason.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RememberedAlarm {
    /// What it is about.
    pub kind: AlarmKind,
    /// Since when.
    pub since: Timestamp,
    /// Where it is between ringing and forgotten.
    pub standing: Standing,
    /// How bad it was when somebody last heard it, in its own measure.
    pub heard_at: f64,
    /// The crew is done with it, until its reason has gone and comes again.
    pub cleared: bool,
}
