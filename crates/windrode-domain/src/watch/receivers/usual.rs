//! What is usual with a receiver: a figure's habit, and whether it has sunk from it.

use jiff::Timestamp;

use crate::watch::own_clock::seconds;

/// Reports before the habit is taken as known: half a minute of a receiver that speaks each second, enough that its
/// first reports of a cold start do not make it (a choice).
const KNOWN_AFTER: u32 = 30;
/// Weight of one report in the habit, once known: ten minutes of a receiver that speaks each second, longer than a
/// squall's heel or a bridge, shorter than a constellation's rise and set (a choice).
const WEIGHT: f64 = 1.0 / 600.0;

/// A figure's habit.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Usual {
    mean: f64,
    heard: u32,
    low_since: Option<Timestamp>,
}

impl Usual {
    /// The habit, once it is known.
    pub(super) fn known(&self) -> Option<f64> {
        (KNOWN_AFTER <= self.heard).then_some(self.mean)
    }
    /// A figure comes; `is_low(figure, habit)` says whether it has sunk. Seconds for which it has been low without a
    /// break; the habit does not follow it down meanwhile.
    pub(super) fn hear(
        &mut self,
        figure: f64,
        at: Timestamp,
        is_low: impl Fn(f64, f64) -> bool,
    ) -> Option<f64> {
        if self.known().is_some_and(|usual| is_low(figure, usual)) {
            let since = *self.low_since.get_or_insert(at);
            return Some(seconds(at, since));
        }
        self.low_since = None;
        self.heard = self.heard.saturating_add(1);
        let weight = WEIGHT.max(1.0 / f64::from(self.heard));
        self.mean += (figure - self.mean) * weight;
        None
    }
}
