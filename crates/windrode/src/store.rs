//! What is remembered on disk: one database, written by one thread.
//!
//! What must not be lost (a word of the crew, an alarm, a verdict, a message that waits for its far end) is committed
//! before anybody is answered, rung or told; where she was goes in every ten seconds, since a memory card wears with
//! each commit. SQLite keeps what was committed through a loss of power (`synchronous=FULL`).
//!
//! A disk can be full, be read-only, or break. None of that may stop a watch: what cannot be written is kept in memory,
//! within a bound, and written when writing works again; a database that is not sound is moved aside and a new one
//! begun. Each is told to the crew in words. SQL stands in this module and nowhere else.

mod schema;
pub(crate) mod given;
pub(crate) mod remembered;
pub(crate) mod stays;
pub(crate) mod track;
pub(crate) mod observations;
mod verdicts;
pub(crate) mod alarms;
pub(crate) mod acknowledgements;
pub(crate) mod outbox;
mod troubles;
mod sources;
pub(crate) mod looking;
pub(crate) mod papers;

use std::collections::VecDeque;
use std::fs::{self, File, TryLockError};
use std::io::{Read, Seek, Write};
use std::path::{Path, PathBuf};
use std::time::Duration;

use jiff::{SignedDuration, Timestamp};
use rusqlite::{Connection, ErrorCode, Transaction};
use windrode_domain::watch::remembered::Remembered;

use self::acknowledgements::WordRow;
use self::alarms::AlarmRow;
use self::observations::Digest;
use self::outbox::Message;
use self::stays::StayRow;
use self::track::TrackRow;
use crate::watchkeeper::hearing::NewSource;
use crate::watchkeeper::keep::said::Saids;

/// The database's name in the data directory.
pub(crate) const DATABASE: &str = "windrode.db";
/// The lock's name in the data directory.
const LOCK: &str = "windrode.lock";
/// Records that wait in memory while nothing can be written: a night of alarms and words many times over.
const MOST_WAITING: usize = 2048;
/// How long after a failure writing is tried again.
const TRY_AGAIN: SignedDuration = SignedDuration::from_secs(20);
/// How long where she was may wait for its commit.
const TRACK_WAITS: SignedDuration = SignedDuration::from_secs(10);

/// One thing to be kept.
#[derive(Clone, Debug)]
pub(crate) enum Record {
    /// A stay is watched from now on.
    Stay(Box<StayRow>),
    /// Its watch is over.
    Ended(Timestamp),
    /// Where she was.
    Track(TrackRow),
    /// A minute of what an instrument said.
    Observed(Digest),
    /// A change of the word, its reasons or the alarms, as it was told.
    Verdict {
        /// When.
        at: Timestamp,
        /// The word's code.
        verdict: &'static str,
        /// The whole view as JSON.
        body: String,
    },
    /// An alarm rang, or fell still.
    Alarm(AlarmRow),
    /// The crew said something, and were answered.
    Word(WordRow),
    /// What the watch needs to be taken up again.
    Remembered(Box<Remembered>),
    /// A source was heard for the first time.
    Source(NewSource),
    /// A message for a far end.
    Post(Message),
    /// A message was taken, or given up.
    Posted {
        /// Which.
        id: i64,
        /// When.
        at: Timestamp,
        /// Why it was given up, if it was.
        given_up: Option<String>,
    },
    /// Something went wrong.
    Trouble {
        /// When.
        at: Timestamp,
        /// A word for programs.
        code: &'static str,
        /// What.
        text: String,
    },
}

impl Record {
    /// What is only worth keeping while keeping works.
    const fn is_light(&self) -> bool {
        matches!(self, Self::Track(_) | Self::Observed(_))
    }
}

/// What the crew must hear of the store.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Trouble {
    /// A word for programs.
    pub(crate) code: &'static str,
    /// What is wrong, and what that means for the watch.
    pub(crate) text: String,
}

/// Nobody else keeps watch on this directory while this lives.
#[derive(Debug)]
pub(crate) struct Lease {
    _file: Option<File>,
}

/// Somebody else keeps it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct HeldBy(pub(crate) String);

