//! What a set proves, and what a dive sees.
//!
//! Going astern on the anchor loads it by thrust, wind and stream of that minute. The chain that still lies takes a
//! part of it by friction, `μ w L_B`, which a gale that lifts the chain takes away again; only the rest reached the
//! shank:
//!
//! ```text
//! T = pull + wind + stream − μ · (weight of the chain lying)
//! ```
//!
//! Every term is a band, taken as independent, so `T` is a distribution, of which a table of quantiles is kept. The
//! anchor then holds at least `T`, pulled in that direction and at no more uplift than then, and nothing more is
//! known: mud and sand go on developing with drag, weed or rock may be at their limit.
//!
//! Left out: the boat's way as she comes up on the rode (she must lie still while it is held), and that a windage
//! larger than thought makes the proof and the night's load larger together.

use jiff::SignedDuration;

use crate::even_draws::even_point;
use crate::holding::{Bed, HoldingBand};
use crate::propeller::AsternPull;
use crate::seabed::Bottom;
use crate::sourced::{Confidence, Sourced};
use crate::uncertain::{Band, Lognormal, normal_quantile};
use crate::units::{AIR_KG_M3, Angle, Area, Bearing, Force, Length, Mass, Speed};

/// A load held for less than this proves nothing: common practice, no source. She must have stopped surging, which
/// takes a few of her own swings on the rode (4 s each with a snubber).
pub const LEAST_TIME_HELD: SignedDuration = SignedDuration::from_secs(30);

/// A proof speaks for pulls within this of its own direction, either way; assumed. An anchor that has to turn further
/// than half a right angle turns in the ground or trips, and has to set anew.
pub const PROVED_EITHER_WAY: Angle = Angle::degrees(45.0);

/// Friction of chain on the bed, load along the ground over weight lying: sliding to static as 10th to 90th
/// percentile. Sand 0.74 to 0.98, mud 0.6 to 0.9 (NCEL, from memory, medium confidence); other ground takes both
/// ranges together.
pub const fn chain_friction(bed: Bed) -> Sourced<(f64, f64)> {
    let source = "chain on the bed, sliding to static, NCEL, remembered";
    match bed {
        Bed::FirmSand => Sourced::new((0.74, 0.98), source, Confidence::Medium),
        Bed::SoftMud => Sourced::new((0.6, 0.9), source, Confidence::Medium),
        Bed::Clay | Bed::Gravel | Bed::Weed | Bed::Rock => Sourced::new((0.6, 0.98), source, Confidence::Low),
    }
}

/// What was seen while the load was held.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// Transits stood, the chain quiet.
    Held,
    /// She moved slowly over the ground.
    Crept,
    /// She dragged.
    Dragged,
}

/// A set as it was made.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SetTest {
    /// Pull astern at the revolutions held.
    pub pull: AsternPull,
    /// Load of that minute's wind along the rode, N; `None` in calm, or when it came from elsewhere than ahead.
    pub wind_n: Option<Lognormal>,
    /// Load of that minute's stream along the rode, N; `None` at slack, or when it ran otherwise.
    pub stream_n: Option<Lognormal>,
    /// Weight in water of the chain then lying on the ground.
    pub chain_lying: Force,
    /// Friction of that chain on the bed.
    pub friction: Lognormal,
    /// Which way the anchor was pulled: from it towards the boat.
    pub toward: Bearing,
    /// Uplift at the shank under that load.
    pub uplift: Angle,
    /// How long it was held.
    pub held_for: SignedDuration,
    /// What was seen.
    pub outcome: Outcome,
}

/// A set that proves nothing.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum NoProof {
    /// She crept or dragged: the ground was at its limit, and this is about all it holds.
    #[error("the anchor came home under about {about}: the ground gives no more than that")]
    CameHome {
        /// Median of the load that reached the shank.
        about: Force,
    },
    /// Not held long enough for her to lie still.
    #[error("held for {} s only; at least {} s are needed", held.as_secs(), LEAST_TIME_HELD.as_secs())]
    TooShort {
        /// How long it was held.
        held: SignedDuration,
    },
    /// The chain lying took it all.
    #[error("the chain on the ground may have taken all of it: no load is sure to have reached the anchor")]
    ChainTookIt,
}

