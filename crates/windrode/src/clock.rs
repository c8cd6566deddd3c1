//! The one place that reads the time.
//!
//! A boat's computer often has no clock that runs while it is off; it wakes years behind and leaps forward when the
//! first receiver or network tells it the time, and a hand may set it back in the night. A watch must not live through
//! an hour twice. So what this clock tells is steady: it follows the system's clock forward at once, and never back:
//! set back, it runs on at its own rate from where it was. Either step is told, so that the crew hear of it.

use std::sync::{Mutex, PoisonError};
use std::time::{Duration, Instant};

use jiff::{SignedDuration, Timestamp};

/// Less than this is what a clock under correction does by itself: network time is slewed, not stepped, below 0.128 s
/// (RFC 5905 §4, STEPT), and a receiver's whole second read late may be one off. Two seconds move no verdict.
const STEP: SignedDuration = SignedDuration::from_secs(2);

/// The time, steady.
#[derive(Debug)]
pub(crate) struct Clock {
    started: Instant,
    steady: Mutex<Steady>,
}

impl Clock {
    /// Starts at the system's time or at what was reached before, whichever is later.
    pub(crate) fn start_not_before(reached: Timestamp) -> Self {
        let wall = Timestamp::now();
        let at = wall.max(reached);
        let steady = Steady { at, elapsed: Duration::ZERO, behind: at.duration_since(wall), stepped: None };
        Self { started: Instant::now(), steady: Mutex::new(steady) }
    }
    /// Now. Never before what it told last.
    pub(crate) fn now(&self) -> Timestamp {
        // A reader that panicked left plain values behind, all of them valid.
        let mut steady = self.steady.lock().unwrap_or_else(PoisonError::into_inner);
        steady.read(Timestamp::now(), self.started.elapsed())
    }
    /// How far the system's clock was set since this was last asked, if it was.
    pub(crate) fn stepped(&self) -> Option<SignedDuration> {
        self.steady.lock().unwrap_or_else(PoisonError::into_inner).stepped.take()
    }
}

/// The system's time, whatever it says: for a name, or before there is a watch.
pub(crate) fn system_time() -> Timestamp {
    Timestamp::now()
}

/// An instant that no setting of clocks moves, for time limits.
pub(crate) fn stopwatch() -> Instant {
    Instant::now()
}

/// How steady time follows a clock that may be set.
#[derive(Debug)]
struct Steady {
    /// What was told last.
    at: Timestamp,
    /// Of the stopwatch, then.
    elapsed: Duration,
    /// How far the system's clock is known to be behind.
    behind: SignedDuration,
    /// A step not yet asked for.
    stepped: Option<SignedDuration>,
}

impl Steady {
    fn read(&mut self, wall: Timestamp, elapsed: Duration) -> Timestamp {
        let gone = elapsed.saturating_sub(self.elapsed);
        self.elapsed = elapsed;
        let gone = SignedDuration::try_from(gone).unwrap_or(SignedDuration::ZERO);
        let expected = self.at.checked_add(gone).unwrap_or(self.at);
        let behind = expected.duration_since(wall);
        let step = self.behind - behind;
        if STEP < step.abs() {
            self.stepped = Some(self.stepped.unwrap_or(SignedDuration::ZERO) + step);
        }
        self.at = if behind <= STEP { wall.max(self.at) } else { expected };
        self.behind = self.at.duration_since(wall);
        self.at
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(seconds: i64) -> Timestamp {
        Timestamp::from_second(1_800_000_000 + seconds).expect("a time")
    }
    fn steady() -> Steady {
        Steady { at: at(0), elapsed: Duration::ZERO, behind: SignedDuration::ZERO, stepped: None }
    }
    fn seconds(seconds: u64) -> Duration {
        Duration::from_secs(seconds)
    }

    #[test]
    fn a_clock_that_runs_is_followed_and_nothing_is_told() {
        let mut steady = steady();
        assert_eq!(steady.read(at(10), seconds(10)), at(10));
        assert_eq!(steady.read(at(21), seconds(20)), at(21));
        assert_eq!(steady.stepped, None);
    }

    #[test]
    fn a_clock_set_back_is_told_once_and_time_runs_on() {
        let mut steady = steady();
        assert_eq!(steady.read(at(10 - 3600), seconds(10)), at(10));
        assert_eq!(steady.stepped.take(), Some(SignedDuration::from_secs(-3600)));
        assert_eq!(steady.read(at(20 - 3600), seconds(20)), at(20));
        assert_eq!(steady.stepped, None);
    }

    #[test]
    fn a_clock_put_right_again_is_told_and_followed() {
        let mut steady = steady();
        steady.read(at(10 - 3600), seconds(10));
        steady.stepped = None;
        assert_eq!(steady.read(at(20), seconds(20)), at(20));
        assert_eq!(steady.stepped, Some(SignedDuration::from_secs(3600)));
    }

    #[test]
    fn a_clock_set_forward_is_followed_at_once() {
        let mut steady = steady();
        assert_eq!(steady.read(at(7200), seconds(10)), at(7200));
        assert_eq!(steady.stepped, Some(SignedDuration::from_secs(7190)));
        assert_eq!(steady.read(at(7210), seconds(20)), at(7210));
    }
}
