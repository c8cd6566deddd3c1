//! Depth of water at the anchor: what was given there with the tide's rise since, else the sounder's.
//!
//! The sounder reads below the boat, which lies a rode's length off the anchor on ground that may slope. So a depth
//! that was given at the anchor is the better, as long as the tide is foretold. Where it is not, the sounder's ten
//! minutes show the rise and fall that a depth given once does not.

use jiff::Timestamp;

use crate::units::Length;
use crate::watch::given::{Expected, ExpectedAt, Given};
use crate::watch::own_clock::{after, seconds};

/// Time over which the sounder is smoothed, s: over swell and her swinging across a slope, not over the tide.
const SOUNDER_S: f64 = 300.0;
/// Steps further apart than this are not joined by a straight line, s: a tide turns in six hours.
const STEPS_S: f64 = 2.0 * 3_600.0;

/// The sounder, smoothed.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct SmoothSounder {
    last: Option<(Timestamp, f64)>,
}

impl SmoothSounder {
    /// A depth comes, m.
    pub(super) fn hear(&mut self, at: Timestamp, depth_m: f64) {
        let mean_m = match self.last {
            Some((before, mean_m)) => {
                let share = 1.0 - (-seconds(at, before).max(0.0) / SOUNDER_S).exp();
                mean_m + (depth_m - mean_m) * share
            }
            None => depth_m,
        };
        self.last = Some((at, mean_m));
    }
    fn within(&self, now: Timestamp) -> Option<Length> {
        let (at, mean_m) = self.last?;
        (seconds(now, at) <= 2.0 * SOUNDER_S).then_some(Length::metres(mean_m))
    }
}

/// Depth of water at the anchor; `told` is now by the boat's clock, by which the tide is foretold.
pub(super) fn at_anchor(
    given: &Given,
    sounder: &SmoothSounder,
    now: Timestamp,
    told: Timestamp,
) -> Option<Length> {
    let expected = given.expected.as_ref();
    let tide = |at| expected.and_then(|expected| foretold(expected, at, |step| step.tide));
    let given_now = match (given.depth, tide(given.from), tide(told)) {
        (Some(depth), Some(then), Some(tide)) => Some(depth + (tide - then)),
        _ => None,
    };
    given_now
        .or_else(|| expected.and_then(|expected| foretold(expected, told, |step| step.water)))
        .or_else(|| sounder.within(now))
        .or(given.depth)
        .filter(|depth| depth.is_finite())
}

/// A figure foretold for an instant, straight between the steps; nothing outside them or in a gap.
pub(in crate::watch) fn foretold(
    expected: &Expected,
    at: Timestamp,
    figure: impl Fn(&ExpectedAt) -> Option<Length>,
) -> Option<Length> {
    let (before, next) = steps_about(expected, at)?;
    let (from, to) = (figure(before)?, figure(next)?);
    let gap_s = seconds(next.at, before.at);
    if !(0.0 < gap_s) {
        return Some(from);
    }
    Some(from + (to - from) * (seconds(at, before.at) / gap_s))
}

/// The steps on either side of an instant, one and the same at either end.
pub(in crate::watch) fn steps_about(
    expected: &Expected,
    at: Timestamp,
) -> Option<(&ExpectedAt, &ExpectedAt)> {
    let next = expected.steps.partition_point(|step| step.at < at);
    let to = expected.steps.get(next)?;
    let from = if to.at == at { to } else { expected.steps.get(next.checked_sub(1)?)? };
    (to.at <= after(from.at, STEPS_S)).then_some((from, to))
}
