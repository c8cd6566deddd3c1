//! Messages to far ends: an HTTP POST of a JSON object, tried until it is taken.
//!
//! A message is kept in the database before it is sent and until it is taken, so that neither a dead link nor a dead
//! program loses it. It is sent at least once: a far end may see one twice, by the same `id`.

use std::collections::VecDeque;
use std::sync::Arc;
use std::sync::mpsc::{Receiver, RecvTimeoutError, SyncSender, sync_channel};
use std::thread;
use std::time::{Duration, Instant};

use crate::clock;
use crate::feed::back_off::BackOff;
use crate::store::outbox::Message;
use crate::watchkeeper::inbox::{Inbox, Letter};

/// How long a far end may take.
const LIMIT: Duration = Duration::from_secs(20);
/// Messages that wait in memory; more stand in the database, and are taken up at the next start.
const WAITING: usize = 256;
/// Attempts for one message: with waits of up to five minutes, a day.
const ATTEMPTS: u32 = 300;

/// An HTTP client with a time limit.
pub(crate) fn agent(limit: Duration) -> ureq::Agent {
    ureq::Agent::config_builder().timeout_global(Some(limit)).max_redirects(3).build().new_agent()
}

/// Posts one JSON text.
///
/// # Errors
/// Why it was not taken.
pub(crate) fn post(agent: &ureq::Agent, url: &str, body: &str) -> Result<(), String> {
    let sent = agent.post(url).header("content-type", "application/json").send(body);
    sent.map(|_| ()).map_err(|error| error.to_string())
}

/// Where messages are handed to.
#[derive(Clone, Debug)]
pub(crate) struct Webhook {
    to: SyncSender<Message>,
}

impl Webhook {
    /// Starts its thread.
    ///
    /// # Errors
    /// The system gives no more threads.
    pub(crate) fn start(inbox: Arc<Inbox>) -> std::io::Result<Self> {
        let (to, from) = sync_channel(WAITING);
        thread::Builder::new().name("webhook".to_owned()).spawn(move || work(&from, &inbox))?;
        Ok(Self { to })
    }
    /// Hands one on; it is kept already.
    pub(crate) fn post(&self, message: Message) {
        // With no room it is sent after the next start.
        let _ = self.to.try_send(message);
    }
}

struct Pending {
    message: Message,
    back_off: BackOff,
    attempts: u32,
    due: Instant,
}

/// Sends what is due, newest word first where several wait: an alarm of now is worth more than one of an hour ago.
fn work(from: &Receiver<Message>, inbox: &Inbox) {
    let agent = agent(LIMIT);
    let mut pending: VecDeque<Pending> = VecDeque::new();
    loop {
        let now = clock::stopwatch();
        let wait = pending.iter().map(|it| it.due.saturating_duration_since(now)).min();
        match from.recv_timeout(wait.unwrap_or(Duration::from_hours(1))) {
            Ok(message) if pending.len() < WAITING => {
                let back_off = BackOff::of_far_ends();
                pending.push_front(Pending { message, back_off, attempts: 0, due: now });
            }
            Ok(_) | Err(RecvTimeoutError::Timeout) => {}
            Err(RecvTimeoutError::Disconnected) => return,
        }
        let now = clock::stopwatch();
        if let Some(index) = pending.iter().position(|it| it.due <= now) {
            attempt(&agent, &mut pending, index, inbox);
        }
    }
}

fn attempt(agent: &ureq::Agent, pending: &mut VecDeque<Pending>, index: usize, inbox: &Inbox) {
    let Some(it) = pending.get_mut(index) else { return };
    it.attempts += 1;
    let id = it.message.id;
    match post(agent, &it.message.url, &it.message.body) {
        Ok(()) => {
            pending.remove(index);
            inbox.put(Letter::Posted { id, given_up: None });
        }
        Err(why) => {
            if it.attempts == 1 {
                let text =
                    format!("the far end {} was not reached: {why}; it is tried again", it.message.url);
                inbox.put(Letter::Trouble { code: "far_end_not_reached", text });
            }
            if ATTEMPTS <= it.attempts {
                pending.remove(index);
                inbox.put(Letter::Posted { id, given_up: Some(why) });
            } else {
                it.due = clock::stopwatch() + it.back_off.next_wait();
            }
        }
    }
}
