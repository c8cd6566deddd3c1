//! The stay file: one berth, from when to when, and what is known of its water, ground, wind and company.
//!
//! What makes the file meaningless when it is absent (vessel, position, beginning, end) is a problem here.
//! Whatever else is absent stays `None`, and the plan says what it could not know. Words whose meaning belongs to
//! other parts (nature of the bottom, exposure, kinds of neighbours, arrangements) are kept as they were written,
//! with their line and column, so that a word that nobody knows can be reported where it stands.

mod berth;
mod water;
mod weather;
mod company;
mod proof;

use std::path::PathBuf;

use jiff::tz::TimeZone;
use jiff::{SignedDuration, Timestamp};
use windrode_domain::plan::inputs::LONGEST_STAY;
use windrode_domain::plan::limits::Limits;
use windrode_domain::position::Position;
use windrode_domain::span::Span;
use windrode_domain::tackle::KelletOnRode;
use windrode_domain::units::{Angle, Bearing, Force, Length, Speed};

use super::source::{Located, Problem, Site, Source};
use super::times::Zone;
use super::toml_reading::{Field, Section, Within, read};

/// Which snubber is used.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum SnubberChoice {
    /// Nothing is said: hers, if she has just one.
    Unsaid,
    /// None.
    NoneUsed,
    /// The one of this name.
    Named(Located<String>),
}

/// How the depth at the anchor is known.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum DepthKnown {
    /// Below chart datum; negative where it dries.
    Charted(Length),
    /// A reading of her own sounder, as it showed it.
    Sounding {
        /// The reading.
        reading: Length,
        /// When.
        at: Timestamp,
    },
}

/// `[depth]`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct DepthGiven {
    /// How it is known; `None` when only the slope is told.
    pub(crate) known: Option<DepthKnown>,
    /// Slope of the ground at its steepest; `None` when not told.
    pub(crate) slope: Option<Angle>,
    /// Which way the ground rises; `None` when not told.
    pub(crate) uphill: Option<Bearing>,
}

/// `[ground]`.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct GroundGiven {
    /// Nature of the bottom, top layer first; empty when not told.
    pub(crate) nature: Vec<Located<String>>,
    /// Words that qualify it (soft, hard, coarse…); empty when not told.
    pub(crate) quality: Vec<Located<String>>,
    /// How much weed; `None` when not told.
    pub(crate) weed: Option<Located<String>>,
    /// Why it is forbidden or foul, in the crew's or the chart's words; `None` when nothing says so.
    pub(crate) forbidden: Option<String>,
}

/// High or low water.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Turn {
    /// High water.
    High,
    /// Low water.
    Low,
}

/// One line of a tide table.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct TideRow {
    /// When.
    pub(crate) at: Timestamp,
    /// Height above the table's datum.
    pub(crate) height: Length,
    /// High or low.
    pub(crate) turn: Turn,
}

/// A difference of time at a time of day of the standard port.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct TimeDifference {
    /// Time of day of the standard port's high or low water, by the clock of the secondary's `utc_offset`; `None`
    /// where one difference holds all day.
    pub(crate) standard: Option<jiff::civil::Time>,
    /// What is added to it.
    pub(crate) difference: SignedDuration,
}

/// A difference of height at a height of the standard port.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct HeightDifference {
    /// Height of the standard port's high or low water; `None` where one difference holds for all.
    pub(crate) standard: Option<Length>,
    /// What is added to it.
    pub(crate) difference: Length,
}

/// A secondary port: a standard port's tide and the differences from it.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct SecondaryGiven {
    /// The standard port: a station's name or number.
    pub(crate) standard: Located<String>,
    /// Offset from UTC of the clock that the differences' times of day are told by; `None` when not told, which is
    /// only possible when none is told by a time of day.
    pub(crate) utc_offset: Option<SignedDuration>,
    /// Differences of time of high water; not empty.
    pub(crate) high_water_times: Vec<TimeDifference>,
    /// Differences of time of low water; not empty.
    pub(crate) low_water_times: Vec<TimeDifference>,
    /// Differences of height of high water: one for all, or those at mean springs and mean neaps.
    pub(crate) high_water_heights: Vec<HeightDifference>,
    /// Differences of height of low water, likewise.
    pub(crate) low_water_heights: Vec<HeightDifference>,
}

