//! How often something speaks.

use jiff::Timestamp;

use crate::watch::own_clock::seconds;

/// Weight of a new interval in the usual one: an interval that stays is the usual one after a dozen (a choice).
const WEIGHT: f64 = 0.2;
/// An interval counts for no more than so many times the usual one: one gap does not make a slow instrument.
const GAP_FACTOR: f64 = 3.0;
/// An instrument that speaks irregularly is waited for as long as it lately was silent; that fades with each report.
const LONG_FADES: f64 = 0.8;
/// No longer interval than this is anybody's habit, s.
const LONGEST_S: f64 = 1_800.0;
/// Two reports closer than this are one report told twice, s: some instruments say the same thing in several
/// sentences.
pub(in crate::watch) const ONE_REPORT_S: f64 = 0.05;

/// How often something speaks.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(in crate::watch) struct Interval {
    last: Option<Timestamp>,
    usual_s: Option<f64>,
    long_s: f64,
    heard: u32,
}

impl Interval {
    /// One whose usual interval is known from before.
    pub(in crate::watch) const fn of(usual_s: Option<f64>) -> Self {
        Self { last: None, usual_s, long_s: 0.0, heard: 0 }
    }
    /// It speaks.
    pub(in crate::watch) fn hear(&mut self, at: Timestamp) {
        if let Some(last) = self.last {
            let interval_s = seconds(at, last);
            if !(ONE_REPORT_S <= interval_s) {
                return;
            }
            self.long_s = interval_s.min(LONGEST_S).max(LONG_FADES * self.long_s);
            self.usual_s = Some(match self.usual_s {
                Some(usual_s) => usual_s + (interval_s.min(GAP_FACTOR * usual_s) - usual_s) * WEIGHT,
                None => interval_s,
            });
        }
        self.heard = self.heard.saturating_add(1);
        self.last = Some(at);
    }
    /// When it spoke last.
    pub(in crate::watch) const fn last(&self) -> Option<Timestamp> {
        self.last
    }
    /// Its usual interval, once two reports have come.
    pub(in crate::watch) const fn usual_s(&self) -> Option<f64> {
        self.usual_s
    }
    /// Its usual interval, or half the longest of the last if that is longer: what silence is held against.
    pub(in crate::watch) fn slow_s(&self) -> Option<f64> {
        self.usual_s.map(|usual_s| usual_s.max(0.5 * self.long_s))
    }
    /// How many times it spoke.
    pub(in crate::watch) const fn heard(&self) -> u32 {
        self.heard
    }
    /// How long it has been silent.
    pub(in crate::watch) fn silent_s(&self, now: Timestamp) -> Option<f64> {
        self.last.map(|last| seconds(now, last).max(0.0))
    }
    /// Whether it spoke within so many seconds, or within so many of its usual intervals.
    pub(in crate::watch) fn is_fresh(&self, now: Timestamp, within_s: f64, intervals: f64) -> bool {
        let allowed_s = self.usual_s.map_or(within_s, |usual_s| within_s.max(intervals * usual_s));
        self.silent_s(now).is_some_and(|silent_s| silent_s <= allowed_s)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::watch::own_clock::after;

    #[test]
    fn one_gap_makes_no_slow_instrument_and_a_slow_one_is_known_from_its_second_report() {
        let start = Timestamp::UNIX_EPOCH;
        let mut each_second = Interval::default();
        for second in 0..60 {
            each_second.hear(after(start, f64::from(second)));
        }
        each_second.hear(after(start, 3_600.0));
        assert!(each_second.usual_s().unwrap() < 1.5);
        let mut slow = Interval::default();
        slow.hear(start);
        slow.hear(after(start, 180.0));
        assert_eq!(slow.usual_s(), Some(180.0));
    }
}
