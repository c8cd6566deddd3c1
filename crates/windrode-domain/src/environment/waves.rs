//! The sea: what the wind raises over a fetch, and how a swell moves her.
//!
//! Wind over open water raises a sea that grows with the length of that water (the fetch) and with the time it has
//! blown, until the depth holds it down or it breaks. With `U` the wind at 10 m (m/s), `F` the fetch (m), `d` the
//! depth (m), `g = 9.81 m/s²` as the manuals use:
//!
//! ```text
//! SPM    U_A = 0.71 U^1.23
//!        deep:    gH/U_A² = 1.6e-3 (gF/U_A²)^½     gTp/U_A = 0.2857 (gF/U_A²)^⅓     gt/U_A = 68.8 (gF/U_A²)^⅔
//!                 no more than gH/U_A² = 0.2433, gTp/U_A = 8.134
//!        shallow: gH/U_A² = 0.283 tanh A tanh[0.00565 (gF/U_A²)^½ / tanh A],  A = 0.530 (gd/U_A²)^¾
//!                 gTs/U_A = 7.54 tanh B tanh[0.0379 (gF/U_A²)^⅓ / tanh B],    B = 0.833 (gd/U_A²)^⅜
//! CEM    C_D = 0.001 (1.1 + 0.035 U),  u* = √C_D U
//!        gH/u*² = 0.0413 (gF/u*²)^½     gTp/u* = 0.651 (gF/u*²)^⅓     t = 77.23 F^0.67 / (U^0.34 g^0.33)
//! JONSWAP  m0 = 1.6e-7 (gF/U²) U⁴/g²,  fp = 3.5 (gF/U²)^−0.33 g/U,  H = 4 √m0
//! ```
//!
//! Sources: Shore Protection Manual, US Army (1984), chapter 3; Coastal Engineering Manual EM 1110-2-1100, part II-2;
//! Hasselmann and others, JONSWAP (1973). The three part by up to a third on short fetches: the SPM, the highest, is
//! the one used. The waves of passing craft, currents that steepen a sea, and reflection off walls are left out.
//!
//! A swell is felt as surge: `ω² = g k tanh(k d)`, and the water at the surface moves `(H/2) / tanh(k d)` either way.

use crate::units::{Angle, Bearing, Length, Speed};

/// Gravity as the coastal manuals take it, m/s².
const G: f64 = 9.81;
/// Height over depth at which a wave breaks on a flat bed. McCowan (1894), as in SPM chapter 2.
pub const BREAKING_RATIO: f64 = 0.78;

/// A sea raised by the wind.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WindSea {
    /// Significant height.
    pub height: Length,
    /// Period, s: of the spectrum's peak in deep water, significant in shallow.
    pub period_s: f64,
}

impl WindSea {
    /// No sea.
    pub const FLAT: Self = Self { height: Length::ZERO, period_s: 0.0 };
}

/// What a sea is reckoned from, raw, in SI; positive and finite by [`Raising::of`].
#[derive(Clone, Copy)]
struct Raising {
    wind_ms: f64,
    fetch_m: f64,
}

impl Raising {
    /// `None` where there is no wind or no fetch, and so no sea.
    fn of(wind: Speed, fetch: Length) -> Option<Self> {
        let (wind_ms, fetch_m) = (wind.as_metres_per_second(), fetch.as_metres());
        (0.0 < wind_ms && 0.0 < fetch_m).then_some(Self { wind_ms, fetch_m })
    }
    fn adjusted_ms(self) -> f64 {
        adjusted_ms(self.wind_ms)
    }
    fn fetch_over_adjusted(self) -> f64 {
        G * self.fetch_m / self.adjusted_ms().powi(2)
    }
    fn friction_ms(self) -> f64 {
        (0.001 * (1.1 + 0.035 * self.wind_ms)).sqrt() * self.wind_ms
    }
}

/// `U_A`, m/s.
fn adjusted_ms(wind_ms: f64) -> f64 {
    0.71 * wind_ms.powf(1.23)
}

