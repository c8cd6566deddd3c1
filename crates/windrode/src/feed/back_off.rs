//! How long to wait before trying again: doubling from one bound to another, by no chance.
//!
//! A boat has a handful of feeds and far ends, so that nothing is gained by spreading their attempts at random, and a
//! wait that can be foretold can be tested and told.

use std::time::Duration;

/// Waits that double.
#[derive(Debug)]
pub(crate) struct BackOff {
    least: Duration,
    most: Duration,
    next: Duration,
}

impl BackOff {
    /// Between two bounds.
    pub(crate) const fn between(least: Duration, most: Duration) -> Self {
        Self { least, most, next: least }
    }
    /// For the boat's own instruments: 1 s, for a plug may have been pulled and put back; 30 s, for a watch is blind
    /// meanwhile.
    pub(crate) const fn of_feeds() -> Self {
        Self::between(Duration::from_secs(1), Duration::from_secs(30))
    }
    /// For far ends ashore: 5 s to 5 min, so that a link that comes back for a few minutes an hour is used.
    pub(crate) const fn of_far_ends() -> Self {
        Self::between(Duration::from_secs(5), Duration::from_mins(5))
    }
    /// The wait from now; the next is twice as long.
    pub(crate) fn next_wait(&mut self) -> Duration {
        let wait = self.next;
        self.next = wait.saturating_mul(2).min(self.most);
        wait
    }
    /// It worked: the next failure waits the least again.
    pub(crate) const fn reset(&mut self) {
        self.next = self.least;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn waits_double_up_to_the_bound_and_begin_again_after_success() {
        let mut back_off = BackOff::of_feeds();
        let waits: Vec<u64> = (0..7).map(|_| back_off.next_wait().as_secs()).collect();
        assert_eq!(waits, [1, 2, 4, 8, 16, 30, 30]);
        back_off.reset();
        assert_eq!(back_off.next_wait().as_secs(), 1);
    }
}
