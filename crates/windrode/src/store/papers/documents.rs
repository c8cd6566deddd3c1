//! Vessels and stays: their text, and what a list shows of them.

use jiff::Timestamp;
use rusqlite::{Connection, OptionalExtension, Row, params};

use super::{Papers, instant, micros};

/// What a document is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(crate) enum Kind {
    /// A vessel.
    Vessel,
    /// A stay.
    Stay,
}

impl Kind {
    /// Its word for programs.
    pub(crate) const fn word(self) -> &'static str {
        match self {
            Self::Vessel => "vessel",
            Self::Stay => "stay",
        }
    }
}

/// What a list shows of a document.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Line {
    /// Its name among programs.
    pub(crate) id: String,
    /// Its name among people.
    pub(crate) name: String,
    /// How often it was written; what names an older one is refused.
    pub(crate) revision: i64,
    /// When it was written.
    pub(crate) changed: Timestamp,
    /// Of a stay: the vessel that it names.
    pub(crate) vessel: Option<String>,
    /// Of a stay: from when to when.
    pub(crate) span: Option<(Timestamp, Timestamp)>,
    /// Of a stay: the word of its last sheet.
    pub(crate) verdict: Option<String>,
}

/// A document.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Document {
    /// What a list shows of it.
    pub(crate) line: Line,
    /// As it was written.
    pub(crate) text: String,
}

/// Why a document was not written over or removed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum NotReplaced {
    /// There is none of that name.
    Missing,
    /// It has been changed meanwhile: this is its revision.
    Changed(i64),
    /// These stays name it.
    Named(Vec<String>),
}

const COLUMNS: &str = "id, name, revision, changed_us, vessel, from_us, to_us, verdict";

fn line(row: &Row<'_>) -> rusqlite::Result<Line> {
    let (from, to): (Option<i64>, Option<i64>) = (row.get(5)?, row.get(6)?);
    Ok(Line {
        id: row.get(0)?,
        name: row.get(1)?,
        revision: row.get(2)?,
        changed: instant(row.get(3)?)?,
        vessel: row.get(4)?,
        span: match from.zip(to) {
            Some((from, to)) => Some((instant(from)?, instant(to)?)),
            None => None,
        },
        verdict: row.get(7)?,
    })
}

fn revision(of: &Connection, kind: Kind, id: &str) -> rusqlite::Result<Option<i64>> {
    let query = "SELECT revision FROM documents WHERE kind = ?1 AND id = ?2";
    of.query_row(query, params![kind.word(), id], |row| row.get(0)).optional()
}

fn put(to: &Connection, kind: Kind, document: &Document) -> rusqlite::Result<()> {
    let Line { id, name, revision, changed, vessel, span, verdict } = &document.line;
    to.execute(
        "INSERT OR REPLACE INTO documents
             (kind, id, name, revision, changed_us, text, vessel, from_us, to_us, verdict)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10)",
        params![
            kind.word(),
            id,
            name,
            revision,
            micros(*changed),
            document.text,
            vessel,
            span.map(|(from, _)| micros(from)),
            span.map(|(_, to)| micros(to)),
            verdict
        ],
    )?;
    Ok(())
}

impl Papers {
    /// All of a kind, that changed last first.
    pub(crate) fn lines(&self, kind: Kind) -> rusqlite::Result<Vec<Line>> {
        self.reading(|from| {
            let query =
                format!("SELECT {COLUMNS} FROM documents WHERE kind = ?1 ORDER BY changed_us DESC, id");
            from.prepare(&query)?.query_map([kind.word()], line)?.collect()
        })
    }

    /// One.
    pub(crate) fn document(&self, kind: Kind, id: &str) -> rusqlite::Result<Option<Document>> {
        self.reading(|from| {
            let query = format!("SELECT {COLUMNS}, text FROM documents WHERE kind = ?1 AND id = ?2");
            from.query_row(&query, params![kind.word(), id], |row| {
                Ok(Document { line: line(row)?, text: row.get(8)? })
            })
            .optional()
        })
    }

    /// Writes a new one under the first free name that begins so; its name.
    pub(crate) fn insert(&self, kind: Kind, mut document: Document) -> rusqlite::Result<Line> {
        self.writing(|to| {
            let taken: Vec<String> = to
                .prepare("SELECT id FROM documents WHERE kind = ?1")?
                .query_map([kind.word()], |row| row.get(0))?
                .collect::<rusqlite::Result<_>>()?;
            document.line.id = crate::arming::free_id(&document.line.id, &taken);
            document.line.revision = 1;
            put(to, kind, &document)?;
            Ok(document.line)
        })
    }

    /// Writes one over, if it still has the revision that the writer saw.
    pub(crate) fn replace(
        &self,
        kind: Kind,
        mut document: Document,
    ) -> rusqlite::Result<Result<Line, NotReplaced>> {
        self.writing(|to| {
            Ok(match revision(to, kind, &document.line.id)? {
                None => Err(NotReplaced::Missing),
                Some(last) if last != document.line.revision => Err(NotReplaced::Changed(last)),
                Some(last) => {
                    document.line.revision = last + 1;
                    put(to, kind, &document)?;
                    Ok(document.line)
                }
            })
        })
    }

    /// Removes one with all that is attached to it; a vessel that a stay names stays.
    pub(crate) fn remove(&self, kind: Kind, id: &str) -> rusqlite::Result<Result<(), NotReplaced>> {
        self.writing(|to| {
            let named: Vec<String> = match kind {
                Kind::Stay => Vec::new(),
                Kind::Vessel => to
                    .prepare("SELECT id FROM documents WHERE kind = 'stay' AND vessel = ?1 ORDER BY id")?
                    .query_map([id], |row| row.get(0))?
                    .collect::<rusqlite::Result<_>>()?,
            };
            if !named.is_empty() {
                return Ok(Err(NotReplaced::Named(named)));
            }
            let removed =
                to.execute("DELETE FROM documents WHERE kind = ?1 AND id = ?2", params![kind.word(), id])?;
            if kind == Kind::Stay {
                to.execute("DELETE FROM attachments WHERE stay = ?1", [id])?;
            }
            Ok(if removed == 0 { Err(NotReplaced::Missing) } else { Ok(()) })
        })
    }

    /// Keeps the word of a stay's sheet, if the stay is still what it was planned from.
    pub(crate) fn judged(&self, id: &str, revision: i64, verdict: &str) -> rusqlite::Result<()> {
        self.writing(|to| {
            to.execute(
                "UPDATE documents SET verdict = ?3 WHERE kind = 'stay' AND id = ?1 AND revision = ?2",
                params![id, revision, verdict],
            )
            .map(drop)
        })
    }
}
