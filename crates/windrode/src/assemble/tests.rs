//! What becomes of stays: the examples, words that nobody knows, and what is left untold.

use std::path::{Path, PathBuf};

use windrode_domain::environment::current::Stream;
use windrode_domain::environment::tide::Tide;
use windrode_domain::plan::inputs::Foretold;
use windrode_domain::swing::neighbour::{NeighbourRode, Place};
use windrode_domain::uncertain::Origin;
use windrode_domain::units::Length;

use super::*;
use crate::files::source::Source;
use crate::files::stay::{self, DepthKnown};
use crate::files::{chosen_gear, load_stay, load_vessel};

fn examples() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples")
}

fn example(name: &str) -> StayAboard {
    load_stay(&examples().join("stays").join(name), None).unwrap()
}

fn made(name: &str) -> Inputs {
    inputs(&example(name)).unwrap()
}

/// A stay of the sailing monohull with these lines after its head.
fn told(lines: &str) -> StayAboard {
    let head = "[stay]\nname = \"x\"\nvessel = \"v.toml\"\nposition = \"41.2, -69\"\n\
                from = 2026-06-19T18:00:00Z\nto = 2026-06-20T06:00:00Z\nanchor = \"bower\"\nrode = \"chain\"\n";
    let source = Source::of_text(Path::new("x.toml"), format!("{head}{lines}"));
    let stay = stay::read_stay(&source).unwrap();
    let vessel = load_vessel(&examples().join("vessels/sailing-monohull.toml")).unwrap();
    let gear = chosen_gear::chosen_gear(&stay, &vessel).unwrap();
    StayAboard { stay, vessel, gear }
}

fn refused(lines: &str) -> Vec<String> {
    let problems = inputs(&told(lines)).expect_err("it must be refused");
    problems.iter().map(ToString::to_string).collect()
}

const STILL: &str = "[tide]\nstill = true\n[depth]\ncharted = \"7 m\"\n";
const SET: &str = "[set]\nthrust = \"2 kN\"\nat = 2026-06-19T18:40:00Z\nveered = \"35 m\"\n";

#[test]
fn corrant_bay_has_a_station_three_dangers_and_three_neighbours() {
    let made = made("corrant-bay.toml");
    assert!(matches!(made.tide, Foretold::Known(Tide::Harmonic(_))));
    assert!(made.tide_source.starts_with("Santa Barbara (noaa/9411340), "), "{}", made.tide_source);
    assert!(made.tide_source.contains("km away, heights above MLLW"), "{}", made.tide_source);
    assert!(matches!(made.stream, Foretold::None));
    assert_eq!((made.dangers.len(), made.neighbours.len()), (3, 3));
    assert_eq!(made.neighbours[1].rode, NeighbourRode::Rope);
    assert!(!made.bottom.weed);
    // 0.15 m one time in ten each way; pressure 1.25 hPa below the mean raises the water 1.2 cm.
    assert!((made.residual.sigma.as_metres() - 0.15 / 1.281_55).abs() < 1e-5);
    assert!((made.residual.mean.as_metres() - 0.0124).abs() < 1e-4);
}

#[test]
fn a_neighbour_seen_in_a_wind_that_holds_takes_its_direction() {
    let made = made("corrant-bay.toml");
    let wind_from = |index: usize| match made.neighbours[index].place {
        Place::Seen { wind_from, .. } => wind_from,
        Place::Anchor { .. } => None,
    };
    // Between 310° and 315° soon after the first row, for all who were seen then.
    assert!((310.0..313.0).contains(&wind_from(0).expect("it was covered").as_degrees()));
    assert_eq!(wind_from(0), wind_from(2));
}

#[test]
fn ovenstone_ledge_lies_by_differences_and_without_a_stream() {
    let made = made("ovenstone-ledge.toml");
    assert!(matches!(made.tide, Foretold::Known(Tide::Secondary(_))));
    assert!(made.tide_source.starts_with("differences on Boston (noaa/8443970)"), "{}", made.tide_source);
    assert!(matches!(made.stream, Foretold::None));
    assert!(made.dive.is_some() && made.proof.is_none() && made.no_proof.is_none());
    // A third either way, one time in ten each.
    let windage = made.boat.windage.head_on_m2;
    assert!((windage.quantile(0.9) - 17.0 * 1.33).abs() < 1e-6);
}