/// Where the tide comes from.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum TideSource {
    /// A station that the program holds.
    Station(Located<String>),
    /// A file of harmonic constants.
    Constants(Located<PathBuf>),
    /// There is none: lake, canal, tideless sea.
    Still,
    /// A table of highs and lows, in order of time.
    Table {
        /// What its heights are reckoned from.
        datum: String,
        /// Its lines, in order of time; two or more.
        rows: Vec<TideRow>,
        /// Whether the curve between them is known to be distorted.
        distorted: bool,
    },
    /// Differences from a standard port.
    Secondary(SecondaryGiven),
}

/// `[tide]`.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct TideGiven {
    /// Where it comes from; `None` when not told.
    pub(crate) from: Option<TideSource>,
    /// By how much water may stand above or below the prediction, one time in ten each way; `None` when not told.
    pub(crate) residual: Option<Length>,
    /// Pressure of the air at sea level during the stay, Pa; `None` when not told.
    pub(crate) pressure_pa: Option<f64>,
}

/// One line of a table of streams.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct StreamRow {
    /// When.
    pub(crate) at: Timestamp,
    /// Speed.
    pub(crate) speed: Speed,
    /// Where it sets to; `None` at slack, when the speed is nothing.
    pub(crate) towards: Option<Bearing>,
}

/// Where the stream comes from.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum StreamSource {
    /// A station that the program holds.
    Station(Located<String>),
    /// A table, in order of time.
    Table(Vec<StreamRow>),
    /// There is none.
    None,
}

/// One line of a table of winds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct WindRow {
    /// When.
    pub(crate) at: Timestamp,
    /// Ten-minute mean at 10 m.
    pub(crate) mean: Speed,
    /// Where it blows from; `None` in a calm, when the mean is nothing.
    pub(crate) from: Option<Bearing>,
    /// Three-second gust at 10 m; `None` when only the mean is told.
    pub(crate) gust: Option<Speed>,
}

/// Where the wind comes from.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum WindSource {
    /// A forecast file, GRIB2 or CSV.
    Forecast(Located<PathBuf>),
    /// A table, in order of time.
    Table(Vec<WindRow>),
}

/// `[wind]`.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct WindGiven {
    /// Where it comes from; `None` when not told.
    pub(crate) from: Option<WindSource>,
    /// Exposure that gusts are reckoned by; `None` when not told.
    pub(crate) exposure: Option<Located<String>>,
}

/// Open water in a sector of bearings from the berth, clockwise from one to the other.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct FetchSector {
    /// First bearing.
    pub(crate) from: Bearing,
    /// Last bearing.
    pub(crate) to: Bearing,
    /// Length of open water.
    pub(crate) length: Length,
}

/// `[sea]`.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct SeaGiven {
    /// Fetch by sectors; one sector from north to north when a single length is told. Empty when not told.
    pub(crate) fetch: Vec<FetchSector>,
    /// Mean depth over the fetch; `None` when not told.
    pub(crate) depth: Option<Length>,
}

/// Where something is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Whereabouts {
    /// At a position.
    At(Position),
    /// So far and in such a true direction from the anchor.
    FromAnchor {
        /// How far.
        range: Length,
        /// In which direction.
        bearing: Bearing,
    },
}

/// The shape of a danger.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Shape {
    /// A point.
    Point(Whereabouts),
    /// A line: a shore, a pontoon; two positions or more.
    Line(Vec<Position>),
    /// An area: a reef, land; three positions or more, the last joined to the first.
    Area(Vec<Position>),
}

