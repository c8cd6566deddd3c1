//! Harmonic constants of the crew's own, from a JSON file.
//!
//! ```json
//! {"station": "…", "lat": 51.4, "lon": 3.6, "tz_of_phases": "+01:00", "datum": "NAP", "mean_level_m": 0.01,
//!  "constituents": [{"name": "M2", "speed_deg_h": 28.984104, "amplitude_m": 1.7467, "phase_deg": 59.47}]}
//! ```
//!
//! Phases belong to clocks of `tz_of_phases`: a phase for clocks `z` hours ahead of Greenwich is `g + σ z`. A speed
//! may be given, and then must be the constituent's own; other members are passed over.

use std::path::Path;

use jiff::tz::Offset;
use serde::Deserialize;
use windrode_domain::environment::tide::Harmonic;
use windrode_domain::environment::tide::constituents::{CONSTITUENTS, Constituent};
use windrode_domain::environment::tide::harmonic::{Constant, Convention, Curve};
use windrode_domain::position::Position;

use crate::files::shelf::Shelf;

/// A few hundred constituents make some tens of kilobytes.
const LARGEST_BYTES: u64 = 1_000_000;
/// The greatest tide on earth has an M2 of some 5.5 m.
const LARGEST_AMPLITUDE_M: f64 = 10.0;
/// Speeds are printed to six decimals or more.
const SPEED_ROUNDING_DEG_H: f64 = 2e-6;
/// The clocks furthest ahead and behind are 14 and 12 hours off.
const FURTHEST_CLOCK_S: i32 = 14 * 3600;

/// A place with constants of the crew's own.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct OwnConstants {
    /// What the file calls it.
    pub(crate) name: String,
    /// Where it lies, if the file says so.
    pub(crate) position: Option<Position>,
    /// The clock that its phases belong to.
    pub(crate) clock: Offset,
    /// How node factors are taken.
    pub(crate) convention: Convention,
    /// The tide.
    pub(crate) tide: Harmonic,
}

#[derive(Deserialize)]
struct File {
    station: Option<String>,
    lat: Option<f64>,
    lon: Option<f64>,
    tz_of_phases: String,
    datum: String,
    mean_level_m: f64,
    constituents: Vec<Line>,
}

#[derive(Deserialize)]
struct Line {
    name: String,
    speed_deg_h: Option<f64>,
    amplitude_m: f64,
    phase_deg: f64,
}

/// Reads a file of constants; node factors as the US tables take them unless another convention is asked for.
///
/// # Errors
/// Every problem in it, the file named in each.
pub(crate) fn read(path: &Path, convention: Option<Convention>) -> Result<OwnConstants, Vec<String>> {
    read_from(Shelf::Disk, path, convention)
}

/// The same, from a shelf.
///
/// # Errors
/// Every problem in it, the file named in each.
pub(crate) fn read_from(
    shelf: Shelf<'_>,
    path: &Path,
    convention: Option<Convention>,
) -> Result<OwnConstants, Vec<String>> {
    let text = text_of(shelf, path).map_err(|why| vec![format!("{}: {why}", path.display())])?;
    let file: File =
        serde_json::from_str(&text).map_err(|error| vec![format!("{}: {error}", path.display())])?;
    // Rijkswaterstaat's own tables, the one check there is of such a file, are met to 26 mm with factors held
    // through the year and to 50 mm with factors of every instant.
    make(file, &text, convention.unwrap_or(Convention::UsTables)).map_err(|problems| {
        problems.into_iter().map(|problem| format!("{}: {problem}", path.display())).collect()
    })
}

fn text_of(shelf: Shelf<'_>, path: &Path) -> Result<String, String> {
    let bytes = shelf.bytes(path, LARGEST_BYTES)?;
    if LARGEST_BYTES < bytes.len() as u64 {
        return Err("more than a megabyte is no file of harmonic constants".to_owned());
    }
    String::from_utf8(bytes.into_owned()).map_err(|error| format!("is not UTF-8 text: {error}"))
}

fn make(file: File, text: &str, convention: Convention) -> Result<OwnConstants, Vec<String>> {
    let mut problems = Vec::new();
    let zone = clock(&file.tz_of_phases).unwrap_or_else(|problem| {
        problems.push(located(text, &file.tz_of_phases, &format!("tz_of_phases {problem}")));
        Offset::UTC
    });
    if file.datum.trim().is_empty() {
        problems.push("datum: heights need a datum, such as LAT".to_owned());
    }
    if file.constituents.is_empty() {
        problems.push("constituents: there is none".to_owned());
    }
    let position = position(&file).unwrap_or_else(|problem| {
        problems.push(problem);
        None
    });
    let hours_ahead = f64::from(zone.seconds()) / 3600.0;
    let mut constants = Vec::new();
    for line in &file.constituents {
        match constant(line, hours_ahead) {
            Ok(constant) => constants.push(constant),
            Err(problem) => problems.push(located(text, &line.name, &problem)),
        }
    }
    let curve = Curve::new(file.mean_level_m, constants, convention)
        .map_err(|error| problems.push(error.to_string()));
    let Ok(curve) = curve else { return Err(problems) };
    if !problems.is_empty() {
        return Err(problems);
    }
    let name = file.station.unwrap_or_else(|| "own constants".to_owned());
    Ok(OwnConstants { name, position, clock: zone, convention, tide: Harmonic { curve, datum: file.datum } })
}

