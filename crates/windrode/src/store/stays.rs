//! The stays: what each was given, from its files, and what its watch remembered last.

use jiff::Timestamp;
use rusqlite::{Connection, OptionalExtension, Row, Transaction, params};
use windrode_domain::watch::given::Given;
use windrode_domain::watch::remembered::Remembered;

use super::{given, instant, micros, remembered};

/// A stay as it is kept: what it was given stands by itself, so that it is watched again without its files.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct StayRow {
    /// Its name in the database.
    pub(crate) id: String,
    /// Its name among people.
    pub(crate) name: String,
    /// The boat's.
    pub(crate) boat: String,
    /// When its watch was taken.
    pub(crate) taken: Timestamp,
    /// The zone of the crew's clock.
    pub(crate) zone: Option<String>,
    /// The stay file.
    pub(crate) stay_text: Option<String>,
    /// The vessel file.
    pub(crate) vessel_text: Option<String>,
    /// What the watch was given.
    pub(crate) given: Given,
}

/// A stay whose watch is not over.
#[derive(Clone, Debug)]
pub(crate) struct Armed {
    /// The stay.
    pub(crate) row: StayRow,
    /// What its watch remembered last, where it did.
    pub(crate) remembered: Option<Remembered>,
}

const COLUMNS: &str = "id, name, boat, taken_us, zone, stay_text, vessel_text, given";

fn read(row: &Row<'_>) -> rusqlite::Result<StayRow> {
    let text: String = row.get(7)?;
    Ok(StayRow {
        id: row.get(0)?,
        name: row.get(1)?,
        boat: row.get(2)?,
        taken: instant(row.get(3)?)?,
        zone: row.get(4)?,
        stay_text: row.get(5)?,
        vessel_text: row.get(6)?,
        given: given::read(&text).map_err(|error| unreadable(7, error))?,
    })
}

fn unreadable(column: usize, error: impl std::error::Error + Send + Sync + 'static) -> rusqlite::Error {
    rusqlite::Error::FromSqlConversionFailure(column, rusqlite::types::Type::Text, Box::new(error))
}

pub(super) fn armed(connection: &Connection) -> rusqlite::Result<Option<Armed>> {
    let sql = format!(
        "SELECT {COLUMNS}, remembered FROM stays WHERE ended_us IS NULL ORDER BY taken_us DESC LIMIT 1"
    );
    let found = connection.query_row(&sql, [], |row| {
        let text: Option<String> = row.get(8)?;
        // What cannot be read back is begun anew from what was given.
        let remembered = text.and_then(|text| remembered::read(&text).ok());
        Ok(Armed { row: read(row)?, remembered })
    });
    found.optional()
}

pub(super) fn by_id(connection: &Connection, id: &str) -> rusqlite::Result<Option<StayRow>> {
    connection.query_row(&format!("SELECT {COLUMNS} FROM stays WHERE id = ?1"), [id], read).optional()
}

pub(super) fn ids(connection: &Connection) -> rusqlite::Result<Vec<String>> {
    let mut asked = connection.prepare("SELECT id FROM stays ORDER BY taken_us DESC")?;
    asked.query_map([], |row| row.get(0))?.collect()
}

/// A stay is watched from now on; the watch of any other is over.
pub(super) fn insert(to: &Transaction<'_>, row: &StayRow) -> rusqlite::Result<()> {
    to.execute(
        "UPDATE stays SET ended_us = ?2 WHERE ended_us IS NULL AND id <> ?1",
        params![row.id, micros(row.taken)],
    )?;
    let given = given::written(&row.given);
    to.execute(
        "INSERT OR REPLACE INTO stays (id, name, boat, taken_us, zone, stay_text, vessel_text, given)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)",
        params![
            row.id,
            row.name,
            row.boat,
            micros(row.taken),
            row.zone,
            row.stay_text,
            row.vessel_text,
            given
        ],
    )?;
    Ok(())
}

pub(super) fn end(to: &Transaction<'_>, stay: &str, at: Timestamp) -> rusqlite::Result<()> {
    to.execute("UPDATE stays SET ended_us = ?2 WHERE id = ?1", params![stay, micros(at)])?;
    Ok(())
}

pub(super) fn remember(to: &Transaction<'_>, stay: &str, it: &Remembered) -> rusqlite::Result<()> {
    let text = remembered::written(it);
    to.prepare_cached("UPDATE stays SET remembered_us = ?2, remembered = ?3 WHERE id = ?1")?
        .execute(params![stay, micros(it.at), text])?;
    Ok(())
}
