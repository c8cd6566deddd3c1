//! The draws that stand for what is not known: worlds of ignorance, and stays within each.
//!
//! Every lognormal draw is a normal score. Turning the scores so that the first axis points where the logarithm of
//! the margin falls most leaves them independent normal scores, and nearly all that matters then lies along that one
//! axis: there a trapezoid rule of equal steps, weighted by the normal density, is exact to many digits for what is
//! smooth; across it, Halton's points. So the rare bad stays, which decide a chance of one in a hundred, are met by a
//! dozen nodes and not by luck.

use core::array;
use std::sync::OnceLock;

use super::{DemandCurve, Stay};
use crate::even_draws::even_point;
use crate::uncertain::{normal_cdf, normal_quantile};
use crate::units::Angle;

/// Worlds of ignorance.
const WORLDS: u32 = 48;
/// Draws of the stay in each.
const DRAWS: u32 = 64;
/// Where the worlds begin and end along their axis, in scores: 0.14 % lies beyond either end.
const WORLD_SCORES: (f64, f64) = (-3.2, 3.2);
/// Where the draws begin and end along theirs: further on the bad side, where the chance is.
const DRAW_SCORES: (f64, f64) = (-3.6, 4.8);
/// Points from the first draw of one world to that of the next: more than [`DRAWS`]; a prime above every base of
/// Halton's, so that no digit of a point's number goes with its place along the axis; and neither one more nor one
/// less than a multiple of the larger bases (11, 13, 17), for then neighbouring worlds would go through the same
/// digits.
const STRIDE: u32 = 71;
const _: () = assert!(DRAWS < STRIDE);
/// Part of a step by which the draws' nodes are shifted from one world to the next: the golden section.
const SHIFT: f64 = 0.618_033_988_749_895;

/// One world: what would be the same on every stay.
pub(super) struct World {
    /// Its part of all worlds.
    pub(super) weight: f64,
    /// On `G − 1`.
    pub(super) gust_factor: f64,
    /// Uplift for which the set speaks, if there is a proof.
    pub(super) proved_uplift: Option<Angle>,
    /// Stays in it.
    pub(super) draws: Vec<Draw>,
}

/// What is drawn once for a stay.
pub(super) struct Draw {
    /// Its part of the world.
    pub(super) weight: f64,
    /// Windage and sheer, over median windage head on.
    pub(super) wind_factor: f64,
    /// Score of the forecast's error.
    pub(super) forecast_score: f64,
    /// Amplification.
    pub(super) amplification: f64,
    holding_n: f64,
    /// Holding given the proof, and the load proved.
    proved: Option<(f64, f64)>,
    uplift_law: f64,
    friction: f64,
}

impl Draw {
    /// Bow loads at which the ground gives: without the proof, and where it speaks.
    pub(super) fn critical_bow_loads(&self, curve: &DemandCurve, proved_uplift: Option<Angle>) -> [f64; 2] {
        let bare_n = curve.critical_n(self.holding_n, self.uplift_law, self.friction);
        let (Some((holding_n, proved_n)), Some(uplift)) = (self.proved, proved_uplift) else {
            return [bare_n, bare_n];
        };
        let inferred_n = curve.critical_n(holding_n, self.uplift_law, self.friction);
        let shown_n = curve.bow_for_shank_n(proved_n, self.friction);
        let speaks_to_n = curve.bow_for_uplift_n(uplift);
        [bare_n, bare_n.max(inferred_n.max(shown_n).min(speaks_to_n))]
    }
}

/// All worlds, with their draws.
pub(super) fn worlds(stay: &Stay<'_>) -> impl Iterator<Item = World> {
    let axis = Turned::along(ignorance_slopes(stay));
    let nodes = weighted_nodes(WORLDS, WORLD_SCORES, 0.5);
    let draw_axis = Turned::along(stay_slopes(stay));
    (0..WORLDS).zip(nodes).map(move |(place, (along, weight))| {
        let across = even_point::<3>(place).map(normal_quantile);
        let [tables, class, gusts] = axis.scores(along, across);
        let spreads = &stay.spreads;
        let drawing = Drawing {
            stay,
            median_n: stay.holding.median.as_newtons() * (stay.holding.sigma_tables_ln * tables).exp(),
            class_factor: (spreads.windage_class_ln * class).exp(),
        };
        World {
            weight,
            gust_factor: (spreads.gust_model_ln * gusts).exp(),
            proved_uplift: stay.proof.map(|proof| proof.uplift),
            draws: drawing.draws(place, draw_axis),
        }
    })
}

