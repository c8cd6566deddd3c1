//! `windrode tide`: highs, lows and heights; slacks, greatest floods and ebbs; stations by name and by distance.

mod listing;
mod prediction;

use std::io::Write;
use std::path::{Path, PathBuf};

use jiff::tz::TimeZone;
use jiff::{SignedDuration, Timestamp};
use windrode_domain::environment::tide::Tide;
use windrode_domain::environment::tide::harmonic::Convention;
use windrode_domain::position::Position;
use windrode_domain::span::Span;
use windrode_wire::stations::{Entry, Water};

use super::{Ending, Failure, arguments};
use crate::own_constants;
use crate::stations::{self, Named};

/// Tells the tide or the stream of a place: its turns, and heights or speeds at a step.
///
/// Heights stand above the station's own datum, which is always said; weather is not in them.
#[derive(clap::Args)]
#[command(group(clap::ArgGroup::new("place").required(true).args(["station", "constants", "near", "search"])))]
pub(super) struct Arguments {
    /// Identity of a station, such as noaa/9411340 or 9411340.
    #[arg(long, value_name = "ID", requires = "from", requires = "to")]
    station: Option<String>,
    /// Harmonic constants of your own, as JSON (see docs/json.md).
    #[arg(long, value_name = "FILE", requires = "from", requires = "to")]
    constants: Option<PathBuf>,
    /// Lists the stations nearest to a position.
    #[arg(long, value_name = "LAT,LON", allow_hyphen_values = true, value_parser = arguments::position)]
    near: Option<Position>,
    /// Lists the stations whose names hold these words.
    #[arg(long, value_name = "NAME")]
    search: Option<String>,
    /// Beginning: a date (0 h UTC), or a time with its offset.
    #[arg(long, value_name = "TIME", value_parser = arguments::instant)]
    from: Option<Timestamp>,
    /// End: a date (0 h UTC), or a time with its offset.
    #[arg(long, value_name = "TIME", value_parser = arguments::instant)]
    to: Option<Timestamp>,
    /// Also heights or speeds so far apart, such as 10min.
    #[arg(long, value_name = "STEP", value_parser = arguments::duration)]
    every: Option<SignedDuration>,
    /// How node factors are taken; by default as the station's own service does.
    #[arg(long, value_enum)]
    convention: Option<ConventionName>,
    /// Writes JSON, times in UTC.
    #[arg(long)]
    json: bool,
}

/// A convention as it is typed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
enum ConventionName {
    /// Held through the calendar year, as the US tables.
    UsTables,
    /// Of every instant.
    Continuous,
}

impl From<ConventionName> for Convention {
    fn from(name: ConventionName) -> Self {
        match name {
            ConventionName::UsTables => Self::UsTables,
            ConventionName::Continuous => Self::Continuous,
        }
    }
}

/// A place whose water can be predicted, and what must be said beside it.
struct Place {
    id: String,
    name: String,
    position: Option<Position>,
    zone: TimeZone,
    datum: Option<String>,
    convention: Convention,
    licence: Option<String>,
    attribution: Option<String>,
    reference: Option<String>,
    years: Option<(u16, u16)>,
    left_out_m: f64,
    water: Water,
}

/// What is predicted: ten years of events are some 14,000 lines, more than anybody reads.
const LONGEST: SignedDuration = SignedDuration::from_hours(24 * 3_660);
/// A year of levels every 30 s.
const MOST_LEVELS: i64 = 1_100_000;

/// Runs the command.
pub(super) fn run(arguments: &Arguments, out: &mut impl Write) -> Result<Ending, Failure> {
    if let Some(position) = arguments.near {
        return listing::near(position, arguments.json, out);
    }
    if let Some(name) = &arguments.search {
        return listing::searched(name, arguments.json, out);
    }
    let span = span(arguments)?;
    let place = match (&arguments.station, &arguments.constants) {
        (Some(id), _) => station(id, arguments.convention)?,
        (None, Some(file)) => own(file, arguments.convention)?,
        (None, None) => return Err(Failure::input("--station ID or --constants FILE is needed")),
    };
    let told = prediction::predict(&place, span, arguments.every)?;
    if arguments.json { told.write_json(&place, out) } else { told.write_text(&place, span, out) }?;
    Ok(Ending::Done)
}

