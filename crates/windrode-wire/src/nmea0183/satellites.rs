//! What a receiver says of its sky: GSA and GSV.
//!
//! ```text
//! GSA,A or M,1 none 2 plane 3 space,satellite × 12,PDOP,HDOP,VDOP,system
//! GSV,sentences,number,in view,(satellite,elevation,azimuth,dB-Hz) × 4,signal
//! ```
//!
//! Fields as told publicly in "NMEA Revealed" (E. S. Raymond).

use super::fields::Fields;
use super::refusal::{Fault, Refusal};
use super::sentence::{Sentence, Talker};

/// Satellites used and dilutions: GSA.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gsa {
    /// Whose: GP, GL, GA, GB, or GN for several.
    pub talker: Talker,
    /// A: chosen by the receiver; M: told to.
    pub choice: Option<u8>,
    /// 1 none, 2 in the plane, 3 in space.
    pub dimensions: Option<u8>,
    /// Numbers of the satellites used.
    pub satellites: [Option<u16>; 12],
    /// Dilution of precision in space.
    pub pdop: Option<f64>,
    /// Horizontal dilution of precision.
    pub hdop: Option<f64>,
    /// Vertical dilution of precision.
    pub vdop: Option<f64>,
    /// Number of the system, edition 4.1: 1 GPS, 2 GLONASS, 3 Galileo, 4 BeiDou.
    pub system: Option<u8>,
}

/// Satellites in view, four to a sentence: GSV.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gsv {
    /// Whose: GP, GL, GA, GB.
    pub talker: Talker,
    /// How many sentences tell all.
    pub sentences: Option<u8>,
    /// Which of them this is, from 1.
    pub number: Option<u8>,
    /// Satellites in view in all.
    pub in_view: Option<u8>,
    /// Up to four of them.
    pub satellites: [Option<InView>; 4],
    /// Number of the signal, edition 4.1, a hexadecimal digit.
    pub signal: Option<u8>,
}

/// One satellite in view.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct InView {
    /// Its number.
    pub satellite: u16,
    /// Above the horizon, degrees.
    pub elevation_deg: Option<f64>,
    /// From true north, degrees.
    pub azimuth_deg: Option<f64>,
    /// Carrier to noise, dB-Hz; `None` when it is not tracked.
    pub carrier_db_hz: Option<f64>,
}

/// Dilutions are read whatever they are up to this.
const DILUTION_MAX: f64 = 1e6;

impl Gsa {
    pub(super) fn read(sentence: &Sentence<'_>) -> Result<Self, Refusal> {
        let mut fields = Fields::of(sentence, "GSA", 17)?;
        let (choice, dimensions) = (fields.letter("choice")?, fields.count("dimensions")?);
        let mut satellites = [None; 12];
        for satellite in &mut satellites {
            *satellite = fields.count("satellite")?;
        }
        Ok(Self {
            talker: sentence.talker,
            choice,
            dimensions,
            satellites,
            pdop: fields.within("PDOP", 0.0, DILUTION_MAX)?,
            hdop: fields.within("HDOP", 0.0, DILUTION_MAX)?,
            vdop: fields.within("VDOP", 0.0, DILUTION_MAX)?,
            system: hexadecimal_digit(&mut fields, "system")?,
        })
    }

    /// How many satellites are used.
    pub fn used(&self) -> u8 {
        self.satellites.iter().flatten().fold(0, |count, _| count + 1)
    }
}

impl Gsv {
    pub(super) fn read(sentence: &Sentence<'_>) -> Result<Self, Refusal> {
        let mut fields = Fields::of(sentence, "GSV", 3)?;
        let (sentences, number) = (fields.count("sentences")?, fields.count("number")?);
        let in_view = fields.count("in view")?;
        let mut satellites = [None; 4];
        let given = sentence.field_count().saturating_sub(3) / 4;
        for satellite in satellites.iter_mut().take(given) {
            *satellite = one(&mut fields)?;
        }
        let signal = hexadecimal_digit(&mut fields, "signal")?;
        Ok(Self { talker: sentence.talker, sentences, number, in_view, satellites, signal })
    }
}

fn one(fields: &mut Fields<'_>) -> Result<Option<InView>, Refusal> {
    let satellite = fields.count("satellite")?;
    let elevation_deg = fields.within("elevation", -90.0, 90.0)?;
    let azimuth_deg = fields.within("azimuth", 0.0, 360.0)?;
    let carrier_db_hz = fields.within("carrier to noise", 0.0, 99.0)?;
    Ok(satellite.map(|satellite| InView { satellite, elevation_deg, azimuth_deg, carrier_db_hz }))
}

fn hexadecimal_digit(fields: &mut Fields<'_>, what: &'static str) -> Result<Option<u8>, Refusal> {
    let Some(letter) = fields.letter(what)? else { return Ok(None) };
    let digit = char::from(letter).to_digit(16).and_then(|digit| u8::try_from(digit).ok());
    digit.map(Some).ok_or_else(|| fields.refuse(what, Fault::Letter))
}
