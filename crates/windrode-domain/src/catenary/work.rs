//! What a rode takes up when the boat surges: work, and the peak of the load.
//!
//! A boat that lies to a steady load `H0` and surges back with speed `v` fetches up where the rode has taken her
//! energy beside the work of the steady load:
//!
//! ```text
//! ∫ (H − H0) dx = ½ M v²      integrated by parts:  ∫ (H − H0) dx = ∫ (x1 − x(H)) dH,   H from H0 to H1
//! ```
//!
//! `M` the mass that surges, the water moving with her included; `x(H)` the rode's own reach. Quasi-static: the rode
//! has no inertia and no drag, and the steady load keeps on pushing. Friction on the ground helps, as everywhere here.

use super::forward::checked_load_n;
use super::walk;
use super::{Bed, CatenaryError, Line, Place};
use crate::roots::{self, Bracket, Tangent};
use crate::units::{Energy, Force, Length, Mass, Speed};

/// Where a surge is spent.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Peak {
    /// The greatest horizontal load at the roller.
    pub force: Force,
    /// How far she went from where she lay.
    pub travel: Length,
}

impl Line {
    /// Work done on the rode while the horizontal load goes from one to another at a kept height; negative if the
    /// load falls.
    ///
    /// # Validity
    /// As [`Line::under_load`], to a relative 1e-8.
    ///
    /// # Errors
    /// As [`Line::under_load`].
    pub fn work_between(
        &self,
        height: Length,
        bed: &Bed,
        from: Force,
        to: Force,
    ) -> Result<Energy, CatenaryError> {
        let place = Place::of(self, height, bed)?;
        let (from_n, to_n) = (checked_load_n(from)?, checked_load_n(to)?);
        let (low_n, high_n) = (from_n.min(to_n), from_n.max(to_n));
        let (near_m, _) = self.reach(&place, low_n)?;
        let (far_m, _) = self.reach(&place, high_n)?;
        let work_j = low_n * (far_m - near_m) + self.work_beyond(&place, low_n, high_n)?;
        Ok(Energy::joules(if from_n <= to_n { work_j } else { -work_j }))
    }

    /// The peak load of a surge that begins with speed where the rode bears the steady load.
    ///
    /// # Validity
    /// Up to the load at which the softest part has doubled its length. The rode is taken as it is: put the snubber
    /// into it as its uppermost segment.
    ///
    /// # Errors
    /// As [`Line::under_load`]; [`CatenaryError::Surge`] for a mass or speed that cannot be;
    /// [`CatenaryError::SurgeTooGreat`] if it is not spent within the validity.
    pub fn peak_load(
        &self,
        height: Length,
        bed: &Bed,
        steady: Force,
        mass: Mass,
        surge: Speed,
    ) -> Result<Peak, CatenaryError> {
        let place = Place::of(self, height, bed)?;
        let steady_n = checked_load_n(steady)?;
        let (mass_kg, speed_ms) = (mass.as_kilograms(), surge.as_metres_per_second());
        if !(0.0 < mass_kg && mass_kg.is_finite() && 0.0 <= speed_ms && speed_ms.is_finite()) {
            return Err(CatenaryError::Surge { mass_kg, speed_ms });
        }
        let energy_j = 0.5 * mass_kg * speed_ms * speed_ms;
        let (near_m, give_m_n) = self.reach(&place, steady_n)?;
        if energy_j <= 0.0 {
            return Ok(Peak { force: steady, travel: Length::ZERO });
        }
        let limit_n = self.softest_n;
        let too_great = CatenaryError::SurgeTooGreat { energy_j, steady, limit: Force::newtons(limit_n) };
        if limit_n <= steady_n || self.work_beyond(&place, steady_n, limit_n)? < energy_j {
            return Err(too_great);
        }
        let short_of = |log_load: f64| -> Result<Tangent, CatenaryError> {
            let load_n = log_load.exp();
            let (_, give_m_n) = self.reach(&place, load_n)?;
            let value = self.work_beyond(&place, steady_n, load_n)? - energy_j;
            Ok(Tangent { value, slope: give_m_n * (load_n - steady_n) * load_n })
        };
        let guess_n = steady_n + speed_ms * (mass_kg / give_m_n).sqrt();
        let bracket = Bracket { low: steady_n.ln(), high: limit_n.ln() };
        // A step of 1e-7 in the logarithm of the load is squared in what is left: far below the work's own 1e-8.
        let peak_n = roots::newton(short_of, bracket, guess_n.ln(), 1e-7)?.exp();
        let (far_m, _) = self.reach(&place, peak_n)?;
        Ok(Peak { force: Force::newtons(peak_n), travel: Length::metres(far_m - near_m) })
    }