fn span(arguments: &Arguments) -> Result<Span, Failure> {
    let (Some(from), Some(to)) = (arguments.from, arguments.to) else {
        return Err(Failure::input("--from TIME and --to TIME are needed"));
    };
    let span = Span::new(from, to).map_err(|error| Failure::input(format!("--from and --to: {error}")))?;
    let mut problems = Vec::new();
    if LONGEST < span.duration() {
        problems.push(format!("--to: from {from} to {to} is more than ten years; ask for a shorter time"));
    }
    if let Some(every) = arguments.every {
        let levels = span.duration().as_nanos() / every.as_nanos().max(1);
        if i128::from(MOST_LEVELS) < levels {
            problems
                .push(format!("--every: {levels} levels are more than {MOST_LEVELS}; ask for a longer step"));
        }
    }
    if problems.is_empty() { Ok(span) } else { Err(Failure::BadInput(problems)) }
}

fn station(id: &str, convention: Option<ConventionName>) -> Result<Place, Failure> {
    match stations::named(id).map_err(ours)? {
        Named::Station(entry) => carried(&entry, convention),
        Named::Unknown(like) => {
            let like: Vec<String> =
                like.iter().map(|entry| format!("{} ({})", entry.id, entry.name)).collect();
            let like =
                if like.is_empty() { String::new() } else { format!("most like it: {}; ", like.join(", ")) };
            Err(Failure::input(format!(
                "--station: no station is called {id}; {like}--search NAME and --near LAT,LON list what there is"
            )))
        }
    }
}

fn carried(entry: &Entry<'static>, convention: Option<ConventionName>) -> Result<Place, Failure> {
    let convention = convention.map_or(stations::convention(entry), Convention::from);
    let all = stations::all().map_err(ours)?;
    let pedigree = all.pedigree(entry).map_err(ours)?;
    let reference = pedigree.reference.map(|number| all.get(number)).transpose().map_err(ours)?;
    Ok(Place {
        id: entry.id.to_owned(),
        name: entry.name.to_owned(),
        position: Some(entry.position),
        // A zone that the system does not know still has its tides, in UTC and so labelled.
        zone: TimeZone::get(entry.zone).unwrap_or(TimeZone::UTC),
        datum: (!entry.datum.is_empty()).then(|| entry.datum.to_owned()),
        convention,
        licence: Some(entry.source.licence.to_owned()),
        attribution: Some(entry.source.attribution.to_owned()),
        reference: reference.map(|entry| entry.id.to_owned()),
        years: pedigree.years,
        left_out_m: pedigree.left_out.as_metres(),
        water: all.water(entry, convention).map_err(ours)?,
    })
}

fn own(path: &Path, convention: Option<ConventionName>) -> Result<Place, Failure> {
    let own = own_constants::read(path, convention.map(Convention::from)).map_err(Failure::BadInput)?;
    Ok(Place {
        id: own.name.clone(),
        name: own.name,
        position: own.position,
        zone: TimeZone::fixed(own.clock),
        datum: Some(own.tide.datum.clone()),
        convention: own.convention,
        licence: None,
        attribution: None,
        reference: None,
        years: None,
        left_out_m: 0.0,
        water: Water::Tide(Tide::Harmonic(own.tide)),
    })
}

/// The embedded stations are ours: if they cannot be read, that is our failure.
fn ours(error: windrode_wire::stations::StationsError) -> Failure {
    Failure::Ours(anyhow::Error::new(error).context("the embedded stations"))
}
