//! Tide, stream, depth and residual.

use jiff::SignedDuration;
use jiff::civil::Time;
use windrode_domain::boat::Boat;
use windrode_domain::depth::{ChartedDepth, TideHeight, WaterDepth};
use windrode_domain::environment::current::{self, Stream, StreamTable};
use windrode_domain::environment::tide::secondary::{
    AtClock, AtLevel, Differences, Secondary, SecondaryError, Standard,
};
use windrode_domain::environment::tide::table::HighLowTable;
use windrode_domain::environment::tide::{HighOrLow, Tide, TideEvent};
use windrode_domain::plan::inputs::{DepthAtAnchor, Foretold, LEFT_AFTER_SOUNDING, Residual};
use windrode_domain::position::Position;
use windrode_domain::uncertain::{Origin, Z90};
use windrode_domain::units::Length;
use windrode_wire::stations::{Entry, Water};

use super::{kept, problem};
use crate::files::shelf::Shelf;
use crate::files::source::{Located, Problem};
use crate::files::stay::{
    DepthKnown, HeightDifference, SecondaryGiven, StayFile, StreamSource, TideGiven, TideRow, TideSource,
    TimeDifference, Turn,
};
use crate::own_constants;
use crate::stations::{self, Named};

/// The tide, and what it is known by.
pub(super) struct TideKnown {
    pub(super) tide: Foretold<Tide>,
    pub(super) source: String,
}

impl TideKnown {
    fn unknown(why: impl Into<String>, source: impl Into<String>) -> Self {
        Self { tide: Foretold::Unknown(why.into()), source: source.into() }
    }
}

/// The tide of the stay; unknown, with its problem told, where its source cannot be used.
pub(super) fn tide(stay: &StayFile, shelf: Shelf<'_>, problems: &mut Vec<Problem>) -> TideKnown {
    let untold = || TideKnown::unknown("no tide is given", "none given");
    let Some(from) = stay.tide.as_ref().and_then(|tide| tide.from.as_ref()) else { return untold() };
    let made = match from {
        TideSource::Still => {
            return TideKnown { tide: Foretold::None, source: "no tide, said the crew".to_owned() };
        }
        TideSource::Table { datum, rows, distorted } => return table(datum, rows, *distorted),
        TideSource::Station(said) => of_station(said, stay.position).map_err(|problem| vec![problem]),
        TideSource::Constants(file) => own(shelf, file),
        TideSource::Secondary(told) => secondary(stay, told),
    };
    made.unwrap_or_else(|all| {
        problems.extend(all);
        untold()
    })
}

fn table(datum: &str, rows: &[TideRow], distorted: bool) -> TideKnown {
    let source = format!("a table written in the stay, heights above {datum}");
    if distorted {
        return TideKnown::unknown(
            "the crew say that the curve between the table's turns is distorted",
            source,
        );
    }
    let entries = rows.iter().map(|row| TideEvent {
        at: row.at,
        kind: match row.turn {
            Turn::High => HighOrLow::High,
            Turn::Low => HighOrLow::Low,
        },
        height: TideHeight(row.height),
    });
    match HighLowTable::new(entries.collect(), datum.to_owned()) {
        Ok(table) => TideKnown { tide: Foretold::Known(Tide::Table(table)), source },
        Err(errors) => {
            let why: Vec<String> = errors.iter().map(ToString::to_string).collect();
            TideKnown::unknown(why.join("; "), source)
        }
    }
}

fn own(shelf: Shelf<'_>, file: &Located<std::path::PathBuf>) -> Result<TideKnown, Vec<Problem>> {
    let own = own_constants::read_from(shelf, &file.value, None)
        .map_err(|all| all.into_iter().map(|text| file.problem(text)).collect::<Vec<_>>())?;
    let source = format!("{}, the crew's own constants, heights above {}", own.name, own.tide.datum);
    Ok(TideKnown { tide: Foretold::Known(Tide::Harmonic(own.tide)), source })
}