    /// Reach under a load and how it gives, m and m/N.
    pub(super) fn reach(&self, place: &Place, load_n: f64) -> Result<(f64, f64), CatenaryError> {
        let pull = self.pull_at(place, load_n, self.vertical_guess(place, load_n))?;
        let (spread, _) = walk::spread(self, &place.ground, pull);
        Ok((spread.x, spread.give_m_n()))
    }

    /// `∫ (H − H0) dx` from one load to a greater, J.
    fn work_beyond(&self, place: &Place, from_n: f64, to_n: f64) -> Result<f64, CatenaryError> {
        let (far_m, _) = self.reach(place, to_n)?;
        let short_of = |log_load: f64| -> Result<f64, CatenaryError> {
            let load_n = log_load.exp();
            Ok((far_m - self.reach(place, load_n)?.0) * load_n)
        };
        let (low, high) = (from_n.ln(), to_n.ln());
        let coarse = gauss(&short_of, low, high)?;
        refined(&short_of, low, high, coarse, 0)
    }
}

/// Halvings after which an integral is taken as it is: a kink of the reach (lift-off, a kellet rising) is then shut
/// into a thousandth of an octave.
const MOST_HALVINGS: usize = 14;

/// Halves the stretch until halving changes nothing that matters.
fn refined(
    f: &impl Fn(f64) -> Result<f64, CatenaryError>,
    low: f64,
    high: f64,
    coarse: f64,
    halvings: usize,
) -> Result<f64, CatenaryError> {
    let middle = 0.5 * (low + high);
    let (left, right) = (gauss(f, low, middle)?, gauss(f, middle, high)?);
    let fine = left + right;
    // The rule's error falls by 2^14 at a halving where the reach is smooth: a change of 1e-8 leaves 1e-12.
    if (fine - coarse).abs() <= 1e-8 * fine.abs() || MOST_HALVINGS <= halvings {
        return Ok(fine);
    }
    Ok(refined(f, low, middle, left, halvings + 1)? + refined(f, middle, high, right, halvings + 1)?)
}

/// Gauss-Legendre rule of seven places (Abramowitz & Stegun, table 25.4).
fn gauss(f: &impl Fn(f64) -> Result<f64, CatenaryError>, low: f64, high: f64) -> Result<f64, CatenaryError> {
    const MIDDLE: f64 = 0.417_959_183_673_469;
    const PAIRS: [(f64, f64); 3] = [
        (0.405_845_151_377_397, 0.381_830_050_505_119),
        (0.741_531_185_599_394, 0.279_705_391_489_277),
        (0.949_107_912_342_759, 0.129_484_966_168_870),
    ];
    let (centre, half) = (0.5 * (low + high), 0.5 * (high - low));
    let mut sum = MIDDLE * f(centre)?;
    for (place, weight) in PAIRS {
        sum += weight * (f(centre - half * place)? + f(centre + half * place)?);
    }
    Ok(half * sum)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_rule_is_exact_for_a_polynomial_of_the_thirteenth_degree() {
        let integral = gauss(&|x| Ok(14.0 * x.powi(13) + 3.0 * x * x), 0.0, 1.0).unwrap();
        // Places and weights are printed to fifteen decimals.
        assert!((integral - 2.0).abs() < 1e-13, "{integral}");
    }
}
