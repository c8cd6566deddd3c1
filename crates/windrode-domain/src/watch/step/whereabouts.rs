//! Where she can lie now: what a drawing of the watch shows about the estimated anchor.
//!
//! ```text
//! r = |bow − anchor| − beyond          the rode's reach under the load of this minute, as the drag test reckons it
//! nine in ten:   0.75 r … r + 1.645 σ,  within 30° of down wind
//! half:          0.90 r … r + 0.674 σ,  within 12.3° of down wind
//! ```
//!
//! `σ` is the spread that the drag test gives to that reach. The angle is the sheer that is usual for a yacht
//! ([`USUAL_SHEER_DEG`]), half of her time taken as a normal's half; the inner radius is what a lull and a sheer
//! leave (assumed, no source). In air too light to hold her, or where the wind is not known, she can lie any way, and
//! nearer. It is drawn and nothing rings by it.

use super::Watch;
use crate::position::{Offset, Position};
use crate::swing::USUAL_SHEER_DEG;
use crate::units::{Bearing, Length, Speed};

/// Wind below which chain holds her where it likes: force 2 (common practice, no source).
const LIGHT_AIR: Speed = Speed::metres_per_second(3.0);
/// Share, radii of it over the reach and in spreads beyond it, and the share of the usual sheer.
const SHARES: [(f64, f64, f64, f64); 2] = [(0.9, 0.75, 1.645, 1.0), (0.5, 0.90, 0.674, 0.41)];
/// Between two points of a border, degrees.
const STEP_DEG: f64 = 3.0;

/// Where she can lie about her anchor.
#[derive(Clone, Debug, PartialEq)]
pub struct Whereabouts {
    /// The anchor, as it is estimated.
    pub anchor: Position,
    /// How far that may be off, one standard deviation along either axis of its ellipse.
    pub ellipse: Ellipse,
    /// Where her bow can be so often, metres from the anchor, from the widest in.
    pub within: Vec<(f64, Vec<Offset>)>,
    /// Radius of the plain circle.
    pub circle: Length,
}

/// An ellipse of uncertainty.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ellipse {
    /// Half its long axis.
    pub long: Length,
    /// Half its short axis.
    pub short: Length,
    /// Which way its long axis lies.
    pub along: Bearing,
}

impl Ellipse {
    /// That of a covariance: east, both, north, m².
    pub fn of([east_m2, both_m2, north_m2]: [f64; 3]) -> Self {
        // The roots of the covariance's characteristic equation.
        let half_m2 = 0.5 * (east_m2 + north_m2);
        let apart_m2 = (0.5 * (east_m2 - north_m2)).hypot(both_m2);
        let sigma = |variance_m2: f64| Length::metres(variance_m2.max(0.0).sqrt());
        // Twice the angle from east, anticlockwise, of the long axis.
        let from_east = 0.5 * (2.0 * both_m2).atan2(east_m2 - north_m2);
        Self {
            long: sigma(half_m2 + apart_m2),
            short: sigma(half_m2 - apart_m2),
            along: Bearing::degrees(90.0 - from_east.to_degrees()),
        }
    }
}

impl Watch {
    /// Where she can lie now; nothing before the drag test has begun.
    pub fn whereabouts(&self) -> Option<Whereabouts> {
        let (found, sample, origin) = (self.found?, self.sample?, self.origin?);
        let away_m = (sample.place - found.anchor).length().as_metres();
        let reach_m = (away_m - found.beyond_m).max(0.0);
        let down_wind = sample
            .wind
            .filter(|wind| LIGHT_AIR <= wind.speed())
            .and_then(crate::environment::wind::Wind::from)
            .map(Bearing::reversed);
        let within = SHARES.map(|(share, near, spreads, of_sheer)| {
            let far_m = reach_m + spreads * found.beyond_spread_m;
            let border = match down_wind {
                Some(bearing) => sector(bearing, USUAL_SHEER_DEG * of_sheer, [near * reach_m, far_m]),
                None => sector(Bearing::degrees(0.0), 180.0, [0.0, far_m]),
            };
            (share, border)
        });
        Some(Whereabouts {
            anchor: origin.plus(found.anchor),
            ellipse: Ellipse::of(found.anchor_covariance_m2),
            within: within.into(),
            circle: Length::metres(found.circle_m),
        })
    }
}

/// The border of a piece of a ring: clockwise along its outer side, back along its inner one.
fn sector(middle: Bearing, half_deg: f64, [near_m, far_m]: [f64; 2]) -> Vec<Offset> {
    #[expect(clippy::cast_possible_truncation, reason = "at most half a turn in steps")]
    let steps = (half_deg / STEP_DEG).ceil().max(1.0) as i32;
    let at = |step: i32, metres: f64| {
        let off_deg = half_deg * f64::from(step) / f64::from(steps);
        Offset::along(Bearing::degrees(middle.as_degrees() + off_deg), Length::metres(metres))
    };
    let outer = (-steps..=steps).map(|step| at(step, far_m));
    let inner = (-steps..=steps).rev().filter(|_| 0.0 < near_m).map(|step| at(step, near_m));
    let tip = (near_m <= 0.0 && half_deg < 180.0).then_some(Offset::ORIGIN);
    outer.chain(inner).chain(tip).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_ellipse_lies_along_its_longer_axis() {
        // Variances of 9 and 1 m² along axes turned by 30° from north: R diag R'.
        let (sin, cos) = 30.0_f64.to_radians().sin_cos();
        let (long, short) = ([sin, cos], [cos, -sin]);
        let cov = |a: usize, b: usize| 9.0 * long[a] * long[b] + short[a] * short[b];
        let ellipse = Ellipse::of([cov(0, 0), cov(0, 1), cov(1, 1)]);
        assert!((ellipse.long.as_metres() - 3.0).abs() < 1e-9);
        assert!((ellipse.short.as_metres() - 1.0).abs() < 1e-9);
        assert!((ellipse.along.as_degrees() - 30.0).abs() < 1e-9);
    }

    #[test]
    fn a_border_keeps_its_radii_and_its_sector() {
        let border = sector(Bearing::degrees(350.0), 30.0, [20.0, 30.0]);
        for point in &border {
            let far_m = point.length().as_metres();
            assert!((far_m - 20.0).abs() < 1e-9 || (far_m - 30.0).abs() < 1e-9);
            let off = Bearing::degrees(350.0).to(point.bearing()).abs().as_degrees();
            assert!(off <= 30.0 + 1e-9);
        }
        assert!(
            sector(Bearing::degrees(0.0), 180.0, [0.0, 30.0]).iter().all(|p| 29.9 < p.length().as_metres())
        );
    }
}
