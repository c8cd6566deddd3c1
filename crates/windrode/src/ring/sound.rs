//! Sound from the boat's own computer, by whichever player the system has.
//!
//! The players are tried in order; one that fails gives way to the next, in the middle of the night too. With none left
//! the terminal's bell rings, and the crew are told plainly that there is no sound.

use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::thread;
use std::time::Duration;

use super::{Urgency, tone};
use crate::clock;
use crate::watchkeeper::inbox::{Inbox, Letter};

/// Players and what they are called with, the file coming last.
const PLAYERS: [(&str, &[&str]); 6] = [
    ("paplay", &[]),
    ("pw-play", &[]),
    ("aplay", &["-q"]),
    ("ffplay", &["-nodisp", "-autoexit", "-loglevel", "quiet"]),
    ("play", &["-q"]),
    ("afplay", &[]),
];
/// A player that takes this much longer than the sound hangs: it is ended.
const GRACE: Duration = Duration::from_secs(10);
/// How often a player is looked at.
const LOOK: Duration = Duration::from_millis(50);
/// Between two strokes of the terminal's bell.
const BELL_EVERY: Duration = Duration::from_secs(1);

/// What should sound.
#[derive(Debug, Default)]
struct Wanted {
    steady: Option<Urgency>,
    once: Option<Urgency>,
}

/// The sound aboard.
#[derive(Clone, Debug)]
pub(crate) struct Sound {
    wanted: Arc<(Mutex<Wanted>, Condvar)>,
}

fn lock(wanted: &Mutex<Wanted>) -> MutexGuard<'_, Wanted> {
    // Two plain values, valid whoever panicked.
    wanted.lock().unwrap_or_else(PoisonError::into_inner)
}

impl Sound {
    /// Starts its thread; a directory for the sound files is chosen among those that can be written to.
    ///
    /// # Errors
    /// The system gives no more threads.
    pub(crate) fn start(directory: &Path, inbox: Arc<Inbox>) -> std::io::Result<Self> {
        let sound = Self { wanted: Arc::default() };
        let (wanted, directory) = (Arc::clone(&sound.wanted), directory.to_owned());
        thread::Builder::new().name("sound".to_owned()).spawn(move || {
            let mut players = Players::new(&directory);
            loop {
                let urgency = next(&wanted);
                if let Err(trouble) = players.play(urgency, &wanted) {
                    inbox.put(Letter::Trouble { code: "no_sound", text: trouble });
                }
            }
        })?;
        Ok(sound)
    }
    /// What sounds from now on, again and again; nothing for silence.
    pub(crate) fn steady(&self, urgency: Option<Urgency>) {
        lock(&self.wanted.0).steady = urgency;
        self.wanted.1.notify_all();
    }
    /// One round of it.
    pub(crate) fn once(&self, urgency: Urgency) {
        lock(&self.wanted.0).once = Some(urgency);
        self.wanted.1.notify_all();
    }
}

/// Waits until something should sound.
fn next(wanted: &(Mutex<Wanted>, Condvar)) -> Urgency {
    let mut standing = lock(&wanted.0);
    loop {
        let once = standing.once.take();
        if let Some(urgency) = standing.steady.or(once) {
            return urgency;
        }
        standing = wanted.1.wait(standing).unwrap_or_else(PoisonError::into_inner);
    }
}

/// What a player came to.
enum Played {
    Through,
    /// Something else should sound.
    Cut,
    Failed(String),
}

