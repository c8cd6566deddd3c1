//! The papers: vessels and stays as the crew wrote them, what is attached to them, and the devices that may see them.
//!
//! They stand in a database of their own. SQLite has one writer a database, and a forecast of twenty megabytes on its
//! way to a memory card must not keep an alarm from its own: so the watch's record never waits for a document.
//! Whoever reads opens the database to read; whoever writes waits for whoever writes.

mod attachments;
mod devices;
mod documents;

use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

use rusqlite::{Connection, OpenFlags, ffi};

pub(crate) use self::devices::{Device, Role};
pub(crate) use self::documents::{Document, Kind, Line, NotReplaced};
use super::{BUSY, instant, micros};

/// The database's name in the data directory.
const DATABASE: &str = "papers.db";
/// "Wndp" in ASCII: a file of another program is not taken for ours.
const APPLICATION_ID: i32 = 0x576e_6470;

/// Steps from an empty database to today's. One that has been released is never changed: the next is added.
const MIGRATIONS: &[&str] = &["
    CREATE TABLE documents (
        kind TEXT NOT NULL, id TEXT NOT NULL, name TEXT NOT NULL, revision INTEGER NOT NULL,
        changed_us INTEGER NOT NULL, text TEXT NOT NULL, vessel TEXT, from_us INTEGER, to_us INTEGER, verdict TEXT,
        PRIMARY KEY (kind, id)
    ) STRICT;
    CREATE TABLE attachments (
        stay TEXT NOT NULL, name TEXT NOT NULL, changed_us INTEGER NOT NULL, bytes BLOB NOT NULL,
        PRIMARY KEY (stay, name)
    ) STRICT;
    CREATE TABLE devices (
        id TEXT PRIMARY KEY, name TEXT NOT NULL, role TEXT NOT NULL, secret BLOB NOT NULL UNIQUE,
        paired_us INTEGER NOT NULL
    ) STRICT;
    CREATE TABLE kept (name TEXT PRIMARY KEY, value TEXT NOT NULL) STRICT;
"];

/// The papers.
#[derive(Debug)]
pub(crate) struct Papers {
    path: PathBuf,
    writer: Mutex<Connection>,
}

impl Papers {
    /// Opens them in a data directory, and makes them where there are none.
    ///
    /// # Errors
    /// They cannot be opened or written, or are another program's, or a newer one's.
    pub(crate) fn open(directory: &Path) -> rusqlite::Result<Self> {
        let path = directory.join(DATABASE);
        let mut writer = Connection::open(&path)?;
        writer.busy_timeout(BUSY)?;
        writer.pragma_update_and_check(None, "journal_mode", "WAL", |_| Ok(()))?;
        for (name, value) in [("synchronous", "FULL"), ("temp_store", "MEMORY"), ("trusted_schema", "OFF")] {
            writer.pragma_update(None, name, value)?;
        }
        migrate(&mut writer)?;
        Ok(Self { path, writer: Mutex::new(writer) })
    }

    fn reading<T>(&self, read: impl FnOnce(&Connection) -> rusqlite::Result<T>) -> rusqlite::Result<T> {
        let connection = Connection::open_with_flags(&self.path, OpenFlags::SQLITE_OPEN_READ_ONLY)?;
        connection.busy_timeout(BUSY)?;
        read(&connection)
    }

    /// All or nothing.
    fn writing<T>(&self, write: impl FnOnce(&Connection) -> rusqlite::Result<T>) -> rusqlite::Result<T> {
        // Whoever panicked while writing left a transaction that was rolled back.
        let mut writer = self.writer.lock().unwrap_or_else(PoisonError::into_inner);
        let transaction = writer.transaction()?;
        let written = write(&transaction)?;
        transaction.commit()?;
        Ok(written)
    }

    /// A word that is kept by its name.
    pub(crate) fn kept(&self, name: &str) -> rusqlite::Result<Option<String>> {
        use rusqlite::OptionalExtension;
        self.reading(|from| {
            from.query_row("SELECT value FROM kept WHERE name = ?1", [name], |row| row.get(0)).optional()
        })
    }

    /// Keeps a word by its name.
    pub(crate) fn keep(&self, name: &str, value: &str) -> rusqlite::Result<()> {
        self.writing(|to| {
            to.execute("INSERT OR REPLACE INTO kept (name, value) VALUES (?1, ?2)", [name, value]).map(drop)
        })
    }
}

fn migrate(connection: &mut Connection) -> rusqlite::Result<()> {
    let refused = |text: &str| {
        Err(rusqlite::Error::SqliteFailure(ffi::Error::new(ffi::SQLITE_CANTOPEN), Some(text.to_owned())))
    };
    let version: usize = connection
        .pragma_query_value(None, "user_version", |row| row.get::<_, i64>(0))
        .map(|it| usize::try_from(it).unwrap_or(usize::MAX))?;
    let owner: i32 = connection.pragma_query_value(None, "application_id", |row| row.get(0))?;
    if version != 0 && owner != APPLICATION_ID {
        return refused("the papers are another program's database");
    }
    let Some(steps) = MIGRATIONS.get(version..) else {
        return refused("the papers were written by a newer program");
    };
    for (index, step) in steps.iter().enumerate() {
        let transaction = connection.transaction()?;
        transaction.execute_batch(step)?;
        transaction.pragma_update(
            None,
            "user_version",
            i64::try_from(version + index + 1).unwrap_or(i64::MAX),
        )?;
        transaction.pragma_update(None, "application_id", APPLICATION_ID)?;
        transaction.commit()?;
    }
    Ok(())
}

#[cfg(test)]
mod tests;
