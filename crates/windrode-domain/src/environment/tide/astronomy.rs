//! Where moon and sun stand, and how the moon's orbit is tilted to the equator.
//!
//! The tide-raising forces repeat with six angles: the hour angle of the mean sun `T`, the mean longitudes of the
//! moon `s` and the sun `h`, of their perigees `p` and `p₁`, and of the moon's ascending node `N`. The node goes
//! round in 18.6 years; with it the moon's orbit leans between 18.3° and 28.6° to the equator, and every lunar
//! constituent grows and shrinks by a factor `f` and runs ahead or behind by an angle `u`.
//!
//! ```text
//! cos I  = cos i cos ω − sin i sin ω cos N            obliquity of the moon's orbit
//! ν      right ascension of the lunar intersection,   ξ  its longitude in the orbit (from N by Napier's rules)
//! tan ν′  = sin 2I sin ν  / (sin 2I cos ν  + 0.3347)
//! tan 2ν″ = sin² I sin 2ν / (sin² I cos 2ν + 0.0727)
//! P = p − ξ
//! R = atan( sin 2P / (cot²(I/2)/6 − cos 2P) )         1/Ra = √(1 − 12 tan²(I/2) cos 2P + 36 tan⁴(I/2))
//! Q = atan2(0.483 sin P, cos P)                       1/Qa = √(2.310 + 1.435 cos 2P)
//! ```
//!
//! with `ω` = 23.452° and `i` = 5.145°. Time is UT; the difference from UTC (under a second) moves nothing here.
//!
//! Left out: the node's own small wobbles, the slow change of `ω` (0.013° a century) and of the sun's perigee in
//! the factors. Source: P. Schureman, *Manual of Harmonic Analysis and Prediction of Tides*, US Coast and Geodetic
//! Survey Special Publication 98 (1940, reprinted 1958), table 1 and equations 64 to 235.

use jiff::Timestamp;

/// 1899 December 31, 12 h UT, the epoch of Schureman's table 1, in seconds of Unix time.
const EPOCH_1900_UNIX_S: f64 = -2_209_032_000.0;
/// A Julian century in seconds.
const CENTURY_S: f64 = 36_525.0 * 86_400.0;
/// Obliquity of the ecliptic in 1900. Schureman, table 1.
const OBLIQUITY_DEG: f64 = 23.452;
/// Inclination of the moon's orbit to the ecliptic. Schureman, table 1.
const INCLINATION_DEG: f64 = 5.145;

/// Mean rates in degrees an hour of `T, s, h, p, p₁` about 1900. Schureman, table 1.
pub const RATES_DEG_H: [f64; 5] = [15.0, 0.549_016_53, 0.041_068_64, 0.004_641_83, 0.000_001_96];

/// The five angles that the tide's arguments are sums of, and the node.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Astronomy {
    /// `T, s, h, p, p₁` in degrees, not brought into one turn, save `T`, which counts from 180° at midnight.
    pub angles_deg: [f64; 5],
    /// Longitude of the moon's ascending node `N`, degrees.
    pub node_deg: f64,
}

impl Astronomy {
    /// The angles at an instant.
    ///
    /// # Validity
    ///
    /// From 1800 to 2200 within 0.07° of modern elements for the moon (0.02° today), 0.01° for the rest.
    pub fn at(at: Timestamp) -> Self {
        let unix_s = at.duration_since(Timestamp::UNIX_EPOCH).as_secs_f64();
        let t = (unix_s - EPOCH_1900_UNIX_S) / CENTURY_S;
        let hours = unix_s.rem_euclid(86_400.0) / 3600.0;
        // Seconds of arc as printed in table 1; turns apart, so that no digit is lost.
        let polynomial = |start_s: f64, turns: f64, rate_s: f64, square_s: f64, cube_s: f64| {
            (start_s + (rate_s + (square_s + cube_s * t) * t) * t) / 3600.0 + 360.0 * turns * t
        };
        let s = polynomial(973_574.72, 1336.0, 1_108_411.2, 9.09, 0.0068);
        let h = polynomial(1_006_908.04, 0.0, 129_602_768.13, 1.089, 0.0);
        let p = polynomial(1_203_580.87, 11.0, 392_515.94, -37.24, -0.045);
        let p1 = polynomial(1_012_395.0, 0.0, 6_189.03, 1.63, 0.012);
        let node_deg = polynomial(933_057.12, -5.0, -482_912.63, 7.58, 0.008);
        Self { angles_deg: [180.0 + 15.0 * hours, s, h, p, p1], node_deg }
    }
}

