//! Figures with how sure they are: counts as rates, and quantiles by their order.
//!
//! A count of rare things in so many nights is Poisson; its exact interval at 95 % is that of Garwood (Biometrika 28,
//! 1936): `χ²(0.025; 2k)/2` to `χ²(0.975; 2k + 2)/2`. A quantile is the order statistic `⌈p n⌉`; its interval is
//! between two others whose ranks leave 2.5 % of the binomial to either side, whatever the distribution (David and
//! Nagaraja, *Order Statistics*, ch. 7). What was missed is beyond every value: it counts as endless.

use serde::Serialize;
use statrs::distribution::{Binomial, ChiSquared, ContinuousCDF, DiscreteCDF};

/// Chance left out at either end of an interval.
const TAIL: f64 = 0.025;

/// A count as a rate in a hundred nights.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub(crate) struct Rate {
    /// How many.
    pub(crate) count: u32,
    /// In how many nights.
    pub(crate) nights: u32,
    /// In a hundred nights.
    pub(crate) per_100: f64,
    /// Lower end of its interval at 95 %.
    pub(crate) low: f64,
    /// Upper end.
    pub(crate) high: f64,
}

impl Rate {
    /// Of a count in a number of nights; nothing is known of no nights.
    pub(crate) fn of(count: u32, nights: u32) -> Option<Self> {
        let (low, high) = poisson_interval(count);
        let scale = 100.0 / f64::from(nights);
        (0 < nights).then(|| Self {
            count,
            nights,
            per_100: f64::from(count) * scale,
            low: low * scale,
            high: high * scale,
        })
    }
}

/// The interval at 95 % of the mean of a Poisson count.
fn poisson_interval(count: u32) -> (f64, f64) {
    let half_chi_squared = |freedom: f64, p: f64| {
        ChiSquared::new(freedom).map_or(f64::NAN, |distribution| 0.5 * distribution.inverse_cdf(p))
    };
    let count = f64::from(count);
    let low = if 0.0 < count { half_chi_squared(2.0 * count, TAIL) } else { 0.0 };
    (low, half_chi_squared(2.0 * count + 2.0, 1.0 - TAIL))
}

/// Median and 95th percentile; `None` where they lie beyond what was found, or too few say.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub(crate) struct Spread {
    /// Half lie below.
    pub(crate) median: Option<f64>,
    /// Nineteen in twenty lie below.
    pub(crate) p95: Option<f64>,
    /// Lower end of its interval at 95 %.
    pub(crate) p95_low: Option<f64>,
    /// Upper end.
    pub(crate) p95_high: Option<f64>,
}

impl Spread {
    /// Of values and of how many were missed besides.
    pub(crate) fn of(mut values: Vec<f64>, missed: usize) -> Self {
        values.sort_by(f64::total_cmp);
        let all = values.len() + missed;
        let rank = |rank: Option<usize>| rank?.checked_sub(1).and_then(|index| values.get(index)).copied();
        let (low, high) = ranks(all, 0.95);
        Self {
            median: rank(Some(order(all, 0.5))),
            p95: rank(Some(order(all, 0.95))),
            p95_low: rank(low),
            p95_high: rank(high),
        }
    }
}

/// Rank, from 1, of a quantile among so many.
fn order(all: usize, p: f64) -> usize {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a share of a count is neither negative nor larger than the count"
    )]
    let rank = (p * all as f64 - 1e-9).ceil() as usize;
    rank.clamp(1, all.max(1))
}

/// Ranks, from 1, between which a quantile lies with 95 %: as many as chance leaves.
fn ranks(all: usize, p: f64) -> (Option<usize>, Option<usize>) {
    let Ok(binomial) = Binomial::new(p, all as u64) else { return (None, None) };
    // The r-th value lies below the quantile when at least r of all do.
    let at_most = |count: usize| binomial.cdf(count as u64);
    let low = (1..=all).rev().find(|&rank| at_most(rank - 1) <= TAIL);
    let high = (1..=all).find(|&rank| 1.0 - at_most(rank - 1) <= TAIL);
    (low, high)
}

#[cfg(test)]
mod tests {
    use super::*;

    // Source: Garwood's table as printed in E. S. Pearson and H. O. Hartley, Biometrika Tables for Statisticians,
    // vol. 1, table 40: 0: 0 to 3.69; 1: 0.0253 to 5.57; 11: 5.49 to 19.68; 50: 37.11 to 65.92 (the table's own
    // digits).
    #[test]
    fn the_interval_of_a_count_is_garwoods() {
        for (count, low, high, half_digit) in [
            (0, 0.0, 3.69, 0.005),
            (1, 0.0253, 5.57, 0.005),
            (11, 5.49, 19.68, 0.005),
            (50, 37.11, 65.92, 0.005),
        ] {
            let (found_low, found_high) = poisson_interval(count);
            assert!((found_low - low).abs() <= half_digit, "{count}: {found_low}");
            assert!((found_high - high).abs() <= half_digit, "{count}: {found_high}");
        }
    }

    #[test]
    fn a_rate_of_no_nights_is_none() {
        assert!(Rate::of(0, 0).is_none());
        let rate = Rate::of(3, 300).unwrap();
        assert!((rate.per_100 - 1.0).abs() < 1e-12 && rate.low < 1.0 && 1.0 < rate.high);
    }

    // Source: 59 values are the least whose largest is above the 95th percentile with 95 %, one-sided (Wilks 1941):
    // 0.95^59 = 0.0485. With 2.5 % left at that end it takes 72: 0.95^71 = 0.0262, 0.95^72 = 0.0249.
    #[test]
    fn the_upper_end_of_the_95th_percentile_takes_72_values() {
        assert_eq!(ranks(71, 0.95).1, None);
        assert_eq!(ranks(72, 0.95).1, Some(72));
    }

    #[test]
    fn what_was_missed_counts_as_endless() {
        let values: Vec<f64> = (1..=94).map(f64::from).collect();
        let spread = Spread::of(values.clone(), 6);
        assert_eq!((spread.median, spread.p95), (Some(50.0), None));
        assert_eq!(Spread::of(values, 0).p95, Some(90.0));
        assert_eq!(Spread::of(Vec::new(), 3).median, None);
        assert_eq!(Spread::of(Vec::new(), 0).median, None);
    }
}
