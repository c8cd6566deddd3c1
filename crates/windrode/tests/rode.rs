//! `windrode rode` as a caller meets it.

use std::io::Write;
use std::process::{Command, Output, Stdio};
use std::time::{Duration, Instant};

use serde_json::{Value, json};

fn rode(input: &[u8], arguments: &[&str]) -> Output {
    let mut child = Command::new(env!("CARGO_BIN_EXE_windrode"))
        .arg("rode")
        .args(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    child.stdin.take().unwrap().write_all(input).unwrap();
    child.wait_with_output().unwrap()
}

fn answers(cases: &Value) -> Vec<Value> {
    let output = rode(cases.to_string().as_bytes(), &["--json"]);
    assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
    serde_json::from_slice(&output.stdout).unwrap()
}

/// 50 m of 10 mm chain, 2.25 kg/m, in sea water; 10 m from anchor to roller.
fn chain() -> Value {
    json!({"segments": [{"length_m": 50, "weight_n_per_m": 19.196_517_375, "ea_n": 8.54e6}], "kellets": [],
        "slope_deg": 0, "height_m": 10, "horizontal_n": 1500})
}

fn with(field: &str, value: Value) -> Value {
    let mut case = chain();
    case[field] = value;
    case
}

fn without(field: &str) -> Value {
    let mut case = chain();
    case.as_object_mut().unwrap().remove(field);
    case
}

#[track_caller]
fn error(answer: &Value) -> &str {
    let numbers = answer.as_object().unwrap().iter().filter(|(key, _)| *key != "error");
    assert!(numbers.clone().all(|(_, value)| value.is_null()) && numbers.count() == 8, "{answer}");
    answer["error"].as_str().unwrap()
}

#[test]
fn a_case_is_answered_with_exactly_these_fields() {
    let answers = answers(&json!([chain()]));
    let answer = answers[0].as_object().unwrap();
    let fields: Vec<_> = answer.keys().map(String::as_str).collect();
    let expected = [
        "anchor_horizontal_n",
        "anchor_vertical_n",
        "distance_m",
        "grounded_m",
        "horizontal_n",
        "tension_n",
        "uplift_deg",
        "vertical_n",
    ];
    assert_eq!(fields, expected);
    // Integrated with scipy 1.17 (DOP853, relative 1e-13); good to all six printed decimals.
    for (field, value) in [("vertical_n", 782.703_504), ("distance_m", 48.354_152), ("grounded_m", 9.226_797)]
    {
        assert!((answer[field].as_f64().unwrap() - value).abs() < 0.5e-6, "{field}: {}", answer[field]);
    }
}

#[test]
fn a_distance_gives_the_load_that_gives_the_distance() {
    let mut case = with("distance_m", json!(48.5));
    case["horizontal_n"] = Value::Null;
    let answers = answers(&json!([case]));
    // Same source.
    assert!((answers[0]["horizontal_n"].as_f64().unwrap() - 1_810.858_221).abs() < 0.5e-6);
}

#[test]
fn the_integrated_cases_are_answered_in_one_call() {
    let text = include_str!("../../../authorities/catenary/scipy_cases.json");
    let authority: Value = serde_json::from_str(text).unwrap();
    let rows = authority["cases"].as_array().unwrap();
    let cases: Vec<&Value> = rows.iter().map(|row| &row["case"]).collect();
    for (row, answer) in rows.iter().zip(answers(&json!(cases))) {
        assert!(answer.get("error").is_none(), "{answer}");
        // What the domain's own tests hold to 1e-8 m arrives here.
        let expected = row["expected"]["distance_m"].as_f64().unwrap();
        assert!((answer["distance_m"].as_f64().unwrap() - expected).abs() < 1e-8);
    }
}

#[test]
fn a_case_that_cannot_be_spoils_only_its_own_answer() {
    let spoiled = [
        (json!(7), "7, not an object"),
        (json!(null), "null, not an object"),
        (json!([]), "[], not an object"),
        (json!({}), "segments is missing"),
        (without("horizontal_n"), "neither is given"),
        (without("height_m"), "height_m is missing"),
        (without("slope_deg"), "slope_deg is missing"),
        (with("distance_m", json!(48)), "not both"),
        (with("height_m", json!(50)), "not longer than"),
        (with("height_m", json!("ten")), "height_m is \"ten\", not a number"),
        (with("height_m", json!(null)), "height_m is null, not a number"),
        (with("height_m", json!(-1)), "height of -1.00 m"),
        (with("horizontal_n", json!(0)), "load of 0 N"),
        (with("slope_deg", json!(91)), "slope of 91 degrees"),
        (with("friction", json!(-0.1)), "friction of -0.1"),
        (with("kellets", json!([{"from_anchor_m": 51, "weight_n": 100}])), "51 m from the anchor"),
        (with("segments", json!([])), "at least one segment"),
        (with("segments", json!([{"length_m": 50, "weight_n_per_m": 19}])), "segments[0].ea_n is missing"),
        (with("segments", json!(50)), "segments is 50, not a list"),
        (with("colour", json!("red")), "colour is unknown"),
    ];
    let mut cases = vec![chain()];
    cases.extend(spoiled.iter().map(|(case, _)| case.clone()));
    cases.push(chain());
    let answers = answers(&json!(cases));
    assert_eq!(answers.len(), cases.len());
    for (answer, (_, named)) in answers[1..].iter().zip(&spoiled) {
        assert!(error(answer).contains(named), "{named}: {answer}");
    }
    assert!(answers[0].get("error").is_none());
    assert_eq!(answers.first(), answers.last());
}

#[test]
fn a_number_beyond_all_numbers_is_the_error_of_its_case() {
    let text = json!([chain(), chain()]).to_string().replacen("1500", "1e999", 1);
    let output = rode(text.as_bytes(), &["--json"]);
    assert_eq!(output.status.code(), Some(0));
    let answers: Vec<Value> = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(error(&answers[0]), "horizontal_n is 1e999, beyond any number reckoned with");
    assert!(answers[1].get("error").is_none());
}

#[test]
fn an_array_that_cannot_be_read_is_bad_input_and_says_where() {
    for (input, named) in [
        (&b""[..], "no cases"),
        (b" \n", "no cases"),
        (b"{}", "line 1 column"),
        (b"[{\"height_m\":\n NaN}]", "line 2 column"),
        (b"[1,", "line 1 column"),
        (b"[] []", "line 1 column 4"),
        (b"[\"\xff\"]", "line 1"),
    ] {
        let output = rode(input, &["--json"]);
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(2), "{named}: {said}");
        assert!(said.contains(named) && output.stdout.is_empty(), "{named}: {said}");
    }
}

#[test]
fn no_cases_have_no_answers() {
    assert!(answers(&json!([])).is_empty());
}

#[test]
fn ten_thousand_cases_are_answered_in_one_call() {
    let cases: Vec<Value> = (0..10_000).map(|i| with("horizontal_n", json!(20.0 + f64::from(i)))).collect();
    let begun = Instant::now();
    assert_eq!(answers(&json!(cases)).len(), 10_000);
    // A debug build on a loaded machine; a release takes hundredths of a second.
    assert!(begun.elapsed() < Duration::from_secs(10), "{:?}", begun.elapsed());
}

#[test]
fn without_json_the_answers_are_a_table() {
    let cases = json!([chain(), with("height_m", json!(60))]);
    let output = rode(cases.to_string().as_bytes(), &[]);
    assert_eq!(output.status.code(), Some(0));
    let said = String::from_utf8(output.stdout).unwrap();
    let lines: Vec<&str> = said.lines().collect();
    assert_eq!(lines.len(), 3, "{said}");
    assert!(lines[1].contains("48.35 m") && lines[2].contains("cannot say: 50.00 m of rode"), "{said}");
}
