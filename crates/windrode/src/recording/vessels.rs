//! From a table to the reports of many vessels: each by its segment where it has one, else by its identity.

use jiff::Timestamp;
use windrode_domain::watch::event::{NeighbourReport, NeighbourSaid, NeighbourStatus};

use super::table::{Row, Table};

/// What a vessel is called in a recording.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Called {
    /// The nine digits.
    Mmsi(u32),
    /// Her part of a table.
    Segment(String),
}

/// Vessels and what they said, in order of time.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Vessels {
    /// What each is called, in order of her first report.
    pub(crate) called: Vec<Called>,
    /// When, which of them, and what she said; the identity in a report is her place in `called`.
    pub(crate) reports: Vec<(Timestamp, NeighbourReport)>,
    /// What the reader of the answer must know.
    pub(crate) notes: Vec<String>,
}

/// The reports of a table; lines without place, segment or identity say nothing and are counted.
///
/// # Errors
/// One problem: nothing in it names a vessel.
pub(crate) fn of_table(table: &Table) -> Result<Vessels, String> {
    let mut vessels = Vessels { called: Vec::new(), reports: Vec::new(), notes: table.notes.clone() };
    let mut nameless = 0_usize;
    for row in &table.rows {
        let Some(called) = called(row) else {
            nameless += 1;
            continue;
        };
        let number = vessels.number_of(called);
        if let Some(said) = said(row) {
            vessels.reports.push((row.at, NeighbourReport { at: row.at, mmsi: number, said }));
        }
    }
    if vessels.called.is_empty() {
        return Err("no line has a segment or an mmsi: nothing tells one vessel from another".to_owned());
    }
    if 0 < nameless {
        vessels.notes.push(format!("{nameless} lines name no vessel and were left out"));
    }
    Ok(vessels)
}

impl Vessels {
    /// Her place in the list, new if she was not heard before.
    fn number_of(&mut self, called: Called) -> u32 {
        let known = self.called.iter().position(|known| *known == called);
        let number = known.unwrap_or_else(|| {
            self.called.push(called);
            self.called.len() - 1
        });
        u32::try_from(number).unwrap_or(u32::MAX)
    }
}

fn called(row: &Row) -> Option<Called> {
    match (&row.segment, row.mmsi) {
        (Some(segment), _) => Some(Called::Segment(segment.clone())),
        (None, Some(mmsi)) => Some(Called::Mmsi(mmsi)),
        (None, None) => None,
    }
}

/// What a line says of her; a course of 360 is AIS's way of saying that it is not known.
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
        let text = "t_utc,lat,lon,segment,mmsi\n1,2,3,a,5\n2,2,3,b,5\n3,2,3,a,5\n4,2,3,,7\n5,2,3,,\n";
        let vessels = of_table(&table::read("x", text.as_bytes()).unwrap()).unwrap();
        assert_eq!(
            vessels.called,
            [Called::Segment("a".to_owned()), Called::Segment("b".to_owned()), Called::Mmsi(7)]
        );
        let whose: Vec<u32> = vessels.reports.iter().map(|(_, report)| report.mmsi).collect();
        assert_eq!(whose, [0, 1, 0, 2]);
        assert!(vessels.notes[0].contains("1 lines"));
        assert!(of_table(&table::read("x", b"t_utc,lat,lon\n1,2,3\n").unwrap()).is_err());
    }
}
