//! Vessel files, sound and otherwise.

use std::path::Path;

use windrode_domain::tackle::{Joins, SnubberLegs, Stuff};
use windrode_domain::uncertain::{Lognormal, Origin};

use super::*;
use crate::crew_units::LengthUnit;

fn source(text: &str) -> Source {
    Source::of_text(Path::new("boat.toml"), text.to_owned())
}

fn example(name: &str) -> VesselFile {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/vessels").join(name);
    read_vessel(&Source::load(&path).unwrap()).unwrap_or_else(|problems| panic!("{problems:#?}"))
}

fn problems(text: &str) -> Vec<String> {
    read_vessel(&source(text)).unwrap_err().iter().map(ToString::to_string).collect()
}

pub(crate) const SOUND: &str = "\
[vessel]
name = 'Tern'
[hull]
kind = 'motor'
length_overall = 10
waterline_length = 9
beam = 3.3
draught = 1
canoe_draught = 0.8
displacement = 6000
roller_height = 1.2
[[anchor]]
name = 'bower'
class = 'claw'
mass = 15
[[rode]]
name = 'chain'
[[rode.stretch]]
chain = 8
grade = 40
length = 50
[cleat]
working_load = 12000
";

#[test]
fn bare_numbers_are_in_the_trades_units() {
    let vessel = read_vessel(&source(SOUND)).unwrap();
    assert!(
        matches!(vessel.rodes[0].stretches[0].stuff, Stuff::Chain { size } if (size.as_metres() - 0.008).abs() < 1e-12)
    );
    assert_eq!(vessel.hull.displacement.to_string(), "6000.0 kg");
    assert_eq!(vessel.crew, crew_units::USUAL);
    assert_eq!(vessel.windage, WindageGiven::default());
}

#[test]
fn the_sailing_monohull_is_read_whole() {
    let vessel = example("sailing-monohull.toml");
    assert_eq!(vessel.rodes.len(), 2);
    assert!(vessel.rodes[0].is_all_chain());
    assert_eq!(vessel.connectors[2].connector.joins, Joins::Stretches(0));
    assert_eq!(vessel.connectors[2].rode.as_ref().unwrap().value, "kedge warp");
    assert!(vessel.engine.is_some() && vessel.measured_astern.is_none());
    // Table of the ISO 4565 sheet: 10 mm in grade 40 breaks at 63 kN.
    assert_eq!(vessel.rodes[0].stretches[0].breaking_load.to_string(), "63000 N");
}

#[test]
fn the_catamaran_lies_on_a_bridle_and_says_what_she_pulls() {
    let vessel = example("catamaran.toml");
    assert!(matches!(vessel.snubbers[0].snubber.legs, SnubberLegs::Bridle { .. }));
    assert!(vessel.engine.is_none() && vessel.measured_astern.is_some());
    assert!(vessel.windage.drag_area.is_some());
}

#[test]
fn the_makers_breaking_load_of_the_motor_vessels_rope_wins() {
    let vessel = example("motor-vessel.toml");
    let rope = &vessel.rodes[0].stretches[1];
    assert!((rope.breaking_load.as_pounds() - 8500.0).abs() < 1e-9);
    assert_eq!(vessel.crew.length, LengthUnit::Feet);
}

// Common practice, no source: a sounder reading 7 m under a keel of 2 m with the chain leaving 1 m above the water
// means 10 m.
#[test]
fn seven_metres_under_a_keel_of_two_are_ten_from_ground_to_roller() {
    let text =
        SOUND.replace("draught = 1\n", "draught = 2\n").replace("roller_height = 1.2", "roller_height = 1")
            + "[sounder]\nreads = 'below keel'\n";
    let vessel = read_vessel(&source(&text)).unwrap();
    let windage = Windage {
        head_on_m2: Lognormal::new(10.0, 0.2).unwrap(),
        beam_ratio: 3.0,
        centroid: Length::metres(2.0),
        origin: Origin::Assumed,
    };
    let boat = vessel.boat(windage);
    let water = boat.water_from_sounding(Length::metres(7.0)).unwrap();
    assert_eq!(water, Length::metres(9.0));
    assert_eq!(water + boat.roller_height, Length::metres(10.0));
}

#[test]
fn every_problem_of_a_vessel_is_told_at_once() {
    let text = SOUND
        .replace("kind = 'motor'", "kind = 'moter'")
        .replace("beam = 3.3", "baem = 3.3")
        .replace("mass = 15", "mass = '15 kn'")
        .replace("chain = 8", "chain = 9")
        .replace("[cleat]\nworking_load = 12000\n", "");
    assert_eq!(
        problems(&text),
        [
            "boat.toml:1:1: cleat: is missing (give [cleat] with the load that cleat, bollard or stopper may carry)",
            "boat.toml:3:1: hull.beam: is missing (give her greatest beam)",
            "boat.toml:4:8: hull.kind: \"moter\" is not one of its words (the nearest known is \"motor\")",
            "boat.toml:7:1: hull.baem: is not a key here (the nearest known is \"beam\")",
            "boat.toml:15:8: anchor[1].mass: \"15 kn\" is a speed, not a mass (write it as \"20 kg\")",
            "boat.toml:18:1: rode[1].stretch[1]: no table here holds short-link chain of 9 mm; the nearest sizes are 8 \
             mm and 10 mm, or give mass of a metre and breaking load from its maker",
        ]
    );
}

