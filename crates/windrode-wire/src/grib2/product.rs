//! What a field is of: parameter, level, time, member; and who made it.
//!
//! Read are the eastward and northward wind at 10 m above the ground, of an instant, and the gust at the ground or
//! at 10 m, of an instant or as the greatest of an interval. Everything else is kept as a word for what was found.
//! Templates 4.0, 4.1, 4.8, 4.11; code tables 4.2-0-2, 4.4, 4.5, 4.10 of WMO-No. 306.

use jiff::{SignedDuration, Timestamp, civil::DateTime, tz::TimeZone};

use super::frame::{Frame, Octets};

/// What of the wind a field gives.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) enum Quantity {
    Eastward,
    Northward,
    Gust,
}

/// Who made a field, and from which run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Run {
    pub(super) centre: u16,
    /// Generating process: the centre's own number of the model.
    pub(super) process: u8,
    pub(super) began: Timestamp,
    pub(super) member: Option<u8>,
}

/// A field of wind.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Product {
    pub(super) quantity: Quantity,
    pub(super) run: Run,
    /// When it holds; the end of its interval.
    pub(super) at: Timestamp,
    /// Length of its interval; zero of an instant.
    pub(super) over: SignedDuration,
    /// Whether the level is the ground itself rather than 10 m above it.
    pub(super) at_ground: bool,
}

/// What a field turned out to be.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Found {
    Wind(Product),
    /// In words.
    Other(String),
}

const ABOVE_GROUND: u8 = 103;
const GROUND: u8 = 1;
const GREATEST: u8 = 2;

/// Reads what a field is of; the words of an error say what is wrong with a field of wind.
pub(super) fn read(frame: &Frame<'_>) -> Result<Found, String> {
    let short = || "its section is too short".to_owned();
    let section = frame.product;
    let template = section.u16(8).ok_or_else(short)?;
    let (category, number) = (section.u8(10).ok_or_else(short)?, section.u8(11).ok_or_else(short)?);
    let quantity = match (frame.discipline, category, number) {
        (0, 2, 2) => Quantity::Eastward,
        (0, 2, 3) => Quantity::Northward,
        (0, 2, 22) => Quantity::Gust,
        _ => return Ok(Found::Other(parameter_in_words(frame.discipline, category, number))),
    };
    let other = |why: &str| Ok(Found::Other(format!("{} {why}", quantity.word())));
    let Some(shape) = Shape::of(template) else {
        return other(&format!("of product template {template}"));
    };
    let (surface, level_m) = level(section).ok_or_else(short)?;
    let at_ten_metres = surface == ABOVE_GROUND && (level_m - 10.0).abs() < 1e-6;
    let at_ground = surface == GROUND;
    if !(at_ten_metres || (at_ground && quantity == Quantity::Gust)) {
        return other(&format!("at level {level_m} of surface {surface}"));
    }
    let began = reference_time(frame.identification)?;
    let member = shape.ensemble.then(|| section.u8(36).ok_or_else(short)).transpose()?;
    let lead = lead_time(section)?;
    let from = began.checked_add(lead).map_err(|_| "its time is out of reckoning".to_owned())?;
    let at = match shape.interval_at {
        None => from,
        Some(octet) => {
            let process = section.u8(octet + 12).ok_or_else(short)?;
            if !(quantity == Quantity::Gust && process == GREATEST) {
                return other(&format!("as statistic {process} of an interval"));
            }
            instant(section, octet)?
        }
    };
    let over = at.duration_since(from);
    if over < SignedDuration::ZERO {
        return Err(format!("its interval ends at {at}, before it begins at {from}"));
    }
    let centre = frame.identification.u16(6).ok_or_else(short)?;
    let process = section.u8(14).ok_or_else(short)?;
    let run = Run { centre, process, began, member };
    Ok(Found::Wind(Product { quantity, run, at, over, at_ground }))
}

/// How a product template is laid out.
#[derive(Clone, Copy)]
struct Shape {
    ensemble: bool,
    /// Octet of the end of the interval, if it has one.
    interval_at: Option<usize>,
}

