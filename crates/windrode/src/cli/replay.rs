//! `windrode replay`: a recorded night through the watch, or a recorded anchorage through the watch over neighbours.

use std::io::Write;
use std::path::{Path, PathBuf};

use jiff::Timestamp;
use jiff::tz::TimeZone;
use windrode_domain::position::Position;
use windrode_domain::units::Length;
use windrode_domain::watch::event::Event;
use windrode_domain::watch::given::{Drop, Given, RodeOut};
use windrode_wire::observe::FittedOut;

use super::{Ending, Failure, arguments};
use crate::assemble::watched_vessel::{self, WatchedVessel};
use crate::crew_units;
use crate::recording::truth::AnchorTruth;
use crate::recording::vessels::{self, Vessels};
use crate::recording::{self, Written, log, own_boat, table};
use crate::replay::{self, json, neighbours, text};
use crate::words::{Clock, Voice};

/// How far the anchor may lie from where it was let go, one standard deviation along either axis: a receiver's error,
/// and what it takes to set (common practice, no source).
const DROP_SPREAD: Length = Length::metres(5.0);
/// Share by which a length told by marks or a counter is off, one standard deviation (common practice, no source).
const RODE_SPREAD: f64 = 0.035;
/// Runs a recorded night through the watch at full speed, and says what it would have said
///
/// FILE is a table (t_utc,lat,lon and what else is known; see docs/files.md) or a log of NMEA 0183 sentences, packed by
/// gzip or not. Exit code 1: the watch, or the plain circle beside it, rang for dragging.
#[derive(clap::Args)]
pub(super) struct Arguments {
    /// The recording.
    file: PathBuf,
    /// The vessel: her vessel file, or a few lines of what is known of her.
    #[arg(long, value_name = "FILE")]
    vessel: Option<PathBuf>,
    /// Where the anchor lay when the recording begins.
    #[arg(long, value_name = "LAT,LON", allow_hyphen_values = true, value_parser = arguments::position)]
    drop: Option<Position>,
    /// Rode out, from the anchor to the roller, m.
    #[arg(long, value_name = "M", value_parser = metres)]
    rode: Option<Length>,
    /// Depth of water at the anchor when the recording begins, m.
    #[arg(long, value_name = "M", value_parser = metres)]
    depth: Option<Length>,
    /// The part of a table that is hers, by its segment or mmsi.
    #[arg(long, value_name = "N")]
    segment: Option<String>,
    /// Where the anchor truly lay: t_utc,anchor_lat,anchor_lon.
    #[arg(long, value_name = "FILE")]
    truth: Option<PathBuf>,
    /// Judges every vessel in the recording from her own reports alone, in place of her own boat.
    #[arg(long, conflicts_with_all = ["vessel", "drop", "rode", "depth", "segment", "truth"])]
    neighbours: bool,
    /// Writes JSON.
    #[arg(long)]
    json: bool,
}

/// A length in metres, more than nothing.
fn metres(text: &str) -> Result<Length, String> {
    // Deeper or longer than anything that a boat anchors in or with.
    const MOST_M: f64 = 1000.0;
    match text.trim().trim_end_matches('m').trim().parse::<f64>() {
        Ok(value) if 0.0 < value && value <= MOST_M => Ok(Length::metres(value)),
        _ => Err(format!("wanted metres, more than 0 and at most {MOST_M}")),
    }
}

/// Runs the command.
pub(super) fn run(arguments: &Arguments, out: &mut impl Write) -> Result<Ending, Failure> {
    if arguments.neighbours { run_neighbours(arguments, out) } else { run_own(arguments, out) }
}

fn run_own(arguments: &Arguments, out: &mut impl Write) -> Result<Ending, Failure> {
    let night = night(arguments)?;
    let Some(replayed) = replay::replay(night.given, &night.events) else {
        return Err(Failure::input(format!(
            "{}: holds nothing that her own instruments said (--neighbours judges other vessels)",
            arguments.file.display()
        )));
    };
    let judged = night.truth.as_ref().map(|truth| replay::judge(&replayed, truth));
    let voice = Voice { units: crew_units::USUAL, clock: Clock::new(TimeZone::UTC) };
    if arguments.json {
        let view = json::NightView::of(&replayed, judged.as_ref(), &night.notes, &voice);
        serde_json::to_writer(&mut *out, &view)?;
        writeln!(out)?;
    } else {
        text::night(&replayed, judged.as_ref(), &night.notes, &voice, out)?;
    }
    let rang = replayed.changes.iter().any(|change| change.backstop) || !replayed.alarms().is_empty();
    Ok(if rang { Ending::Warned } else { Ending::Done })
}

