//! `windrode chart at`: what the charts say of places.

use std::io::{Read, Write};

use serde::Serialize;
use serde_json::Value;
use windrode_domain::position::Position;
use windrode_domain::units::Length;
use windrode_wire::s57::quality::Zone;

use super::{Ending, Failure, Given, remarks};
use crate::charts::Charts;
use crate::charts::here::{Depths, Here};

/// Most bytes of points: some three hundred thousand.
const MOST_BYTES: u64 = 16_000_000;

/// Says what the charts show at places: depth, land, soundings, bottom, what lies over them, quality.
///
/// The places come on standard input, a JSON array of [LAT, LON] in degrees.
#[derive(clap::Args)]
pub(in crate::cli) struct Arguments {
    #[command(flatten)]
    given: Given,
    /// Answer with a JSON array.
    #[arg(long)]
    json: bool,
}

/// Runs the command.
pub(super) fn run(arguments: &Arguments, out: &mut impl Write) -> Result<Ending, Failure> {
    let mut text = Vec::new();
    std::io::stdin().lock().take(MOST_BYTES + 1).read_to_end(&mut text)?;
    let places = places(&text).map_err(Failure::BadInput)?;
    let charts = arguments.given.read()?;
    let odd: Vec<String> = charts.iter().flat_map(remarks).collect();
    let charts = Charts::laid(charts);
    let all: Vec<Here> = places.iter().map(|&place| charts.here(place)).collect();
    if arguments.json {
        let answers: Vec<Answer> = all.iter().map(Answer::from).collect();
        serde_json::to_writer(&mut *out, &answers)?;
        writeln!(out)?;
    } else {
        for (place, here) in places.iter().zip(&all) {
            write_one(*place, here, out)?;
        }
        for remark in &odd {
            writeln!(out, "Note: {remark}")?;
        }
    }
    Ok(Ending::Done)
}

/// The places of a JSON array.
///
/// # Errors
/// Every one that is none, by its number from 1.
fn places(text: &[u8]) -> Result<Vec<Position>, Vec<String>> {
    if MOST_BYTES < text.len() as u64 {
        return Err(vec![format!("standard input: more than {MOST_BYTES} bytes of places; ask in parts")]);
    }
    let array: Vec<Value> = serde_json::from_slice(text)
        .map_err(|error| vec![format!("standard input is not a JSON array of [LAT, LON]: {error}")])?;
    let (mut places, mut problems) = (Vec::new(), Vec::new());
    for (number, value) in array.iter().enumerate() {
        match place(value) {
            Ok(place) => places.push(place),
            Err(why) => problems.push(format!("place {}: {value}: {why}", number + 1)),
        }
    }
    if problems.is_empty() { Ok(places) } else { Err(problems) }
}

fn place(value: &Value) -> Result<Position, String> {
    let pair = value.as_array().map(Vec::as_slice);
    let Some([latitude, longitude]) = pair else {
        return Err("wanted [LAT, LON] in degrees".to_owned());
    };
    let (Some(latitude_deg), Some(longitude_deg)) = (latitude.as_f64(), longitude.as_f64()) else {
        return Err("wanted two numbers, degrees of latitude and longitude".to_owned());
    };
    Position::new(latitude_deg, longitude_deg).map_err(|error| error.to_string())
}

/// A place as the outside sees it; documented in docs/json.md.
#[derive(Serialize)]
struct Answer {
    depth_area: Option<Range>,
    dredged: Option<Range>,
    on_land: bool,
    unsurveyed: bool,
    nearest_sounding: Option<Nearest>,
    bottom: Vec<String>,
    bottom_distance_m: Option<f64>,
    applies: Vec<Over>,
    quality: Option<String>,
    zone: Option<&'static str>,
    chart: Option<String>,
    scale: Option<u32>,
}

#[derive(Serialize)]
struct Range {
    min_m: Option<f64>,
    max_m: Option<f64>,
}

#[derive(Serialize)]
struct Nearest {
    depth_m: f64,
    distance_m: f64,
}

#[derive(Serialize)]
struct Over {
    class: String,
    text: String,
}

impl From<&Here> for Answer {
    fn from(here: &Here) -> Self {
        let range = |depths: Depths| Range { min_m: depths.min_m, max_m: depths.max_m };
        let nearest =
            |(depth_m, distance): (f64, Length)| Nearest { depth_m, distance_m: distance.as_metres() };
        let applies = here.applies.iter();
        Self {
            depth_area: here.depth_area.map(range),
            dredged: here.dredged.map(range),
            on_land: here.on_land,
            unsurveyed: here.unsurveyed,
            nearest_sounding: here.nearest_sounding.map(nearest),
            bottom: here.bottom.clone(),
            bottom_distance_m: here.bottom_distance.map(Length::as_metres),
            applies: applies
                .map(|over| Over { class: over.class.acronym().into_owned(), text: over.text.clone() })
                .collect(),
            quality: here.zone.map(|zone| zone.to_string()),
            zone: here.zone.map(Zone::letter),
            chart: here.chart.as_ref().map(|chart| chart.name.clone()),
            scale: here.chart.as_ref().map(|chart| chart.scale),
        }
    }
}

fn write_one(place: Position, here: &Here, out: &mut impl Write) -> std::io::Result<()> {
    let Some(chart) = &here.chart else {
        return writeln!(out, "{place}: no chart that was given covers this place\n");
    };
    writeln!(out, "{place}, by {} (1:{})", chart.name, chart.scale)?;
    write_depth(here, out)?;
    if let Some((depth_m, distance)) = here.nearest_sounding {
        writeln!(out, "  nearest sounding {} at {:.0} m", depth_in_words(depth_m), distance.as_metres())?;
    }
    match here.bottom_distance {
        Some(distance) => {
            writeln!(
                out,
                "  bottom: {}, written {:.0} m away",
                here.bottom.join(", "),
                distance.as_metres()
            )?;
        }
        None => writeln!(out, "  bottom: the chart does not say")?,
    }
    for over in &here.applies {
        writeln!(out, "  {} ({})", over.text, over.class.acronym())?;
    }
    match here.zone {
        Some(zone) => writeln!(out, "  zone of confidence {zone}\n"),
        None => writeln!(out, "  zone of confidence: not stated; nothing is promised\n"),
    }
}

fn write_depth(here: &Here, out: &mut impl Write) -> std::io::Result<()> {
    for (word, depths) in [("depth area", here.depth_area), ("dredged area", here.dredged)] {
        if let Some(depths) = depths {
            writeln!(out, "  {word} {}", range_in_words(depths))?;
        }
    }
    if here.on_land {
        writeln!(out, "  land")?;
    }
    if here.unsurveyed {
        writeln!(out, "  unsurveyed: nobody knows how deep")?;
    }
    if here.depth_area.is_none() && here.dredged.is_none() && !here.on_land && !here.unsurveyed {
        writeln!(out, "  neither water nor land: the chart does not say")?;
    }
    Ok(())
}

/// Rounded to the decimetre that charts give, never deeper.
fn depth_in_words(depth_m: f64) -> String {
    let down = (depth_m * 10.0 + 1e-6).floor() / 10.0;
    if down < 0.0 { format!("dries {:.1} m", -down) } else { format!("{down:.1} m") }
}

fn range_in_words(depths: Depths) -> String {
    let word = |bound: Option<f64>| bound.map_or("unknown".to_owned(), depth_in_words);
    format!("from {} to {}", word(depths.min_m), word(depths.max_m))
}
