//! The watch's own time: it never goes back, whatever the boat's clock does.
//!
//! A boat's clock is set back by a receiver's first fix, by hand, or by a program that starts in the wrong year. All
//! that the watch remembers of its last hour must not lie in the future then. So the watch goes on in its own time,
//! and tells times by the boat's clock as it is now: what was ten minutes ago is still told as ten minutes ago.

use jiff::{SignedDuration, Timestamp};

/// The boat's clock may tremble by so much between feeds without having been set back, s: feeds are read by several
/// threads, and what two of them stamp may pass each other (common practice, no source).
const TREMBLES_S: f64 = 2.0;

/// The watch's own time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct OwnClock {
    now: Timestamp,
    ahead: SignedDuration,
    set_back: Option<(Timestamp, SignedDuration)>,
}

impl OwnClock {
    /// It begins by the boat's clock.
    pub(super) const fn new(now: Timestamp) -> Self {
        Self { now, ahead: SignedDuration::ZERO, set_back: None }
    }
    /// Goes on after a break: never before the instant of the break.
    pub(super) fn resumed(broke_off: Timestamp, now: Timestamp) -> Self {
        let mut clock = Self::new(broke_off);
        clock.advance(now);
        clock
    }
    /// Now.
    pub(super) const fn now(&self) -> Timestamp {
        self.now
    }
    /// The boat's clock reads so now.
    pub(super) fn advance(&mut self, told: Timestamp) -> Timestamp {
        let own = self.of_told(told);
        let behind_s = seconds(self.now, own);
        if TREMBLES_S < behind_s {
            let by = self.now.duration_since(own);
            self.ahead = self.ahead.saturating_add(by);
            self.set_back = Some((self.now, by));
        } else if behind_s < 0.0 {
            self.now = own;
        }
        self.now
    }
    /// When the boat's clock was last set back, and by how much.
    pub(super) const fn set_back(&self) -> Option<(Timestamp, SignedDuration)> {
        self.set_back
    }
    /// An instant of the boat's clock, in own time.
    pub(super) fn of_told(&self, told: Timestamp) -> Timestamp {
        told.checked_add(self.ahead).unwrap_or(Timestamp::MAX)
    }
    /// An instant of own time, by the boat's clock as it is now.
    pub(super) fn as_told(&self, own: Timestamp) -> Timestamp {
        own.checked_sub(self.ahead).unwrap_or(Timestamp::MIN)
    }
}

/// Seconds from the second to the first; negative when the first is the earlier.
pub(super) fn seconds(later: Timestamp, earlier: Timestamp) -> f64 {
    later.duration_since(earlier).as_secs_f64()
}

/// An instant so many seconds on.
pub(super) fn after(at: Timestamp, seconds: f64) -> Timestamp {
    at.checked_add(duration(seconds)).unwrap_or(Timestamp::MAX)
}

/// So many seconds as a duration; what no duration can hold is the longest there is.
pub(super) fn duration(seconds: f64) -> SignedDuration {
    SignedDuration::try_from_secs_f64(seconds).unwrap_or(SignedDuration::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(text: &str) -> Timestamp {
        text.parse().unwrap()
    }

    #[test]
    fn a_clock_set_back_an_hour_makes_nothing_of_the_last_hour_future() {
        let mut clock = OwnClock::new(at("2026-11-27T05:00:00Z"));
        let before = clock.advance(at("2026-11-27T05:10:00Z"));
        let set = clock.advance(at("2026-11-27T04:10:00Z"));
        assert_eq!(set, before);
        assert_eq!(clock.set_back().map(|(_, by)| by), Some(SignedDuration::from_hours(1)));
        let later = clock.advance(at("2026-11-27T04:11:00Z"));
        assert!((seconds(later, before) - 60.0).abs() < 1e-9);
        assert_eq!(clock.as_told(later), at("2026-11-27T04:11:00Z"));
        assert_eq!(clock.as_told(before), at("2026-11-27T04:10:00Z"));
    }

    #[test]
    fn two_feeds_that_pass_each_other_set_nothing_back() {
        let mut clock = OwnClock::new(at("2026-11-27T05:00:01Z"));
        assert_eq!(clock.advance(at("2026-11-27T05:00:00Z")), at("2026-11-27T05:00:01Z"));
        assert_eq!(clock.set_back(), None);
    }

    #[test]
    fn the_ends_of_time_are_borne() {
        let mut clock = OwnClock::new(Timestamp::MAX);
        let _ = clock.advance(Timestamp::MIN);
        let _ = clock.advance(Timestamp::MAX);
        assert_eq!(after(Timestamp::MAX, f64::INFINITY), Timestamp::MAX);
    }
}
