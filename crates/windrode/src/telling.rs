//! How the crew's words reach a watch that runs: a socket in its data directory, one line in, one answer out.
//!
//! ```text
//! acknowledge dragging\n  →  heard: dragging\n
//! ```
//!
//! The answer comes when what was said is on disk. Whoever may write to the directory may speak to the watch.

use std::fs;
use std::io::{self, BufRead, BufReader, Read, Write};
use std::os::unix::net::{UnixListener, UnixStream};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::mpsc::sync_channel;
use std::thread;
use std::time::Duration;

use crate::watchkeeper::inbox::{Inbox, Letter};

/// The socket's name in the data directory.
const SOCKET: &str = "windrode.sock";
/// The longest line that is taken.
const LONGEST_LINE: u64 = 1000;
/// Callers at a time: one that says nothing must not keep the crew from being heard.
const MOST_CALLERS: usize = 16;
/// How long a caller may take to say it.
const SAY_WITHIN: Duration = Duration::from_secs(5);
/// How long the keeper may take to answer: a commit to a slow card, and more.
const ANSWER_WITHIN: Duration = Duration::from_secs(30);

/// Who says something to the watch.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Speaker {
    /// The device, for programs: its id, or `here`.
    pub(crate) device: String,
    /// The device, for people.
    pub(crate) name: String,
}

impl Speaker {
    /// Whoever sits at the boat's own computer.
    pub(crate) fn here() -> Self {
        Self { device: HERE.to_owned(), name: HERE_NAME.to_owned() }
    }
    /// For programs.
    pub(crate) fn view(&self) -> serde_json::Value {
        serde_json::json!({ "device": self.device, "name": self.name })
    }
}

/// The boat's own computer, for programs.
pub(crate) const HERE: &str = "here";
/// The boat's own computer, for people.
pub(crate) const HERE_NAME: &str = "the boat's computer";

/// What is answered when the keeper does not.
pub(crate) const NO_ANSWER: &str = "not heard: the watch does not answer";

/// Listens in a directory, in a thread of its own.
///
/// # Errors
/// The socket cannot be made there.
pub(crate) fn listen(directory: &Path, inbox: Arc<Inbox>) -> io::Result<()> {
    let path = directory.join(SOCKET);
    if path.exists() {
        // The lock is ours, so that whoever left it is dead.
        fs::remove_file(&path)?;
    }
    let listener = UnixListener::bind(&path)?;
    thread::Builder::new().name("telling".to_owned()).spawn(move || {
        let callers = Arc::new(AtomicUsize::new(0));
        for caller in listener.incoming().flatten() {
            if MOST_CALLERS <= callers.fetch_add(1, Ordering::AcqRel) {
                callers.fetch_sub(1, Ordering::AcqRel);
                continue;
            }
            let (inbox, counted) = (Arc::clone(&inbox), Arc::clone(&callers));
            let spawned = thread::Builder::new().name("teller".to_owned()).spawn(move || {
                // A caller that goes away before its answer has been heard all the same.
                let _ = serve(&caller, &inbox);
                counted.fetch_sub(1, Ordering::AcqRel);
            });
            if spawned.is_err() {
                callers.fetch_sub(1, Ordering::AcqRel);
            }
        }
    })?;
    Ok(())
}

fn serve(caller: &UnixStream, inbox: &Inbox) -> io::Result<()> {
    caller.set_read_timeout(Some(SAY_WITHIN))?;
    caller.set_write_timeout(Some(SAY_WITHIN))?;
    let mut line = String::new();
    BufReader::new(caller.take(LONGEST_LINE)).read_line(&mut line)?;
    let answer = ask(inbox, line.trim().to_owned(), Speaker::here());
    let mut back = caller;
    writeln!(back, "{answer}")
}

/// Says a line to the keeper and waits for its answer.
pub(crate) fn ask(inbox: &Inbox, line: String, by: Speaker) -> String {
    let (answer, answered) = sync_channel(1);
    if !inbox.put(Letter::Told { line, by, answer }) {
        return NO_ANSWER.to_owned();
    }
    answered.recv_timeout(ANSWER_WITHIN).unwrap_or_else(|_| NO_ANSWER.to_owned())
}

/// Says a line to the watch of a directory and gives its answer.
///
/// # Errors
/// No watch listens there.
pub(crate) fn tell(directory: &Path, line: &str) -> io::Result<String> {
    let path: PathBuf = directory.join(SOCKET);
    let mut stream = UnixStream::connect(path)?;
    stream.set_read_timeout(Some(ANSWER_WITHIN + SAY_WITHIN))?;
    writeln!(stream, "{}", line.replace(['\r', '\n'], " "))?;
    let mut answer = String::new();
    stream.take(1_000_000).read_to_string(&mut answer)?;
    Ok(answer.trim_end().to_owned())
}

/// Hears the crew on standard input, in a thread of its own; answers go to standard error, so that they do not mix
/// with what a program reads.
///
/// # Errors
/// The system gives no more threads.
pub(crate) fn hear_standard_input(inbox: Arc<Inbox>) -> io::Result<()> {
    thread::Builder::new().name("crew".to_owned()).spawn(move || {
        let mut input = BufReader::new(io::stdin());
        loop {
            let mut line = String::new();
            match (&mut input).take(LONGEST_LINE).read_line(&mut line) {
                Ok(0) | Err(_) => return,
                Ok(_) if line.trim().is_empty() => {}
                Ok(_) => {
                    let answer = ask(&inbox, line.trim().to_owned(), Speaker::here());
                    // Whoever closed the terminal needs no answer.
                    let _ = writeln!(io::stderr(), "{answer}");
                }
            }
        }
    })?;
    Ok(())
}
