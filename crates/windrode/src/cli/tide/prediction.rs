//! Events and levels of one place, for a program and for people.

use std::io::{self, Write};

use jiff::{SignedDuration, Timestamp, TimestampRound, Unit};
use serde::Serialize;
use windrode_domain::environment::current::{Stream, StreamTurn};
use windrode_domain::environment::tide::harmonic::Convention;
use windrode_domain::environment::tide::{HighOrLow, Tide, TideError};
use windrode_domain::span::Span;
use windrode_domain::units::Bearing;
use windrode_wire::stations::Water;

use super::super::Failure;
use super::Place;

/// What is told of a place.
pub(super) struct Told {
    events: Vec<Event>,
    levels: Option<Vec<Level>>,
    flood: Option<Bearing>,
    ebb: Option<Bearing>,
}

#[derive(Serialize)]
struct Event {
    time: String,
    kind: &'static str,
    #[serde(flatten)]
    reading: Reading,
    #[serde(skip)]
    at: Timestamp,
}

#[derive(Serialize)]
struct Level {
    time: String,
    #[serde(flatten)]
    reading: Reading,
    #[serde(skip)]
    at: Timestamp,
}

/// A height above datum, or a speed along the axis (ebb negative).
#[derive(Clone, Copy, Serialize)]
#[serde(untagged)]
enum Reading {
    Height { height_m: f64 },
    Speed { speed_kn: f64 },
}

impl Reading {
    /// To a tenth of a millimetre: finer than the constants.
    fn height(metres: f64) -> Self {
        Self::Height { height_m: rounded(metres, 1e4) }
    }
    /// To a thousandth of a knot: finer than the constants.
    fn speed(knots: f64) -> Self {
        Self::Speed { speed_kn: rounded(knots, 1e3) }
    }
}

/// Rounded, and never a negative nought.
pub(super) fn rounded(value: f64, per_unit: f64) -> f64 {
    (value * per_unit).round() / per_unit + 0.0
}

/// To the second, as RFC 3339 in UTC.
fn stamp(at: Timestamp) -> String {
    at.round(TimestampRound::new().smallest(Unit::Second)).unwrap_or(at).to_string()
}

/// Finds the events of a span, and the levels at a step if they are wanted.
pub(super) fn predict(place: &Place, span: Span, every: Option<SignedDuration>) -> Result<Told, Failure> {
    let told = match &place.water {
        Water::Tide(tide) => told_of_tide(tide, span, every),
        Water::Stream(stream) => told_of_stream(stream, span, every),
    };
    told.map_err(|error| Failure::input(format!("{}: {error}", place.id)))
}

fn told_of_tide(tide: &Tide, span: Span, every: Option<SignedDuration>) -> Result<Told, TideError> {
    let events = tide.events(span)?.into_iter().map(|event| Event {
        time: stamp(event.at),
        kind: match event.kind {
            HighOrLow::High => "high",
            HighOrLow::Low => "low",
        },
        reading: Reading::height(event.height.0.as_metres()),
        at: event.at,
    });
    let events = events.collect();
    let levels = |step| -> Result<Vec<Level>, TideError> {
        let heights = tide.heights(span, step)?;
        let levels = span.instants(step).zip(heights).map(|(at, height)| Level {
            time: stamp(at),
            reading: Reading::height(height.0.as_metres()),
            at,
        });
        Ok(levels.collect())
    };
    Ok(Told { events, levels: every.map(levels).transpose()?, flood: None, ebb: None })
}

fn told_of_stream(stream: &Stream, span: Span, every: Option<SignedDuration>) -> Result<Told, TideError> {
    let events = stream.events(span)?.into_iter().map(|event| Event {
        time: stamp(event.at),
        kind: match event.kind {
            StreamTurn::Slack => "slack",
            StreamTurn::MaxFlood => "max_flood",
            StreamTurn::MaxEbb => "max_ebb",
        },
        reading: Reading::speed(event.along_axis.as_knots()),
        at: event.at,
    });
    let events = events.collect();
    let levels = |step| -> Result<Vec<Level>, TideError> {
        let prediction = stream.over(span)?;
        let level = |at| -> Result<Level, TideError> {
            let along = prediction.at(at)?.along_axis;
            Ok(Level { time: stamp(at), reading: Reading::speed(along.as_knots()), at })
        };
        span.instants(step).map(level).collect()
    };
    let levels = every.map(levels).transpose()?;
    let (flood, ebb) = match stream {
        Stream::Axis(axis) => (axis.flood, axis.ebb),
        Stream::Subordinate(place) => (place.flood, place.ebb),
        Stream::Table(_) | Stream::Still => (None, None),
    };
    Ok(Told { events, levels, flood, ebb })
}

