//! Who spoke on which feed, by the number that the observations name.

use rusqlite::{Connection, Transaction, params};

use crate::watchkeeper::hearing::NewSource;

pub(super) fn insert(to: &Transaction<'_>, source: &NewSource) -> rusqlite::Result<()> {
    to.execute(
        "INSERT OR REPLACE INTO sources (number, feed, name) VALUES (?1, ?2, ?3)",
        params![source.number, source.feed, source.name],
    )?;
    Ok(())
}

pub(super) fn all(connection: &Connection) -> rusqlite::Result<Vec<NewSource>> {
    let mut asked = connection.prepare("SELECT number, feed, name FROM sources ORDER BY number")?;
    let read = asked
        .query_map([], |row| Ok(NewSource { number: row.get(0)?, feed: row.get(1)?, name: row.get(2)? }))?;
    read.collect()
}
