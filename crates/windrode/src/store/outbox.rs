//! Messages for far ends, from before they are sent until they are taken or given up.

use jiff::Timestamp;
use rusqlite::{Connection, Transaction, params};

use super::{instant, micros};

/// A message for a far end.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Message {
    /// Its number.
    pub(crate) id: i64,
    /// When it was made.
    pub(crate) made: Timestamp,
    /// Where it goes.
    pub(crate) url: String,
    /// What it says, JSON.
    pub(crate) body: String,
}

/// Messages taken up again at a start: older ones tell of nights gone by.
const MOST_TAKEN_UP: i64 = 100;

pub(super) fn next_id(connection: &Connection) -> rusqlite::Result<i64> {
    connection.query_row("SELECT coalesce(max(id), 0) + 1 FROM outbox", [], |row| row.get(0))
}

pub(super) fn insert(to: &Transaction<'_>, message: &Message) -> rusqlite::Result<()> {
    to.execute(
        "INSERT OR REPLACE INTO outbox (id, made_us, url, body) VALUES (?1, ?2, ?3, ?4)",
        params![message.id, micros(message.made), message.url, message.body],
    )?;
    Ok(())
}

pub(super) fn posted(
    to: &Transaction<'_>,
    id: i64,
    at: Timestamp,
    given_up: Option<&str>,
) -> rusqlite::Result<()> {
    to.execute(
        "UPDATE outbox SET done_us = ?2, given_up = ?3 WHERE id = ?1",
        params![id, micros(at), given_up],
    )?;
    Ok(())
}

/// Those that wait, in the order in which they were made.
pub(super) fn waiting(connection: &Connection) -> rusqlite::Result<Vec<Message>> {
    let mut asked = connection.prepare(
        "SELECT * FROM (SELECT id, made_us, url, body FROM outbox WHERE done_us IS NULL ORDER BY id DESC LIMIT ?1)
         ORDER BY id",
    )?;
    let read = asked.query_map([MOST_TAKEN_UP], |row| {
        Ok(Message { id: row.get(0)?, made: instant(row.get(1)?)?, url: row.get(2)?, body: row.get(3)? })
    })?;
    read.collect()
}
