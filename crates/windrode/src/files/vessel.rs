//! The vessel file: the boat and all the gear that she carries for lying at anchor.
//!
//! It is written once and used for every stay. Standard chain, rope and shackles need only their names; figures of
//! the maker's win, one by one, over the tables. What it says has been checked: what it leaves out is `None`.

mod hull;
mod engine;
mod rode;
mod fittings;

use windrode_domain::boat::{Antenna, Boat, Engine, Hull, SounderReads, Windage};
use windrode_domain::tackle::{Anchor, Connector, Rode, Snubber, StrongPoint};
use windrode_domain::units::{Angle, Area, Force, Length};
use windrode_wire::observe::{Compass, FittedOut, Vane};

use super::source::{Located, Problem, Source};
use super::toml_reading::{Section, Within, read};
use crate::crew_units::{self, CrewUnits};
use crate::files::choices;

/// What the file says of the windage; each `None` where it says nothing and an estimate must stand in.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct WindageGiven {
    /// Drag area head to wind.
    pub(crate) drag_area: Option<Area>,
    /// How many times too small or too large the drag area may be, one time in ten each way; 1 or more.
    pub(crate) spread: Option<f64>,
    /// Drag area beam on over drag area head on.
    pub(crate) beam_ratio: Option<f64>,
    /// Height of the centroid above the water.
    pub(crate) centroid: Option<Length>,
}

/// A pull astern that the crew have measured.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct MeasuredAstern {
    /// The pull.
    pub(crate) pull: Force,
    /// Revolutions of the engine a minute.
    pub(crate) rpm: f64,
}

/// A connector, and the rode that it belongs to; `None` when it is used with any.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct ConnectorAboard {
    /// The connector.
    pub(crate) connector: Connector,
    /// Name of its rode.
    pub(crate) rode: Option<Located<String>>,
}

/// A snubber or bridle by its name.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct SnubberAboard {
    /// What the crew call it.
    pub(crate) name: String,
    /// The snubber.
    pub(crate) snubber: Snubber,
}

/// The windlass.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct WindlassAboard {
    /// As a point that might be made to hold.
    pub(crate) strong_point: StrongPoint,
    /// Its rated pull, if it is stated.
    pub(crate) pull: Option<Force>,
}

/// What must be known of instruments to take them at their word.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Instruments {
    /// The wind vane.
    pub(crate) vane: Vane,
    /// The compass.
    pub(crate) compass: Compass,
    /// Name by which the service battery's voltage is told.
    pub(crate) battery: Option<String>,
    /// The watch rings below this voltage, V.
    pub(crate) battery_least_v: Option<f64>,
}

/// A vessel as its file tells her.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct VesselFile {
    /// Her name.
    pub(crate) name: String,
    /// Her hull.
    pub(crate) hull: Hull,
    /// Height of the bow roller above the water.
    pub(crate) roller_height: Length,
    /// What is said of her windage.
    pub(crate) windage: WindageGiven,
    /// The GNSS antenna, if it has been measured.
    pub(crate) antenna: Option<Antenna>,
    /// What the sounder reads, if she has one.
    pub(crate) sounder: Option<SounderReads>,
    /// Vane, compass and battery as her instruments tell of them.
    pub(crate) instruments: Instruments,
    /// Engine and propeller, if known.
    pub(crate) engine: Option<Engine>,
    /// A pull astern that was measured, which then wins over what is reckoned for the engine.
    pub(crate) measured_astern: Option<MeasuredAstern>,
    /// Anchors; not empty.
    pub(crate) anchors: Vec<Anchor>,
    /// Rodes; not empty.
    pub(crate) rodes: Vec<Rode>,
    /// Connectors.
    pub(crate) connectors: Vec<ConnectorAboard>,
    /// Snubbers and bridles.
    pub(crate) snubbers: Vec<SnubberAboard>,
    /// What snubber or rode is made fast to.
    pub(crate) cleat: StrongPoint,
    /// The windlass, if she has one.
    pub(crate) windlass: Option<WindlassAboard>,
    /// The units that the crew read.
    pub(crate) crew: CrewUnits,
}

