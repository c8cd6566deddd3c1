//! `windrode chart` from outside: what it says of real charts against GDAL, which chart answers, and what it refuses.

#[path = "../../windrode-wire/tests/s57/made.rs"]
#[expect(dead_code, reason = "the reader's own tests use all of it")]
mod made;
#[path = "scratch/file.rs"]
mod scratch;

use std::io::{Read, Write};
use std::process::{Command, Output, Stdio};

use serde_json::{Value, json};

use self::made::{CHART, Head, attributes, edge, feature, file_with, i32s, pointer, spatial};
use self::scratch::Scratch;

fn authority(name: &str) -> String {
    format!("{}/../../authorities/enc/{name}", env!("CARGO_MANIFEST_DIR"))
}

/// The harbour, unpacked; each test has its own.
fn harbour(test: &str) -> Scratch {
    let packed = std::fs::read(authority("US5WA22M.000.gz")).unwrap();
    let mut whole = Vec::new();
    flate2::read::GzDecoder::new(&*packed).read_to_end(&mut whole).unwrap();
    Scratch::holding(&format!("{test}.000"), whole)
}

fn asked(arguments: &[&str], points: &str) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_windrode"));
    command.arg("chart").args(arguments).stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
    let mut child = command.spawn().unwrap();
    // A refusal may come before all has been read.
    let _ = child.stdin.take().unwrap().write_all(points.as_bytes());
    child.wait_with_output().unwrap()
}

#[track_caller]
fn answered(arguments: &[&str], points: &str) -> Value {
    let output = asked(arguments, points);
    assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
    serde_json::from_slice(&output.stdout).unwrap()
}

#[track_caller]
fn refused(arguments: &[&str], points: &str, words: &str) {
    let output = asked(arguments, points);
    let told = String::from_utf8_lossy(&output.stderr).into_owned();
    assert_eq!(output.status.code(), Some(2), "{told}");
    assert!(output.stdout.is_empty() && told.contains(words), "{told}");
}

