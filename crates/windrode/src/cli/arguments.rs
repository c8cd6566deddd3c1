//! What is typed after a flag: positions, instants, lengths of time. Each is parsed once, here, and says what it
//! wanted when it could not.

use jiff::{SignedDuration, Timestamp, civil, tz};
use windrode_domain::position::Position;

use crate::quantity;

/// A position, written as in the files: `LAT,LON` in decimal degrees, north and east positive, longitudes as ±180 or
/// 0 to 360; or degrees, minutes and seconds with N, S, E, W.
pub(crate) fn position(text: &str) -> Result<Position, String> {
    quantity::position(text).map_err(|error| error.to_string())
}

/// An instant: RFC 3339 with its offset (`2026-11-27T05:00:00Z`), or a date, which begins at 0 h UTC.
pub(crate) fn instant(text: &str) -> Result<Timestamp, String> {
    if let Ok(at) = text.parse::<Timestamp>() {
        return Ok(at);
    }
    // A time without an offset also parses as a date; it must not pass for midnight.
    let date = (!text.contains([':', 'T', 't', ' '])).then(|| text.parse::<civil::Date>().ok()).flatten();
    let begun = date.and_then(|date| tz::Offset::UTC.to_timestamp(date.at(0, 0, 0, 0)).ok());
    begun.ok_or_else(|| {
        "wanted a date (2026-11-27, 0 h UTC) or a time with its offset (2026-11-27T05:00:00Z)".to_owned()
    })
}

/// A length of time, more than nothing: `10min`, `1h`, `90s`, `PT6M`.
pub(crate) fn duration(text: &str) -> Result<SignedDuration, String> {
    let wanted = "wanted a length of time such as 10min, 1h or 90s";
    let length: SignedDuration = text.parse().map_err(|_| wanted.to_owned())?;
    if length.is_positive() { Ok(length) } else { Err(format!("{wanted}, more than nothing")) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn positions_are_told_either_way_round() {
        let west = position("41.5, -71.25").expect("a position");
        let east = position("41.5,288.75").expect("a position");
        assert!((west.longitude_deg() - east.longitude_deg()).abs() < 1e-12);
        assert!(position("-41.2,174.8").expect("a position").latitude_deg() < 0.0);
        assert_eq!(position("41°12'S 174°48'E"), position("-41.2,174.8"));
    }

    #[test]
    fn what_is_no_position_is_refused() {
        for text in ["", "41.5", "91,0", "0,361", "nan,0", "0,inf", "1;2", "1,2,3"] {
            assert!(position(text).is_err(), "{text}");
        }
    }

    #[test]
    fn a_date_begins_at_midnight_and_a_time_needs_its_offset() {
        assert_eq!(instant("2026-11-27"), instant("2026-11-27T00:00:00Z"));
        assert_eq!(instant("2026-11-27T01:00:00+01:00"), instant("2026-11-27"));
        for text in ["", "2026-11-27T05:00:00", "2026-11-27 05:00", "2026-13-01", "yesterday"] {
            assert!(instant(text).is_err(), "{text}");
        }
    }

    #[test]
    fn lengths_of_time_are_more_than_nothing() {
        assert_eq!(duration("10min"), Ok(SignedDuration::from_mins(10)));
        assert_eq!(duration("1h30m"), Ok(SignedDuration::from_mins(90)));
        for text in ["", "10", "0s", "-5min", "1 fortnight"] {
            assert!(duration(text).is_err(), "{text}");
        }
    }
}
