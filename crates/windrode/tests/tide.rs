//! `windrode tide` as its callers see it: shapes, exit codes, refusals.

use std::io::Write;
use std::process::{Command, Output};

use serde_json::Value;

fn tide(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_windrode"))
        .arg("tide")
        .args(arguments)
        .output()
        .expect("the program runs")
}

fn json(arguments: &[&str]) -> Value {
    let output = tide(arguments);
    assert!(output.status.success(), "{arguments:?}: {}", String::from_utf8_lossy(&output.stderr));
    serde_json::from_slice(&output.stdout).expect("JSON")
}

/// What is refused, its exit code 2 checked.
#[track_caller]
fn refused(arguments: &[&str]) -> String {
    let output = tide(arguments);
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    assert_eq!(output.status.code(), Some(2), "{arguments:?}: {said}");
    said
}

const DUTCH: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../authorities/tide/vlissingen_constants.json");

fn second(event: &Value) -> i64 {
    let time: jiff::Timestamp = event["time"].as_str().expect("a time").parse().expect("an instant");
    time.as_second()
}

// Authority: NOAA CO-OPS, official predictions over New Year 2027 at Santa Barbara.
#[test]
fn a_station_tells_its_highs_and_lows_over_the_years_end() {
    let official: Value =
        serde_json::from_str(include_str!("../../../authorities/tide/noaa_official_hilo.json"))
            .expect("JSON");
    let told = json(&["--station", "9411340", "--from", "2026-12-29", "--to", "2027-02-01", "--json"]);
    assert_eq!(told["version"], 1);
    assert_eq!(told["station"], "noaa/9411340");
    assert_eq!(told["datum"], "MLLW");
    assert_eq!(told["convention"], "us-tables");
    assert_eq!(told["licence"], "public domain");
    assert!(told.get("levels").is_none());
    let ours = told["events"].as_array().expect("events");
    for event in official["series"][1]["events"].as_array().expect("events") {
        let same = ours.iter().filter(|own| own["kind"] == event["kind"]);
        let own = same.min_by_key(|own| (second(own) - second(event)).abs()).expect("an event");
        assert!((second(own) - second(event)).abs() < 60, "{own} {event}");
        let off = own["height_m"].as_f64().expect("a height") - event["height_m"].as_f64().expect("a height");
        assert!(off.abs() < 2e-3, "{own} {event}");
    }
}

#[test]
fn a_stream_tells_slacks_floods_and_ebbs_and_which_way_they_set() {
    let told = json(&[
        "--station",
        "PUG1741",
        "--from",
        "2026-06-01",
        "--to",
        "2026-06-02",
        "--every",
        "10min",
        "--json",
    ]);
    assert_eq!(told["datum"], Value::Null);
    assert!((told["flood_sets_towards_deg"].as_f64().expect("a direction") - 31.2).abs() < 1e-9);
    let events = told["events"].as_array().expect("events");
    let kinds: Vec<&str> = events.iter().map(|event| event["kind"].as_str().expect("a kind")).collect();
    // The official table prints three ebbs in a row on that day.
    assert!(kinds.windows(2).any(|pair| pair == ["max_ebb", "max_ebb"]), "{kinds:?}");
    assert_eq!(told["levels"].as_array().expect("levels").len(), 145);
    assert!(told["levels"][0]["speed_kn"].is_number());
}

#[test]
fn constants_of_ones_own_are_predicted_in_utc() {
    let day = ["--constants", DUTCH, "--from", "2019-01-01", "--to", "2019-01-02", "--json"];
    let told = json(&[&day[..], &["--every", "6h"]].concat());
    assert_eq!(told["datum"], "NAP");
    assert_eq!(told["levels"].as_array().expect("levels").len(), 5);
    // Authority: Rijkswaterstaat: low water at 04:05 local time (UTC+1), −1.33 m.
    assert!(told["events"][0]["time"].as_str().expect("a time").starts_with("2019-01-01T03:0"));
    assert!((told["events"][0]["height_m"].as_f64().expect("a height") + 1.33).abs() < 0.03);
    let other = json(&[&day[..], &["--convention", "continuous"]].concat());
    assert_eq!(other["convention"], "continuous");
    assert_ne!(other["events"], told["events"]);
}

#[test]
fn stations_are_listed_by_distance_either_way_the_position_is_written() {
    let apart = json(&["--near", "-41.2,174.8", "--json"]);
    let joined = json(&["--near=-41.2,174.8", "--json"]);
    assert_eq!(apart, joined);
    let first = &apart["stations"][0];
    assert_eq!(first["licence"], "CC BY 4.0");
    assert!(first["attribution"].as_str().expect("an attribution").contains("TICON-4"));
    let east = json(&["--near", "34.4,240.3", "--json"]);
    let west = json(&["--near", "34.4,-119.7", "--json"]);
    assert_eq!(east, west);
}

