//! The boat as a body in wind and water, and what she carries to find the ground and to pull astern.

use crate::uncertain::{Lognormal, Origin};
use crate::units::{Area, Length, Mass, Power};

/// Kind of hull, as far as windage, sheering and lateral plane differ by it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum HullKind {
    /// Sailing, one hull, with keel and rig.
    MonohullSail,
    /// Motor, one hull.
    Motor,
    /// Two hulls or three, sail or motor.
    Multihull,
}

/// Dimensions of the hull.
///
/// Invariant of [`Hull::checked`]: every length and the displacement are finite and positive,
/// `waterline_length <= length_overall`, `canoe_draught <= draught`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hull {
    /// Kind of hull.
    pub kind: HullKind,
    /// Length over all.
    pub length_overall: Length,
    /// Length on the waterline.
    pub waterline_length: Length,
    /// Greatest beam.
    pub beam: Length,
    /// Deepest draught, keel down.
    pub draught: Length,
    /// Draught of the hull without keel and rudder.
    pub canoe_draught: Length,
    /// Displacement as she lies.
    pub displacement: Mass,
}

/// Dimensions that no hull has together.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum HullError {
    /// A dimension is not a positive number.
    #[error("{what} is {value}, which is not a positive number")]
    NotPositive {
        /// Which dimension.
        what: &'static str,
        /// What was said, in SI.
        value: f64,
    },
    /// The waterline is longer than the hull.
    #[error("a waterline of {waterline} is longer than the hull of {overall}")]
    WaterlineLongerThanHull {
        /// Length on the waterline.
        waterline: Length,
        /// Length over all.
        overall: Length,
    },
    /// The canoe body is deeper than the keel.
    #[error("a canoe-body draught of {canoe} is deeper than the draught of {draught}")]
    CanoeDeeperThanKeel {
        /// Draught of the hull without keel.
        canoe: Length,
        /// Deepest draught.
        draught: Length,
    },
}

impl Hull {
    /// A hull that can be; all that is wrong with it otherwise.
    ///
    /// # Errors
    /// Every [`HullError`] that applies.
    pub fn checked(self) -> Result<Self, Vec<HullError>> {
        let dimensions = [
            ("length over all", self.length_overall.as_metres()),
            ("waterline length", self.waterline_length.as_metres()),
            ("beam", self.beam.as_metres()),
            ("draught", self.draught.as_metres()),
            ("canoe-body draught", self.canoe_draught.as_metres()),
            ("displacement", self.displacement.as_kilograms()),
        ];
        let mut errors: Vec<_> = dimensions
            .into_iter()
            .filter(|&(_, value)| !(0.0 < value && value.is_finite()))
            .map(|(what, value)| HullError::NotPositive { what, value })
            .collect();
        if self.length_overall < self.waterline_length {
            errors.push(HullError::WaterlineLongerThanHull {
                waterline: self.waterline_length,
                overall: self.length_overall,
            });
        }
        if self.draught < self.canoe_draught {
            errors.push(HullError::CanoeDeeperThanKeel { canoe: self.canoe_draught, draught: self.draught });
        }
        if errors.is_empty() { Ok(self) } else { Err(errors) }
    }
}

/// Windage: drag area (coefficient times area) head to wind, at the height of its centroid.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Windage {
    /// `Cd·A` head to wind, m².
    pub head_on_m2: Lognormal,
    /// How many times larger it is beam on.
    pub beam_ratio: f64,
    /// Height of the centroid above the water.
    pub centroid: Length,
    /// Given, or assumed by kind and length.
    pub origin: Origin,
}

/// What the sounder's reading is a depth below.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum SounderReads {
    /// Water under the keel.
    BelowKeel,
    /// Water under the transducer, which sits so deep below the surface.
    BelowTransducer(Length),
    /// The whole depth.
    BelowSurface,
}

/// Where the GNSS antenna stands.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Antenna {
    /// Metres aft of the bow roller.
    pub aft_of_roller: Length,
    /// Metres to starboard of the centre line; negative to port.
    pub to_starboard: Length,
}

/// Kind of propeller, as far as its pull astern differs by it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum PropellerKind {
    /// Fixed blades, two of them.
    FixedTwoBlade,
    /// Fixed blades, three or more.
    FixedThreeBlade,
    /// Blades that turn over astern.
    Feathering,
    /// Folding, blades geared together.
    FoldingGeared,
    /// Folding, older pattern.
    Folding,
}

/// A propeller.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Propeller {
    /// Kind.
    pub kind: PropellerKind,
    /// Diameter.
    pub diameter: Length,
    /// Pitch.
    pub pitch: Length,
    /// Number of blades, 2 to 7.
    pub blades: u8,
    /// Expanded blade area over disc area.
    pub area_ratio: f64,
}

/// The engine and what turns at its end.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Engine {
    /// Power at the shaft at full revolutions.
    pub shaft_power: Power,
    /// Full revolutions a minute of the engine.
    pub rated_rpm: f64,
    /// Engine turns to one of the shaft.
    pub gear_ratio: f64,
    /// The propeller.
    pub propeller: Propeller,
    /// How many such engines pull together.
    pub count: u8,
}

/// A boat.
#[derive(Clone, Debug, PartialEq)]
pub struct Boat {
    /// Her name.
    pub name: String,
    /// Her hull.
    pub hull: Hull,
    /// Her windage, one figure for all uses.
    pub windage: Windage,
    /// Height of the bow roller above the water.
    pub roller_height: Length,
    /// The GNSS antenna, if it has been measured.
    pub antenna: Option<Antenna>,
    /// What the sounder reads, if she has one.
    pub sounder: Option<SounderReads>,
    /// Engine and propeller, if known.
    pub engine: Option<Engine>,
}

impl Boat {
    /// Water from surface to ground that a reading of her sounder means; `None` without a sounder.
    pub fn water_from_sounding(&self, reading: Length) -> Option<Length> {
        Some(match self.sounder? {
            SounderReads::BelowKeel => reading + self.hull.draught,
            SounderReads::BelowTransducer(depth) => reading + depth,
            SounderReads::BelowSurface => reading,
        })
    }

    /// Blade area that she drags through the stream with the shaft stopped: expanded area of all propellers.
    pub fn propeller_area(&self) -> Area {
        self.engine.map_or(Area::ZERO, |engine| {
            let diameter_m = engine.propeller.diameter.as_metres();
            let disc_m2 = core::f64::consts::PI / 4.0 * diameter_m * diameter_m;
            Area::square_metres(disc_m2 * engine.propeller.area_ratio * f64::from(engine.count))
        })
    }
}
