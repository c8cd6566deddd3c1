//! What the crew said, who said it and what they were answered. Kept before the answer is given.

use jiff::Timestamp;
use rusqlite::{Connection, Transaction, params};

use super::{instant, micros};
use crate::telling::Speaker;
use crate::watchkeeper::keep::said::{Said, Saids, word};

/// The crew said something, and were answered.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct WordRow {
    /// When.
    pub(crate) at: Timestamp,
    /// What.
    pub(crate) line: String,
    /// The answer.
    pub(crate) answer: String,
    /// Who.
    pub(crate) by: Speaker,
    /// Codes of the alarms that it was about.
    pub(crate) about: Vec<String>,
}

pub(super) fn insert(to: &Transaction<'_>, stay: &str, row: &WordRow) -> rusqlite::Result<()> {
    to.prepare_cached(
        "INSERT INTO words (stay, at_us, line, answer, device, speaker, about)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
    )?
    .execute(params![
        stay,
        micros(row.at),
        row.line,
        row.answer,
        row.by.device,
        row.by.name,
        row.about.join(" ")
    ])?;
    Ok(())
}

/// Words that are read again when a watch is taken up, the last of them: more than a crew says in a night.
const MOST_READ: i64 = 1000;

/// The last word about each alarm of a stay.
pub(super) fn last_about(from: &Connection, stay: &str) -> rusqlite::Result<Saids> {
    let mut asked = from.prepare(
        "SELECT at_us, line, device, speaker, about FROM words
         WHERE stay = ?1 AND about <> '' ORDER BY id DESC LIMIT ?2",
    )?;
    let rows = asked.query_map(params![stay, MOST_READ], |row| {
        let (line, about): (String, String) = (row.get(1)?, row.get(4)?);
        let by = Speaker { device: row.get(2)?, name: row.get(3)? };
        Ok((about, Said { at: instant(row.get(0)?)?, word: word(&line), by }))
    })?;
    let mut last = Saids::new();
    for row in rows {
        let (about, said) = row?;
        for code in about.split(' ') {
            last.entry(code.to_owned()).or_insert_with(|| said.clone());
        }
    }
    Ok(last)
}