#[derive(Serialize)]
struct Output<'a> {
    version: u8,
    station: &'a str,
    name: &'a str,
    tells: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    latitude_deg: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    longitude_deg: Option<f64>,
    datum: Option<&'a str>,
    convention: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    reference: Option<&'a str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    licence: Option<&'a str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    attribution: Option<&'a str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    observed_years: Option<[u16; 2]>,
    #[serde(skip_serializing_if = "Option::is_none")]
    left_out_rms_m: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    flood_sets_towards_deg: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    ebb_sets_towards_deg: Option<f64>,
    events: &'a [Event],
    #[serde(skip_serializing_if = "Option::is_none")]
    levels: Option<&'a [Level]>,
}

const fn convention_name(convention: Convention) -> &'static str {
    match convention {
        Convention::UsTables => "us-tables",
        Convention::Continuous => "continuous",
    }
}

impl Told {
    /// The documented shape: docs/json.md.
    pub(super) fn write_json(&self, place: &Place, out: &mut impl Write) -> Result<(), Failure> {
        let output = Output {
            version: 1,
            station: &place.id,
            name: &place.name,
            tells: match place.water {
                Water::Tide(_) => "tide",
                Water::Stream(_) => "stream",
            },
            latitude_deg: place.position.map(|position| rounded(position.latitude_deg(), 1e6)),
            longitude_deg: place.position.map(|position| rounded(position.longitude_deg(), 1e6)),
            datum: place.datum.as_deref(),
            convention: convention_name(place.convention),
            reference: place.reference.as_deref(),
            licence: place.licence.as_deref(),
            attribution: place.attribution.as_deref(),
            observed_years: place.years.map(|(first, last)| [first, last]),
            left_out_rms_m: (0.0 < place.left_out_m).then_some(place.left_out_m),
            flood_sets_towards_deg: self.flood.map(Bearing::as_degrees),
            ebb_sets_towards_deg: self.ebb.map(Bearing::as_degrees),
            events: &self.events,
            levels: self.levels.as_deref(),
        };
        serde_json::to_writer(&mut *out, &output)?;
        writeln!(out)?;
        Ok(())
    }

    /// A table in the station's own time.
    pub(super) fn write_text(&self, place: &Place, span: Span, out: &mut impl Write) -> Result<(), Failure> {
        heading(place, out)?;
        if let Water::Stream(_) = place.water {
            let set = |way: Option<Bearing>| way.map_or("no one way".to_owned(), |way| way.to_string());
            writeln!(out, "Flood sets {}, ebb {}; ebb is negative.", set(self.flood), set(self.ebb))?;
        }
        if self.events.is_empty() {
            writeln!(out, "Nothing turns from {} to {}.", span.from(), span.to())?;
        }
        for event in &self.events {
            row(place, event.at, event.kind, event.reading, out)?;
        }
        for level in self.levels.iter().flatten() {
            row(place, level.at, "", level.reading, out)?;
        }
        closing(place, out)?;
        Ok(())
    }
}

fn heading(place: &Place, out: &mut impl Write) -> io::Result<()> {
    write!(out, "{} ({})", place.name, place.id)?;
    if let Some(position) = place.position {
        write!(out, ", {position}")?;
    }
    writeln!(out)?;
    match &place.datum {
        Some(datum) => write!(out, "Heights in metres above {datum}")?,
        None => write!(out, "Speeds in knots along the axis")?,
    }
    writeln!(out, "; factors {}.", convention_name(place.convention))
}

fn row(place: &Place, at: Timestamp, kind: &str, reading: Reading, out: &mut impl Write) -> io::Result<()> {
    let minute = at.round(TimestampRound::new().smallest(Unit::Minute)).unwrap_or(at);
    let clock = minute.to_zoned_datetime(place.zone.clone()).strftime("%a %Y-%m-%d %H:%M %Z").to_string();
    let kind = kind.replace('_', " ");
    match reading {
        Reading::Height { height_m } => writeln!(out, "{clock}  {kind:<9}  {height_m:6.2} m"),
        Reading::Speed { speed_kn } => writeln!(out, "{clock}  {kind:<9}  {speed_kn:+6.2} kn"),
    }
}

fn closing(place: &Place, out: &mut impl Write) -> io::Result<()> {
    if let Some(reference) = &place.reference {
        writeln!(out, "By differences on {reference}.")?;
    }
    if let Some((first, last)) = place.years {
        writeln!(out, "Constants from a record of {first} to {last}.")?;
    }
    if 0.0 < place.left_out_m {
        let centimetres = place.left_out_m * 100.0;
        writeln!(out, "Small constituents left out add {centimetres:.1} cm (rms) of error.")?;
    }
    writeln!(out, "Weather is not in it: pressure and wind move the water by decimetres.")?;
    if let (Some(licence), Some(attribution)) = (&place.licence, &place.attribution) {
        writeln!(out, "Source ({licence}): {attribution}")?;
    }
    Ok(())
}
