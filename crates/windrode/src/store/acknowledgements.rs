//! What the crew said, and what they were answered. Kept before the answer is given.

use jiff::Timestamp;
use rusqlite::{Transaction, params};

use super::micros;

pub(super) fn insert(
    to: &Transaction<'_>,
    stay: &str,
    at: Timestamp,
    line: &str,
    answer: &str,
) -> rusqlite::Result<()> {
    to.prepare_cached("INSERT INTO words (stay, at_us, line, answer) VALUES (?1, ?2, ?3, ?4)")?
        .execute(params![stay, micros(at), line, answer])?;
    Ok(())
}
