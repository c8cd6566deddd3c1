//! Times as a crew writes them: by the clock of a place, or with an offset.
//!
//! When clocks go forward an hour of local times never is; when they go back an hour comes twice. Neither is guessed:
//! both readings are named and the crew says which. Zones come from the IANA database built into the program.

use jiff::Timestamp;
use jiff::civil::{Date, DateTime};
use jiff::tz::{AmbiguousOffset, Offset, TimeZone};

/// The zone that local times of a file are in.
#[derive(Clone, Debug)]
pub(crate) enum Zone {
    /// None was said: local times have no meaning.
    Unsaid,
    /// One was said that cannot be used, which has been reported.
    Refused,
    /// This one.
    Known(TimeZone),
}

/// Text that is not an instant. Reads after the name of a field.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub(crate) enum TimeError {
    /// It cannot be read.
    #[error(
        "{0} is not a time (write 2026-11-27T17:00:00, with a zone in [stay], or 2026-11-27T17:00:00+13:00)"
    )]
    Shape(String),
    /// It has a date and no time of day.
    #[error("{0} is a date without a time of day (write {0}T17:00:00)")]
    NoTimeOfDay(String),
    /// It is local, and no zone was said.
    #[error("{0} is local time, and no zone is given (give zone in [stay], or write an offset: {0}+13:00)")]
    NoZone(String),
    /// The clock never shows it.
    #[error(
        "{} is never shown by the clock in {}: it goes forward over it (write {}, which is {}, or {}, which is {})",
        .0.text, .0.zone, .0.before, .0.before_utc, .0.after, .0.after_utc
    )]
    Skipped(Box<Readings>),
    /// The clock shows it twice.
    #[error(
        "{} is shown twice by the clock in {}: it goes back over it (write {} for the first, {}, or {} for the second, \
         {})",
        .0.text, .0.zone, .0.before, .0.before_utc, .0.after, .0.after_utc
    )]
    Twice(Box<Readings>),
    /// It lies outside the years that tides and sun are reckoned for.
    #[error("{0} is not between the years 1900 and 2100 (check the year)")]
    Year(Timestamp),
}

/// A local time at a change of the clock, read by the offset before the change and by that after it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Readings {
    text: String,
    zone: String,
    before: String,
    before_utc: Timestamp,
    after: String,
    after_utc: Timestamp,
}

/// Reads an instant: RFC 3339 with its offset, or local time in the zone. `None` when it is local and the zone was
/// refused already.
pub(crate) fn instant(text: &str, zone: &Zone) -> Result<Option<Timestamp>, TimeError> {
    let text = text.trim();
    if let Ok(at) = text.parse::<Timestamp>() {
        return in_range(at).map(Some);
    }
    let local = local_time(text)?;
    match zone {
        Zone::Unsaid => Err(TimeError::NoZone(text.to_owned())),
        Zone::Refused => Ok(None),
        Zone::Known(zone) => by_the_clock(text, local, zone).and_then(in_range).map(Some),
    }
}

fn local_time(text: &str) -> Result<DateTime, TimeError> {
    // A bare date would be read as its midnight, which nobody said.
    if !text.contains(':') && text.parse::<Date>().is_ok() {
        return Err(TimeError::NoTimeOfDay(text.to_owned()));
    }
    text.parse().map_err(|_| TimeError::Shape(text.to_owned()))
}

fn by_the_clock(text: &str, local: DateTime, zone: &TimeZone) -> Result<Timestamp, TimeError> {
    let ambiguous = zone.to_ambiguous_timestamp(local);
    let at = |offset: Offset| offset.to_timestamp(local).map_err(|_| TimeError::Shape(text.to_owned()));
    let readings = |before: Offset, after: Offset| {
        Ok(Box::new(Readings {
            text: text.to_owned(),
            zone: zone.iana_name().unwrap_or("the zone").to_owned(),
            before: format!("{text}{}", told(before)),
            before_utc: at(before)?,
            after: format!("{text}{}", told(after)),
            after_utc: at(after)?,
        }))
    };
    match ambiguous.offset() {
        AmbiguousOffset::Unambiguous { offset } => at(offset),
        AmbiguousOffset::Gap { before, after } => Err(TimeError::Skipped(readings(before, after)?)),
        AmbiguousOffset::Fold { before, after } => Err(TimeError::Twice(readings(before, after)?)),
    }
}

/// An offset as RFC 3339 writes it.
fn told(offset: Offset) -> String {
    let minutes = offset.seconds() / 60;
    let sign = if minutes < 0 { '-' } else { '+' };
    format!("{sign}{:02}:{:02}", minutes.abs() / 60, minutes.abs() % 60)
}

fn in_range(at: Timestamp) -> Result<Timestamp, TimeError> {
    let year = at.to_zoned_datetime(TimeZone::UTC).year();
    if (1900..=2100).contains(&year) { Ok(at) } else { Err(TimeError::Year(at)) }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn zone(name: &str) -> Zone {
        Zone::Known(TimeZone::get(name).unwrap())
    }

    fn refusal(text: &str, zone: &Zone) -> String {
        instant(text, zone).unwrap_err().to_string()
    }

    // New Zealand keeps daylight time from the last Sunday of September, 02:00 standard, to the first Sunday of
    // April, 03:00 daylight (Daylight Time Order 2007): 27 September 2026 and 5 April 2026.
    #[test]
    fn an_hour_that_never_is_names_both_readings() {
        assert_eq!(
            refusal("2026-09-27T02:30:00", &zone("Pacific/Auckland")),
            "2026-09-27T02:30:00 is never shown by the clock in Pacific/Auckland: it goes forward over it (write \
             2026-09-27T02:30:00+12:00, which is 2026-09-26T14:30:00Z, or 2026-09-27T02:30:00+13:00, which is \
             2026-09-26T13:30:00Z)"
        );
    }

    #[test]
    fn an_hour_that_comes_twice_names_both_readings() {
        assert_eq!(
            refusal("2026-04-05T02:30:00", &zone("Pacific/Auckland")),
            "2026-04-05T02:30:00 is shown twice by the clock in Pacific/Auckland: it goes back over it (write \
             2026-04-05T02:30:00+13:00 for the first, 2026-04-04T13:30:00Z, or 2026-04-05T02:30:00+12:00 for the \
             second, 2026-04-04T14:30:00Z)"
        );
    }

    #[test]
    fn the_reading_that_is_offered_is_accepted() {
        let at = instant("2026-04-05T02:30:00+12:00", &zone("Pacific/Auckland")).unwrap();
        assert_eq!(at, Some("2026-04-04T14:30:00Z".parse().unwrap()));
    }

    #[test]
    fn local_times_cross_the_years_end() {
        let at = instant("2027-01-01T00:10:00", &zone("Pacific/Auckland")).unwrap();
        assert_eq!(at, Some("2026-12-31T11:10:00Z".parse().unwrap()));
    }

    #[test]
    fn what_is_no_instant_is_refused() {
        assert!(refusal("2026-11-27T17:00:00", &Zone::Unsaid).contains("no zone is given"));
        assert!(refusal("2026-11-27", &Zone::Unsaid).contains("without a time of day"));
        assert!(refusal("17:00", &zone("UTC")).contains("is not a time"));
        assert!(refusal("0226-11-27T17:00:00Z", &zone("UTC")).contains("1900 and 2100"));
        assert!(refusal("soon", &zone("UTC")).contains("is not a time"));
        assert_eq!(instant("2026-11-27T17:00:00", &Zone::Refused), Ok(None));
    }
}