/// Takes the lock of a data directory, making it where it is missing. A directory that cannot be written to has no
/// lock to take.
///
/// # Errors
/// Who holds it.
pub(crate) fn lease(directory: &Path, who: &str) -> Result<Lease, HeldBy> {
    // A directory that cannot be made is told of when the database is opened.
    let _ = fs::create_dir_all(directory);
    let opened =
        File::options().read(true).write(true).create(true).truncate(false).open(directory.join(LOCK));
    let Ok(mut file) = opened else { return Ok(Lease { _file: None }) };
    if let Err(TryLockError::WouldBlock) = file.try_lock() {
        let mut holder = String::new();
        // Who holds it is told where it can be read; that it is held is known.
        let _ = (&mut file).take(200).read_to_string(&mut holder);
        return Err(HeldBy(holder.trim().to_owned()));
    }
    // The name in it is for people: the lock stands without it.
    let _ = file.set_len(0).and_then(|()| file.rewind()).and_then(|()| writeln!(file, "{who}"));
    Ok(Lease { _file: Some(file) })
}

/// The store.
#[derive(Debug)]
pub(crate) struct Store {
    directory: PathBuf,
    connection: Option<Connection>,
    /// What can still be read of a database that cannot be written.
    readable: Option<Connection>,
    /// The stay watched, to begin a new database with.
    stay: Option<StayRow>,
    waiting: VecDeque<Record>,
    /// Records that found no room in memory.
    dropped: u64,
    light: Vec<Record>,
    light_since: Option<Timestamp>,
    failed_at: Option<Timestamp>,
    next_message: i64,
}

impl Store {
    /// Opens the database of a directory, making both where they are missing; what is wrong is told, and a store that
    /// keeps in memory is given all the same.
    pub(crate) fn open(directory: &Path, now: Timestamp) -> (Self, Vec<Trouble>) {
        let mut store = Self {
            directory: directory.to_owned(),
            connection: None,
            readable: None,
            stay: None,
            waiting: VecDeque::new(),
            dropped: 0,
            light: Vec::new(),
            light_since: None,
            failed_at: None,
            next_message: 1,
        };
        let mut troubles = Vec::new();
        if let Err(error) = fs::create_dir_all(directory) {
            troubles.push(cannot_keep(&format!("{} cannot be made: {error}", directory.display())));
            store.failed_at = Some(now);
            return (store, troubles);
        }
        store.connect(now, &mut troubles);
        (store, troubles)
    }

    fn connect(&mut self, now: Timestamp, troubles: &mut Vec<Trouble>) {
        let path = self.directory.join(DATABASE);
        let opened = match schema::open(&path) {
            Err(error) if is_unsound(&error) => {
                let (opened, told) = self.begin_anew(&path, now, &error);
                troubles.push(told);
                opened
            }
            opened => opened,
        };
        match opened.and_then(|mut connection| {
            self.next_message = self.next_message.max(outbox::next_id(&connection)?);
            track::thin(&mut connection, now)?;
            Ok(connection)
        }) {
            Ok(connection) => {
                self.connection = Some(connection);
                self.readable = None;
                self.failed_at = None;
            }
            Err(error) => {
                self.readable = schema::open_to_read(&path);
                self.failed_at = Some(now);
                troubles.push(cannot_keep(&error.to_string()));
            }
        }
    }

    /// Moves a database that is not sound aside and begins a new one with what can still be read of the stay.
    fn begin_anew(
        &mut self,
        path: &Path,
        now: Timestamp,
        why: &rusqlite::Error,
    ) -> (rusqlite::Result<Connection>, Trouble) {
        let saved = Connection::open(path).ok().and_then(|old| stays::armed(&old).ok().flatten());
        if let (None, Some(armed)) = (&self.stay, &saved) {
            self.stay = Some(armed.row.clone());
        }
        let aside = format!("{DATABASE}.unsound-{}", now.as_second());
        let mut moved = Ok(());
        for ending in ["", "-wal", "-shm"] {
            let from = self.directory.join(format!("{DATABASE}{ending}"));
            if from.exists() {
                moved = moved.and(fs::rename(&from, self.directory.join(format!("{aside}{ending}"))));
            }
        }
        let text = match moved {
            Ok(()) => format!(
                "the record on disk is not sound ({why}): it was moved aside to {aside}, a new one begins"
            ),
            Err(error) => {
                format!("the record on disk is not sound ({why}) and cannot be moved aside: {error}")
            }
        };
        let opened = schema::open(path).and_then(|mut connection| {
            let remembered =
                saved.and_then(|armed| armed.remembered).map(|it| Record::Remembered(Box::new(it)));
            let stay = self.stay.clone().map(|stay| Record::Stay(Box::new(stay)));
            let records: Vec<Record> = stay.into_iter().chain(remembered).collect();
            commit(&mut connection, self.stay.as_ref(), records.iter())?;
            Ok(connection)
        });
        (opened, Trouble { code: "record_unsound", text })
    }

