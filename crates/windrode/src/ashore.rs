//! The far end ashore: it hears the beats of boats, and rings when one is missing or tells of an alarm.
//!
//! ```text
//! POST /beat   the JSON object of [`crate::ring::heartbeat`]   →  204; 400 and why if it is none
//! ```
//!
//! Silence is judged by this computer's own running time, never by what a beat says of the hour. A boat that was never
//! heard is silence too, once the time for her first beat is over. Whoever knows the path may speak: it is the secret.

mod http;
mod hearts;

use std::io;
use std::net::{SocketAddr, TcpListener};
use std::path::Path;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::thread;
use std::time::Duration;

use serde_json::json;

use self::hearts::{Hearts, Word};
use crate::clock;
use crate::ring::command::Commands;
use crate::ring::heartbeat::Beat;
use crate::ring::sound::Sound;
use crate::ring::{Change, Told, Urgency};
use crate::watchkeeper::inbox::{Inbox, Letter};
use crate::watchkeeper::printer::{Printer, Saying};

/// Callers at a time.
const MOST_CALLERS: usize = 16;
/// Between two looks at the clock.
const LOOK: Duration = Duration::from_millis(200);

/// What the far end is started with.
#[derive(Clone, Debug)]
pub(crate) struct Ashore {
    /// The path that beats come to.
    pub(crate) path: String,
    /// How long the first beat may take; nothing if no boat is waited for.
    pub(crate) first_within: Option<Duration>,
    /// A command at each change.
    pub(crate) command: Option<String>,
    /// No sound.
    pub(crate) no_sound: bool,
    /// Events as JSON.
    pub(crate) json: bool,
}

fn lock(hearts: &Mutex<Hearts>) -> MutexGuard<'_, Hearts> {
    // Whole values only are moved in and out.
    hearts.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Listens and rings, until the system stops it.
///
/// # Errors
/// The system gives no threads, or cannot be asked to tell when it stops.
pub(crate) fn run(listener: TcpListener, it: &Ashore, directory: &Path, stop: &AtomicBool) -> io::Result<()> {
    let inbox = Arc::new(Inbox::default());
    let sound = if it.no_sound { None } else { Some(Sound::start(directory, Arc::clone(&inbox))?) };
    let commands = Commands::start(Arc::clone(&inbox))?;
    let printer = Printer::start(it.json)?;
    let hearts = Arc::new(Mutex::new(Hearts::new(it.first_within, clock::stopwatch())));
    let heard = Arc::clone(&hearts);
    let (path, address) = (it.path.clone(), listener.local_addr()?);
    thread::Builder::new().name("beats".to_owned()).spawn(move || listen(&listener, &path, &heard))?;
    crate::telling::hear_standard_input(Arc::clone(&inbox))?;
    printer.say(listening(address, &it.path));
    while !stop.load(Ordering::Acquire) {
        match inbox.take(LOOK) {
            Some(Letter::Told { line, answer, .. }) => {
                let reply = lock(&hearts).told(&line);
                // Whoever asked may have gone away.
                drop(answer.try_send(reply));
            }
            Some(Letter::Trouble { text, code }) => {
                printer.say(Saying { text: Some(text.clone()), json: event("notice", code, &text) });
            }
            _ => {}
        }
        let (words, rings) = lock(&hearts).look(clock::stopwatch());
        for word in words {
            tell(&word, it, &printer, &commands);
        }
        if let Some(sound) = &sound {
            sound.steady(rings.then_some(Urgency::Alarm));
        }
    }
    printer.close();
    Ok(())
}

fn listening(address: SocketAddr, path: &str) -> Saying {
    let text = format!("listening for beats at http://{address}{path}");
    let json = json!({
        "version": 1, "event": "listening", "time": clock::system_time().to_string(), "address": address.to_string(), "path": path
    });
    Saying { text: Some(text), json }
}

fn event(event: &str, code: &str, text: &str) -> serde_json::Value {
    json!({ "version": 1, "event": event, "time": clock::system_time().to_string(), "code": code, "text": text })
}

fn tell(word: &Word, it: &Ashore, printer: &Printer, commands: &Commands) {
    let now = clock::system_time();
    let change = if word.rings { Change::Ring } else { Change::Quiet };
    let text = format!("{now:.0} {}{}", if word.rings { "RINGS: " } else { "" }, word.text);
    printer.say(Saying { text: Some(text), json: event(change.code(), word.code, &word.text) });
    if let Some(command) = &it.command {
        let told = Told {
            change,
            at: now,
            alarm: word.code.to_owned(),
            text: word.text.clone(),
            stay: word.stay.clone(),
            boat: word.boat.clone(),
        };
        // Too many commands wait: the sound goes on, and the next change is tried again.
        let _ = commands.run(command.clone(), told);
    }
}

fn listen(listener: &TcpListener, path: &str, hearts: &Arc<Mutex<Hearts>>) {
    let callers = Arc::new(AtomicUsize::new(0));
    for caller in listener.incoming().flatten() {
        if MOST_CALLERS <= callers.load(Ordering::Acquire) {
            continue;
        }
        callers.fetch_add(1, Ordering::AcqRel);
        let (path, hearts, counted) = (path.to_owned(), Arc::clone(hearts), Arc::clone(&callers));
        let spawned = thread::Builder::new().spawn(move || {
            // A caller that is gone needs no answer.
            let _ = http::serve(&caller, &path, |body| {
                let beat: Beat = serde_json::from_str(body).map_err(|error| format!("no beat: {error}"))?;
                lock(&hearts).hear(beat, clock::stopwatch())
            });
            counted.fetch_sub(1, Ordering::AcqRel);
        });
        if spawned.is_err() {
            callers.fetch_sub(1, Ordering::AcqRel);
        }
    }
}
