//! The vessel of a watch: as much of her as is known, in a file of a few lines; or her whole vessel file.
//!
//! ```toml
//! antenna_aft_of_bow_m = 9.0
//! windage_m2 = 7.5
//! rode_m = 40
//! chain_mm = 10
//! ```
//!
//! Every key may be left out; one that is not known here is refused with the nearest that is.

use std::path::Path;

use windrode_domain::boat::{Antenna, HullKind};
use windrode_domain::catenary::{Line, Segment};
use windrode_domain::environment::windage;
use windrode_domain::tackle::chain::ChainKind;
use windrode_domain::tackle::makers_figures::MakersFigures;
use windrode_domain::tackle::rope::{RopeConstruction, RopeKind, Termination};
use windrode_domain::tackle::{RopeFibre, Stretch};
use windrode_domain::uncertain::Lognormal;
use windrode_domain::units::{Angle, Area, Length};
use windrode_domain::watch::given::WatchedBoat;

use windrode_wire::observe::{Compass, FittedOut, Vane};

use super::boat;
use crate::files::choices;
use crate::files::source::{Problem, Source};
use crate::files::toml_reading::{Section, Within, read};
use crate::files::vessel::{self, VesselFile};
use crate::files::{self, FileKind};

/// Chain that is taken where none is told: the commonest on boats of 10 to 14 m (common practice, no source). What it
/// weighs moves the reach by decimetres, for its length stays the same.
const ASSUMED_CHAIN: Length = Length::metres(0.010);
/// Height of the roller that goes with it, m.
const ASSUMED_ROLLER: Length = Length::metres(1.2);

/// What is known of a vessel for a watch.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct WatchedVessel {
    /// The boat.
    pub(crate) boat: WatchedBoat,
    /// Rode that is out, where the file says so.
    pub(crate) rode_out: Option<Length>,
    /// Stretches from the anchor up, as they are stowed; empty where nothing is known of them.
    pub(crate) stowed: Vec<Segment>,
    /// What is rigged between chain and bow.
    pub(crate) snubber: Option<Segment>,
    /// How she is fitted out, for what her instruments say.
    pub(crate) fitted_out: FittedOut,
    /// What had to be assumed, in words.
    pub(crate) assumed: Vec<String>,
}

impl WatchedVessel {
    /// Nothing is known of her.
    pub(crate) fn unknown() -> Self {
        Self {
            boat: WatchedBoat {
                length: None,
                antenna: None,
                drag_area_m2: None,
                roller_height: None,
                draught: None,
                multihull: None,
            },
            rode_out: None,
            stowed: Vec::new(),
            snubber: None,
            fitted_out: FittedOut::UNKNOWN,
            assumed: Vec::new(),
        }
    }

    /// So much of her rode from anchor to roller, snubber included; what is assumed for it is noted.
    ///
    /// # Errors
    /// One problem: it is no length, or more than she has.
    pub(crate) fn line(&mut self, length: Length) -> Result<Line, String> {
        let snubber_m = self.snubber.map_or(0.0, |snubber| snubber.length.as_metres());
        let below_m = length.as_metres() - snubber_m;
        if !(0.0 < below_m) {
            return Err(format!(
                "{} m of rode is not more than the snubber of {snubber_m} m",
                length.as_metres()
            ));
        }
        let mut segments = self.stowed.clone();
        if segments.is_empty() {
            self.assumed.push("no chain is told: 10 mm chain is taken".to_owned());
            segments = vec![chain(ASSUMED_CHAIN, Length::metres(below_m))?];
        } else if let [only] = segments.as_mut_slice()
            && self.rode_out.is_some()
        {
            // A file that tells one chain and what is out tells no locker.
            only.length = only.length.max(Length::metres(below_m));
        }
        let stowed = Line::new(segments, Vec::new()).map_err(|error| error.to_string())?;
        let veered = stowed.first(Length::metres(below_m)).map_err(|error| error.to_string())?;
        let segments = veered.segments().iter().copied().chain(self.snubber).collect();
        Line::new(segments, Vec::new()).map_err(|error| error.to_string())
    }

    /// The roller's height, assumed where it is not told.
    pub(crate) fn assume_roller(&mut self) {
        if self.boat.roller_height.is_none() {
            self.assumed.push(format!(
                "the height of the bow roller is not told: {} m is taken",
                ASSUMED_ROLLER.as_metres()
            ));
            self.boat.roller_height = Some(ASSUMED_ROLLER);
        }
    }
}