/// A load that reached the shank and was held.
#[derive(Clone, Debug, PartialEq)]
pub struct Proof {
    /// What reached the shank.
    pub load: ProvedLoad,
    /// Which way the anchor was pulled: from it towards the boat.
    pub toward: Bearing,
    /// Uplift at the shank; it speaks for no more.
    pub uplift: Angle,
}

impl Proof {
    /// Whether it speaks for a pull this way: within [`PROVED_EITHER_WAY`] of its own.
    pub fn covers(&self, toward: Bearing) -> bool {
        self.toward.to(toward).abs() <= PROVED_EITHER_WAY
    }
}

/// Number of equal steps of probability in a [`ProvedLoad`].
const STEPS: usize = 64;
/// Even draws behind a [`ProvedLoad`]: sixteen to a step.
const DRAWS: u32 = 1024;

/// The load that reached the shank, as a distribution: its quantiles in equal steps. Never below nothing.
#[derive(Clone, Debug, PartialEq)]
pub struct ProvedLoad {
    /// At probabilities `(i + ½) / STEPS`, rising, N.
    quantiles_n: Vec<f64>,
}

impl ProvedLoad {
    /// A load known without doubt.
    pub fn certain(load: Force) -> Self {
        Self { quantiles_n: vec![load.as_newtons().max(0.0); STEPS] }
    }

    /// Of a pull, wind and stream, less friction.
    fn of(test: &SetTest) -> Self {
        let term = |band: Option<Lognormal>, p: f64| band.map_or(0.0, |b| b.at_score(normal_quantile(p)));
        let mut loads_n: Vec<f64> = (0..DRAWS)
            .map(|n| {
                let [pull, wind, stream, friction] = even_point(n);
                let along_n = term(Some(test.pull.newtons), pull)
                    + term(test.wind_n, wind)
                    + term(test.stream_n, stream);
                let chain_n = term(Some(test.friction), friction) * test.chain_lying.as_newtons();
                (along_n - chain_n).max(0.0)
            })
            .collect();
        loads_n.sort_by(f64::total_cmp);
        let per_step = loads_n.len() / STEPS;
        let middle = |step: &[f64]| step.iter().sum::<f64>() / step.len() as f64;
        Self { quantiles_n: loads_n.chunks(per_step).map(middle).collect() }
    }

    /// The load below which a fraction `p` in `(0, 1)` lies.
    pub fn quantile(&self, p: f64) -> Force {
        let place = (p * STEPS as f64 - 0.5).clamp(0.0, (STEPS - 1) as f64);
        let below = place.floor();
        // `place` lies in [0, STEPS - 1], so its floor is a whole number in range.
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "in [0, STEPS - 1]")]
        let i = below as usize;
        let low_n = self.quantiles_n.get(i).copied().unwrap_or(0.0);
        let high_n = self.quantiles_n.get(i + 1).copied().unwrap_or(low_n);
        Force::newtons(low_n + (high_n - low_n) * (place - below))
    }
    /// Tenth, fiftieth and ninetieth percentile in newtons.
    pub fn band(&self) -> Band {
        let at = |p| self.quantile(p).as_newtons();
        Band { p10: at(0.1), median: at(0.5), p90: at(0.9) }
    }
}

