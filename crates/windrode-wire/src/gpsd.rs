//! What a gpsd server says: a line of JSON a report.
//!
//! ```text
//! {"class":"TPV","mode":3,"time":"…Z","lat":…,"lon":…,"epx":…,"epy":…,"eph":…,"speed":…,"track":…,"depth":…}
//! {"class":"SKY","nSat":…,"uSat":…,"satellites":[{"PRN":…,"ss":…,"used":…}]}
//! {"class":"ATT","heading":…,"mheading":…,"pitch":…,"roll":…,"depth":…}         IMU: the same
//! ```
//!
//! Wind in a TPV: `wangler` and `wspeedr` are felt, from the bow. `wanglet` and `wspeedt` are the true wind's, and what
//! `wanglet` is reckoned from the manual does not say: from north where the sentence behind it was MWD, maybe from the
//! bow where it was another. MWD alone has a magnetic direction beside (`wanglem`), so a true direction is taken only
//! where that stands beside it. Water's temperature (`wtemp`) and the gyro's rates are of no use to a watch, and left
//! out.
//!
//! Speeds in m/s, angles in degrees, lengths in metres. The server states its errors for a confidence of 95
//! %: along one axis (`epx`, `epy`) that is 1.960 standard deviations of a normal distribution, in the plane
//! (`eph`) 2.448 of a round one. Its later manuals call the certainty unknown, since some receivers state one
//! standard deviation; the fix is then up to 2.4 times worse than told here, and who uses the spread must not
//! take it for a promise.
//!
//! Source: gpsd's JSON protocol, gpsd_json(5).

use jiff::Timestamp;
use windrode_domain::position::Position;
use windrode_domain::units::{Angle, Bearing, Length, Speed};

use crate::nmea0183::heading::MagneticBearing;

/// The longest line that is kept, bytes: the server's own buffer for an answer is 10 240.
pub const LINE_BYTES_MAX: usize = 16_384;
/// `Φ⁻¹(0.975)`: 95 % along one axis, in standard deviations.
const AXIS_95: f64 = 1.959_964;
/// `√(−2 ln 0.05)`: 95 % in the plane, in standard deviations of a round normal distribution (Rayleigh).
const PLANE_95: f64 = 2.447_747;

/// What a line said.
#[derive(Clone, Debug, PartialEq)]
pub enum Report {
    /// Time, position, way.
    Tpv(Box<Tpv>),
    /// The sky.
    Sky(Sky),
    /// Attitude.
    Att(Att),
    /// The server speaks of itself: VERSION, DEVICES, DEVICE, WATCH.
    Acknowledged,
    /// The server has refused something.
    Error(String),
    /// A class that is not read here.
    Unlisted,
}

/// Time, position, way.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Tpv {
    /// 0 unknown, 1 none, 2 in the plane, 3 in space.
    pub mode: u8,
    /// 0 unknown, 1 normal, 2 differential, 3 and 4 by the carrier's phase, 5 and 6 dead reckoning, 7
    /// surveyed, 8 a simulator's, 9 encrypted.
    pub status: Option<u8>,
    /// Time of the fix.
    pub time: Option<Timestamp>,
    /// Where the antenna is.
    pub position: Option<Position>,
    /// How far it may be off along either axis, one standard deviation.
    pub spread: Option<Length>,
    /// Speed over the ground.
    pub speed: Option<Speed>,
    /// Course over the ground, true.
    pub track: Option<Bearing>,
    /// Course over the ground, magnetic.
    pub track_magnetic: Option<MagneticBearing>,
    /// Depth as the sounder reads it.
    pub depth: Option<Length>,
    /// Wind as felt: clockwise from the bow.
    pub felt_angle: Option<Angle>,
    /// Wind as felt.
    pub felt_speed: Option<Speed>,
    /// Where the wind over the ground comes from, true; only where the magnetic direction stands beside it.
    pub wind_from: Option<Bearing>,
    /// Where the wind over the ground comes from, from magnetic north.
    pub wind_from_magnetic: Option<MagneticBearing>,
    /// Wind over the ground.
    pub wind_speed: Option<Speed>,
}