/// Reads either kind of file.
///
/// # Errors
/// Every problem at once.
pub(crate) fn load(path: &Path) -> Result<WatchedVessel, Vec<Problem>> {
    let source = Source::load(path).map_err(|problem| vec![problem])?;
    if files::kind_of(&source) == Some(FileKind::Vessel) {
        return of_vessel(&source, &vessel::read_vessel(&source)?);
    }
    read(&source, |file| Some(few_lines(file)))
}

fn of_vessel(source: &Source, file: &VesselFile) -> Result<WatchedVessel, Vec<Problem>> {
    let Some(windage) = boat::windage_of(file) else {
        return Err(vec![source.problem("its windage cannot be reckoned (check [hull] and [windage])")]);
    };
    let mut assumed = Vec::new();
    if let [first, _, ..] = file.rodes.as_slice() {
        assumed.push(format!("she has several rodes: \"{}\" is taken", first.name));
    }
    if !file.snubbers.is_empty() {
        assumed.push("a snubber is not taken as rigged".to_owned());
    }
    let segment = |stretch: &Stretch| segment(stretch);
    Ok(WatchedVessel {
        boat: WatchedBoat {
            length: Some(file.hull.length_overall),
            antenna: file.antenna,
            drag_area_m2: Some(windage.head_on_m2),
            roller_height: Some(file.roller_height),
            draught: Some(file.hull.draught),
            multihull: Some(file.hull.kind == HullKind::Multihull),
        },
        rode_out: None,
        stowed: file
            .rodes
            .first()
            .map(|rode| rode.stretches.iter().map(segment).collect())
            .unwrap_or_default(),
        snubber: None,
        fitted_out: file.fitted_out(),
        assumed,
    })
}

fn segment(stretch: &Stretch) -> Segment {
    Segment { length: stretch.length, weight: stretch.weight, stiffness: stretch.stiffness }
}

fn chain(size: Length, length: Length) -> Result<Segment, String> {
    let kind = ChainKind { size, grade: None, standard: None };
    Stretch::chain(kind, length, MakersFigures::default())
        .map(|stretch| segment(&stretch))
        .map_err(|error| error.to_string())
}

fn nylon(diameter: Length, length: Length) -> Result<Segment, String> {
    let kind = RopeKind {
        fibre: RopeFibre::Polyamide,
        diameter,
        construction: RopeConstruction::ThreeStrand,
        termination: Termination::Knotted,
    };
    Stretch::rope(kind, length, MakersFigures::default())
        .map(|stretch| segment(&stretch))
        .map_err(|error| error.to_string())
}

/// The short form. Names without a unit are taken for those with one.
fn few_lines(file: &Section<'_>) -> WatchedVessel {
    let length = file.may("length_m").length(Within::new(3.0, 100.0));
    let kind = file.may("kind").word(&choices::HULLS);
    let antenna = antenna(file);
    let windage_m2 = either(file, ["windage_m2", "windage"], |file, key| {
        file.may(key).area(Within::new(0.5, 150.0)).map(Area::as_square_metres)
    });
    let rode_out =
        either(file, ["rode_m", "rode"], |file, key| file.may(key).length(Within::new(1.0, 500.0)));
    let chain_size =
        either(file, ["chain_mm", "chain"], |file, key| file.may(key).size(Within::new(4.0, 40.0)));
    let roller_height = file.may("roller_height_m").length(Within::new(0.1, 6.0));
    let draught = file.may("draught_m").length(Within::new(0.1, 8.0));
    let vane = Vane {
        height: file.may("vane_height_m").length(Within::new(0.5, 60.0)),
        turned: file.may("vane_turned_deg").angle(Within::new(-180.0, 180.0)).unwrap_or(Angle::ZERO),
        speed_factor: file.may("vane_speed_factor").share(Within::new(0.5, 2.0)).unwrap_or(1.0),
    };
    let compass = Compass { deviation: file.may("compass_deviation_deg").angle(Within::new(-45.0, 45.0)) };
    let snubber = snubber(file);
    let size = chain_size.unwrap_or(ASSUMED_CHAIN);
    let stowed = match chain(size, rode_out.unwrap_or(Length::metres(500.0))) {
        Ok(segment) => vec![segment],
        Err(text) => {
            file.refuse(format!("chain_mm: {text}"));
            vec![]
        }
    };
    WatchedVessel {
        boat: WatchedBoat {
            length,
            antenna,
            drag_area_m2: drag_area(windage_m2, kind, length),
            roller_height,
            draught,
            multihull: kind.map(|kind| kind == HullKind::Multihull),
        },
        rode_out,
        stowed: if chain_size.is_some() { stowed } else { Vec::new() },
        snubber,
        fitted_out: FittedOut { draught, vane, compass, ..FittedOut::UNKNOWN },
        assumed: Vec::new(),
    }
}

