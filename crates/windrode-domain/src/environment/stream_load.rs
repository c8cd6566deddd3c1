//! Load of a stream on a hull that lies to it: friction, form, propeller; and far more when it comes on the beam.
//!
//! ```text
//! S    = 1.7 T L_WL + D/(T γ)                 wetted surface of the canoe body, m²
//! Rn   = V L_WL cosθ / ν,  C_f = 0.075 / (log10 Rn − 2)²
//! F    = ½ ρ V² [S C_f + B T C_x + A_p C_p] cosθ,   C_x = 0.1, C_p = 1.0
//! F_y  = ½ ρ V² C_y L_WL T_keel sinθ,  C_y = 0.6 … 1.0
//! ```
//!
//! `T` canoe-body draught, `D` displacement (N), `γ = ρ g`, `A_p` expanded blade area. Source: UFC 4-159-03 (2005)
//! equations 17 to 23; the friction line is that of the ITTC (1957). The form line and the lateral band are from
//! memory. A keel, a rudder and fouling (20 to 100 % more friction, from memory) are left out of the head-on sum: a
//! few newtons. The profile is taken as the rectangle of waterline and draught, more than most hulls have.

use crate::boat::Hull;
use crate::units::{Angle, Area, Force, GRAVITY_M_S2, Speed};

/// Density of sea water at 15 °C by the ITTC, kg/m³.
pub const STREAM_KG_M3: f64 = 1025.9;
/// Kinematic viscosity of sea water at 15 °C, m²/s: the older value of the ITTC, from memory.
const VISCOSITY_M2_S: f64 = 1.1883e-6;
/// Form drag of the underwater midship section, head on. UFC 4-159-03, from memory.
const FORM_COEFFICIENT: f64 = 0.1;
/// Drag of a stopped propeller on its expanded area. UFC 4-159-03.
const PROPELLER_COEFFICIENT: f64 = 1.0;
/// Least and greatest drag coefficient of the underwater profile, beam on; from memory.
pub const LATERAL_COEFFICIENTS: (f64, f64) = (0.6, 1.0);
/// Least Reynolds number at which the friction line is taken: below it the flow is laminar and the line gives too
/// much. On a waterline of 11 m it is a stream of 0.01 m/s, and the load is some millinewtons.
const LEAST_REYNOLDS: f64 = 1e5;

/// What a stream from ahead does, in parts.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct StreamLoad {
    /// Friction along the wetted surface.
    pub friction: Force,
    /// Form drag of the hull.
    pub form: Force,
    /// Drag of the stopped propeller.
    pub propeller: Force,
}

impl StreamLoad {
    /// All of it.
    pub fn total(self) -> Force {
        self.friction + self.form + self.propeller
    }
}

/// ITTC-57 friction line; meant for `1e5 <= reynolds`.
pub fn friction_coefficient(reynolds: f64) -> f64 {
    0.075 / (reynolds.log10() - 2.0).powi(2)
}

/// Wetted surface of the canoe body.
pub fn wetted_surface(hull: &Hull) -> Area {
    let draught_m = hull.canoe_draught.as_metres();
    let displaced_m3 = hull.displacement.weight().as_newtons() / (STREAM_KG_M3 * GRAVITY_M_S2);
    Area::square_metres(1.7 * draught_m * hull.waterline_length.as_metres() + displaced_m3 / draught_m)
}

/// Load along the keel of a stream that meets her at an angle off the bow (up to a right angle; abaft the beam it
/// pushes as much the other way, and the size is given).
pub fn along(hull: &Hull, blades: Area, stream: Speed, off_bow: Angle) -> StreamLoad {
    let (speed_ms, cos) = (stream.as_metres_per_second().abs(), off_bow.as_radians().cos().abs());
    let pressure_pa = 0.5 * STREAM_KG_M3 * speed_ms * speed_ms * cos;
    let reynolds = speed_ms * hull.waterline_length.as_metres() * cos / VISCOSITY_M2_S;
    let friction = friction_coefficient(reynolds.max(LEAST_REYNOLDS));
    let section_m2 = (hull.beam * hull.canoe_draught).as_square_metres();
    StreamLoad {
        friction: Force::newtons(pressure_pa * wetted_surface(hull).as_square_metres() * friction),
        form: Force::newtons(pressure_pa * section_m2 * FORM_COEFFICIENT),
        propeller: Force::newtons(pressure_pa * blades.as_square_metres() * PROPELLER_COEFFICIENT),
    }
}

