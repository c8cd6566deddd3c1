//! What the watch has kept, read by connections that cannot write: whoever looks never holds the watch up.

pub(crate) mod hours;

use std::path::Path;

use jiff::Timestamp;
use rusqlite::{Connection, Row, params};
use serde_json::{Value, json};
use windrode_domain::position::Position;

use super::{BUSY, DATABASE, instant, micros, schema};
use crate::telling::Speaker;

/// A place of a track.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Place {
    /// When she was there.
    pub(crate) at: Timestamp,
    /// Where.
    pub(crate) at_place: Position,
}

/// Opens it; nothing where there is no record yet.
fn open(directory: &Path) -> rusqlite::Result<Option<Connection>> {
    let Some(connection) = schema::open_to_read(&directory.join(DATABASE)) else { return Ok(None) };
    connection.busy_timeout(BUSY)?;
    Ok(Some(connection))
}

/// The names of the stays that were ever watched, the last first.
pub(crate) fn stay_ids(directory: &Path) -> rusqlite::Result<Vec<String>> {
    match open(directory)? {
        Some(from) => super::stays::ids(&from),
        None => Ok(Vec::new()),
    }
}

/// Her track from one instant to another, the first so many places of it.
pub(crate) fn track(
    directory: &Path,
    stay: &str,
    (from, to): (Timestamp, Timestamp),
    most: usize,
) -> rusqlite::Result<Vec<Place>> {
    let Some(connection) = open(directory)? else { return Ok(Vec::new()) };
    let place = |row: &Row<'_>| {
        let at_place = Position::new(row.get(1)?, row.get(2)?)
            .map_err(|_| rusqlite::Error::IntegralValueOutOfRange(1, 0))?;
        Ok(Place { at: instant(row.get(0)?)?, at_place })
    };
    connection
        .prepare(
            "SELECT at_us, latitude_deg, longitude_deg FROM track
             WHERE stay = ?1 AND ?2 <= at_us AND at_us <= ?3 ORDER BY at_us LIMIT ?4",
        )?
        .query_map(params![stay, micros(from), micros(to), i64::try_from(most).unwrap_or(i64::MAX)], place)?
        .collect()
}

/// Lines of a record that are told at the most, the last of them.
const MOST_LINES: i64 = 1000;

/// Every alarm that rang or fell still, the last first.
pub(crate) fn alarms(
    directory: &Path,
    stay: &str,
    (from, to): (Timestamp, Timestamp),
) -> rusqlite::Result<Vec<Value>> {
    let Some(connection) = open(directory)? else { return Ok(Vec::new()) };
    connection
        .prepare(
            "SELECT at_us, alarm, what, text FROM alarms
             WHERE stay = ?1 AND ?2 <= at_us AND at_us <= ?3 ORDER BY id DESC LIMIT ?4",
        )?
        .query_map(params![stay, micros(from), micros(to), MOST_LINES], |row| {
            let (alarm, what, text): (String, String, String) = (row.get(1)?, row.get(2)?, row.get(3)?);
            let time = format!("{:.3}", instant(row.get(0)?)?);
            Ok(json!({ "time": time, "alarm": alarm, "change": what, "text": text }))
        })?
        .collect()
}

/// What the crew said, the last first.
pub(crate) fn words(
    directory: &Path,
    stay: &str,
    (from, to): (Timestamp, Timestamp),
) -> rusqlite::Result<Vec<Value>> {
    let Some(connection) = open(directory)? else { return Ok(Vec::new()) };
    connection
        .prepare(
            "SELECT at_us, line, answer, device, speaker FROM words
             WHERE stay = ?1 AND ?2 <= at_us AND at_us <= ?3 ORDER BY id DESC LIMIT ?4",
        )?
        .query_map(params![stay, micros(from), micros(to), MOST_LINES], |row| {
            let (line, answer): (String, String) = (row.get(1)?, row.get(2)?);
            let time = format!("{:.3}", instant(row.get(0)?)?);
            let by = Speaker { device: row.get(3)?, name: row.get(4)? };
            Ok(json!({ "time": time, "line": line, "answer": answer, "by": by.view() }))
        })?
        .collect()
}
