//! Everything of one night, told outright.

use jiff::Timestamp;

use super::anchor_in_ground::AnchorStory;
use super::sensors::Sensors;
use super::story::{StreamKnot, TideStory, WindStory};
use crate::boat::HullKind;
use crate::catenary::{Line, LineError, Segment};
use crate::position::{Offset, Position};
use crate::ride::body::Body;
use crate::units::Length;

/// Everything of one night: what is true of her, what befalls her, what her instruments make of it, what her crew
/// believe.
#[derive(Clone, Debug, PartialEq)]
pub struct Scenario {
    /// When it begins.
    pub start: Timestamp,
    /// How long it lasts, s.
    pub duration_s: u32,
    /// Where the anchor lies at the beginning: the origin of all offsets.
    pub origin: Position,
    /// The boat, as she is.
    pub boat: ScenarioBoat,
    /// The rode, as the crew believe it: from the anchor to the roller, the snubber included.
    pub rode_said: Line,
    /// Its true length over what they believe.
    pub rode_over_said: f64,
    /// What they think that may be off, as a share, one standard deviation.
    pub rode_spread: f64,
    /// Friction of the rode on the ground.
    pub friction: f64,
    /// Depth of water at the anchor at the beginning, m.
    pub depth_m: f64,
    /// The tide.
    pub tide: TideStory,
    /// The stream, in order of time.
    pub stream: Vec<StreamKnot>,
    /// The wind.
    pub wind: WindStory,
    /// The waves, if any.
    pub waves: Option<Waves>,
    /// The anchor.
    pub anchor: AnchorStory,
    /// What she carries.
    pub sensors: Sensors,
    /// Where the crew believe that the anchor lies, if they recorded it.
    pub drop: Option<DropMark>,
}

/// The boat, as she is and as her crew believe her.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ScenarioBoat {
    /// Kind.
    pub kind: HullKind,
    /// Length over all, m.
    pub length_m: f64,
    /// Draught, m.
    pub draught_m: f64,
    /// The body that moves.
    pub body: Body,
    /// Height of the centroid of her windage, m.
    pub centroid_m: f64,
    /// Height of the roller above the water, m.
    pub roller_m: f64,
    /// The antenna, aft of the roller, m.
    pub antenna_aft_m: f64,
    /// And to starboard of the centre line, m.
    pub antenna_starboard_m: f64,
    /// How many times her usual windage the crew take her for; 1 where they believe the estimate.
    pub windage_believed: f64,
}

/// Waves where she lies.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Waves {
    /// Significant height, m.
    pub height_m: f64,
    /// Period, s.
    pub period_s: f64,
    /// Share of the energy that she throws back, `R²`.
    pub reflected: f64,
    /// The mean wind that raises them so high, m/s: they grow and fall with it; `None` for a swell from elsewhere.
    pub raised_by_ms: Option<f64>,
}

/// Where the crew believe that the anchor lies.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DropMark {
    /// The mark, from where it truly lies.
    pub off: Offset,
    /// How far they think that it may be off along either axis, one standard deviation, m.
    pub spread_m: f64,
}

impl Scenario {
    /// The rode as it is: every stretch longer or shorter alike.
    ///
    /// # Errors
    /// [`LineError`] if that is no rode.
    pub fn rode_true(&self) -> Result<Line, LineError> {
        let lengthened = self
            .rode_said
            .segments()
            .iter()
            .map(|s| Segment { length: s.length * self.rode_over_said, ..*s });
        Line::new(lengthened.collect(), self.rode_said.kellets().to_vec())
    }
    /// Least and greatest height of the roller above the anchor in the night.
    pub fn heights(&self) -> (Length, Length) {
        let (low_m, high_m) = self.tide.bounds_m();
        let still_m = self.depth_m + self.boat.roller_m;
        (Length::metres(still_m + low_m), Length::metres(still_m + high_m))
    }
}