/// How the logarithm of load over holding grows with the scores of tables, class and gusts.
fn ignorance_slopes(stay: &Stay<'_>) -> [f64; 3] {
    let ratio = hardest(stay).map_or(1.0, |instant| instant.gust.location);
    // The load goes by the square of 1 + k (G − 1).
    let by_gusts = 2.0 * (ratio - 1.0) / ratio * stay.spreads.gust_model_ln;
    [-stay.holding.sigma_tables_ln, stay.spreads.windage_class_ln, by_gusts]
}

/// The same with the scores of spot, windage and sheer, forecast, amplification.
fn stay_slopes(stay: &Stay<'_>) -> [f64; 4] {
    let forecast = hardest(stay).map_or(0.0, |instant| 2.0 * instant.forecast_sigma_ln);
    let wind = stay.spreads.windage_boat_ln.hypot(stay.spreads.sheer.sigma_ln());
    [-stay.holding.sigma_spot_ln, wind, forecast, stay.spreads.amplification.sigma_ln()]
}

/// The instant of the strongest likely gust.
fn hardest<'a>(stay: &Stay<'a>) -> Option<&'a super::InstantLoad> {
    let gust_n = |instant: &super::InstantLoad| instant.wind.as_newtons() * instant.gust.location.powi(2);
    stay.instants.iter().max_by(|a, b| gust_n(a).total_cmp(&gust_n(b)))
}

/// Nodes of a trapezoid rule with their shares of a normal distribution, which sum to one.
fn weighted_nodes(count: u32, (from, to): (f64, f64), shift: f64) -> Vec<(f64, f64)> {
    let step = (to - from) / f64::from(count);
    let nodes = (0..count).map(|k| from + (f64::from(k) + shift) * step);
    let densities: Vec<(f64, f64)> = nodes.map(|t| (t, (-t * t / 2.0).exp())).collect();
    let sum: f64 = densities.iter().map(|node| node.1).sum();
    densities.into_iter().map(|(t, density)| (t, density / sum)).collect()
}

/// Independent normal scores, turned so that one axis points along given slopes.
#[derive(Clone, Copy)]
struct Turned<const D: usize> {
    axis: [f64; D],
}

impl<const D: usize> Turned<D> {
    fn along(slopes: [f64; D]) -> Self {
        let length = slopes.iter().map(|slope| slope * slope).sum::<f64>().sqrt();
        // Without any slope every direction is as good.
        let axis = if 0.0 < length {
            slopes.map(|slope| slope / length)
        } else {
            array::from_fn(|i| if i == 0 { 1.0 } else { 0.0 })
        };
        Self { axis }
    }

    /// The scores at a place along the axis, and what is across it of other scores.
    fn scores(&self, along: f64, across: [f64; D]) -> [f64; D] {
        let taken: f64 = self.axis.iter().zip(across).map(|(a, y)| a * y).sum();
        array::from_fn(|i| across[i] + (along - taken) * self.axis[i])
    }
}

/// A world whose stays are to be drawn.
struct Drawing<'a> {
    stay: &'a Stay<'a>,
    /// Median holding in this world.
    median_n: f64,
    class_factor: f64,
}