/// One `[[danger]]`.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct DangerGiven {
    /// Its name.
    pub(crate) name: String,
    /// Its shape.
    pub(crate) shape: Shape,
    /// Distance about the shape that belongs to it; nothing when not told.
    pub(crate) radius: Length,
}

/// One `[[neighbour]]`.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct NeighbourGiven {
    /// Its name.
    pub(crate) name: String,
    /// Where it was seen.
    pub(crate) seen: Whereabouts,
    /// When it was seen there; `None` when not told.
    pub(crate) observed_at: Option<Timestamp>,
    /// Its length; `None` when not told.
    pub(crate) length: Option<Length>,
    /// The rode that it has out; `None` when not told.
    pub(crate) rode: Option<Length>,
    /// How it lies: on chain, on rope and chain, on a mooring; `None` when not told.
    pub(crate) kind: Option<Located<String>>,
    /// Kind of its hull; `None` when not told.
    pub(crate) hull: Option<Located<String>>,
}

/// What pulled her astern.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Astern {
    /// The engine at so many revolutions a minute.
    Rpm(f64),
    /// A thrust, measured or known.
    Thrust(Force),
}

/// `[set]`: how the anchor was set.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct SetGiven {
    /// What pulled.
    pub(crate) astern: Astern,
    /// When; `None` when not told.
    pub(crate) at: Option<Timestamp>,
    /// Wind of that minute; `None` when not told.
    pub(crate) wind: Option<Speed>,
    /// True bearing from the anchor to the boat while it pulled; `None` when not told.
    pub(crate) bearing: Option<Bearing>,
    /// How long it was held; `None` when not told.
    pub(crate) held: Option<SignedDuration>,
    /// Rode that was out; `None` when not told.
    pub(crate) veered: Option<Length>,
    /// How far she crept astern while it was held; `None` when not told.
    pub(crate) creep: Option<Length>,
}

/// `[dive]`: what somebody saw of the anchor.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct DiveGiven {
    /// What was seen.
    pub(crate) seen: Located<String>,
    /// When; `None` when not told.
    pub(crate) at: Option<Timestamp>,
}

/// A stay as its file tells it.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct StayFile {
    /// Its name.
    pub(crate) name: String,
    /// The vessel file, taken from the stay file's own directory.
    pub(crate) vessel: Located<PathBuf>,
    /// Where the anchor is to lie, or lies.
    pub(crate) position: Position,
    /// From when to when.
    pub(crate) span: Span,
    /// The clock that the crew live by; `None` when not told.
    pub(crate) zone: Option<TimeZone>,
    /// Name of the anchor; `None` when not told: hers, if she has just one.
    pub(crate) anchor: Option<Located<String>>,
    /// Name of the rode; `None` when not told: hers, if she has just one.
    pub(crate) rode: Option<Located<String>>,
    /// The snubber.
    pub(crate) snubber: SnubberChoice,
    /// Rode to veer; `None` when it is to be solved for.
    pub(crate) veered: Option<Length>,
    /// From one instant of the sheet to the next; `None` when not told.
    pub(crate) step: Option<SignedDuration>,
    /// How she is moored; `None` when not told: to a single anchor.
    pub(crate) arrangement: Option<Located<String>>,
    /// Depth; `None` when not told.
    pub(crate) depth: Option<DepthGiven>,
    /// Ground; `None` when not told.
    pub(crate) ground: Option<GroundGiven>,
    /// Tide; `None` when not told.
    pub(crate) tide: Option<TideGiven>,
    /// Stream; `None` when not told.
    pub(crate) stream: Option<StreamSource>,
    /// Wind; `None` when not told.
    pub(crate) wind: Option<WindGiven>,
    /// Sea; `None` when not told.
    pub(crate) sea: Option<SeaGiven>,
    /// Dangers.
    pub(crate) dangers: Vec<DangerGiven>,
    /// Neighbours.
    pub(crate) neighbours: Vec<NeighbourGiven>,
    /// How the anchor was set; `None` when it is not yet.
    pub(crate) set: Option<SetGiven>,
    /// What a dive saw; `None` when nobody dived.
    pub(crate) dive: Option<DiveGiven>,
    /// The limits: the crew's, and the printed defaults for those that they do not set.
    pub(crate) limits: Limits,
    /// Weights on the rode.
    pub(crate) kellets: Vec<KelletOnRode>,
    /// Where its tables and their keys stand.
    pub(crate) sites: Vec<Site>,
}

