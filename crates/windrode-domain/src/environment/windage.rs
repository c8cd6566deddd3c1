//! How much wind a boat catches: one estimate for every use, with its spread.
//!
//! Head to wind, drag area is drag coefficient times frontal area, hull, house, rig and all (`Cd·A`, m²); it grows
//! with the square of her length. Published and remembered figures for a sailing yacht of 12 m under bare poles run
//! from 7 to 15 m², and are taken as the 10th to the 90th percentile (class averages, from memory, low confidence); a
//! motor cruiser carries 0.12 to 0.15 of her length squared, with the same relative spread about the middle of that;
//! a multihull up to half as much again as a sailing monohull, so that her range runs from 7 to 22.5 m² at 12 m. Beam
//! on it is 3 to 4 times as much.
//!
//! Where the crew have measured their own frontal area, what is left is the coefficient: 0.9 to 1.2 for rig and hull
//! on the projected area.

use crate::boat::{HullKind, Windage};
use crate::uncertain::{Lognormal, Origin};
use crate::units::Length;

/// Beam-on over head-on drag area: the middle of 3 to 4; from memory.
pub const BEAM_RATIO: f64 = 3.5;
/// Length for which the remembered figures hold, m.
const REMEMBERED_LENGTH_M: f64 = 12.0;

/// By kind and length over all, marked assumed; `None` unless the length is positive and finite. Meant for 8 to
/// 20 m.
pub fn assumed(kind: HullKind, length_overall: Length) -> Option<Windage> {
    let length_m = length_overall.as_metres();
    let (low_m2, high_m2) = remembered_m2(kind);
    let head_on_m2 =
        Lognormal::from_p10_p90(low_m2, high_m2)?.scaled((length_m / REMEMBERED_LENGTH_M).powi(2));
    (0.0 < length_m && length_m.is_finite()).then(|| Windage {
        head_on_m2,
        beam_ratio: BEAM_RATIO,
        centroid: length_overall * centroid_ratio(kind),
        origin: Origin::Assumed,
    })
}

/// From a drag area head to wind that the crew worked out or had from the designer; `None` unless every figure is
/// positive and finite.
pub fn given(head_on_m2: f64, beam_ratio: f64, centroid: Length) -> Option<Windage> {
    let possible = [beam_ratio, centroid.as_metres()].into_iter().all(|x| 0.0 < x && x.is_finite());
    let coefficient = Lognormal::from_p10_p90(0.9, 1.2)?;
    let head_on_m2 = Lognormal::new(head_on_m2, coefficient.sigma_ln())?;
    possible.then_some(Windage { head_on_m2, beam_ratio, centroid, origin: Origin::Given })
}

/// Drag area head to wind at 12 m: 10th and 90th percentile, m².
fn remembered_m2(kind: HullKind) -> (f64, f64) {
    let spread = (15.0_f64 / 7.0).sqrt();
    match kind {
        HullKind::MonohullSail => (7.0, 15.0),
        HullKind::Motor => {
            let middle_m2 = (0.12_f64 * 0.15).sqrt() * REMEMBERED_LENGTH_M * REMEMBERED_LENGTH_M;
            (middle_m2 / spread, middle_m2 * spread)
        }
        HullKind::Multihull => (7.0, 15.0 * 1.5),
    }
}

/// Height of the centroid of windage over length: a rig carries it high. Own estimate, no source.
const fn centroid_ratio(kind: HullKind) -> f64 {
    match kind {
        HullKind::MonohullSail => 0.30,
        HullKind::Motor => 0.18,
        HullKind::Multihull => 0.25,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // Source: published and remembered figures, low confidence: at 12 m from 7 to 15 m², class average 0.085 L².
    #[test]
    fn a_yacht_of_twelve_metres_carries_seven_to_fifteen_square_metres() {
        let windage = assumed(HullKind::MonohullSail, Length::metres(12.0)).unwrap();
        assert!((windage.head_on_m2.quantile(0.1) - 7.0).abs() < 1e-6);
        assert!((windage.head_on_m2.quantile(0.9) - 15.0).abs() < 1e-6);
        let class_average = windage.head_on_m2.cdf(0.085 * 144.0);
        assert!((0.5..0.9).contains(&class_average));
        assert_eq!(windage.origin, Origin::Assumed);
    }

    // Source: as above: 0.12 to 0.15 L², 17 to 22 m² at 12 m.
    #[test]
    fn a_motor_vessel_carries_more_and_a_multihull_up_to_half_more() {
        let motor = assumed(HullKind::Motor, Length::metres(12.0)).unwrap().head_on_m2;
        assert!((17.0..22.0).contains(&motor.median()));
        let sail = assumed(HullKind::MonohullSail, Length::metres(12.0)).unwrap().head_on_m2;
        let multihull = assumed(HullKind::Multihull, Length::metres(12.0)).unwrap().head_on_m2;
        assert!((multihull.quantile(0.9) / sail.quantile(0.9) - 1.5).abs() < 1e-6);
    }

    #[test]
    fn windage_grows_with_the_square_of_length() {
        let area = |length_m: f64| {
            assumed(HullKind::MonohullSail, Length::metres(length_m)).unwrap().head_on_m2.median()
        };
        assert!((area(20.0) / area(10.0) - 4.0).abs() < 1e-12);
    }

    #[test]
    fn what_is_given_is_known_better_than_what_is_assumed() {
        let windage = given(11.0, 3.0, Length::metres(3.0)).unwrap();
        let guess = assumed(HullKind::MonohullSail, Length::metres(12.0)).unwrap();
        assert!(windage.head_on_m2.sigma_ln() < guess.head_on_m2.sigma_ln() / 2.0);
        assert_eq!(windage.origin, Origin::Given);
    }

    #[test]
    fn a_windage_that_cannot_be_is_none() {
        assert!(assumed(HullKind::Motor, Length::ZERO).is_none());
        assert!(assumed(HullKind::Motor, Length::metres(f64::NAN)).is_none());
        assert!(given(0.0, 3.0, Length::metres(3.0)).is_none());
        assert!(given(11.0, f64::NAN, Length::metres(3.0)).is_none());
    }
}
