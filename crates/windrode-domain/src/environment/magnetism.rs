//! Where a compass points: the variation of magnetic from true north, by the World Magnetic Model 2025.
//!
//! The main field is the gradient of a potential that satisfies Laplace's equation outside the core, and
//! drifts. With `a` the reference radius, `(r, φ', λ)` geocentric radius, latitude and longitude, `P` the
//! Legendre functions of degree `n` and order `m` in Schmidt's semi-normalization, and `t` the years since
//! 2025.0:
//!
//! ```text
//! V = a Σ_{n=1..12} (a/r)^{n+1} Σ_{m=0..n} [ g(t) cos mλ + h(t) sin mλ ] P_nm(sin φ')      (nT m)
//! g(t) = g + ġ t,  h(t) = h + ḣ t
//! X' = −(1/r) ∂V/∂φ',  Y = −(1/(r cos φ')) ∂V/∂λ,  Z' = ∂V/∂r      north, east, down, geocentric
//! X = X' cos(φ − φ') + Z' sin(φ − φ')                              geodetic north
//! D = atan2(Y, X),  H = √(X² + Y²)                                                          east positive
//! ```
//!
//! Left out: the crust (ore under the seabed can turn a compass by degrees; charts note it), the iron on
//! board, which is the compass's deviation, and magnetic storms. The model's own error for declination is
//! given by its makers as `√(0.26² + (5417/H)²)` degrees, one standard deviation, `H` in nT. Valid from
//! 2025.0 to 2030.0. Where `H` falls below 2 000 nT, near the magnetic poles, a compass is of no use, and no
//! declination is given.
//!
//! Source: Chulliat et al., "The US/UK World Magnetic Model for 2025–2030", NOAA/NCEI and BGS (2024/25):
//! method and coefficients; the error model from memory, checked by nothing here but that it lies near the
//! 0.4° usual at sea. Coefficients `data/wmm`, public domain. Checked against `authorities/magnetism`.

mod coefficients;

use jiff::Timestamp;
use jiff::civil::date;
use jiff::tz::TimeZone;

use crate::position::Position;
use crate::units::Angle;
use coefficients::{COEFFICIENTS, EPOCH_YEAR};

/// Highest degree of the model.
const DEGREE_MAX: usize = 12;
/// Reference radius of the model, m.
const RADIUS_M: f64 = 6_371_200.0;
/// Half the longer axis of WGS 84, m.
const SEMI_MAJOR_M: f64 = 6_378_137.0;
/// First eccentricity of WGS 84, squared.
const ECCENTRICITY_SQUARED: f64 = 6.694_379_990_14e-3;
/// How long the makers stand by it, years from the epoch.
const VALID_YEARS: f64 = 5.0;
/// Below this horizontal field the makers warn that a compass is not to be used ("blackout zone"), nT.
const HORIZONTAL_LEAST_NT: f64 = 2_000.0;

/// How far magnetic north lies from true north.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Variation {
    /// East positive.
    pub east: Angle,
    /// How far the model may be off, one standard deviation; local iron not counted.
    pub spread: Angle,
}

/// A variation that cannot be told.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum MagnetismError {
    /// The date is not one for which the model was made.
    #[error("{year:.1} is outside 2025.0 to 2030.0, for which the magnetic model was made")]
    OutsideSpan {
        /// The year asked for.
        year: f64,
    },
    /// Too near a magnetic pole.
    #[error("a horizontal field of {horizontal_nt:.0} nT is too weak for a compass")]
    NearPole {
        /// The horizontal field.
        horizontal_nt: f64,
    },
}