impl Shape {
    /// Means and spreads over an ensemble (4.2, 4.12) are no wind that blows, and are not read as one.
    const fn of(template: u16) -> Option<Self> {
        match template {
            0 => Some(Self { ensemble: false, interval_at: None }),
            1 => Some(Self { ensemble: true, interval_at: None }),
            8 => Some(Self { ensemble: false, interval_at: Some(35) }),
            11 => Some(Self { ensemble: true, interval_at: Some(38) }),
            _ => None,
        }
    }
}

impl Quantity {
    pub(super) const fn word(self) -> &'static str {
        match self {
            Self::Eastward => "eastward wind",
            Self::Northward => "northward wind",
            Self::Gust => "gust",
        }
    }
}

fn parameter_in_words(discipline: u8, category: u8, number: u8) -> String {
    match (discipline, category, number) {
        (0, 2, 0) => "wind direction".to_owned(),
        (0, 2, 1) => "wind speed".to_owned(),
        (0, 0, 0) => "temperature".to_owned(),
        (0, 1, 8) => "precipitation".to_owned(),
        (0, 3, 0 | 1) => "pressure".to_owned(),
        (10, 0, 3) => "significant wave height".to_owned(),
        _ => format!("parameter {discipline}.{category}.{number}"),
    }
}

/// First fixed surface: its type, and its value.
fn level(section: Octets<'_>) -> Option<(u8, f64)> {
    let (scale, value) = (section.i8(24)?, section.u32(25)?);
    Some((section.u8(23)?, f64::from(value) * 10_f64.powi(-i32::from(scale))))
}

fn lead_time(section: Octets<'_>) -> Result<SignedDuration, String> {
    let short = || "its section is too short".to_owned();
    let unit = section.u8(18).ok_or_else(short)?;
    let count = i64::from(section.i32(19).ok_or_else(short)?);
    let unit_s = match unit {
        0 => 60,
        1 => 3600,
        2 => 86_400,
        10 => 3 * 3600,
        11 => 6 * 3600,
        12 => 12 * 3600,
        13 => 1,
        _ => return Err(format!("its lead time is in unit {unit}")),
    };
    Ok(SignedDuration::from_secs(count * unit_s))
}

/// The beginning of the run; other meanings of the reference time are refused.
fn reference_time(identification: Octets<'_>) -> Result<Timestamp, String> {
    match identification.u8(12) {
        Some(0 | 1) => instant(identification, 13),
        Some(significance) => Err(format!("its reference time is of kind {significance}, not that of a run")),
        None => Err("its identification is too short".to_owned()),
    }
}

/// Year, month, day, hour, minute, second from an octet on, UTC.
fn instant(section: Octets<'_>, octet: usize) -> Result<Timestamp, String> {
    let part = |i: usize| section.u8(octet + 2 + i).and_then(|part| i8::try_from(part).ok());
    let year = section.u16(octet).and_then(|year| i16::try_from(year).ok());
    let parts = year.zip(part(0)).zip(part(1).zip(part(2))).zip(part(3).zip(part(4)));
    let Some((((year, month), (day, hour)), (minute, second))) = parts else {
        return Err("its time is out of reckoning".to_owned());
    };
    DateTime::new(year, month, day, hour, minute, second, 0)
        .and_then(|civil| TimeZone::UTC.to_timestamp(civil))
        .map_err(|_| format!("its time {year}-{month}-{day} {hour}:{minute}:{second} is none"))
}

/// Name of a centre. WMO common code table C-11; from memory for the commonest.
pub(super) fn centre_in_words(centre: u16) -> String {
    let name = match centre {
        7 => "US NCEP",
        34 => "Japan Meteorological Agency",
        54 => "Canadian Meteorological Centre",
        74 => "UK Met Office",
        78 => "Deutscher Wetterdienst",
        84 | 85 => "Météo-France",
        86 => "Finnish Meteorological Institute",
        88 => "Norwegian Meteorological Institute",
        94 => "Danish Meteorological Institute",
        98 => "ECMWF",
        _ => return format!("centre {centre}"),
    };
    name.to_owned()
}
