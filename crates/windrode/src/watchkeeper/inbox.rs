//! Where everything that the keeper must hear arrives, in order, within bounds.
//!
//! What feeds bring stands in one queue by time of arrival. Each feed may have so many bytes standing there and no
//! more: beyond that its thread waits. So an instrument that floods neither fills the memory nor keeps the others from
//! their places: a quiet one waits at most for what all feeds may have standing before it. What the crew say, what was
//! posted and the word to stop go before all feeds.

use std::collections::VecDeque;
use std::sync::mpsc::SyncSender;
use std::sync::{Condvar, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use jiff::Timestamp;
use windrode_wire::observe::FittedOut;

use crate::arming::Ready;
use crate::telling::Speaker;

/// Bytes that one feed may have standing: sixteen reads, eight hundred sentences, less than 50 ms of judging.
const FEED_BYTES: usize = 64 * 1024;
/// What an arrival costs beside its bytes.
const ARRIVAL_BYTES: usize = 128;
/// Letters other than arrivals that may stand: nobody has so many hands.
const LETTERS: usize = 256;

/// What a feed brings.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Heard {
    /// A stream of it begins.
    Opened {
        /// Which.
        stream: u32,
    },
    /// A stream of it said this.
    Bytes {
        /// Which.
        stream: u32,
        /// What.
        bytes: Box<[u8]>,
    },
    /// A stream of it is over.
    Closed {
        /// Which.
        stream: u32,
    },
    /// It was lost, and is opened again after a wait.
    Lost {
        /// Why.
        why: String,
        /// The wait.
        again_in: Duration,
    },
    /// It came to its end.
    Finished,
}

/// Something heard, from whom and when.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Arrival {
    /// The feed's place on the command line, from 0.
    pub(crate) feed: usize,
    /// When.
    pub(crate) at: Timestamp,
    /// What.
    pub(crate) heard: Heard,
}

/// What the keeper takes.
#[derive(Debug)]
pub(crate) enum Letter {
    /// A feed brought something.
    Arrived(Arrival),
    /// The crew said something; the answer is awaited.
    Told {
        /// Their words.
        line: String,
        /// Who.
        by: Speaker,
        /// Where the answer goes, after it is recorded.
        answer: SyncSender<String>,
    },
    /// A message was taken by its far end, or given up.
    Posted {
        /// Its number in the outbox.
        id: i64,
        /// Nothing when it was taken; else why it was given up.
        given_up: Option<String>,
    },
    /// Something that the crew must read went wrong outside the keeper.
    Trouble {
        /// A word for programs.
        code: &'static str,
        /// What.
        text: String,
    },
    /// A watch is to be taken.
    Take(Box<Taking>),
    /// She is fitted out like this, as far as nobody keeps watch.
    FitOut(Box<FittedOut>),
    /// The system wants the program to stop.
    Stop,
}

/// A watch that is to be taken, and who waits for the answer.
#[derive(Debug)]
pub(crate) struct Taking {
    /// The stay.
    pub(crate) ready: Ready,
    /// Where the answer goes: that it is taken, or why not.
    pub(crate) answer: SyncSender<Result<String, String>>,
}

#[derive(Debug, Default)]
struct Standing {
    arrivals: VecDeque<Arrival>,
    held_bytes: Vec<usize>,
    letters: VecDeque<Letter>,
}

/// The inbox.
#[derive(Debug, Default)]
pub(crate) struct Inbox {
    standing: Mutex<Standing>,
    came: Condvar,
    left: Condvar,
}

fn weight(heard: &Heard) -> usize {
    let bytes = match heard {
        Heard::Bytes { bytes, .. } => bytes.len(),
        Heard::Lost { why, .. } => why.len(),
        Heard::Opened { .. } | Heard::Closed { .. } | Heard::Finished => 0,
    };
    ARRIVAL_BYTES + bytes
}

impl Inbox {
    fn lock(&self) -> MutexGuard<'_, Standing> {
        // Whoever panicked while holding it had only moved whole values in or out.
        self.standing.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Puts down what a feed brings; waits while that feed has too much standing.
    pub(crate) fn hear(&self, feed: usize, at: Timestamp, heard: Heard) {
        let weight = weight(&heard);
        let mut standing = self.lock();
        if standing.held_bytes.len() <= feed {
            standing.held_bytes.resize(feed + 1, 0);
        }
        let full = |standing: &mut Standing| {
            let held = standing.held_bytes.get(feed).copied().unwrap_or(0);
            0 < held && FEED_BYTES < held + weight
        };
        standing = self.left.wait_while(standing, full).unwrap_or_else(PoisonError::into_inner);
        if let Some(held) = standing.held_bytes.get_mut(feed) {
            *held += weight;
        }
        standing.arrivals.push_back(Arrival { feed, at, heard });
        self.came.notify_one();
    }

