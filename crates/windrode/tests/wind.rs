//! `windrode wind` from outside: its answers against eccodes, and what it refuses.

#[path = "scratch/file.rs"]
mod scratch;

use std::process::{Command, Output};

use serde_json::Value;

use self::scratch::Scratch;

fn authority(name: &str) -> String {
    format!("{}/../../authorities/grib/{name}", env!("CARGO_MANIFEST_DIR"))
}

fn windrode(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_windrode")).arg("wind").args(arguments).output().unwrap()
}

fn json(arguments: &[&str]) -> Vec<Value> {
    let output = windrode(arguments);
    assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
    serde_json::from_slice(&output.stdout).unwrap()
}

#[track_caller]
fn refused(arguments: &[&str]) -> String {
    let output = windrode(arguments);
    let words = String::from_utf8_lossy(&output.stderr).into_owned();
    assert_eq!(output.status.code(), Some(2), "{words}");
    assert!(output.stdout.is_empty());
    words
}

// Source: ECMWF eccodes 2.50.0, authorities/grib/eccodes_wind.json.
#[test]
fn the_steps_are_those_of_eccodes() {
    let answers: Value =
        serde_json::from_slice(&std::fs::read(authority("eccodes_wind.json")).unwrap()).unwrap();
    let file = "synth_ccsds_N2S.grib2";
    let steps = json(&[&authority(file), "--at", "41.17,-71.58", "--json"]);
    assert_eq!(steps.len(), 9);
    let mut compared = 0;
    for row in answers["files"][file].as_array().unwrap() {
        if row["lat"] != 41.17 {
            continue;
        }
        let step = steps.iter().find(|step| step["time"] == row["at"]).unwrap();
        let field = match row["kind"].as_str().unwrap() {
            "u" => "u_ms",
            "v" => "v_ms",
            _ => "gust_ms",
        };
        // A part in a million of some 40 m/s.
        assert!((step[field].as_f64().unwrap() - row["value"].as_f64().unwrap()).abs() < 4e-5);
        compared += 1;
    }
    assert_eq!(compared, 27);
    let first = &steps[0];
    let (u_ms, v_ms) = (first["u_ms"].as_f64().unwrap(), first["v_ms"].as_f64().unwrap());
    assert!((first["mean_kn"].as_f64().unwrap() * 1852.0 / 3600.0 - u_ms.hypot(v_ms)).abs() < 1e-9);
}

#[test]
fn positions_may_be_told_in_any_way() {
    let file = authority("cases_south_to_north.grib2");
    let spaced = json(&[&file, "--at", "-41.2,174.8", "--json"]);
    assert_eq!(json(&[&file, "--at=-41.2,174.8", "--json"]), spaced);
    let across = authority("cases_across_180.grib2");
    let west = json(&[&across, "--at", "-40.9,-179.6", "--json"]);
    let east = json(&[&across, "--at=-40.9,180.4", "--json"]);
    let u_ms = |steps: &[Value]| steps[0]["u_ms"].as_f64().unwrap();
    assert!((u_ms(&west) - u_ms(&east)).abs() < 1e-9);
}

#[test]
fn the_table_for_people_tells_run_and_grid() {
    let output = windrode(&[&authority("synth_simple_N2S.grib2"), "--at", "41.17,-71.58"]);
    let text = String::from_utf8(output.stdout).unwrap();
    assert_eq!(output.status.code(), Some(0));
    assert!(text.contains("Run of 2026-07-15T00:00:00Z") && text.contains("nearest point"), "{text}");
}

#[test]
fn a_table_of_text_is_read_and_a_missing_gust_is_null() {
    let table = "# source: invented\ntime,from_deg,mean_kn,gust_kn\n2026-11-27T05:00:00Z,270,20,\n\
                 2026-11-27T08:00:00Z,,0,5\n";
    let file = Scratch::holding("table.csv", table.as_bytes());
    let steps = json(&[file.path(), "--at", "41,-71", "--json"]);
    assert_eq!(steps[0]["gust_ms"], Value::Null);
    assert!((steps[0]["u_ms"].as_f64().unwrap() - 20.0 * 1852.0 / 3600.0).abs() < 1e-9);
    assert_eq!(steps[1]["from_deg"], Value::Null);
}

#[test]
fn every_line_of_a_bad_table_is_named() {
    let table = "time,from_deg,mean_kn,gust_kn\nyesterday,270,20,25\n2026-11-27T08:00:00Z,,15,20\n\
                 2026-11-27T09:00:00Z,90,NaN,20\n2026-11-27T09:00:00Z,90,inf,-3\n";
    let file = Scratch::holding("bad.csv", table.as_bytes());
    let words = refused(&[file.path(), "--at", "41,-71"]);
    for part in ["line 2: time", "line 3: from_deg", "line 4: mean_kn", "line 5: mean_kn", "line 5: gust"] {
        assert!(words.contains(part), "{part} in {words}");
    }
}

#[test]
fn what_cannot_be_used_is_refused_with_a_reason() {
    let file = authority("synth_simple_N2S.grib2");
    assert!(refused(&[&file, "--at", "50,-71"]).contains("outside the forecast"));
    assert!(refused(&[&file, "--at", "91,0"]).contains("latitude"));
    assert!(refused(&["no-such-file.grib2", "--at", "41,-71"]).contains("cannot be read"));
    let empty = Scratch::holding("empty", b"");
    assert!(refused(&[empty.path(), "--at", "41,-71"]).contains("empty"));
    let whole = std::fs::read(&file).unwrap();
    let cut = Scratch::holding("cut.grib2", &whole[..whole.len() - 50]);
    assert!(refused(&[cut.path(), "--at", "41,-71"]).contains("cut off"));
    let prose = Scratch::holding("prose.txt", b"Dear harbour master,\nthe wind was fair.\n");
    assert!(refused(&[prose.path(), "--at", "41,-71"]).contains("is not known"));
}

#[test]
fn a_hundred_megabytes_of_nothing_are_no_forecast() {
    let zeros = Scratch::holding("zeros", vec![0; 100_000_000]);
    assert!(refused(&[zeros.path(), "--at", "41,-71"]).contains("neither"));
}
