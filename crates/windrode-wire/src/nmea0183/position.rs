//! Where the antenna is, and how well that is known: GGA, RMC, GLL, GNS, GST.
//!
//! ```text
//! GGA,time,lat,N,lon,E,quality,satellites,HDOP,altitude,M,geoid,M,age,station
//! RMC,time,status,lat,N,lon,E,speed kn,course T,date,variation,E,mode,navigation status
//! GLL,lat,N,lon,E,time,status,mode
//! GNS,time,lat,N,lon,E,modes,satellites,HDOP,altitude,geoid,age,station,navigation status
//! GST,time,RMS of ranges,major,minor,orientation,σ latitude,σ longitude,σ altitude     (m, one standard deviation)
//! ```
//!
//! Fields as told publicly in "NMEA Revealed" (E. S. Raymond); older editions end earlier. The status,
//! quality and mode are kept as they stand: a position beside `V` or quality 0 is no fix, and `observe`
//! treats it as none.

use jiff::civil::Date;
use windrode_domain::position::Position;
use windrode_domain::units::{Angle, Bearing, Length, Speed};

use super::clock::{UtcTime, date_of_six};
use super::fields::{Fields, SpeedTold};
use super::refusal::{Fault, Refusal};
use super::sentence::Sentence;

/// `A` or `V`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Status {
    /// `A`: the data are valid.
    Valid,
    /// `V`: a warning stands over them.
    Warning,
}

/// How a fix was got: the mode indicator of edition 2.3 and later.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Mode {
    /// `A`
    Autonomous,
    /// `D`
    Differential,
    /// `E`: dead reckoning.
    Estimated,
    /// `F`: by the carrier's phase, ambiguities not yet whole.
    FloatPhase,
    /// `M`: typed in.
    Manual,
    /// `N`: none.
    NotValid,
    /// `P`: without degradation.
    Precise,
    /// `R`: by the carrier's phase.
    FixedPhase,
    /// `S`: a simulator's.
    Simulator,
    /// Another letter.
    Unlisted(u8),
}

/// How a fix was got: the quality of GGA.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Quality {
    /// 0
    NoFix,
    /// 1
    Autonomous,
    /// 2
    Differential,
    /// 3
    Precise,
    /// 4
    FixedPhase,
    /// 5
    FloatPhase,
    /// 6: dead reckoning.
    Estimated,
    /// 7: typed in.
    Manual,
    /// 8: a simulator's.
    Simulator,
    /// Another number.
    Unlisted(u8),
}

/// Fix with its quality: GGA.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gga {
    /// Time of the fix, UTC.
    pub time: Option<UtcTime>,
    /// Where the antenna is.
    pub position: Option<Position>,
    /// How it was got.
    pub quality: Option<Quality>,
    /// Satellites used.
    pub satellites: Option<u8>,
    /// Horizontal dilution of precision.
    pub hdop: Option<f64>,
    /// Antenna above mean sea level.
    pub altitude: Option<Length>,
    /// Geoid above the ellipsoid.
    pub geoid: Option<Length>,
    /// Age of the corrections, s.
    pub age_s: Option<f64>,
    /// Station that sent them.
    pub station: Option<u16>,
}

/// The least that a receiver says: RMC.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rmc {
    /// Time of the fix, UTC.
    pub time: Option<UtcTime>,
    /// Valid or not.
    pub status: Option<Status>,
    /// Where the antenna is.
    pub position: Option<Position>,
    /// Speed over the ground.
    pub speed: Option<SpeedTold>,
    /// Course over the ground, true.
    pub course: Option<Bearing>,
    /// Date, UTC.
    pub date: Option<Date>,
    /// Magnetic variation, east positive.
    pub variation: Option<Angle>,
    /// How the fix was got.
    pub mode: Option<Mode>,
    /// The letter of the navigation status, edition 4.1: S, C, U, V. Receivers write V for "not told".
    pub navigation: Option<u8>,
}

/// Position alone: GLL.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gll {
    /// Where the antenna is.
    pub position: Option<Position>,
    /// Time of the fix, UTC.
    pub time: Option<UtcTime>,
    /// Valid or not.
    pub status: Option<Status>,
    /// How the fix was got.
    pub mode: Option<Mode>,
}

