//! The nearest of what a chart shows.
//!
//! On the plane that touches the ellipsoid at the point asked for, x = Δλ N cos φ and y = Δφ M (N, M the radii of
//! curvature), distances within some kilometres are right to a thousandth; what is nearest there, and what is as near
//! within a hundredth, is then measured by geodesics. Beyond some tens of kilometres the plane may mistake which is the
//! nearer of two that are hundreds of metres apart from being equally far.

use windrode_domain::units::Length;
use windrode_wire::s57::geometry::{Geometry, Point, Ring};

/// Equatorial radius of WGS 84, m.
const RADIUS_M: f64 = 6_378_137.0;
/// First eccentricity of WGS 84, squared.
const ECCENTRICITY_SQUARED: f64 = 0.006_694_379_990_141_316;

/// The touching plane.
#[derive(Clone, Copy, Debug)]
pub(super) struct Plane {
    at: Point,
    north_m_deg: f64,
    east_m_deg: f64,
}

impl Plane {
    pub(super) fn at(at: Point) -> Self {
        let (sin, cos) = at.latitude_deg.to_radians().sin_cos();
        let w2 = 1.0 - ECCENTRICITY_SQUARED * sin * sin;
        let metre_each_deg = std::f64::consts::PI / 180.0;
        Self {
            at,
            north_m_deg: RADIUS_M * (1.0 - ECCENTRICITY_SQUARED) / w2.powf(1.5) * metre_each_deg,
            east_m_deg: RADIUS_M / w2.sqrt() * cos * metre_each_deg,
        }
    }

    /// East and north, m; the short way round the earth.
    fn place(self, point: Point) -> [f64; 2] {
        let turned_deg = (point.longitude_deg - self.at.longitude_deg + 540.0).rem_euclid(360.0) - 180.0;
        [turned_deg * self.east_m_deg, (point.latitude_deg - self.at.latitude_deg) * self.north_m_deg]
    }

    pub(super) fn distance_m(self, point: Point) -> f64 {
        let [east_m, north_m] = self.place(point);
        east_m.hypot(north_m)
    }

    /// To the nearest point of a line between two corners.
    fn to_edge_m(self, from: Point, to: Point) -> f64 {
        let ([ax, ay], [bx, by]) = (self.place(from), self.place(to));
        let (dx, dy) = (bx - ax, by - ay);
        let length2 = dx * dx + dy * dy;
        let share = if 0.0 < length2 { (-(ax * dx + ay * dy) / length2).clamp(0.0, 1.0) } else { 0.0 };
        (ax + share * dx).hypot(ay + share * dy)
    }

    /// To the nearest of a feature; nought within its area; `None`: it lies nowhere.
    pub(super) fn to_feature_m(self, geometry: &Geometry) -> Option<f64> {
        let nearest = |distances: &mut dyn Iterator<Item = f64>| distances.min_by(f64::total_cmp);
        match geometry {
            Geometry::None => None,
            Geometry::Points(points) => nearest(&mut points.iter().map(|&point| self.exactly_m(point))),
            Geometry::Soundings(all) => nearest(&mut all.iter().map(|sounding| self.exactly_m(sounding.at))),
            Geometry::Lines(lines) => {
                let edges = lines.iter().flat_map(|line| line.points.windows(2));
                nearest(&mut edges.filter_map(|edge| match *edge {
                    [from, to] => Some(self.to_edge_m(from, to)),
                    _ => None,
                }))
            }
            Geometry::Area(area) if area.contains(self.at) => Some(0.0),
            Geometry::Area(area) => {
                let edges = area.rings.iter().flat_map(Ring::edges);
                nearest(&mut edges.map(|(from, to)| self.to_edge_m(from, to)))
            }
        }
    }

    /// By the geodesic; by the plane if one of the points is none on the earth.
    pub(super) fn exactly_m(self, point: Point) -> f64 {
        let ends = (self.at.position(), point.position());
        let (Ok(from), Ok(to)) = ends else { return self.distance_m(point) };
        from.towards(to).0.as_metres()
    }

    /// Which of many points is nearest, by its place among them, and how far it is.
    pub(super) fn nearest<T>(self, all: &[T], point: impl Fn(&T) -> Option<Point>) -> Option<(&T, Length)> {
        let measured = || all.iter().filter_map(|one| point(one).map(|point| (one, point)));
        let least_m = measured().map(|(_, point)| self.distance_m(point)).min_by(f64::total_cmp)?;
        let close = measured().filter(|(_, point)| self.distance_m(*point) <= 1.01 * least_m + 1.0);
        let exact = close.map(|(one, point)| (one, self.exactly_m(point)));
        let (one, distance_m) = exact.min_by(|a, b| a.1.total_cmp(&b.1))?;
        Some((one, Length::metres(distance_m)))
    }
}
