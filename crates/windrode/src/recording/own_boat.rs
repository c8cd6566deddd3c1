//! From a table to what her own instruments saw: one recording, one boat.
//!
//! Each line becomes what its columns say, the heading first and the fix last, so that a fix meets the heading of its
//! own instant. The columns stand for instruments that are the same all night.

use jiff::Timestamp;
use windrode_domain::units::{Angle, Speed};
use windrode_domain::watch::event::Event;
use windrode_domain::watch::observation::{Fix, FixKind, Observation, Seen, Source, Way};

use super::table::{Row, Table};

/// The receiver of the positions, and of the way over the ground.
const RECEIVER: Source = Source(0);
/// What tells the heading.
const COMPASS: Source = Source(1);
/// What tells the wind.
const VANE: Source = Source(2);
/// What tells the depth.
const SOUNDER: Source = Source(3);
/// What a heading may be off in a table that does not say what compass it is from: a fluxgate swung with some care
/// (common practice, no source).
const HEADING_SPREAD: Angle = Angle::degrees(3.0);

/// The lines of one part of a table, in order of time.
///
/// # Errors
/// One problem: the part is not in the table, or the table holds several and none was named.
pub(crate) fn part(table: &mut Table, wanted: Option<&str>) -> Result<(), String> {
    let by_segment = table.rows.iter().any(|row| row.segment.is_some());
    let name_of = |row: &Row| {
        if by_segment { row.segment.clone() } else { row.mmsi.map(|mmsi| mmsi.to_string()) }
    };
    let mut names: Vec<String> = Vec::new();
    for name in table.rows.iter().filter_map(name_of) {
        if !names.contains(&name) {
            names.push(name);
        }
    }
    let what = if by_segment { "segment" } else { "mmsi" };
    match wanted {
        Some(wanted) if names.iter().any(|name| name == wanted) => {
            table.rows.retain(|row| name_of(row).as_deref() == Some(wanted));
            table.put_in_order();
            Ok(())
        }
        Some(wanted) if names.is_empty() => {
            Err(format!("--segment: {wanted} is not there: the table has neither segments nor identities"))
        }
        Some(wanted) => Err(format!("--segment: {wanted} is no {what} of it (it has {})", listed(&names))),
        None if 1 < names.len() => {
            Err(format!("it holds {} under {what} (name one by --segment: {})", names.len(), listed(&names)))
        }
        None => {
            table.put_in_order();
            Ok(())
        }
    }
}

/// The first of the names, and how many more there are.
fn listed(names: &[String]) -> String {
    const MOST: usize = 20;
    let shown = names.iter().take(MOST).cloned().collect::<Vec<_>>().join(", ");
    let more = names.len().saturating_sub(MOST);
    if more == 0 { shown } else { format!("{shown} and {more} more") }
}

/// What was seen, in order.
pub(crate) fn events(table: &Table) -> Vec<(Timestamp, Event)> {
    let mut events = Vec::new();
    for row in &table.rows {
        let mut seen = |source: Source, seen: Seen| {
            events.push((row.at, Event::Observed(Observation { at: row.at, source, seen })));
        };
        if let Some(bow) = row.heading {
            seen(COMPASS, Seen::Heading { bow, spread: HEADING_SPREAD });
        }
        if let Some(wind) = row.wind {
            seen(VANE, Seen::Wind(wind));
        }
        if let Some(depth) = row.depth {
            seen(SOUNDER, Seen::Water { depth });
        }
        if let Some(way) = way(row, table.speed_step) {
            seen(RECEIVER, Seen::Way(way));
        }
        if let Some(antenna) = row.place {
            seen(
                RECEIVER,
                Seen::Fix(Fix {
                    antenna,
                    spread: None,
                    satellites: None,
                    dilution: None,
                    kind: FixKind::Unstated,
                    stated: None,
                }),
            );
        }
    }
    events
}

fn way(row: &Row, step: Speed) -> Option<Way> {
    row.speed.map(|speed| Way { speed, course: row.course, step })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::recording::table;

    fn read(text: &str) -> Table {
        table::read("night.csv", text.as_bytes()).unwrap()
    }

    #[test]
    fn a_line_is_told_instrument_by_instrument_and_the_fix_last() {
        let table = read(
            "t_utc,lat,lon,heading,sog_kn,cog,wind_kn,wind_from_deg,depth_m\n1,2,3,4,0.5,6,7,8,9\n2,,,,,,,,\n",
        );
        let events = events(&table);
        let sources: Vec<u16> = events
            .iter()
            .filter_map(|(_, event)| match event {
                Event::Observed(seen) => Some(seen.source.0),
                _ => None,
            })
            .collect();
        assert_eq!(sources, [1, 2, 3, 0, 0]);
        assert!(matches!(events.last(), Some((_, Event::Observed(Observation { seen: Seen::Fix(_), .. })))));
    }

    #[test]
    fn a_table_of_several_boats_wants_one_to_be_named() {
        let text = "t_utc,lat,lon,segment\n1,2,3,a\n2,2,3,b\n";
        assert!(part(&mut read(text), None).unwrap_err().contains("a, b"));
        assert!(part(&mut read(text), Some("c")).unwrap_err().contains("is no segment of it (it has a, b)"));
        let mut table = read(text);
        part(&mut table, Some("b")).unwrap();
        assert_eq!(table.rows.len(), 1);
        let mut table = read("t_utc,lat,lon,mmsi\n1,2,3,5\n2,2,3,7\n");
        part(&mut table, Some("7")).unwrap();
        assert_eq!(table.rows[0].mmsi, Some(7));
        assert!(part(&mut read("t_utc,lat,lon\n1,2,3\n"), Some("0")).unwrap_err().contains("neither"));
    }
}