/// Magnetic variation at sea level.
///
/// # Validity
/// 2025.0 to 2030.0; see [`Variation::spread`] for the error.
///
/// # Errors
/// [`MagnetismError`] outside those years, or near a magnetic pole.
pub fn variation(place: Position, at: Timestamp) -> Result<Variation, MagnetismError> {
    let year = decimal_year(at);
    if !(EPOCH_YEAR..=EPOCH_YEAR + VALID_YEARS).contains(&year) {
        return Err(MagnetismError::OutsideSpan { year });
    }
    let (north_nt, east_nt) = field(place, year - EPOCH_YEAR);
    let horizontal_nt = north_nt.hypot(east_nt);
    if !(HORIZONTAL_LEAST_NT <= horizontal_nt) {
        return Err(MagnetismError::NearPole { horizontal_nt });
    }
    let spread_deg = 0.26_f64.hypot(5417.0 / horizontal_nt);
    Ok(Variation { east: Angle::radians(east_nt.atan2(north_nt)), spread: Angle::degrees(spread_deg) })
}

/// The year with its fraction.
fn decimal_year(at: Timestamp) -> f64 {
    let year = TimeZone::UTC.to_datetime(at).year();
    let seconds = |year| {
        let begins = TimeZone::UTC.to_timestamp(date(year, 1, 1).at(0, 0, 0, 0));
        begins.map_or(f64::NAN, |begins| at.duration_since(begins).as_secs_f64())
    };
    let into_s = seconds(year);
    // `date` panics beyond the years it holds; no year but the last of them lacks a next.
    let whole_s = if year < 9999 { into_s - seconds(year + 1) } else { f64::NAN };
    f64::from(year) + into_s / whole_s
}

/// The field at sea level, north and east, nT, so many years after the epoch.
fn field(place: Position, years: f64) -> (f64, f64) {
    let (sin, cos) = place.latitude_deg().to_radians().sin_cos();
    let prime_vertical_m = SEMI_MAJOR_M / (1.0 - ECCENTRICITY_SQUARED * sin * sin).sqrt();
    let (p_m, z_m) = (prime_vertical_m * cos, prime_vertical_m * (1.0 - ECCENTRICITY_SQUARED) * sin);
    let r_m = p_m.hypot(z_m);
    // Geocentric sine and cosine; at the very pole the east component is taken a hair beside it.
    let (sin_c, cos_c) = (z_m / r_m, (p_m / r_m).max(1e-10));
    let legendre = Legendre::at(sin_c, cos_c);
    let longitude = place.longitude_deg().to_radians();
    let (mut north, mut east, mut down) = (0.0, 0.0, 0.0);
    for row in &COEFFICIENTS {
        let (n, m) = (f64::from(row.degree), f64::from(row.order));
        let (g, h) = (row.g_nt + years * row.g_nt_year, row.h_nt + years * row.h_nt_year);
        let (sin_m, cos_m) = (m * longitude).sin_cos();
        let ratio = (RADIUS_M / r_m).powi(i32::from(row.degree) + 2);
        let (value, slope) = legendre.of(row.degree, row.order);
        north -= ratio * (g * cos_m + h * sin_m) * slope;
        east += ratio * m * (g * sin_m - h * cos_m) * value / cos_c;
        down -= ratio * (n + 1.0) * (g * cos_m + h * sin_m) * value;
    }
    // Turned from the geocentric to the geodetic vertical: by φ − φ'.
    let (sin_t, cos_t) = (sin * cos_c - cos * sin_c, cos * cos_c + sin * sin_c);
    (north * cos_t + down * sin_t, east)
}

/// Legendre functions of `sin φ'`, Schmidt semi-normalized, and their slopes in `φ'`.
struct Legendre {
    value: [[f64; DEGREE_MAX + 1]; DEGREE_MAX + 1],
    slope: [[f64; DEGREE_MAX + 1]; DEGREE_MAX + 1],
}

impl Legendre {
    /// By the recurrences of the colatitude `θ = 90° − φ'`; the slope in `φ'` is that in `θ` with its sign
    /// turned.
    fn at(sin: f64, cos: f64) -> Self {
        let mut it = Self {
            value: [[0.0; DEGREE_MAX + 1]; DEGREE_MAX + 1],
            slope: [[0.0; DEGREE_MAX + 1]; DEGREE_MAX + 1],
        };
        it.value[0][0] = 1.0;
        for n in 1..=DEGREE_MAX {
            for m in 0..n {
                it.below_diagonal(n, m, sin, cos);
            }
            it.on_diagonal(n, sin, cos);
        }
        it
    }

