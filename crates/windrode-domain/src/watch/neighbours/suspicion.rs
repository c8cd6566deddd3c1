//! The evidence that a vessel that lay still has left her circle, gathered from report to report.
//!
//! For a place that lies `ν` metres outside a circle with spread `s`, one report says `Huber(ν⁺ / s) − 1.5`
//! against that circle, 5 at most: no report can alarm alone. It is summed for every circle, never below nothing
//! (E. S. Page, "Continuous inspection schemes", Biometrika 41, 1954); to it comes how much less likely the circle
//! was than the best to begin with, and the circle that stands best speaks for her. Places seen while suspicion
//! stands are held back from the fit, so that a drag does not teach the circle to follow it.

use super::circle::{Beyond, Circles, Ride};
use super::motion::Seen;
use crate::position::Offset;

/// Evidence that calls it: two reports far outside, or four of a slow drag. Of boats in the simulated nights of
/// tuning it could be 8 or 6 with as many false calls: what rings falsely is a chain that is drawn straight, not
/// chance.
pub(super) const CALLS: f64 = 6.0;
/// Most that one report can say; and one whose own word for her speed says the same as her place.
pub(super) const LOUDEST: f64 = 5.0;
pub(super) const LOUDEST_TWICE_TOLD: f64 = 9.0;
/// Evidence from which nothing calm is said.
pub(super) const DOUBT: f64 = 4.0;
/// Places held back at most.
pub(super) const MOST_HELD: usize = 16;
/// Reports after which a circle that was less likely, and has nothing against it, is believed; if she lies still
/// on it.
const BELIEVED: usize = 3;
/// Time over which she must lie still, s, and the longest that is looked at: a swing is over in half an hour, a drag
/// of 1 m/min goes 10 m between the halves of 20 minutes.
const STILL_S: f64 = 1200.0;
const LOOKED_AT_S: f64 = 2400.0;
/// How far apart the means of the two halves may be, m: three spreads of a mean of three fixes, and her sheer; as
/// much again for a wide circle.
const STILL_M: f64 = 6.0;

/// Share of the farthest below which she is on her way back.
const FALLS: f64 = 0.7;

/// A place held back.
#[derive(Clone, Copy, Debug)]
pub(super) struct Held {
    pub(super) seen: Seen,
    /// Outside the circle that was likeliest, m.
    pub(super) beyond_m: f64,
}

/// Evidence for her having left her circle.
#[derive(Clone, Debug, Default)]
pub(super) struct Suspicion {
    /// Against the circle that stands best.
    pub(super) sum: f64,
    /// Against the one that was likeliest before, if that is more: another may explain her, but nothing calm is said.
    pub(super) doubt: f64,
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

    #[cfg(test)]
    pub(super) fn bytes(&self) -> usize {
        self.held.capacity() * size_of::<Held>()
    }

    /// Weighs a report.
    pub(super) fn weigh(
        &mut self,
        seen: Seen,
        circles: &mut Circles,
        ride: Ride,
        loudest: f64,
    ) -> Option<Mood> {
        let weighed = circles.weigh(seen.place, ride, loudest)?;
        self.sum = weighed.sum;
        self.doubt = weighed.sum.max(weighed.against_best);
        self.allayed = if weighed.against <= 0.0 && weighed.sum < CALLS { self.allayed + 1 } else { 0 };
        if self.held.len() == MOST_HELD {
            self.held.remove(1);
        }
        if self.held.capacity() == 0 {
            self.held.reserve_exact(MOST_HELD);
        }
        self.held.push(Held { seen, beyond_m: weighed.beyond.metres });
        if weighed.sum <= 0.0
            || (BELIEVED <= self.allayed && self.lies_still(circles.best().map_or(0.0, |best| best.radius_m)))
        {
            circles.acquit();
            let held = core::mem::take(&mut self.held);
            self.clear();
            return Some(Mood::Calm(held));
        }
        Some(Mood::Suspected(weighed.beyond))
    }

    /// Of late she has not gone on.
    pub(super) fn lies_still(&self, radius_m: f64) -> bool {
        let Some(last) = self.held.last() else {
            return false;
        };
        let from = self.held.partition_point(|held| LOOKED_AT_S < last.seen.at_s - held.seen.at_s);
        let late = &self.held[from..];
        let spans = late.first().is_some_and(|first| STILL_S <= last.seen.at_s - first.seen.at_s);
        let (first, second) = late.split_at(late.len() / 2);
        spans
            && middle(first).distance_to(middle(second)).as_metres()
                < STILL_M + (0.05 * radius_m).min(STILL_M)
    }

    /// All places held back, handed out.
    pub(super) fn release(&mut self) -> Vec<Held> {
        let held = core::mem::take(&mut self.held);
        self.clear();
        held
    }

    /// She is on her way back: a dragging anchor never comes.
    pub(super) fn falls(&self) -> bool {
        let most_m = self.held.iter().fold(0.0_f64, |most_m, held| most_m.max(held.beyond_m));
        self.held.last().is_some_and(|last| last.beyond_m < FALLS * most_m)
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

fn middle(held: &[Held]) -> Offset {
    let n = held.len().max(1) as f64;
    let sum = held.iter().fold(Offset::ORIGIN, |sum, held| sum + held.seen.place);
    Offset { east_m: sum.east_m / n, north_m: sum.north_m / n }
}