/// How a constituent answers to the node: which pair of `f` and `u` is its own.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NodeRule {
    /// Solar: `f` = 1, `u` = 0.
    Unmoved,
    /// `Mm`, equation 73.
    Mm,
    /// `Mf`, equation 74.
    Mf,
    /// `O1` and its kin, equation 75.
    O1,
    /// `J1` and its kin, equation 76.
    J1,
    /// `OO1`, equation 77.
    Oo1,
    /// `M2` and its kin, equation 78.
    M2,
    /// `M3`: the power three halves of `M2`, equation 149.
    M3,
    /// `K1`, lunar and solar together, equations 224 and 227.
    K1,
    /// `K2`, lunar and solar together, equations 232 and 235.
    K2,
    /// `L2`, two waves that beat with the perigee, equations 213 to 215.
    L2,
    /// `M1`, two waves that beat with the perigee, equations 197 to 207; its `u` goes round once with `p`.
    M1,
    /// The middle line of `M1`, from the fourth power of the moon's parallax, equation 144.
    M1Middle,
}

const RULES: usize = NodeRule::M1Middle as usize + 1;

/// Every pair of node factor `f` and angle `u` at one instant.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NodeFactors {
    f: [f64; RULES],
    u_deg: [f64; RULES],
}

/// The geometry of the moon's orbit against the equator, radians: `I, ν, ξ`.
fn orbit(node_rad: f64) -> (f64, f64, f64) {
    let (omega, i) = (OBLIQUITY_DEG.to_radians(), INCLINATION_DEG.to_radians());
    let (sin_n, cos_n) = (0.5 * node_rad).sin_cos();
    let (half_less, half_more) = (0.5 * (omega - i), 0.5 * (omega + i));
    let first = (half_less.cos() * sin_n).atan2(half_more.cos() * cos_n);
    let second = (half_less.sin() * sin_n).atan2(half_more.sin() * cos_n);
    let obliquity = (i.cos() * omega.cos() - i.sin() * omega.sin() * node_rad.cos()).acos();
    let nu = wrapped_rad(first - second);
    let xi = wrapped_rad(node_rad - first - second);
    (obliquity, nu, xi)
}

fn wrapped_rad(angle: f64) -> f64 {
    let turn = core::f64::consts::TAU;
    angle - turn * (angle / turn).round()
}