/// Fix by several systems: GNS.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gns {
    /// Time of the fix, UTC.
    pub time: Option<UtcTime>,
    /// Where the antenna is.
    pub position: Option<Position>,
    /// How each system took part, in the order GPS, GLONASS, Galileo, BeiDou, QZSS, NavIC.
    pub modes: [Option<Mode>; 6],
    /// Satellites used.
    pub satellites: Option<u8>,
    /// Horizontal dilution of precision.
    pub hdop: Option<f64>,
    /// Antenna above mean sea level.
    pub altitude: Option<Length>,
    /// Geoid above the ellipsoid.
    pub geoid: Option<Length>,
    /// The letter of the navigation status, edition 4.1.
    pub navigation: Option<u8>,
}

/// Errors of the fix, one standard deviation: GST.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gst {
    /// Time of the fix, UTC.
    pub time: Option<UtcTime>,
    /// Root mean square of the ranges' residuals.
    pub ranges: Option<Length>,
    /// Half the longer axis of the error ellipse.
    pub major: Option<Length>,
    /// Half the shorter axis.
    pub minor: Option<Length>,
    /// Whither the longer axis points, true.
    pub orientation: Option<Bearing>,
    /// Error of latitude.
    pub latitude: Option<Length>,
    /// Error of longitude.
    pub longitude: Option<Length>,
    /// Error of altitude.
    pub altitude: Option<Length>,
}

impl Mode {
    /// From its letter.
    pub const fn from_letter(letter: u8) -> Self {
        match letter {
            b'A' => Self::Autonomous,
            b'D' => Self::Differential,
            b'E' => Self::Estimated,
            b'F' => Self::FloatPhase,
            b'M' => Self::Manual,
            b'N' => Self::NotValid,
            b'P' => Self::Precise,
            b'R' => Self::FixedPhase,
            b'S' => Self::Simulator,
            other => Self::Unlisted(other),
        }
    }
    /// Its letter.
    pub const fn letter(self) -> char {
        match self {
            Self::Autonomous => 'A',
            Self::Differential => 'D',
            Self::Estimated => 'E',
            Self::FloatPhase => 'F',
            Self::Manual => 'M',
            Self::NotValid => 'N',
            Self::Precise => 'P',
            Self::FixedPhase => 'R',
            Self::Simulator => 'S',
            Self::Unlisted(other) => other as char,
        }
    }
}

impl Quality {
    /// From its number.
    pub const fn from_number(number: u8) -> Self {
        match number {
            0 => Self::NoFix,
            1 => Self::Autonomous,
            2 => Self::Differential,
            3 => Self::Precise,
            4 => Self::FixedPhase,
            5 => Self::FloatPhase,
            6 => Self::Estimated,
            7 => Self::Manual,
            8 => Self::Simulator,
            other => Self::Unlisted(other),
        }
    }
    /// Its number.
    pub const fn number(self) -> u8 {
        match self {
            Self::NoFix => 0,
            Self::Autonomous => 1,
            Self::Differential => 2,
            Self::Precise => 3,
            Self::FixedPhase => 4,
            Self::FloatPhase => 5,
            Self::Estimated => 6,
            Self::Manual => 7,
            Self::Simulator => 8,
            Self::Unlisted(other) => other,
        }
    }
}

/// Dilutions and errors beyond these are a receiver's way of saying that it knows nothing; they are read
/// nonetheless.
const DILUTION_MAX: f64 = 1e6;
/// Altitudes and geoid heights, m: no antenna is beyond.
const HEIGHT_MAX_M: f64 = 1e5;
/// Errors of a fix, m: half round the Earth.
const ERROR_MAX_M: f64 = 2.1e7;
/// Age of corrections, s: a year.
const AGE_MAX_S: f64 = 3.2e7;

pub(super) fn status(fields: &mut Fields<'_>) -> Result<Option<Status>, Refusal> {
    match fields.letter("status")? {
        None => Ok(None),
        Some(b'A') => Ok(Some(Status::Valid)),
        Some(b'V') => Ok(Some(Status::Warning)),
        Some(_) => Err(fields.refuse("status", Fault::Letter)),
    }
}

pub(super) fn mode(fields: &mut Fields<'_>) -> Result<Option<Mode>, Refusal> {
    Ok(fields.letter("mode")?.map(Mode::from_letter))
}

