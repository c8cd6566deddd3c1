//! How deep the water is, below one thing or another: DPT, DBT, DBS, DBK.
//!
//! ```text
//! DPT,metres below the transducer,offset,range        offset > 0: surface to transducer; < 0: transducer to keel
//! DBT,feet,f,metres,M,fathoms,F                        below the transducer
//! DBS,feet,f,metres,M,fathoms,F                        below the surface
//! DBK,feet,f,metres,M,fathoms,F                        below the keel
//! ```
//!
//! Fields as told publicly in "NMEA Revealed" (E. S. Raymond). Metres are taken where given, else feet, else
//! fathoms; a sounder that gives none hears no bottom.

use windrode_domain::units::Length;

use super::fields::Fields;
use super::refusal::Refusal;
use super::sentence::Sentence;

/// Depth with the transducer's place: DPT.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Dpt {
    /// From the transducer to the ground.
    pub below_transducer: Option<Length>,
    /// Positive: from the surface down to the transducer. Negative: from the keel up to the transducer.
    pub offset: Option<Length>,
    /// Scale of the sounder, in edition 3 and later.
    pub range: Option<Length>,
}

/// Depth below what the sentence's name says: DBT, DBS or DBK.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sounding {
    /// The depth.
    pub depth: Option<Length>,
}

/// The deepest sea is 11 km.
const DEPTH_MAX_M: f64 = 12_000.0;
/// No transducer is so far from keel or surface, m.
const OFFSET_MAX_M: f64 = 100.0;

impl Dpt {
    pub(super) fn read(sentence: &Sentence<'_>) -> Result<Self, Refusal> {
        let mut fields = Fields::of(sentence, "DPT", 1)?;
        Ok(Self {
            below_transducer: fields.metres("depth", 0.0, DEPTH_MAX_M)?,
            offset: fields.metres("offset", -OFFSET_MAX_M, OFFSET_MAX_M)?,
            range: fields.metres("range", 0.0, DEPTH_MAX_M)?,
        })
    }
}

impl Sounding {
    pub(super) fn read(sentence: &Sentence<'_>, kind: &'static str) -> Result<Self, Refusal> {
        let mut fields = Fields::of(sentence, kind, 4)?;
        let mut in_unit = |what, unit_m: f64, letter| {
            let given = fields.within(what, 0.0, DEPTH_MAX_M / unit_m)?;
            fields.unit(what, given, letter)
        };
        let feet = in_unit("depth in feet", 0.3048, b'f')?;
        let metres = in_unit("depth in metres", 1.0, b'M')?;
        let fathoms = in_unit("depth in fathoms", 1.8288, b'F')?;
        let depth = metres.map(Length::metres).or(feet.map(Length::feet)).or(fathoms.map(Length::fathoms));
        Ok(Self { depth })
    }
}
