//! Peak loads at the bow: what a boat in gusts and waves asks of her rode at its worst.
//!
//! She lives some hours in one weather, and the greatest load of every ten minutes is kept. Such maxima follow a Gumbel
//! distribution, whose scale `β` and location `a` come from their first two probability-weighted moments: with the
//! maxima in rising order, `b₀` their mean and `b₁ = Σ (i−1)/(n−1) x_i / n`,
//!
//! ```text
//! β = (2 b₁ − b₀) / ln 2        a = b₀ − γ β
//! ```
//!
//! (J. M. Landwehr and others, "Probability weighted moments compared with some traditional techniques in estimating
//! Gumbel parameters and quantiles", Water Resources Research 15, 1979.) The greatest of `N` such stretches is Gumbel
//! again, its location `a + β ln N`: that is the most probable peak, and `a + β (ln N − ln(−ln p))` the one below which
//! a part `p` of such stays will stay.
//!
//! # Snatching
//!
//! Where waves throw her ahead the rode falls all but slack, and brings her up at once: `F² = k M v²` on a rode of
//! stiffness `k`. On chain alone that is tens of kilonewtons in a metre of sea, and what decides it, the give of bow,
//! roller and ground, pitch, and the chain's own drag through the water, is left out here. So it is told how often the
//! greatest load was such a one ([`Peaks::snatched`]): where it mostly was, on a rode without give, the figures say no
//! more than that she must not lie so. Left out besides: what [`crate::ride`] leaves out.

use rand::Rng;

use super::body::Body;
use super::gusts::{Gusts, PEAK_OF_TEN_MINUTES};
use super::sea::{Heaving, Sea};
use super::{Moored, Ride, Surroundings};
use crate::catenary::{CatenaryError, Line};
use crate::position::Offset;
use crate::units::{AIR_KG_M3, Bearing, Force, Length, Speed};

/// Stretches of which the greatest load is kept, s.
const STRETCH_S: u32 = 600;
/// Not counted: she comes to her sheering, s.
const SETTLING_S: u32 = 900;
/// A load is a snatch if within so many seconds, half the longest wave of an anchorage (ten seconds; assumed), it was
/// less than [`ALL_BUT_SLACK`] of that.
const SNATCH_S: usize = 5;
/// See [`SNATCH_S`]; assumed: gusts and sheering alone do not raise a load tenfold in five seconds.
const ALL_BUT_SLACK: f64 = 0.1;
/// Euler's constant, the mean of the standard Gumbel distribution.
const EULER: f64 = 0.577_215_664_901_532_9;

/// A boat in one weather.
#[derive(Clone, Copy, Debug)]
pub struct Weathered<'a> {
    /// The boat.
    pub body: Body,
    /// From the anchor to the roller, the snubber included.
    pub line: &'a Line,
    /// Height of the roller above the anchor.
    pub height: Length,
    /// Friction of the rode on the ground.
    pub friction: f64,
    /// Mean wind at the height of her windage.
    pub mean: Speed,
    /// Expected strongest three seconds of ten minutes there.
    pub gust: Speed,
    /// Waves, if any: significant height (m), period (s), depth (m), share of the energy thrown back.
    pub waves: Option<[f64; 4]>,
}

/// Loads at the bow in one weather.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Peaks {
    /// Mean load.
    pub mean: Force,
    /// Share of the tens of minutes whose greatest load was a snatch: 0 where she was never thrown, 1 where always.
    pub snatched: f64,
    /// Location of the greatest of ten minutes.
    location_n: f64,
    /// Its scale.
    scale_n: f64,
}

impl Peaks {
    /// The most probable greatest load of so many hours.
    pub fn most_probable(&self, hours: f64) -> Force {
        Force::newtons(self.location_n + self.scale_n * stretches(hours).ln())
    }
    /// The load that a part `p` in `(0, 1)` of stays of so many hours do not pass.
    pub fn quantile(&self, hours: f64, p: f64) -> Force {
        self.most_probable(hours) - Force::newtons(self.scale_n * (-p.ln()).ln())
    }
}

/// How many stretches there are in so many hours.
fn stretches(hours: f64) -> f64 {
    (hours * 3600.0 / f64::from(STRETCH_S)).max(1.0)
}

