//! The crew's clock: weekday and hour, with the zone told wherever the hour alone could mean two instants.

use jiff::tz::TimeZone;
use jiff::{SignedDuration, Timestamp, ZonedDateTime};

/// Tells instants in the crew's local time. Seconds are dropped, so a time told is never later than the instant.
#[derive(Clone, Debug)]
pub(crate) struct Clock {
    zone: TimeZone,
}

impl Clock {
    /// The clock of a zone.
    pub(crate) const fn new(zone: TimeZone) -> Self {
        Self { zone }
    }
    /// The instant in the crew's zone.
    pub(crate) fn zoned(&self, at: Timestamp) -> ZonedDateTime {
        at.to_zoned_datetime(self.zone.clone())
    }
    /// "Sat 03:10"; in the hour that an autumn change repeats, "Sat 02:30 BST".
    pub(crate) fn time(&self, at: Timestamp) -> String {
        self.told(at, "%a %H:%M")
    }
    /// The same, to the next whole minute: for what must not be told early.
    pub(crate) fn time_up(&self, at: Timestamp) -> String {
        let next_minute = at.checked_add(SignedDuration::from_nanos(59_999_999_999)).unwrap_or(at);
        self.time(next_minute)
    }
    /// "03:10", with the zone's letters in a repeated hour.
    pub(crate) fn hour(&self, at: Timestamp) -> String {
        self.told(at, "%H:%M")
    }
    /// "Sat 28 Nov 2026 03:10".
    pub(crate) fn date_time(&self, at: Timestamp) -> String {
        self.told(at, "%a %-d %b %Y %H:%M")
    }
    /// "Sat 28 Nov".
    pub(crate) fn date(&self, at: Timestamp) -> String {
        self.zoned(at).strftime("%a %-d %b").to_string()
    }
    /// The zone's letters and offset at an instant: "NZDT, UTC+13:00".
    pub(crate) fn zone_words(&self, at: Timestamp) -> String {
        let zoned = self.zoned(at);
        let letters = zoned.strftime("%Z").to_string();
        let offset = zoned.strftime("%:z").to_string();
        if letters.starts_with(['+', '-']) {
            format!("UTC{offset}")
        } else {
            format!("{letters}, UTC{offset}")
        }
    }
    /// The same for a stay that may cross a change of clocks.
    pub(crate) fn zones_of(&self, from: Timestamp, to: Timestamp) -> String {
        let (first, last) = (self.zone_words(from), self.zone_words(to));
        if first == last { first } else { format!("{first}, later {last}") }
    }

    fn told(&self, at: Timestamp, format: &str) -> String {
        let zoned = self.zoned(at);
        let repeated = self.zone.to_ambiguous_timestamp(zoned.datetime()).is_ambiguous();
        let told = zoned.strftime(format).to_string();
        if repeated { format!("{told} {}", zoned.strftime("%Z")) } else { told }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn london() -> Clock {
        Clock::new(TimeZone::get("Europe/London").unwrap())
    }

    // Source: Summer Time Order 2002 (UK): clocks go back at 01:00 UTC on the last Sunday of October.
    #[test]
    fn the_hour_that_comes_twice_says_which_it_is() {
        let first: Timestamp = "2026-10-25T00:30:00Z".parse().unwrap();
        let second: Timestamp = "2026-10-25T01:30:00Z".parse().unwrap();
        let after: Timestamp = "2026-10-25T02:30:00Z".parse().unwrap();
        assert_eq!(london().time(first), "Sun 01:30 BST");
        assert_eq!(london().time(second), "Sun 01:30 GMT");
        assert_eq!(london().time(after), "Sun 02:30");
        assert_eq!(london().zones_of(first, after), "BST, UTC+01:00, later GMT, UTC+00:00");
    }

    #[test]
    fn seconds_are_dropped_so_no_time_is_told_late() {
        let at: Timestamp = "2026-11-28T03:10:59Z".parse().unwrap();
        assert_eq!(london().time(at), "Sat 03:10");
    }
}
