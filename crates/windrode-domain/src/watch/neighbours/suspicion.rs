//! The evidence that a vessel that lay still has left her circle, gathered from report to report.
//!
//! For a place that lies `ν` metres outside a circle with spread `s`, the evidence of one report is the least over all circles
//! that are still possible of `Huber(ν⁺ / s) + how much less likely the circle is`, less an allowance for every report, and
//! is held between −1.1 and 5: no report can alarm alone. It is summed, never below nothing (E. S. Page, "Continuous inspection
//! schemes", Biometrika 41, 1954). Places seen while suspicion stands are held back from the fit, so that a drag does not
//! teach the circle to follow it.

use super::circle::{Beyond, Circles, huber_cost};
use super::motion::Seen;
use crate::position::Offset;

/// Evidence that calls it: two reports far outside, or four of a slow drag.
pub(super) const CALLS: f64 = 8.0;
/// Evidence from which nothing calm is said.
pub(super) const DOUBT: f64 = 4.0;
/// Taken off every report: one and a half spreads outside is neither here nor there.
const ALLOWANCE: f64 = 1.1;
/// Most that one report can say.
const LOUDEST: f64 = 5.0;
/// Places held back at most.
pub(super) const MOST_HELD: usize = 24;

/// A place held back.
#[derive(Clone, Copy, Debug)]
pub(super) struct Held {
    pub(super) seen: Seen,
    pub(super) beyond: Beyond,
}

/// Evidence for her having left her circle.
#[derive(Clone, Debug, Default)]
pub(super) struct Suspicion {
    pub(super) sum: f64,
    pub(super) held: Vec<Held>,
}

impl Suspicion {
    pub(super) fn clear(&mut self) {
        self.sum = 0.0;
        self.held.clear();
    }

    /// Weighs a report; the places held back are handed out again when suspicion has gone.
    pub(super) fn weigh(&mut self, seen: Seen, circles: &Circles) -> Option<Beyond> {
        let (evidence, beyond) = evidence(seen.place, circles)?;
        self.sum = (self.sum + (evidence - ALLOWANCE).min(LOUDEST)).max(0.0);
        if 0.0 < self.sum {
            if self.held.len() == MOST_HELD {
                self.held.remove(1);
            }
            self.held.push(Held { seen, beyond });
        }
        Some(beyond)
    }

    /// Reports since suspicion began.
    pub(super) fn reports(&self) -> usize {
        self.held.len()
    }

    pub(super) fn first(&self) -> Option<&Held> {
        self.held.first()
    }

    pub(super) fn last(&self) -> Option<&Held> {
        self.held.last()
    }

    /// How far she went from the last report but one to the last, m.
    pub(super) fn last_step_m(&self) -> Option<f64> {
        let [.., before, last] = self.held.as_slice() else {
            return None;
        };
        Some(before.seen.place.distance_to(last.seen.place).as_metres())
    }
}

/// The least evidence among the possible circles, and what that circle says of the place.
pub(super) fn evidence(place: Offset, circles: &Circles) -> Option<(f64, Beyond)> {
    circles
        .possible()
        .map(|(circle, worse)| {
            let beyond = circle.beyond(place);
            let z = (beyond.metres / beyond.spread_m).max(0.0);
            (worse + huber_cost(z, 2.5), beyond)
        })
        .min_by(|a, b| a.0.total_cmp(&b.0))
}
