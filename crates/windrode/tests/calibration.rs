//! The table of a few stays, to notice change: what it should be is in docs/measured.md.

use std::process::Command;

#[test]
fn a_small_calibration_is_as_it_was() {
    let words = ["calibration", "--stays", "40", "--seed", "1", "--json"];
    let ran = Command::new(env!("CARGO_BIN_EXE_windrode")).args(words).output().expect("it runs");
    assert!(ran.status.success(), "{}", String::from_utf8_lossy(&ran.stderr));
    let told: serde_json::Value = serde_json::from_slice(&ran.stdout).expect("JSON");
    // Rounded: the last digits are the compiler's.
    let percent = |value: &serde_json::Value| (value.as_f64().unwrap_or(f64::NAN) * 100.0).round();
    let bands = told["bands"].as_array().expect("bands");
    let all = bands.iter().filter(|row| row["wind_ms"].is_null());
    let lines: Vec<String> = all
        .map(|row| {
            format!(
                "{} {} {}",
                row["figure"].as_str().unwrap_or("?"),
                percent(&row["claimed"]),
                percent(&row["found"])
            )
        })
        .chain([format!("dragged {}", told["dragged"])])
        .collect();
    insta::assert_snapshot!(lines.join("\n"));
}