fn of_station(said: &Located<String>, berth: Position) -> Result<TideKnown, Problem> {
    let entry = station(said)?;
    match water(said, &entry)? {
        Water::Tide(tide) => {
            let source = told_of(&entry, berth);
            Ok(TideKnown { tide: Foretold::Known(tide), source })
        }
        Water::Stream(_) => {
            Err(said.problem(format!("{} tells a stream, not a tide (name it in [stream])", entry.id)))
        }
    }
}

/// Name, distance, datum, licence and whom to name for it.
fn told_of(entry: &Entry<'_>, berth: Position) -> String {
    let (distance, _) = berth.towards(entry.position);
    let km = distance.as_metres() / 1000.0;
    let away = if km < 10.0 { format!("{km:.1} km away") } else { format!("{km:.0} km away") };
    let (licence, attribution) = (entry.source.licence, entry.source.attribution);
    let (name, id, datum) = (entry.name, entry.id, entry.datum);
    format!("{name} ({id}), {away}, heights above {datum}, {licence}: {attribution}")
}

fn station(said: &Located<String>) -> Result<Entry<'static>, Problem> {
    match stations::named(&said.value).map_err(|error| unreadable(said, &error))? {
        Named::Station(entry) => Ok(*entry),
        Named::Unknown(like) => {
            let like: Vec<String> =
                like.iter().map(|entry| format!("{} ({})", entry.id, entry.name)).collect();
            let mend = if like.is_empty() {
                "`windrode tide --search NAME` lists what there is".to_owned()
            } else {
                format!("most like it: {}", like.join(", "))
            };
            Err(said.problem(format!("no station is called \"{}\" ({mend})", said.value)))
        }
    }
}

fn water(said: &Located<String>, entry: &Entry<'static>) -> Result<Water, Problem> {
    let all = stations::all().map_err(|error| unreadable(said, &error))?;
    all.water(entry, stations::convention(entry)).map_err(|error| unreadable(said, &error))
}

fn unreadable(said: &Located<String>, error: &windrode_wire::stations::StationsError) -> Problem {
    said.problem(format!("cannot be looked up in the program's own stations: {error}"))
}

/// A secondary port on a station with harmonic constants.
fn secondary(stay: &StayFile, told: &SecondaryGiven) -> Result<TideKnown, Vec<Problem>> {
    let said = &told.standard;
    let entry = station(said).map_err(|problem| vec![problem])?;
    let Water::Tide(Tide::Harmonic(port)) = water(said, &entry).map_err(|problem| vec![problem])? else {
        let text = format!("{} has no harmonic constants of a tide (name a standard port)", entry.id);
        return Err(vec![said.problem(text)]);
    };
    let datum = format!("{} as moved by the differences", port.datum);
    let high = differences(&told.high_water_times, &told.high_water_heights);
    let low = differences(&told.low_water_times, &told.low_water_heights);
    let clock = told.utc_offset.unwrap_or(SignedDuration::ZERO);
    let made = Secondary::new(Standard::Harmonic(port), [high, low], None, clock, datum);
    let made = made.map_err(|errors| {
        let told = |error: &SecondaryError| problem(stay, "tide.secondary", error.to_string());
        errors.iter().map(told).collect::<Vec<_>>()
    })?;
    let source = format!("differences on {}", told_of(&entry, stay.position));
    Ok(TideKnown { tide: Foretold::Known(Tide::Secondary(Box::new(made))), source })
}

fn differences(times: &[TimeDifference], heights: &[HeightDifference]) -> Differences {
    let times = times
        .iter()
        .map(|row| AtClock { clock: row.standard.unwrap_or(Time::midnight()), later: row.difference });
    let at = |level: Length, higher| AtLevel { level: TideHeight(level), higher };
    let (springs, neaps) = match heights {
        [one, other] => (
            at(one.standard.unwrap_or(Length::ZERO), one.difference),
            at(other.standard.unwrap_or(Length::ZERO), other.difference),
        ),
        // One for all heights: the same at any two of them.
        rest => {
            let one = rest.first().map_or(Length::ZERO, |row| row.difference);
            (at(Length::metres(1.0), one), at(Length::ZERO, one))
        }
    };
    Differences { times: times.collect(), springs, neaps }
}