    fn reading(&self) -> Option<&Connection> {
        self.connection.as_ref().or(self.readable.as_ref())
    }

    /// The stay that is being watched, as it was left.
    pub(crate) fn armed(&mut self) -> Option<stays::Armed> {
        let armed = self.reading().and_then(|connection| stays::armed(connection).ok().flatten());
        self.stay = armed.as_ref().map(|armed| armed.row.clone()).or(self.stay.take());
        armed
    }

    /// A stay by its name in the database, whether watched or over.
    pub(crate) fn stay(&self, id: &str) -> Option<StayRow> {
        stays::by_id(self.reading()?, id).ok().flatten()
    }

    /// The crew's last word about each alarm of a stay.
    pub(crate) fn said(&self, id: &str) -> Saids {
        self.reading().and_then(|from| acknowledgements::last_about(from, id).ok()).unwrap_or_default()
    }

    /// Names of the stays, newest first.
    pub(crate) fn stay_ids(&self) -> Vec<String> {
        self.reading().and_then(|connection| stays::ids(connection).ok()).unwrap_or_default()
    }

    /// Messages that no far end has taken yet.
    pub(crate) fn unposted(&self) -> Vec<Message> {
        self.reading().and_then(|connection| outbox::waiting(connection).ok()).unwrap_or_default()
    }

    /// Sources and their numbers.
    pub(crate) fn sources(&self) -> Vec<NewSource> {
        self.reading().and_then(|connection| sources::all(connection).ok()).unwrap_or_default()
    }

    /// A number for a new message.
    pub(crate) const fn new_message_id(&mut self) -> i64 {
        let id = self.next_message;
        self.next_message += 1;
        id
    }

    /// Whether all that was given is on disk.
    pub(crate) fn is_whole(&self) -> bool {
        self.connection.is_some() && self.waiting.is_empty() && self.failed_at.is_none()
    }

    /// Keeps what can wait a few seconds.
    pub(crate) fn later(&mut self, record: Record, now: Timestamp) {
        self.light_since.get_or_insert(now);
        if self.light.len() < MOST_WAITING {
            self.light.push(record);
        }
    }

    /// When what waits wants to be written.
    pub(crate) fn due(&self) -> Option<Timestamp> {
        let light = self.light_since.and_then(|since| since.checked_add(TRACK_WAITS).ok());
        let again = self.failed_at.and_then(|failed| failed.checked_add(TRY_AGAIN).ok());
        match (again, light) {
            (Some(again), _) => Some(again),
            (None, light) => light,
        }
    }

    /// Writes what waits, if it is time to.
    pub(crate) fn flush(&mut self, now: Timestamp) -> Vec<Trouble> {
        if self.due().is_some_and(|due| due <= now) { self.keep(Vec::new(), now) } else { Vec::new() }
    }

    /// Commits records, in order and all together. What cannot be written waits in memory, and is told.
    pub(crate) fn keep(&mut self, records: Vec<Record>, now: Timestamp) -> Vec<Trouble> {
        for record in &records {
            if let Record::Stay(row) = record {
                self.stay = Some((**row).clone());
            }
        }
        let mut troubles = Vec::new();
        let light = std::mem::take(&mut self.light);
        self.light_since = None;
        self.waiting.extend(light);
        if records.iter().any(|record| matches!(record, Record::Remembered(_))) {
            // Only the last memory counts.
            self.waiting.retain(|record| !matches!(record, Record::Remembered(_)));
        }
        self.waiting.extend(records);
        let resting = self.failed_at.is_some_and(|failed| now.duration_since(failed) < TRY_AGAIN);
        if !resting {
            self.write_waiting(now, &mut troubles);
        }
        self.bound_waiting();
        troubles
    }

