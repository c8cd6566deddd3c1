//! The receiver's clock: times of day, dates, ZDA, and the stamps of a logger.
//!
//! ```text
//! ZDA,hhmmss.ss,dd,mm,yyyy,zone hours,zone minutes          UTC; the zone is the ship's own and is not applied
//! PGHP,1,yyyy,mm,dd,hh,mm,ss,ms,country,region,…            a shore station's stamp for the AIS sentence that follows
//! ```
//!
//! A time of day alone is no instant. The date comes from RMC or ZDA and is carried to the sentences of the
//! same receiver by `observe`, never invented. RMC tells two digits of the year: those from 80 on are of the
//! 1900s, since GPS time begins in January 1980 (IS-GPS-200), the others of the 2000s. A leap second,
//! `235960`, is the first instant of the next day, as in POSIX time, which has no room for it.
//!
//! PGHP as it stands in the public AIS logs of the Danish Maritime Authority; the order of its fields was
//! read off them.

use jiff::Timestamp;
use jiff::civil::{Date, DateTime, Time};
use jiff::tz::TimeZone;

use super::fields::{Fields, whole};
use super::refusal::{Fault, Refusal};
use super::sentence::Sentence;

/// A time of day, UTC.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct UtcTime {
    hour: i8,
    minute: i8,
    second: i8,
    nanosecond: i32,
}

impl UtcTime {
    /// `None` unless `hour < 24`, `minute < 60`, `second <= 60`, `nanosecond < 10⁹`.
    pub fn new(hour: i8, minute: i8, second: i8, nanosecond: i32) -> Option<Self> {
        let can_be = (0..24).contains(&hour)
            && (0..60).contains(&minute)
            && (0..=60).contains(&second)
            && (0..1_000_000_000).contains(&nanosecond);
        can_be.then_some(Self { hour, minute, second, nanosecond })
    }

    /// Reads `hhmmss` with any decimals; beyond nanoseconds they are cut.
    pub(super) fn read(text: &str) -> Result<Self, Fault> {
        let (clock, decimals) = text.split_once('.').unwrap_or((text, ""));
        if clock.len() != 6 || decimals.bytes().any(|byte| !byte.is_ascii_digit()) {
            return Err(Fault::NotANumber);
        }
        let digits = whole(clock).ok_or(Fault::NotANumber)?;
        let part = |value: u32| i8::try_from(value % 100).unwrap_or(i8::MAX);
        let nanosecond = decimals
            .bytes()
            .chain(core::iter::repeat(b'0'))
            .take(9)
            .fold(0_i32, |sum, byte| 10 * sum + i32::from(byte - b'0'));
        Self::new(part(digits / 10_000), part(digits / 100), part(digits), nanosecond)
            .ok_or(Fault::OutOfRange)
    }

    /// The time of day of an instant.
    pub fn of(instant: Timestamp) -> Self {
        let civil = TimeZone::UTC.to_datetime(instant);
        let (hour, minute, second) = (civil.hour(), civil.minute(), civil.second());
        Self { hour, minute, second, nanosecond: civil.subsec_nanosecond() }
    }

    /// The instant at which it was this time on a date.
    pub fn on(self, date: Date) -> Option<Timestamp> {
        let leap = i64::from(self.second == 60);
        let time = Time::new(self.hour, self.minute, self.second.min(59), self.nanosecond).ok()?;
        let instant = TimeZone::UTC.to_timestamp(DateTime::from_parts(date, time)).ok()?;
        instant.checked_add(jiff::SignedDuration::from_secs(leap)).ok()
    }

    /// The instant at which it was this time that lies nearest to another, at most half a day off.
    pub fn nearest(self, to: Timestamp) -> Option<Timestamp> {
        let day = TimeZone::UTC.to_datetime(to).date();
        let days = [day.yesterday().ok(), Some(day), day.tomorrow().ok()];
        let instants = days.into_iter().flatten().filter_map(|date| self.on(date));
        instants.min_by_key(|instant| instant.duration_since(to).abs())
    }

    /// Hours, minutes, whole seconds, nanoseconds.
    pub const fn parts(self) -> (i8, i8, i8, i32) {
        (self.hour, self.minute, self.second, self.nanosecond)
    }
}