/// The sky.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Sky {
    /// Satellites in view.
    pub in_view: Option<u8>,
    /// Satellites used.
    pub used: Option<u8>,
    /// Horizontal dilution of precision.
    pub hdop: Option<f64>,
    /// Mean carrier to noise of those tracked, dB-Hz.
    pub carrier_db_hz: Option<f64>,
}

/// Attitude.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Att {
    /// Where the bow points, true.
    pub heading: Option<Bearing>,
    /// Where the bow points, from magnetic north.
    pub heading_magnetic: Option<MagneticBearing>,
    /// Bow up positive, degrees.
    pub pitch_deg: Option<f64>,
    /// To starboard positive, degrees.
    pub roll_deg: Option<f64>,
    /// Depth as the sounder reads it.
    pub depth: Option<Length>,
}

/// A line that is not read, and why.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum Refusal {
    /// It is not JSON.
    #[error("column {column} is not JSON")]
    Broken {
        /// Where, from 1.
        column: usize,
    },
    /// It is JSON, but a field has not the type it must have, or there is no class.
    #[error("column {column} is not what a report has there")]
    Shape {
        /// Where, from 1.
        column: usize,
    },
    /// A field has a value that cannot be.
    #[error("{field} reads {value}, which cannot be")]
    Range {
        /// Which.
        field: &'static str,
        /// What it reads.
        value: f64,
    },
    /// The time is not one.
    #[error("time cannot be read")]
    Time,
}

impl Refusal {
    /// The short word for the cause.
    pub const fn word(&self) -> &'static str {
        match self {
            Self::Broken { .. } => "broken-json",
            Self::Shape { .. } => "shape",
            Self::Range { .. } => "range",
            Self::Time => "time",
        }
    }
}

#[derive(serde::Deserialize)]
#[serde(tag = "class")]
enum Line {
    #[serde(rename = "TPV")]
    Tpv(Box<TpvLine>),
    #[serde(rename = "SKY")]
    Sky(SkyLine),
    #[serde(rename = "ATT", alias = "IMU")]
    Att(AttLine),
    #[serde(rename = "VERSION", alias = "DEVICES", alias = "DEVICE", alias = "WATCH")]
    Acknowledged,
    #[serde(rename = "ERROR")]
    Error { message: String },
    #[serde(other)]
    Unlisted,
}

#[derive(serde::Deserialize)]
struct TpvLine {
    mode: u8,
    status: Option<u8>,
    time: Option<String>,
    lat: Option<f64>,
    lon: Option<f64>,
    epx: Option<f64>,
    epy: Option<f64>,
    eph: Option<f64>,
    speed: Option<f64>,
    track: Option<f64>,
    magtrack: Option<f64>,
    depth: Option<f64>,
    wangler: Option<f64>,
    wspeedr: Option<f64>,
    wanglet: Option<f64>,
    wanglem: Option<f64>,
    wspeedt: Option<f64>,
}

#[derive(serde::Deserialize)]
struct SkyLine {
    #[serde(rename = "nSat")]
    in_view: Option<u8>,
    #[serde(rename = "uSat")]
    used: Option<u8>,
    hdop: Option<f64>,
    #[serde(default)]
    satellites: Vec<SatelliteLine>,
}

#[derive(serde::Deserialize)]
struct SatelliteLine {
    ss: Option<f64>,
    #[serde(default)]
    used: bool,
}

#[derive(serde::Deserialize)]
struct AttLine {
    heading: Option<f64>,
    mheading: Option<f64>,
    pitch: Option<f64>,
    roll: Option<f64>,
    depth: Option<f64>,
}

/// Reads one line, without its ending.
///
/// # Errors
/// [`Refusal`] says what cannot be read, and where.
pub fn read(line: &[u8]) -> Result<Report, Refusal> {
    let line: Line = serde_json::from_slice(line).map_err(|error| match error.classify() {
        serde_json::error::Category::Data => Refusal::Shape { column: error.column() },
        _ => Refusal::Broken { column: error.column() },
    })?;
    Ok(match line {
        Line::Tpv(line) => Report::Tpv(Box::new(tpv(&line)?)),
        Line::Sky(line) => Report::Sky(sky(&line)),
        Line::Att(line) => Report::Att(att(&line)?),
        Line::Acknowledged => Report::Acknowledged,
        Line::Error { message } => Report::Error(message),
        Line::Unlisted => Report::Unlisted,
    })
}

