//! What is known at an instant, in the boat's terms: units, true bearings, depths from the surface.

use jiff::Timestamp;

use crate::environment::wind::Wind;
use crate::position::Position;
use crate::units::{Angle, Bearing, Length, Speed};

/// Who said so: a number that the binary gives to each receiver or instrument on each feed, the same all night.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Source(pub u16);

/// One thing seen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Observation {
    /// When it was true, by the boat's own clock.
    pub at: Timestamp,
    /// Who said so.
    pub source: Source,
    /// What was seen.
    pub seen: Seen,
}

/// What can be seen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Seen {
    /// Where the antenna is.
    Fix(Fix),
    /// A receiver speaks, and says that it has no fix.
    NoFix,
    /// Way of the antenna over the ground, by Doppler.
    Way(Way),
    /// Where she heads, true.
    Heading {
        /// True heading.
        bow: Bearing,
        /// How far it may be off, one standard deviation.
        spread: Angle,
    },
    /// How fast she turns, clockwise positive, degrees a second.
    Turning {
        /// Degrees a second.
        rate_deg_s: f64,
    },
    /// Depth of water from the surface to the ground below the sounder.
    Water {
        /// The whole depth.
        depth: Length,
    },
    /// Wind over the ground, reduced to 10 m.
    Wind(Wind),
    /// Way through the water, ahead positive.
    ThroughWater {
        /// Speed.
        speed: Speed,
    },
    /// The service battery.
    Battery {
        /// Volts.
        volts: f64,
    },
    /// The engine.
    Engine {
        /// Revolutions a minute; nothing when stopped.
        rpm: f64,
    },
    /// Rode veered, by a counter at the windlass.
    RodeOut {
        /// From the anchor to the roller.
        length: Length,
    },
    /// What a receiver says of its sky.
    Sky(Sky),
    /// How she heels and pitches, degrees, to starboard and bow up positive.
    Attitude {
        /// Heel to starboard, degrees.
        heel_deg: f64,
        /// Bow up, degrees.
        pitch_deg: f64,
    },
}

/// A position fix of the antenna.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fix {
    /// Where the antenna is.
    pub antenna: Position,
    /// How far it may be off, one standard deviation along either axis, if the receiver says.
    pub spread: Option<Length>,
    /// Satellites used, if the receiver says.
    pub satellites: Option<u8>,
    /// Horizontal dilution of precision, if the receiver says.
    pub dilution: Option<f64>,
    /// How it was got.
    pub kind: FixKind,
    /// The receiver's own time of it, where the sentence carries a whole one.
    pub stated: Option<Timestamp>,
}

/// How a fix was got.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum FixKind {
    /// By satellites alone.
    Autonomous,
    /// Corrected by a reference station or another satellite.
    Differential,
    /// By the carrier's phase.
    CarrierPhase,
    /// By dead reckoning: no fix at all.
    Estimated,
    /// Typed in by hand, or made up by a simulator: no fix at all.
    NotMeasured,
    /// Not said.
    Unstated,
}

/// Way over the ground.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Way {
    /// How fast.
    pub speed: Speed,
    /// Whither, true; `None` where it is too slow to tell, or not said.
    pub course: Option<Bearing>,
    /// The step in which the speed is told: 0.1 kn where a sentence has one decimal.
    pub step: Speed,
}

/// What a receiver says of its sky.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Sky {
    /// Satellites in view.
    pub in_view: Option<u8>,
    /// Satellites used.
    pub used: Option<u8>,
    /// Mean carrier to noise of those used or seen, dB-Hz.
    pub carrier_db_hz: Option<f64>,
}
