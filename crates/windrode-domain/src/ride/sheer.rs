//! Why she sheers: the small motions about lying bow to wind, and when they grow.
//!
//! With the rode taut at length `l` from anchor to roller, `T` the head wind's drag, `Yg` the side force per radian
//! off the wind, `xb` the roller and `xw` the wind's hold ahead of the centre of gravity, `M = m + my`, `I = Iz +
//! Jz`:
//!
//! ```text
//! M y'' = −(T/l) y      + [Yg − T(1 + xb/l)] ψ
//! I ψ'' = −(xb T/l) y   + [xw Yg − xb T(1 + xb/l)] ψ
//! ```
//!
//! and with `K11 = T/l`, `K12 = Yg − T(1 + xb/l)`, `K21 = xb T/l`, `K22 = xb T(1 + xb/l) − xw Yg` the frequencies
//! are the roots of `ω⁴ − (K11/M + K22/I) ω² + (K11 K22 + K12 K21)/(M I) = 0`. She flutters, swinging ever wider
//! until the water's drag holds her, if `K12 > 0` and `|K22/I − K11/M| < 2 √(K12 K21 / M I)`; then `ω² ≈ (K11/M +
//! K22/I)/2`. Every term goes with the wind's pressure, so the period goes as one over its speed. Water left out:
//! it damps, and sets how wide she goes. The pair of equations is checked against `scipy` in `authorities/ride`.

use super::body::Body;
use crate::units::AIR_KG_M3;

/// Small motions about lying bow to wind.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sheer {
    /// `Yg/T` over `1 + xb/l`: above 1 the side force wins.
    pub side_over_restoring: f64,
    /// She flutters: the swing grows.
    pub flutters: bool,
    /// Period of the swing, s, from the mean of the two frequencies; `None` where she falls off without swinging.
    pub period_s: Option<f64>,
    /// How fast the swing grows without water, 1/s; nothing where it does not.
    pub growth_1_s: f64,
}

/// How a boat in a steady wind at the height of her windage, m/s, moves about bow to wind, `l` the distance from
/// anchor to where the rode takes hold, m.
pub fn bow_to_wind(body: &Body, wind_ms: f64, tether_m: f64) -> Sheer {
    let pressure = 0.5 * AIR_KG_M3 * wind_ms * wind_ms;
    let (t, yg) = (pressure * body.head_on_m2, pressure * body.beam_on_m2);
    let (xb, xw) = (body.hold_ahead_m(), body.wind_lead * body.waterline_m);
    let (m, i) = (body.sway_kg, body.yaw_kg_m2);
    let back = 1.0 + xb / tether_m;
    let (k11, k12) = (t / tether_m, yg - t * back);
    let (k21, k22) = (xb * t / tether_m, xb * t * back - xw * yg);
    let mean = 0.5 * (k11 / m + k22 / i);
    let half_apart = 0.5 * (k22 / i - k11 / m);
    // ω² = mean ± √(half_apart² − K12 K21/(M I)): complex where they meet.
    let under_root = half_apart * half_apart - k12 * k21 / (m * i);
    // ω² = mean + i c: the imaginary part of ω is √((|ω²| − mean)/2).
    let growth_1_s = if under_root < 0.0 {
        ((mean.hypot((-under_root).sqrt()) - mean) / 2.0).sqrt()
    } else {
        (under_root.sqrt() - mean).max(0.0).sqrt()
    };
    Sheer {
        side_over_restoring: yg / t / back,
        flutters: 0.0 < k12 && under_root < 0.0,
        period_s: (0.0 < mean).then(|| core::f64::consts::TAU / mean.sqrt()),
        growth_1_s,
    }
}