/// Underwater profile: waterline times draught.
pub fn profile(hull: &Hull) -> Area {
    hull.waterline_length * hull.draught
}

/// Load across the keel of a stream that meets her at an angle off the bow, with a drag coefficient within
/// [`LATERAL_COEFFICIENTS`]; positive for a stream on the starboard bow (it pushes to port).
pub fn across(hull: &Hull, stream: Speed, off_bow: Angle, coefficient: f64) -> Force {
    let speed_ms = stream.as_metres_per_second();
    let pressure_pa = 0.5 * STREAM_KG_M3 * speed_ms * speed_ms;
    Force::newtons(pressure_pa * coefficient * profile(hull).as_square_metres() * off_bow.as_radians().sin())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boat::HullKind;
    use crate::units::{Length, Mass};

    fn hull() -> Hull {
        Hull {
            kind: HullKind::MonohullSail,
            length_overall: Length::metres(12.0),
            waterline_length: Length::metres(11.0),
            beam: Length::metres(3.3),
            draught: Length::metres(1.9),
            canoe_draught: Length::metres(0.6),
            displacement: Mass::kilograms(9000.0),
        }
    }

    fn blades() -> Area {
        Area::square_metres(core::f64::consts::PI / 4.0 * 0.45 * 0.45 * 0.5)
    }

    #[track_caller]
    fn close(actual: f64, expected: f64) {
        // The expected values are printed to six decimals, and the knot behind them to nine digits.
        let tolerance = 1e-7 * expected.abs();
        assert!((actual - expected).abs() <= tolerance, "{actual} is not {expected}");
    }

    // Source: the ITTC-57 line; exact at powers of ten, else evaluated independently with numpy 2.4.
    #[test]
    fn the_friction_line_is_that_of_the_ittc() {
        assert!((friction_coefficient(1e6) - 0.004_687_5).abs() < 1e-15);
        assert!((friction_coefficient(1e7) - 0.003).abs() < 1e-15);
        assert!((friction_coefficient(5e6) - 0.003_396_690_04).abs() < 5.1e-12);
        assert!((friction_coefficient(2e7) - 0.002_668_951_86).abs() < 5.1e-12);
        assert!((friction_coefficient(1e8) - 0.002_083_333_33).abs() < 5.1e-12);
    }

    // Source: UFC 4-159-03 equations 17 to 23 evaluated independently with numpy 2.4 for this hull.
    #[test]
    fn a_stream_from_ahead_loads_her_as_the_equations_say() {
        close(wetted_surface(&hull()).as_square_metres(), 25.841_308);
        let rows = [
            (1.0, 12.023_849, 26.879_253, 10.795_355, 49.698_456),
            (2.0, 42.455_335, 107.517_010, 43.181_419, 193.153_763),
            (3.0, 89.109_773, 241.913_273, 97.158_191, 428.181_237),
        ];
        for (knots, friction, form, propeller, total) in rows {
            let load = along(&hull(), blades(), Speed::knots(knots), Angle::ZERO);
            close(load.friction.as_newtons(), friction);
            close(load.form.as_newtons(), form);
            close(load.propeller.as_newtons(), propeller);
            close(load.total().as_newtons(), total);
        }
    }

    #[test]
    fn slack_water_loads_nothing_and_a_stream_abeam_far_more() {
        assert_eq!(along(&hull(), blades(), Speed::ZERO, Angle::ZERO).total(), Force::ZERO);
        let abeam = across(&hull(), Speed::knots(2.0), Angle::degrees(90.0), LATERAL_COEFFICIENTS.0);
        let ahead = along(&hull(), blades(), Speed::knots(2.0), Angle::ZERO).total();
        assert!(20.0 * ahead < abeam);
    }

    #[test]
    fn port_and_starboard_are_mirrors() {
        let stream = Speed::knots(1.5);
        for degrees in [10.0, 45.0, 80.0] {
            let (port, starboard) = (Angle::degrees(-degrees), Angle::degrees(degrees));
            assert_eq!(across(&hull(), stream, port, 0.8), -across(&hull(), stream, starboard, 0.8));
            assert_eq!(along(&hull(), blades(), stream, port), along(&hull(), blades(), stream, starboard));
        }
    }
}