fn tpv(line: &TpvLine) -> Result<Tpv, Refusal> {
    let time = line.time.as_deref().map(|text| text.parse().map_err(|_| Refusal::Time)).transpose()?;
    Ok(Tpv {
        mode: line.mode,
        status: line.status,
        time,
        position: position(line)?,
        spread: spread(line),
        speed: within("speed", line.speed, 0.0, SPEED_MAX_MS)?.map(Speed::metres_per_second),
        track: within("track", line.track, 0.0, 360.0)?.map(Bearing::degrees),
        track_magnetic: within("magtrack", line.magtrack, 0.0, 360.0)?.map(MagneticBearing::degrees),
        depth: within("depth", line.depth, 0.0, DEPTH_MAX_M)?.map(Length::metres),
        felt_angle: within("wangler", line.wangler, -180.0, 360.0)?.map(bow_angle),
        felt_speed: within("wspeedr", line.wspeedr, 0.0, SPEED_MAX_MS)?.map(Speed::metres_per_second),
        wind_from: within("wanglet", line.wanglet, 0.0, 360.0)?
            .filter(|_| line.wanglem.is_some())
            .map(Bearing::degrees),
        wind_from_magnetic: within("wanglem", line.wanglem, 0.0, 360.0)?.map(MagneticBearing::degrees),
        wind_speed: within("wspeedt", line.wspeedt, 0.0, SPEED_MAX_MS)?.map(Speed::metres_per_second),
    })
}

/// Nothing is faster than sound near the ground, m/s.
const SPEED_MAX_MS: f64 = 340.0;
/// The deepest sea is 11 km.
const DEPTH_MAX_M: f64 = 12_000.0;

fn bow_angle(degrees: f64) -> Angle {
    Bearing::degrees(0.0).to(Bearing::degrees(degrees))
}

fn within(field: &'static str, value: Option<f64>, least: f64, most: f64) -> Result<Option<f64>, Refusal> {
    match value {
        Some(value) if !(least..=most).contains(&value) => Err(Refusal::Range { field, value }),
        _ => Ok(value),
    }
}

fn position(line: &TpvLine) -> Result<Option<Position>, Refusal> {
    let (Some(lat), Some(lon)) = (line.lat, line.lon) else { return Ok(None) };
    within("lon", Some(lon), -180.0, 180.0)?;
    Position::new(lat, lon).map(Some).map_err(|_| Refusal::Range { field: "lat", value: lat })
}

/// The larger of the two axes, else the round figure.
fn spread(line: &TpvLine) -> Option<Length> {
    let axes = line.epx.zip(line.epy).map(|(x, y)| x.max(y) / AXIS_95);
    let spread_m = axes.or(line.eph.map(|plane| plane / PLANE_95))?;
    (0.0 < spread_m).then_some(Length::metres(spread_m))
}

fn sky(line: &SkyLine) -> Sky {
    let count = |kept: fn(&&SatelliteLine) -> bool| {
        let count = line.satellites.iter().filter(kept).count();
        (!line.satellites.is_empty()).then(|| u8::try_from(count).unwrap_or(u8::MAX))
    };
    let tracked: Vec<_> = line.satellites.iter().filter_map(|one| one.ss).filter(|&ss| 0.0 < ss).collect();
    let mean = tracked.iter().sum::<f64>() / tracked.len() as f64;
    Sky {
        in_view: line.in_view.or_else(|| count(|_| true)),
        used: line.used.or_else(|| count(|one| one.used)),
        hdop: line.hdop,
        carrier_db_hz: mean.is_finite().then_some(mean),
    }
}

