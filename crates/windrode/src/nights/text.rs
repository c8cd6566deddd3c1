//! The operating characteristic for people: a line for each kind of night and each who watched.

use std::io::{self, Write};

use super::Run;
use super::figures::{Rate, Spread};
use super::table::{self, HoursRow, Row, Watcher};

/// Margins that are shown in every table; all of them stand in the JSON.
const SHOWN_M: [f64; 2] = [10.0, 25.0];

/// The table.
pub(crate) fn write(run: Run, rows: &[Row], out: &mut impl Write) -> io::Result<()> {
    writeln!(
        out,
        "{} nights a case, seed {}. False alarms in 100 nights with 95 %; metres and seconds: median / 95 %.",
        run.nights, run.seed
    )?;
    writeln!(
        out,
        "{:<20} {:<20} {:>6} {:>6}  {:<18} {:>20}  {:>13}  {:>15}  {:>6}",
        "case", "nights", "number", "drags", "watched by", "false in 100", "m gone", "s after", "missed"
    )?;
    for row in rows {
        let tuned_m = table::tuned_margin_m(&row.case, rows);
        let shown = |margin_m: f64| SHOWN_M.contains(&margin_m) || tuned_m == Some(margin_m);
        for watcher in row.watchers.iter().filter(|watcher| watcher.margin_m.is_none_or(shown)) {
            line(row, watcher, tuned_m, out)?;
        }
        if let (Some(limit_m), Some(times)) = (row.limit_m, row.over_limit) {
            writeln!(
                out,
                "    nobody could call it before {limit_m:.1} m: the watch's median is {times:.1} times that"
            )?;
        }
        if let Some(neighbour) = &row.neighbour {
            hours("loaded", &neighbour.loaded, out)?;
            hours("other hours", &neighbour.other, out)?;
        }
    }
    writeln!(
        out,
        "tuned: the least margin with which the circle cries no more often than the watch in this case."
    )?;
    writeln!(out, "- : too many missed to say, or nothing to say.")
}

fn line(row: &Row, watcher: &Watcher, tuned_m: Option<f64>, out: &mut impl Write) -> io::Result<()> {
    let who = watcher.margin_m.map_or_else(
        || watcher.who.to_owned(),
        |margin_m| {
            let tuned = if tuned_m == Some(margin_m) { " tuned" } else { "" };
            format!("{} +{margin_m}{tuned}", watcher.who)
        },
    );
    let missed = watcher.missed.map_or("-".to_owned(), |missed| missed.to_string());
    writeln!(
        out,
        "{:<20} {:<20} {:>6} {:>6}  {who:<18} {:>20}  {:>13}  {:>15}  {missed:>6}",
        row.case,
        row.family,
        row.nights,
        row.drags,
        watcher.false_alarms.map_or("-".to_owned(), rate),
        watcher.gone_m.map_or("-".to_owned(), |gone| spread(gone, 1)),
        watcher.after_s.map_or("-".to_owned(), |after| spread(after, 0)),
    )
}

fn hours(which: &str, row: &HoursRow, out: &mut impl Write) -> io::Result<()> {
    let share = row.told_share.map_or("-".to_owned(), |share| format!("{:.0} %", 100.0 * share));
    let falsely = row.false_per_100.map_or("-".to_owned(), |falsely| format!("{falsely:.2}"));
    writeln!(
        out,
        "    {which}: {:.0} h, told in {share}, false calls in 100 vessel-nights {falsely}",
        row.hours
    )
}

fn rate(rate: Rate) -> String {
    format!("{:.2} ({:.2}-{:.2})", rate.per_100, rate.low, rate.high)
}

fn spread(spread: Spread, decimals: usize) -> String {
    let told = |value: Option<f64>| value.map_or("-".to_owned(), |value| format!("{value:.decimals$}"));
    format!("{} / {}", told(spread.median), told(spread.p95))
}
