//! The chance of dragging in a stay.
//!
//! An anchor drags when the load that reaches its shank passes what the ground holds at that uplift. Of all that is
//! uncertain in this, nearly everything is the same the whole night long: the spot holds what it holds, her windage
//! is what it is, she sheers as she sheers, the forecast errs one way. Only gusts come anew. So those are drawn once
//! for the stay, and given the draws the gusts alone decide:
//!
//! ```text
//! bow load in a gust    B = A (W s e^{2 σ z} G² + O)
//!   W wind load at the forecast mean, median windage, head on   s windage and sheer    z the forecast's error
//!   G largest 3 s speed over the 10 min mean     O stream and sea     A amplification
//! at the shank          B − μ · (weight of the chain lying under B), at the uplift that B gives
//! it holds while        B − μ w L_B(B) < H f(uplift(B); u)          H holding at no uplift, f what uplift leaves
//! ```
//!
//! Both sides move one way with `B`, so every instant has one critical bow load ([`DemandCurve`]) and thereby one
//! critical `G`. The largest 3 s gust of ten minutes is taken as Gumbel's: `P(G ≤ g) = exp(−exp(−(g − l)/b))`, so the
//! log of the chance to hold through `r` renewals is `−r exp(−(g − l)/b)`, and through the stay the sum of these.
//!
//! ```text
//! chance = E over the draws [ 1 − exp(−Σ over instants r exp(−(g − l)/b)) ]
//! ```
//!
//! never a product of instants as if each had its own holding. Where the mean wind alone passes the critical load she
//! drags for certain.
//!
//! # Ignorance and chance
//!
//! What would be the same on every stay is ignorance, not chance: what the holding tables are wrong by, the windage
//! of boats of her class, the gust model. The chance is worked out for each of a set of such worlds; its 10th, 50th
//! and 90th percentiles over them are the band, its mean is the expected chance.
//!
//! # Which load the ground must hold
//!
//! The greatest three seconds of ten minutes as ridden boats bear them, times what it takes to move an anchor
//! ([`AMPLIFIED`]), and not the single snatch. A snatch carries the energy of her surge, `½ M v²`: 9 t at
//! 0.5 m/s are 1.1 kJ, which against 3 kN to spare move the anchor 0.4 m once, and a buried anchor moved a little
//! holds no less; a load that lasts drags it as far as it lasts. Snatches break gear: the parts are judged by them.
//! On rock, where a hook that jumps is lost, this reading is too kind, and the holding band there is a guess anyway.
//!
//! # What a proof does
//!
//! In its direction, and up to the bow load at which the shank lifts beyond its uplift, the spot's holding is drawn
//! from its band cut off below the proven load. The proven load's own distribution is weighed by how likely the
//! ground was to bear it. Worlds of ignorance are not reweighed: that would let one set in one spot speak for the
//! tables. Elsewhere the proof does nothing.
//!
//! # Left out
//!
//! The forecast errs by one score for the whole stay; the proof's wind is not tied to the drawn windage; an anchor
//! that turns with the wind is taken not to trip (failing to set is a chance apart).

mod demand;
mod draws;

pub use demand::{DemandCurve, DemandError, DemandNode};

use crate::holding::HoldingBand;
use crate::set::Proof;
use crate::sourced::{Confidence, Sourced};
use crate::uncertain::{Band, Lognormal};
use crate::units::{Bearing, Force};

use draws::{World, worlds};

/// What the ground must hold, over the greatest three seconds' load of the stay. An anchor that is pulled by more than
/// its ground can hold goes, the faster the more, and has broken out once it has gone a metre: the load that passes for
/// three seconds must be more by a tenth to two fifths to move it so far. In simulated stays half of those drag whose
/// greatest load is 1.2 times what the ground holds, hardly any at 1.05, nearly all at 1.4. Of two pairs of ends so
/// read, those whose chances had the better logarithmic score over 4 000 such stays (0.75 and 0.93 nearly as good).
pub const AMPLIFIED: Sourced<(f64, f64)> =
    Sourced::new((0.71, 0.92), "what moves an anchor a metre, in simulated stays", Confidence::Low);

