//! Quantities known as a band, and where a figure comes from.
//!
//! Positive quantities (holding, windage, gusts) are taken as lognormal: the spread is a factor either way, and
//! nothing falls below nothing. `ln X ~ N(ln median, σ²)`; the quantile at `p` is `median · exp(σ Φ⁻¹(p))`. A range
//! remembered from practice, "from a to b", is taken as the 10th to 90th percentile (a choice: people remember what
//! usually happens, and one in ten beyond either end is what "usually" bears), so `σ = ln(b/a) / (2 · 1.2816)` and
//! the median is `√(a b)`.

use statrs::distribution::{ContinuousCDF, Normal};

/// `Φ⁻¹(0.9)`.
pub const Z90: f64 = 1.281_551_565_544_600_4;

/// The word that comes with a figure.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Origin {
    /// Read from an instrument or a test of the crew's own.
    Measured,
    /// Stated by the maker, the chart, the crew.
    Given,
    /// From a forecast or a prediction.
    Forecast,
    /// Worked out from the others.
    Computed,
    /// Taken for want of better; says so wherever it shows.
    Assumed,
}

impl Origin {
    /// The word itself.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Measured => "measured",
            Self::Given => "given",
            Self::Forecast => "forecast",
            Self::Computed => "computed",
            Self::Assumed => "assumed",
        }
    }
}

/// A positive quantity known to a factor: lognormal by median and `σ` of its logarithm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lognormal {
    median: f64,
    sigma_ln: f64,
}

impl Lognormal {
    /// From the median and the standard deviation of the logarithm; `None` unless the median is positive and both
    /// are finite, `σ` not negative.
    pub fn new(median: f64, sigma_ln: f64) -> Option<Self> {
        let possible = 0.0 < median && median.is_finite() && 0.0 <= sigma_ln && sigma_ln.is_finite();
        possible.then_some(Self { median, sigma_ln })
    }
    /// From a remembered range taken as the 10th to the 90th percentile; `None` unless `0 < low <= high`.
    pub fn from_p10_p90(low: f64, high: f64) -> Option<Self> {
        if !(0.0 < low && low <= high && high.is_finite()) {
            return None;
        }
        Self::new((low * high).sqrt(), (high / low).ln() / (2.0 * Z90))
    }
    /// Half of it lies below.
    pub const fn median(self) -> f64 {
        self.median
    }
    /// Standard deviation of the logarithm.
    pub const fn sigma_ln(self) -> f64 {
        self.sigma_ln
    }
    /// The value at a standard normal score: `median · exp(σ z)`.
    pub fn at_score(self, z: f64) -> f64 {
        self.median * (self.sigma_ln * z).exp()
    }
    /// The value below which a fraction `p` in `(0, 1)` lies.
    pub fn quantile(self, p: f64) -> f64 {
        self.at_score(normal_quantile(p))
    }
    /// The fraction that lies at or below `x`.
    pub fn cdf(self, x: f64) -> f64 {
        if x <= 0.0 {
            return 0.0;
        }
        if self.sigma_ln == 0.0 {
            return if self.median <= x { 1.0 } else { 0.0 };
        }
        normal_cdf((x / self.median).ln() / self.sigma_ln)
    }
    /// The same shape, scaled.
    #[must_use]
    pub fn scaled(self, factor: f64) -> Self {
        Self { median: self.median * factor, ..self }
    }
}

/// Fraction of a standard normal below `z`.
pub fn normal_cdf(z: f64) -> f64 {
    Normal::standard().cdf(z)
}

/// Score below which a fraction `p` in `(0, 1)` of a standard normal lies.
pub fn normal_quantile(p: f64) -> f64 {
    Normal::standard().inverse_cdf(p)
}

/// Three quantiles of something uncertain, in its own unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Band {
    /// One in ten lies below.
    pub p10: f64,
    /// Half lies below.
    pub median: f64,
    /// One in ten lies above.
    pub p90: f64,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_remembered_range_comes_back_as_its_tenth_and_ninetieth_percentiles() {
        let holding = Lognormal::from_p10_p90(20.0, 40.0).unwrap();
        // The inverse of the normal distribution is good to about 1e-9 here.
        assert!((holding.quantile(0.1) - 20.0).abs() < 1e-6);
        assert!((holding.quantile(0.9) - 40.0).abs() < 1e-6);
        assert!((holding.cdf(holding.median()) - 0.5).abs() < 1e-12);
    }

    #[test]
    fn a_band_that_cannot_be_is_none() {
        assert!(Lognormal::new(0.0, 0.1).is_none());
        assert!(Lognormal::new(f64::NAN, 0.1).is_none());
        assert!(Lognormal::from_p10_p90(3.0, 2.0).is_none());
    }

    // Source: any table of the normal distribution, Φ(1.96) = 0.9750.
    #[test]
    fn the_normal_distribution_agrees_with_its_table() {
        assert!((normal_cdf(1.96) - 0.9750).abs() < 5e-5);
        assert!((normal_quantile(0.9) - Z90).abs() < 1e-9);
    }
}
