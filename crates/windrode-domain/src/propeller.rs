//! What her propeller pulls, ahead and astern, while the anchor holds her still.
//!
//! With no way on, the blades meet the water at `J = 0` and the thrust is the bollard's:
//! `T = K_T ρ n² D⁴`, `Q = K_Q ρ n² D⁵`, `P = 2π n Q` (n in turns a second). `K_T` and `K_Q` are the Wageningen
//! B-series polynomials. So thrust goes by the square of the revolutions and power by the cube.
//!
//! A yacht's propeller behind a yacht's hull is not a B-screw in open water, and it turns the wrong way round when it
//! goes astern: the pull that reaches the rode is a band, made of three factors taken as independent lognormals
//! ([`astern_pull`]), each a range taken as 10th to 90th percentile. One measurement of the crew's own with a scale
//! on the rode is better than all of it ([`MeasuredPull`]).
//!
//! Left out: the engine's torque curve below full revolutions (a bollard is taken to stall it at the torque of full
//! power), the flow of the hull into the propeller, way on.

use core::f64::consts::PI;

use crate::boat::{Engine, Propeller, PropellerKind};
use crate::sourced::{Confidence, Sourced};
use crate::uncertain::{Lognormal, Origin};
use crate::units::{Force, Length, POUND_FORCE_N, Power, SEA_WATER_KG_M3};

/// A term of the polynomial: coefficient; exponents of `J`, `P/D`, `A_E/A_0`, `Z`.
type Term = (f64, [u8; 4]);

/// Thrust coefficients of the Wageningen B-series at `Rn = 2·10⁶`.
///
/// Oosterveld & van Oossanen, *Further computer-analyzed data of the Wageningen B-screw series*, International
/// Shipbuilding Progress 22 (251), 1975; three public transcriptions agree in every row.
#[rustfmt::skip]
const THRUST_TERMS: [Term; 39] = [
    (0.008_804_96, [0, 0, 0, 0]), (-0.204_554, [1, 0, 0, 0]), (0.166_351, [0, 1, 0, 0]),
    (0.158_114, [0, 2, 0, 0]), (-0.147_581, [2, 0, 1, 0]), (-0.481_497, [1, 1, 1, 0]),
    (0.415_437, [0, 2, 1, 0]), (0.014_404_3, [0, 0, 0, 1]), (-0.053_005_4, [2, 0, 0, 1]),
    (0.014_348_1, [0, 1, 0, 1]), (0.060_682_6, [1, 1, 0, 1]), (-0.012_589_4, [0, 0, 1, 1]),
    (0.010_968_9, [1, 0, 1, 1]), (-0.133_698, [0, 3, 0, 0]), (0.006_384_07, [0, 6, 0, 0]),
    (-0.001_327_18, [2, 6, 0, 0]), (0.168_496, [3, 0, 1, 0]), (-0.050_721_4, [0, 0, 2, 0]),
    (0.085_455_9, [2, 0, 2, 0]), (-0.050_447_5, [3, 0, 2, 0]), (0.010_465, [1, 6, 2, 0]),
    (-0.006_482_72, [2, 6, 2, 0]), (-0.008_417_28, [0, 3, 0, 1]), (0.016_842_4, [1, 3, 0, 1]),
    (-0.001_022_96, [3, 3, 0, 1]), (-0.031_779_1, [0, 3, 1, 1]), (0.018_604, [1, 0, 2, 1]),
    (-0.004_107_98, [0, 2, 2, 1]), (-0.000_606_848, [0, 0, 0, 2]), (-0.004_981_9, [1, 0, 0, 2]),
    (0.002_598_3, [2, 0, 0, 2]), (-0.000_560_528, [3, 0, 0, 2]), (-0.001_636_52, [1, 2, 0, 2]),
    (-0.000_328_787, [1, 6, 0, 2]), (0.000_116_502, [2, 6, 0, 2]), (0.000_690_904, [0, 0, 1, 2]),
    (0.004_217_49, [0, 3, 1, 2]), (0.000_056_522_9, [3, 6, 1, 2]), (-0.001_465_64, [0, 3, 2, 2]),
];

