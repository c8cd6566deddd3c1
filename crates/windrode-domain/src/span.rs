//! A stretch of time with two ends.

use jiff::{SignedDuration, Timestamp};

/// From one instant to a later one, both included.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Span {
    from: Timestamp,
    to: Timestamp,
}

/// A stretch of time that cannot be.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum SpanError {
    /// The end does not come after the beginning.
    #[error("it ends at {to}, which is not after its beginning at {from}")]
    EndsBeforeItBegins {
        /// The beginning.
        from: Timestamp,
        /// The end.
        to: Timestamp,
    },
}

impl Span {
    /// From one instant to a later one.
    ///
    /// # Errors
    /// [`SpanError::EndsBeforeItBegins`] unless `from < to`.
    pub fn new(from: Timestamp, to: Timestamp) -> Result<Self, SpanError> {
        if from < to { Ok(Self { from, to }) } else { Err(SpanError::EndsBeforeItBegins { from, to }) }
    }
    /// The first instant.
    pub const fn from(self) -> Timestamp {
        self.from
    }
    /// The last instant.
    pub const fn to(self) -> Timestamp {
        self.to
    }
    /// How long it is.
    pub fn duration(self) -> SignedDuration {
        self.to.duration_since(self.from)
    }
    /// Whether an instant lies in it.
    pub fn contains(self, at: Timestamp) -> bool {
        self.from <= at && at <= self.to
    }
    /// Its instants, `step` apart from the beginning; the end itself is always the last.
    pub fn instants(self, step: SignedDuration) -> impl Iterator<Item = Timestamp> {
        let mut next = Some(self.from);
        core::iter::from_fn(move || {
            let at = next?;
            next = match at.checked_add(step) {
                Ok(later) if later < self.to => Some(later),
                _ if at < self.to => Some(self.to),
                _ => None,
            };
            Some(at)
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_last_instant_is_the_end_even_off_the_step() {
        let from: Timestamp = "2026-12-31T23:00:00Z".parse().unwrap();
        let to: Timestamp = "2027-01-01T00:05:00Z".parse().unwrap();
        let instants: Vec<_> = Span::new(from, to).unwrap().instants(SignedDuration::from_mins(10)).collect();
        assert_eq!(instants.len(), 8);
        assert_eq!(instants.last(), Some(&to));
    }

    #[test]
    fn a_span_that_ends_as_it_begins_is_none() {
        let at: Timestamp = "2026-12-31T23:00:00Z".parse().unwrap();
        assert!(Span::new(at, at).is_err());
    }
}
