//! The keeper while no watch is kept: it hears the instruments and shows what they say, and judges nothing.

use std::sync::Arc;
use std::sync::mpsc::SyncSender;
use std::time::Duration;

use jiff::Timestamp;
use serde_json::json;

use super::hearing::{FeedChange, Hearing, Heeded};
use super::inbox::{Inbox, Letter, Taking};
use super::printer::{Printer, Saying};
use crate::clock::Clock;
use crate::crew_words::{self, CrewWord};
use crate::hub::{Hub, Pace, Shown};
use crate::store::{Record, Store};
use crate::supervisor::Supervisor;
use crate::watch_json;

/// The longest that it waits: it shows that it lives at least so often.
const TURN: Duration = Duration::from_secs(1);
/// What is answered to whoever speaks to a watch that is not kept.
const NONE_KEPT: &str = "not heard: no watch is kept";

/// What ends it.
#[derive(Debug)]
pub(crate) enum Relieved {
    /// The system wants the program to stop.
    Stopped,
    /// A watch is taken; the answer is awaited.
    Taken(Box<Taking>),
}

/// The look-out.
#[derive(Debug)]
pub(crate) struct Lookout {
    /// The record, of what far ends took since.
    pub(crate) store: Store,
    /// The ear.
    pub(crate) hearing: Hearing,
    /// Where everything arrives.
    pub(crate) inbox: Arc<Inbox>,
    /// The time.
    pub(crate) clock: Arc<Clock>,
    /// Who looks on.
    pub(crate) hub: Arc<Hub>,
    /// Events as JSON, not lines of text.
    pub(crate) json: bool,
}

impl Lookout {
    /// Looks out until it is relieved.
    ///
    /// # Errors
    /// The system gives no more threads.
    pub(crate) fn run(&mut self, supervisor: &mut Supervisor) -> std::io::Result<Relieved> {
        let printer = Printer::start(self.json)?;
        supervisor.status("no watch is kept");
        let relieved = loop {
            supervisor.alive();
            let letter = self.inbox.take(TURN);
            let now = self.clock.now();
            if let Some(relieved) = letter.and_then(|letter| self.take(letter, &printer, now)) {
                break relieved;
            }
            self.show(now);
        };
        printer.close();
        Ok(relieved)
    }

    fn take(&mut self, letter: Letter, printer: &Printer, now: Timestamp) -> Option<Relieved> {
        match letter {
            Letter::Arrived(arrival) => {
                let mut heeded = Heeded::default();
                match self.hearing.hear(&arrival, &mut heeded) {
                    None => {}
                    Some(FeedChange::Opened(feed)) => {
                        self.notice(printer, "feed_open", &format!("{feed} is open"), now);
                    }
                    Some(FeedChange::Lost(why)) => self.notice(printer, "feed_lost", &why, now),
                    Some(FeedChange::Finished(feed)) => {
                        self.notice(printer, "feed_ended", &format!("{feed} is at its end"), now);
                    }
                }
                for source in heeded.new_sources {
                    self.store.later(Record::Source(source), now);
                }
            }
            Letter::Told { line, answer, .. } => {
                let said = match crew_words::read(&line) {
                    Ok(CrewWord::Status) => "no watch is kept".to_owned(),
                    Ok(CrewWord::Feeds) => self.feed_lines(now),
                    Ok(_) => NONE_KEPT.to_owned(),
                    Err(refusal) => refusal,
                };
                answered(&answer, said);
            }
            Letter::Posted { id, given_up } => {
                // What the store has to say of itself is said when it is next asked to keep something that matters.
                drop(self.store.keep(vec![Record::Posted { id, at: now, given_up }], now));
            }
            Letter::Trouble { code, text } => self.notice(printer, code, &text, now),
            Letter::FitOut(out) => self.hearing.fit_out(*out),
            Letter::Take(taking) => return Some(Relieved::Taken(taking)),
            Letter::Stop => return Some(Relieved::Stopped),
        }
        None
    }

    fn feed_lines(&self, now: Timestamp) -> String {
        self.hearing.feeds().map(|health| health.line(now)).collect::<Vec<_>>().join("\n")
    }

    fn notice(&self, printer: &Printer, code: &str, text: &str, now: Timestamp) {
        let json = watch_json::notice(code, text, now);
        self.hub.say(&json);
        printer.say(Saying { text: Some(text.to_owned()), json });
    }

    fn show(&self, now: Timestamp) {
        if let Some(pace) = self.hub.wants(now) {
            self.hub.show(self.shown(now), pace, now);
        }
    }

    /// How things stand: the instruments alone.
    fn shown(&self, now: Timestamp) -> Shown {
        Shown {
            feeds: watch_json::feeds(self.hearing.feeds(), now),
            instruments: self.hearing.instruments(now),
            ..Shown::default()
        }
    }

    /// That no watch is kept is shown at once.
    pub(crate) fn begin(&self) {
        let now = self.clock.now();
        self.hub.show(self.shown(now), Pace::Whole, now);
        self.hub.tell("changed", &json!({ "version": 1, "what": "watch", "id": "", "revision": 0 }));
    }
}

/// Whoever asked may have gone away.
fn answered(to: &SyncSender<String>, answer: String) {
    drop(to.try_send(answer));
}