/// Torque coefficients of the same. The last row but one is -0.0004659: one public transcription has -0.0004689,
/// two the value here.
#[rustfmt::skip]
const TORQUE_TERMS: [Term; 47] = [
    (0.003_793_68, [0, 0, 0, 0]), (0.008_865_23, [2, 0, 0, 0]), (-0.032_241, [1, 1, 0, 0]),
    (0.003_447_78, [0, 2, 0, 0]), (-0.040_881_1, [0, 1, 1, 0]), (-0.108_009, [1, 1, 1, 0]),
    (-0.088_538_1, [2, 1, 1, 0]), (0.188_561, [0, 2, 1, 0]), (-0.003_708_71, [1, 0, 0, 1]),
    (0.005_136_96, [0, 1, 0, 1]), (0.020_944_9, [1, 1, 0, 1]), (0.004_743_19, [2, 1, 0, 1]),
    (-0.007_234_08, [2, 0, 1, 1]), (0.004_383_88, [1, 1, 1, 1]), (-0.026_940_3, [0, 2, 1, 1]),
    (0.055_808_2, [3, 0, 1, 0]), (0.016_188_6, [0, 3, 1, 0]), (0.003_180_86, [1, 3, 1, 0]),
    (0.015_896, [0, 0, 2, 0]), (0.047_172_9, [1, 0, 2, 0]), (0.019_628_3, [3, 0, 2, 0]),
    (-0.050_278_2, [0, 1, 2, 0]), (-0.030_055, [3, 1, 2, 0]), (0.041_712_2, [2, 2, 2, 0]),
    (-0.039_772_2, [0, 3, 2, 0]), (-0.003_500_24, [0, 6, 2, 0]), (-0.010_685_4, [3, 0, 0, 1]),
    (0.001_109_03, [3, 3, 0, 1]), (-0.000_313_912, [0, 6, 0, 1]), (0.003_598_5, [3, 0, 1, 1]),
    (-0.001_421_21, [0, 6, 1, 1]), (-0.003_836_37, [1, 0, 2, 1]), (0.012_680_3, [0, 2, 2, 1]),
    (-0.003_182_78, [2, 3, 2, 1]), (0.003_342_68, [0, 6, 2, 1]), (-0.001_834_91, [1, 1, 0, 2]),
    (0.000_112_451, [3, 2, 0, 2]), (-0.000_029_722_8, [3, 6, 0, 2]), (0.000_269_551, [1, 0, 1, 2]),
    (0.000_832_65, [2, 0, 1, 2]), (0.001_553_34, [0, 2, 1, 2]), (0.000_302_683, [0, 6, 1, 2]),
    (-0.000_184_3, [0, 0, 2, 2]), (-0.000_425_399, [0, 3, 2, 2]), (0.000_086_924_3, [3, 3, 2, 2]),
    (-0.000_465_9, [0, 6, 2, 2]), (0.000_055_419_4, [1, 6, 2, 2]),
];

/// Thrust and torque coefficients of a propeller at one advance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OpenWater {
    /// `K_T`.
    pub thrust: f64,
    /// `K_Q`.
    pub torque: f64,
}

/// A propeller or a demand on it that the series or the engine does not reach.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum PropellerError {
    /// Out of the series: 2 to 7 blades, area ratio 0.30 to 1.05, pitch ratio 0.5 to 1.4.
    #[error("{what} of {value} is outside the propeller series, which covers {low} to {high}")]
    OutsideSeries {
        /// Which figure.
        what: &'static str,
        /// What it is.
        value: f64,
        /// Least that the series covers.
        low: f64,
        /// Most that the series covers.
        high: f64,
    },
    /// A figure that must be a positive number is not.
    #[error("{what} is {value}, which is not a positive number")]
    NotPositive {
        /// Which figure.
        what: &'static str,
        /// What it is, in SI or turns a minute.
        value: f64,
    },
    /// More revolutions than the engine has.
    #[error("{asked:.0} turns a minute are more than the engine's {rated:.0}")]
    BeyondRated {
        /// Turns a minute asked for.
        asked: f64,
        /// Full revolutions of the engine.
        rated: f64,
    },
}