/// A weather that cannot be lived through.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum PeaksError {
    /// The rode cannot lie so.
    #[error("the rode cannot lie so")]
    Lies(#[from] CatenaryError),
    /// The wind cannot be.
    #[error("gusts of {gust_ms} m/s over a mean of {mean_ms} m/s cannot be")]
    Wind {
        /// Mean, m/s.
        mean_ms: f64,
        /// Strongest three seconds, m/s.
        gust_ms: f64,
    },
    /// The waves cannot be.
    #[error("waves {height_m} m high of {period_s} s over {depth_m} m cannot be")]
    Waves {
        /// Height, m.
        height_m: f64,
        /// Period, s.
        period_s: f64,
        /// Depth, m.
        depth_m: f64,
    },
}

/// Lives so many stretches of ten minutes in the weather (at least two, or nothing can be fitted) and fits their peaks.
/// Sixty stretches give the most probable peak of three hours to some 3 %.
///
/// # Errors
/// [`PeaksError`] where the rode cannot lie so, or wind or waves cannot be.
pub fn peaks<R: Rng + ?Sized>(case: &Weathered<'_>, count: u32, rng: &mut R) -> Result<Peaks, PeaksError> {
    let mean_ms = case.mean.as_metres_per_second();
    let gust_ms = case.gust.as_metres_per_second();
    if !(0.0 <= mean_ms && mean_ms <= gust_ms && gust_ms.is_finite()) {
        return Err(PeaksError::Wind { mean_ms, gust_ms });
    }
    let spread_ms = (gust_ms - mean_ms) / PEAK_OF_TEN_MINUTES;
    let mut ride = Ride::begun(&Moored {
        body: case.body,
        line: case.line,
        heights: (case.height, case.height),
        friction: case.friction,
        anchor: Offset::ORIGIN,
        heading: Bearing::degrees(0.0),
        load_n: (0.5 * AIR_KG_M3 * case.body.head_on_m2 * mean_ms * mean_ms).max(1.0),
    })?;
    let mut gusts = Gusts::begun(rng);
    let mut sea = begun_sea(case, rng)?;
    let (mut greatest, mut snatches) = (Vec::new(), 0.0);
    let (mut sum_n, mut seconds) = (0.0, 0.0);
    let (mut most, mut lows_n) = (Load::default(), [0.0; SNATCH_S]);
    for second in 0..SETTLING_S + count.max(2) * STRETCH_S {
        let gust = gusts.step(rng);
        let speed_ms = (mean_ms + spread_ms * gust.strength).max(0.0);
        lows_n.rotate_right(1);
        let peak = lived(&mut ride, sea.as_mut(), (speed_ms, gust.veered_deg), &mut lows_n, rng);
        let Some(counted) = second.checked_sub(SETTLING_S) else { continue };
        (sum_n, seconds) = (sum_n + ride.load_n(), seconds + 1.0);
        most = if most.load_n < peak.load_n { peak } else { most };
        if (counted + 1).is_multiple_of(STRETCH_S) {
            greatest.push(most.load_n);
            snatches += f64::from(u8::from(most.snatch));
            most = Load::default();
        }
    }
    let snatched = snatches / greatest.len() as f64;
    let (location_n, scale_n) = gumbel(greatest);
    Ok(Peaks { mean: Force::newtons(sum_n / seconds), snatched, location_n, scale_n })
}

fn begun_sea<R: Rng + ?Sized>(case: &Weathered<'_>, rng: &mut R) -> Result<Option<Sea>, PeaksError> {
    let Some([height_m, period_s, depth_m, reflected]) = case.waves else { return Ok(None) };
    let hull = (case.body.waterline_m, case.body.beam_m);
    Sea::begun((height_m, period_s, depth_m), hull, reflected, rng)
        .map_or(Err(PeaksError::Waves { height_m, period_s, depth_m }), |sea| Ok(Some(sea)))
}

/// A load, and whether it came as a snatch.
#[derive(Clone, Copy, Default)]
struct Load {
    load_n: f64,
    snatch: bool,
}