/// One of two names of the same thing.
fn either<T>(
    file: &Section<'_>,
    keys: [&'static str; 2],
    take: impl Fn(&Section<'_>, &'static str) -> Option<T>,
) -> Option<T> {
    file.one_of(&keys);
    let [first, second] = keys.map(|key| take(file, key));
    first.or(second)
}

fn antenna(file: &Section<'_>) -> Option<Antenna> {
    let aft = file.may("antenna_aft_of_bow_m").length(Within::new(0.0, 60.0));
    let starboard = file.may("antenna_to_starboard_m").length(Within::new(-10.0, 10.0));
    if aft.is_none() && file.has_any(&["antenna_to_starboard_m"]) && !file.has_any(&["antenna_aft_of_bow_m"])
    {
        file.refuse("has antenna_to_starboard_m without antenna_aft_of_bow_m (give both, or neither)");
    }
    Some(Antenna { aft_of_roller: aft?, to_starboard: starboard.unwrap_or(Length::ZERO) })
}

fn snubber(file: &Section<'_>) -> Option<Segment> {
    let length = file.may("snubber_m").length(Within::new(0.5, 50.0));
    let diameter = file.may("snubber_mm").size(Within::new(6.0, 40.0));
    if file.has_any(&["snubber_m"]) != file.has_any(&["snubber_mm"]) {
        file.refuse("has one of snubber_m and snubber_mm (give both, or neither)");
    }
    match nylon(diameter?, length?) {
        Ok(segment) => Some(segment),
        Err(text) => {
            file.refuse(format!("snubber_mm: {text}"));
            None
        }
    }
}

/// As told, with the spread of a drag coefficient; else the usual one of her length and kind.
fn drag_area(told_m2: Option<f64>, kind: Option<HullKind>, length: Option<Length>) -> Option<Lognormal> {
    let told = told_m2.and_then(|m2| windage::given(m2, windage::BEAM_RATIO, Length::metres(1.0)));
    let usual = length.and_then(|length| windage::assumed(kind.unwrap_or(HullKind::MonohullSail), length));
    told.or(usual).map(|windage| windage.head_on_m2)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn few(text: &str) -> Result<WatchedVessel, Vec<String>> {
        let source = Source::of_text(Path::new("v.toml"), text.to_owned());
        read(&source, |file| Some(few_lines(file)))
            .map_err(|problems| problems.iter().map(ToString::to_string).collect())
    }

    #[test]
    fn as_much_is_taken_as_is_known() {
        let nothing = few("antenna_aft_of_bow_m = 9.0").unwrap();
        assert_eq!(nothing.boat.antenna.unwrap().aft_of_roller, Length::metres(9.0));
        assert_eq!((nothing.boat.drag_area_m2, nothing.rode_out), (None, None));
        let more = few("windage_m2 = 7.5\nrode_m = 40\nchain_mm = 10\nroller_height_m = \"4 ft\"").unwrap();
        assert!((more.boat.drag_area_m2.unwrap().median() - 7.5).abs() < 1e-12);
        assert_eq!(more.rode_out, Some(Length::metres(40.0)));
        assert_eq!(few("rode = 40").unwrap().rode_out, Some(Length::metres(40.0)));
    }

    #[test]
    fn every_problem_is_told_at_once_with_the_nearest_key() {
        let found = few("antena_aft_of_bow_m = 9\nrode_m = \"long\"\nchain_mm = 9\n").unwrap_err();
        assert_eq!(found.len(), 3, "{found:?}");
        assert!(
            found.iter().any(|line| line.contains("the nearest known is \"antenna_aft_of_bow_m\"")),
            "{found:?}"
        );
        assert!(found.iter().any(|line| line.contains("chain_mm")), "{found:?}");
    }

    #[test]
    fn a_rode_is_cut_to_what_is_out() {
        let mut vessel = few("chain_mm = 8\nsnubber_m = 6\nsnubber_mm = 12").unwrap();
        let line = vessel.line(Length::metres(45.0)).unwrap();
        assert!((line.length().as_metres() - 45.0).abs() < 1e-9);
        assert_eq!(line.segments().len(), 2);
        assert!(vessel.assumed.is_empty());
        let mut unknown = WatchedVessel::unknown();
        unknown.line(Length::metres(30.0)).unwrap();
        assert_eq!(unknown.assumed.len(), 1);
        assert!(WatchedVessel::unknown().line(Length::ZERO).is_err());
    }
}