/// `K_T` and `K_Q` of the B-series at advance `J` (not negative), pitch ratio, area ratio, blades.
///
/// No Reynolds correction: it is +0.000353 in `K_T` at `J = 0`, a tenth of a percent, and is left out.
///
/// # Errors
/// [`PropellerError::OutsideSeries`] beyond the series' own range.
pub fn open_water(
    advance: f64,
    pitch_ratio: f64,
    area_ratio: f64,
    blades: u8,
) -> Result<OpenWater, PropellerError> {
    let bounds = [
        // The polynomials speak of the first quadrant; past J = 1.6 no B-screw pulls.
        ("an advance ratio", advance, 0.0, 1.6),
        ("a pitch ratio", pitch_ratio, 0.5, 1.4),
        ("a blade area ratio", area_ratio, 0.30, 1.05),
        ("a number of blades", f64::from(blades), 2.0, 7.0),
    ];
    for (what, value, low, high) in bounds {
        if !(low <= value && value <= high) {
            return Err(PropellerError::OutsideSeries { what, value, low, high });
        }
    }
    let of = [advance, pitch_ratio, area_ratio, f64::from(blades)];
    Ok(OpenWater { thrust: polynomial(&THRUST_TERMS, of), torque: polynomial(&TORQUE_TERMS, of) })
}

/// Sum of the terms at `J`, `P/D`, `A_E/A_0`, `Z`.
fn polynomial(terms: &[Term], of: [f64; 4]) -> f64 {
    let product = |exponents: &[u8; 4]| -> f64 {
        of.iter().zip(exponents).map(|(value, &exponent)| value.powi(i32::from(exponent))).product()
    };
    terms.iter().map(|(coefficient, exponents)| coefficient * product(exponents)).sum()
}

/// What a propeller does with no way on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bollard {
    /// Thrust ahead in open water, all propellers.
    pub thrust: Force,
    /// Power at one shaft.
    pub power: Power,
    /// Torque at one shaft, N·m.
    pub torque_nm: f64,
    /// Turns a minute of the shaft.
    pub shaft_rpm: f64,
    /// The engine cannot turn it as fast as asked with no way on; these are the turns it reaches.
    pub stalled: bool,
}

/// Bollard thrust ahead at a power on the shaft: `T = K_T (2π K_Q)^(-2/3) ρ^(1/3) (P D)^(2/3)`.
///
/// # Errors
/// [`PropellerError`] if the propeller is outside the series or a figure is not positive.
pub fn bollard_at_power(propeller: &Propeller, power: Power) -> Result<Bollard, PropellerError> {
    let coefficients = bollard_coefficients(propeller)?;
    let power_w = positive("the shaft power", power.as_watts())?;
    let diameter_m = propeller.diameter.as_metres();
    let turns_s = (power_w / (2.0 * PI * coefficients.torque * SEA_WATER_KG_M3 * diameter_m.powi(5))).cbrt();
    Ok(bollard_at_turns(coefficients, diameter_m, turns_s))
}

/// Bollard thrust ahead at revolutions of the engine, all its propellers together.
///
/// With no way on the propeller asks more torque than under way; where that passes the torque of full power at full
/// revolutions the engine stalls at the turns it reaches, and the answer says so.
///
/// # Errors
/// [`PropellerError`] if the propeller is outside the series, a figure is not positive, or the turns pass the rated.
pub fn bollard_at_rpm(engine: &Engine, engine_rpm: f64) -> Result<Bollard, PropellerError> {
    let coefficients = bollard_coefficients(&engine.propeller)?;
    let asked_rpm = positive("the engine speed", engine_rpm)?;
    let rated_rpm = positive("the rated engine speed", engine.rated_rpm)?;
    let gear_ratio = positive("the gear ratio", engine.gear_ratio)?;
    let power_w = positive("the shaft power", engine.shaft_power.as_watts())?;
    if rated_rpm < asked_rpm {
        return Err(PropellerError::BeyondRated { asked: asked_rpm, rated: rated_rpm });
    }
    let diameter_m = engine.propeller.diameter.as_metres();
    let rated_turns_s = rated_rpm / gear_ratio / 60.0;
    let rated_torque_nm = power_w / (2.0 * PI * rated_turns_s);
    let torque_at_a_turn_nm = coefficients.torque * SEA_WATER_KG_M3 * diameter_m.powi(5);
    let most_turns_s = (rated_torque_nm / torque_at_a_turn_nm).sqrt();
    let asked_turns_s = asked_rpm / gear_ratio / 60.0;
    let one = bollard_at_turns(coefficients, diameter_m, asked_turns_s.min(most_turns_s));
    let stalled = most_turns_s < asked_turns_s;
    Ok(Bollard { thrust: one.thrust * f64::from(engine.count), stalled, ..one })
}

