//! A beat to an address of the crew's, so that silence rings there.
//!
//! No program can ring when its own power or link is gone. So it says every minute that it lives, and until when it is
//! to be believed; the far end ([`crate::ashore`], or any other) rings by itself when that time passes. A beat is only
//! sent while the keeper turns: a heart that beat on while the watch stood still would be worse than none.

use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::thread;
use std::time::{Duration, Instant};

use serde::{Deserialize, Serialize};

use super::webhook;
use crate::clock;
use crate::watchkeeper::inbox::{Inbox, Letter};

/// From one beat to the next at most; three go out within a deadline, since a link may lose one.
const EVERY: Duration = Duration::from_mins(1);
/// A keeper that has not turned for so long is taken for dead: it turns at least once a second.
const KEEPER_DEAD: Duration = Duration::from_secs(30);
/// How long the far end may take.
const LIMIT: Duration = Duration::from_secs(15);

/// What a beat says.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub(crate) struct Beat {
    /// Of this shape: 1.
    pub(crate) version: u32,
    /// How many before it since the program started.
    pub(crate) number: u64,
    /// The boat.
    pub(crate) boat: String,
    /// The stay.
    pub(crate) stay: String,
    /// When it was sent, RFC 3339.
    pub(crate) time: String,
    /// Seconds after which silence is an alarm.
    pub(crate) deadline_s: u64,
    /// The word.
    pub(crate) verdict: String,
    /// Alarms that ring and that nobody has heard.
    pub(crate) rings: Vec<Rings>,
    /// The crew ended the watch: silence after this is no alarm.
    pub(crate) ended: bool,
}

/// An alarm that rings.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub(crate) struct Rings {
    /// Its code.
    pub(crate) alarm: String,
    /// Its name and reason, in the crew's words.
    pub(crate) text: String,
}

#[derive(Debug)]
struct Shared {
    beat: Beat,
    turned: Instant,
    at_once: bool,
    sent: u64,
    end_sent: bool,
}

/// The heart.
#[derive(Clone, Debug)]
pub(crate) struct Heartbeat {
    shared: Arc<(Mutex<Shared>, Condvar)>,
}

impl Heartbeat {
    /// Starts its thread.
    ///
    /// # Errors
    /// The system gives no more threads.
    pub(crate) fn start(url: String, first: Beat, inbox: Arc<Inbox>) -> std::io::Result<Self> {
        let shared =
            Shared { beat: first, turned: clock::stopwatch(), at_once: true, sent: 0, end_sent: false };
        let heart = Self { shared: Arc::new((Mutex::new(shared), Condvar::new())) };
        let beating = heart.clone();
        thread::Builder::new().name("heartbeat".to_owned()).spawn(move || beating.work(&url, &inbox))?;
        Ok(heart)
    }
    fn lock(&self) -> MutexGuard<'_, Shared> {
        // Plain values, valid whoever panicked.
        self.shared.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
    /// The keeper lives.
    pub(crate) fn turned(&self) {
        self.lock().turned = clock::stopwatch();
    }
    /// What the next beat says; a change of what rings is sent at once.
    pub(crate) fn say(&self, beat: Beat) {
        let mut shared = self.lock();
        let news = shared.beat.rings != beat.rings || shared.beat.ended != beat.ended;
        shared.beat = beat;
        if news {
            shared.at_once = true;
            self.shared.1.notify_all();
        }
    }
    /// Waits until the beat that ends it has gone out, or the time is up.
    pub(crate) fn last(&self, within: Duration) {
        let begun = clock::stopwatch();
        while !self.lock().end_sent && begun.elapsed() < within {
            thread::sleep(Duration::from_millis(20));
        }
    }

    fn work(&self, url: &str, inbox: &Inbox) {
        let agent = webhook::agent(LIMIT);
        let mut failing = false;
        loop {
            let Some(beat) = self.next_beat() else { continue };
            let sent = serde_json::to_string(&beat)
                .map_err(|error| error.to_string())
                .and_then(|body| webhook::post(&agent, url, &body));
            self.lock().end_sent |= sent.is_ok() && beat.ended;
            let (code, text) = match (&sent, failing) {
                (Err(why), false) => ("heartbeat_lost", format!("the heartbeat does not reach {url}: {why}")),
                (Ok(()), true) => ("heartbeat_back", format!("the heartbeat reaches {url} again")),
                _ => ("", String::new()),
            };
            if !code.is_empty() {
                inbox.put(Letter::Trouble { code, text });
            }
            failing = sent.is_err();
        }
    }

    /// Waits for the time of the next beat; nothing while the keeper is dead.
    fn next_beat(&self) -> Option<Beat> {
        let waits = |shared: &mut Shared| !shared.at_once;
        let shared = self.lock();
        let every = (Duration::from_secs(shared.beat.deadline_s) / 3).min(EVERY);
        let waited = self.shared.1.wait_timeout_while(shared, every, waits);
        let (mut shared, _) = waited.unwrap_or_else(PoisonError::into_inner);
        shared.at_once = false;
        if KEEPER_DEAD <= shared.turned.elapsed() {
            return None;
        }
        shared.sent += 1;
        let mut beat = shared.beat.clone();
        beat.number = shared.sent;
        beat.time = clock::system_time().to_string();
        Some(beat)
    }
}