/// Time and date: ZDA.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Zda {
    /// Time of day, UTC.
    pub time: Option<UtcTime>,
    /// Date, UTC.
    pub date: Option<Date>,
}

impl Zda {
    /// The instant, if both halves are given.
    pub fn instant(&self) -> Option<Timestamp> {
        self.time?.on(self.date?)
    }

    pub(super) fn read(sentence: &Sentence<'_>) -> Result<Self, Refusal> {
        let mut fields = Fields::of(sentence, "ZDA", 4)?;
        let time = fields.time()?;
        let (day, month) = (fields.count::<i8>("day")?, fields.count::<i8>("month")?);
        let year = fields.count::<i16>("year")?;
        let date = match (day, month, year) {
            (None, None, None) => None,
            (Some(day), Some(month), Some(year)) => {
                Some(Date::new(year, month, day).map_err(|_| fields.refuse("date", Fault::OutOfRange))?)
            }
            _ => return Err(fields.refuse("date", Fault::HalfGiven)),
        };
        Ok(Self { time, date })
    }
}

/// `ddmmyy`.
pub(super) fn date_of_six(text: &str) -> Result<Date, Fault> {
    let digits = Some(text).filter(|text| text.len() == 6).and_then(whole).ok_or(Fault::NotANumber)?;
    let part = |value: u32| i8::try_from(value % 100).unwrap_or(i8::MAX);
    let year = i16::from(part(digits));
    let year = if year < 80 { 2000 + year } else { 1900 + year };
    Date::new(year, part(digits / 100), part(digits / 10_000)).map_err(|_| Fault::OutOfRange)
}

/// The stamp of a logger: `PGHP,1`. It tells when the sentences behind it were received ashore.
pub(super) fn logger_stamp(sentence: &Sentence<'_>) -> Result<Timestamp, Refusal> {
    let mut fields = Fields::of(sentence, "PGHP", 8)?;
    fields.skip(1);
    let mut part = |what| fields.count::<i16>(what)?.ok_or_else(|| fields.refuse(what, Fault::HalfGiven));
    let (year, month, day) = (part("year")?, part("month")?, part("day")?);
    let (hour, minute, second) = (part("hour")?, part("minute")?, part("second")?);
    let millisecond = part("millisecond")?;
    let small = |value: i16| i8::try_from(value).unwrap_or(i8::MAX);
    let date = Date::new(year, small(month), small(day)).ok();
    let time = UtcTime::new(small(hour), small(minute), small(second), i32::from(millisecond) * 1_000_000);
    let instant = date.zip(time).and_then(|(date, time)| time.on(date));
    instant.ok_or_else(|| fields.refuse("time", Fault::OutOfRange))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn decimals_of_a_second_are_kept() {
        assert_eq!(UtcTime::read("094737.250").unwrap().parts(), (9, 47, 37, 250_000_000));
        assert_eq!(UtcTime::read("240000"), Err(Fault::OutOfRange));
        assert_eq!(UtcTime::read("9:47"), Err(Fault::NotANumber));
    }

    #[test]
    fn a_year_of_two_digits_is_of_the_century_in_which_receivers_were() {
        assert_eq!(date_of_six("200818").unwrap(), Date::constant(2018, 8, 20));
        assert_eq!(date_of_six("050180").unwrap(), Date::constant(1980, 1, 5));
        assert_eq!(date_of_six("311279").unwrap(), Date::constant(2079, 12, 31));
        assert_eq!(date_of_six("310299"), Err(Fault::OutOfRange));
    }

    #[test]
    fn a_time_near_midnight_falls_on_the_nearer_day() {
        let just_before: Timestamp = "2026-12-31T23:59:59Z".parse().unwrap();
        let after = UtcTime::read("000001").unwrap().nearest(just_before).unwrap();
        assert_eq!(after, "2027-01-01T00:00:01Z".parse().unwrap());
        let just_after: Timestamp = "2027-01-01T00:00:01Z".parse().unwrap();
        assert_eq!(UtcTime::read("235959").unwrap().nearest(just_after), Some(just_before));
    }

    #[test]
    fn a_leap_second_is_the_first_of_the_next_day() {
        let leap = UtcTime::read("235960").unwrap().on(Date::constant(2016, 12, 31)).unwrap();
        assert_eq!(leap, "2017-01-01T00:00:00Z".parse().unwrap());
    }
}