/// The stream of the stay. Left out, it is unknown: whoever knows that there is none says so.
pub(super) fn stream(stay: &StayFile, problems: &mut Vec<Problem>) -> Foretold<Stream> {
    let made = match &stay.stream {
        None => return Foretold::Unknown("no stream is given".to_owned()),
        Some(StreamSource::None) => return Foretold::None,
        Some(StreamSource::Station(said)) => stream_station(said),
        Some(StreamSource::Table(rows)) => {
            let rows = rows.iter().map(|row| current::StreamRow::setting(row.at, row.speed, row.towards));
            StreamTable::new(rows.collect()).map(Stream::Table).map_err(|errors| {
                let told: Vec<String> = errors.iter().map(ToString::to_string).collect();
                problem(stay, "stream.table", told.join("; "))
            })
        }
    };
    let unusable = || Foretold::Unknown("its source cannot be used".to_owned());
    kept(made, problems).map_or_else(unusable, Foretold::Known)
}

fn stream_station(said: &Located<String>) -> Result<Stream, Problem> {
    let entry = station(said)?;
    match water(said, &entry)? {
        Water::Stream(stream) => Ok(stream),
        Water::Tide(_) => {
            Err(said.problem(format!("{} tells a tide, not a stream (name it in [tide])", entry.id)))
        }
    }
}

/// Depth at the anchor; `None` when it is not told, or was sounded in a tide that is not known.
pub(super) fn depth(
    stay: &StayFile,
    boat: &Boat,
    tide: &Foretold<Tide>,
    problems: &mut Vec<Problem>,
) -> Option<DepthAtAnchor> {
    match stay.depth.as_ref()?.known? {
        DepthKnown::Charted(depth) => Some(DepthAtAnchor::of(ChartedDepth(depth), false)),
        DepthKnown::Sounding { reading, at } => {
            let Some(water) = boat.water_from_sounding(reading) else {
                let text =
                    format!("says nothing: the file of {} does not say what her sounder reads", boat.name);
                problems.push(problem(stay, "depth.sounding", format!("{text} (give her [sounder])")));
                return None;
            };
            let charted = WaterDepth(water).reduced(height_at(tide, at)?);
            Some(DepthAtAnchor::of(charted, true))
        }
    }
}

/// Height of the tide; `None` when it is not known.
pub(crate) fn height_at(tide: &Foretold<Tide>, at: jiff::Timestamp) -> Option<TideHeight> {
    match tide {
        Foretold::Known(tide) => tide.height_at(at).ok(),
        Foretold::None => Some(TideHeight(Length::ZERO)),
        Foretold::Unknown(_) => None,
    }
}

/// Water above the prediction.
///
/// The crew's figure is one in ten each way, `1.2816 σ`. A sounding holds the residual of its own hour in the depth
/// that it gives, so that only what changes after it is left: no mean, and two thirds of the spread.
pub(super) fn residual(tide: Option<&TideGiven>, depth: Option<DepthAtAnchor>) -> Residual {
    let pressure = tide.and_then(|tide| tide.pressure_pa).map(|pa| Residual::of_pressure(pa / 100.0));
    let base = pressure.unwrap_or_else(Residual::assumed);
    let told = match tide.and_then(|tide| tide.residual) {
        Some(one_in_ten) => Residual { sigma: one_in_ten / Z90, origin: Origin::Given, ..base },
        None => base,
    };
    if depth.is_some_and(|depth| depth.origin == Origin::Measured) {
        let sigma = told.sigma * LEFT_AFTER_SOUNDING;
        return Residual { mean: Length::ZERO, sigma, origin: Origin::Measured };
    }
    told
}