/// GDAL's answers of a chart, and how the program is asked for the same.
fn cases(harbour: &str) -> [(&'static str, Vec<String>); 3] {
    let words = |words: &[&str]| words.iter().map(|&word| word.to_owned()).collect();
    let updates = authority("");
    [
        ("US5MA1BO", words(&["--chart", &authority("US5MA1BO.000")])),
        ("US5WA22M", words(&["--chart", harbour])),
        ("US5WA22M updated", words(&["--chart", harbour, "--updates", &updates])),
    ]
}

fn gdal() -> Value {
    serde_json::from_slice(&std::fs::read(authority("gdal.json")).unwrap()).unwrap()
}

fn near(found: &Value, wanted: &Value, within: f64) -> bool {
    match (found.as_f64(), wanted.as_f64()) {
        (Some(found), Some(wanted)) => (found - wanted).abs() <= within,
        _ => found.is_null() && wanted.is_null(),
    }
}

// Source: GDAL 3.12.4, authorities/enc/gdal.json.
#[test]
fn what_a_chart_holds_is_what_gdal_finds_in_it() {
    let harbour = harbour("holds");
    for (name, given) in cases(harbour.path()) {
        let mut arguments = vec!["show", "--json"];
        arguments.extend(given.iter().map(String::as_str));
        let shown = answered(&arguments, "");
        let wanted = &gdal()[name];
        let classes = wanted["classes"].as_object().unwrap();
        let features = shown["features"].as_object().unwrap();
        assert!(features.keys().eq(classes.keys()), "{name}");
        for (class, count) in features {
            assert_eq!(*count, classes[class]["features"], "{name} {class}");
        }
        for class in ["DEPARE", "LNDARE"] {
            let wanted_m2 = &classes[class]["area_m2"];
            assert!(
                near(&shown["area_m2"][class], wanted_m2, 1e-7 * wanted_m2.as_f64().unwrap()),
                "{name} {class}"
            );
        }
        for of in ["count", "min_m", "max_m"] {
            assert!(near(&shown["soundings"][of], &wanted["soundings"][of], 1e-9), "{name} {of}");
        }
    }
    // Source: the identities that stand in the files (DSID, DSPM).
    let arguments = ["show", "--json", "--chart", harbour.path(), "--updates", &authority("")];
    let shown = answered(&arguments, "");
    let identity = ["chart", "edition", "update", "issued", "updated", "scale"].map(|key| shown[key].clone());
    let stated = json!(["US5WA22M", 40, 4, "2019-03-19", "2020-06-26", 15_000]);
    assert_eq!(Value::from(identity.to_vec()), stated);
}

/// Classes that are told of a place where they lie over it.
const TOLD: [&str; 9] =
    ["ACHARE", "CBLARE", "CTNARE", "DMPGRD", "FAIRWY", "PIPARE", "PRCARE", "RESARE", "TSSLPT"];

// Source: GDAL 3.12.4, shapely 2.2.0, pyproj 3.7.2: authorities/enc/gdal.json.
#[test]
fn six_hundred_points_are_answered_as_gdal_answers_them() {
    let harbour = harbour("points");
    for (name, given) in cases(harbour.path()) {
        let wanted = gdal()[name]["points"].as_array().unwrap().clone();
        let points: Vec<Value> =
            wanted.iter().map(|point| json!([point["latitude_deg"], point["longitude_deg"]])).collect();
        let mut arguments = vec!["at", "--json"];
        arguments.extend(given.iter().map(String::as_str));
        let found = answered(&arguments, &Value::from(points).to_string());
        assert_eq!(found.as_array().unwrap().len(), wanted.len());
        for (found, wanted) in found.as_array().unwrap().iter().zip(&wanted) {
            compared(found, wanted);
        }
    }
}

#[track_caller]
fn compared(found: &Value, wanted: &Value) {
    for of in ["depth_area", "dredged"] {
        let bounds = json!([found[of]["min_m"], found[of]["max_m"]]);
        let pairs = [(&bounds[0], &wanted[of][0]), (&bounds[1], &wanted[of][1])];
        let same = pairs.into_iter().all(|(found, wanted)| near(found, wanted, 1e-9));
        assert!(same && found[of].is_null() == wanted[of].is_null(), "{of}: {found} {wanted}");
    }
    assert_eq!(found["on_land"], wanted["on_land"], "{found} {wanted}");
    // Geodesics by the same method, from the same whole ten-millionths of a degree.
    let (sounding, theirs) = (&found["nearest_sounding"], &wanted["nearest_sounding"]);
    assert!(near(&sounding["distance_m"], &theirs["distance_m"], 1e-6), "{found} {wanted}");
    assert!(near(&sounding["depth_m"], &theirs["depth_m"], 1e-9), "{found} {wanted}");
    let zones = ["A1", "A2", "B", "C", "D", "U"].map(Value::from);
    let zone =
        wanted["zone"].as_u64().map_or(Value::Null, |code| zones[usize::try_from(code - 1).unwrap()].clone());
    assert_eq!(found["zone"], zone, "{found} {wanted}");
    let over: Vec<&str> =
        found["applies"].as_array().unwrap().iter().filter_map(|one| one["class"].as_str()).collect();
    let inside: Vec<&str> = wanted["inside"].as_array().unwrap().iter().filter_map(Value::as_str).collect();
    for class in TOLD {
        assert_eq!(over.contains(&class), inside.contains(&class), "{class}: {found} {wanted}");
    }
}

// Source: the restrictions that stand in the file (RESTRN 1, 9, 24 and INFORM of one RESARE), as GDAL reads them.
#[test]
fn restricted_ground_is_told_in_the_charts_own_words() {
    let harbour = harbour("restricted");
    let found =
        answered(&["at", "--json", "--chart", harbour.path()], "[[47.2631,-122.4355],[47.29,-122.4264]]");
    let text = |place: usize, class: &str| {
        let all = found[place]["applies"].as_array().unwrap();
        all.iter().find(|one| one["class"] == class).map(|one| one["text"].as_str().unwrap().to_owned())
    };
    let restricted = text(0, "RESARE").unwrap();
    for words in ["anchoring prohibited", "dredging prohibited", "dragging prohibited", "33 CFR 165.1311"] {
        assert!(restricted.contains(words), "{restricted}");
    }
    assert!(text(1, "ACHARE").unwrap().contains("Commencement Bay General Anchorage"));
}

/// A square of a hundredth of a degree from the equator, with a depth and a scale, that covers itself.
fn square(name: &'static str, depth: &str, scale: u32) -> Vec<u8> {
    let head = Head { number: 1, primitive: 3, class: 42, version: 1, instruction: 1 };
    let boundary = ("FSPT", pointer(130, 1, 1, 1));
    let records = [
        spatial(120, 1, 1, 1, &[("SG2D", i32s(&[0, 0]))]),
        edge(1, 1, 1, &[0, 100_000, 100_000, 100_000, 100_000, 0]),
        feature(head, &[("ATTF", attributes(&[(87, depth)])), boundary.clone()]),
        feature(Head { number: 2, class: 302, ..head }, &[("ATTF", attributes(&[(18, "1")])), boundary]),
    ];
    let which = made::Which { name, ..CHART };
    file_with(which, &records, [0, 0, 2, 0, 0, 1, 1, 0], [2, 10_000_000, 10, scale])
}

#[test]
fn the_best_scale_answers_whatever_the_order_and_a_gap_is_said() {
    let coarse = Scratch::holding("XX3MADE1.000", square("XX3MADE1.000", "30", 90_000));
    let fine = Scratch::holding("XX5MADE1.000", square("XX5MADE1.000", "3", 10_000));
    let (coarse, fine) = (coarse.path(), fine.path());
    for order in [[coarse, fine], [fine, coarse]] {
        let arguments = ["at", "--json", "--chart", order[0], "--chart", order[1]];
        let found = answered(&arguments, "[[0.005,0.005],[0.02,0.005]]");
        assert_eq!((&found[0]["depth_area"]["min_m"], &found[0]["chart"]), (&json!(3.0), &json!("XX5MADE1")));
        // A bound that the chart does not give is unknown, not nought.
        assert!(found[0]["depth_area"]["max_m"].is_null());
        // Nothing is made up where no chart lies.
        for unknown in ["depth_area", "dredged", "nearest_sounding", "bottom_distance_m", "quality", "chart"]
        {
            assert!(found[1][unknown].is_null(), "{unknown}");
        }
    }
    let words = asked(&["at", "--chart", coarse], "[[0.02,0.005]]");
    assert!(String::from_utf8_lossy(&words.stdout).contains("no chart that was given covers this place"));
}

#[test]
fn what_cannot_be_used_is_refused_and_nothing_is_half_read() {
    let harbour = harbour("refused");
    let chart = authority("US5MA1BO.000");
    refused(&["show", "--chart", &authority("gdal.json")], "", "no ISO 8211 file");
    refused(&["show", "--chart", &authority("US5WA22M.001")], "", "an update");
    refused(&["show", "--chart", "nowhere.000"], "", "cannot be read");
    refused(&["show", "--chart", &chart, "--updates", &authority("")], "", "holds no update");
    refused(&["at", "--chart", &chart], "[[91,0],[0,1],\"x\",[1]]", "place 1");
    refused(&["at", "--chart", &chart], "[[91,0],[0,1],\"x\",[1]]", "place 4");
    refused(&["at", "--chart", &chart], "{", "not a JSON array");
    // An update is missing in the middle.
    let folder = std::env::temp_dir().join(format!("windrode-{}-updates", std::process::id()));
    std::fs::create_dir_all(&folder).unwrap();
    for number in [1, 3] {
        let name = format!("US5WA22M.{number:03}");
        std::fs::copy(authority(&name), folder.join(&name)).unwrap();
    }
    let asked = ["show", "--chart", harbour.path(), "--updates", folder.to_str().unwrap()];
    refused(&asked, "", "update 2 is missing");
    std::fs::remove_dir_all(&folder).unwrap();
}

#[test]
fn people_are_told_age_datum_quality_and_where_the_bottom_was_written() {
    let chart = authority("US5MA1BO.000");
    let shown = String::from_utf8(asked(&["show", "--chart", &chart], "").stdout).unwrap();
    for words in [
        "edition 2 of 2023-01-09",
        "1:20000",
        "mean lower low water",
        "Zone of confidence B",
        "767 soundings",
    ] {
        assert!(shown.contains(words), "{words}: {shown}");
    }
    let said = String::from_utf8(asked(&["at", "--chart", &chart], "[[41.2613,-70.3257]]").stdout).unwrap();
    for words in ["depth area from 15.0 m to 20.0 m", "nearest sounding 18.5 m", "bottom: sand, written"] {
        assert!(said.contains(words), "{words}: {said}");
    }
}