#[test]
fn pellam_creek_lies_by_tables_and_a_sounding_and_her_set_is_judged() {
    let made = made("pellam-creek.toml");
    assert!(matches!(made.tide, Foretold::Known(Tide::Table(_))));
    assert!(matches!(made.stream, Foretold::Known(Stream::Table(_))));
    assert_eq!(made.residual.origin, Origin::Measured);
    assert!(made.residual.mean.as_metres().abs() < 1e-12);
    let depth = made.depth.unwrap();
    // Half-cosine by hand: 169 of 373 min after low, 1.3 + 1.65 (1 − cos 81.55°) = 2.708 m; 14 ft are 4.267 m.
    assert!((depth.charted.0.as_metres() - (4.267_2 - 2.707_6)).abs() < 2e-3, "{depth:?}");
    assert!(made.proof.is_some() != made.no_proof.is_some());
}

#[test]
fn seven_metres_below_a_keel_of_two_are_nine_of_water() {
    let lines =
        "[tide]\nstill = true\n[depth]\nsounding = { reading = \"7 m\", at = 2026-06-19T18:20:00Z }\n";
    let depth = inputs(&told(lines)).unwrap().depth.unwrap();
    assert_eq!(depth.charted.0, Length::metres(9.0));
    assert_eq!(depth.origin, Origin::Measured);
}

#[test]
fn a_sounding_in_an_unknown_tide_gives_no_depth_and_without_a_sounder_is_refused() {
    let lines = "[depth]\nsounding = { reading = \"7 m\", at = 2026-06-19T18:20:00Z }\n";
    let mut aboard = told(lines);
    assert!(inputs(&aboard).unwrap().depth.is_none());
    assert!(matches!(aboard.stay.depth.unwrap().known, Some(DepthKnown::Sounding { .. })));
    aboard.vessel.sounder = None;
    assert_eq!(inputs(&aboard).unwrap_err()[0].field, "depth.sounding");
}

#[test]
fn every_unknown_word_is_told_at_once_where_it_stands() {
    let lines = "arrangement = \"tandemm\"\n\
        [ground]\nnature = [\"sandd\"]\nquality = \"finne\"\nweed = \"pacthes\"\n\
        [tide]\nstation = \"Santa Barbra\"\n[stream]\nstation = \"noaa/9411340\"\n\
        [wind]\nexposure = \"of land\"\n\
        [[neighbour]]\nname = \"n\"\nrange = \"50 m\"\nbearing = 10\nkind = \"chian\"\nhull = \"motr\"\n\
        [dive]\nseen = \"buryed\"\n";
    let found = refused(lines);
    let wanted = [
        ("x.toml:9:15: stay.arrangement", "\"tandem\""),
        ("x.toml:11:11: ground.nature", "\"sand\""),
        ("x.toml:12:11: ground.quality", "\"fine\""),
        ("x.toml:13:8: ground.weed", "\"patches\""),
        ("x.toml:15:11: tide.station", "Santa Barbara"),
        ("x.toml:17:11: stream.station", "not a stream"),
        ("x.toml:19:12: wind.exposure", "\"off land\""),
        ("x.toml:24:8: neighbour", "\"chain\""),
        ("x.toml:25:8: neighbour", "\"motor\""),
        ("x.toml:27:8: dive.seen", "\"buried\""),
    ];
    assert_eq!(found.len(), wanted.len(), "{found:#?}");
    for (place, mend) in wanted {
        let told = |line: &&String| line.starts_with(place) && line.contains(mend);
        assert!(found.iter().find(told).is_some(), "{place} {mend}: {found:#?}");
    }
}

