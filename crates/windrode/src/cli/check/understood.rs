//! What was understood of a file, in one paragraph.

use jiff::Timestamp;
use jiff::tz::TimeZone;
use windrode_domain::boat::{HullKind, SounderReads};
use windrode_domain::tackle::chain::gypsy_note;
use windrode_domain::tackle::{AnchorClass, Rode, SnubberLegs, Stretch, Stuff};
use windrode_domain::units::Length;

use crate::crew_units::CrewUnits;
use crate::files::StayAboard;
use crate::files::stay::{DepthKnown, StayFile, StreamSource, TideSource, WindSource};
use crate::files::vessel::{SnubberAboard, VesselFile};
use crate::mark_words::mark_words;

/// A vessel.
pub(crate) fn vessel(vessel: &VesselFile) -> String {
    let crew = vessel.crew;
    let hull = &vessel.hull;
    let mut sentences = vec![format!(
        "{}: {}, {} over all, draught {}, bow roller {} above the water",
        vessel.name,
        kind_words(hull.kind),
        crew.length(hull.length_overall),
        crew.length(hull.draught),
        crew.length(vessel.roller_height)
    )];
    sentences.push(sounder_words(vessel.sounder, crew));
    for anchor in &vessel.anchors {
        let class = class_words(anchor.class);
        sentences.push(format!("Anchor \"{}\": {class}, {}", anchor.name, anchor.mass));
    }
    sentences.extend(vessel.rodes.iter().map(|rode| rode_words(rode, crew)));
    sentences.extend(vessel.rodes.iter().flat_map(|rode| &rode.stretches).filter_map(|stretch| {
        if let Stuff::Chain { size } = stretch.stuff { gypsy_note(size) } else { None }
    }));
    sentences.dedup();
    for aboard in &vessel.connectors {
        let connector = &aboard.connector;
        sentences.push(format!(
            "Connector \"{}\": works at {}, {}",
            connector.name,
            crew.force_down(connector.working_load),
            connector.origin.word()
        ));
    }
    sentences.extend(vessel.snubbers.iter().map(|snubber| snubber_words(snubber, crew)));
    sentences.push(format!(
        "Made fast to \"{}\": works at {}",
        vessel.cleat.name,
        crew.force_down(vessel.cleat.working_load)
    ));
    sentences.extend(deck_words(vessel));
    sentences.join(". ") + "."
}

/// Windlass, engine and windage.
fn deck_words(vessel: &VesselFile) -> Vec<String> {
    let crew = vessel.crew;
    let mut sentences = Vec::new();
    if let Some(windlass) = &vessel.windlass {
        let pull = windlass.pull.map_or_else(|| "a pull not told".to_owned(), |pull| crew.force_down(pull));
        sentences.push(format!("The windlass heaves {pull}"));
    }
    if let Some(measured) = vessel.measured_astern {
        let pull = crew.force_down(measured.pull);
        sentences.push(format!("Astern at {:.0} rpm she pulls {pull}, measured", measured.rpm));
    }
    sentences.push(match vessel.windage.drag_area {
        Some(area) => format!("Windage head on {area}, given"),
        None => "Windage not told: it is estimated by kind and length".to_owned(),
    });
    sentences
}

fn kind_words(kind: HullKind) -> &'static str {
    match kind {
        HullKind::MonohullSail => "sailing monohull",
        HullKind::Motor => "motor vessel",
        HullKind::Multihull => "multihull",
    }
}

fn class_words(class: AnchorClass) -> &'static str {
    match class {
        AnchorClass::Scoop => "scoop",
        AnchorClass::Fluke => "fluke",
        AnchorClass::Plow => "plow",
        AnchorClass::Claw => "claw",
        AnchorClass::Fisherman => "fisherman",
        AnchorClass::Grapnel => "grapnel",
        AnchorClass::Other => "of another class",
    }
}

fn sounder_words(sounder: Option<SounderReads>, crew: CrewUnits) -> String {
    match sounder {
        None => "No sounder told".to_owned(),
        Some(SounderReads::BelowKeel) => "The sounder reads below the keel".to_owned(),
        Some(SounderReads::BelowSurface) => "The sounder reads below the surface".to_owned(),
        Some(SounderReads::BelowTransducer(depth)) => {
            format!("The sounder reads below its transducer, which sits {} deep", crew.length(depth))
        }
    }
}

fn stretch_words(stretch: &Stretch, crew: CrewUnits) -> String {
    format!(
        "{} of {} (breaks at {}, works at {}, {})",
        crew.length(stretch.length),
        stretch.name,
        crew.force_down(stretch.breaking_load * stretch.strength_left),
        crew.force_down(stretch.working_load),
        stretch.origin.word()
    )
}

fn rode_words(rode: &Rode, crew: CrewUnits) -> String {
    let stretches: Vec<String> = rode.stretches.iter().map(|stretch| stretch_words(stretch, crew)).collect();
    let marks = match &rode.marks {
        Some(marks) => format!("marked every {} {}", crew.length(marks.every), marks.looks.join(", ")),
        None => "unmarked".to_owned(),
    };
    format!("Rode \"{}\", from the anchor up: {}; {marks}", rode.name, stretches.join(", then "))
}

fn snubber_words(aboard: &SnubberAboard, crew: CrewUnits) -> String {
    let leg = stretch_words(&aboard.snubber.leg, crew);
    match aboard.snubber.legs {
        SnubberLegs::Single => format!("Snubber \"{}\": {leg}", aboard.name),
        SnubberLegs::Bridle { spread } => {
            format!("Bridle \"{}\": two legs {} apart, each {leg}", aboard.name, crew.length(spread))
        }
    }
}

