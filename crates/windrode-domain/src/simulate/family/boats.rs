//! The boats and rodes of a kind of night.

use rand::Rng;

use super::{between, normal};
use crate::boat::HullKind;
use crate::catenary::{Line, Segment};
use crate::environment::windage;
use crate::ride::body::{Body, WATERLINE_SHARE};
use crate::simulate::scenario::ScenarioBoat;
use crate::tackle::chain;
use crate::units::{Force, GRAVITY_M_S2, Length, SEA_WATER_KG_M3, WeightPerLength};

/// From what boats, rodes and water a night is drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ranges {
    /// Kind of hull.
    pub kind: HullKind,
    /// Length over all, m.
    pub length_m: (f64, f64),
    /// Depth at the beginning, m.
    pub depth_m: (f64, f64),
    /// Rode over the height of the roller above the ground.
    pub scope: (f64, f64),
    /// Rope with a few metres of chain, not all chain with a snubber.
    pub rope: bool,
}

impl Ranges {
    /// Sailing monohulls of 8 to 16 m on chain, 3 to 10 m of water, scope 4 to 7.
    pub const fn usual() -> Self {
        Self {
            kind: HullKind::MonohullSail,
            length_m: (8.0, 16.0),
            depth_m: (3.0, 10.0),
            scope: (4.0, 7.0),
            rope: false,
        }
    }
}

/// Mass, draught, lead of the wind and damping are spread as far as the estimates are worth: a quarter, a tenth, between
/// 0.06 and 0.17 of the waterline, a fifth. The windage is drawn from its own estimate.
pub(super) fn boat<R: Rng + ?Sized>(ranges: &Ranges, rng: &mut R) -> ScenarioBoat {
    let length_m = between(rng, ranges.length_m);
    let usual = windage::assumed(ranges.kind, Length::metres(length_m))
        .expect("ranges of lengths are positive and finite");
    let head_on_m2 = usual.head_on_m2.at_score(normal(rng).clamp(-2.5, 2.5));
    let beam_ratio = usual.beam_ratio * between(rng, (0.86, 1.14));
    let waterline_m = WATERLINE_SHARE * length_m;
    let middle = Body::usual(ranges.kind, waterline_m, head_on_m2, beam_ratio);
    let heavier = 1.0 + 0.25 * between(rng, (-1.0, 1.0));
    let body = Body {
        surge_kg: middle.surge_kg * heavier,
        sway_kg: middle.sway_kg * heavier,
        munk_kg: middle.munk_kg * heavier,
        yaw_kg_m2: middle.yaw_kg_m2 * heavier,
        wind_lead: middle.wind_lead * between(rng, (0.43, 1.21)),
        line_damping: middle.line_damping * between(rng, (0.8, 1.2)),
        ..middle
    };
    ScenarioBoat {
        kind: ranges.kind,
        length_m,
        draught_m: 0.16 * length_m * between(rng, (0.9, 1.1)),
        body,
        centroid_m: usual.centroid.as_metres(),
        roller_m: 0.1 * length_m * between(rng, (0.9, 1.2)),
        antenna_aft_m: length_m * between(rng, (0.35, 0.95)),
        antenna_starboard_m: length_m * between(rng, (-0.1, 0.1)),
        windage_believed: 1.0,
    }
}

/// Chain of 8, 10 or 12 mm by her length and a snubber, or ten metres of that chain and rope.
pub(super) fn rode<R: Rng + ?Sized>(ranges: &Ranges, boat: &ScenarioBoat, depth_m: f64, rng: &mut R) -> Line {
    let chain_m = match boat.length_m {
        length_m if length_m < 11.0 => 0.008,
        length_m if length_m < 15.0 => 0.010,
        _ => 0.012,
    };
    let out_m = (depth_m + boat.roller_m) * between(rng, ranges.scope);
    let segments = if ranges.rope {
        let foot_m = out_m.min(between(rng, (5.0, 15.0)));
        vec![chain_of(chain_m, foot_m), rope_of(1.5 * chain_m + 0.002, (out_m - foot_m).max(1.0))]
    } else {
        let snubber_m = between(rng, (4.0, 10.0));
        vec![chain_of(chain_m, (out_m - snubber_m).max(snubber_m)), rope_of(1.2 * chain_m, snubber_m)]
    };
    Line::new(segments, Vec::new()).expect("stretches of positive length and stiffness are a rode")
}

/// Short-link chain of a size: 0.0199 d² t/m in air, d in mm (offshore handbooks' figure for studless chain), steel.
fn chain_of(size_m: f64, length_m: f64) -> Segment {
    let mass_kg_m = 19_900.0 * size_m * size_m;
    let in_water_n_m = mass_kg_m * GRAVITY_M_S2 * (1.0 - SEA_WATER_KG_M3 / 7850.0);
    Segment {
        length: Length::metres(length_m),
        weight: WeightPerLength::newtons_per_metre(in_water_n_m),
        stiffness: chain::stiffness(Length::metres(size_m)),
    }
}

/// Nylon: 40 kN at 12 mm (8 m stretch by 1 m at 5 kN), with its section; 0.09 kg/m at 12 mm, a tenth of it in water.
fn rope_of(size_m: f64, length_m: f64) -> Segment {
    let section = (size_m / 0.012).powi(2);
    Segment {
        length: Length::metres(length_m),
        weight: WeightPerLength::newtons_per_metre(0.09 * section * GRAVITY_M_S2 * 0.1),
        stiffness: Force::newtons(40_000.0 * section),
    }
}