fn bollard_coefficients(propeller: &Propeller) -> Result<OpenWater, PropellerError> {
    let diameter_m = positive("the propeller's diameter", propeller.diameter.as_metres())?;
    let pitch_ratio = propeller.pitch.as_metres() / diameter_m;
    open_water(0.0, pitch_ratio, propeller.area_ratio, propeller.blades)
}

fn bollard_at_turns(coefficients: OpenWater, diameter_m: f64, turns_s: f64) -> Bollard {
    let dynamic = SEA_WATER_KG_M3 * turns_s * turns_s * diameter_m.powi(4);
    let torque_nm = coefficients.torque * dynamic * diameter_m;
    Bollard {
        thrust: Force::newtons(coefficients.thrust * dynamic),
        power: Power::watts(2.0 * PI * turns_s * torque_nm),
        torque_nm,
        shaft_rpm: turns_s * 60.0,
        stalled: false,
    }
}

fn positive(what: &'static str, value: f64) -> Result<f64, PropellerError> {
    if 0.0 < value && value.is_finite() {
        Ok(value)
    } else {
        Err(PropellerError::NotPositive { what, value })
    }
}

/// The most that any propeller of a diameter can pull with a power: momentum theory, `(2 ρ A P²)^(1/3)`.
pub fn ideal_thrust(diameter: Length, power: Power) -> Force {
    let disc_m2 = PI / 4.0 * diameter.as_metres() * diameter.as_metres();
    Force::newtons((2.0 * SEA_WATER_KG_M3 * disc_m2 * power.as_watts().powi(2)).cbrt())
}

/// Second opinion: a propeller handbook's rule, `T_lbf = 62.72 (SHP · D_in / 12)^0.67`, ahead.
///
/// Gerr, *Propeller Handbook*, formula 5-9; its constant from memory, high confidence.
pub fn rule_of_thumb_thrust(diameter: Length, power: Power) -> Force {
    /// One mechanical horsepower in watts, as the rule's worked values take it.
    const HORSEPOWER_W: f64 = 745.7;
    let shaft_hp = power.as_watts() / HORSEPOWER_W;
    Force::newtons(62.72 * (shaft_hp * diameter.as_feet()).powf(0.67) * POUND_FORCE_N)
}

/// Static thrust astern over the series' thrust ahead, by kind: a range, 10th to 90th percentile.
///
/// From memory: medium confidence for three fixed blades and feathering (0.9 to 1.0 of its own ahead, which is 0.9 of
/// a fixed one's), low for the rest.
pub const fn astern_share(kind: PropellerKind) -> Sourced<(f64, f64)> {
    let source = "astern over ahead static thrust, remembered from published trials";
    match kind {
        PropellerKind::FixedTwoBlade => Sourced::new((0.55, 0.75), source, Confidence::Low),
        PropellerKind::FixedThreeBlade => Sourced::new((0.6, 0.8), source, Confidence::Medium),
        PropellerKind::Feathering => Sourced::new((0.81, 0.90), source, Confidence::Medium),
        PropellerKind::FoldingGeared => Sourced::new((0.6, 0.8), source, Confidence::Low),
        PropellerKind::Folding => Sourced::new((0.3, 0.5), source, Confidence::Low),
    }
}

/// Part of the thrust left when the wash runs against the hull: 0.90 to 0.95 ahead; "more is lost astern", taken as
/// 0.80 to 0.95. Medium confidence ahead, low astern; from memory.
pub const LEFT_BY_WASH: Sourced<(f64, f64)> =
    Sourced::new((0.80, 0.95), "thrust deduction at the bollard, astern, remembered", Confidence::Low);

/// A yacht's propeller over the B-screw of its figures.
///
/// The handbook's rule comes to 0.88 to 0.91 of the series; "7 to 9 kgf a horsepower, typical of small yachts", to
/// little more than half of its 11 to 15. Taken as 0.7 to 1.0, on the unfavourable side. From memory.
pub const OF_THE_SERIES: Sourced<(f64, f64)> = Sourced::new(
    (0.7, 1.0),
    "propeller handbook's rule and yachts' bollard pulls against the series",
    Confidence::Low,
);

