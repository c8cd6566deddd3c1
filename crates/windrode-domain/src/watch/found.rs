//! What the drag test says after a sample.

use jiff::Timestamp;

use super::gather::LeftOut;
use crate::position::Offset;

/// What the drag test has found.
#[expect(clippy::struct_excessive_bools, reason = "four facts that are independent of each other")]
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Found {
    /// The anchor.
    pub anchor: Offset,
    /// Its variance east, covariance, variance north, m².
    pub anchor_covariance_m2: [f64; 3],
    /// Enough has been seen for the test to mean something.
    pub settled: bool,
    /// Evidence for dragging over what rings: nothing to 1 and above.
    pub evidence: f64,
    /// The test calls it: the anchor moves or has moved.
    pub dragging: bool,
    /// How far and whither the anchor has gone under the likeliest way of dragging, metres; nothing while none
    /// stands.
    pub gone: Option<Gone>,
    /// Metres by which her bow lies further from the anchor than the rode reaches under this load; negative inside.
    pub beyond_m: f64,
    /// One standard deviation of that.
    pub beyond_spread_m: f64,
    /// The load is enough to draw the rode straight, so that lying inside its reach says something too.
    pub taut: bool,
    /// She is outside the plain circle round the drop, and has been for as long as it asks: the backstop.
    pub outside_circle: bool,
    /// Radius of that circle.
    pub circle_m: f64,
    /// What is heard and not believed: as the sample says, and what the test itself has found to be wrong.
    pub left_out: LeftOut,
    /// Bow (or antenna, where the heading is unknown) from the middle of that circle.
    pub from_circle_m: f64,
}

/// How the anchor has gone.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gone {
    /// East and north of where it lay.
    pub by: Offset,
    /// One standard deviation along its way.
    pub spread_m: f64,
    /// Speed along its way, m/s.
    pub speed_ms: f64,
    /// When it began.
    pub since: Timestamp,
}