/// One second in a wind from about north, m/s and degrees veered; the greatest load of it. Keeps the
/// least loads of the last seconds, this one's first.
fn lived<R: Rng + ?Sized>(
    ride: &mut Ride,
    mut sea: Option<&mut Sea>,
    (speed_ms, veered_deg): (f64, f64),
    lows_n: &mut [f64; SNATCH_S],
    rng: &mut R,
) -> Load {
    let (sin, cos) = veered_deg.to_radians().sin_cos();
    let drift_n = sea.as_mut().map_or(0.0, |sea| sea.second(rng));
    let about = Surroundings {
        wind_east_ms: -speed_ms * sin,
        wind_north_ms: -speed_ms * cos,
        drift_north_n: -drift_n,
        ..Surroundings::default()
    };
    let steps = ride.steps_a_second();
    let dt_s = 1.0 / f64::from(steps);
    let mut peak = Load::default();
    lows_n[0] = f64::INFINITY;
    for _ in 0..steps {
        let heaving = sea.as_mut().map_or(Heaving::default(), |sea| sea.step(dt_s));
        ride.step(dt_s, &about, heaving);
        let load_n = ride.load_n();
        lows_n[0] = lows_n[0].min(load_n);
        if peak.load_n < load_n {
            let low_n = lows_n.iter().copied().fold(f64::INFINITY, f64::min);
            peak = Load { load_n, snatch: low_n < ALL_BUT_SLACK * load_n };
        }
    }
    ride.settle();
    peak
}

/// Location and scale of a Gumbel distribution by probability-weighted moments; of two or more values.
fn gumbel(mut values: Vec<f64>) -> (f64, f64) {
    values.sort_by(f64::total_cmp);
    let n = values.len() as f64;
    let b0 = values.iter().sum::<f64>() / n;
    let b1 = values.iter().enumerate().map(|(i, x)| i as f64 / (n - 1.0) * x).sum::<f64>() / n;
    let scale = (2.0 * b1 - b0) / core::f64::consts::LN_2;
    (b0 - EULER * scale, scale)
}

#[cfg(test)]
mod tests {
    use super::*;

    // Source: the quantile function of the Gumbel distribution, x = a − β ln(−ln p), at even probabilities.
    #[test]
    fn the_moments_find_the_distribution_again() {
        let values = (0..2000).map(|i| 500.0 - 80.0 * (-((f64::from(i) + 0.5) / 2000.0).ln()).ln());
        let (location, scale) = gumbel(values.collect());
        // The last two-thousandths of the upper tail are missing.
        assert!((location - 500.0).abs() < 0.5 && (scale - 80.0).abs() < 0.5, "{location} {scale}");
    }

    /// Newtons.
    #[derive(serde::Deserialize)]
    struct Sample {
        values: Vec<f64>,
        location: f64,
        scale: f64,
        likely_location: f64,
        likely_scale: f64,
        greatest_of_18: [f64; 2],
    }

    #[derive(serde::Deserialize)]
    struct Authority {
        samples: Vec<Sample>,
    }

    // Source: scipy's L-moments, which are these probability-weighted moments told otherwise, and its quantiles.
    // Likelihood is another estimator: of sixty values both scatter about the truth by a tenth in the scale.
    #[test]
    fn the_same_samples_fitted_elsewhere_have_the_same_peaks() {
        let told = include_str!("../../../../authorities/ride/scipy_gumbel.json");
        let authority: Authority = serde_json::from_str(told).unwrap();
        assert_eq!(authority.samples.len(), 5);
        for sample in authority.samples {
            let (location_n, scale_n) = gumbel(sample.values);
            let close = |ours: f64, theirs: f64| (ours - theirs).abs() < 1e-9 * theirs;
            assert!(close(location_n, sample.location) && close(scale_n, sample.scale));
            assert!((scale_n / sample.likely_scale - 1.0).abs() < 0.2, "{}", sample.likely_scale);
            assert!((location_n - sample.likely_location).abs() < 0.3 * scale_n);
            let peaks = Peaks { mean: Force::ZERO, snatched: 0.0, location_n, scale_n };
            // Eighteen tens of minutes.
            for (p, theirs) in [0.5, 0.95].into_iter().zip(sample.greatest_of_18) {
                assert!(close(peaks.quantile(3.0, p).as_newtons(), theirs));
            }
        }
    }
}
