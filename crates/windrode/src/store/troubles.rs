//! What went wrong beside the anchor: a feed, the disk, the clock, the sound.

use jiff::Timestamp;
use rusqlite::{Transaction, params};

use super::micros;

pub(super) fn insert(
    to: &Transaction<'_>,
    stay: &str,
    at: Timestamp,
    code: &str,
    text: &str,
) -> rusqlite::Result<()> {
    to.prepare_cached("INSERT INTO troubles (stay, at_us, code, text) VALUES (?1, ?2, ?3, ?4)")?
        .execute(params![stay, micros(at), code, text])?;
    Ok(())
}