impl NodeFactors {
    /// The factors for the node and perigee of an instant.
    pub fn of(astronomy: &Astronomy) -> Self {
        let (obliquity, nu, xi) = orbit(astronomy.node_deg.to_radians());
        let perigee = astronomy.angles_deg[3].to_radians() - xi;
        let (sin_i, sin_2i) = (obliquity.sin(), (2.0 * obliquity).sin());
        let (sin2_half, cos2_half) = ((0.5 * obliquity).sin().powi(2), (0.5 * obliquity).cos().powi(2));
        let sin2_i = sin_i * sin_i;
        let (sin_2p, cos_2p) = (2.0 * perigee).sin_cos();
        let tan2_half = sin2_half / cos2_half;

        let f_o1 = sin_i * cos2_half / 0.3800;
        let f_m2 = cos2_half * cos2_half / 0.9154;
        let f_k1 = (0.8965 * sin_2i * sin_2i + 0.6001 * sin_2i * nu.cos() + 0.1006).sqrt();
        let f_k2 = (19.0444 * sin2_i * sin2_i + 2.7702 * sin2_i * (2.0 * nu).cos() + 0.0981).sqrt();
        let f_l2 = f_m2 * (1.0 - 12.0 * tan2_half * cos_2p + 36.0 * tan2_half * tan2_half).sqrt();
        let f_m1 = f_o1 * (2.310 + 1.435 * cos_2p).sqrt();
        let f_middle = (1.0 - 10.0 * sin2_half + 15.0 * sin2_half * sin2_half) * cos2_half / 0.5873;

        let nu_prime = (sin_2i * nu.sin()).atan2(sin_2i * nu.cos() + 0.3347);
        let two_nu_second = (sin2_i * (2.0 * nu).sin()).atan2(sin2_i * (2.0 * nu).cos() + 0.0727);
        let r = sin_2p.atan2(1.0 / (6.0 * tan2_half) - cos_2p);
        let q = (0.483 * perigee.sin()).atan2(perigee.cos());

        let pairs = [
            (NodeRule::Unmoved, 1.0, 0.0),
            (NodeRule::Mm, (2.0 / 3.0 - sin2_i) / 0.5021, 0.0),
            (NodeRule::Mf, sin2_i / 0.1578, -2.0 * xi),
            (NodeRule::O1, f_o1, 2.0 * xi - nu),
            (NodeRule::J1, sin_2i / 0.7214, -nu),
            (NodeRule::Oo1, sin_i * sin2_half / 0.0164, -2.0 * xi - nu),
            (NodeRule::M2, f_m2, 2.0 * xi - 2.0 * nu),
            (NodeRule::M3, f_m2.powf(1.5), 3.0 * xi - 3.0 * nu),
            (NodeRule::K1, f_k1, -nu_prime),
            (NodeRule::K2, f_k2, -two_nu_second),
            (NodeRule::L2, f_l2, 2.0 * xi - 2.0 * nu - r),
            (NodeRule::M1, f_m1, xi - nu + q),
            (NodeRule::M1Middle, f_middle, xi - nu),
        ];
        let mut factors = Self { f: [1.0; RULES], u_deg: [0.0; RULES] };
        for (rule, f, u) in pairs {
            factors.f[rule as usize] = f;
            factors.u_deg[rule as usize] = u.to_degrees();
        }
        factors
    }

    /// The factor on the amplitude.
    pub const fn f(&self, rule: NodeRule) -> f64 {
        self.f[rule as usize]
    }
    /// The angle added to the argument, degrees.
    pub const fn u_deg(&self, rule: NodeRule) -> f64 {
        self.u_deg[rule as usize]
    }
}