impl Gga {
    pub(super) fn read(sentence: &Sentence<'_>) -> Result<Self, Refusal> {
        let mut fields = Fields::of(sentence, "GGA", 9)?;
        Ok(Self {
            time: fields.time()?,
            position: fields.position()?,
            quality: fields.count("quality")?.map(Quality::from_number),
            satellites: fields.count("satellites")?,
            hdop: fields.within("HDOP", 0.0, DILUTION_MAX)?,
            altitude: height(&mut fields, "altitude")?,
            geoid: height(&mut fields, "geoid")?,
            age_s: fields.within("age of corrections", 0.0, AGE_MAX_S)?,
            station: fields.count("station")?,
        })
    }
}

fn height(fields: &mut Fields<'_>, what: &'static str) -> Result<Option<Length>, Refusal> {
    let given = fields.metres(what, -HEIGHT_MAX_M, HEIGHT_MAX_M)?;
    fields.unit(what, given, b'M')
}

impl Rmc {
    pub(super) fn read(sentence: &Sentence<'_>) -> Result<Self, Refusal> {
        let mut fields = Fields::of(sentence, "RMC", 9)?;
        Ok(Self {
            time: fields.time()?,
            status: status(&mut fields)?,
            position: fields.position()?,
            speed: fields.speed("speed", Speed::knots(1.0))?,
            course: fields.bearing("course")?,
            date: date(&mut fields)?,
            variation: fields.easterly("variation")?,
            mode: mode(&mut fields)?,
            navigation: fields.letter("navigation status")?,
        })
    }
}

fn date(fields: &mut Fields<'_>) -> Result<Option<Date>, Refusal> {
    match fields.text() {
        "" => Ok(None),
        text => date_of_six(text).map(Some).map_err(|fault| fields.refuse("date", fault)),
    }
}

impl Gll {
    pub(super) fn read(sentence: &Sentence<'_>) -> Result<Self, Refusal> {
        let mut fields = Fields::of(sentence, "GLL", 4)?;
        Ok(Self {
            position: fields.position()?,
            time: fields.time()?,
            status: status(&mut fields)?,
            mode: mode(&mut fields)?,
        })
    }
}

impl Gns {
    pub(super) fn read(sentence: &Sentence<'_>) -> Result<Self, Refusal> {
        let mut fields = Fields::of(sentence, "GNS", 10)?;
        let (time, position) = (fields.time()?, fields.position()?);
        let modes = modes(&mut fields)?;
        let satellites = fields.count("satellites")?;
        let hdop = fields.within("HDOP", 0.0, DILUTION_MAX)?;
        let altitude = fields.metres("altitude", -HEIGHT_MAX_M, HEIGHT_MAX_M)?;
        let geoid = fields.metres("geoid", -HEIGHT_MAX_M, HEIGHT_MAX_M)?;
        fields.skip(2);
        let navigation = fields.letter("navigation status")?;
        Ok(Self { time, position, modes, satellites, hdop, altitude, geoid, navigation })
    }
}

fn modes(fields: &mut Fields<'_>) -> Result<[Option<Mode>; 6], Refusal> {
    let mut modes = [None; 6];
    let letters = fields.text().as_bytes();
    if modes.len() < letters.len() {
        return Err(fields.refuse("modes", Fault::OutOfRange));
    }
    for (mode, letter) in modes.iter_mut().zip(letters) {
        *mode = Some(Mode::from_letter(*letter));
    }
    Ok(modes)
}

impl Gst {
    pub(super) fn read(sentence: &Sentence<'_>) -> Result<Self, Refusal> {
        let mut fields = Fields::of(sentence, "GST", 8)?;
        Ok(Self {
            time: fields.time()?,
            ranges: fields.metres("RMS of ranges", 0.0, ERROR_MAX_M)?,
            major: fields.metres("major axis", 0.0, ERROR_MAX_M)?,
            minor: fields.metres("minor axis", 0.0, ERROR_MAX_M)?,
            orientation: fields.bearing("orientation")?,
            latitude: fields.metres("error of latitude", 0.0, ERROR_MAX_M)?,
            longitude: fields.metres("error of longitude", 0.0, ERROR_MAX_M)?,
            altitude: fields.metres("error of altitude", 0.0, ERROR_MAX_M)?,
        })
    }
}