fn position(file: &File) -> Result<Option<Position>, String> {
    match (file.lat, file.lon) {
        (Some(lat), Some(lon)) => {
            Position::new(lat, lon).map(Some).map_err(|error| format!("lat, lon: {error}"))
        }
        (None, None) => Ok(None),
        (Some(_), None) | (None, Some(_)) => Err("lat, lon: one is given without the other".to_owned()),
    }
}

fn constant(line: &Line, hours_ahead: f64) -> Result<Constant, String> {
    let constituent = Constituent::by_name(&line.name).ok_or_else(|| unknown(&line.name))?;
    let own = constituent.speed_deg_h();
    let its_own = |speed: f64| (speed - own).abs() <= SPEED_ROUNDING_DEG_H;
    if let Some(speed) = line.speed_deg_h.filter(|speed| !its_own(*speed)) {
        return Err(format!("speed_deg_h of {} is {speed}, but {constituent} turns at {own}", line.name));
    }
    if !(0.0 <= line.amplitude_m && line.amplitude_m <= LARGEST_AMPLITUDE_M) {
        let (name, value) = (&line.name, line.amplitude_m);
        return Err(format!("amplitude_m of {name} is {value}, not between 0 and {LARGEST_AMPLITUDE_M}"));
    }
    if !(-720.0..=720.0).contains(&line.phase_deg) {
        return Err(format!("phase_deg of {} is {}, not within two turns", line.name, line.phase_deg));
    }
    let phase_deg = line.phase_deg - own * hours_ahead;
    Ok(Constant { constituent, amplitude: line.amplitude_m, phase_deg })
}

fn unknown(name: &str) -> String {
    let likeness = |other: &&Constituent| strsim::jaro_winkler(&name.to_uppercase(), other.name());
    let like = CONSTITUENTS.iter().max_by(|a, b| likeness(a).total_cmp(&likeness(b)));
    let like = like.map(|like| format!("; most like it is {like}")).unwrap_or_default();
    format!("no constituent is called {name}{like}")
}

/// An offset from UTC: `+01:00`, `-0330`, `Z`, `UTC`, `GMT`.
fn clock(text: &str) -> Result<Offset, String> {
    let wanted = || format!("{text} is not an offset such as +01:00, at most 14 hours");
    if ["z", "utc", "gmt"].iter().any(|name| text.eq_ignore_ascii_case(name)) {
        return Ok(Offset::UTC);
    }
    let (sign, digits) = match text.split_at_checked(1) {
        Some(("+", digits)) => (1, digits),
        Some(("-", digits)) => (-1, digits),
        Some(_) | None => return Err(wanted()),
    };
    let digits = digits.replace(':', "");
    let padded = if digits.len() == 2 { format!("{digits}00") } else { digits };
    let number =
        Some(padded).filter(|digits| digits.len() == 4).and_then(|digits| digits.parse::<u16>().ok());
    let number = i32::from(number.ok_or_else(wanted)?);
    let seconds = (number / 100) * 3600 + (number % 100) * 60;
    if 60 <= number % 100 || FURTHEST_CLOCK_S < seconds {
        return Err(wanted());
    }
    Offset::from_seconds(sign * seconds).map_err(|_| wanted())
}

/// A problem with the line and column of the word it is about, if the file holds the word as it was read.
fn located(text: &str, word: &str, problem: &str) -> String {
    let Some(at) = text.find(&format!("\"{word}\"")) else { return problem.to_owned() };
    let before = &text[..at];
    let line = before.matches('\n').count() + 1;
    let column = before.rsplit('\n').next().map_or(0, |line| line.chars().count()) + 1;
    format!("{line}:{column}: {problem}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_clock_is_an_offset_of_at_most_fourteen_hours() {
        assert_eq!(clock("+01:00").map(Offset::seconds), Ok(3600));
        assert_eq!(clock("-0330").map(Offset::seconds), Ok(-12_600));
        assert_eq!(clock("UTC"), Ok(Offset::UTC));
        for text in ["", "1", "+1", "+15:00", "+01:60", "MET", "+é00"] {
            assert!(clock(text).is_err(), "{text}");
        }
    }

    #[test]
    fn every_problem_of_a_file_is_named_with_its_place() {
        let text = r#"{"tz_of_phases": "noon", "datum": " ", "mean_level_m": 0, "lat": 95, "lon": 0, "constituents": [
 {"name": "M22", "amplitude_m": 1, "phase_deg": 0},
 {"name": "S2", "amplitude_m": -1, "phase_deg": 0},
 {"name": "K1", "speed_deg_h": 15.5, "amplitude_m": 1, "phase_deg": 0}]}"#;
        let file: File = serde_json::from_str(text).expect("the layout");
        let Err(problems) = make(file, text, Convention::Continuous) else { panic!("it cannot be") };
        assert_eq!(problems.len(), 6, "{problems:?}");
        assert!(problems.iter().any(|problem| problem.starts_with("2:11: no constituent is called M22")));
        assert!(problems.iter().any(|problem| problem.contains("15.0410686")));
    }
}
