//! A curve that hangs on another's turns.
//!
//! Where only differences on a reference are known, its turns are moved in time and height, and between two of them
//! the reference's own curve is stretched to fit: time in proportion, height in proportion,
//!
//! ```text
//! t_ref = t₀ + (t − t₀′)(t₁ − t₀)/(t₁′ − t₀′)
//! h(t)  = h₀′ + (h_ref(t_ref) − h₀)(h₁′ − h₀′)/(h₁ − h₀)
//! ```
//!
//! primes at the place, bare letters at the reference. It meets every moved turn exactly and keeps the reference's
//! shape, double highs included.
//!
//! # Validity
//!
//! Published differences fix the turns only. Between them the shape is an assumption, good where the two places
//! have the same kind of tide (tables that give differences presuppose it); expect a few per cent of the range.
//! Where the differences would put two turns in the wrong order, both are left out of the shape: a wave so small
//! that it vanishes on the way.

use jiff::Timestamp;

use super::harmonic::{Curve, Reckoned, Turn, later};
use super::{TideError, TideEvent};
use crate::span::Span;

/// One turn, at the reference and at the place.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Knot {
    pub(crate) there: Timestamp,
    pub(crate) there_value: f64,
    pub(crate) here: Timestamp,
    pub(crate) here_value: f64,
}

/// The reference's curve, stretched to meet the place's turns.
#[derive(Clone, Debug)]
pub(crate) struct Warp {
    reference: Reckoned,
    knots: Vec<Knot>,
}

impl Warp {
    /// Stretches a curve over turns given in the order of the reference.
    pub(crate) fn new(reference: Reckoned, turns: impl IntoIterator<Item = Knot>) -> Self {
        let mut knots: Vec<Knot> = Vec::new();
        for knot in turns {
            if knots.last().is_some_and(|last| knot.here <= last.here) {
                knots.pop();
            } else {
                knots.push(knot);
            }
        }
        Self { reference, knots }
    }

    /// Stretches the reference's curve over its turns as differences move them.
    ///
    /// # Errors
    /// As the reckoning of the curve from one instant to the other.
    pub(crate) fn over(
        curve: &Curve,
        span: Span,
        moved: impl Fn(&TideEvent) -> TideEvent,
    ) -> Result<Self, TideError> {
        let reckoned = curve.reckoned(span.from(), span.to())?;
        let knot = |turn: Turn| {
            let here = moved(&TideEvent::from(turn));
            let here_value = here.height.0.as_metres();
            Knot { there: turn.at, there_value: turn.value, here: here.at, here_value }
        };
        let knots: Vec<Knot> = reckoned.turns().into_iter().map(knot).collect();
        Ok(Self::new(reckoned, knots))
    }

    /// What the place reads; `None` before its first turn and after its last.
    pub(crate) fn value(&self, at: Timestamp) -> Option<f64> {
        let after = self.knots.partition_point(|knot| knot.here <= at);
        let before = self.knots.get(after.checked_sub(1)?)?;
        let Some(next) = self.knots.get(after) else {
            return (before.here == at).then_some(before.here_value);
        };
        let along = seconds(before.here, at) / seconds(before.here, next.here);
        let there = later(before.there, along * seconds(before.there, next.there));
        let moved = next.there_value - before.there_value;
        // A reference that does not move between its turns has no shape to lend.
        let risen =
            if moved == 0.0 { along } else { (self.reference.value(there) - before.there_value) / moved };
        Some(before.here_value + risen * (next.here_value - before.here_value))
    }
}

fn seconds(from: Timestamp, to: Timestamp) -> f64 {
    to.duration_since(from).as_secs_f64()
}

#[cfg(test)]
mod tests {
    use super::super::harmonic::{Convention, Curve};
    use super::*;

    fn at(minute: i64) -> Timestamp {
        Timestamp::from_second(1_800_000_000 + 60 * minute).expect("an instant")
    }

    fn knot(there: i64, here: i64, value: f64) -> Knot {
        Knot { there: at(there), there_value: value, here: at(here), here_value: value }
    }

    #[test]
    fn turns_that_the_differences_put_in_the_wrong_order_are_left_out_of_the_shape() {
        let flat = Curve::new(0.0, vec![], Convention::Continuous).expect("a curve");
        let reckoned = flat.reckoned(at(0), at(600)).expect("a valid year");
        // The low at 200 and the high at 230 there would come at 260 and 220 here.
        let turns = [knot(0, 0, 1.0), knot(200, 260, 0.40), knot(230, 220, 0.45), knot(600, 600, 0.0)];
        let warp = Warp::new(reckoned, turns);
        let mut before = warp.value(at(0)).expect("within the turns");
        for minute in 1..=600 {
            let now = warp.value(at(minute)).expect("within the turns");
            assert!(now <= before, "{minute}: {now} after {before}");
            before = now;
        }
        assert_eq!(warp.value(at(-1)), None);
        assert_eq!(warp.value(at(601)), None);
    }
}
