//! The keeper: one thread that owns the watch and the database and takes everything in order.
//!
//! ```text
//! feeds ─► inbox ─► hearing ─► watch ─► what is to be kept ─► disk ─► what is to be done: tell, ring, post, answer
//! crew  ─►                                                             (nothing is done before it is kept)
//! ```
//!
//! Nothing here waits for anything but the inbox and the disk. If the keeper itself fails, whoever started it rings.

pub(crate) mod inbox;
pub(crate) mod instruments;
pub(crate) mod lookout;
pub(crate) mod hearing;
pub(crate) mod keep;
pub(crate) mod printer;
pub(crate) mod rehearsal;

use std::path::PathBuf;
use std::sync::Arc;
use std::sync::mpsc::SyncSender;
use std::time::Duration;

use jiff::Timestamp;

use self::inbox::{Inbox, Letter};
use self::keep::{Deed, Keep};
use self::printer::Printer;
use crate::clock::Clock;
use crate::hub::{Hub, Pace};
use crate::ring::command::Commands;
use crate::ring::heartbeat::Heartbeat;
use crate::ring::sound::Sound;
use crate::ring::webhook::Webhook;
use crate::ring::{Change, Told, Urgency};
use crate::supervisor::Supervisor;

/// The longest that the keeper waits, by its listeners' time: it shows that it lives at least so often.
const TURN: Duration = Duration::from_secs(1);
/// How long the beat that tells of the end may take.
const LAST_BEAT_WITHIN: Duration = Duration::from_secs(3);

/// How the crew are to be woken.
#[derive(Clone, Debug)]
pub(crate) struct RingBy {
    /// No sound from this computer.
    pub(crate) no_sound: bool,
    /// A command at each change of an alarm.
    pub(crate) command: Option<String>,
    /// Another when nobody has heard it in time.
    pub(crate) escalate_command: Option<String>,
    /// Where the heartbeat goes.
    pub(crate) heartbeat: Option<String>,
}

/// The threads that wake the crew.
#[derive(Clone, Debug)]
struct Bells {
    by: RingBy,
    sound: Option<Sound>,
    commands: Commands,
    webhook: Webhook,
    heartbeat: Option<Heartbeat>,
}

impl Bells {
    fn start(
        by: RingBy,
        directory: &std::path::Path,
        keep: &Keep,
        inbox: &Arc<Inbox>,
    ) -> std::io::Result<Self> {
        let sound = if by.no_sound { None } else { Some(Sound::start(directory, Arc::clone(inbox))?) };
        let heart = |url: &String| Heartbeat::start(url.clone(), keep.beat(false), Arc::clone(inbox));
        Ok(Self {
            sound,
            commands: Commands::start(Arc::clone(inbox))?,
            webhook: Webhook::start(Arc::clone(inbox))?,
            heartbeat: by.heartbeat.as_ref().map(heart).transpose()?,
            by,
        })
    }

    fn ring(&self, told: &Told, inbox: &Inbox) {
        let command = match told.change {
            Change::Escalate => self.by.escalate_command.as_ref().or(self.by.command.as_ref()),
            Change::Ring | Change::Quiet => self.by.command.as_ref(),
        };
        let ran = command.is_none_or(|command| self.commands.run(command.clone(), told.clone()));
        if !ran {
            let text = format!("too many commands wait: none was run for {}", told.alarm);
            inbox.put(Letter::Trouble { code: "command_failed", text });
        }
    }
}

/// What a keeper is started with.
#[derive(Debug)]
pub(crate) struct Watchkeeper {
    /// The watch with its record.
    pub(crate) keep: Keep,
    /// Where everything arrives.
    pub(crate) inbox: Arc<Inbox>,
    /// The time.
    pub(crate) clock: Arc<Clock>,
    /// How the crew are woken.
    pub(crate) ring_by: RingBy,
    /// For the files of sounds.
    pub(crate) directory: PathBuf,
    /// Events as JSON, not lines of text.
    pub(crate) json: bool,
    /// Who looks on, if anybody may.
    pub(crate) hub: Option<Arc<Hub>>,
    /// Told once, when the watch is on disk, is kept, and rings what it has to.
    pub(crate) begun: Begun,
}

/// Who waits for a watch to begin.
#[derive(Debug)]
pub(crate) enum Begun {
    /// Nobody.
    Nobody,
    /// Whoever starts the program.
    Starter(SyncSender<()>),
    /// Whoever takes the watch.
    Taker(SyncSender<Result<String, String>>),
}

impl Begun {
    /// Tells them; whoever does not wait any more is not there.
    pub(crate) fn tell(self, keep: Option<&Keep>) {
        let line = keep.map(|keep| {
            let kept = if keep.is_recorded() { "" } else { " (in memory only: the disk does not take it)" };
            format!("{}{kept}", keep.armed_line())
        });
        match self {
            Self::Nobody => {}
            Self::Starter(to) => drop(to.try_send(())),
            Self::Taker(to) => drop(to.try_send(Ok(line.unwrap_or_default()))),
        }
    }
}

