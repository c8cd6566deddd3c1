//! What a watch is given when it begins. Whatever is not known is `None`, and the watch does with less.

use jiff::Timestamp;

use crate::boat::Antenna;
use crate::catenary::Line;
use crate::plan::limits::Limits;
use crate::plan::sheet::Verdict as PlanVerdict;
use crate::position::Position;
use crate::uncertain::Lognormal;
use crate::units::{Bearing, Force, Length, Speed};

/// What a watch is given.
#[derive(Clone, Debug, PartialEq)]
pub struct Given {
    /// When the watch was taken.
    pub from: Timestamp,
    /// The boat as far as the watch needs her.
    pub boat: WatchedBoat,
    /// Where the anchor was let go, if recorded.
    pub drop: Option<Drop>,
    /// The rode that is out, if known.
    pub rode: Option<RodeOut>,
    /// Depth of water at the anchor when the watch begins, if known.
    pub depth: Option<Length>,
    /// What the plan foretells, if there is one.
    pub expected: Option<Expected>,
    /// What the watch rings at.
    pub limits: WatchLimits,
}

/// The boat as far as the watch needs her.
#[derive(Clone, Debug, PartialEq)]
pub struct WatchedBoat {
    /// Length overall, if known.
    pub length: Option<Length>,
    /// Where the antenna stands, if known.
    pub antenna: Option<Antenna>,
    /// Drag area head to wind, m², if known; `environment::windage` gives the usual one for a kind and length.
    pub drag_area_m2: Option<Lognormal>,
    /// Height of the bow roller above the water, if known.
    pub roller_height: Option<Length>,
    /// Draught, if known.
    pub draught: Option<Length>,
    /// She has two hulls, if known: she sheers less and lies shallower.
    pub multihull: Option<bool>,
}

/// Where the anchor was let go.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drop {
    /// Where.
    pub at: Position,
    /// How far that may be off, one standard deviation along either axis, the falling back to set it included.
    pub spread: Length,
}

/// The rode that is out.
#[derive(Clone, Debug, PartialEq)]
pub struct RodeOut {
    /// From the anchor to the roller, the snubber included where one is rigged.
    pub line: Line,
    /// Share of its length that it may be off, one standard deviation.
    pub spread: f64,
}

/// What the plan foretells, in steps of time.
#[derive(Clone, Debug, PartialEq)]
pub struct Expected {
    /// The instants, in order.
    pub steps: Vec<ExpectedAt>,
    /// The wind that the set has proved, steady and gusting alike, if anything was proved.
    pub proved_wind: Option<Speed>,
    /// The load that the set has proved at the anchor, if anything was proved.
    pub proved_load: Option<Force>,
    /// What the plan said of the stay.
    pub verdict: Option<PlanVerdict>,
    /// The limits of the plan.
    pub limits: Limits,
}

/// One instant foretold.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ExpectedAt {
    /// When.
    pub at: Timestamp,
    /// Height of the tide over its datum, if foretold.
    pub tide: Option<Length>,
    /// Depth of water at the anchor, if foretold.
    pub water: Option<Length>,
    /// Mean wind at 10 m, if foretold.
    pub mean: Option<Speed>,
    /// Gust at 10 m, if foretold.
    pub gust: Option<Speed>,
    /// Where the wind comes from, true, if foretold.
    pub from: Option<Bearing>,
}

/// What the watch rings at, set by the crew.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WatchLimits {
    /// Water under the keel below which it rings.
    pub under_keel: Length,
    /// Battery below which it rings, V; `None` where the crew has set none.
    pub battery_v: Option<f64>,
    /// Seconds that a sensor may be silent, where neither five of its usual intervals nor half a minute is longer.
    pub silence_s: f64,
    /// Distance to a neighbour's hull below which it rings.
    pub neighbour: Length,
    /// Turn of the wind since the watch began, or since it was last told, that is told.
    pub wind_shift_deg: f64,
}