    /// Value and slope of one degree and order.
    fn of(&self, degree: u8, order: u8) -> (f64, f64) {
        let (n, m) = (usize::from(degree), usize::from(order));
        (self.value[n][m], self.slope[n][m])
    }

    fn on_diagonal(&mut self, n: usize, sin: f64, cos: f64) {
        let whole = n as f64;
        let factor = if n == 1 { 1.0 } else { ((2.0 * whole - 1.0) / (2.0 * whole)).sqrt() };
        let (value, slope) = (self.value[n - 1][n - 1], self.slope[n - 1][n - 1]);
        self.value[n][n] = factor * cos * value;
        self.slope[n][n] = factor * (cos * slope - sin * value);
    }

    fn below_diagonal(&mut self, n: usize, m: usize, sin: f64, cos: f64) {
        let (n_f, m_f) = (n as f64, m as f64);
        let divisor = (n_f * n_f - m_f * m_f).sqrt();
        let (value, slope) = (self.value[n - 1][m], self.slope[n - 1][m]);
        let (older, older_slope) =
            if n < 2 { (0.0, 0.0) } else { (self.value[n - 2][m], self.slope[n - 2][m]) };
        let carried = ((n_f - 1.0) * (n_f - 1.0) - m_f * m_f).max(0.0).sqrt();
        self.value[n][m] = ((2.0 * n_f - 1.0) * sin * value - carried * older) / divisor;
        self.slope[n][m] =
            ((2.0 * n_f - 1.0) * (sin * slope + cos * value) - carried * older_slope) / divisor;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use coefficients::SUMS_TENTHS;

    #[test]
    fn the_table_holds_every_degree_and_order_once_and_adds_up() {
        let pairs = (1..=DEGREE_MAX).flat_map(|n| (0..=n).map(move |m| (n, m)));
        assert!(pairs.eq(COEFFICIENTS.iter().map(|row| (row.degree.into(), row.order.into()))));
        let tenths = |column: fn(&coefficients::Row) -> f64| {
            COEFFICIENTS
                .iter()
                .map(|row| format!("{:.0}", 10.0 * column(row)).parse::<i64>().unwrap())
                .sum::<i64>()
        };
        let sums = [tenths(|r| r.g_nt), tenths(|r| r.h_nt), tenths(|r| r.g_nt_year), tenths(|r| r.h_nt_year)];
        assert_eq!(sums, SUMS_TENTHS);
    }

    #[test]
    fn outside_its_years_the_model_says_nothing() {
        let place = Position::new(50.0, 0.0).unwrap();
        for at in [
            "2024-12-31T23:59:59Z",
            "2030-01-02T00:00:00Z",
            "-000001-01-01T00:00:00Z",
            "9999-12-01T00:00:00Z",
        ] {
            let at = at.parse().unwrap();
            assert!(matches!(variation(place, at), Err(MagnetismError::OutsideSpan { .. })), "{at}");
        }
        assert!(variation(place, "2025-01-01T00:00:00Z".parse().unwrap()).is_ok());
    }

    #[test]
    fn near_the_magnetic_pole_a_compass_is_of_no_use() {
        // The north dip pole lies near 85.8° N 139° E in 2025 (NOAA/NCEI and BGS, with the model; from
        // memory).
        let pole = Position::new(85.8, 139.0).unwrap();
        let answer = variation(pole, "2025-01-02T00:00:00Z".parse().unwrap());
        assert!(matches!(answer, Err(MagnetismError::NearPole { .. })), "{answer:?}");
    }

    #[test]
    fn the_spread_at_sea_is_some_four_tenths_of_a_degree() {
        let place = Position::new(54.0, 10.0).unwrap();
        let spread_deg =
            variation(place, "2026-06-01T00:00:00Z".parse().unwrap()).unwrap().spread.as_degrees();
        assert!((0.26..0.5).contains(&spread_deg), "{spread_deg}");
    }
}
