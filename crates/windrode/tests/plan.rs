//! `windrode plan`, `explain` and `demo` as a caller meets them: exit codes, shapes, refusals.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use serde_json::Value;

fn examples() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples")
}

fn run(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_windrode")).args(arguments).output().unwrap()
}

fn code(output: &Output) -> i32 {
    output.status.code().unwrap()
}

fn errors(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

fn sheet(stay: &str) -> (i32, Value) {
    let output = run(&["plan", stay, "--json"]);
    let value = serde_json::from_slice(&output.stdout).unwrap_or_else(|_| panic!("{}", errors(&output)));
    (code(&output), value)
}

/// A stay of the examples, changed, in a directory of the test's own beside copies of the vessels.
fn changed(test: &str, stay: &str, change: impl Fn(String) -> String) -> PathBuf {
    let directory = Path::new(env!("CARGO_TARGET_TMPDIR")).join(test);
    for part in ["stays", "vessels"] {
        fs::create_dir_all(directory.join(part)).unwrap();
        for entry in fs::read_dir(examples().join(part)).unwrap() {
            let entry = entry.unwrap();
            fs::copy(entry.path(), directory.join(part).join(entry.file_name())).unwrap();
        }
    }
    let file = directory.join("stays").join(stay);
    let text = fs::read_to_string(&file).unwrap();
    let new = change(text.clone());
    assert_ne!(text, new, "the change found nothing to change");
    fs::write(&file, new).unwrap();
    file
}

const STAYS: [&str; 3] = ["corrant-bay.toml", "ovenstone-ledge.toml", "pellam-creek.toml"];

#[test]
fn every_example_stay_comes_to_a_sheet_of_the_documented_shape() {
    for stay in STAYS {
        let file = examples().join("stays").join(stay);
        let (code, sheet) = sheet(file.to_str().unwrap());
        assert_eq!(sheet["version"], 1);
        let verdict = sheet["verdict"].as_str().unwrap();
        let expected = i32::from(!matches!(verdict, "lies_well" | "lies_with_care"));
        assert_eq!(code, expected, "{stay}: {verdict}");
        for key in ["rode_m", "marks", "chance_of_dragging", "weakest", "reasons", "limits", "instants"] {
            assert!(!sheet[key].is_null(), "{stay}: {key}");
        }
        for key in ["median", "p10", "p90"] {
            let chance = sheet["chance_of_dragging"][key].as_f64().unwrap();
            assert!((0.0..=1.0).contains(&chance), "{stay}: {key} {chance}");
        }
        let instant = &sheet["instants"][0];
        for key in ["time", "water_m", "under_keel_m", "reach_m", "uplift_deg", "grounded_m"] {
            assert!(!instant[key].is_null(), "{stay}: {key}");
        }
        for key in ["steady", "gust", "peak"] {
            assert!(0.0 <= instant["load_n"][key].as_f64().unwrap(), "{stay}: {key}");
        }
        let reason = &sheet["reasons"][0];
        assert!(reason["code"].is_string() && reason["text"].is_string());
    }
}

#[test]
fn the_instants_stand_ten_minutes_apart_across_the_year_s_end() {
    let file = examples().join("stays/ovenstone-ledge.toml");
    let (_, sheet) = sheet(file.to_str().unwrap());
    let times: Vec<&str> =
        sheet["instants"].as_array().unwrap().iter().map(|i| i["time"].as_str().unwrap()).collect();
    assert!(times.iter().any(|time| time.starts_with("2026-12-31")));
    assert!(times.iter().any(|time| time.starts_with("2027-01-01")));
    let seconds: Vec<i64> =
        times.iter().map(|time| time.parse::<jiff::Timestamp>().unwrap().as_second()).collect();
    assert!(seconds.windows(2).all(|pair| pair[1] - pair[0] == 600));
}

#[test]
fn a_forecast_that_ends_early_cannot_say_after_it_ends() {
    let stay = changed("early", "corrant-bay.toml", |text| {
        text.lines()
            .filter(|line| !line.contains("2026-08-16T") || line.starts_with("to ="))
            .collect::<Vec<_>>()
            .join("\n")
    });
    let (code, sheet) = sheet(stay.to_str().unwrap());
    assert_eq!(code, 1);
    let reasons = sheet["reasons"].as_array().unwrap();
    let ends = reasons.iter().find(|reason| reason["code"] == "forecast_ends").expect("the end is told");
    assert_eq!(ends["calls_for"], "cannot_say");
    // The table's last line is 18:00 Pacific daylight time on the 15th.
    assert!(ends["text"].as_str().unwrap().contains("18:00"), "{ends}");
    assert!(sheet["instants"].as_array().unwrap().last().unwrap()["load_n"].is_null());
}

#[test]
fn an_unknown_key_is_refused_with_the_nearest_known_one_and_its_place() {
    let stay = changed("unknown-key", "corrant-bay.toml", |text| text.replace("charted =", "chartd ="));
    let output = run(&["plan", stay.to_str().unwrap()]);
    assert_eq!(code(&output), 2);
    let told = errors(&output);
    assert!(
        told.contains("chartd") && told.contains("charted") && told.contains("corrant-bay.toml:"),
        "{told}"
    );
}

#[test]
fn words_that_nobody_knows_are_all_reported_at_once_where_they_stand() {
    let stay = changed("words", "corrant-bay.toml", |text| {
        text.replace("nature = [\"sand\"]", "nature = [\"sandd\"]")
            .replace("exposure = \"off land\"", "exposure = \"off lnad\"")
            .replace("kind = \"chain\"", "kind = \"chian\"")
    });
    let output = run(&["plan", stay.to_str().unwrap()]);
    assert_eq!(code(&output), 2);
    let told = errors(&output);
    for word in ["sandd", "off lnad", "chian"] {
        assert!(told.contains(word), "{word}: {told}");
    }
    assert!(3 <= told.lines().count(), "{told}");
}

#[test]
fn numbers_that_are_none_are_refused_by_field() {
    for (name, bad) in [("nan", "nan"), ("inf", "inf"), ("minus", "-3")] {
        let stay = changed(name, "corrant-bay.toml", |text| {
            text.replace("[stay]\n", &format!("[stay]\nveered = {bad}\n"))
        });
        let output = run(&["plan", stay.to_str().unwrap()]);
        assert_eq!(code(&output), 2, "{bad}");
        assert!(errors(&output).contains("veered"), "{}", errors(&output));
    }
}

#[test]
fn an_empty_file_and_one_of_a_hundred_megabytes_are_refused() {
    let directory = Path::new(env!("CARGO_TARGET_TMPDIR"));
    let empty = directory.join("empty.toml");
    fs::write(&empty, "").unwrap();
    let huge = directory.join("huge.toml");
    fs::File::create(&huge).unwrap().set_len(100 << 20).unwrap();
    for file in [&empty, &huge] {
        let output = run(&["plan", file.to_str().unwrap()]);
        assert_eq!(code(&output), 2);
        assert!(!errors(&output).is_empty());
    }
    fs::remove_file(&huge).unwrap();
    assert_eq!(code(&run(&["plan", directory.join("none.toml").to_str().unwrap()])), 2);
}

#[test]
fn a_stay_that_ends_before_it_begins_is_refused() {
    let stay = changed("backwards", "corrant-bay.toml", |text| {
        text.replace("to = 2026-08-16T16:00:00", "to = 2026-08-13T16:00:00")
    });
    let output = run(&["plan", stay.to_str().unwrap()]);
    assert_eq!(code(&output), 2);
    assert!(errors(&output).contains("to"), "{}", errors(&output));
}

#[test]
fn a_rode_shorter_than_the_depth_is_a_refusal_with_its_number() {
    let stay = changed("short", "corrant-bay.toml", |text| {
        text.replace("[stay]\n", "[stay]\nveered = \"4 m\"\n")
            .replace("snubber = \"long snubber\"", "snubber = \"none\"")
    });
    let (code, sheet) = sheet(stay.to_str().unwrap());
    assert_eq!((code, sheet["verdict"].as_str().unwrap()), (1, "do_not_lie_here"));
    let reasons = sheet["reasons"].as_array().unwrap();
    assert!(reasons.iter().any(|reason| reason["code"] == "rode_shorter_than_depth"));
}

#[test]
fn two_anchors_are_never_judged_as_one() {
    let stay = changed("two", "corrant-bay.toml", |text| {
        text.replace("arrangement = \"single anchor\"", "arrangement = \"fore and aft\"")
    });
    let (code, sheet) = sheet(stay.to_str().unwrap());
    assert_eq!(code, 1);
    assert!(sheet["chance_of_dragging"].is_null() && sheet["rode_m"].is_null());
    let reasons = sheet["reasons"].as_array().unwrap();
    assert!(reasons.iter().any(|reason| reason["code"] == "arrangement_not_judged"));
}

#[test]
fn the_sheet_is_written_as_page_print_and_drawings() {
    let directory = Path::new(env!("CARGO_TARGET_TMPDIR")).join("written");
    fs::create_dir_all(&directory).unwrap();
    let (html, pdf) = (directory.join("sheet.html"), directory.join("sheet.pdf"));
    let stay = examples().join("stays/corrant-bay.toml");
    let output = run(&[
        "plan",
        stay.to_str().unwrap(),
        "--html",
        html.to_str().unwrap(),
        "--pdf",
        pdf.to_str().unwrap(),
        "--svg",
        directory.to_str().unwrap(),
    ]);
    assert!(code(&output) < 2, "{}", errors(&output));
    assert!(fs::read_to_string(&html).unwrap().contains("<svg"));
    assert!(fs::read(&pdf).unwrap().starts_with(b"%PDF-"));
    for name in ["above.svg", "side.svg", "along-time.svg"] {
        assert!(fs::read_to_string(directory.join(name)).unwrap().starts_with('<'), "{name}");
    }
}

#[test]
fn explain_tells_every_number_of_an_instant_and_refuses_a_time_outside() {
    let stay = examples().join("stays/corrant-bay.toml");
    let stay = stay.to_str().unwrap();
    let output = run(&["explain", stay, "--time", "2026-08-15T08:40:00Z", "--json"]);
    assert_eq!(code(&output), 0, "{}", errors(&output));
    let explained: Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(explained["time"], "2026-08-15T08:40:00Z");
    let figures = explained["figures"].as_array().unwrap();
    assert!(20 <= figures.len());
    assert!(figures.iter().all(|figure| !figure["source"].as_str().unwrap().is_empty()));
    assert_eq!(code(&run(&["explain", stay, "--time", "2030-01-01T00:00:00Z"])), 2);
    assert_eq!(code(&run(&["explain", stay, "--time", "yesterday"])), 2);
}

#[test]
fn the_demo_prints_its_sheet_and_writes_what_it_says_it_writes() {
    let directory = Path::new(env!("CARGO_TARGET_TMPDIR")).join("demo");
    let output = run(&["demo", "--sheet", "--out", directory.to_str().unwrap()]);
    assert_eq!(code(&output), 0, "{}", errors(&output));
    let text = String::from_utf8(output.stdout).unwrap();
    assert!(text.contains("invented"));
    for line in text.lines().filter(|line| line.starts_with("    ") && line.contains("demo/")) {
        let file = line.trim().trim_start_matches("windrode plan ");
        assert!(Path::new(file).exists(), "{file}");
    }
}
