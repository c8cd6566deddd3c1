//! The one place that reads the time.
//!
//! A boat's computer often has no clock that runs while it is off; it wakes years behind and leaps forward when the
//! first receiver or network tells it the time, and a hand may set it back in the night. A watch must not live through
//! an hour twice. So what this clock tells is steady: it follows the system's clock forward at once, and never back:
//! set back, it runs on at its own rate from where it was. Either step is told, so that the crew hear of it.
//!
//! # Boat time and the listener's time
//!
//! For a demonstration alone it can run many times faster than life ([`Clock::faster`]). There are two times then:
//!
//! | told in boat time | told in the time of whoever listens |
//! | --- | --- |
//! | what is heard, and when it arrived | how long the keeper waits at most, and that it lives |
//! | every span that the watch judges by, silences too | how long an alarm sounds, or a command may run |
//! | what the keeper does next, what the store lets wait | beats, and the waits of messages to far ends |
//! | waits before a feed is opened anew | a link that brings no byte, limits of sockets |
//! | how long the crew silence an alarm | when an alarm that nobody hears grows louder |
//!
//! A span of the left column becomes a wait by [`Clock::wait_for`]; one of the right column that must be reckoned
//! with in boat time (the last line) becomes one of the left by [`Clock::meanwhile`]. At life's own rate both are what
//! they were.

use std::num::NonZeroU32;
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
    runs: Runs,
}

/// By what it runs.
#[derive(Debug)]
enum Runs {
    /// It follows the system's clock.
    WithTheWorld(Mutex<Steady>),
    /// It runs so many times faster than life from a stated beginning, whatever the system's clock says.
    Faster {
        /// The beginning.
        from: Timestamp,
        /// How many times.
        rate: NonZeroU32,
    },
}

impl Clock {
    /// Starts at the system's time or at what was reached before, whichever is later.
    pub(crate) fn start_not_before(reached: Timestamp) -> Self {
        let wall = Timestamp::now();
        let at = wall.max(reached);
        let steady = Steady { at, elapsed: Duration::ZERO, behind: at.duration_since(wall), stepped: None };
        Self { started: Instant::now(), runs: Runs::WithTheWorld(Mutex::new(steady)) }
    }
    /// Starts at a stated time and runs so many times faster than life: for a demonstration, and nothing else.
    pub(crate) fn faster(from: Timestamp, rate: NonZeroU32) -> Self {
        Self { started: Instant::now(), runs: Runs::Faster { from, rate } }
    }
    /// Now. Never before what it told last.
    pub(crate) fn now(&self) -> Timestamp {
        let elapsed = self.started.elapsed();
        match &self.runs {
            // A reader that panicked left plain values behind, all of them valid.
            Runs::WithTheWorld(steady) => {
                steady.lock().unwrap_or_else(PoisonError::into_inner).read(Timestamp::now(), elapsed)
            }
            Runs::Faster { from, rate } => later(*from, elapsed.saturating_mul(rate.get())),
        }
    }
    /// How far the system's clock was set since this was last asked, if it was.
    pub(crate) fn stepped(&self) -> Option<SignedDuration> {
        match &self.runs {
            Runs::WithTheWorld(steady) => {
                steady.lock().unwrap_or_else(PoisonError::into_inner).stepped.take()
            }
            Runs::Faster { .. } => None,
        }
    }
    /// How many times faster than life it runs.
    pub(crate) const fn rate(&self) -> u32 {
        match self.runs {
            Runs::WithTheWorld(_) => 1,
            Runs::Faster { rate, .. } => rate.get(),
        }
    }
    /// How long a span of boat time takes.
    pub(crate) fn wait_for(&self, span: Duration) -> Duration {
        span / self.rate()
    }
    /// How far boat time goes while so much of the listener's passes.
    pub(crate) fn meanwhile(&self, span: SignedDuration) -> SignedDuration {
        let rate = i32::try_from(self.rate()).unwrap_or(i32::MAX);
        span.checked_mul(rate).unwrap_or(SignedDuration::MAX)
    }
}

/// An instant so much later; the calendar's last one where that is beyond it.
fn later(from: Timestamp, by: Duration) -> Timestamp {
    SignedDuration::try_from(by).ok().and_then(|by| from.checked_add(by).ok()).unwrap_or(Timestamp::MAX)
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
    fn a_faster_clock_is_as_steady_and_its_spans_are_as_much_shorter() {
        let rate = NonZeroU32::new(60).expect("more than nothing");
        let clock = Clock::faster(at(0), rate);
        let begun = stopwatch();
        let mut last = clock.now();
        while begun.elapsed() < Duration::from_millis(50) {
            let now = clock.now();
            assert!(last <= now);
            last = now;
        }
        // It was started before and read before the stopwatch: no more than the two lie apart, sixty times over.
        let (gone, most) = (clock.now().duration_since(at(0)), begun.elapsed() * 60);
        assert!(SignedDuration::from_secs(3) <= gone, "{gone:?}");
        assert!(
            gone <= SignedDuration::try_from(most).expect("short") + SignedDuration::from_secs(3),
            "{gone:?}"
        );
        assert_eq!((clock.stepped(), clock.rate()), (None, 60));
        assert_eq!(clock.wait_for(seconds(30)), Duration::from_millis(500));
        assert_eq!(clock.meanwhile(SignedDuration::from_mins(3)), SignedDuration::from_hours(3));
    }

    #[test]
    fn at_lifes_own_rate_spans_are_what_they_are() {
        let clock = Clock::start_not_before(at(0));
        assert_eq!((clock.rate(), clock.wait_for(seconds(30))), (1, seconds(30)));
        assert_eq!(clock.meanwhile(SignedDuration::from_mins(3)), SignedDuration::from_mins(3));
    }

    #[test]
    fn a_clock_set_forward_is_followed_at_once() {
        let mut steady = steady();
        assert_eq!(steady.read(at(7200), seconds(10)), at(7200));
        assert_eq!(steady.stepped, Some(SignedDuration::from_secs(7190)));
        assert_eq!(steady.read(at(7210), seconds(20)), at(7210));
    }
}