#[test]
fn what_is_not_told_stays_untold_or_is_marked_assumed() {
    let made = inputs(&told("")).unwrap();
    assert!(matches!(made.tide, Foretold::Unknown(_)) && matches!(made.stream, Foretold::Unknown(_)));
    assert!(made.depth.is_none() && made.slope.is_none() && made.fetch.is_none());
    assert!(made.forecast.is_none() && made.bottom.is_unknown());
    assert_eq!(made.exposure_origin, Origin::Assumed);
    assert_eq!(made.residual.origin, Origin::Assumed);
    assert_eq!(made.step, STEP);
}

#[test]
fn a_distorted_curve_leaves_the_tide_unknown() {
    let lines = "[tide]\ndatum = \"LAT\"\ncurve = \"distorted\"\ntable = [\n\
        { at = 2026-06-19T15:31:00Z, height = \"1.3 m\", kind = \"low\" },\n\
        { at = 2026-06-19T21:44:00Z, height = \"4.6 m\", kind = \"high\" }]\n";
    assert!(
        matches!(inputs(&told(lines)).unwrap().tide, Foretold::Unknown(why) if why.contains("distorted"))
    );
}

#[test]
fn a_set_proves_what_the_chain_did_not_take() {
    let lines = format!("{STILL}{SET}bearing = 60\nheld = \"1 min\"\ncreep = \"0.2 m\"\n");
    let proof = inputs(&told(&lines)).unwrap().proof.expect("it held");
    let median_n = proof.load.quantile(0.5).as_newtons();
    // 2 kN on 10 mm chain in 7 + 1.4 m: 35 m of some 20 N/m weigh 0.7 kN, of which some hangs.
    assert!((1400.0..2000.0).contains(&median_n), "{median_n}");
}

#[test]
fn a_set_that_proves_nothing_says_why() {
    let why = |lines: &str| inputs(&told(lines)).unwrap().no_proof.expect("no proof");
    assert!(why(&format!("{STILL}{SET}bearing = 60\n")).contains("how long"));
    let crept = format!("{STILL}{SET}bearing = 60\nheld = \"1 min\"\ncreep = \"0.6 m\"\n");
    assert!(why(&crept).contains("came home"));
    assert!(why(&format!("{SET}bearing = 60\nheld = \"1 min\"\n")).contains("depth of water"));
    assert!(refused(&format!("{STILL}{SET}held = \"1 min\"\n"))[0].contains("set.bearing"));
}

#[test]
fn a_rode_beyond_hers_is_refused_where_it_stands() {
    let found = refused("veered = \"80 m\"\n");
    assert_eq!(found.len(), 1, "{found:?}");
    assert!(
        found[0].starts_with("x.toml:9:1: stay.veered: is 80.00 m, and that rode is 70.00 m"),
        "{found:?}"
    );
}

// Sixteen days are what the longest forecasts in general use reach; steps are of 1 to 60 minutes.
#[test]
fn a_stay_beyond_every_forecast_and_a_step_of_seconds_are_refused_as_they_are_read() {
    let text = "[stay]\nname = \"x\"\nvessel = \"v.toml\"\nposition = \"41.2, -69\"\n\
                from = 2026-06-19T18:00:00Z\nto = 2026-07-05T18:01:00Z\nstep = \"30 s\"\n";
    let read = stay::read_stay(&Source::of_text(Path::new("x.toml"), text.to_owned()));
    let found: Vec<String> = read.unwrap_err().iter().map(ToString::to_string).collect();
    assert_eq!(found.len(), 2, "{found:?}");
    assert!(found.iter().any(|line| line.contains("more than the 16 days")), "{found:?}");
    assert!(found.iter().any(|line| line.starts_with("x.toml:7:8: stay.step")), "{found:?}");
}

#[test]
fn a_slope_needs_its_direction() {
    assert!(refused("[depth]\nslope = \"3 deg\"\n")[0].starts_with("x.toml:9:2: depth.uphill"));
}

#[test]
fn one_fetch_for_all_round_is_no_single_bearing() {
    let fetch = inputs(&told("[sea]\nfetch = \"600 m\"\n")).unwrap().fetch;
    assert_eq!(fetch, Some(windrode_domain::environment::waves::Fetch::Around(Length::metres(600.0))));
}
