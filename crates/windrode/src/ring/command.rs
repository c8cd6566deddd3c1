//! A command of the crew's choice: a relay for a horn, a message by radio.
//!
//! It is run by the system's shell with the alarm in its environment: `WINDRODE_CHANGE` (ring, quiet, escalate),
//! `WINDRODE_ALARM`, `WINDRODE_TEXT`, `WINDRODE_STAY`, `WINDRODE_BOAT`, `WINDRODE_TIME`. It runs beside the watch,
//! one at a time, and is ended after a minute.

use std::process::{Child, Command, Stdio};
use std::sync::Arc;
use std::sync::mpsc::{Receiver, SyncSender, sync_channel};
use std::thread;
use std::time::Duration;

use super::Told;
use crate::clock;
use crate::watchkeeper::inbox::{Inbox, Letter};

/// How long a command may run.
const LIMIT: Duration = Duration::from_mins(1);
/// Commands that may wait for one that runs.
const WAITING: usize = 32;
/// How often a command is looked at.
const LOOK: Duration = Duration::from_millis(50);

/// Where commands are handed to.
#[derive(Clone, Debug)]
pub(crate) struct Commands {
    to: SyncSender<(String, Told)>,
}

impl Commands {
    /// Starts its thread.
    ///
    /// # Errors
    /// The system gives no more threads.
    pub(crate) fn start(inbox: Arc<Inbox>) -> std::io::Result<Self> {
        let (to, from) = sync_channel(WAITING);
        thread::Builder::new().name("commands".to_owned()).spawn(move || work(&from, &inbox))?;
        Ok(Self { to })
    }
    /// Hands one on; `false` when too many wait.
    pub(crate) fn run(&self, command: String, told: Told) -> bool {
        self.to.try_send((command, told)).is_ok()
    }
}

fn work(from: &Receiver<(String, Told)>, inbox: &Inbox) {
    while let Ok((command, told)) = from.recv() {
        if let Err(why) = run(&command, &told) {
            let text = format!("the command \"{command}\" {why}");
            inbox.put(Letter::Trouble { code: "command_failed", text });
        }
    }
}

fn run(command: &str, told: &Told) -> Result<(), String> {
    let spawned = Command::new("sh")
        .args(["-c", command])
        .env("WINDRODE_CHANGE", told.change.code())
        .env("WINDRODE_ALARM", &told.alarm)
        .env("WINDRODE_TEXT", &told.text)
        .env("WINDRODE_STAY", &told.stay)
        .env("WINDRODE_BOAT", &told.boat)
        .env("WINDRODE_TIME", told.at.to_string())
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn();
    attend(spawned.map_err(|error| format!("cannot be started: {error}"))?)
}

fn attend(mut child: Child) -> Result<(), String> {
    let begun = clock::stopwatch();
    while begun.elapsed() < LIMIT {
        match child.try_wait() {
            Ok(Some(status)) if status.success() => return Ok(()),
            Ok(Some(status)) => return Err(format!("failed: {status}")),
            Ok(None) => thread::sleep(LOOK),
            Err(error) => return Err(format!("is lost: {error}")),
        }
    }
    // A command that is gone already cannot be ended, and need not be.
    let _ = child.kill().and_then(|()| child.wait().map(|_| ()));
    Err(format!("was ended after {} s", LIMIT.as_secs()))
}