/// Reads a stay file.
///
/// # Errors
/// Every problem in it at once.
pub(crate) fn read_stay(source: &Source) -> Result<StayFile, Vec<Problem>> {
    read(source, stay)
}

fn stay(file: &Section<'_>) -> Option<StayFile> {
    // The zone gives every other time of the file its meaning, so that [stay] is read first.
    let mut zone = Zone::Unsaid;
    let head = file
        .want("stay", "[stay] with vessel, position, from and to")
        .section(|section| head(section, &mut zone));
    let zone = &zone;
    let depth = file.may("depth").told(|section| berth::depth(section, zone));
    let ground = file.may("ground").told(berth::ground);
    let tide = file.may("tide").told(|section| water::tide(section, zone));
    let stream = file.may("stream").section(|section| water::stream(section, zone));
    let wind = file.may("wind").told(|section| weather::wind(section, zone));
    let sea = file.may("sea").told(weather::sea);
    let dangers = file.may("danger").sections(company::danger);
    let neighbours = file.may("neighbour").sections(|section| company::neighbour(section, zone));
    let set = file.may("set").section(|section| proof::set(section, zone));
    let dive = file.may("dive").section(|section| proof::dive(section, zone));
    let limits = file.may("limits").told(limits).unwrap_or_default();
    let kellets = file.may("kellet").sections(kellet);
    let head = head?;
    Some(StayFile {
        depth,
        ground,
        tide,
        stream,
        wind,
        sea,
        dangers,
        neighbours,
        set,
        dive,
        limits,
        kellets,
        sites: file.sites(),
        ..head
    })
}

/// `[stay]`, with everything else still untold.
fn head(section: &Section<'_>, zone: &mut Zone) -> Option<StayFile> {
    *zone = zone_of(&section.may("zone"));
    let name = section.want("name", "what the crew call it").text();
    let vessel = path(&section.want("vessel", "the vessel file, from this file's directory"), section);
    let position = section.want("position", "where the anchor lies, as \"41°12.3'S 174°48.0'E\"").position();
    let from = section.want("from", "when it begins, as 2026-11-27T17:00:00").time(zone);
    let to = section.want("to", "when it ends, as 2026-11-29T17:00:00").time(zone);
    let choice = section.may("snubber").located_text();
    let arrangement = section.may("arrangement").located_text();
    let anchor = section.may("anchor").located_text();
    let rode = section.may("rode").located_text();
    let veered = section.may("veered").length(Within::new(0.0, 1000.0));
    let step = section.may("step").duration(Within::new(1.0, 60.0));
    let span = span(section, from?, to?);
    Some(StayFile {
        name: name?,
        vessel: vessel?,
        position: position?,
        span: span?,
        zone: if let Zone::Known(zone) = zone { Some(zone.clone()) } else { None },
        anchor,
        rode,
        snubber: match choice {
            None => SnubberChoice::Unsaid,
            Some(said) if said.value == "none" => SnubberChoice::NoneUsed,
            Some(said) => SnubberChoice::Named(said),
        },
        veered,
        step,
        arrangement,
        depth: None,
        ground: None,
        tide: None,
        stream: None,
        wind: None,
        sea: None,
        dangers: vec![],
        neighbours: vec![],
        set: None,
        dive: None,
        limits: Limits::default(),
        kellets: vec![],
        sites: vec![],
    })
}