fn att(line: &AttLine) -> Result<Att, Refusal> {
    Ok(Att {
        heading: within("heading", line.heading, 0.0, 360.0)?.map(Bearing::degrees),
        heading_magnetic: within("mheading", line.mheading, 0.0, 360.0)?.map(MagneticBearing::degrees),
        pitch_deg: within("pitch", line.pitch, -180.0, 180.0)?,
        roll_deg: within("roll", line.roll, -180.0, 180.0)?,
        depth: within("depth", line.depth, 0.0, DEPTH_MAX_M)?.map(Length::metres),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    // Source: the example of gpsd_json(5), shortened.
    const TPV: &str = r#"{"class":"TPV","device":"/dev/pts/1","time":"2005-06-08T10:34:48.283Z","ept":0.005,
        "lat":46.498293369,"lon":7.567411672,"alt":1343.127,"eph":36.000,"epv":32.321,
        "track":10.3788,"speed":0.091,"climb":-0.085,"mode":3}"#;

    #[test]
    fn a_fix_is_read_with_its_error_as_one_standard_deviation() {
        let Report::Tpv(tpv) = read(TPV.as_bytes()).unwrap() else { panic!() };
        assert_eq!(tpv.mode, 3);
        assert_eq!(tpv.time, Some("2005-06-08T10:34:48.283Z".parse().unwrap()));
        // 95 % of a round normal distribution lies within 2.4477 standard deviations (Rayleigh).
        assert!((tpv.spread.unwrap().as_metres() - 36.0 / 2.4477).abs() < 1e-3);
        assert_eq!(tpv.speed, Some(Speed::metres_per_second(0.091)));
    }

    #[test]
    fn the_server_of_itself_is_acknowledged_and_other_classes_are_kept_apart() {
        for class in ["VERSION", "DEVICES", "DEVICE", "WATCH"] {
            assert_eq!(
                read(format!(r#"{{"class":"{class}","x":[1]}}"#).as_bytes()),
                Ok(Report::Acknowledged)
            );
        }
        assert_eq!(read(br#"{"class":"PPS","real_sec":1}"#), Ok(Report::Unlisted));
    }

    #[test]
    fn what_is_broken_or_cannot_be_is_refused_by_its_cause() {
        let word = |line: &str| read(line.as_bytes()).unwrap_err().word();
        assert_eq!(word(r#"{"class":"TPV","mode":"#), "broken-json");
        assert_eq!(word(r#"{"mode":3}"#), "shape");
        assert_eq!(word(r#"{"class":"TPV","mode":3,"lat":"x"}"#), "shape");
        assert_eq!(word(r#"{"class":"TPV","mode":3,"lat":91.0,"lon":0}"#), "range");
        assert_eq!(word(r#"{"class":"TPV","mode":3,"time":"yesterday"}"#), "time");
    }

    #[test]
    fn the_sky_is_counted_and_its_carriers_averaged() {
        let line = br#"{"class":"SKY","satellites":[{"PRN":1,"ss":40,"used":true},{"PRN":2,"ss":20,"used":false},{"PRN":3}]}"#;
        let Report::Sky(sky) = read(line).unwrap() else { panic!() };
        assert_eq!((sky.in_view, sky.used, sky.carrier_db_hz), (Some(3), Some(1), Some(30.0)));
    }

    #[test]
    fn the_true_wind_is_taken_where_it_is_surely_from_north_and_an_imu_is_an_attitude() {
        let tpv = |line: &str| match read(line.as_bytes()) {
            Ok(Report::Tpv(tpv)) => tpv,
            other => panic!("{other:?}"),
        };
        let both = tpv(r#"{"class":"TPV","mode":3,"wanglet":231.0,"wanglem":209.5,"wspeedt":8.2}"#);
        assert_eq!(both.wind_from, Some(Bearing::degrees(231.0)));
        assert_eq!(both.wind_speed, Some(Speed::metres_per_second(8.2)));
        let alone = tpv(r#"{"class":"TPV","mode":3,"wanglet":31.0,"wspeedt":8.2}"#);
        assert_eq!((alone.wind_from, alone.wind_from_magnetic), (None, None));
        let refused = read(br#"{"class":"TPV","mode":3,"wanglet":731.0,"wanglem":209.5,"wspeedt":8.2}"#);
        assert_eq!(refused.unwrap_err().word(), "range");
        let line = br#"{"class":"IMU","heading":141.5,"pitch":1.5,"roll":-4.0,"gyro_x":0.1}"#;
        let Ok(Report::Att(att)) = read(line) else { panic!() };
        assert_eq!((att.heading, att.roll_deg), (Some(Bearing::degrees(141.5)), Some(-4.0)));
    }

    proptest! {
        #[test]
        fn no_bytes_panic(bytes in proptest::collection::vec(any::<u8>(), 0..200)) {
            let _ = read(&bytes);
        }
    }
}
