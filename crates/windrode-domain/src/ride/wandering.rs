//! A quantity that wanders about nothing and forgets: first-order Gauss-Markov.
//!
//! `dx = −x dt/τ + σ √(2/τ) dW`, taken exactly over a step `Δ`: `x ← e^(−Δ/τ) x + σ √(1 − e^(−2Δ/τ)) n`, `n` standard
//! normal. Standard deviation `σ` and correlation `e^(−t/τ)` do not depend on the step. G. E. Uhlenbeck and
//! L. S. Ornstein, "On the theory of the Brownian motion", Physical Review 36 (1930).

use rand::{Rng, RngExt};
use rand_distr::StandardNormal;

/// The state of such a quantity; in the unit of its spread.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wandering {
    value: f64,
    kept: f64,
    kick: f64,
}

impl Wandering {
    /// At rest in the middle: standard deviation `spread` later on, forgetting in `memory_s`, stepped every `step_s`.
    pub fn from_rest(spread: f64, memory_s: f64, step_s: f64) -> Self {
        let kept = (-step_s / memory_s).exp();
        Self { value: 0.0, kept, kick: spread * (1.0 - kept * kept).sqrt() }
    }
    /// Already wandering: begun from the distribution that it keeps.
    pub fn begun<R: Rng + ?Sized>(spread: f64, memory_s: f64, step_s: f64, rng: &mut R) -> Self {
        Self { value: spread * normal(rng), ..Self::from_rest(spread, memory_s, step_s) }
    }
    /// One step on; one normal draw.
    pub fn step<R: Rng + ?Sized>(&mut self, rng: &mut R) -> f64 {
        self.value = self.kept * self.value + self.kick * normal(rng);
        self.value
    }
    /// Where it is now.
    pub const fn value(&self) -> f64 {
        self.value
    }
}

/// A standard normal draw.
pub(crate) fn normal<R: Rng + ?Sized>(rng: &mut R) -> f64 {
    rng.sample(StandardNormal)
}

/// An even draw between two bounds.
pub(crate) fn between<R: Rng + ?Sized>(rng: &mut R, (low, high): (f64, f64)) -> f64 {
    low + (high - low) * rng.random::<f64>()
}

/// Whether something happens that has this chance.
pub(crate) fn happens<R: Rng + ?Sized>(rng: &mut R, chance: f64) -> bool {
    rng.random::<f64>() < chance
}