fn zone_of(field: &Field<'_>) -> Zone {
    if field.is_absent() {
        return Zone::Unsaid;
    }
    let Some(name) = field.text() else { return Zone::Refused };
    if let Ok(zone) = TimeZone::get(&name) {
        return Zone::Known(zone);
    }
    field.refuse::<()>("is not a zone of the IANA database (write it as \"Pacific/Auckland\")");
    Zone::Refused
}

fn span(section: &Section<'_>, from: Timestamp, to: Timestamp) -> Option<Span> {
    match Span::new(from, to) {
        Ok(span) if LONGEST_STAY < span.duration() => {
            let (hours, most) = (span.duration().as_hours(), LONGEST_STAY.as_hours() / 24);
            section.refuse(format!(
                "lasts {hours} h, more than the {most} days that are planned (check from and to)"
            ));
            None
        }
        Ok(span) => Some(span),
        Err(error) => {
            section.refuse(format!("{error} (check from and to)"));
            None
        }
    }
}

/// A path from the directory of the file.
fn path(field: &Field<'_>, section: &Section<'_>) -> Option<Located<PathBuf>> {
    let said = field.located_text()?;
    Some(Located { value: section.beside(&said.value), site: said.site })
}

/// Refuses a table whose times do not grow from line to line.
fn in_order<T>(section: &Section<'_>, rows: Vec<T>, at: impl Fn(&T) -> Timestamp) -> Option<Vec<T>> {
    for pair in rows.windows(2) {
        if let [earlier, later] = pair
            && at(later) <= at(earlier)
        {
            let (earlier, later) = (at(earlier), at(later));
            section.refuse(format!(
                "has the line of {later} after that of {earlier} (put the lines in order of time, each once)"
            ));
            return None;
        }
    }
    Some(rows)
}

fn limits(section: &Section<'_>) -> Limits {
    let chance = Within::new(0.0, 1.0);
    let water = Within::new(0.0, 20.0);
    let room = Within::new(0.0, 500.0);
    let usual = Limits::default();
    let limits = Limits {
        chance_refuse: section.may("chance_refuse").share(chance).unwrap_or(usual.chance_refuse),
        chance_care: section.may("chance_care").share(chance).unwrap_or(usual.chance_care),
        under_keel_refuse: section.may("under_keel_refuse").length(water).unwrap_or(usual.under_keel_refuse),
        under_keel_care: section.may("under_keel_care").length(water).unwrap_or(usual.under_keel_care),
        room_refuse: section.may("room_refuse").length(room).unwrap_or(usual.room_refuse),
        room_care: section.may("room_care").length(room).or(usual.room_care),
        part_care_share: section.may("part_care_share").share(chance).unwrap_or(usual.part_care_share),
    };
    let crossed = [
        ("chance_care", "above", limits.chance_refuse < limits.chance_care, "chance_refuse"),
        ("under_keel_care", "below", limits.under_keel_care < limits.under_keel_refuse, "under_keel_refuse"),
        ("room_care", "below", limits.room_care.is_some_and(|care| care < limits.room_refuse), "room_refuse"),
    ];
    for (care, side, _, refuse) in crossed.into_iter().filter(|&(_, _, crossed, _)| crossed) {
        section
            .refuse(format!("has {care} {side} {refuse}, so that care would never be called for (set both)"));
    }
    limits
}

fn kellet(section: &Section<'_>) -> Option<KelletOnRode> {
    let mass = section.want("mass", "its mass in air, as \"15 kg\"").mass(Within::new(0.1, 500.0));
    let from_anchor = section
        .want("from_anchor", "how far along the rode from the anchor it hangs")
        .length(Within::new(0.0, 1000.0));
    Some(KelletOnRode { from_anchor: from_anchor?, mass: mass? })
}

#[cfg(test)]
mod tests;
