//! The operating characteristic for people: a line for each kind of night and each who watched.

use std::io::{self, Write};

use super::Run;
use super::figures::{Rate, Spread};
use super::table::{Row, Watcher};

/// The table.
pub(crate) fn write(run: Run, rows: &[Row], out: &mut impl Write) -> io::Result<()> {
    writeln!(
        out,
        "{} nights a case, seed {}. False alarms in 100 nights with 95 %; metres and seconds: median / 95 %.",
        run.nights, run.seed
    )?;
    writeln!(
        out,
        "{:<20} {:<20} {:>6} {:>6}  {:<11} {:>20}  {:>13}  {:>15}  {:>6}",
        "case", "nights", "number", "drags", "watched by", "false in 100", "m gone", "s after", "missed"
    )?;
    for row in rows {
        for watcher in &row.watchers {
            line(row, watcher, out)?;
        }
    }
    writeln!(out, "- : too many missed to say, or nothing to say.")
}

fn line(row: &Row, watcher: &Watcher, out: &mut impl Write) -> io::Result<()> {
    let who = watcher
        .margin_m
        .map_or_else(|| watcher.who.to_owned(), |margin_m| format!("{} +{margin_m}", watcher.who));
    let missed = watcher.missed.map_or("-".to_owned(), |missed| missed.to_string());
    writeln!(
        out,
        "{:<20} {:<20} {:>6} {:>6}  {who:<11} {:>20}  {:>13}  {:>15}  {missed:>6}",
        row.case,
        row.family,
        row.nights,
        row.drags,
        watcher.false_alarms.map_or("-".to_owned(), rate),
        watcher.gone_m.map_or("-".to_owned(), |gone| spread(gone, 1)),
        watcher.after_s.map_or("-".to_owned(), |after| spread(after, 0)),
    )
}

fn rate(rate: Rate) -> String {
    format!("{:.2} ({:.2}-{:.2})", rate.per_100, rate.low, rate.high)
}

fn spread(spread: Spread, decimals: usize) -> String {
    let told = |value: Option<f64>| value.map_or("-".to_owned(), |value| format!("{value:.decimals$}"));
    format!("{} / {}", told(spread.median), told(spread.p95))
}