/// All that a replay needs.
struct Night {
    given: Given,
    events: Vec<(Timestamp, Event)>,
    truth: Option<AnchorTruth>,
    notes: Vec<String>,
}

/// Reads every file, and tells the problems of all of them at once.
fn night(arguments: &Arguments) -> Result<Night, Failure> {
    let mut problems = Vec::new();
    let vessel = match &arguments.vessel {
        Some(path) => watched_vessel::load(path)
            .map_err(|found| problems.extend(found.iter().map(ToString::to_string)))
            .ok(),
        None => Some(WatchedVessel::unknown()),
    };
    let truth = arguments.truth.as_deref().map(truth);
    let truth = truth.transpose().map_err(|found| problems.extend(found)).unwrap_or_default();
    let heard = recorded(arguments, vessel.as_ref()).map_err(|found| problems.extend(found)).ok();
    let (Some(mut vessel), Some(Recorded { events, mut notes })) = (vessel, heard) else {
        return Err(Failure::BadInput(problems));
    };
    let rode = rode(arguments, &mut vessel).map_err(|text| problems.push(text)).unwrap_or_default();
    if !problems.is_empty() {
        return Err(Failure::BadInput(problems));
    }
    if rode.is_some() {
        vessel.assume_roller();
    }
    notes.append(&mut vessel.assumed);
    let given = Given {
        from: events.first().map_or(Timestamp::UNIX_EPOCH, |&(at, _)| at),
        boat: vessel.boat,
        drop: arguments.drop.map(|at| Drop { at, spread: DROP_SPREAD }),
        rode,
        depth: arguments.depth,
        expected: None,
        limits: replay::LIMITS,
    };
    Ok(Night { given, events, truth, notes })
}

fn rode(arguments: &Arguments, vessel: &mut WatchedVessel) -> Result<Option<RodeOut>, String> {
    let Some(length) = arguments.rode.or(vessel.rode_out) else { return Ok(None) };
    let line = vessel.line(length).map_err(|text| format!("--rode: {text}"))?;
    Ok(Some(RodeOut { line, spread: RODE_SPREAD }))
}

fn truth(path: &Path) -> Result<AnchorTruth, Vec<String>> {
    let bytes = recording::bytes_of(path).map_err(|problem| vec![problem])?;
    AnchorTruth::read(&path.display().to_string(), &bytes)
}

/// What her own instruments saw, and what must be said beside it.
struct Recorded {
    events: Vec<(Timestamp, Event)>,
    notes: Vec<String>,
}

fn recorded(arguments: &Arguments, vessel: Option<&WatchedVessel>) -> Result<Recorded, Vec<String>> {
    let name = arguments.file.display().to_string();
    let bytes = recording::bytes_of(&arguments.file).map_err(|problem| vec![problem])?;
    match recording::written_in(&bytes) {
        Written::Table => {
            let mut table = table::read(&name, &bytes)?;
            own_boat::part(&mut table, arguments.segment.as_deref())
                .map_err(|problem| vec![format!("{name}: {problem}")])?;
            Ok(Recorded { events: own_boat::events(&table), notes: table.notes })
        }
        Written::Sentences if arguments.segment.is_some() => Err(vec![format!(
            "--segment: {name} is a log of sentences, which has no segments (leave it out)"
        )]),
        Written::Sentences => {
            let out = vessel.map_or(FittedOut::UNKNOWN, |vessel| vessel.fitted_out.clone());
            let log = log::read(&name, &bytes, out).map_err(|problem| vec![problem])?;
            Ok(Recorded { events: log.own, notes: log.notes })
        }
    }
}

fn run_neighbours(arguments: &Arguments, out: &mut impl Write) -> Result<Ending, Failure> {
    let vessels = vessels(&arguments.file).map_err(Failure::BadInput)?;
    let judged = neighbours::judge(&vessels);
    if arguments.json {
        serde_json::to_writer(&mut *out, &json::VesselsView::of(&judged, &vessels.notes))?;
        writeln!(out)?;
    } else {
        text::vessels(&judged, &vessels.notes, out)?;
    }
    Ok(Ending::Done)
}

fn vessels(path: &Path) -> Result<Vessels, Vec<String>> {
    let name = path.display().to_string();
    let bytes = recording::bytes_of(path).map_err(|problem| vec![problem])?;
    match recording::written_in(&bytes) {
        Written::Table => vessels::of_table(table::read(&name, &bytes)?)
            .map_err(|problem| vec![format!("{name}: {problem}")]),
        Written::Sentences => {
            let log = log::read(&name, &bytes, FittedOut::UNKNOWN).map_err(|problem| vec![problem])?;
            Ok(vessels::of_log(log.others, log.notes))
        }
    }
}