    /// Puts down anything else; `false` when too much stands already.
    pub(crate) fn put(&self, letter: Letter) -> bool {
        let mut standing = self.lock();
        let room = standing.letters.len() < LETTERS;
        if room {
            standing.letters.push_back(letter);
            self.came.notify_one();
        }
        room
    }

    /// The word to stop, which always finds room.
    pub(crate) fn stop(&self) {
        self.lock().letters.push_front(Letter::Stop);
        self.came.notify_one();
    }

    /// What came first, letters before arrivals; nothing when nothing comes in time.
    pub(crate) fn take(&self, within: Duration) -> Option<Letter> {
        let empty = |standing: &mut Standing| standing.letters.is_empty() && standing.arrivals.is_empty();
        let waited = self.came.wait_timeout_while(self.lock(), within, empty);
        let (mut standing, _) = waited.unwrap_or_else(PoisonError::into_inner);
        if let Some(letter) = standing.letters.pop_front() {
            return Some(letter);
        }
        let arrival = standing.arrivals.pop_front()?;
        let weight = weight(&arrival.heard);
        if let Some(held) = standing.held_bytes.get_mut(arrival.feed) {
            *held = held.saturating_sub(weight);
        }
        self.left.notify_all();
        Some(Letter::Arrived(arrival))
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;
    use std::sync::atomic::{AtomicUsize, Ordering};
    use std::thread;

    use super::*;

    const SOON: Duration = Duration::from_millis(10);

    fn bytes(n: usize) -> Heard {
        Heard::Bytes { stream: 0, bytes: vec![b'x'; n].into() }
    }

    #[test]
    fn a_feed_that_floods_waits_and_the_quiet_one_finds_its_place() {
        let inbox = Arc::new(Inbox::default());
        let sent = Arc::new(AtomicUsize::new(0));
        let (flooded, counted) = (Arc::clone(&inbox), Arc::clone(&sent));
        let flood = thread::spawn(move || {
            for _ in 0..1000 {
                flooded.hear(0, Timestamp::UNIX_EPOCH, bytes(4096));
                counted.fetch_add(1, Ordering::AcqRel);
            }
        });
        while sent.load(Ordering::Acquire) < FEED_BYTES / (4096 + ARRIVAL_BYTES) {
            thread::yield_now();
        }
        inbox.hear(1, Timestamp::UNIX_EPOCH, bytes(10));
        let mut before = 0;
        while let Some(Letter::Arrived(arrival)) = inbox.take(SOON) {
            if arrival.feed == 1 {
                break;
            }
            before += 1;
        }
        assert!(before <= FEED_BYTES / 4096, "{before} stood before the quiet feed");
        let held = |inbox: &Inbox| inbox.lock().held_bytes[0];
        let mut taken = before;
        while taken < 1000 {
            assert!(held(&inbox) <= FEED_BYTES);
            taken += usize::from(inbox.take(SOON).is_some());
        }
        flood.join().expect("the flood ends");
        assert!(inbox.take(Duration::ZERO).is_none());
        assert_eq!(held(&inbox), 0);
    }

    #[test]
    fn the_crew_go_before_the_instruments() {
        let inbox = Inbox::default();
        inbox.hear(0, Timestamp::UNIX_EPOCH, bytes(10));
        assert!(inbox.put(Letter::Trouble { code: "x", text: String::new() }));
        inbox.stop();
        assert!(matches!(inbox.take(SOON), Some(Letter::Stop)));
        assert!(matches!(inbox.take(SOON), Some(Letter::Trouble { .. })));
        assert!(matches!(inbox.take(SOON), Some(Letter::Arrived(_))));
    }

    #[test]
    fn letters_are_bounded_too() {
        let inbox = Inbox::default();
        let put = (0..1000).filter(|_| inbox.put(Letter::Posted { id: 0, given_up: None })).count();
        assert_eq!(put, LETTERS);
    }
}
