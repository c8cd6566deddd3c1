//! Replays for people: a line for each change, then what it came to.

use std::io::{self, Write};

use jiff::{SignedDuration, Timestamp};

use super::json::state_code;
use super::neighbours::VesselReplayed;
use super::{Judged, Replayed, WORDS};
use crate::alarm_score::Score;
use crate::recording::vessels::Called;
use crate::words::{self, Voice};

/// The night, line by line.
pub(crate) fn night(
    replayed: &Replayed,
    judged: Option<&Judged>,
    notes: &[String],
    voice: &Voice,
    out: &mut impl Write,
) -> io::Result<()> {
    for change in &replayed.changes {
        let view = &change.view;
        let (word, why) = if change.backstop {
            let alarm = view.alarms.iter().find(|alarm| alarm.reason.code() == "outside_circle");
            ("circle", alarm.map(|alarm| words::watch::reason(&alarm.reason, voice)))
        } else {
            let first = view.reasons.first().map(|reason| words::watch::reason(reason, voice));
            (words::watch::verdict(view.verdict), first)
        };
        writeln!(out, "{}  {word:<9} {}", instant(view.at), why.unwrap_or_default())?;
    }
    writeln!(out)?;
    let [from, to] = replayed.span;
    let long = lasting(to.duration_since(from));
    writeln!(out, "Recorded from {} to {} ({long}), UTC.", instant(from), instant(to))?;
    let stood: Vec<String> = WORDS
        .iter()
        .zip(replayed.seconds())
        .filter(|&(_, seconds)| 0.0 < seconds)
        .map(|(&word, seconds)| {
            let long = SignedDuration::try_from_secs_f64(seconds).unwrap_or_default();
            format!("{} {}", words::watch::verdict(word), lasting(long))
        })
        .collect();
    writeln!(out, "The word was: {}.", stood.join(", "))?;
    for (what, alarms) in [("The watch", replayed.alarms()), ("The plain circle", replayed.backstops())] {
        match alarms.as_slice() {
            [] => writeln!(out, "{what} did not ring for dragging.")?,
            [one] => writeln!(out, "{what} rang for dragging at {}.", instant(*one))?,
            [first, ..] => {
                writeln!(
                    out,
                    "{what} rang for dragging {} times, first at {}.",
                    alarms.len(),
                    instant(*first)
                )?;
            }
        }
    }
    if let Some(judged) = judged {
        truth(judged, out)?;
    }
    for note in notes {
        writeln!(out, "Note: {note}.")?;
    }
    Ok(())
}

fn truth(judged: &Judged, out: &mut impl Write) -> io::Result<()> {
    match judged.began {
        Some(began) => writeln!(
            out,
            "In truth the anchor dragged from {} and went {:.1} m.",
            instant(began),
            judged.farthest_m
        )?,
        None => writeln!(out, "In truth the anchor lay (it moved by {:.1} m at most).", judged.farthest_m)?,
    }
    for (what, score) in [("watch", &judged.watch), ("plain circle", &judged.backstop)] {
        writeln!(out, "  {what:<13} {}", worth(score, judged.began.is_some()))?;
    }
    Ok(())
}

fn worth(score: &Score, dragged: bool) -> String {
    let falsely = match score.false_alarms {
        0 => "no false alarm".to_owned(),
        1 => "1 false alarm".to_owned(),
        many => format!("{many} false alarms"),
    };
    match score.found {
        Some(found) => format!("called it after {:.1} m and {:.0} s; {falsely}", found.gone_m, found.after_s),
        None if dragged => format!("missed it; {falsely}"),
        None => falsely,
    }
}

/// The vessels of a recording, each with her words.
pub(crate) fn vessels(vessels: &[VesselReplayed], notes: &[String], out: &mut impl Write) -> io::Result<()> {
    for vessel in vessels {
        let called = match &vessel.called {
            Called::Mmsi(mmsi) => format!("{mmsi:09}"),
            Called::Segment(name) => format!("segment {}", words::plain(name)),
        };
        let name = vessel.words.iter().rev().find_map(|(_, view)| view.name.as_deref());
        let name = name.map_or_else(String::new, |name| format!(" {}", words::plain(name)));
        writeln!(out, "{called}{name}, reports: {}", vessel.reports)?;
        for (at, view) in &vessel.words {
            let state = state_code(view.state).replace('_', " ");
            let why = view.reasons.first().map_or("", |reason| reason.code()).replace('_', " ");
            let gone = view.moved.map_or_else(String::new, |moved| {
                format!(", gone {:.0} m", moved.distance.as_metres().ceil())
            });
            writeln!(out, "  {}  {state:<11} {why}{gone}", instant(*at))?;
        }
    }
    for note in notes {
        writeln!(out, "Note: {note}.")?;
    }
    writeln!(out, "By their own reports alone: an advice, and no look-out.")
}

/// To the second, UTC.
fn instant(at: Timestamp) -> String {
    at.strftime("%Y-%m-%d %H:%M:%S").to_string()
}

fn lasting(long: SignedDuration) -> String {
    let minutes = long.as_mins();
    match (minutes / 60, minutes % 60) {
        (0, 0) => format!("{} s", long.as_secs()),
        (0, minutes) => format!("{minutes} min"),
        (hours, minutes) => format!("{hours} h {minutes:02} min"),
    }
}