/// The largest 3 s wind of ten minutes over the mean of those minutes: Gumbel's distribution.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GustPeak {
    /// Most likely value `l`.
    pub location: f64,
    /// Spread `b`; the standard deviation is `π b / √6`. Nothing: always the same gust.
    pub scale: f64,
}

/// What loads her at one instant of the stay.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct InstantLoad {
    /// Load of the forecast mean wind at median windage, head on.
    pub wind: Force,
    /// Load of stream and sea at the bow.
    pub other: Force,
    /// The gusts upon that mean.
    pub gust: GustPeak,
    /// How many independent stretches of ten minutes this instant stands for.
    pub renewals: f64,
    /// Spread of the forecast wind speed, σ of the logarithm; grows with lead time.
    pub forecast_sigma_ln: f64,
    /// Which way the anchor is pulled: from it towards the boat.
    pub toward: Bearing,
    /// Which of the stay's demand curves holds, by its place.
    pub curve: usize,
}

/// Spreads that are not an instant's own.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spreads {
    /// What her windage may be off by with all boats of her class: σ of the logarithm, ignorance.
    pub windage_class_ln: f64,
    /// What it may be off by for this boat as she is laid up today: σ of the logarithm.
    pub windage_boat_ln: f64,
    /// Wind load at her habit of sheering over that head on.
    pub sheer: Lognormal,
    /// Amplification by surge over the gust's load.
    pub amplification: Lognormal,
    /// Friction of chain on the bed.
    pub friction: Lognormal,
    /// What the gust model may be off by: σ of the logarithm of `G − 1`, ignorance.
    pub gust_model_ln: f64,
}

/// A stay to be judged.
#[derive(Clone, Copy, Debug)]
pub struct Stay<'a> {
    /// Its instants, in order.
    pub instants: &'a [InstantLoad],
    /// What the bow load does to the anchor, at the depths and lengths of the stay.
    pub curves: &'a [DemandCurve],
    /// What the ground holds.
    pub holding: HoldingBand,
    /// Other spreads.
    pub spreads: Spreads,
    /// What the set proved.
    pub proof: Option<&'a Proof>,
    /// Chance that the anchor has not set at all; handed through, never mixed in.
    pub failing_to_set: Sourced<f64>,
}

/// The chance of dragging in a stay.
#[derive(Clone, Debug, PartialEq)]
pub struct ChanceOfDragging {
    /// Over what is not known of the tables, her class and the gusts.
    pub band: Band,
    /// The mean over the same.
    pub expected: f64,
    /// Chance that the anchor has not set at all: apart.
    pub failing_to_set: Sourced<f64>,
    /// The expected chance, shared among the instants by their part in it; sums to `expected`.
    pub by_instant: Vec<f64>,
    /// The instant with the largest part; `None` if there is no chance at all.
    pub worst_instant: Option<usize>,
}

/// A stay that cannot be judged.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum ChanceError {
    /// How the rode lies under some load could not be told.
    #[error("how the rode answers to loads could not be told")]
    Demand(#[from] DemandError),
    /// No instants.
    #[error("a stay without instants has no chance")]
    NoInstants,
    /// A figure that cannot be.
    #[error("{what} at instant {instant} is {value}, which cannot be")]
    Impossible {
        /// Which figure.
        what: &'static str,
        /// Which instant, from 0.
        instant: usize,
        /// What was said.
        value: f64,
    },
    /// A spread that cannot be.
    #[error("{what} is {value}, which cannot be")]
    ImpossibleSpread {
        /// Which figure.
        what: &'static str,
        /// What was said.
        value: f64,
    },
    /// An instant names a curve that is not there.
    #[error("instant {instant} asks for demand curve {curve} of {count}")]
    NoCurve {
        /// Which instant, from 0.
        instant: usize,
        /// The curve it names.
        curve: usize,
        /// How many there are.
        count: usize,
    },
}

/// Hazard that stands for certainty: `exp(-700)` is nothing in double precision.
const CERTAIN: f64 = 700.0;
/// Scores above which a gust is no longer looked at: `exp(-34)` is 2·10⁻¹⁵ of a renewal.
const NEVER_SCORE: f64 = 34.0;
/// Scale below which the gust is always the same; keeps the division finite.
const LEAST_SCALE: f64 = 1e-9;
/// Load below which there is no wind; keeps the division finite.
const LEAST_WIND_N: f64 = 1e-6;

