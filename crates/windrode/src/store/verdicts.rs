//! The word, its reasons and the alarms at every change, as they were told.

use jiff::Timestamp;
use rusqlite::{Transaction, params};

use super::micros;

pub(super) fn insert(
    to: &Transaction<'_>,
    stay: &str,
    at: Timestamp,
    verdict: &str,
    body: &str,
) -> rusqlite::Result<()> {
    to.prepare_cached("INSERT INTO verdicts (stay, at_us, verdict, body) VALUES (?1, ?2, ?3, ?4)")?
        .execute(params![stay, micros(at), verdict, body])?;
    Ok(())
}
