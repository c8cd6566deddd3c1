//! Waves under a boat at anchor: she surges to each one, and is pushed to leeward by their groups.
//!
//! The sea is narrow-banded: `ζ(t) = a(t) cos ωt + b(t) sin ωt`, `a` and `b` Gauss-Markov with standard deviation
//! `Hs/4` and a memory of [`GROUP_PERIODS`] periods, so that `A² = a² + b²` is the envelope of its groups.
//!
//! ```text
//! first order   x = ζ(t) / tanh(kd) |sin(kL/2) / (kL/2)|      added to the rode's extension as a prescribed motion
//! drift         F = ½ ρ g B R² A²                             mean (1/16) ρ g B R² Hs²
//! ```
//!
//! The drift pushes slowly with the groups (J. N. Newman's approximation, 1974); `R²` from 0.1 to 0.3 for a fine
//! bow in a head sea (from memory). Long waves move her as they move the water
//! ([`crate::environment::waves::Wave::surge`]); the sine is the mean over her length. Left out: heave and pitch at
//! the roller, short-crestedness.

use rand::Rng;

use super::wandering::Wandering;
use crate::environment::waves::Wave;
use crate::units::{GRAVITY_M_S2, Length, SEA_WATER_KG_M3};

/// Memory of a group of waves, in periods; assumed: a swell's spectrum a tenth of its frequency wide keeps for so
/// long.
pub const GROUP_PERIODS: f64 = 5.0;

/// The waves of a night where she lies.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sea {
    across: [Wandering; 2],
    /// Surge over the elevation.
    surge_share: f64,
    /// Drift over the square of the envelope, N/m².
    drift_n_m2: f64,
    omega: f64,
    cos: f64,
    sin: f64,
    turn: (f64, f64),
    turn_s: f64,
}

/// What the waves do to her at an instant.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Heaving {
    /// She is so far from where she would lie without waves, away from the anchor, m.
    pub surge_m: f64,
    /// And goes so fast, m/s.
    pub surge_ms: f64,
}

impl Sea {
    /// Waves of a significant height and a period over a depth, for a hull of this waterline and beam, pushing with
    /// this share `R²` of total reflection. Two normal draws. `None` unless height, period and depth are positive.
    pub fn begun<R: Rng + ?Sized>(
        (height_m, period_s, depth_m): (f64, f64, f64),
        (waterline_m, beam_m): (f64, f64),
        reflected: f64,
        rng: &mut R,
    ) -> Option<Self> {
        let wave = Wave::new(period_s, Length::metres(depth_m))?;
        let memory_s = GROUP_PERIODS * period_s;
        let across = [(); 2].map(|()| Wandering::begun(height_m / 4.0, memory_s, 1.0, rng));
        let half_turns = 0.5 * wave.wave_number() * waterline_m;
        let over_length = (half_turns.sin() / half_turns).abs();
        (0.0 < height_m && height_m.is_finite()).then(|| Self {
            across,
            surge_share: 2.0 * wave.surge(Length::metres(1.0)).as_metres() * over_length,
            drift_n_m2: 0.5 * SEA_WATER_KG_M3 * GRAVITY_M_S2 * beam_m * reflected,
            omega: core::f64::consts::TAU / period_s,
            cos: 1.0,
            sin: 0.0,
            turn: (1.0, 0.0),
            turn_s: 0.0,
        })
    }
    /// One second on; two normal draws. Returns the drift, N.
    pub fn second<R: Rng + ?Sized>(&mut self, rng: &mut R) -> f64 {
        let [a, b] = self.across.each_mut().map(|w| w.step(rng));
        self.drift_n_m2 * (a * a + b * b)
    }
    /// A step of the motion.
    pub fn step(&mut self, dt_s: f64) -> Heaving {
        if dt_s.to_bits() != self.turn_s.to_bits() {
            self.turn = (self.omega * dt_s).sin_cos();
            self.turn_s = dt_s;
        }
        let (sin, cos) = self.turn;
        (self.cos, self.sin) = (self.cos * cos - self.sin * sin, self.sin * cos + self.cos * sin);
        let [a, b] = self.across.map(|w| w.value() * self.surge_share);
        Heaving { surge_m: a * self.cos + b * self.sin, surge_ms: self.omega * (b * self.cos - a * self.sin) }
    }
}