/// A stay, with the vessel that it names.
pub(crate) fn stay(aboard: &StayAboard) -> String {
    let StayAboard { stay, vessel, gear } = aboard;
    let crew = vessel.crew;
    let zone = stay.zone.clone().unwrap_or(TimeZone::UTC);
    let mut sentences = vec![
        format!(
            "{}: {} at {}, from {} to {}",
            stay.name,
            vessel.name,
            stay.position,
            clock(stay.span.from(), &zone),
            clock(stay.span.to(), &zone)
        ),
        format!(
            "Anchor \"{}\" on rode \"{}\", of which {}",
            gear.anchor.name,
            gear.rode.name,
            veered_words(aboard)
        ),
    ];
    sentences.extend(depth_words(aboard));
    sentences.extend(sources(stay));
    sentences.push(format!(
        "{} and {} named near her",
        counted(stay.dangers.len(), "danger"),
        counted(stay.neighbours.len(), "neighbour")
    ));
    let untold = untold(stay);
    if !untold.is_empty() {
        sentences.push(format!("Not told: {}", untold.join(", ")));
    }
    sentences.join(". ") + &format!(". Lengths in {}.", crew.length(Length::ZERO).trim_start_matches("0.0 "))
}

fn counted(count: usize, what: &str) -> String {
    if count == 1 { format!("1 {what}") } else { format!("{count} {what}s") }
}

fn clock(at: Timestamp, zone: &TimeZone) -> String {
    let local = at.to_zoned_datetime(zone.clone());
    format!("{} {}", local.strftime("%Y-%m-%d %H:%M"), local.strftime("%Z"))
}

fn veered_words(aboard: &StayAboard) -> String {
    let crew = aboard.vessel.crew;
    let Some(veered) = aboard.stay.veered else { return "the length is to be solved for".to_owned() };
    let mark = aboard.gear.rode.marks.as_ref().and_then(|marks| marks.at(veered));
    let marked = mark.map(|mark| format!(": {}", mark_words(&mark, crew))).unwrap_or_default();
    format!("{} is veered{marked}", crew.length(veered))
}

/// Water and height of the roller where a sounding tells them now.
fn depth_words(aboard: &StayAboard) -> Option<String> {
    let crew = aboard.vessel.crew;
    match aboard.stay.depth?.known? {
        DepthKnown::Charted(depth) => Some(format!("Charted depth {}", crew.length(depth))),
        DepthKnown::Sounding { reading, .. } => {
            let told = format!("The sounder read {}", crew.length(reading));
            Some(match water_from_sounding(&aboard.vessel, reading) {
                Some(water) => format!(
                    "{told}: {} of water, {} from ground to roller",
                    crew.length(water),
                    crew.length(water + aboard.vessel.roller_height)
                ),
                None => format!("{told}, and the vessel file does not say what it reads"),
            })
        }
    }
}

/// Water from surface to ground that a reading means.
fn water_from_sounding(vessel: &VesselFile, reading: Length) -> Option<Length> {
    Some(match vessel.sounder? {
        SounderReads::BelowKeel => reading + vessel.hull.draught,
        SounderReads::BelowTransducer(depth) => reading + depth,
        SounderReads::BelowSurface => reading,
    })
}

fn sources(stay: &StayFile) -> Vec<String> {
    let tide = stay.tide.as_ref().and_then(|tide| tide.from.as_ref()).map(|from| match from {
        TideSource::Station(station) => format!("Tide of station {}", station.value),
        TideSource::Constants(path) => format!("Tide by the constants in {}", path.value.display()),
        TideSource::Still => "No tide".to_owned(),
        TideSource::Table { datum, rows, .. } => format!("Tide from {} turns above {datum}", rows.len()),
        TideSource::Secondary(secondary) => format!("Tide by differences from {}", secondary.standard.value),
    });
    let stream = stay.stream.as_ref().map(|from| match from {
        StreamSource::Station(station) => format!("Stream of station {}", station.value),
        StreamSource::Table(rows) => format!("Stream from a table of {} lines", rows.len()),
        StreamSource::None => "No stream".to_owned(),
    });
    let wind = stay.wind.as_ref().and_then(|wind| wind.from.as_ref()).map(|from| match from {
        WindSource::Forecast(path) => format!("Wind from {}", path.value.display()),
        WindSource::Table(rows) => format!("Wind from a table of {} lines", rows.len()),
    });
    [tide, stream, wind].into_iter().flatten().collect()
}

/// What the file does not tell, and the plan will have to say that it cannot know.
fn untold(stay: &StayFile) -> Vec<&'static str> {
    let told = [
        ("depth", stay.depth.is_some_and(|depth| depth.known.is_some())),
        ("nature of the bottom", stay.ground.as_ref().is_some_and(|ground| !ground.nature.is_empty())),
        ("tide", stay.tide.as_ref().is_some_and(|tide| tide.from.is_some())),
        ("stream", stay.stream.is_some()),
        ("wind", stay.wind.as_ref().is_some_and(|wind| wind.from.is_some())),
        ("fetch", stay.sea.as_ref().is_some_and(|sea| !sea.fetch.is_empty())),
        ("how the anchor was set", stay.set.is_some()),
    ];
    told.into_iter().filter(|&(_, told)| !told).map(|(what, _)| what).collect()
}