impl VesselFile {
    /// The boat, once her windage is known.
    pub(crate) fn boat(&self, windage: Windage) -> Boat {
        Boat {
            name: self.name.clone(),
            hull: self.hull,
            windage,
            roller_height: self.roller_height,
            antenna: self.antenna,
            sounder: self.sounder,
            engine: self.engine,
        }
    }

    /// How she is fitted out, for what her instruments say.
    pub(crate) fn fitted_out(&self) -> FittedOut {
        let Instruments { vane, compass, battery, .. } = self.instruments.clone();
        FittedOut { sounder: self.sounder, draught: Some(self.hull.draught), vane, compass, battery }
    }
}

/// Reads a vessel file.
///
/// # Errors
/// Every problem in it at once.
pub(crate) fn read_vessel(source: &Source) -> Result<VesselFile, Vec<Problem>> {
    read(source, vessel)
}

fn vessel(file: &Section<'_>) -> Option<VesselFile> {
    let name = file
        .want("vessel", "[vessel] with her name")
        .section(|vessel| vessel.want("name", "her name, in quotes").text());
    let hull = file.want("hull", "[hull] with her kind and dimensions").section(hull::hull);
    let windage = file.may("windage").told(windage).unwrap_or_default();
    let antenna = file.may("antenna").section(antenna);
    let sounder = file.may("sounder").section(sounder);
    let instruments = instruments(file);
    let engine = file.may("engine").told(engine::engine);
    let anchors = file.want_sections("anchor", "at least one [[anchor]]", anchor);
    let rodes = file.want_sections("rode", "at least one [[rode]]", rode::rode);
    let connectors = file.may("connector").sections(fittings::connector);
    let snubbers = file.may("snubber").sections(rode::snubber);
    let cleat = file
        .want("cleat", "[cleat] with the load that cleat, bollard or stopper may carry")
        .section(|section| fittings::strong_point(section, "cleat"));
    let windlass = file.may("windlass").section(fittings::windlass);
    let crew = file.may("crew").told(crew);
    refuse_repeated(file, "anchor", anchors.iter().map(|anchor| anchor.name.as_str()));
    refuse_repeated(file, "rode", rodes.iter().map(|rode| rode.name.as_str()));
    refuse_repeated(file, "snubber", snubbers.iter().map(|snubber| snubber.name.as_str()));
    refuse_unknown_rodes(file, &connectors, &rodes);
    let (hull, roller_height) = hull?;
    let (engine, measured_astern) = engine.unzip();
    Some(VesselFile {
        name: name?,
        hull,
        roller_height,
        windage,
        antenna,
        sounder,
        instruments,
        engine: engine.flatten(),
        measured_astern: measured_astern.flatten(),
        anchors,
        rodes,
        connectors,
        snubbers,
        cleat: cleat?,
        windlass,
        crew: crew.unwrap_or(crew_units::USUAL),
    })
}

fn refuse_repeated<'n>(file: &Section<'_>, what: &str, names: impl Iterator<Item = &'n str>) {
    let mut seen: Vec<&str> = Vec::new();
    for name in names {
        if seen.contains(&name) {
            file.refuse(format!("two of [[{what}]] are named \"{name}\" (give each its own name)"));
        }
        seen.push(name);
    }
}

fn refuse_unknown_rodes(file: &Section<'_>, connectors: &[ConnectorAboard], rodes: &[Rode]) {
    for named in connectors.iter().filter_map(|aboard| aboard.rode.as_ref()) {
        if rodes.iter().all(|rode| rode.name != named.value) {
            let names: Vec<&str> = rodes.iter().map(|rode| rode.name.as_str()).collect();
            let text = format!("\"{}\" is no rode of hers (she has {})", named.value, names.join(", "));
            file.report(named.problem(text));
        }
    }
}

