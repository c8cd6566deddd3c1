//! What wind and water do to a hull that drifts and turns.
//!
//! Body axes: `x` ahead, `y` to starboard, turning clockwise. Wind and water are taken relative to her.
//!
//! ```text
//! wind   X = ½ ρa CxA |V| Vx    Y = ½ ρa CyA |V| Vy    N = x_c Y,  x_c = xw0 L (1 − 2γ/π),  γ off the bow
//! hull   X = −Xuu ur|ur| − Xu ur
//! strip  Y = −½ ρw A [min(CL |ur| |v|, CLmax U²) sgn v + Cd |v| v],  v = vr + x r,  U² = ur² + v²;  N = x Y
//! Munk   N = −mM ur vr
//! ```
//!
//! The strips are nine of the hull, which lift nothing of their own, the keel and the rudder.

use super::body::{Body, Fin};
use crate::units::{AIR_KG_M3, SEA_WATER_KG_M3};

/// Strips of the hull: odd, so that one lies amidships.
const STRIPS: usize = 9;
/// Number of the strip amidships.
const MIDDLE: f64 = (STRIPS as f64 - 1.0) / 2.0;
/// `Σ i²` of their numbers from amidships: `n (n² − 1)/12`.
const SQUARES: f64 = (STRIPS * (STRIPS * STRIPS - 1)) as f64 / 12.0;

/// A force ahead and to starboard, N, and a moment clockwise, N m.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Push {
    pub(super) ahead_n: f64,
    pub(super) starboard_n: f64,
    pub(super) turning_nm: f64,
}

impl core::ops::Add for Push {
    type Output = Self;
    #[inline]
    fn add(self, other: Self) -> Self {
        Self {
            ahead_n: self.ahead_n + other.ahead_n,
            starboard_n: self.starboard_n + other.starboard_n,
            turning_nm: self.turning_nm + other.turning_nm,
        }
    }
}

/// Wind past her, m/s, ahead and to starboard (where it blows to).
#[inline]
pub(super) fn of_wind(body: &Body, ahead_ms: f64, starboard_ms: f64) -> Push {
    let speed_ms = (ahead_ms * ahead_ms + starboard_ms * starboard_ms).sqrt();
    let half = 0.5 * AIR_KG_M3 * speed_ms;
    let starboard_n = half * body.beam_on_m2 * starboard_ms;
    let hold_m = body.wind_lead * body.waterline_m * share_ahead(-ahead_ms, starboard_ms.abs());
    Push { ahead_n: half * body.head_on_m2 * ahead_ms, starboard_n, turning_nm: hold_m * starboard_n }
}

/// `1 − 2γ/π`, `γ = atan2(across, from_ahead)` in `[0, π]`: 1 from ahead, 0 abeam, −1 from astern; 0 in a calm.
///
/// `atan z ≈ z (π/4 + 0.273 (1 − z))` on `[0, 1]` is within 0.004 rad (S. Rajan and others, "Efficient approximations
/// for the arctangent function", IEEE Signal Processing Magazine, May 2006), far finer than the law itself.
#[inline]
fn share_ahead(from_ahead: f64, across: f64) -> f64 {
    use core::f64::consts::{FRAC_2_PI, FRAC_PI_4};
    let along = from_ahead.abs();
    let (small, large) = if across < along { (across, along) } else { (along, across) };
    if !(0.0 < large) {
        return 0.0;
    }
    let z = small / large;
    let turned = FRAC_2_PI * z * (FRAC_PI_4 + 0.273 * (1.0 - z));
    let share = if across < along { 1.0 - turned } else { turned };
    if from_ahead < 0.0 { -share } else { share }
}

/// Water past her: her way through it ahead and to starboard, m/s, and her turning, rad/s.
#[inline]
pub(super) fn of_water(body: &Body, ahead_ms: f64, starboard_ms: f64, turning_rad_s: f64) -> Push {
    let resistance_n = -ahead_ms * (body.surge_square * ahead_ms.abs() + body.surge_linear);
    let munk_nm = -body.munk_kg * ahead_ms * starboard_ms;
    let hull = Push { ahead_n: resistance_n, starboard_n: 0.0, turning_nm: munk_nm };
    hull + of_strips(body, starboard_ms, turning_rad_s)
        + of_fin(&body.keel, ahead_ms, starboard_ms, turning_rad_s)
        + of_fin(&body.rudder, ahead_ms, starboard_ms, turning_rad_s)
}