/// The players that have not failed.
#[derive(Debug)]
pub(crate) struct Players {
    left: Vec<(&'static str, &'static [&'static str])>,
    files: Vec<(Urgency, PathBuf)>,
    no_files: Option<String>,
    told: bool,
}

impl Players {
    fn new(directory: &Path) -> Self {
        let mut no_files = None;
        // In the watch's own directory the files are written over at each start, elsewhere they are each program's own.
        let own = format!("windrode-{}", std::process::id());
        let folders = [
            (directory.to_owned(), "windrode".to_owned()),
            (std::env::temp_dir(), own.clone()),
            (PathBuf::from("/dev/shm"), own),
        ];
        let mut files = Vec::new();
        for (folder, name) in folders {
            match write_files(&folder, &name) {
                Ok(written) => {
                    files = written;
                    no_files = None;
                    break;
                }
                Err(error) => no_files = Some(format!("no sound file can be written: {error}")),
            }
        }
        Self { left: PLAYERS.to_vec(), files, no_files, told: false }
    }

    /// Plays one round, by the bell if nothing else is left; that there is no sound is told once.
    fn play(&mut self, urgency: Urgency, wanted: &(Mutex<Wanted>, Condvar)) -> Result<(), String> {
        let mut why =
            self.no_files.clone().unwrap_or_else(|| "the system has no player of sounds".to_owned());
        let file = self.files.iter().find(|(it, _)| *it == urgency).map(|(_, file)| file.clone());
        while let (Some(file), Some(player)) = (&file, self.left.first().copied()) {
            match run(player, file, urgency, wanted) {
                Played::Through | Played::Cut => {
                    self.told = false;
                    return Ok(());
                }
                Played::Failed(error) => {
                    why = format!("{} {error}", player.0);
                    self.left.remove(0);
                }
            }
        }
        // Sound may come back: a daemon that was not up yet, a card plugged in.
        self.left = PLAYERS.to_vec();
        bell(urgency);
        if std::mem::replace(&mut self.told, true) {
            return Ok(());
        }
        Err(format!("THERE IS NO SOUND: {why}; only the terminal's bell rings"))
    }
}

fn write_files(folder: &Path, name: &str) -> std::io::Result<Vec<(Urgency, PathBuf)>> {
    let all = [Urgency::Notice, Urgency::Caution, Urgency::Alarm, Urgency::Escalated];
    let mut files = Vec::new();
    for (index, urgency) in all.into_iter().enumerate() {
        let file = folder.join(format!("{name}-sound-{index}.wav"));
        fs::write(&file, tone::wav(urgency))?;
        files.push((urgency, file));
    }
    Ok(files)
}

impl Drop for Players {
    fn drop(&mut self) {
        for (_, file) in &self.files {
            // A file left behind in a folder for such files does no harm.
            let _ = fs::remove_file(file);
        }
    }
}

fn run(
    (program, arguments): (&str, &[&str]),
    file: &Path,
    urgency: Urgency,
    wanted: &(Mutex<Wanted>, Condvar),
) -> Played {
    let spawned = Command::new(program)
        .args(arguments)
        .arg(file)
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn();
    match spawned {
        Ok(child) => attend(child, urgency, wanted),
        Err(error) => Played::Failed(format!("cannot be started: {error}")),
    }
}

/// Stays with a player until it is through; ends it when it hangs, or when it should be still.
fn attend(mut child: Child, urgency: Urgency, wanted: &(Mutex<Wanted>, Condvar)) -> Played {
    let begun = clock::stopwatch();
    let limit = Duration::from_secs_f64(tone::length_s(urgency)) + GRACE;
    loop {
        match child.try_wait() {
            Ok(Some(status)) if status.success() => return Played::Through,
            Ok(Some(status)) => return Played::Failed(format!("failed: {status}")),
            Ok(None) => {}
            Err(error) => return Played::Failed(format!("is lost: {error}")),
        }
        let cut = {
            let standing = lock(&wanted.0);
            // One round of something soft plays to its end.
            urgency != Urgency::Notice && standing.steady != Some(urgency) && standing.once != Some(urgency)
        };
        if cut || limit <= begun.elapsed() {
            // A player that is gone already cannot be ended, and need not be.
            let _ = child.kill().and_then(|()| child.wait().map(|_| ()));
            return if cut { Played::Cut } else { Played::Failed("hangs".to_owned()) };
        }
        thread::sleep(LOOK);
    }
}

fn bell(urgency: Urgency) {
    let strokes = if urgency == Urgency::Notice { 1 } else { 3 };
    for _ in 0..strokes {
        // A terminal that takes no bell cannot be helped.
        let _ = std::io::stderr().write_all(b"\x07");
        thread::sleep(BELL_EVERY);
    }
}

/// Plays one round of the alarm and says by what, for the test at arming.
pub(crate) fn test(directory: &Path) -> Result<&'static str, String> {
    let mut players = Players::new(directory);
    let wanted = (Mutex::new(Wanted { steady: Some(Urgency::Alarm), once: None }), Condvar::new());
    players.play(Urgency::Alarm, &wanted)?;
    Ok(players.left.first().map_or("the terminal's bell", |(name, _)| name))
}