impl Drawing<'_> {
    fn draws(&self, place: u32, axis: Turned<4>) -> Vec<Draw> {
        let spreads = &self.stay.spreads;
        let wind_sigma = spreads.windage_boat_ln.hypot(spreads.sheer.sigma_ln());
        let proved_loads = self.proved_loads();
        let nodes = weighted_nodes(DRAWS, DRAW_SCORES, (f64::from(place) * SHIFT).fract());
        let draw = |(k, (along, weight)): (u32, (f64, f64))| {
            let point = point(place * STRIDE + k);
            let [spot, wind, forecast, surge] = axis.scores(along, point.across);
            let proved = proved_loads.as_ref().map(|loads| {
                let load_n = loads.at(point.proof);
                (self.holding_above(load_n, spot), load_n)
            });
            Draw {
                weight,
                wind_factor: self.class_factor * spreads.sheer.median() * (wind_sigma * wind).exp(),
                forecast_score: forecast,
                amplification: spreads.amplification.at_score(surge),
                holding_n: self.median_n * (self.stay.holding.sigma_spot_ln * spot).exp(),
                proved,
                uplift_law: point.uplift_law,
                friction: spreads.friction.at_score(point.friction),
            }
        };
        (0..DRAWS).zip(nodes).map(draw).collect()
    }

    /// Chance that the spot holds more than a load, in this world.
    fn chance_above(&self, load_n: f64) -> f64 {
        normal_cdf(-self.score_of(load_n))
    }

    fn score_of(&self, load_n: f64) -> f64 {
        let distance = (load_n / self.median_n).ln();
        // Without spread the score is endless one way or the other.
        if distance == 0.0 { 0.0 } else { distance / self.stay.holding.sigma_spot_ln }
    }

    /// Holding at the score of the spot, from the band cut off below a load that it bore.
    fn holding_above(&self, load_n: f64, spot: f64) -> f64 {
        /// Below this the cut-off tail is all one value, the load itself.
        const NOTHING_LEFT: f64 = 1e-280;
        let above = self.chance_above(load_n) * normal_cdf(-spot);
        if above < NOTHING_LEFT || self.stay.holding.sigma_spot_ln <= 0.0 {
            return load_n.max(self.median_n * (self.stay.holding.sigma_spot_ln * spot).exp());
        }
        let score = -normal_quantile(above);
        load_n.max(self.median_n * (self.stay.holding.sigma_spot_ln * score).exp())
    }

    /// The proven load's quantiles, weighed by how likely the ground of this world was to bear them.
    fn proved_loads(&self) -> Option<Weighed> {
        let proof = self.stay.proof?;
        let mut below = 0.0;
        let steps: Vec<(f64, f64)> = (0..Weighed::STEPS)
            .map(|i| {
                let p = (f64::from(i) + 0.5) / f64::from(Weighed::STEPS);
                let load_n = proof.load.quantile(p).as_newtons();
                below += self.chance_above(load_n);
                (load_n, below)
            })
            .collect();
        Some(Weighed { steps, sum: below })
    }
}

/// Loads with their weights summed up from the lowest.
struct Weighed {
    steps: Vec<(f64, f64)>,
    sum: f64,
}

impl Weighed {
    /// As many as a proven load keeps.
    const STEPS: u32 = 64;

    /// The load below which a fraction `p` of the weight lies; the lowest where no weight is left at all.
    fn at(&self, p: f64) -> f64 {
        let place = self.steps.partition_point(|step| step.1 < p * self.sum);
        self.steps.get(place).or(self.steps.last()).map_or(0.0, |step| step.0)
    }
}

/// An even point, its parts of a normal kind as scores.
#[derive(Clone, Copy)]
struct Point {
    /// Of the stay's four.
    across: [f64; 4],
    /// A probability.
    uplift_law: f64,
    /// A score.
    friction: f64,
    /// A probability.
    proof: f64,
}

/// Point `n`. They are the same for every stay, and a plan looks at them a dozen times: they are worked out once.
fn point(n: u32) -> Point {
    static POINTS: OnceLock<Vec<Point>> = OnceLock::new();
    let points = POINTS.get_or_init(|| (0..WORLDS * STRIDE).map(worked_out).collect());
    points.get(n as usize).copied().unwrap_or_else(|| worked_out(n))
}

fn worked_out(n: u32) -> Point {
    let [a, b, c, d, uplift_law, friction, proof] = even_point::<7>(n);
    Point {
        across: [a, b, c, d].map(normal_quantile),
        uplift_law,
        friction: normal_quantile(friction),
        proof,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn turned_scores_keep_their_length_and_their_place_along_the_axis() {
        let axis = Turned::along([-0.3, 0.2, 0.5, 0.1]);
        let across = [0.4, -1.1, 0.2, 2.0];
        let scores = axis.scores(2.5, across);
        let along: f64 = scores.iter().zip(axis.axis).map(|(z, a)| z * a).sum();
        assert!((along - 2.5).abs() < 1e-12);
        let square = |v: [f64; 4]| v.iter().map(|z| z * z).sum::<f64>();
        let taken: f64 = across.iter().zip(axis.axis).map(|(z, a)| z * a).sum();
        assert!((square(scores) - (square(across) - taken * taken + 2.5 * 2.5)).abs() < 1e-12);
    }

    // ∫ φ(t) e^{s t} dt = e^{s²/2}: what a lognormal's mean asks of the nodes.
    #[test]
    fn the_nodes_give_a_lognormal_its_mean() {
        for shift in [0.0, 0.3, 0.9] {
            for sigma in [0.1, 0.5] {
                let nodes = weighted_nodes(DRAWS, DRAW_SCORES, shift);
                let mean: f64 = nodes.iter().map(|(t, weight)| weight * (sigma * t).exp()).sum();
                // 0.016 % of the weight lies below -3.6 and is shared out among the rest.
                assert!((mean / f64::exp(sigma * sigma / 2.0) - 1.0).abs() < 5e-4, "{shift} {sigma}: {mean}");
            }
        }
    }
}
