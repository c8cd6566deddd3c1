//! Stay files, sound and otherwise.

use std::path::Path;

use super::super::chosen_gear::chosen_gear;
use super::super::{load_stay, vessel};
use super::*;

fn source(text: &str) -> Source {
    Source::of_text(Path::new("stays/night.toml"), text.to_owned())
}

fn examples(name: &str) -> std::path::PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples").join(name)
}

fn problems(text: &str) -> Vec<String> {
    read_stay(&source(text)).unwrap_err().iter().map(ToString::to_string).collect()
}

const SOUND: &str = "\
[stay]
name = 'a night'
vessel = 'boat.toml'
position = \"41°12.3'S 174°48.0'E\"
zone = 'Pacific/Auckland'
from = 2026-11-27T17:00:00
to = 2026-11-28T09:00:00
";

#[test]
fn a_stay_needs_little_and_makes_up_nothing() {
    let stay = read_stay(&source(SOUND)).unwrap();
    assert_eq!(stay.vessel.value, Path::new("stays/boat.toml"));
    // New Zealand keeps 13 h ahead of UTC in November.
    assert_eq!(stay.span.from().to_string(), "2026-11-27T04:00:00Z");
    assert_eq!(stay.snubber, SnubberChoice::Unsaid);
    assert!(stay.depth.is_none() && stay.tide.is_none() && stay.wind.is_none() && stay.veered.is_none());
    assert_eq!(stay.limits, Limits::default());
}

#[test]
fn the_example_stays_are_read_with_their_vessels() {
    for name in ["corrant-bay.toml", "pellam-creek.toml", "ovenstone-ledge.toml"] {
        let aboard =
            load_stay(&examples("stays").join(name), None).unwrap_or_else(|found| panic!("{found:#?}"));
        assert!(aboard.stay.span.duration() >= SignedDuration::from_hours(16), "{name}");
    }
}

#[test]
fn the_demonstration_stay_lasts_two_days_among_shores_and_neighbours() {
    let stay = load_stay(&examples("stays/corrant-bay.toml"), None).unwrap();
    assert_eq!(stay.stay.span.duration(), SignedDuration::from_hours(48));
    assert_eq!(stay.stay.neighbours.len(), 3);
    assert!(stay.stay.dangers.iter().any(|danger| matches!(danger.shape, Shape::Area(_))));
    assert!(
        matches!(&stay.stay.tide.unwrap().from, Some(TideSource::Station(id)) if id.value == "noaa/9411340")
    );
    let names: Vec<&str> = stay.gear.connectors.iter().map(|connector| connector.name.as_str()).collect();
    assert_eq!(names, ["anchor shackle", "chain hook"]);
}

#[test]
fn a_stay_runs_on_across_the_years_end() {
    let stay = load_stay(&examples("stays/ovenstone-ledge.toml"), None).unwrap().stay;
    assert_eq!(stay.span.from().to_string(), "2026-12-31T20:00:00Z");
    assert_eq!(stay.span.to().to_string(), "2027-01-01T14:00:00Z");
    assert_eq!(stay.kellets.len(), 1);
}

#[test]
fn every_problem_of_a_stay_is_told_at_once() {
    let text = "\
[stay]
name = 'a night'
vesel = 'boat.toml'
position = \"41°72'S 174°48'E\"
zone = 'Pacific/Auckland'
from = 2026-09-27T02:30:00
to = 2026-09-28
[tide]
station = 'x'
still = true
[wind]
table = [
    { at = 2026-09-27T04:00:00, from = 310, mean = nan },
    { at = 2026-09-27T05:00:00, from = 310, mean = 20, gust = 15 },
    { at = 2026-09-27T06:00:00, mean = 20 },
]
[[danger]]
name = 'rock'
range = '40 m'
";
    assert_eq!(
        problems(text),
        [
            "stays/night.toml:1:1: stay.vessel: is missing (give the vessel file, from this file's directory)",
            "stays/night.toml:3:1: stay.vesel: is not a key here (the nearest known is \"vessel\")",
            "stays/night.toml:4:12: stay.position: \"41°72'S 174°48'E\" has 72 minutes or seconds, which is not below 60",
            "stays/night.toml:6:8: stay.from: 2026-09-27T02:30:00 is never shown by the clock in Pacific/Auckland: it \
             goes forward over it (write 2026-09-27T02:30:00+12:00, which is 2026-09-26T14:30:00Z, or \
             2026-09-27T02:30:00+13:00, which is 2026-09-26T13:30:00Z)",
            "stays/night.toml:7:6: stay.to: 2026-09-28 is a date without a time of day (write 2026-09-28T17:00:00)",
            "stays/night.toml:8:1: tide: has station and still together (keep one of them)",
            "stays/night.toml:13:52: wind.table[1].mean: nan is not a finite number (write a speed as \"25 kn\", or \
             leave it out if it is not known)",
            "stays/night.toml:14:5: wind.table[2]: has a gust of 15.0 kn below the mean of 20.0 kn (check both)",
            "stays/night.toml:15:5: wind.table[3]: blows, and does not say where from (give from, true degrees)",
            "stays/night.toml:17:1: danger[1]: does not say where it is (give position, or range and bearing from the \
             anchor)",
        ]
    );
}

#[test]
fn an_hour_that_comes_twice_is_asked_about() {
    let found =
        problems(&SOUND.replace("2026-11-27T17", "2026-04-05T02").replace("2026-11-28", "2026-04-06"));
    assert_eq!(found.len(), 1, "{found:?}");
    assert!(
        found[0].starts_with("stays/night.toml:6:8: stay.from: 2026-04-05T02:00:00 is shown twice"),
        "{found:?}"
    );
}

