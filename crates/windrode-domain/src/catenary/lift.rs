//! The load at which the last link lifts.
//!
//! At lift-off the pull at the anchor lies along the ground, `V = H tan β`, and all of the rode hangs: its height is
//! then an explicit function of the load, and the load is sought at which it is the roller's.

use super::forward::checked_load_n;
use super::walk::{self, Ground, Pull};
use super::{Bed, CatenaryError, Line, Place};
use crate::roots::{self, Bracket};
use crate::units::{Force, Length};

/// When the last link lifts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum LiftOff {
    /// At this horizontal load.
    At(Force),
    /// At none that the gear could bear: the ground rises under the rode as it tautens.
    Never,
    /// Under any load: what is next to the anchor floats, or the rest buoys it up.
    Already,
}

/// The search begins at a load too small to lift anything, N.
const LEAST_LOAD_N: f64 = 1e-3;

impl Line {
    /// The horizontal load at which the last link lifts, the roller at a height above the anchor.
    ///
    /// # Validity
    /// Sought up to the load at which the softest part has doubled its length. Friction does not matter here.
    ///
    /// # Errors
    /// As [`Line::under_load`].
    pub fn lift_off(&self, height: Length, bed: &Bed) -> Result<LiftOff, CatenaryError> {
        let place = Place::of(self, height, bed)?;
        if self.foot == 0 {
            return Ok(LiftOff::Already);
        }
        let clear = |load_n: f64| {
            self.height_lifting(&place.ground, load_n, load_n * place.ground.tan) - place.height_m
        };
        if !(0.0 < clear(LEAST_LOAD_N)) {
            return Ok(LiftOff::Already);
        }
        let mut low = LEAST_LOAD_N;
        while low < self.softest_n {
            // Octaves: short enough that the height falls and rises again at most once within two of them.
            let high = 2.0 * low;
            if !(0.0 < clear(high)) {
                return lift_off_within(low, high, clear);
            }
            if clear(low) <= clear(high) {
                // The least height is passed between half and twice: stretch up the slope outruns the tautening.
                let least = least_between(0.5 * low, high, clear);
                return if clear(least) < 0.0 {
                    lift_off_within(0.5 * low, least, clear)
                } else {
                    Ok(LiftOff::Never)
                };
            }
            low = high;
        }
        Ok(LiftOff::Never)
    }

    /// Height of the upper end when all hangs and the anchor is pulled with `load_n` and `anchor_v`.
    pub(super) fn height_lifting(&self, ground: &Ground, load_n: f64, anchor_v: f64) -> f64 {
        // The walk starts a hair's breadth of rounding above the ground; what it then lets down is as little.
        let pull = Pull { horizontal: load_n, vertical: anchor_v + self.total_n };
        walk::rise(self, ground, pull).z
    }
}

fn lift_off_within(low: f64, high: f64, clear: impl Fn(f64) -> f64) -> Result<LiftOff, CatenaryError> {
    let tolerance = 1e-13 * high;
    let load_n =
        roots::bisect::<CatenaryError>(|load_n| Ok(clear(load_n)), Bracket { low, high }, tolerance)?;
    Ok(LiftOff::At(Force::newtons(checked_load_n(Force::newtons(load_n))?)))
}

/// Where a function with one valley is least, by golden sections, to a millionth of the argument.
fn least_between(mut low: f64, mut high: f64, height: impl Fn(f64) -> f64) -> f64 {
    const GOLDEN: f64 = 0.618_033_988_749_894_9;
    while 1e-6 * high < high - low {
        let inner = GOLDEN * (high - low);
        let (left, right) = (high - inner, low + inner);
        if height(left) < height(right) {
            high = right;
        } else {
            low = left;
        }
    }
    0.5 * (low + high)
}