/// The chance that the anchor, set, drags in the stay.
///
/// Integrated over 48 worlds of ignorance with 64 draws of the stay in each, the same on every call: along the
/// direction in which the logarithm of the margin falls most a trapezoid rule, across it even points. Against brute
/// force the expected chance is good to about a twentieth of itself, the ends of the band to about a sixth.
///
/// # Errors
/// [`ChanceError`] for the first figure that cannot be.
pub fn chance_of_dragging(stay: &Stay<'_>) -> Result<ChanceOfDragging, ChanceError> {
    check(stay)?;
    let mut sum = Sum::over(stay.instants);
    let mut chances: Vec<(f64, f64)> = Vec::new();
    for world in worlds(stay) {
        let chance = sum.take_world(stay, &world);
        chances.push((chance, world.weight));
    }
    let expected = chances.iter().map(|(chance, weight)| chance * weight).sum();
    let at = |p| weighted_quantile(&mut chances.clone(), p);
    Ok(ChanceOfDragging {
        band: Band { p10: at(0.1), median: at(0.5), p90: at(0.9) },
        expected,
        failing_to_set: stay.failing_to_set,
        worst_instant: largest(&sum.by_instant),
        by_instant: sum.by_instant,
    })
}

/// What stays the same for an instant through all draws, and the room to work in.
struct Sum {
    instants: Vec<Prepared>,
    hazards: Vec<f64>,
    by_instant: Vec<f64>,
}

/// An instant with its divisions done.
#[derive(Clone, Copy)]
struct Prepared {
    per_wind: f64,
    other_n: f64,
    location: f64,
    per_scale: f64,
    renewals: f64,
    doubled_sigma: f64,
    curve: usize,
    toward: Bearing,
}

impl Sum {
    fn over(instants: &[InstantLoad]) -> Self {
        let prepared = instants.iter().map(|instant| Prepared {
            per_wind: 1.0 / instant.wind.as_newtons().max(LEAST_WIND_N),
            other_n: instant.other.as_newtons(),
            location: instant.gust.location,
            per_scale: 1.0 / instant.gust.scale.max(LEAST_SCALE),
            renewals: instant.renewals,
            doubled_sigma: 2.0 * instant.forecast_sigma_ln,
            curve: instant.curve,
            toward: instant.toward,
        });
        let zeros = vec![0.0; instants.len()];
        Self { instants: prepared.collect(), hazards: zeros.clone(), by_instant: zeros }
    }

    /// The chance in one world; its share is added to the instants.
    fn take_world(&mut self, stay: &Stay<'_>, world: &World) -> f64 {
        let covered: Vec<bool> = self
            .instants
            .iter()
            .map(|instant| stay.proof.is_some_and(|proof| proof.covers(instant.toward)))
            .collect();
        // The speed ratio above which no gust goes, squared.
        let never: Vec<f64> = self
            .instants
            .iter()
            .map(|instant| {
                let ratio = instant.location + NEVER_SCORE / instant.per_scale;
                (1.0 + world.gust_factor * (ratio - 1.0)).powi(2)
            })
            .collect();
        let mut critical = vec![[0.0; 2]; stay.curves.len()];
        let mut chance = 0.0;
        for draw in &world.draws {
            for (curve, bow_n) in stay.curves.iter().zip(&mut critical) {
                *bow_n = draw.critical_bow_loads(curve, world.proved_uplift);
            }
            let total = self.hazards_of(draw, world.gust_factor, &covered, &never, &critical);
            if total <= 0.0 {
                continue;
            }
            let drags = -(-total).exp_m1();
            chance += draw.weight * drags;
            let share = world.weight * draw.weight * drags / total;
            for (sum, hazard) in self.by_instant.iter_mut().zip(&self.hazards) {
                *sum += share * hazard;
            }
        }
        chance
    }

