//! The wind, as one instrument or another tells it: MWV, MWD, VWR, VWT.
//!
//! ```text
//! MWV,angle from the bow 0–360,R or T,speed,unit,status          R: as felt on board; T: as if she did not move
//! MWD,from,T,from,M,speed,N,speed,M                              over the ground, from north
//! VWR,angle 0–180,L or R,speed,N,speed,M,speed,K                 as felt, from the bow to port or starboard
//! VWT,angle 0–180,L or R,speed,N,speed,M,speed,K                 true, from the bow
//! ```
//!
//! Fields as told publicly in "NMEA Revealed" (E. S. Raymond).

use windrode_domain::units::{Angle, Bearing, Speed};

use super::fields::{Fields, KILOMETRE_PER_HOUR};
use super::heading::MagneticBearing;
use super::position::{Status, status};
use super::refusal::{Fault, Refusal};
use super::sentence::Sentence;

/// Whose wind it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Reference {
    /// `R`: as felt on board, her own way in it.
    Felt,
    /// `T`: her own way taken out by the instrument, as a rule her way through the water.
    True,
}

/// Wind by its angle from the bow: MWV.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mwv {
    /// Where it comes from, clockwise from the bow, in `(-180°, 180°]`.
    pub angle: Option<Angle>,
    /// Whose wind.
    pub reference: Option<Reference>,
    /// How fast.
    pub speed: Option<Speed>,
    /// Valid or not.
    pub status: Option<Status>,
}

/// Wind over the ground: MWD.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mwd {
    /// Where it comes from, true.
    pub from: Option<Bearing>,
    /// Where it comes from, magnetic.
    pub from_magnetic: Option<MagneticBearing>,
    /// How fast.
    pub speed: Option<Speed>,
}

/// Wind from the bow, to port or starboard: VWR (as felt) or VWT (true).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BowWind {
    /// Where it comes from, clockwise from the bow, in `[-180°, 180°]`.
    pub angle: Option<Angle>,
    /// How fast.
    pub speed: Option<Speed>,
}

impl Mwv {
    pub(super) fn read(sentence: &Sentence<'_>) -> Result<Self, Refusal> {
        let mut fields = Fields::of(sentence, "MWV", 5)?;
        let angle =
            fields.degrees("angle")?.map(|degrees| Bearing::degrees(0.0).to(Bearing::degrees(degrees)));
        let reference = match fields.letter("reference")? {
            None => None,
            Some(b'R') => Some(Reference::Felt),
            Some(b'T') => Some(Reference::True),
            Some(_) => return Err(fields.refuse("reference", Fault::Letter)),
        };
        Ok(Self { angle, reference, speed: fields.speed_in_unit("speed")?, status: status(&mut fields)? })
    }
}

impl Mwd {
    pub(super) fn read(sentence: &Sentence<'_>) -> Result<Self, Refusal> {
        let mut fields = Fields::of(sentence, "MWD", 8)?;
        let from = fields.true_bearing("direction")?;
        let from_magnetic = fields.magnetic_bearing("magnetic direction")?;
        let knots = speed(&mut fields, "speed in knots", Speed::knots(1.0), b'N')?;
        let metric = speed(&mut fields, "speed in m/s", Speed::metres_per_second(1.0), b'M')?;
        Ok(Self { from, from_magnetic, speed: knots.or(metric) })
    }
}

fn speed(
    fields: &mut Fields<'_>,
    what: &'static str,
    unit: Speed,
    letter: u8,
) -> Result<Option<Speed>, Refusal> {
    let given = fields.speed(what, unit)?.map(|told| told.speed);
    fields.unit(what, given, letter)
}

impl BowWind {
    pub(super) fn read(sentence: &Sentence<'_>, kind: &'static str) -> Result<Self, Refusal> {
        let mut fields = Fields::of(sentence, kind, 8)?;
        let size = fields.within("angle", 0.0, 180.0)?;
        let angle = match (size, fields.letter("side")?) {
            (None, _) => None,
            (Some(size), Some(b'R')) => Some(Angle::degrees(size)),
            (Some(size), Some(b'L')) => Some(Angle::degrees(-size)),
            (Some(_), None) => return Err(fields.refuse("side", Fault::HalfGiven)),
            (Some(_), Some(_)) => return Err(fields.refuse("side", Fault::Letter)),
        };
        let knots = speed(&mut fields, "speed in knots", Speed::knots(1.0), b'N')?;
        let metric = speed(&mut fields, "speed in m/s", Speed::metres_per_second(1.0), b'M')?;
        let kilometric = speed(&mut fields, "speed in km/h", KILOMETRE_PER_HOUR, b'K')?;
        Ok(Self { angle, speed: knots.or(metric).or(kilometric) })
    }
}
