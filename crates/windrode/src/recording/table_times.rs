//! An instant as tables of recordings write it: RFC 3339 with or without its Z, a blank in place of the T, or seconds
//! since 1970. A time without an offset is UTC: the column is called `t_utc`.

use jiff::civil::DateTime;
use jiff::tz::Offset;
use jiff::{SignedDuration, Timestamp};

/// Nanoseconds in a second.
const NANOSECONDS: u32 = 1_000_000_000;

/// Reads an instant; `None` if it is none.
pub(crate) fn instant(text: &str) -> Option<Timestamp> {
    if text.bytes().all(|byte| byte.is_ascii_digit() || matches!(byte, b'.' | b'-' | b'+')) && !is_date(text)
    {
        return since_1970(text);
    }
    let joined = text.replacen(' ', "T", 1);
    if let Ok(at) = joined.parse::<Timestamp>() {
        return Some(at);
    }
    // A date alone would pass for its midnight.
    if !joined.contains('T') && !joined.contains('t') {
        return None;
    }
    Offset::UTC.to_timestamp(joined.parse::<DateTime>().ok()?).ok()
}

/// A minus after the first character parts a date, and never a number of seconds.
fn is_date(text: &str) -> bool {
    text.get(1..).is_some_and(|rest| rest.contains('-'))
}

/// Whole seconds and their decimals apart, so that no digit is lost to a float: 2026 takes 31 bits before the point.
fn since_1970(text: &str) -> Option<Timestamp> {
    let (whole, decimals) = text.split_once('.').unwrap_or((text, ""));
    let negative = whole.starts_with('-');
    let seconds: i64 = whole.parse().ok()?;
    if decimals.len() > 9 && !decimals.bytes().all(|byte| byte.is_ascii_digit()) {
        return None;
    }
    let decimals = decimals.get(..9).unwrap_or(decimals);
    let nanoseconds: u32 = if decimals.is_empty() { 0 } else { decimals.parse().ok()? };
    let places = u32::try_from(decimals.len()).ok()?;
    let nanoseconds = nanoseconds.checked_mul(10_u32.checked_pow(9_u32.checked_sub(places)?)?)?;
    debug_assert!(nanoseconds < NANOSECONDS);
    let below = SignedDuration::from_nanos(i64::from(nanoseconds));
    let whole = Timestamp::from_second(seconds).ok()?;
    if negative { whole.checked_sub(below) } else { whole.checked_add(below) }.ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(text: &str, same_as: &str) {
        assert_eq!(instant(text), Some(same_as.parse().unwrap()), "{text}");
    }

    #[test]
    fn an_instant_is_written_in_many_ways() {
        check("2014-08-14T21:09:10", "2014-08-14T21:09:10Z");
        check("2014-08-14T21:09:10Z", "2014-08-14T21:09:10Z");
        check("2014-08-14 21:09:10.25", "2014-08-14T21:09:10.25Z");
        check("2014-08-14 23:09:10+02:00", "2014-08-14T21:09:10Z");
        // Source: date -u -d @1408050550.
        check("1408050550", "2014-08-14T21:09:10Z");
        check("1408050550.125", "2014-08-14T21:09:10.125Z");
        check("1408050550.1234567890123", "2014-08-14T21:09:10.123456789Z");
        check("-0.5", "1969-12-31T23:59:59.5Z");
    }

    #[test]
    fn what_is_no_instant_is_none() {
        for text in [
            "",
            "2014-08-14",
            "yesterday",
            "21:09",
            "2014-13-01T00:00:00",
            "1e9",
            "99999999999999",
            "1.2.3",
            "-",
            ".",
        ] {
            assert_eq!(instant(text), None, "{text}");
        }
    }
}