fn windage(section: &Section<'_>) -> WindageGiven {
    WindageGiven {
        drag_area: section.may("drag_area").area(Within::new(0.5, 150.0)),
        spread: section.may("spread").share(Within::new(1.0, 4.0)),
        beam_ratio: section.may("beam_ratio").share(Within::new(1.0, 10.0)),
        centroid: section.may("centroid").length(Within::new(0.3, 15.0)),
    }
}

fn antenna(section: &Section<'_>) -> Option<Antenna> {
    let aft = section
        .want("aft_of_roller", "metres from the bow roller aft to the antenna")
        .length(Within::new(0.0, 30.0));
    let to_starboard = section.may("to_starboard").length(Within::new(-8.0, 8.0));
    Some(Antenna { aft_of_roller: aft?, to_starboard: to_starboard.unwrap_or(Length::ZERO) })
}

/// What a reading is below, before the transducer's depth is known.
#[derive(Clone, Copy, Debug)]
pub(super) enum ReadsBelow {
    Keel,
    Transducer,
    Surface,
}

fn sounder(section: &Section<'_>) -> Option<SounderReads> {
    let reads = section
        .want("reads", "what a reading is, as \"below keel\", \"below transducer\" or \"below surface\"")
        .word(&choices::READINGS);
    let depth = section.may("transducer_depth").length(Within::new(0.0, 6.0));
    let reads = reads?;
    if !matches!(reads, ReadsBelow::Transducer) {
        section.refuse_beside("such a reading", &["transducer_depth"]);
    }
    match (reads, depth) {
        (ReadsBelow::Keel, _) => Some(SounderReads::BelowKeel),
        (ReadsBelow::Surface, _) => Some(SounderReads::BelowSurface),
        (ReadsBelow::Transducer, Some(depth)) => Some(SounderReads::BelowTransducer(depth)),
        (ReadsBelow::Transducer, None) => {
            section.refuse("reads below the transducer, whose depth is not known (give transducer_depth)");
            None
        }
    }
}

fn instruments(file: &Section<'_>) -> Instruments {
    let vane = file.may("vane").told(|vane| Vane {
        height: vane.may("height").length(Within::new(0.5, 60.0)),
        turned: vane.may("turned").angle(Within::new(-180.0, 180.0)).unwrap_or(Angle::ZERO),
        speed_factor: vane.may("speed_factor").share(Within::new(0.5, 2.0)).unwrap_or(1.0),
    });
    let compass = file
        .may("compass")
        .told(|compass| Compass { deviation: compass.may("deviation").angle(Within::new(-45.0, 45.0)) });
    let battery = file
        .may("battery")
        .told(|battery| (battery.may("name").text(), battery.may("least").volts(Within::new(5.0, 60.0))));
    let (battery, battery_least_v) = battery.unwrap_or_default();
    Instruments {
        vane: vane.unwrap_or(FittedOut::UNKNOWN.vane),
        compass: compass.unwrap_or(FittedOut::UNKNOWN.compass),
        battery,
        battery_least_v,
    }
}

fn anchor(section: &Section<'_>) -> Option<Anchor> {
    let name = section.want("name", "what the crew call it").text();
    let class = section
        .want("class", "its class: scoop, fluke, plow, claw, fisherman, grapnel or other")
        .word(&choices::ANCHORS);
    let mass = section.want("mass", "its mass in air, as \"20 kg\"").mass(Within::new(0.5, 300.0));
    Some(Anchor { name: name?, class: class?, mass: mass? })
}

fn crew(section: &Section<'_>) -> CrewUnits {
    let length = section.may("length").word(&choices::LENGTH_UNITS);
    let speed = section.may("speed").word(&choices::SPEED_UNITS);
    let force = section.may("force").word(&choices::FORCE_UNITS);
    CrewUnits {
        length: length.unwrap_or(crew_units::USUAL.length),
        speed: speed.unwrap_or(crew_units::USUAL.speed),
        force: force.unwrap_or(crew_units::USUAL.force),
    }
}

#[cfg(test)]
pub(crate) mod tests;