/// The sea that a wind over a fetch raises in deep water by the SPM; flat without wind or fetch.
pub fn deep(wind: Speed, fetch: Length) -> WindSea {
    let Some(raising) = Raising::of(wind, fetch) else { return WindSea::FLAT };
    let (u, x) = (raising.adjusted_ms(), raising.fetch_over_adjusted());
    WindSea {
        height: Length::metres((1.6e-3 * x.sqrt()).min(0.2433) * u * u / G),
        period_s: (0.2857 * x.cbrt()).min(8.134) * u / G,
    }
}

/// How long the wind must blow for that sea, s, by the SPM.
pub fn time_to_raise_s(wind: Speed, fetch: Length) -> f64 {
    Raising::of(wind, fetch).map_or(0.0, |raising| {
        68.8 * raising.fetch_over_adjusted().powf(2.0 / 3.0) * raising.adjusted_ms() / G
    })
}

/// The fetch that a wind makes use of in the time it has blown: the whole, or as much as the SPM's time allows.
pub fn fetch_used(wind: Speed, fetch: Length, blown_s: f64) -> Length {
    let Some(raising) = Raising::of(wind, fetch) else { return fetch };
    let u = raising.adjusted_ms();
    let limited_m = (G * blown_s / (68.8 * u)).powf(1.5) * u * u / G;
    fetch.min(Length::metres(limited_m))
}

/// The sea that a wind over a fetch raises over an even depth by the SPM, no higher than breaks there.
pub fn shallow(wind: Speed, fetch: Length, depth: Length) -> WindSea {
    let Some(raising) = Raising::of(wind, fetch) else { return WindSea::FLAT };
    let afloat = 0.0 < depth.as_metres();
    if !afloat {
        return WindSea::FLAT;
    }
    let (u, x) = (raising.adjusted_ms(), raising.fetch_over_adjusted());
    let depth_over_adjusted = G * depth.as_metres() / (u * u);
    let a = (0.530 * depth_over_adjusted.powf(0.75)).tanh();
    let b = (0.833 * depth_over_adjusted.powf(0.375)).tanh();
    let height_m = u * u / G * 0.283 * a * (0.00565 * x.sqrt() / a).tanh();
    WindSea {
        height: breaking(Length::metres(height_m), depth),
        period_s: u / G * 7.54 * b * (0.0379 * x.cbrt() / b).tanh(),
    }
}

/// The sea by the CEM in deep water, as a second opinion.
pub fn deep_cem(wind: Speed, fetch: Length) -> WindSea {
    let Some(raising) = Raising::of(wind, fetch) else { return WindSea::FLAT };
    let u = raising.friction_ms();
    let x = G * raising.fetch_m / (u * u);
    WindSea { height: Length::metres(4.13e-2 * x.sqrt() * u * u / G), period_s: 0.651 * x.cbrt() * u / G }
}

/// How long the wind must blow for that sea, s, by the CEM.
pub fn time_to_raise_cem_s(wind: Speed, fetch: Length) -> f64 {
    Raising::of(wind, fetch)
        .map_or(0.0, |r| 77.23 * r.fetch_m.powf(0.67) / (r.wind_ms.powf(0.34) * G.powf(0.33)))
}

/// The sea by the JONSWAP growth laws in deep water, as a third opinion.
pub fn deep_jonswap(wind: Speed, fetch: Length) -> WindSea {
    let Some(raising) = Raising::of(wind, fetch) else { return WindSea::FLAT };
    let u = raising.wind_ms;
    let x = G * raising.fetch_m / (u * u);
    let variance_m2 = 1.6e-7 * x * u.powi(4) / (G * G);
    WindSea {
        height: Length::metres(4.0 * variance_m2.sqrt()),
        period_s: (3.5 * x.powf(-0.33) * G / u).recip(),
    }
}

/// A height, or the height at which it breaks in this depth.
pub fn breaking(height: Length, depth: Length) -> Length {
    height.min(depth.max(Length::ZERO) * BREAKING_RATIO)
}

/// A wave of one period over an even depth, of small height.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wave {
    period_s: f64,
    depth_m: f64,
    /// Wave number, 1/m.
    k: f64,
}