/// Why a keeper stopped.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Stopped {
    /// The crew ended the watch.
    Ended,
    /// The system wanted it.
    Asked,
}

impl Watchkeeper {
    /// Keeps watch until it is ended or stopped.
    ///
    /// # Errors
    /// The system gives no more threads.
    pub(crate) fn run(self) -> std::io::Result<Stopped> {
        let mut supervisor = Supervisor::from_environment();
        let (stopped, _) = self.keep_watch(&mut supervisor)?;
        supervisor.stopping();
        Ok(stopped)
    }

    /// The same under a supervisor that goes on, and what was kept by.
    ///
    /// # Errors
    /// The system gives no more threads.
    pub(crate) fn keep_watch(mut self, supervisor: &mut Supervisor) -> std::io::Result<(Stopped, Keep)> {
        let printer = Printer::start(self.json)?;
        let bells = Bells::start(self.ring_by.clone(), &self.directory, &self.keep, &self.inbox)?;
        for message in self.keep.unposted() {
            bells.webhook.post(message);
        }
        self.keep.begin(self.clock.now());
        self.perform(&printer, &bells);
        supervisor.ready(&self.keep.headline());
        std::mem::replace(&mut self.begun, Begun::Nobody).tell(Some(&self.keep));
        let stopped = loop {
            supervisor.alive();
            if let Some(heart) = &bells.heartbeat {
                heart.turned();
            }
            if let Some(stopped) = self.turn() {
                self.perform(&printer, &bells);
                break stopped;
            }
            if self.perform(&printer, &bells) {
                supervisor.status(&self.keep.headline());
            }
        };
        if let (Stopped::Ended, Some(heart)) = (stopped, &bells.heartbeat) {
            heart.say(self.keep.beat(true));
            heart.last(LAST_BEAT_WITHIN);
        }
        if let (Stopped::Ended, Some(sound)) = (stopped, &bells.sound) {
            sound.steady(None);
        }
        printer.close();
        Ok((stopped, self.keep))
    }

    /// Takes one letter, or the time that has passed.
    fn turn(&mut self) -> Option<Stopped> {
        let now = self.clock.now();
        let until = |due: Timestamp| Duration::try_from(due.duration_since(now)).unwrap_or(Duration::ZERO);
        let due = self.keep.due().map_or(TURN, |due| self.clock.wait_for(until(due)));
        let letter = self.inbox.take(due.min(TURN));
        let now = self.clock.now();
        if let Some(step) = self.clock.stepped() {
            self.keep.clock_stepped(step, now);
        }
        match letter {
            Some(Letter::Arrived(arrival)) => self.keep.hear(&arrival, now),
            Some(Letter::Told { line, by, answer }) => {
                let ends = self.keep.told_by(&line, &by, Some(answer), now);
                return ends.then_some(Stopped::Ended);
            }
            Some(Letter::Posted { id, given_up }) => self.keep.posted(id, given_up, now),
            Some(Letter::Trouble { code, text }) => self.keep.trouble(code, text, now),
            Some(Letter::Take(taking)) => {
                let text = format!("a watch is kept already, of {} (end it first)", self.keep.stay_id());
                drop(taking.answer.try_send(Err(text)));
            }
            Some(Letter::Stop) => {
                self.keep.stop(now);
                return Some(Stopped::Asked);
            }
            // A watch keeps the fitting-out that it was taken with.
            Some(Letter::FitOut(_)) | None => {}
        }
        self.keep.pass(now);
        None
    }

    /// Does what is to be done; whether anything was told.
    fn perform(&mut self, printer: &Printer, bells: &Bells) -> bool {
        let mut told = false;
        for deed in self.keep.deeds() {
            match deed {
                Deed::Say(saying) => {
                    told = true;
                    if let Some(hub) = &self.hub {
                        hub.say(&saying.json);
                    }
                    printer.say(saying);
                }
                Deed::Sound(urgency) => {
                    if let Some(sound) = &bells.sound {
                        sound.steady(urgency);
                    }
                }
                Deed::Chime => {
                    if let Some(sound) = &bells.sound {
                        sound.once(Urgency::Notice);
                    }
                }
                Deed::Ring(it) => bells.ring(&it, &self.inbox),
                Deed::Post(message) => bells.webhook.post(message),
                Deed::Beat(beat) => {
                    if let Some(heart) = &bells.heartbeat {
                        heart.say(beat);
                    }
                }
                // Whoever asked may have gone away: what was said is kept all the same.
                Deed::Answer(to, answer) => drop(to.try_send(answer)),
            }
        }
        self.show(told);
        told
    }

    /// How things stand, for whoever looks on: at once when something was told, else now and then.
    fn show(&self, told: bool) {
        let Some(hub) = &self.hub else { return };
        let now = self.clock.now();
        let pace = hub.wants(now);
        if let Some(pace) = pace.or(told.then_some(Pace::Quick)) {
            hub.show(self.keep.shown(&hub.shown(), pace, now), pace, now);
        }
    }
}