/// A pull astern with where it comes from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AsternPull {
    /// Pull on the rode, N.
    pub newtons: Lognormal,
    /// Measured, or computed from assumed factors.
    pub origin: Origin,
    /// How far it is to be trusted.
    pub confidence: Confidence,
    /// The engine could not turn the propeller as fast as asked.
    pub stalled: bool,
}

/// Net pull astern at revolutions of the engine: the series' bollard thrust ahead, times [`astern_share`],
/// [`LEFT_BY_WASH`] and [`OF_THE_SERIES`].
///
/// # Errors
/// As [`bollard_at_rpm`].
pub fn astern_pull(engine: &Engine, engine_rpm: f64) -> Result<AsternPull, PropellerError> {
    let ahead = bollard_at_rpm(engine, engine_rpm)?;
    let share = astern_share(engine.propeller.kind);
    let ranges = [share.value, LEFT_BY_WASH.value, OF_THE_SERIES.value];
    let bands = ranges.into_iter().filter_map(|(low, high)| Lognormal::from_p10_p90(low, high));
    let (median, variance) =
        bands.fold((1.0, 0.0), |(m, v), band| (m * band.median(), v + band.sigma_ln().powi(2)));
    let thrust_n = positive("the thrust", ahead.thrust.as_newtons())?;
    let newtons = Lognormal::new(thrust_n * median, variance.sqrt())
        .ok_or(PropellerError::NotPositive { what: "the thrust", value: thrust_n })?;
    let confidence = share.confidence.min(LEFT_BY_WASH.confidence);
    Ok(AsternPull { newtons, origin: Origin::Computed, confidence, stalled: ahead.stalled })
}

/// A pull astern that the crew read on a scale in the rode, made fast to a quay or an anchor that held.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MeasuredPull {
    /// What the scale read.
    pub pull: Force,
    /// Engine revolutions a minute as it was read.
    pub at_rpm: f64,
}

/// Spread of a reading on a swinging scale, σ of the logarithm: a tenth; assumed.
pub const READING_SIGMA_LN: f64 = 0.1;

