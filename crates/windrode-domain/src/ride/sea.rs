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
    /// `a` and `b` at this step, and how fast they change: straight between seconds, so that no jump moves her.
    now: [f64; 2],
    change_1_s: [f64; 2],
    /// Surge over the elevation.
    surge_share: f64,
    /// Drift over the square of the envelope, N/m².
    drift_n_m2: f64,
    /// Height over what it began with.
    grown: f64,
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
            now: across.map(|w| w.value()),
            change_1_s: [0.0; 2],
            across,
            surge_share: 2.0 * wave.surge(Length::metres(1.0)).as_metres() * over_length,
            drift_n_m2: 0.5 * SEA_WATER_KG_M3 * GRAVITY_M_S2 * beam_m * reflected,
            grown: 1.0,
            omega: core::f64::consts::TAU / period_s,
            cos: 1.0,
            sin: 0.0,
            turn: (1.0, 0.0),
            turn_s: 0.0,
        })
    }
    /// The waves are now so many times as high as they began.
    pub const fn grow_to(&mut self, grown: f64) {
        self.grown = grown;
    }
    /// The coming second; two normal draws. Returns the drift at its end, N.
    pub fn second<R: Rng + ?Sized>(&mut self, rng: &mut R) -> f64 {
        self.now = self.across.map(|w| w.value());
        let [a, b] = self.across.each_mut().map(|w| w.step(rng));
        self.change_1_s = [a - self.now[0], b - self.now[1]];
        self.drift_n_m2 * self.grown * self.grown * (a * a + b * b)
    }
    /// A step of the motion.
    pub fn step(&mut self, dt_s: f64) -> Heaving {
        if dt_s.to_bits() != self.turn_s.to_bits() {
            self.turn = (self.omega * dt_s).sin_cos();
            self.turn_s = dt_s;
        }
        let (sin, cos) = self.turn;
        (self.cos, self.sin) = (self.cos * cos - self.sin * sin, self.sin * cos + self.cos * sin);
        let [da, db] = self.change_1_s;
        self.now = [self.now[0] + da * dt_s, self.now[1] + db * dt_s];
        let [a, b] = self.now;
        let (cos, sin) = (self.cos, self.sin);
        let rising_ms = self.omega * (b * cos - a * sin) + da * cos + db * sin;
        let share = self.surge_share * self.grown;
        Heaving { surge_m: share * (a * cos + b * sin), surge_ms: share * rising_ms }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use rand_pcg::Pcg64;
    use rand_pcg::rand_core::SeedableRng;

    const STEPS: u32 = 8;

    /// Surge of an hour and more, step by step, and the drift of each second.
    fn moved(height_m: f64, period_s: f64, seconds: u32) -> (Vec<Heaving>, Vec<f64>) {
        let mut rng = Pcg64::seed_from_u64(8);
        let mut sea = Sea::begun((height_m, period_s, 6.0), (10.8, 3.8), 0.2, &mut rng).unwrap();
        let (mut surges, mut drifts) = (Vec::new(), Vec::new());
        for _ in 0..seconds {
            drifts.push(sea.second(&mut rng));
            surges.extend((0..STEPS).map(|_| sea.step(1.0 / f64::from(STEPS))));
        }
        (surges, drifts)
    }

    #[test]
    fn she_is_where_her_speed_has_brought_her() {
        let (surges, _) = moved(1.0, 4.0, 1200);
        for (i, pair) in (1..).zip(surges.windows(2)) {
            let went_m = pair[1].surge_m - pair[0].surge_m;
            let dt_s = 1.0 / f64::from(STEPS);
            if i % STEPS == 0 {
                // Where two seconds meet only the speed breaks. The last speed alone misses half ω² A dt²: 1 to 2 cm
                // here.
                assert!((went_m - dt_s * pair[1].surge_ms).abs() < 0.025, "{pair:?}");
            } else {
                // A trapezium misses A (ω dt)³/12, a third of a millimetre here.
                let should_m = 0.5 * dt_s * (pair[0].surge_ms + pair[1].surge_ms);
                assert!((went_m - should_m).abs() < 1e-3, "{pair:?}");
            }
        }
    }

    // Source: the mean drift of an irregular sea is a sixteenth of ρ g B R² Hs² (H. Maruo, 1960; from memory).
    #[test]
    fn the_mean_drift_is_a_sixteenth_of_the_height_squared() {
        let (_, drifts) = moved(1.0, 4.0, 400_000);
        let mean_n = drifts.iter().sum::<f64>() / drifts.len() as f64;
        let should_n = 1025.0 * 9.806_65 * 3.8 * 0.2 / 16.0;
        // Ten thousand groups, each as variable as its mean is large: 1 %.
        assert!((mean_n / should_n - 1.0).abs() < 0.04, "{mean_n} {should_n}");
    }
}
