//! How long a thing heard may be used with another, and which of two sentences of a source is taken.

use jiff::{SignedDuration, Timestamp};

/// How long no receiver must have told a fix before the boat's own transponder stands in: three turns of one that is
/// heard every ten seconds.
pub const RECEIVER_SILENT: SignedDuration = SignedDuration::from_secs(30);
/// Heading or way used with a felt wind: in 5 s a boat at anchor turns a few degrees, and her instruments
/// speak at least once in it.
pub const TOGETHER: SignedDuration = SignedDuration::from_secs(5);
/// How long a worse sentence waits for a better one of the same source: two turns of a talker that speaks
/// every 2 s.
pub const BETTER_HEARD: SignedDuration = SignedDuration::from_secs(5);
/// Where she is, for the magnetic model: the variation changes by a degree in some 50 miles at the most.
pub const PLACE: SignedDuration = SignedDuration::from_hours(1);
/// A date, for a time of day that comes without: half a day would still be safe.
pub const DATE: SignedDuration = SignedDuration::from_hours(1);
/// Errors told by GST, for the fix that they go with: the same burst or the next.
pub const ERRORS: SignedDuration = SignedDuration::from_secs(5);
/// Satellites of one system, counted with those of another: receivers tell them every 5 s at the least.
pub const SKY: SignedDuration = SignedDuration::from_secs(10);
/// The transducer's offset, once told: it is screwed to the hull, but the sounder may be set anew.
pub const OFFSET: SignedDuration = SignedDuration::from_mins(10);
/// A second word of no fix within this is the same word: GGA, RMC and GLL of one burst.
pub const SAME_BURST: SignedDuration = SignedDuration::from_millis(500);
/// A way told so soon after a warning belongs to it.
pub const WARNED: SignedDuration = SignedDuration::from_secs(2);

/// A value, and when it was heard.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Recent<T> {
    pub(super) value: T,
    pub(super) at: Timestamp,
}

impl<T: Copy> Recent<T> {
    pub(super) const fn new(value: T, at: Timestamp) -> Self {
        Self { value, at }
    }
    /// The value, unless it is older than that; nor if the clock was set back since.
    pub(super) fn fresh(&self, now: Timestamp, age: SignedDuration) -> Option<T> {
        let old = now.duration_since(self.at);
        (SignedDuration::ZERO <= old && old <= age).then_some(self.value)
    }
}

/// Which sentence of a source is taken, by how lately a better one was heard. Lower ranks are better.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Preferred(Option<Recent<u8>>);

impl Preferred {
    pub(super) fn admits(&mut self, rank: u8, at: Timestamp) -> bool {
        let taken = self.0.and_then(|taken| taken.fresh(at, BETTER_HEARD));
        let admitted = taken.is_none_or(|taken| rank <= taken);
        if admitted {
            self.0 = Some(Recent::new(rank, at));
        }
        admitted
    }
}

/// So many sentences of the same kind in a row without the better one, and it is no longer waited for.
const MISSED_MAX: u8 = 3;

/// Which sentence of a source is taken, by how often a better one has failed to come: for bursts minutes
/// apart as for those of every second. Lower ranks are better.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Settled {
    taken: Option<u8>,
    waiting: Option<u8>,
    missed: u8,
}

impl Settled {
    pub(super) fn admits(&mut self, rank: u8) -> bool {
        if self.taken.is_none_or(|taken| rank <= taken) {
            *self = Self { taken: Some(rank), waiting: None, missed: 0 };
            return true;
        }
        // The best of the others counts how often the one taken has failed.
        if self.waiting.is_none_or(|waiting| rank <= waiting) {
            self.missed = if self.waiting == Some(rank) { self.missed + 1 } else { 1 };
            self.waiting = Some(rank);
        }
        if MISSED_MAX < self.missed {
            *self = Self { taken: Some(rank), waiting: None, missed: 0 };
            return true;
        }
        false
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_better_of_two_is_settled_on_and_the_worse_taken_when_it_fails() {
        let mut settled = Settled::default();
        assert!(settled.admits(2));
        assert!(settled.admits(0));
        for _ in 0..10 {
            assert!(!settled.admits(2));
            assert!(settled.admits(0));
        }
        let waited = (0..10).take_while(|_| !settled.admits(2)).count();
        assert_eq!(waited, usize::from(MISSED_MAX));
    }

    #[test]
    fn a_worse_sentence_waits_for_the_better_and_no_longer() {
        let at = |second| Timestamp::from_second(second).unwrap();
        let mut preferred = Preferred::default();
        assert!(preferred.admits(1, at(0)));
        assert!(preferred.admits(0, at(1)));
        assert!(!preferred.admits(1, at(6)));
        assert!(preferred.admits(1, at(7)));
    }

    #[test]
    fn after_a_clock_set_back_nothing_old_is_fresh() {
        let heard = Recent::new(1, Timestamp::from_second(1000).unwrap());
        assert_eq!(heard.fresh(Timestamp::from_second(999).unwrap(), TOGETHER), None);
        assert_eq!(heard.fresh(Timestamp::from_second(1005).unwrap(), TOGETHER), Some(1));
        assert_eq!(heard.fresh(Timestamp::from_second(1006).unwrap(), TOGETHER), None);
    }
}