    fn write_waiting(&mut self, now: Timestamp, troubles: &mut Vec<Trouble>) {
        let failed_before = self.failed_at.is_some();
        let mut told = Vec::new();
        if self.connection.is_none() {
            self.connect(now, &mut told);
        }
        let Some(connection) = &mut self.connection else {
            if !failed_before {
                troubles.append(&mut told);
            }
            return;
        };
        troubles.append(&mut told);
        match commit(connection, self.stay.as_ref(), self.waiting.iter()) {
            Ok(()) => {
                self.waiting.clear();
                self.failed_at = None;
                if failed_before {
                    let lost = self.dropped;
                    self.dropped = 0;
                    let text = format!("the record on disk is kept again; {lost} lines of it found no room");
                    troubles.push(Trouble { code: "record_kept_again", text });
                }
            }
            Err(error) => {
                self.failed_at = Some(now);
                // What may be broken is opened anew, and looked over, at the next attempt.
                self.connection = None;
                if !failed_before {
                    troubles.push(cannot_keep(&error.to_string()));
                }
                if is_unsound(&error) {
                    self.connect(now, troubles);
                }
            }
        }
    }

    /// Lets go of what is worth least, so that a disk that stays full does not fill the memory too.
    fn bound_waiting(&mut self) {
        if self.waiting.len() <= MOST_WAITING {
            return;
        }
        let before = self.waiting.len();
        self.waiting.retain(|record| !record.is_light());
        while MOST_WAITING < self.waiting.len() {
            self.waiting.pop_front();
        }
        self.dropped += (before - self.waiting.len()) as u64;
    }

    /// Gives up what is kept in a bound too small for the test's sake: the disk is full.
    #[cfg(test)]
    fn fill_the_disk(&self) {
        let connection = self.connection.as_ref().expect("an open store");
        let pages: i64 =
            connection.pragma_query_value(None, "page_count", |row| row.get(0)).expect("a count");
        connection.pragma_update_and_check(None, "max_page_count", pages, |_| Ok(())).expect("a bound");
    }
}

fn commit<'a>(
    connection: &mut Connection,
    stay: Option<&StayRow>,
    records: impl Iterator<Item = &'a Record>,
) -> rusqlite::Result<()> {
    let transaction = connection.transaction()?;
    for record in records {
        insert(&transaction, stay.map_or("", |stay| &stay.id), record)?;
    }
    transaction.commit()
}

fn insert(to: &Transaction<'_>, stay: &str, record: &Record) -> rusqlite::Result<()> {
    match record {
        Record::Stay(row) => stays::insert(to, row),
        Record::Ended(at) => stays::end(to, stay, *at),
        Record::Track(row) => track::insert(to, stay, row),
        Record::Observed(digest) => observations::insert(to, stay, digest),
        Record::Verdict { at, verdict, body } => verdicts::insert(to, stay, *at, verdict, body),
        Record::Alarm(row) => alarms::insert(to, stay, row),
        Record::Word(row) => acknowledgements::insert(to, stay, row),
        Record::Remembered(it) => stays::remember(to, stay, it),
        Record::Source(source) => sources::insert(to, source),
        Record::Post(message) => outbox::insert(to, message),
        Record::Posted { id, at, given_up } => outbox::posted(to, *id, *at, given_up.as_deref()),
        Record::Trouble { at, code, text } => troubles::insert(to, stay, *at, code, text),
    }
}

/// The file is not a sound database, so that writing on in it would lose what comes.
fn is_unsound(error: &rusqlite::Error) -> bool {
    matches!(error.sqlite_error_code(), Some(ErrorCode::DatabaseCorrupt | ErrorCode::NotADatabase))
}

fn cannot_keep(why: &str) -> Trouble {
    let text = format!(
        "nothing can be recorded on disk ({why}): the watch goes on and rings from memory, \
         and what it knows is lost if the computer stops"
    );
    Trouble { code: "record_not_kept", text }
}

/// Microseconds since 1970 in UTC, as every table has its times.
fn micros(at: Timestamp) -> i64 {
    at.as_microsecond()
}

/// A time out of a table.
fn instant(micros: i64) -> rusqlite::Result<Timestamp> {
    Timestamp::from_microsecond(micros).map_err(|_| rusqlite::Error::IntegralValueOutOfRange(0, micros))
}

/// How long another program that reads the database may hold a commit up.
const BUSY: Duration = Duration::from_secs(5);

#[cfg(test)]
mod tests;