#[inline]
fn of_strips(body: &Body, starboard_ms: f64, turning_rad_s: f64) -> Push {
    let strip_m = body.waterline_m / STRIPS as f64;
    let half_m = 0.5 * (body.waterline_m - strip_m);
    let (across, turned) = if turning_rad_s.abs() * half_m < starboard_ms.abs() {
        all_one_way(starboard_ms, turning_rad_s, strip_m)
    } else {
        each_its_way(starboard_ms, turning_rad_s, strip_m)
    };
    let each = -0.5 * SEA_WATER_KG_M3 * body.hull_drag_across * strip_m * body.hull_draught_m;
    Push { ahead_n: 0.0, starboard_n: each * across, turning_nm: each * turned }
}

/// `Σ |v|v` and `Σ x |v|v`, each strip by itself.
fn each_its_way(starboard_ms: f64, turning_rad_s: f64, strip_m: f64) -> (f64, f64) {
    let (mut across, mut turned) = (0.0, 0.0);
    for i in 0..STRIPS {
        let x_m = strip_m * (i as f64 - MIDDLE);
        let v_ms = starboard_ms + x_m * turning_rad_s;
        let square = v_ms.abs() * v_ms;
        across += square;
        turned += x_m * square;
    }
    (across, turned)
}

/// The same where the water comes from one side all along her, as mostly it does: `x` and `x³` cancel out.
#[inline]
fn all_one_way(starboard_ms: f64, turning_rad_s: f64, strip_m: f64) -> (f64, f64) {
    let squares_m2 = SQUARES * strip_m * strip_m;
    let square = starboard_ms * starboard_ms * STRIPS as f64 + turning_rad_s * turning_rad_s * squares_m2;
    let side = starboard_ms.signum();
    (side * square, side * 2.0 * starboard_ms * turning_rad_s * squares_m2)
}

#[inline]
fn of_fin(fin: &Fin, ahead_ms: f64, starboard_ms: f64, turning_rad_s: f64) -> Push {
    let v_ms = starboard_ms + fin.ahead_m * turning_rad_s;
    let most = fin.lift_most * (ahead_ms * ahead_ms + v_ms * v_ms);
    let lift = (fin.lift_slope * ahead_ms.abs() * v_ms).clamp(-most, most);
    let drag = fin.drag_across * v_ms.abs() * v_ms;
    let starboard_n = -0.5 * SEA_WATER_KG_M3 * fin.area_m2 * (lift + drag);
    Push { ahead_n: 0.0, starboard_n, turning_nm: fin.ahead_m * starboard_n }
}

#[cfg(test)]
mod tests {
    use super::*;

    // Source: the arctangent of the standard library.
    #[test]
    fn the_wind_takes_hold_where_its_angle_says() {
        for degrees in 0..=180 {
            let angle = f64::from(degrees).to_radians();
            let share = share_ahead(7.0 * angle.cos(), 7.0 * angle.sin());
            let exact = 1.0 - angle / core::f64::consts::FRAC_PI_2;
            // 0.004 rad over a right angle.
            assert!((share - exact).abs() < 0.004, "{degrees}: {share} {exact}");
        }
        assert!(share_ahead(0.0, 0.0).abs() < 1e-15);
    }

    #[test]
    fn water_from_one_side_all_along_her_needs_no_strips() {
        for (starboard_ms, turning_rad_s) in
            [(0.4, 0.03), (-0.4, 0.03), (0.4, -0.03), (0.2, 0.0), (-1.0, -0.2)]
        {
            let one = all_one_way(starboard_ms, turning_rad_s, 1.2);
            let each = each_its_way(starboard_ms, turning_rad_s, 1.2);
            // Rounding alone: sums of nine.
            assert!((one.0 - each.0).abs() < 1e-13 && (one.1 - each.1).abs() < 1e-13, "{one:?} {each:?}");
        }
        let body = Body::usual(crate::boat::HullKind::MonohullSail, 10.8, 7.5, 3.2);
        let [turning, still] = [0.2, 0.0].map(|turning_rad_s| of_strips(&body, 0.0, turning_rad_s));
        assert!(turning.starboard_n.abs() < 1e-9 && turning.turning_nm < 0.0 && still == Push::default());
    }
}
