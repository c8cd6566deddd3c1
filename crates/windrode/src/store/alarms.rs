//! Every alarm that rang or fell still.

use jiff::Timestamp;
use rusqlite::{Transaction, params};

use super::micros;

/// An alarm rang, rang again, or fell still.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct AlarmRow {
    /// When.
    pub(crate) at: Timestamp,
    /// Its code.
    pub(crate) alarm: String,
    /// `ring`, `quiet` or `escalate`.
    pub(crate) what: &'static str,
    /// Why, in the crew's words.
    pub(crate) text: String,
}

pub(super) fn insert(to: &Transaction<'_>, stay: &str, row: &AlarmRow) -> rusqlite::Result<()> {
    to.prepare_cached("INSERT INTO alarms (stay, at_us, alarm, what, text) VALUES (?1, ?2, ?3, ?4, ?5)")?
        .execute(params![stay, micros(row.at), row.alarm, row.what, row.text])?;
    Ok(())
}
