//! What is told on standard output, from a thread of its own: a reader that hangs must not hold the watch up.

use std::io::{self, Write};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::mpsc::{Receiver, SyncSender, sync_channel};
use std::thread::{self, JoinHandle};
use std::time::Duration;

use serde_json::Value;

use crate::clock;
use crate::watch_json;

/// Lines that may wait for a reader.
const WAITING: usize = 1024;
/// How long the last lines may take at the end.
const END_WITHIN: Duration = Duration::from_secs(2);

/// One thing told: for people, for programs.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Saying {
    /// A line of text; nothing where people need not read it.
    pub(crate) text: Option<String>,
    /// The event.
    pub(crate) json: Value,
}

/// The printer.
#[derive(Debug)]
pub(crate) struct Printer {
    to: SyncSender<Saying>,
    left_out: Arc<AtomicU64>,
    thread: JoinHandle<()>,
}

impl Printer {
    /// Starts its thread.
    ///
    /// # Errors
    /// The system gives no more threads.
    pub(crate) fn start(json: bool) -> io::Result<Self> {
        let (to, from) = sync_channel(WAITING);
        let left_out = Arc::new(AtomicU64::new(0));
        let counted = Arc::clone(&left_out);
        let thread =
            thread::Builder::new().name("printer".to_owned()).spawn(move || print(&from, json, &counted))?;
        Ok(Self { to, left_out, thread })
    }
    /// Tells it, if there is room; what finds none is counted, and the count told.
    pub(crate) fn say(&self, saying: Saying) {
        if self.to.try_send(saying).is_err() {
            self.left_out.fetch_add(1, Ordering::AcqRel);
        }
    }
    /// Tells what waits and ends; a reader that hangs is not waited for.
    pub(crate) fn close(self) {
        drop(self.to);
        let begun = clock::stopwatch();
        while !self.thread.is_finished() && begun.elapsed() < END_WITHIN {
            thread::sleep(Duration::from_millis(10));
        }
    }
}

fn print(from: &Receiver<Saying>, json: bool, left_out: &AtomicU64) {
    while let Ok(saying) = from.recv() {
        let line = if json { Some(saying.json.to_string()) } else { saying.text };
        let missed = left_out.swap(0, Ordering::AcqRel);
        let mut out = io::stdout().lock();
        if 0 < missed {
            let text = format!("{missed} lines were left out: nobody read them");
            let notice = watch_json::notice("lines_left_out", &text, clock::system_time());
            // A reader that is gone reads neither this nor the next.
            let _ = if json { writeln!(out, "{notice}") } else { writeln!(out, "{text}") };
        }
        if let Some(line) = line {
            let _ = writeln!(out, "{line}").and_then(|()| out.flush());
        }
    }
}
