//! Where she heads: HDT and THS true, HDM magnetic, HDG by the compass with its corrections.
//!
//! ```text
//! HDT,heading,T        THS,heading,mode        HDM,heading,M        HDG,compass,deviation,E,variation,E
//! ```
//!
//! ```text
//! magnetic = compass + deviation,  true = magnetic + variation        (degrees, east positive)
//! ```
//!
//! Fields as told publicly in "NMEA Revealed" (E. S. Raymond).

use windrode_domain::units::{Angle, Bearing};

use super::fields::Fields;
use super::refusal::{Fault, Refusal};
use super::sentence::Sentence;

/// A direction from magnetic north, or from a compass's own: not yet a bearing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MagneticBearing(f64);

impl MagneticBearing {
    /// From degrees; any finite value is brought into `[0, 360)`.
    pub fn degrees(value: f64) -> Self {
        Self(Bearing::degrees(value).as_degrees())
    }
    /// Degrees in `[0, 360)`.
    pub const fn as_degrees(self) -> f64 {
        self.0
    }
    /// The true bearing, by how far magnetic north (or the compass's) lies east of true north.
    pub fn corrected(self, east: Angle) -> Bearing {
        Bearing::degrees(self.0 + east.as_degrees())
    }
}

/// True heading: HDT.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hdt {
    /// Where the bow points, true.
    pub heading: Option<Bearing>,
}

/// True heading with its mode: THS.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ths {
    /// Where the bow points, true.
    pub heading: Option<Bearing>,
    /// How it was got.
    pub mode: Option<HeadingMode>,
}

/// How a true heading was got: the mode of THS.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum HeadingMode {
    /// `A`
    Autonomous,
    /// `E`: reckoned on.
    Estimated,
    /// `M`: typed in.
    Manual,
    /// `S`: a simulator's.
    Simulator,
    /// `V`: not valid.
    NotValid,
}

/// Magnetic heading: HDM.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hdm {
    /// Where the bow points, from magnetic north.
    pub heading: Option<MagneticBearing>,
}

/// Heading by the compass: HDG.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hdg {
    /// What the compass reads.
    pub compass: Option<MagneticBearing>,
    /// Its deviation, east positive.
    pub deviation: Option<Angle>,
    /// Magnetic variation, east positive.
    pub variation: Option<Angle>,
}

impl Hdt {
    pub(super) fn read(sentence: &Sentence<'_>) -> Result<Self, Refusal> {
        let mut fields = Fields::of(sentence, "HDT", 2)?;
        Ok(Self { heading: fields.true_bearing("heading")? })
    }
}

impl Ths {
    pub(super) fn read(sentence: &Sentence<'_>) -> Result<Self, Refusal> {
        let mut fields = Fields::of(sentence, "THS", 2)?;
        let heading = fields.bearing("heading")?;
        let mode = match fields.letter("mode")? {
            None => None,
            Some(b'A') => Some(HeadingMode::Autonomous),
            Some(b'E') => Some(HeadingMode::Estimated),
            Some(b'M') => Some(HeadingMode::Manual),
            Some(b'S') => Some(HeadingMode::Simulator),
            Some(b'V') => Some(HeadingMode::NotValid),
            Some(_) => return Err(fields.refuse("mode", Fault::Letter)),
        };
        Ok(Self { heading, mode })
    }
}

impl Hdm {
    pub(super) fn read(sentence: &Sentence<'_>) -> Result<Self, Refusal> {
        let mut fields = Fields::of(sentence, "HDM", 2)?;
        Ok(Self { heading: fields.magnetic_bearing("heading")? })
    }
}

impl Hdg {
    pub(super) fn read(sentence: &Sentence<'_>) -> Result<Self, Refusal> {
        let mut fields = Fields::of(sentence, "HDG", 5)?;
        Ok(Self {
            compass: fields.magnetic("heading")?,
            deviation: fields.easterly("deviation")?,
            variation: fields.easterly("variation")?,
        })
    }
}
