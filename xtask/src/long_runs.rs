//! What the program costs over nights and months: simulated nights through bytes, and a month of watch with its record.
//!
//! Beside each stands what was aimed at, so that a figure above it is seen at once.

use std::time::Instant;

use anyhow::{Context, Result};
use serde_json::Value;

use crate::shell;

/// Nights that are timed: each ten hours long.
const NIGHTS: u32 = 6;
/// Days of watch that are kept.
const DAYS: u32 = 30;
/// Reports an hour of a vessel at anchor by AIS: one every three minutes (ITU-R M.1371-5 table 1 and 2).
const REPORTS_AN_HOUR: f64 = 20.0;
/// Vessels near by that one core is to bear.
const VESSELS: f64 = 2000.0;

/// The lines of the page.
pub(crate) fn lines(a_report_s: Option<f64>, twelve_hours_s: Option<f64>) -> Result<String> {
    let mut out = vec![
        "| over nights and months | measured | aimed at |".to_owned(),
        "|---|---|---|".to_owned(),
        nights()?,
    ];
    out.extend(month()?);
    if let Some(each_s) = a_report_s {
        let share = each_s * VESSELS * REPORTS_AN_HOUR / 3600.0;
        out.push(format!(
            "| {VESSELS} vessels near by that report every 3 min | {:.2} % of a core | 10 % |",
            share * 100.0
        ));
    }
    if let Some(each_s) = twelve_hours_s {
        out.push(format!(
            "| 12 h of riding with instruments, without the watch | {:.1} ms | 30 ms |",
            each_s * 1e3
        ));
    }
    Ok(out.join("\n") + "\n")
}

fn program() -> std::process::Command {
    let program = shell::root().join("target").join("release").join("windrode");
    let mut command = std::process::Command::new(program);
    command.current_dir(shell::root());
    command
}

fn nights() -> Result<String> {
    let count = NIGHTS.to_string();
    let words =
        ["nights", "--scenario", "examples/nights/stress-mix.toml", "--nights", &count, "--seed", "1"];
    let begun = Instant::now();
    shell::printed(program().args(words).args(["--threads", "1", "--json"]))?;
    let each_s = begun.elapsed().as_secs_f64() / f64::from(NIGHTS);
    Ok(format!(
        "| a night of 10 h, simulated, as bytes through reader and watch | {:.0} ms | – |",
        each_s * 1e3
    ))
}

fn month() -> Result<Vec<String>> {
    let days = DAYS.to_string();
    let printed = shell::printed(program().args(["watch", "--rehearse", &days, "--json"]))?;
    let told: Value = serde_json::from_str(printed.trim()).context("the rehearsal tells JSON")?;
    let figure = |name: &str| told[name].as_f64().with_context(|| format!("{name} is missing"));
    Ok(vec![
        format!(
            "| a second of watch, heard, judged and on disk | {:.0} µs | 50 µs |",
            figure("each_s")? * 1e6
        ),
        format!("| most memory in {DAYS} days of watch | {:.1} MB | 40 MB |", figure("peak_kb")? / 1000.0),
        format!("| database after them | {:.1} MB | – |", figure("database_bytes")? / 1e6),
    ])
}
