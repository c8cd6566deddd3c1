//! A gusting wind: three quick wanderings of its speed, two of its direction, about a mean.
//!
//! `U = mean (1 + I_u (0.50 g₁ + 0.62 g₂ + 0.60 g₃))`, `g` standard Gauss-Markov with memories of 4, 22 and 140 s
//! (the squares of the weights sum to 0.99), and the direction off by 5° over 15 s and 7° over 240 s. A realisation
//! of the slow end of the gust spectra over the sea, where a boat at anchor swings (0.005 to 0.02 Hz): engineering
//! estimate, low confidence. Never below calm.

use rand::Rng;

use super::wandering::Wandering;

/// Memories of the speed, s, and their weights.
const SPEED: [(f64, f64); 3] = [(4.0, 0.50), (22.0, 0.62), (140.0, 0.60)];
/// Memories of the direction, s, and their spreads, degrees.
const DIRECTION: [(f64, f64); 2] = [(15.0, 5.0), (240.0, 7.0)];
/// A step, s: a quarter of the shortest memory.
pub const STEP_S: f64 = 1.0;

/// Expected strongest three seconds of ten minutes, in standard deviations over the mean: of these gusts, measured.
pub const PEAK_OF_TEN_MINUTES: f64 = 2.3;

/// The gusts of a night.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gusts {
    speed: [Wandering; 3],
    direction: [Wandering; 2],
}

/// How the wind differs from its mean at an instant.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Gust {
    /// Over the standard deviation of the speed.
    pub strength: f64,
    /// Off the mean direction, clockwise, degrees, at full turbulence of direction.
    pub veered_deg: f64,
}

impl Gusts {
    /// Already blowing. Five normal draws.
    pub fn begun<R: Rng + ?Sized>(rng: &mut R) -> Self {
        let speed = SPEED.map(|(memory_s, weight)| Wandering::begun(weight, memory_s, STEP_S, rng));
        let direction = DIRECTION.map(|(memory_s, spread)| Wandering::begun(spread, memory_s, STEP_S, rng));
        Self { speed, direction }
    }
    /// One second on. Five normal draws, speed first.
    pub fn step<R: Rng + ?Sized>(&mut self, rng: &mut R) -> Gust {
        Gust {
            strength: self.speed.iter_mut().map(|w| w.step(rng)).sum(),
            veered_deg: self.direction.iter_mut().map(|w| w.step(rng)).sum(),
        }
    }
}
