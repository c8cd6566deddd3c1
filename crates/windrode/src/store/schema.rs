//! The tables, as a list of steps from nothing that only grows, and the opening of a database.

use std::path::Path;

use rusqlite::{Connection, OpenFlags, ffi};

use super::BUSY;

/// "Wndr" in ASCII: a file of another program is not taken for ours.
const APPLICATION_ID: i32 = 0x576e_6472;

/// Steps from an empty database to today's. One that has been released is never changed: the next is added.
///
/// Times are microseconds since 1970 in UTC (`_us`); lengths metres, speeds metres a second, bearings true degrees.
const MIGRATIONS: &[&str] = &["
    CREATE TABLE stays (
        id TEXT PRIMARY KEY, name TEXT NOT NULL, boat TEXT NOT NULL, taken_us INTEGER NOT NULL, ended_us INTEGER,
        zone TEXT, stay_text TEXT, vessel_text TEXT, given TEXT NOT NULL,
        remembered_us INTEGER, remembered TEXT
    ) STRICT;
    CREATE TABLE track (
        id INTEGER PRIMARY KEY, stay TEXT NOT NULL, at_us INTEGER NOT NULL,
        latitude_deg REAL NOT NULL, longitude_deg REAL NOT NULL, at_bow INTEGER NOT NULL,
        heading_deg REAL, wind_ms REAL, wind_from_deg REAL, depth_m REAL
    ) STRICT;
    CREATE INDEX track_by_time ON track (stay, at_us);
    CREATE TABLE observations (
        id INTEGER PRIMARY KEY, stay TEXT NOT NULL, minute_us INTEGER NOT NULL, source INTEGER NOT NULL,
        kind TEXT NOT NULL, count INTEGER NOT NULL, least REAL NOT NULL, mean REAL NOT NULL, greatest REAL NOT NULL
    ) STRICT;
    CREATE INDEX observations_by_time ON observations (stay, minute_us);
    CREATE TABLE verdicts (
        id INTEGER PRIMARY KEY, stay TEXT NOT NULL, at_us INTEGER NOT NULL, verdict TEXT NOT NULL, body TEXT NOT NULL
    ) STRICT;
    CREATE TABLE alarms (
        id INTEGER PRIMARY KEY, stay TEXT NOT NULL, at_us INTEGER NOT NULL, alarm TEXT NOT NULL,
        what TEXT NOT NULL, text TEXT NOT NULL
    ) STRICT;
    CREATE TABLE words (
        id INTEGER PRIMARY KEY, stay TEXT NOT NULL, at_us INTEGER NOT NULL, line TEXT NOT NULL, answer TEXT NOT NULL
    ) STRICT;
    CREATE TABLE outbox (
        id INTEGER PRIMARY KEY, made_us INTEGER NOT NULL, url TEXT NOT NULL, body TEXT NOT NULL,
        done_us INTEGER, given_up TEXT
    ) STRICT;
    CREATE TABLE sources (number INTEGER PRIMARY KEY, feed TEXT NOT NULL, name TEXT NOT NULL) STRICT;
    CREATE TABLE troubles (
        id INTEGER PRIMARY KEY, stay TEXT NOT NULL, at_us INTEGER NOT NULL, code TEXT NOT NULL, text TEXT NOT NULL
    ) STRICT;
", "
    ALTER TABLE words ADD COLUMN device TEXT NOT NULL DEFAULT '';
    ALTER TABLE words ADD COLUMN speaker TEXT NOT NULL DEFAULT 'somebody';
    ALTER TABLE words ADD COLUMN about TEXT NOT NULL DEFAULT '';
"];

/// Opens a database, looks it over and brings it up to date.
///
/// # Errors
/// It cannot be opened or written; it is not sound; it is another program's, or a newer one's.
pub(super) fn open(path: &Path) -> rusqlite::Result<Connection> {
    let mut connection = Connection::open(path)?;
    connection.busy_timeout(BUSY)?;
    // The answer to journal_mode is the mode; a file system that cannot do WAL says so and goes on without.
    connection.pragma_update_and_check(None, "journal_mode", "WAL", |_| Ok(()))?;
    for (name, value) in
        [("synchronous", "FULL"), ("foreign_keys", "ON"), ("temp_store", "MEMORY"), ("trusted_schema", "OFF")]
    {
        connection.pragma_update(None, name, value)?;
    }
    connection.pragma_update_and_check(None, "wal_autocheckpoint", 1000, |_| Ok(()))?;
    let sound: String = connection.query_row("PRAGMA quick_check(1)", [], |row| row.get(0))?;
    if sound != "ok" {
        return Err(refusal(ffi::SQLITE_CORRUPT, sound));
    }
    migrate(&mut connection)?;
    Ok(connection)
}

/// What can be read of a database that cannot be written: a card that the system has made read-only, a disk that is
/// full. Where even the log beside it cannot be read, what was committed before that log is better than nothing.
pub(super) fn open_to_read(path: &Path) -> Option<Connection> {
    let flags = OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_URI;
    let name = path.display().to_string().replace('%', "%25").replace('?', "%3f").replace('#', "%23");
    let ways = [format!("file:{name}?mode=ro"), format!("file:{name}?immutable=1")];
    ways.iter().find_map(|uri| {
        let connection = Connection::open_with_flags(uri, flags).ok()?;
        connection.query_row("SELECT count(*) FROM stays", [], |row| row.get::<_, i64>(0)).ok()?;
        Some(connection)
    })
}

fn refusal(code: i32, why: String) -> rusqlite::Error {
    rusqlite::Error::SqliteFailure(ffi::Error::new(code), Some(why))
}

fn migrate(connection: &mut Connection) -> rusqlite::Result<()> {
    let version: usize = connection
        .pragma_query_value(None, "user_version", |row| row.get::<_, i64>(0))
        .map(|it| usize::try_from(it).unwrap_or(usize::MAX))?;
    let owner: i32 = connection.pragma_query_value(None, "application_id", |row| row.get(0))?;
    if version != 0 && owner != APPLICATION_ID {
        return Err(refusal(ffi::SQLITE_CANTOPEN, "the file is another program's database".to_owned()));
    }
    let Some(steps) = MIGRATIONS.get(version..) else {
        let text = format!(
            "the database is of version {version}, a newer program's (this one knows {})",
            MIGRATIONS.len()
        );
        return Err(refusal(ffi::SQLITE_CANTOPEN, text));
    };
    for (index, step) in steps.iter().enumerate() {
        let transaction = connection.transaction()?;
        transaction.execute_batch(step)?;
        let reached = i64::try_from(version + index + 1).unwrap_or(i64::MAX);
        transaction.pragma_update(None, "user_version", reached)?;
        transaction.pragma_update(None, "application_id", APPLICATION_ID)?;
        transaction.commit()?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_old_schema_is_brought_up_to_date() {
        for known in 0..=MIGRATIONS.len() {
            let mut connection = Connection::open_in_memory().expect("memory");
            for step in &MIGRATIONS[..known] {
                connection.execute_batch(step).expect("a step");
            }
            connection.pragma_update(None, "user_version", i64::try_from(known).unwrap()).expect("a version");
            connection.pragma_update(None, "application_id", APPLICATION_ID).expect("an owner");
            migrate(&mut connection).expect("brought up to date");
            let tables: i64 = connection
                .query_row("SELECT count(*) FROM sqlite_schema WHERE type = 'table'", [], |row| row.get(0))
                .expect("a count");
            assert_eq!(tables, 9);
        }
    }

    #[test]
    fn a_newer_programs_database_is_left_alone() {
        let mut connection = Connection::open_in_memory().expect("memory");
        connection.pragma_update(None, "user_version", 1000).expect("a version");
        connection.pragma_update(None, "application_id", APPLICATION_ID).expect("an owner");
        assert!(migrate(&mut connection).unwrap_err().to_string().contains("newer"));
    }

    #[test]
    fn every_table_is_strict() {
        for step in MIGRATIONS {
            assert_eq!(step.matches("CREATE TABLE").count(), step.matches(") STRICT").count());
        }
    }
}