/// What a set proves.
///
/// # Errors
/// [`NoProof`] if the anchor came home, the load was not held for [`LEAST_TIME_HELD`], or one in ten times nothing
/// would have reached the shank.
pub fn proof(test: &SetTest) -> Result<Proof, NoProof> {
    let load = ProvedLoad::of(test);
    if test.outcome != Outcome::Held {
        return Err(NoProof::CameHome { about: load.quantile(0.5) });
    }
    if test.held_for < LEAST_TIME_HELD {
        return Err(NoProof::TooShort { held: test.held_for });
    }
    if load.quantile(0.1) <= Force::ZERO {
        return Err(NoProof::ChainTookIt);
    }
    Ok(Proof { load, toward: test.toward, uplift: test.uplift })
}

/// The steady wind, head on, whose load on a drag area (`Cd·A`) is so much: `V = √(2T / (ρ Cd A))`.
///
/// `None` unless the load is not negative and the area positive.
pub fn equivalent_wind(load: Force, drag_area: Area) -> Option<Speed> {
    let squared = 2.0 * load.as_newtons() / (AIR_KG_M3 * drag_area.as_square_metres());
    let possible = 0.0 <= squared && squared.is_finite() && Area::ZERO < drag_area;
    possible.then(|| Speed::metres_per_second(squared.sqrt()))
}

/// How deep the anchor was seen to lie.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Burial {
    /// Nothing of it: it lies on the ground.
    Nothing,
    /// The tip only.
    Tip,
    /// The flukes.
    Flukes,
    /// The flukes and part of the shank.
    Shank,
    /// All of it: the chain goes into the ground.
    Chain,
}

/// What was seen on a dive.
#[derive(Clone, Debug, PartialEq)]
pub struct Dive {
    /// How deep it lies.
    pub burial: Burial,
    /// It lies on its side.
    pub on_its_side: bool,
    /// Length of the scar that it drew before it bit, if one was seen.
    pub drag_scar: Option<Length>,
    /// The ground as seen; it overrides the chart's.
    pub ground: Option<Bottom>,
}

/// A scar longer than this is longer than setting takes: a fluke of 0.7 m needs 3 to 5 of its lengths in sand, 10 in
/// mud (API RP 2SK and NCEL, from memory, medium confidence), so 7 m.
pub const LONG_SCAR: Length = Length::metres(7.0);

impl Dive {
    /// Factor on the median of the holding band: 1 when it lies as well set anchors do. Never above 1: the tables
    /// already speak of well-set anchors.
    ///
    /// All assumed, low confidence: an anchor that shows its flukes, or dragged before it bit, has not reached what
    /// the tables call well set; the factors put that in an order.
    pub fn holding_factor(&self) -> Sourced<f64> {
        let by_burial = match self.burial {
            Burial::Nothing => 0.1,
            Burial::Tip => 0.4,
            Burial::Flukes => 0.8,
            Burial::Shank | Burial::Chain => 1.0,
        };
        let by_lying = if self.on_its_side { 0.5 } else { 1.0 };
        let scarred = self.drag_scar.is_some_and(|scar| LONG_SCAR < scar);
        let by_scar = if scarred { 0.7 } else { 1.0 };
        let source = "assumed: what a dive shows against what the tables call well set";
        Sourced::new(by_burial * by_lying * by_scar, source, Confidence::Low)
    }

    /// The holding band after the dive, from the band before it for the ground that was seen.
    #[must_use]
    pub fn reweigh(&self, band: HoldingBand) -> HoldingBand {
        HoldingBand { median: band.median * self.holding_factor().value, ..band }
    }
}

/// A proof of more than this many times the anchor's weight shows that it has set: what only scrapes along gives one
/// to three (the poorest class's efficiency, from memory).
pub const SET_SHOWN_AT_WEIGHTS: f64 = 3.0;
/// What is left of the chance of its not having set when a proof or a buried shank shows it has: one in a hundred
/// that what was seen was misread; assumed.
pub const MISREAD: f64 = 0.01;