#[test]
fn a_stay_that_ends_before_it_begins_or_never_ends_is_refused() {
    let backwards = problems(&SOUND.replace("to = 2026-11-28", "to = 2026-11-26"));
    assert!(backwards[0].contains("is not after its beginning"), "{backwards:?}");
    let endless = problems(&SOUND.replace("to = 2026-11-28", "to = 2027-11-28"));
    assert!(endless[0].contains("lasts 8776 h, more than the 16 days"), "{endless:?}");
}

#[test]
fn local_times_without_a_zone_are_refused_each() {
    let found = problems(&SOUND.replace("zone = 'Pacific/Auckland'\n", ""));
    assert_eq!(found.len(), 2, "{found:?}");
    assert!(found.iter().all(|line| line.contains("no zone is given")));
    let unknown = problems(&SOUND.replace("Pacific/Auckland", "Pacific/Aukland"));
    assert_eq!(unknown.len(), 1, "{unknown:?}");
}

#[test]
fn tables_of_turns_must_make_sense() {
    let table = |rows: &str| format!("{SOUND}[tide]\ndatum = 'LAT'\ntable = [{rows}]\n");
    for (rows, why) in [
        ("{ at = 2026-11-27T16:00:00, height = 1, kind = 'low' }", "two turns or more"),
        (
            "{ at = 2026-11-27T16:00:00, height = 1, kind = 'low' }, { at = 2026-11-27T22:00:00, height = 1, kind = 'low' }",
            "in a row",
        ),
        (
            "{ at = 2026-11-27T16:00:00, height = 2, kind = 'low' }, { at = 2026-11-27T22:00:00, height = 1, kind = 'high' }",
            "not below the high",
        ),
        (
            "{ at = 2026-11-27T22:00:00, height = 1, kind = 'low' }, { at = 2026-11-27T16:00:00, height = 2, kind = 'high' }",
            "in order of time",
        ),
    ] {
        let found = problems(&table(rows));
        assert!(found.iter().any(|line| line.contains(why)), "{rows}: {found:?}");
    }
}

#[test]
fn limits_that_would_never_call_for_care_are_refused() {
    let found = problems(&format!("{SOUND}[limits]\nchance_care = '8 %'\n"));
    assert!(found[0].contains("chance_care above chance_refuse"), "{found:?}");
    let set = read_stay(&source(&format!("{SOUND}[limits]\nunder_keel_refuse = '2 ft'\n"))).unwrap();
    assert!((set.limits.under_keel_refuse.as_feet() - 2.0).abs() < 1e-12);
}

#[test]
fn a_single_fetch_holds_all_round() {
    let stay = read_stay(&source(&format!("{SOUND}[sea]\nfetch = '2 km'\n"))).unwrap();
    let sea = stay.sea.unwrap();
    assert_eq!(sea.fetch.len(), 1);
    assert!((sea.fetch[0].length.as_metres() - 2000.0).abs() < 1e-9);
}

#[test]
fn words_of_other_parts_keep_their_place() {
    let stay = read_stay(&source(&format!("{SOUND}[ground]\nnature = ['sand', 'mudd']\n"))).unwrap();
    let problem = stay.ground.unwrap().nature[1].problem("is no nature of the bottom");
    assert_eq!(problem.to_string(), "stays/night.toml:9:19: ground.nature[2]: is no nature of the bottom");
}

#[test]
fn gear_that_she_does_not_carry_is_named_with_what_she_does() {
    let path = examples("vessels/sailing-monohull.toml");
    let vessel = vessel::read_vessel(&Source::load(&path).unwrap()).unwrap();
    let stay = read_stay(&source(&format!("{SOUND}rode = 'rope'\nsnubber = 'none'\n"))).unwrap();
    let found: Vec<String> =
        chosen_gear(&stay, &vessel).unwrap_err().iter().map(ToString::to_string).collect();
    assert_eq!(
        found,
        [
            "stays/night.toml:3:10: stay.vessel: has several of [[anchor]], and the stay does not say which (give anchor \
             in [stay]: \"bower\", \"kedge\")",
            "stays/night.toml:8:8: stay.rode: \"rope\" is no rode of hers (she has \"chain\", \"kedge warp\")",
        ]
    );
}

#[test]
fn a_vessel_file_that_is_not_there_is_a_problem_of_the_stay() {
    let path = std::env::temp_dir().join(format!("windrode-stay-{}.toml", std::process::id()));
    std::fs::write(&path, SOUND.replace("boat.toml", "no-such-boat.toml")).unwrap();
    let found = load_stay(&path, None).unwrap_err();
    std::fs::remove_file(&path).unwrap();
    assert_eq!(found.len(), 1);
    assert!(found[0].text.contains("no-such-boat.toml cannot be read"), "{found:?}");
}

proptest::proptest! {
    #[test]
    fn no_text_upsets_the_reader(text in "(\\[{1,2}[a-z]{1,6}\\]{1,2}\n|[a-z_]{1,8} ?= ?[0-9a-z\"'\\[\\]{},:.T°+-]{0,20}\n){0,12}") {
        // Whatever it says, it is read or refused, and a refusal has a reason.
        if let Err(found) = read_stay(&source(&text)) {
            proptest::prop_assert!(!found.is_empty());
        }
        if let Err(found) = vessel::read_vessel(&source(&text)) {
            proptest::prop_assert!(!found.is_empty());
        }
    }

    #[test]
    fn a_sound_file_with_one_character_changed_is_read_or_refused(place in 0_usize..160, put in "\\PC") {
        let mut text = SOUND.to_owned();
        if let Some((at, old)) = text.char_indices().nth(place) {
            text.replace_range(at..at + old.len_utf8(), &put);
        }
        if let Err(found) = read_stay(&source(&text)) {
            proptest::prop_assert!(!found.is_empty());
        }
    }
}
