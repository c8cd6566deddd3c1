//! The evidence that a vessel that lay still has left her circle, gathered from report to report.
//!
//! For a place that lies `ν` metres outside a circle with spread `s`, one report says `Huber(ν⁺ / s) − 2` against that circle,
//! 5 at most: no report can alarm alone. It is summed for every circle, never below nothing (E. S. Page, "Continuous
//! inspection schemes", Biometrika 41, 1954); to it comes how much less likely the circle was than the best to begin with, and the
//! circle that stands best speaks for her. Places seen while suspicion stands are held back from the fit, so that a drag
//! does not teach the circle to follow it.

use super::circle::{Beyond, Circles};
use super::motion::Seen;
use super::stations::Load;

/// Evidence that calls it: two reports far outside, or four of a slow drag.
pub(super) const CALLS: f64 = 8.0;
/// Evidence from which nothing calm is said.
pub(super) const DOUBT: f64 = 4.0;
/// Places held back at most.
pub(super) const MOST_HELD: usize = 24;
/// Reports after which a circle that was less likely, and has nothing against it, is believed.
const BELIEVED: usize = 3;

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
    held: Vec<Held>,
    allayed: usize,
}

/// What a report has done to suspicion.
#[derive(Clone, Debug)]
pub(super) enum Mood {
    /// It stands.
    Suspected(Beyond),
    /// There is none: these places, held back, may teach.
    Calm(Vec<Held>),
}

impl Suspicion {
    pub(super) fn clear(&mut self) {
        *self = Self::default();
    }

    /// Weighs a report.
    pub(super) fn weigh(&mut self, seen: Seen, circles: &mut Circles, load: Load) -> Option<Mood> {
        let weighed = circles.weigh(seen.place, load)?;
        self.sum = weighed.sum;
        self.allayed = if weighed.against <= 0.0 && weighed.sum < CALLS { self.allayed + 1 } else { 0 };
        if self.held.len() == MOST_HELD {
            self.held.remove(1);
        }
        self.held.push(Held { seen, beyond: weighed.beyond });
        if weighed.sum <= 0.0 || BELIEVED <= self.allayed {
            circles.acquit();
            let held = core::mem::take(&mut self.held);
            self.clear();
            return Some(Mood::Calm(held));
        }
        Some(Mood::Suspected(weighed.beyond))
    }

    /// All places held back, handed out.
    pub(super) fn release(&mut self) -> Vec<Held> {
        let held = core::mem::take(&mut self.held);
        self.clear();
        held
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