#[test]
fn people_get_local_time_datum_and_attribution() {
    let output = tide(&["--station", "9411340", "--from", "2026-10-08", "--to", "2026-10-09"]);
    let text = String::from_utf8(output.stdout).expect("UTF-8");
    // 03:09 UTC, as the official table has it, is 20:09 the evening before on the coast of California in summer.
    assert!(text.contains("Wed 2026-10-07 20:09 PDT  high"), "{text}");
    assert!(text.contains("above MLLW") && text.contains("NOAA") && text.contains("Weather"), "{text}");
}

#[test]
fn a_name_that_nothing_bears_is_a_warning() {
    let output = tide(&["--search", "no such bay anywhere"]);
    assert_eq!(output.status.code(), Some(1));
    let found = json(&["--search", "santa barbara", "--json"]);
    assert!(
        found["stations"].as_array().expect("stations").iter().any(|one| one["station"] == "noaa/9411340")
    );
}

#[test]
fn what_cannot_be_asked_is_refused_with_its_reason() {
    let asked =
        |from: &str, to: &str| refused(&["--station", "9411340", "--from", from, "--to", to, "--json"]);
    assert!(asked("2026-01-02", "2026-01-01").contains("not after its beginning"));
    assert!(asked("2026-01-01", "2026-01-01").contains("not after its beginning"));
    assert!(asked("2026-01-01", "2037-01-01").contains("ten years"));
    assert!(asked("1700-01-01", "1700-01-02").contains("1800 to 2200"));
    assert!(asked("2300-01-01", "2300-01-02").contains("1800 to 2200"));
    assert!(asked("2026-01-01T00:00:00", "2026-01-02").contains("offset"));
    let levels = ["--station", "9411340", "--from", "2026-01-01", "--to", "2027-01-01", "--every", "1s"];
    assert!(refused(&levels).contains("longer step"));
    let day = ["--from", "2026-01-01", "--to", "2026-01-02"];
    assert!(refused(&[&["--station", "Santa Barbra"], &day[..]].concat()).contains("noaa/9411340"));
    assert!(refused(&["--near", "95,0"]).contains("latitude"));
    refused(&["--station", "9411340"]);
    refused(&[]);
    refused(&[&["--station", "9411340", "--near", "0,0"], &day[..]].concat());
    refused(&[&["--constants", "no/such/file.json"], &day[..]].concat());
}

/// What is said of a file of constants that cannot be.
fn refused_file(name: &str, text: &[u8]) -> String {
    let path = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    std::fs::File::create(&path).and_then(|mut file| file.write_all(text)).expect("a file");
    let path = path.to_str().expect("a path").to_owned();
    refused(&["--constants", &path, "--from", "2026-01-01", "--to", "2026-01-02"])
}

#[test]
fn a_file_of_constants_that_cannot_be_is_refused_with_line_and_column() {
    assert!(refused_file("empty.json", b"").contains("line 1 column 0"));
    assert!(refused_file("binary.json", &[0xff, 0xfe, 0x00]).contains("UTF-8"));
    assert!(refused_file("large.json", &vec![b' '; 2_000_000]).contains("megabyte"));
    let text = std::fs::read_to_string(DUTCH).expect("constants");
    let wrong = text
        .replace("\"name\": \"M2\"", "\"name\": \"M22\"")
        .replace("\"amplitude_m\": 0.47656", "\"amplitude_m\": -1");
    let said = refused_file("wrong.json", wrong.as_bytes());
    assert!(said.contains("no constituent is called M22; most like it is M2"), "{said}");
    assert!(said.contains("amplitude_m of S2"), "{said}");
    assert_eq!(said.lines().count(), 2);
    let labda = "\"name\": \"LABDA2\",\n\"speed_deg_h\": 29.455625";
    assert!(text.contains(labda));
    let twice = text.replace(labda, "\"name\": \"M2\",\n\"speed_deg_h\": 28.984104");
    assert!(refused_file("twice.json", twice.as_bytes()).contains("M2 is given twice"));
}

#[test]
fn another_depth_of_the_same_station_has_its_own_identity() {
    let told = |id: &str| json(&["--station", id, "--from", "2026-06-01", "--to", "2026-06-02", "--json"]);
    assert_eq!(told("PUG1703")["station"], "noaa/PUG1703");
    assert_eq!(told("PUG1703@16")["station"], "noaa/PUG1703@16");
}