/// The obliquity `I` of the moon's orbit to the equator, degrees.
pub fn obliquity_deg(astronomy: &Astronomy) -> f64 {
    orbit(astronomy.node_deg.to_radians()).0.to_degrees()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(text: &str) -> Astronomy {
        Astronomy::at(text.parse().expect("an instant"))
    }

    fn turned(a: f64, b: f64) -> f64 {
        (a - b + 180.0).rem_euclid(360.0) - 180.0
    }

    // Source: computed by two independent programs that agree, hatyan 2.14 ("schureman") and one in Python after
    // Schureman with N = 125.04452° − 1934.136261° T from J2000.0.
    #[rustfmt::skip]
    #[expect(clippy::type_complexity, reason = "a table, read once")]
    const NODES: [(&str, f64, f64, [f64; 4], [f64; 4]); 5] = [
        // 0 h UT                    N          I        f: M2, O1, K1, K2
        //  u: M2, O1, K1, K2
        ("2006-06-19T00:00:00Z",   0.047_17, 28.597,    [0.963_22, 1.182_76, 1.112_80, 1.316_19],
         [-0.0018, 0.0071, -0.0063, -0.0134]),
        ("2015-10-08T00:00:00Z", 180.110_32, 18.307_01, [1.037_83, 0.805_68, 0.881_71, 0.746_20],
         [0.0041, -0.0274, 0.0202, 0.0363]),
        ("2020-01-01T00:00:00Z",  98.243_83, 23.246_55, [1.005_53, 0.996_49, 0.998_15, 0.973_73],
         [-2.1123, 10.8824, -8.9004, -17.7913]),
        ("2025-07-01T00:00:00Z", 351.912_72, 28.554_48, [0.963_58, 1.181_38, 1.111_96, 1.313_13],
         [0.3035, -1.2089, 1.0814, 2.2948]),
        ("2026-07-01T00:00:00Z", 332.584_61, 28.113_45, [0.967_33, 1.166_90, 1.103_16, 1.281_70],
         [0.9923, -4.0347, 3.5845, 7.5790]),
    ];

    #[test]
    fn node_factors_agree_with_two_independent_programs() {
        for (when, node, obliquity, f, u) in NODES {
            let astronomy = at(when);
            // The two polynomials for N differ by 0.004° in these years.
            assert!(turned(astronomy.node_deg, node).abs() < 0.006, "{when}: {}", astronomy.node_deg);
            assert!((obliquity_deg(&astronomy) - obliquity).abs() < 0.002);
            let factors = NodeFactors::of(&astronomy);
            let rules = [NodeRule::M2, NodeRule::O1, NodeRule::K1, NodeRule::K2];
            for ((rule, f), u) in rules.into_iter().zip(f).zip(u) {
                // Both programs round the mean coefficients of K2 differently, by 1.1e-3.
                assert!((factors.f(rule) - f).abs() < 1.2e-3, "{when} {rule:?}: {}", factors.f(rule));
                assert!((factors.u_deg(rule) - u).abs() < 0.01, "{when} {rule:?}: {}", factors.u_deg(rule));
            }
        }
    }

    // Source: J. Meeus, Astronomical Algorithms (2nd ed. 1998), equations 47.1, 47.7 and 25.2, from memory.
    #[test]
    fn the_angles_agree_with_modern_elements_over_four_centuries() {
        for year in (1800..=2200).step_by(25) {
            let when: Timestamp = format!("{year}-07-01T00:00:00Z").parse().expect("an instant");
            let t = (when.as_second() as f64 - 946_728_000.0) / CENTURY_S;
            let astronomy = Astronomy::at(when);
            let modern = [
                218.316_447_7 + 481_267.881_234_21 * t - 0.001_578_6 * t * t,
                280.466_46 + 36_000.769_83 * t + 0.000_303_2 * t * t,
                83.353_246_5 + 4_069.013_728_7 * t - 0.010_32 * t * t,
            ];
            for (ours, modern) in astronomy.angles_deg[1..4].iter().zip(modern) {
                // The moon has gained on the elements of 1900; 0.07° of it is 0.14° of M2, 17 s of time, in 2200.
                assert!(turned(*ours, modern).abs() < 0.07, "{year}: {ours} against {modern}");
            }
            let node = 125.044_547_9 - 1_934.136_289_1 * t + 0.002_075_4 * t * t;
            assert!(turned(astronomy.node_deg, node).abs() < 0.01, "{year}: {}", astronomy.node_deg);
        }
    }

    #[test]
    fn a_node_at_the_equinox_leaves_no_angle() {
        for node_deg in [0.0, 180.0] {
            let factors = NodeFactors::of(&Astronomy { angles_deg: [0.0; 5], node_deg });
            for rule in [NodeRule::M2, NodeRule::O1, NodeRule::K1, NodeRule::K2, NodeRule::Mf] {
                assert!(factors.u_deg(rule).abs() < 1e-9, "{rule:?}");
            }
        }
    }
}