impl MeasuredPull {
    /// The pull at other revolutions, by their square; in place of the estimate.
    ///
    /// # Errors
    /// [`PropellerError::NotPositive`] unless pull and both revolutions are positive numbers.
    pub fn at(&self, engine_rpm: f64) -> Result<AsternPull, PropellerError> {
        let read_n = positive("the measured pull", self.pull.as_newtons())?;
        let read_rpm = positive("the measured engine speed", self.at_rpm)?;
        let asked_rpm = positive("the engine speed", engine_rpm)?;
        let pull_n = read_n * (asked_rpm / read_rpm).powi(2);
        let newtons = Lognormal::new(pull_n, READING_SIGMA_LN)
            .ok_or(PropellerError::NotPositive { what: "the pull", value: pull_n })?;
        let (origin, confidence) = (Origin::Measured, Confidence::Medium);
        Ok(AsternPull { newtons, origin, confidence, stalled: false })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn propeller(diameter_m: f64, pitch_ratio: f64, blades: u8, area_ratio: f64) -> Propeller {
        Propeller {
            kind: PropellerKind::FixedThreeBlade,
            diameter: Length::metres(diameter_m),
            pitch: Length::metres(diameter_m * pitch_ratio),
            blades,
            area_ratio,
        }
    }

    fn engine(rpm: f64) -> Engine {
        Engine {
            shaft_power: Power::watts(22_000.0),
            rated_rpm: rpm,
            gear_ratio: 2.0,
            propeller: propeller(0.45, 0.70, 3, 0.50),
            count: 1,
        }
    }

    // The polynomials of Oosterveld & van Oossanen summed apart in double precision: K_T, 10 K_Q at J = 0 for pitch
    // ratios 0.5, 0.6, 0.8, 1.0. Half a unit in the sixth decimal.
    #[test]
    fn at_the_bollard_the_series_gives_its_table() {
        let pitch_ratios = [0.5, 0.6, 0.8, 1.0];
        #[rustfmt::skip]
        let table = [
            (2, 0.35, [0.173_430, 0.211_158, 0.286_639, 0.357_478], [0.145_777, 0.197_248, 0.332_788, 0.508_728]),
            (2, 0.50, [0.177_948, 0.221_711, 0.312_053, 0.401_166], [0.159_723, 0.222_830, 0.392_885, 0.616_946]),
            (3, 0.35, [0.187_018, 0.224_938, 0.299_283, 0.366_438], [0.157_089, 0.207_738, 0.338_000, 0.503_214]),
            (3, 0.50, [0.189_719, 0.233_384, 0.321_692, 0.405_694], [0.166_396, 0.227_093, 0.387_849, 0.596_382]),
            (3, 0.65, [0.189_924, 0.239_220, 0.341_159, 0.441_520], [0.172_640, 0.241_253, 0.427_191, 0.671_880]),
            (4, 0.50, [0.201_402, 0.245_287, 0.332_592, 0.413_185], [0.175_775, 0.235_599, 0.390_927, 0.589_000]),
            (4, 0.65, [0.200_004, 0.249_249, 0.349_364, 0.445_030], [0.178_614, 0.245_678, 0.424_299, 0.656_096]),
        ];
        for (blades, area_ratio, thrust, torque) in table {
            for ((pitch_ratio, thrust), torque) in pitch_ratios.into_iter().zip(thrust).zip(torque) {
                let found = open_water(0.0, pitch_ratio, area_ratio, blades).unwrap();
                assert!((found.thrust - thrust).abs() < 6e-7, "{blades} {area_ratio} {pitch_ratio}");
                assert!((10.0 * found.torque - torque).abs() < 6e-7, "{blades} {area_ratio} {pitch_ratio}");
            }
        }
    }

    // The same source, with way on: K_T, 10 K_Q.
    #[test]
    fn with_way_on_the_series_gives_its_table() {
        let worked = [
            (0.2, 1.0, 0.55, 4, 0.371_559, 0.547_749),
            (0.4, 1.0, 0.55, 4, 0.303_803, 0.465_520),
            (0.6, 1.0, 0.55, 4, 0.224_096, 0.365_689),
            (0.8, 1.0, 0.55, 4, 0.135_553, 0.247_726),
            (0.5, 1.0, 0.75, 5, 0.286_603_549, 0.455_983_060),
        ];
        for (advance, pitch_ratio, area_ratio, blades, thrust, torque) in worked {
            let found = open_water(advance, pitch_ratio, area_ratio, blades).unwrap();
            assert!((found.thrust - thrust).abs() < 6e-7, "{advance}: {}", found.thrust);
            assert!((10.0 * found.torque - torque).abs() < 6e-7, "{advance}: {}", found.torque);
        }
    }

    // Bollard values worked apart at 1025 kg/m³: shaft turns a minute, thrust, the ideal limit, the handbook's rule.
    // Half a unit in the fourth decimal; the rule is printed to a tenth.
    #[test]
    fn power_gives_the_worked_bollard_thrusts() {
        let worked = [
            (0.45, 0.70, 3, 0.50, 22.0, 1099.1825, 3917.0936, 5403.8677, 3497.5),
            (0.41, 0.60, 2, 0.35, 15.0, 1300.8777, 2874.9912, 3934.2745, 2542.3),
            (0.55, 0.75, 3, 0.55, 55.0, 1011.1098, 8133.4804, 11378.8446, 7392.1),
        ];
        for (diameter, pitch_ratio, blades, area_ratio, kilowatts, rpm, thrust, ideal, rule) in worked {
            let power = Power::watts(kilowatts * 1000.0);
            let found =
                bollard_at_power(&propeller(diameter, pitch_ratio, blades, area_ratio), power).unwrap();
            assert!((found.shaft_rpm - rpm).abs() < 1e-4, "{}", found.shaft_rpm);
            assert!((found.thrust.as_newtons() - thrust).abs() < 1e-4, "{}", found.thrust.as_newtons());
            let diameter = Length::metres(diameter);
            assert!((ideal_thrust(diameter, power).as_newtons() - ideal).abs() < 1e-4);
            let by_rule = rule_of_thumb_thrust(diameter, power).as_newtons();
            assert!((by_rule - rule).abs() < 0.06, "{by_rule}");
            assert!(by_rule < found.thrust.as_newtons() && found.thrust.as_newtons() < ideal);
        }
    }

    // The first propeller at fixed shaft turns: thrust N, torque N·m, power kW.
    #[test]
    fn revolutions_give_the_worked_bollard_thrusts() {
        let worked = [
            (600.0, 1_167.150_466, 56.949_139, 3.578_220),
            (800.0, 2_074.934_161, 101.242_914, 8.481_707),
            (1000.0, 3_242.084_627, 158.192_053, 16.565_833),
            (1200.0, 4_668.601_863, 227.796_557, 28.625_760),
        ];
        for (shaft_rpm, thrust, torque, kilowatts) in worked {
            // An engine strong enough not to stall.
            let strong = Engine { shaft_power: Power::watts(60_000.0), ..engine(2400.0) };
            let found = bollard_at_rpm(&strong, shaft_rpm * 2.0).unwrap();
            assert!((found.thrust.as_newtons() - thrust).abs() < 1e-5, "{}", found.thrust.as_newtons());
            assert!((found.torque_nm - torque).abs() < 1e-5);
            assert!((found.power.as_watts() / 1000.0 - kilowatts).abs() < 1e-5);
            assert!(!found.stalled);
        }
    }

    #[test]
    fn an_engine_asked_for_more_than_its_torque_stalls_and_says_so() {
        // 22 kW at 3600/2 shaft turns: less torque than 1100 turns ask for at the bollard.
        let found = bollard_at_rpm(&engine(3600.0), 3600.0).unwrap();
        assert!(found.stalled && found.shaft_rpm < 1100.0, "{found:?}");
    }

    #[test]
    fn half_the_revolutions_pull_a_quarter() {
        let full = astern_pull(&engine(2000.0), 1600.0).unwrap().newtons;
        let half = astern_pull(&engine(2000.0), 800.0).unwrap().newtons;
        assert!((full.median() / half.median() - 4.0).abs() < 1e-9);
        let read = MeasuredPull { pull: Force::newtons(1000.0), at_rpm: 1600.0 };
        assert!((read.at(800.0).unwrap().newtons.median() - 250.0).abs() < 1e-9);
    }

    #[test]
    fn a_pull_that_was_read_is_surer_than_one_that_was_worked_out() {
        let read = MeasuredPull { pull: Force::newtons(1500.0), at_rpm: 1600.0 }.at(1600.0).unwrap();
        let worked = astern_pull(&engine(2000.0), 1600.0).unwrap();
        assert!(read.newtons.sigma_ln() < worked.newtons.sigma_ln());
        assert!(worked.confidence < read.confidence);
    }

    // Common statement, from memory: about 0.65 of ahead for a fixed propeller. Ours also carries what a yacht's
    // propeller falls short of the series by, so it may be lower, not higher.
    #[test]
    fn the_pull_astern_of_a_fixed_propeller_is_about_half_its_thrust_ahead() {
        let ahead = bollard_at_rpm(&engine(2000.0), 1600.0).unwrap().thrust.as_newtons();
        let astern = astern_pull(&engine(2000.0), 1600.0).unwrap().newtons.median();
        assert!(0.45 * ahead < astern && astern <= 0.65 * ahead, "{}", astern / ahead);
    }

    #[test]
    fn two_engines_pull_twice_as_one() {
        let one = astern_pull(&engine(2000.0), 1200.0).unwrap().newtons.median();
        let two = astern_pull(&Engine { count: 2, ..engine(2000.0) }, 1200.0).unwrap().newtons.median();
        assert!((two - 2.0 * one).abs() < 1e-9);
    }

    #[test]
    fn what_the_series_does_not_cover_is_refused_by_name() {
        assert!(matches!(
            open_water(0.0, 0.4, 0.5, 3),
            Err(PropellerError::OutsideSeries { what: "a pitch ratio", .. })
        ));
        assert!(open_water(0.0, f64::NAN, 0.5, 3).is_err());
        assert!(open_water(0.0, 0.7, 0.5, 1).is_err());
        assert!(matches!(astern_pull(&engine(2000.0), 2100.0), Err(PropellerError::BeyondRated { .. })));
        assert!(matches!(astern_pull(&engine(2000.0), 0.0), Err(PropellerError::NotPositive { .. })));
    }
}
