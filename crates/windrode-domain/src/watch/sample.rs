//! What the drag test is fed: all that was seen in a few seconds, brought to one point and one instant.
//!
//! Fixes at 1 Hz are averaged over 5 s, each brought from the antenna to the bow by the heading of its own second; a
//! receiver that speaks every ten minutes makes a sample of each fix. East and north are metres on the flat sheet
//! about the watch's origin ([`crate::position`]).

use jiff::Timestamp;

pub use super::gather::{LeftOut, Unsound};
use crate::environment::wind::Wind;
use crate::position::Offset;
use crate::units::{Bearing, Length};

/// A few seconds of a watch, at one point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sample {
    /// The middle of the fixes averaged.
    pub at: Timestamp,
    /// Seconds since the sample before; nothing for the first.
    pub seconds: f64,
    /// The bow if `at_bow`, else the antenna: the mean of the fixes.
    pub place: Offset,
    /// Whether the heading was there to bring the fixes to the bow.
    pub at_bow: bool,
    /// How far the same point went since the sample before by Doppler alone (and the turn of the lever arm), if the
    /// way over the ground was there all the while, at a resolution that is worth something.
    pub went: Option<Offset>,
    /// Mean true heading, if there.
    pub heading: Option<Bearing>,
    /// Mean wind over the ground at 10 m, if there.
    pub wind: Option<Wind>,
    /// Depth of water at the anchor, if it can be told: the sounder's, or the one given with the tide's rise since.
    pub depth: Option<Length>,
    /// How many fixes were averaged.
    pub fixes: u16,
    /// What the receiver says that one of them may be off along either axis, if it does.
    pub fix_spread: Option<Length>,
    /// What is heard and not believed.
    pub left_out: LeftOut,
}
