//! Stations by name and by distance.

use std::io::Write;

use serde::Serialize;
use windrode_domain::position::Position;
use windrode_wire::stations::{Entry, Kind};

use super::super::{Ending, Failure};
use super::ours;
use super::prediction::rounded;
use crate::stations::{self, Near};

/// As many as fit a screen.
const NEAREST: usize = 12;
/// More than this, and the search wants another word.
const MOST_FOUND: usize = 50;
const METRES_PER_MILE: f64 = 1852.0;

#[derive(Serialize)]
struct List<'a> {
    version: u8,
    stations: Vec<Line<'a>>,
}

#[derive(Serialize)]
struct Line<'a> {
    station: &'a str,
    name: &'a str,
    tells: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    datum: Option<&'a str>,
    latitude_deg: f64,
    longitude_deg: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    distance_m: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    bearing_deg: Option<f64>,
    licence: &'a str,
    attribution: &'a str,
}

impl<'a> Line<'a> {
    fn of(entry: &Entry<'a>, near: Option<&Near>) -> Self {
        Self {
            station: entry.id,
            name: entry.name,
            tells: tells(entry.kind),
            datum: (!entry.datum.is_empty()).then_some(entry.datum),
            latitude_deg: rounded(entry.position.latitude_deg(), 1e6),
            longitude_deg: rounded(entry.position.longitude_deg(), 1e6),
            distance_m: near.map(|near| near.distance.as_metres().round()),
            bearing_deg: near.map(|near| near.bearing.as_degrees().round() % 360.0),
            licence: entry.source.licence,
            attribution: entry.source.attribution,
        }
    }
}

const fn tells(kind: Kind) -> &'static str {
    match kind {
        Kind::TideHarmonic | Kind::TideSubordinate => "tide",
        Kind::StreamHarmonic | Kind::StreamSubordinate => "stream",
    }
}

/// Lists the stations nearest to a position.
pub(super) fn near(position: Position, json: bool, out: &mut impl Write) -> Result<Ending, Failure> {
    let found = stations::near(position, NEAREST).map_err(ours)?;
    let lines: Vec<Line<'_>> = found.iter().map(|near| Line::of(&near.entry, Some(near))).collect();
    if !json {
        writeln!(out, "Stations nearest to {position}")?;
    }
    write(lines, json, out)
}

/// Lists the stations whose names hold the words asked for.
pub(super) fn searched(name: &str, json: bool, out: &mut impl Write) -> Result<Ending, Failure> {
    let found = stations::searched(name).map_err(ours)?;
    if found.is_empty() && !json {
        writeln!(out, "No station's name holds \"{name}\". --near LAT,LON lists the nearest.")?;
        return Ok(Ending::Warned);
    }
    let lines: Vec<Line<'_>> = found.iter().take(MOST_FOUND).map(|entry| Line::of(entry, None)).collect();
    let ending = write(lines, json, out)?;
    if MOST_FOUND < found.len() && !json {
        writeln!(out, "and {} more; another word narrows the search", found.len() - MOST_FOUND)?;
    }
    Ok(if found.is_empty() { Ending::Warned } else { ending })
}

fn write(lines: Vec<Line<'_>>, json: bool, out: &mut impl Write) -> Result<Ending, Failure> {
    if json {
        serde_json::to_writer(&mut *out, &List { version: 1, stations: lines })?;
        writeln!(out)?;
        return Ok(Ending::Done);
    }
    for line in &lines {
        let from = line.distance_m.zip(line.bearing_deg).map(|(distance_m, bearing)| {
            format!("{:>7.1} nm {bearing:03.0}°  ", distance_m / METRES_PER_MILE)
        });
        let datum = line.datum.map(|datum| format!("above {datum}")).unwrap_or_default();
        let (from, tells) = (from.unwrap_or_default(), line.tells);
        writeln!(out, "{from}{tells:<6}  {}  {}  {datum}", line.station, line.name)?;
    }
    let mut sources: Vec<(&str, &str)> = lines.iter().map(|line| (line.licence, line.attribution)).collect();
    sources.sort_unstable();
    sources.dedup();
    for (licence, attribution) in sources {
        writeln!(out, "Source ({licence}): {attribution}")?;
    }
    Ok(Ending::Done)
}
