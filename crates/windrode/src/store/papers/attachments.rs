//! What is attached to a stay: forecasts, the crew's own constants.

use std::sync::Arc;

use jiff::Timestamp;
use rusqlite::{OptionalExtension, params};

use super::{Papers, micros};
use crate::files::shelf::Attached;

impl Papers {
    /// All that is attached to a stay.
    pub(crate) fn attached(&self, stay: &str) -> rusqlite::Result<Attached> {
        self.reading(|from| {
            from.prepare("SELECT name, bytes FROM attachments WHERE stay = ?1")?
                .query_map([stay], |row| {
                    let bytes: Vec<u8> = row.get(1)?;
                    Ok((row.get(0)?, Arc::from(bytes)))
                })?
                .collect()
        })
    }

    /// Their names and sizes, bytes.
    pub(crate) fn attachment_names(&self, stay: &str) -> rusqlite::Result<Vec<(String, u64)>> {
        self.reading(|from| {
            from.prepare("SELECT name, length(bytes) FROM attachments WHERE stay = ?1 ORDER BY name")?
                .query_map([stay], |row| Ok((row.get(0)?, row.get::<_, i64>(1)?.unsigned_abs())))?
                .collect()
        })
    }

    /// One.
    pub(crate) fn attachment(&self, stay: &str, name: &str) -> rusqlite::Result<Option<Vec<u8>>> {
        self.reading(|from| {
            from.query_row(
                "SELECT bytes FROM attachments WHERE stay = ?1 AND name = ?2",
                [stay, name],
                |row| row.get(0),
            )
            .optional()
        })
    }

    /// Attaches bytes to a stay, or takes them off; the stay's revision afterwards, nothing where there is no such stay
    /// or no such attachment to take off.
    pub(crate) fn attach(
        &self,
        stay: &str,
        name: &str,
        bytes: Option<&[u8]>,
        at: Timestamp,
    ) -> rusqlite::Result<Option<i64>> {
        self.writing(|to| {
            let there = "SELECT 1 FROM documents WHERE kind = 'stay' AND id = ?1";
            if !to.prepare(there)?.exists([stay])? {
                return Ok(None);
            }
            let changed = match bytes {
                Some(bytes) => to.execute(
                    "INSERT OR REPLACE INTO attachments (stay, name, changed_us, bytes) VALUES (?1, ?2, ?3, ?4)",
                    params![stay, name, micros(at), bytes],
                )?,
                None => to.execute("DELETE FROM attachments WHERE stay = ?1 AND name = ?2", [stay, name])?,
            };
            if changed == 0 {
                return Ok(None);
            }
            to.query_row(
                "UPDATE documents SET revision = revision + 1, changed_us = ?2, verdict = NULL
                 WHERE kind = 'stay' AND id = ?1 RETURNING revision",
                params![stay, micros(at)],
                |row| row.get(0),
            )
            .map(Some)
        })
    }
}