#[test]
fn a_hull_that_cannot_be_is_refused() {
    let found = problems(&SOUND.replace("waterline_length = 9", "waterline_length = 12"));
    assert_eq!(
        found,
        [
            "boat.toml:3:1: hull: a waterline of 12.00 m is longer than the hull of 10.00 m (check both figures)"
        ]
    );
}

#[test]
fn nan_and_infinities_are_refused_by_field() {
    let found =
        problems(&SOUND.replace("draught = 1\n", "draught = nan\n").replace("mass = 15", "mass = inf"));
    assert_eq!(found.len(), 2, "{found:?}");
    assert!(found[0].starts_with("boat.toml:8:11: hull.draught: nan is not a finite number"), "{found:?}");
    assert!(found[1].starts_with("boat.toml:15:8: anchor[1].mass: inf is not a finite number"), "{found:?}");
}

#[test]
fn a_stretch_must_be_chain_or_rope_and_not_both() {
    let neither = problems(&SOUND.replace("chain = 8\n", ""));
    assert!(neither[0].contains("neither chain nor rope"), "{neither:?}");
    let both = problems(&SOUND.replace("chain = 8\n", "chain = 8\nrope = 'nylon'\ndiameter = 14\n"));
    assert!(both[0].contains("chain and rope together"), "{both:?}");
}

#[test]
fn keys_that_mean_nothing_where_they_stand_are_refused() {
    for (from, to, why) in [
        ("grade = 40", "grade = 40\nends = 'spliced'", "ends, which means nothing for chain"),
        ("chain = 8\n", "rope = 'nylon'\ndiameter = 14\n", "grade, which means nothing for rope"),
        ("[cleat]", "[sounder]\nreads = 'below keel'\ntransducer_depth = 1\n[cleat]", "transducer_depth"),
    ] {
        let found = problems(&SOUND.replace(from, to));
        assert!(found.iter().any(|line| line.contains(why)), "{found:?}");
    }
}

#[test]
fn an_unmentioned_end_is_knotted() {
    let text = SOUND.to_owned()
        + "[[snubber]]\nname = 's'\nrope = 'polyamide'\ndiameter = 14\nlength = 8\nlegs = 'single'\nheight = 1\n";
    let vessel = read_vessel(&source(&text)).unwrap();
    // Wet keeps 0.85 of polyamide's strength and a knot 0.60 of that.
    assert!((vessel.snubbers[0].snubber.leg.strength_left - 0.51).abs() < 1e-12);
}

#[test]
fn half_told_things_are_refused() {
    for (more, why) in [
        ("[sounder]\nreads = 'below transducer'\n", "give transducer_depth"),
        ("[engine]\npower = 40\n", "told in part"),
        ("[[connector]]\nname = 'c'\njoins = 'rode to boat'\n", "has no strength"),
        ("[[connector]]\nname = 'c'\njoins = 'rode to boat'\nshackle = 12\n", "11 mm and 13 mm"),
        (
            "[[connector]]\nname = 'c'\njoins = 'rode to boat'\nshackle = 10\nrode = 'rope'\n",
            "is no rode of hers",
        ),
        ("[[rode]]\nname = 'chain'\nstretch = []\n", "is an empty list"),
        (
            "[[snubber]]\nname = 's'\nrope = 'polyamide'\ndiameter = 14\nlength = 8\nlegs = 'bridle'\nheight = 1\n",
            "give spread",
        ),
    ] {
        let found = problems(&(SOUND.to_owned() + more));
        assert!(found.iter().any(|line| line.contains(why)), "{more}: {found:?}");
    }
}

#[test]
fn the_unstated_half_of_a_connectors_strength_is_taken_on_the_weak_side_and_called_assumed() {
    let more = "[[connector]]\nname = 'swivel'\njoins = 'anchor to rode'\nbreaking_load = '60 kN'\n";
    let vessel = read_vessel(&source(&(SOUND.to_owned() + more))).unwrap();
    let swivel = &vessel.connectors[0].connector;
    assert!((swivel.working_load.as_newtons() - 10_000.0).abs() < 1e-9);
    assert_eq!(swivel.origin, Origin::Assumed);
}

#[test]
fn what_must_be_known_of_her_instruments_is_told_in_her_file() {
    let told = "[vane]\nheight = '15 m'\nturned = -4\nspeed_factor = '96 %'\n[compass]\ndeviation = '3 deg'\n\
                [battery]\nname = 'DOMESTIC'\nleast = '12.1 V'\n";
    let vessel = read_vessel(&source(&format!("{SOUND}{told}"))).unwrap();
    let out = vessel.fitted_out();
    assert_eq!(out.vane.height, Some(Length::metres(15.0)));
    assert!(
        (out.vane.turned.as_degrees() + 4.0).abs() < 1e-12 && (out.vane.speed_factor - 0.96).abs() < 1e-12
    );
    assert_eq!(out.compass.deviation, Some(Angle::degrees(3.0)));
    assert_eq!((out.battery.as_deref(), vessel.instruments.battery_least_v), (Some("DOMESTIC"), Some(12.1)));
    let wrong =
        problems(&format!("{SOUND}[battery]\nleast = '12.1 A'\nnam = 'x'\n[compass]\ndeviation = 80\n"));
    assert_eq!(wrong.len(), 3, "{wrong:#?}");
    assert!(wrong.iter().any(|line| line.contains("the nearest known is \"name\"")), "{wrong:#?}");
}
