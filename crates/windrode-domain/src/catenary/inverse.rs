//! From a distance to the load: the load is sought at which the rode reaches so far.

use super::walk::{self, Pull};
use super::{Bed, CatenaryError, Lie, Line, Place};
use crate::roots::{self, Bracket, Tangent};
use crate::units::Length;

/// Below a thousandth of a newton a rode does not pull.
const LEAST_LOAD_N: f64 = 1e-3;

/// The search ends with a step this small in the logarithm of the load; its square is below rounding.
const LOG_STEP: f64 = 1e-9;

impl Line {
    /// How the rode lies with the roller at a level distance from the anchor and a height above it.
    ///
    /// # Validity
    /// From a thousandth of a newton to the load at which the softest part has doubled its length.
    ///
    /// # Errors
    /// As [`Line::under_load`]; [`CatenaryError::TooNear`] where the rode hangs slack,
    /// [`CatenaryError::TooFar`] where
    /// it cannot reach.
    pub fn at_distance(&self, height: Length, distance: Length, bed: &Bed) -> Result<Lie, CatenaryError> {
        let place = Place::of(self, height, bed)?;
        let distance_m = distance.as_metres();
        if !(0.0 <= distance_m && distance_m.is_finite()) {
            return Err(CatenaryError::Distance { distance });
        }
        let guess_n = self.load_guess(&place, distance_m);
        let mut vertical_n = self.vertical_guess(&place, guess_n);
        let mut solved: Option<(f64, f64)> = None;
        let short_of = |log_load: f64| -> Result<Tangent, CatenaryError> {
            let load_n = log_load.exp();
            if let Some((before_n, slope)) = solved {
                vertical_n += slope * (load_n - before_n);
            }
            let pull = match self.pull_at(&place, load_n, vertical_n) {
                Ok(pull) => pull,
                // Stretched up the slope, it no longer fits under the roller: such a load is too great.
                Err(CatenaryError::GroundAboveRoller { .. }) => {
                    return Ok(Tangent { value: f64::INFINITY, slope: 1.0 });
                }
                Err(other) => return Err(other),
            };
            let (spread, _) = walk::spread(self, &place.ground, pull);
            vertical_n = pull.vertical;
            solved = Some((load_n, -spread.z_h / spread.z_v));
            Ok(Tangent { value: spread.x - distance_m, slope: spread.give_m_n() * load_n })
        };
        let bracket = Bracket { low: LEAST_LOAD_N.ln(), high: self.softest_n.ln() };
        let log_load = roots::newton(short_of, bracket, guess_n.ln(), LOG_STEP)?;
        // The search ends at an end of its bracket when the distance is beyond it.
        if log_load <= bracket.low + LOG_STEP || bracket.high - LOG_STEP <= log_load {
            return Err(self.out_of_reach(&place, distance));
        }
        let load_n = log_load.exp();
        let pull: Pull = self.pull_at(&place, load_n, vertical_n)?;
        self.lie_of(&place, pull)
    }

    /// Which end of the model a distance lies beyond.
    fn out_of_reach(&self, place: &Place, distance: Length) -> CatenaryError {
        let reach = |load_n: f64| {
            self.pull_at(place, load_n, self.vertical_guess(place, load_n))
                .map(|pull| Length::metres(walk::spread(self, &place.ground, pull).0.x))
        };
        match (reach(LEAST_LOAD_N), reach(self.softest_n)) {
            (Ok(plumb), _) if distance <= plumb => CatenaryError::TooNear { distance, plumb },
            (Ok(_), Ok(farthest)) => CatenaryError::TooFar { distance, farthest },
            (Err(error), _) | (Ok(_), Err(error)) => error,
        }
    }

    /// A first guess at the load: the rode taken as even, flat-lying and taut.
    ///
    /// The sag shortens a taut line by `w² d³ / 24 H²` and stretch lengthens it by `c H`; the distance wanting to the
    /// chord is their difference.
    fn load_guess(&self, place: &Place, distance_m: f64) -> f64 {
        let chord_m = (self.length_m * self.length_m - place.height_m * place.height_m).sqrt();
        let weight_n_m = self.total_n.abs() / self.length_m;
        let wanting_m = chord_m - distance_m;
        let ratio = chord_m / distance_m.max(1e-3 * chord_m);
        let sagging_n = weight_n_m * distance_m / (2.0 * (3.0 * (ratio * ratio - 1.0)).max(1e-12).sqrt());
        let mut guess_n = if 0.0 < wanting_m { sagging_n } else { -wanting_m / self.give_m_n };
        let sag = weight_n_m * weight_n_m * chord_m * chord_m * chord_m / 24.0;
        if guess_n * self.give_m_n > 0.1 * wanting_m.abs() {
            guess_n = guess_n.min((sag / self.give_m_n).cbrt().max(-wanting_m / self.give_m_n));
        }
        guess_n.max(2.0 * LEAST_LOAD_N).min(0.5 * self.softest_n)
    }
}
