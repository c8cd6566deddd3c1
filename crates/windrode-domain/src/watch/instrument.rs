//! An instrument's last word, from one source as long as that one speaks.

use jiff::Timestamp;

use super::observation::Source;
use super::own_clock::seconds;
use super::receivers::interval::Interval;

/// Another source is taken when the one used has been silent for so long, s, or for so many of its intervals: two
/// compasses or two wind vanes differ, and a word that hops between them would be taken for her turning.
const STALE_S: f64 = 5.0;
/// See [`STALE_S`].
const STALE_INTERVALS: f64 = 3.0;

/// An instrument's last word.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Instrument<T> {
    last: Option<(Source, Timestamp, T)>,
    interval: Interval,
}

impl<T> Default for Instrument<T> {
    fn default() -> Self {
        Self { last: None, interval: Interval::default() }
    }
}

/// What became of a word.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Heard {
    /// It is the last word now.
    Taken,
    /// It comes from another source than the one used.
    FromAnother,
    /// It came after a later one.
    Late,
}

impl<T: Copy> Instrument<T> {
    /// A word comes.
    pub(super) fn hear(&mut self, source: Source, at: Timestamp, said: T) -> Heard {
        match self.last {
            Some((used, _, _)) if used != source => {
                if self.interval.is_fresh(at, STALE_S, STALE_INTERVALS) {
                    return Heard::FromAnother;
                }
                self.interval = Interval::default();
            }
            Some((_, last, _)) if at < last => return Heard::Late,
            _ => {}
        }
        self.interval.hear(at);
        self.last = Some((source, at, said));
        Heard::Taken
    }
    /// The last word, if it is no older than so many seconds.
    pub(super) fn within(&self, now: Timestamp, within_s: f64) -> Option<T> {
        self.last.filter(|&(_, at, _)| seconds(now, at).abs() <= within_s).map(|(_, _, said)| said)
    }
    /// How often it speaks.
    pub(super) const fn interval(&self) -> &Interval {
        &self.interval
    }
}