impl Wave {
    /// `None` unless period and depth are positive and finite.
    pub fn new(period_s: f64, depth: Length) -> Option<Self> {
        let depth_m = depth.as_metres();
        let possible = 0.0 < period_s && period_s.is_finite() && 0.0 < depth_m && depth_m.is_finite();
        possible.then(|| Self { period_s, depth_m, k: wave_number(period_s, depth_m) })
    }
    /// Wave number, radians a metre.
    pub const fn wave_number(self) -> f64 {
        self.k
    }
    /// From crest to crest.
    pub fn length(self) -> Length {
        Length::metres(core::f64::consts::TAU / self.k)
    }
    /// Height here over the height in deep water.
    pub fn shoaling(self) -> f64 {
        let kd = self.k * self.depth_m;
        // 2kd / sinh 2kd vanishes in deep water, where sinh would overflow.
        let n = 0.5 * (1.0 + if kd < 100.0 { 2.0 * kd / (2.0 * kd).sinh() } else { 0.0 });
        let celerity_ms = core::f64::consts::TAU / (self.period_s * self.k);
        let deep_group_ms = G * self.period_s / (4.0 * core::f64::consts::PI);
        (deep_group_ms / (n * celerity_ms)).sqrt()
    }
    /// How far the water at the surface moves either way under a wave of this height; a hull shorter than a quarter
    /// of the wave's length moves with it.
    pub fn surge(self, height: Length) -> Length {
        height / (2.0 * (self.k * self.depth_m).tanh())
    }
    /// How fast it moves there at most.
    pub fn surge_speed(self, height: Length) -> Speed {
        let angular = core::f64::consts::TAU / self.period_s;
        Speed::metres_per_second(self.surge(height).as_metres() * angular)
    }
}

/// Solves `ω² = g k tanh(k d)` for `k`. Eckart's estimate is within 6 %; Newton's steps square the error, so that
/// six of them reach the last bit from there.
fn wave_number(period_s: f64, depth_m: f64) -> f64 {
    let omega = core::f64::consts::TAU / period_s;
    let c = omega * omega * depth_m / G;
    let mut x = c / c.tanh().sqrt();
    for _ in 0..6 {
        let t = x.tanh();
        x -= (x * t - c) / (t + x * (1.0 - t * t));
    }
    x / depth_m
}

/// Open water over a range of bearings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FetchSector {
    /// First bearing, true, looking out from the berth.
    pub from: Bearing,
    /// Last bearing, clockwise from the first.
    pub to: Bearing,
    /// How far the water is open; zero behind land.
    pub length: Length,
}

impl FetchSector {
    fn width_deg(self) -> f64 {
        (self.to.as_degrees() - self.from.as_degrees()).rem_euclid(360.0)
    }
    fn holds(self, bearing_deg: f64) -> bool {
        (bearing_deg - self.from.as_degrees()).rem_euclid(360.0) <= self.width_deg()
    }
}

/// How far the water is open around a berth.
///
/// Invariant: every length is finite and not negative.
#[derive(Clone, Debug, PartialEq)]
pub enum Fetch {
    /// The same on every bearing.
    Around(Length),
    /// By sector; bearings in no sector are unknown.
    Sectors(Vec<FetchSector>),
}

/// A fetch that cannot be.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[error("a fetch of {length_m} m from {from} to {to} is not a length of open water")]
pub struct FetchProblem {
    /// First bearing of the sector.
    pub from: Bearing,
    /// Last bearing of the sector.
    pub to: Bearing,
    /// What was said.
    pub length_m: f64,
}

impl Fetch {
    /// The same on every bearing.
    ///
    /// # Errors
    /// [`FetchProblem`] if it is negative or not finite.
    pub fn around(length: Length) -> Result<Self, FetchProblem> {
        let north = Bearing::degrees(0.0);
        check_sector(&FetchSector { from: north, to: north, length }).map_or(Ok(Self::Around(length)), Err)
    }

    /// By sector. A sector that ends where it begins is that bearing alone.
    ///
    /// # Errors
    /// A [`FetchProblem`] for every sector whose length is negative or not finite.
    pub fn sectors(sectors: Vec<FetchSector>) -> Result<Self, Vec<FetchProblem>> {
        let problems: Vec<_> = sectors.iter().filter_map(check_sector).collect();
        if problems.is_empty() { Ok(Self::Sectors(sectors)) } else { Err(problems) }
    }

