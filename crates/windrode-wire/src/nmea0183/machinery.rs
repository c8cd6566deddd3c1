//! Machinery and other measurements: RPM, MTW, XDR.
//!
//! ```text
//! RPM,E or S,number,revolutions a minute,pitch %,status          engine or shaft
//! MTW,degrees,C                                                   temperature of the water
//! XDR,(kind,value,unit,name) × n                                  U,12.6,V,BATT   A,3.5,D,HEEL
//! ```
//!
//! Fields as told publicly in "NMEA Revealed" (E. S. Raymond). The names of XDR are the maker's own.

use super::fields::{Fields, number};
use super::position::{Status, status};
use super::refusal::{Fault, Refusal};
use super::sentence::Sentence;

/// What turns.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Turns {
    /// `E`
    Engine,
    /// `S`
    Shaft,
}

/// Revolutions: RPM.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rpm {
    /// Engine or shaft.
    pub what: Option<Turns>,
    /// Its number; odd to starboard, 0 on the centre line.
    pub number: Option<u8>,
    /// Revolutions a minute, negative when turning astern.
    pub rpm: Option<f64>,
    /// Pitch of the propeller, percent of the greatest.
    pub pitch_percent: Option<f64>,
    /// Valid or not.
    pub status: Option<Status>,
}

/// Temperature of the water: MTW.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mtw {
    /// Degrees Celsius.
    pub water_c: Option<f64>,
}

/// Measurements of any kind: XDR.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Xdr<'a> {
    fields: Fields<'a>,
}

/// One measurement of XDR.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measurement<'a> {
    /// Letter of its kind: A angle, C temperature, P pressure, U voltage…
    pub kind: u8,
    /// The value.
    pub value: f64,
    /// Letter of its unit: D degrees, V volts…; `None` where the kind has none.
    pub unit: Option<u8>,
    /// The maker's name for it.
    pub name: &'a str,
}

/// No shaft turns faster, 1/min.
const REVOLUTIONS_MAX: f64 = 1e5;

impl Rpm {
    pub(super) fn read(sentence: &Sentence<'_>) -> Result<Self, Refusal> {
        let mut fields = Fields::of(sentence, "RPM", 5)?;
        let what = match fields.letter("source")? {
            None => None,
            Some(b'E') => Some(Turns::Engine),
            Some(b'S') => Some(Turns::Shaft),
            Some(_) => return Err(fields.refuse("source", Fault::Letter)),
        };
        Ok(Self {
            what,
            number: fields.count("number")?,
            rpm: fields.within("revolutions", -REVOLUTIONS_MAX, REVOLUTIONS_MAX)?,
            pitch_percent: fields.within("pitch", -100.0, 100.0)?,
            status: status(&mut fields)?,
        })
    }
}

impl Mtw {
    pub(super) fn read(sentence: &Sentence<'_>) -> Result<Self, Refusal> {
        let mut fields = Fields::of(sentence, "MTW", 2)?;
        let given = fields.within("temperature", -100.0, 200.0)?;
        Ok(Self { water_c: fields.unit("temperature", given, b'C')? })
    }
}

impl<'a> Xdr<'a> {
    /// Every number in it was found to be one, or empty.
    pub(super) fn read(sentence: &Sentence<'a>) -> Result<Self, Refusal> {
        let fields = Fields::of(sentence, "XDR", 4)?;
        let mut ahead = fields;
        while ahead.more() {
            ahead.letter("kind")?;
            ahead.number("value")?;
            ahead.letter("unit")?;
            ahead.text();
        }
        Ok(Self { fields })
    }

    /// The measurements that have a kind and a value.
    pub fn measurements(&self) -> impl Iterator<Item = Measurement<'a>> + use<'a> {
        let mut fields = self.fields;
        let one = move || fields.more().then(|| (fields.text(), fields.text(), fields.text(), fields.text()));
        core::iter::from_fn(one).filter_map(|(kind, value, unit, name)| {
            let (kind, value) = (*kind.as_bytes().first()?, number(value)?.value);
            Some(Measurement { kind, value, unit: unit.as_bytes().first().copied(), name })
        })
    }
}
