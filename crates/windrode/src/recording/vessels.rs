//! From a table to the reports of many vessels: each by its segment where it has one, else by its identity.

use std::collections::BTreeMap;

use jiff::Timestamp;
use windrode_domain::watch::event::{NeighbourReport, NeighbourSaid, NeighbourStatus};

use super::table::{Row, Table};

/// What a vessel is called in a recording.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Called {
    /// The nine digits.
    Mmsi(u32),
    /// Her part of a table.
    Segment(String),
}

/// Vessels and what they said, in order of time.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Vessels {
    /// What each is called, by the number that her reports carry.
    pub(crate) called: BTreeMap<u32, Called>,
    /// When, and what.
    pub(crate) reports: Vec<(Timestamp, NeighbourReport)>,
    /// What the reader of the answer must know.
    pub(crate) notes: Vec<String>,
}

/// The numbers that stand for segments begin here: beyond every identity of nine digits.
const SEGMENTS_FROM: u32 = 1_000_000_000;

/// The vessels of a log: by their identities.
pub(crate) fn of_log(reports: Vec<(Timestamp, NeighbourReport)>, notes: Vec<String>) -> Vessels {
    let called = reports.iter().map(|(_, report)| (report.mmsi, Called::Mmsi(report.mmsi))).collect();
    Vessels { called, reports, notes }
}

/// The reports of a table; lines without place, segment or identity say nothing and are counted.
///
/// # Errors
/// One problem: nothing in it names a vessel.
pub(crate) fn of_table(mut table: Table) -> Result<Vessels, String> {
    table.put_in_order();
    let mut numbers: BTreeMap<Called, u32> = BTreeMap::new();
    let mut reports = Vec::new();
    let (mut nameless, mut placeless) = (0_usize, 0_usize);
    let mut segments = SEGMENTS_FROM;
    for row in &table.rows {
        let Some(called) = called(row) else {
            nameless += 1;
            continue;
        };
        let number = *numbers.entry(called).or_insert_with_key(|called| match called {
            Called::Mmsi(mmsi) => *mmsi,
            Called::Segment(_) => {
                segments += 1;
                segments
            }
        });
        match said(row) {
            Some(said) => reports.push((row.at, NeighbourReport { at: row.at, mmsi: number, said })),
            None => placeless += 1,
        }
    }
    if numbers.is_empty() {
        return Err("no line has a segment or an mmsi: nothing tells one vessel from another".to_owned());
    }
    let mut notes = table.notes;
    for (count, what) in [(nameless, "name no vessel"), (placeless, "tell no place")] {
        if 0 < count {
            notes.push(format!("lines that {what} and were left out: {count}"));
        }
    }
    let called = numbers.into_iter().map(|(called, number)| (number, called)).collect();
    Ok(Vessels { called, reports, notes })
}

fn called(row: &Row) -> Option<Called> {
    match (&row.segment, row.mmsi) {
        (Some(segment), _) => Some(Called::Segment(segment.clone())),
        (None, Some(mmsi)) => Some(Called::Mmsi(mmsi)),
        (None, None) => None,
    }
}

fn said(row: &Row) -> Option<NeighbourSaid> {
    Some(NeighbourSaid::Position {
        at: row.place?,
        speed: row.speed,
        course: row.course,
        heading: row.heading,
        status: NeighbourStatus::Unstated,
        accurate: false,
        turning_deg_min: None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::recording::table;

    #[test]
    fn vessels_are_told_apart_by_segment_before_identity() {
        let text =
            "t_utc,lat,lon,segment,mmsi\n1,2,3,a,5\n2,2,3,b,5\n3,2,3,a,5\n4,2,3,,7\n5,2,3,,\n6,,,a,5\n";
        let vessels = of_table(table::read("x", text.as_bytes()).unwrap()).unwrap();
        let whose: Vec<&Called> =
            vessels.reports.iter().map(|(_, report)| &vessels.called[&report.mmsi]).collect();
        let segment = |name: &str| Called::Segment(name.to_owned());
        assert_eq!(whose, [&segment("a"), &segment("b"), &segment("a"), &Called::Mmsi(7)]);
        assert_eq!(
            vessels.notes,
            [
                "lines that name no vessel and were left out: 1",
                "lines that tell no place and were left out: 1"
            ]
        );
        assert!(of_table(table::read("x", b"t_utc,lat,lon\n1,2,3\n").unwrap()).is_err());
    }
}