/// Chance that it has not set, from the chance before anything was seen, a proof and a later dive. Assumed.
///
/// The dive comes after the set: what it saw wins where it is worse.
pub fn failing_to_set_after(
    prior: Sourced<f64>,
    mass: Mass,
    proof: Option<&Proof>,
    dive: Option<&Dive>,
) -> Sourced<f64> {
    let shown = proof.is_some_and(|proof| mass.weight() * SET_SHOWN_AT_WEIGHTS <= proof.load.quantile(0.1));
    let after_set = if shown { prior.value.min(MISREAD) } else { prior.value };
    let Some(dive) = dive else {
        return Sourced { value: after_set, ..prior };
    };
    let seen = match dive.burial {
        Burial::Nothing => 1.0,
        Burial::Tip => after_set.max(0.3),
        // On its side it may yet turn in, or out.
        _ if dive.on_its_side => after_set.max(0.3),
        Burial::Flukes => after_set.min(0.05),
        Burial::Shank | Burial::Chain => after_set.min(MISREAD),
    };
    Sourced::new(seen, "assumed: how deep the dive saw it lie", Confidence::Low)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tackle::AnchorClass;
    use crate::uncertain::Origin;

    fn test_of(pull_n: f64, sigma: f64) -> SetTest {
        SetTest {
            pull: AsternPull {
                newtons: Lognormal::new(pull_n, sigma).unwrap(),
                origin: Origin::Measured,
                confidence: Confidence::Medium,
                stalled: false,
            },
            wind_n: None,
            stream_n: None,
            chain_lying: Force::ZERO,
            friction: Lognormal::from_p10_p90(0.74, 0.98).unwrap(),
            toward: Bearing::degrees(40.0),
            uplift: Angle::degrees(0.0),
            held_for: SignedDuration::from_secs(60),
            outcome: Outcome::Held,
        }
    }

    // V = √(2T/(ρ Cd A)) at 1.225 kg/m³, knots, worked apart; half a unit in the third decimal.
    #[test]
    fn a_load_equals_the_wind_of_its_table() {
        let areas = [8.0, 12.0, 16.0, 24.0];
        let table = [
            (500.0, [19.636, 16.033, 13.885, 11.337]),
            (1000.0, [27.769, 22.673, 19.636, 16.033]),
            (1500.0, [34.010, 27.769, 24.049, 19.636]),
            (2000.0, [39.272, 32.065, 27.769, 22.673]),
            (3000.0, [48.098, 39.272, 34.010, 27.769]),
        ];
        for (load, knots) in table {
            for (area, knots) in areas.into_iter().zip(knots) {
                let found = equivalent_wind(Force::newtons(load), Area::square_metres(area)).unwrap();
                assert!((found.as_knots() - knots).abs() < 6e-4, "{load} {area}: {}", found.as_knots());
            }
        }
        assert!(equivalent_wind(Force::newtons(500.0), Area::ZERO).is_none());
        assert!(equivalent_wind(Force::newtons(f64::NAN), Area::square_metres(8.0)).is_none());
    }

    // Ten metres of 10 mm chain weigh 191.965 N in water; sliding in sand takes 142 N of the pull.
    #[test]
    fn the_chain_lying_takes_its_friction() {
        let test = SetTest {
            chain_lying: Force::newtons(191.965),
            friction: Lognormal::new(0.74, 0.0).unwrap(),
            ..test_of(1500.0, 0.0)
        };
        let reached = proof(&test).unwrap().load.quantile(0.5).as_newtons();
        assert!((reached - (1500.0 - 142.0)).abs() < 0.5, "{reached}");
    }

    #[test]
    fn a_single_band_proves_its_own_quantiles() {
        let band = proof(&test_of(2000.0, 0.3)).unwrap().load.band();
        let own = Lognormal::new(2000.0, 0.3).unwrap();
        // 64 steps of probability with linear interpolation: half a percent.
        for (found, p) in [(band.p10, 0.1), (band.median, 0.5), (band.p90, 0.9)] {
            assert!((found / own.quantile(p) - 1.0).abs() < 5e-3, "{p}: {found}");
        }
    }

    // The sum of independent lognormals has the sum of their means: exp(μ + σ²/2).
    #[test]
    fn pulls_of_several_kinds_add_in_the_mean() {
        let wind = Lognormal::new(400.0, 0.4).unwrap();
        let test = SetTest { wind_n: Some(wind), stream_n: Some(wind), ..test_of(1500.0, 0.3) };
        let load = proof(&test).unwrap().load;
        let mean_n = load.quantiles_n.iter().sum::<f64>() / STEPS as f64;
        let expected_n = 1500.0 * (0.3_f64.powi(2) / 2.0).exp() + 800.0 * (0.4_f64.powi(2) / 2.0).exp();
        // 1024 even draws of a four-dimensional smooth sum: a few parts in a thousand.
        assert!((mean_n / expected_n - 1.0).abs() < 5e-3, "{mean_n} {expected_n}");
    }

    #[test]
    fn what_crept_was_short_or_never_reached_the_anchor_proves_nothing() {
        let crept = SetTest { outcome: Outcome::Crept, ..test_of(1500.0, 0.1) };
        assert!(
            matches!(proof(&crept), Err(NoProof::CameHome { about }) if (about.as_newtons() - 1500.0).abs() < 10.0)
        );
        let short = SetTest { held_for: SignedDuration::from_secs(10), ..test_of(1500.0, 0.1) };
        assert!(matches!(proof(&short), Err(NoProof::TooShort { .. })));
        let taken = SetTest { chain_lying: Force::newtons(2000.0), ..test_of(1500.0, 0.1) };
        assert_eq!(proof(&taken), Err(NoProof::ChainTookIt));
    }

    #[test]
    fn a_proof_speaks_for_its_own_direction_across_north_too() {
        let proof = Proof { toward: Bearing::degrees(340.0), ..proof(&test_of(1500.0, 0.1)).unwrap() };
        assert!(proof.covers(Bearing::degrees(24.0)) && proof.covers(Bearing::degrees(296.0)));
        assert!(!proof.covers(Bearing::degrees(26.0)) && !proof.covers(Bearing::degrees(160.0)));
    }

    #[test]
    fn no_dive_makes_an_anchor_better_than_well_set() {
        let burials = [Burial::Nothing, Burial::Tip, Burial::Flukes, Burial::Shank, Burial::Chain];
        let mut before = 0.0;
        for burial in burials {
            let dive = Dive { burial, on_its_side: false, drag_scar: None, ground: None };
            let factor = dive.holding_factor().value;
            assert!(before <= factor && factor <= 1.0);
            before = factor;
            let worse = Dive { on_its_side: true, drag_scar: Some(Length::metres(12.0)), ..dive };
            assert!(worse.holding_factor().value < factor);
        }
    }

    #[test]
    fn an_anchor_seen_lying_on_the_ground_has_not_set_whatever_was_proved() {
        let mass = Mass::kilograms(20.0);
        let prior = crate::holding::failing_to_set(AnchorClass::Scoop, &Bottom::unknown());
        let proof = proof(&test_of(2000.0, 0.1)).unwrap();
        let shown = failing_to_set_after(prior, mass, Some(&proof), None);
        assert!((shown.value - MISREAD).abs() < 1e-12);
        let dive = Dive { burial: Burial::Nothing, on_its_side: true, drag_scar: None, ground: None };
        assert!((failing_to_set_after(prior, mass, Some(&proof), Some(&dive)).value - 1.0).abs() < 1e-12);
    }

    #[test]
    fn a_proof_no_greater_than_a_scraping_anchor_shows_nothing() {
        let prior = Sourced::new(0.2, "", Confidence::Low);
        let proof = proof(&test_of(400.0, 0.1)).unwrap();
        let after = failing_to_set_after(prior, Mass::kilograms(20.0), Some(&proof), None);
        assert!((after.value - 0.2).abs() < 1e-12);
    }
}