    /// Fills in every instant's hazard under one draw, and sums them.
    fn hazards_of(
        &mut self,
        draw: &draws::Draw,
        gust_factor: f64,
        covered: &[bool],
        never: &[f64],
        critical: &[[f64; 2]],
    ) -> f64 {
        let per_amplification = 1.0 / draw.amplification;
        let per_wind_factor = 1.0 / draw.wind_factor;
        let per_gust_factor = 1.0 / gust_factor;
        let mut last = (f64::NAN, 1.0);
        let mut total = 0.0;
        let rows = self.instants.iter().zip(&mut self.hazards).zip(covered).zip(never);
        for (((instant, hazard), &covered), &never) in rows {
            if instant.doubled_sigma.to_bits() != last.0.to_bits() {
                let sigma = instant.doubled_sigma;
                last = (sigma, (-sigma * draw.forecast_score).exp() * per_wind_factor);
            }
            let bow_n = critical[instant.curve][usize::from(covered)];
            let ratio_squared = (bow_n * per_amplification - instant.other_n) * instant.per_wind * last.1;
            *hazard = if never <= ratio_squared {
                0.0
            } else if 1.0 < ratio_squared {
                let ratio = 1.0 + (ratio_squared.sqrt() - 1.0) * per_gust_factor;
                let score = (ratio - instant.location) * instant.per_scale;
                (instant.renewals * (-score).exp()).min(CERTAIN)
            } else {
                // The mean wind alone passes it; NaN, which the checks exclude, would count as dragging too.
                CERTAIN
            };
            total += *hazard;
        }
        total
    }
}

/// The place of the largest positive value, the first of equals.
fn largest(values: &[f64]) -> Option<usize> {
    let mut best = None;
    let mut most = 0.0;
    for (place, &value) in values.iter().enumerate() {
        if most < value {
            (best, most) = (Some(place), value);
        }
    }
    best
}

/// The value below which a fraction `p` of the weight lies, straight between the middles of the weights.
fn weighted_quantile(weighted: &mut [(f64, f64)], p: f64) -> f64 {
    weighted.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut before: Option<(f64, f64)> = None;
    let mut below = 0.0;
    for &(value, weight) in weighted.iter() {
        let middle = below + weight / 2.0;
        if p <= middle {
            return before.map_or(value, |(x0, y0)| y0 + (value - y0) * (p - x0) / (middle - x0));
        }
        before = Some((middle, value));
        below += weight;
    }
    before.map_or(f64::NAN, |(_, value)| value)
}

/// Refuses what cannot be.
fn check(stay: &Stay<'_>) -> Result<(), ChanceError> {
    if stay.instants.is_empty() {
        return Err(ChanceError::NoInstants);
    }
    for (place, instant) in stay.instants.iter().enumerate() {
        check_instant(place, instant, stay.curves.len())?;
    }
    let spreads = [
        ("the spread of windage in her class", stay.spreads.windage_class_ln),
        ("the spread of her own windage", stay.spreads.windage_boat_ln),
        ("the spread of the gust model", stay.spreads.gust_model_ln),
        ("the spread of the holding tables", stay.holding.sigma_tables_ln),
        ("the spread of holding between spots", stay.holding.sigma_spot_ln),
        ("the chance of failing to set", stay.failing_to_set.value),
        ("the median holding", stay.holding.median.as_newtons()),
    ];
    for (what, value) in spreads {
        if !(0.0 <= value && value.is_finite()) {
            return Err(ChanceError::ImpossibleSpread { what, value });
        }
    }
    if stay.holding.median <= Force::ZERO {
        let value = stay.holding.median.as_newtons();
        return Err(ChanceError::ImpossibleSpread { what: "the median holding", value });
    }
    Ok(())
}

fn check_instant(place: usize, instant: &InstantLoad, curves: usize) -> Result<(), ChanceError> {
    let figures = [
        ("the wind's load", instant.wind.as_newtons(), 0.0),
        ("the load of stream and sea", instant.other.as_newtons(), 0.0),
        // A gust below the mean is none.
        ("the gust's most likely ratio", instant.gust.location, 1.0),
        ("the gust's spread", instant.gust.scale, 0.0),
        ("the number of renewals", instant.renewals, 0.0),
        ("the forecast's spread", instant.forecast_sigma_ln, 0.0),
    ];
    for (what, value, least) in figures {
        if !(least <= value && value.is_finite()) {
            return Err(ChanceError::Impossible { what, instant: place, value });
        }
    }
    if curves <= instant.curve {
        return Err(ChanceError::NoCurve { instant: place, curve: instant.curve, count: curves });
    }
    Ok(())
}

#[cfg(test)]
mod tests;