    /// The longest fetch within `spread` either side of a bearing; `None` if it is unknown for any of them.
    pub fn worst(&self, towards: Bearing, spread: Angle) -> Option<Length> {
        let sectors = match self {
            Self::Around(length) => return Some(*length),
            Self::Sectors(sectors) => sectors,
        };
        let half_deg = spread.as_degrees().abs().min(180.0);
        let looked_at = looked_at_deg(sectors, towards.as_degrees(), half_deg);
        looked_at.into_iter().try_fold(Length::ZERO, |worst, bearing_deg| {
            let here = sectors.iter().filter(|sector| sector.holds(bearing_deg)).map(|sector| sector.length);
            Some(worst.max(here.reduce(Length::max)?))
        })
    }
}

fn check_sector(sector: &FetchSector) -> Option<FetchProblem> {
    let length_m = sector.length.as_metres();
    let possible = 0.0 <= length_m && length_m.is_finite();
    (!possible).then_some(FetchProblem { from: sector.from, to: sector.to, length_m })
}

/// The bearings that decide an arc: its ends, every sector's edge within it, and the middle of each stretch between
/// those, so that no gap between sectors is stepped over.
fn looked_at_deg(sectors: &[FetchSector], centre_deg: f64, half_deg: f64) -> Vec<f64> {
    let edges = sectors.iter().flat_map(|sector| [sector.from, sector.to]);
    let mut offsets: Vec<f64> = edges
        .map(|edge| (edge.as_degrees() - centre_deg + 180.0).rem_euclid(360.0) - 180.0)
        .filter(|offset| offset.abs() <= half_deg)
        .collect();
    offsets.extend([-half_deg, half_deg]);
    offsets.sort_by(f64::total_cmp);
    let middles: Vec<f64> = offsets.windows(2).map(|pair| f64::midpoint(pair[0], pair[1])).collect();
    offsets.into_iter().chain(middles).map(|offset| centre_deg + offset).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn close(actual: f64, expected: f64, tolerance: f64) {
        assert!((actual - expected).abs() <= tolerance, "{actual} is not {expected} within {tolerance}");
    }

    struct Row {
        wind_ms: f64,
        fetch_m: f64,
        deep: [f64; 3],
        shallow_5: [f64; 2],
        shallow_10: [f64; 2],
        cem: [f64; 2],
        jonswap: [f64; 2],
    }

    const fn row(
        (wind_ms, fetch_m): (f64, f64),
        deep: [f64; 3],
        shallow_5: [f64; 2],
        shallow_10: [f64; 2],
        cem: [f64; 2],
        jonswap: [f64; 2],
    ) -> Row {
        Row { wind_ms, fetch_m, deep, shallow_5, shallow_10, cem, jonswap }
    }

    /// Source: the SPM (1984, ch. 3), CEM (part II-2) and JONSWAP formulas, as published in open code for coastal
    /// engineers, evaluated independently with numpy 2.4.
    const ROWS: [Row; 8] = [
        row(
            (10.0, 500.0),
            [0.13773, 1.13468, 882.9],
            [0.13672, 1.11309],
            [0.13729, 1.12023],
            [0.11228, 0.81725],
            [0.11423, 1.05238],
        ),
        row(
            (10.0, 1000.0),
            [0.19478, 1.42961, 1401.6],
            [0.19206, 1.38683],
            [0.19367, 1.40078],
            [0.15878, 1.02967],
            [0.16154, 1.32286],
        ),
        row(
            (10.0, 5000.0),
            [0.43554, 2.44460, 4098.2],
            [0.40803, 2.24361],
            [0.42449, 2.30590],
            [0.35505, 1.76070],
            [0.36122, 2.24995],
        ),
        row(
            (15.0, 1000.0),
            [0.32073, 1.68816, 1186.9],
            [0.31375, 1.63835],
            [0.31805, 1.65641],
            [0.25214, 1.20127],
            [0.24231, 1.51839],
        ),
        row(
            (15.0, 5000.0),
            [0.71717, 2.88672, 3470.5],
            [0.64801, 2.65245],
            [0.69009, 2.73345],
            [0.56379, 2.05414],
            [0.54183, 2.58253],
        ),
        row(
            (20.0, 1000.0),
            [0.45689, 1.89950, 1054.8],
            [0.44308, 1.84228],
            [0.45167, 1.86387],
            [0.35382, 1.34490],
            [0.32308, 1.67442],
        ),
        row(
            (20.0, 5000.0),
            [1.02163, 3.24810, 3084.4],
            [0.88864, 2.97942],
            [0.96872, 3.07605],
            [0.79116, 2.29975],
            [0.72244, 2.84790],
        ),
        row(
            (20.577_778, 2000.0),
            [0.66917, 2.42133, 1655.0],
            [0.62925, 2.30734],
            [0.65404, 2.34977],
            [0.51772, 1.71382],
            [0.47011, 2.12524],
        ),
    ];

    #[track_caller]
    fn same_sea(sea: WindSea, [height_m, period_s]: [f64; 2]) {
        // One unit of the last printed digit.
        close(sea.height.as_metres(), height_m, 1e-5);
        close(sea.period_s, period_s, 1e-5);
    }

    #[test]
    fn seas_are_those_of_the_manuals() {
        for row in ROWS {
            let (wind, fetch) = (Speed::metres_per_second(row.wind_ms), Length::metres(row.fetch_m));
            same_sea(deep(wind, fetch), [row.deep[0], row.deep[1]]);
            close(time_to_raise_s(wind, fetch), row.deep[2], 0.051);
            same_sea(shallow(wind, fetch, Length::metres(5.0)), row.shallow_5);
            same_sea(shallow(wind, fetch, Length::metres(10.0)), row.shallow_10);
            same_sea(deep_cem(wind, fetch), row.cem);
            same_sea(deep_jonswap(wind, fetch), row.jonswap);
        }
    }

    // Source: as above.
    #[test]
    fn the_adjusted_wind_is_the_manuals() {
        close(adjusted_ms(10.0), 12.05753, 5.1e-6);
        close(adjusted_ms(15.0), 19.85412, 5.1e-6);
        close(adjusted_ms(20.0), 28.28299, 5.1e-6);
    }

    #[test]
    fn without_wind_or_fetch_there_is_no_sea() {
        assert_eq!(deep(Speed::ZERO, Length::metres(1000.0)), WindSea::FLAT);
        assert_eq!(shallow(Speed::knots(30.0), Length::ZERO, Length::metres(5.0)), WindSea::FLAT);
        assert_eq!(shallow(Speed::knots(30.0), Length::metres(1000.0), Length::ZERO), WindSea::FLAT);
        close(time_to_raise_s(Speed::ZERO, Length::metres(1000.0)), 0.0, 0.0);
    }

    #[test]
    fn a_sea_is_limited_by_the_time_the_wind_has_blown() {
        let (wind, fetch) = (Speed::metres_per_second(15.0), Length::metres(5000.0));
        let needed_s = time_to_raise_s(wind, fetch);
        close(fetch_used(wind, fetch, needed_s).as_metres(), 5000.0, 1e-6);
        assert_eq!(fetch_used(wind, fetch, needed_s * 2.0), fetch);
        assert!(fetch_used(wind, fetch, needed_s / 2.0) < fetch);
    }

    // Source: CEM part II-2 eq. for the time to raise a sea, evaluated by hand for 10 m/s and 1 km:
    // 77.23 · 1000^0.67 / (10^0.34 · 9.81^0.33) = 1699 s.
    #[test]
    fn the_cem_takes_half_an_hour_over_a_kilometre() {
        close(time_to_raise_cem_s(Speed::metres_per_second(10.0), Length::metres(1000.0)), 1699.0, 5.0);
    }

    #[test]
    fn in_deep_enough_water_the_shallow_sea_is_no_higher_than_the_deep() {
        let (wind, fetch) = (Speed::metres_per_second(20.0), Length::metres(3000.0));
        let flood = shallow(wind, fetch, Length::metres(200.0)).height;
        let sea = deep(wind, fetch).height;
        // The two forms of the manual join to within 2 % where neither depth nor full growth limits.
        close(flood / sea, 1.0, 0.02);
    }

    #[test]
    fn no_sea_is_higher_than_breaks() {
        let sea = shallow(Speed::knots(60.0), Length::metres(200_000.0), Length::metres(0.5));
        assert!(sea.height <= Length::metres(0.5 * BREAKING_RATIO));
        close(breaking(Length::metres(9.0), Length::metres(10.0)).as_metres(), 7.8, 1e-12);
    }

    // Source: linear wave theory solved independently with scipy 1.17 (brentq) at g = 9.81.
    #[test]
    fn waves_over_a_depth_agree_with_an_independent_solution() {
        let rows = [
            (3.0, 5.0, 0.456_547_682, 13.762_386, 0.965_625, 0.510_514, 1.069_219),
            (5.0, 5.0, 0.207_302_726, 30.309_227, 0.917_454, 0.643_909, 0.809_160),
            (8.0, 10.0, 0.088_622_445, 70.898_352, 0.932_666, 0.704_698, 0.553_468),
            (12.0, 10.0, 0.055_456_663, 113.299_015, 1.043_895, 0.992_191, 0.519_510),
        ];
        for (period_s, depth_m, k, length_m, shoaling, surge_m, surge_ms) in rows {
            let wave = Wave::new(period_s, Length::metres(depth_m)).unwrap();
            close(wave.wave_number(), k, 5.1e-10);
            close(wave.length().as_metres(), length_m, 5.1e-7);
            close(wave.shoaling(), shoaling, 5.1e-7);
            close(wave.surge(Length::metres(1.0)).as_metres(), surge_m, 5.1e-7);
            close(wave.surge_speed(Length::metres(1.0)).as_metres_per_second(), surge_ms, 5.1e-7);
        }
    }

    #[test]
    fn the_wave_number_satisfies_its_equation_from_ripples_to_tsunamis() {
        for period_s in [0.1, 0.5, 2.0, 10.0, 60.0, 3600.0] {
            for depth_m in [0.01, 0.5, 5.0, 60.0, 5000.0] {
                let k = Wave::new(period_s, Length::metres(depth_m)).unwrap().wave_number();
                let omega = core::f64::consts::TAU / period_s;
                close(G * k * (k * depth_m).tanh() / (omega * omega), 1.0, 1e-12);
            }
        }
        assert!(Wave::new(f64::NAN, Length::metres(5.0)).is_none());
        assert!(Wave::new(5.0, Length::ZERO).is_none());
    }

    #[test]
    fn in_deep_water_a_wave_does_not_shoal() {
        let wave = Wave::new(1.0, Length::metres(500.0)).unwrap();
        close(wave.shoaling(), 1.0, 1e-12);
    }

    fn sector(from_deg: f64, to_deg: f64, length_m: f64) -> FetchSector {
        FetchSector {
            from: Bearing::degrees(from_deg),
            to: Bearing::degrees(to_deg),
            length: Length::metres(length_m),
        }
    }

    #[test]
    fn the_worst_fetch_within_the_spread_counts_across_north() {
        let fetch = Fetch::sectors(vec![sector(350.0, 20.0, 4000.0), sector(20.0, 350.0, 300.0)]).unwrap();
        let worst_m = |bearing_deg: f64, spread_deg: f64| {
            fetch.worst(Bearing::degrees(bearing_deg), Angle::degrees(spread_deg)).unwrap().as_metres()
        };
        close(worst_m(5.0, 0.0), 4000.0, 0.0);
        close(worst_m(180.0, 20.0), 300.0, 0.0);
        close(worst_m(335.0, 20.0), 4000.0, 0.0);
        close(worst_m(180.0, 180.0), 4000.0, 0.0);
    }

    #[test]
    fn a_bearing_in_no_sector_is_unknown_however_narrow_the_gap() {
        let fetch = Fetch::sectors(vec![sector(0.0, 89.9, 500.0), sector(90.1, 359.9, 300.0)]).unwrap();
        assert!(fetch.worst(Bearing::degrees(80.0), Angle::degrees(30.0)).is_none());
        assert!(fetch.worst(Bearing::degrees(45.0), Angle::degrees(30.0)).is_some());
    }

    #[test]
    fn a_fetch_that_cannot_be_is_refused_sector_by_sector() {
        let problems =
            Fetch::sectors(vec![sector(0.0, 90.0, -1.0), sector(90.0, 180.0, f64::NAN)]).unwrap_err();
        assert_eq!(problems.len(), 2);
        assert!(Fetch::around(Length::metres(f64::INFINITY)).is_err());
        let around = Fetch::around(Length::metres(700.0)).unwrap();
        assert_eq!(around.worst(Bearing::degrees(10.0), Angle::ZERO), Some(Length::metres(700.0)));
    }
}
