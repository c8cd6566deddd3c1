//! A stay that is played: an invented boat comes into the bay of a plan, lies there for a night and leaves, and her
//! instruments and her neighbours' transponders speak on a real socket, faster than life.
//!
//! ```text
//! plan ─► story ─► voyage (domain) ─► sentences ─► 127.0.0.1 ─► the same feed, reader and watch as on board
//! ```
//!
//! Story and chance come from a plan and one number: the same number lives the same stay. The player is a thread of its
//! own that writes the sentences of each second when the clock ([`Clock::faster`]) comes to it. Whoever connects hears
//! what is said from then on. Whoever does not read fast enough is dropped, and nobody waits for them. It ends with the
//! program, or when its handle goes.

mod bay;
mod company;
pub(crate) mod hands;
mod instruments;
mod listeners;
mod played;

use std::io;
use std::num::NonZeroU32;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use std::thread;
use std::time::Duration;

use jiff::{SignedDuration, Timestamp};
use windrode_domain::plan::inputs::Inputs;
use windrode_domain::plan::sheet::Sheet;
use windrode_domain::position::Position;
use windrode_domain::simulate::voyage::{Happening, Phase};
use windrode_domain::units::Length;

use self::listeners::Listeners;
use self::played::Play;
use crate::clock::Clock;
use crate::feed::Spec;

/// A player that waits for its next second looks up so often: whether it is to end, and who calls.
const LOOKS_UP: Duration = Duration::from_millis(20);
/// Fastest play, times life: a tenth of a second in which the computer does something else is half a minute then, and a
/// watch that hears nothing for half a minute is blind.
pub(crate) const FASTEST: u32 = 300;
/// Happenings that are kept: a stay has about thirty.
const MOST_KEPT: usize = 256;

/// When her own anchor drags.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Drag {
    /// It holds.
    Never,
    /// In the strongest wind.
    InTheSquall,
    /// So many minutes after she began to come in.
    After(u32),
}

/// What is to be played.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Asked {
    /// What chance begins with.
    pub(crate) seed: u64,
    /// When her own anchor drags.
    pub(crate) drag: Drag,
    /// How many times faster than life, up to [`FASTEST`].
    pub(crate) speed: NonZeroU32,
}

/// Where the play is.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Now {
    /// Boat time of the second played last; before the first, the beginning.
    pub(crate) at: Timestamp,
    /// Where in her stay she is.
    pub(crate) phase: Phase,
    /// Where her anchor truly is.
    pub(crate) anchor: Position,
    /// Rode out at the roller.
    pub(crate) rode_out: Length,
    /// What has happened so far, oldest first.
    pub(crate) happened: Vec<(Timestamp, Happening)>,
}

impl Now {
    /// When and where the anchor was let go, once it was.
    pub(crate) fn let_go(&self) -> Option<Timestamp> {
        let let_go = |it: &&(Timestamp, Happening)| matches!(it.1, Happening::LetGo(_));
        self.happened.iter().find(let_go).map(|it| it.0)
    }
}

/// A stay that is being played.
#[derive(Debug)]
pub(crate) struct Afloat {
    /// Where her instruments are heard.
    pub(crate) spec: Spec,
    /// Boat time.
    pub(crate) clock: Arc<Clock>,
    /// When the stay begins, by that clock.
    pub(crate) from: Timestamp,
    now: Arc<Mutex<Now>>,
    stop: Arc<AtomicBool>,
}

impl Afloat {
    /// Where the play is.
    pub(crate) fn now(&self) -> Now {
        self.now.lock().unwrap_or_else(PoisonError::into_inner).clone()
    }
}

impl Drop for Afloat {
    fn drop(&mut self) {
        self.stop.store(true, Ordering::Release);
    }
}

/// Begins to play a stay in the bay of a plan.
///
/// # Errors
/// In words: it is asked to go faster than [`FASTEST`], the plan tells too little for a story, the story cannot be
/// lived, or the system gives no socket or thread.
pub(crate) fn begin(inputs: &Inputs, sheet: &Sheet, asked: Asked) -> Result<Afloat, String> {
    if FASTEST < asked.speed.get() {
        return Err(format!("{} times faster than life is more than {FASTEST} times", asked.speed));
    }
    let play = Play::new(bay::of(inputs, sheet, asked.drag)?, asked.seed)?;
    let from = play.start();
    let listeners = Listeners::open().map_err(|error| format!("no socket for the instruments: {error}"))?;
    let spec = Spec::TcpClient(listeners.address().to_string());
    let clock = Arc::new(Clock::faster(from, asked.speed));
    let now = Arc::new(Mutex::new(play.now()));
    let stop = Arc::new(AtomicBool::new(false));
    let player =
        Player { play, listeners, clock: Arc::clone(&clock), now: Arc::clone(&now), stop: Arc::clone(&stop) };
    player.start().map_err(|error| format!("no thread for the instruments: {error}"))?;
    Ok(Afloat { spec, clock, from, now, stop })
}

struct Player {
    play: Play,
    listeners: Listeners,
    clock: Arc<Clock>,
    now: Arc<Mutex<Now>>,
    stop: Arc<AtomicBool>,
}

impl Player {
    fn start(mut self) -> io::Result<()> {
        thread::Builder::new().name("afloat".to_owned()).spawn(move || {
            let mut sentences = String::new();
            while self.wait() {
                sentences.clear();
                let lived = self.play.second(&mut sentences);
                let mut now = self.now.lock().unwrap_or_else(PoisonError::into_inner);
                played::note(&mut now, &self.play, &lived, MOST_KEPT);
                drop(now);
                self.listeners.tell(sentences.as_bytes());
            }
        })?;
        Ok(())
    }

    /// Waits until the next second has passed; `false` when it is to end. Late, it does not wait.
    fn wait(&mut self) -> bool {
        let due = self.play.at().checked_add(SignedDuration::from_secs(1)).unwrap_or(Timestamp::MAX);
        loop {
            if self.stop.load(Ordering::Acquire) {
                return false;
            }
            self.listeners.admit();
            let left = Duration::try_from(due.duration_since(self.clock.now())).unwrap_or(Duration::ZERO);
            if left.is_zero() {
                return true;
            }
            thread::sleep(self.clock.wait_for(left).min(LOOKS_UP));
        }
    }
}

#[cfg(test)]
mod tests;
