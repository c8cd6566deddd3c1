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
//! has no inertia and no drag, and the steady load keeps on pushing.
//!
//! Without friction the integral is closed: with `P = ∫ (T + T²/2EA) ds` over all of the rode, `dP = x dH + h dV`
//! (Castigliano's second theorem), so that at a kept height
//!
//! ```text
//! ∫ x dH = Δ(P − V h)
//! ∫ T ds = l (S + (a + b)²/S) / 4 + H Δx / 2      over a hanging piece, Δx without stretch (letters of catenary.rs)
//! ```
//!
//! With friction, or where an end lies slack, the integral is done in steps. Friction lets less of what rests
//! stretch:
//! the peak is a little higher with it, not lower.

use super::forward::checked_load_n;
use super::walk::{self, Piece, Pull};
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
        let (low, high) = (self.station(&place, low_n)?, self.station(&place, high_n)?);
        let work_j = low_n * (high.reach_m - low.reach_m) + self.work_beyond(&place, &low, &high)?;
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
        if energy_j <= 0.0 {
            return Ok(Peak { force: steady, travel: Length::ZERO });
        }
        let limit_n = self.softest_n;
        let too_great = CatenaryError::SurgeTooGreat { energy_j, steady, limit: Force::newtons(limit_n) };
        if limit_n <= steady_n {
            return Err(too_great);
        }
        let begun = self.station(&place, steady_n)?;
        if self.work_beyond(&place, &begun, &self.station(&place, limit_n)?)? < energy_j {
            return Err(too_great);
        }
        let short_of = |log_load: f64| -> Result<Tangent, CatenaryError> {
            let now = self.station(&place, log_load.exp())?;
            let value = self.work_beyond(&place, &begun, &now)? - energy_j;
            Ok(Tangent { value, slope: now.give_m_n * (now.load_n - steady_n) * now.load_n })
        };
        let guess_n = steady_n + speed_ms * (mass_kg / begun.give_m_n).sqrt();
        let bracket = Bracket { low: steady_n.ln(), high: limit_n.ln() };
        // A step of 1e-7 in the logarithm of the load is squared in what is left: far below the work's own 1e-8.
        let peak_n = roots::newton(short_of, bracket, guess_n.ln(), 1e-7)?.exp();
        let travel_m = self.station(&place, peak_n)?.reach_m - begun.reach_m;
        Ok(Peak { force: Force::newtons(peak_n), travel: Length::metres(travel_m) })
    }

    /// How the rode lies under one load on the way, the height kept.
    fn station(&self, place: &Place, load_n: f64) -> Result<Station, CatenaryError> {
        let pull = self.pull_at(place, load_n, self.vertical_guess(place, load_n))?;
        let (spread, _) = walk::spread(self, &place.ground, pull);
        let complement_j = self.complement_j(place, pull).map(|p| p - pull.vertical * place.height_m);
        Ok(Station { load_n, reach_m: spread.x, give_m_n: spread.give_m_n(), complement_j })
    }

    /// `∫ (T + T²/2EA) ds` over all of the rode; none if it would not tell the work, friction or slack being about.
    fn complement_j(&self, place: &Place, pull: Pull) -> Option<f64> {
        let ground = place.ground;
        if ground.sin < ground.drag {
            return None;
        }
        let h = pull.horizontal;
        let (mut sum_j, mut slack) = (0.0, false);
        walk::walk(self, &ground, pull, |piece| match piece {
            Piece::Hanging(p) => {
                let (a, b, l) = (p.lower, p.upper, p.length_m);
                let s = h.hypot(a) + h.hypot(b);
                let level = walk::piece_spread(&p, h, l).0 - h * l * p.give_1_n;
                sum_j += 0.25 * l * (s + (a + b) * (a + b) / s) + 0.5 * h * level;
                sum_j += 0.5 * l * p.give_1_n * (h * h + (a * a + a * b + b * b) / 3.0);
            }
            Piece::Lying(p) => {
                let (a, b) = (p.lower_t, p.upper_t);
                sum_j += p.length_m * (0.5 * (a + b) + p.give_1_n * (a * a + a * b + b * b) / 6.0);
                slack |= p.taut_m < p.length_m;
            }
        });
        (!slack).then_some(sum_j)
    }

    /// Reach under a load and how it gives, m and m/N.
    pub(super) fn reach(&self, place: &Place, load_n: f64) -> Result<(f64, f64), CatenaryError> {
        let pull = self.pull_at(place, load_n, self.vertical_guess(place, load_n))?;
        let (spread, _) = walk::spread(self, &place.ground, pull);
        Ok((spread.x, spread.give_m_n()))
    }

    /// `∫ (H − H0) dx` from one load to a greater, J.
    fn work_beyond(&self, place: &Place, from: &Station, to: &Station) -> Result<f64, CatenaryError> {
        // Slack at neither end is slack nowhere between: more load only tautens.
        if let (Some(before_j), Some(after_j)) = (from.complement_j, to.complement_j) {
            return Ok(to.reach_m * (to.load_n - from.load_n) - (after_j - before_j));
        }
        let short_of = |log_load: f64| -> Result<f64, CatenaryError> {
            let load_n = log_load.exp();
            Ok((to.reach_m - self.reach(place, load_n)?.0) * load_n)
        };
        let (low, high) = (from.load_n.ln(), to.load_n.ln());
        let coarse = gauss(&short_of, low, high)?;
        refined(&short_of, low, high, coarse, 0)
    }
}

/// The rode under one load on the way.
struct Station {
    load_n: f64,
    reach_m: f64,
    /// How the reach grows with the load, m/N.
    give_m_n: f64,
    /// `P − V h`, if it tells the work.
    complement_j: Option<f64>,
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
