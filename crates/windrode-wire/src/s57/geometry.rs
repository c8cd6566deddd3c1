//! Where a feature lies: points, soundings, lines, areas, joined from nodes and edges.
//!
//! Charts are drawn in chain-node topology: an edge runs from a connected node by its own corners to another; a line
//! is a row of edges; an area is bounded by rings of edges, an outer one first and holes after it. Between two corners
//! the line is straight on a Mercator projection; at the lengths of a chart's edges it is taken as straight in latitude
//! and longitude, from which it departs by less than 1 mm over 100 m and 10 cm over 1 km below 60° of latitude.
//!
//! # Areas
//!
//! On the ellipsoid of WGS 84 the strip between the equator and an edge from (λ₁, φ₁) to (λ₂, φ₂) holds
//!
//! ```text
//! A = ½ b² ∫ q(φ(λ)) dλ,    q = sin φ / (1 − e² sin² φ) + artanh(e sin φ) / e
//! ```
//!
//! (b polar radius in m, e eccentricity), taken by Simpson's rule, whose error over an edge of 10 km is below 1e-9 of
//! the strip. Source: J. P. Snyder, Map Projections: A Working Manual, USGS Professional Paper 1395 (1987), equation
//! (3-12) for q. A geodesic polygon of the same corners differs by the slivers between geodesic and edge.

use std::collections::BTreeMap;

use windrode_domain::position::{Position, PositionError};

use super::records::Usage;

/// Polar radius of WGS 84.
const POLAR_RADIUS_M: f64 = 6_356_752.314_245_179;
/// First eccentricity of WGS 84, squared.
const ECCENTRICITY_SQUARED: f64 = 0.006_694_379_990_141_316;

/// A corner of a chart. Unlike [`Position`] its longitude is kept at 180° where the chart has it there, so that areas
/// that end at the date line stay whole.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// North positive.
    pub latitude_deg: f64,
    /// East positive, in `[-180, 180]`.
    pub longitude_deg: f64,
}

impl Point {
    /// The same as a position on WGS 84.
    ///
    /// # Errors
    /// [`PositionError`] for a point that was not read from a chart and is none.
    pub fn position(self) -> Result<Position, PositionError> {
        Position::new(self.latitude_deg, self.longitude_deg)
    }
}

/// A depth at a point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sounding {
    /// Where.
    pub at: Point,
    /// Below the datum of soundings, m; negative where it dries.
    pub depth_m: f64,
}

/// A row of corners.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// Its corners, two at least.
    pub points: Vec<Point>,
}

/// A closed row of corners, the first not told again at the end.
#[derive(Clone, Debug, PartialEq)]
pub struct Ring {
    /// It bounds a hole.
    pub is_hole: bool,
    /// Its corners.
    pub points: Vec<Point>,
}

/// An area with its holes.
#[derive(Clone, Debug, PartialEq)]
pub struct Area {
    /// Its boundaries, outer ones first.
    pub rings: Vec<Ring>,
}

/// Where a feature lies.
#[derive(Clone, Debug, PartialEq)]
pub enum Geometry {
    /// Nowhere: it tells of the chart or of other features.
    None,
    /// At points.
    Points(Vec<Point>),
    /// At points with depths.
    Soundings(Vec<Sounding>),
    /// Along lines.
    Lines(Vec<Line>),
    /// Over an area.
    Area(Area),
}

/// South, west, north and east of all corners.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Extent {
    /// Least latitude.
    pub south_deg: f64,
    /// Least longitude.
    pub west_deg: f64,
    /// Greatest latitude.
    pub north_deg: f64,
    /// Greatest longitude.
    pub east_deg: f64,
}

impl Extent {
    /// Whether a point lies within or on it.
    pub fn holds(&self, point: Point) -> bool {
        (self.south_deg..=self.north_deg).contains(&point.latitude_deg)
            && (self.west_deg..=self.east_deg).contains(&point.longitude_deg)
    }

    /// Of both.
    #[must_use]
    pub fn with(self, other: Self) -> Self {
        Self {
            south_deg: self.south_deg.min(other.south_deg),
            west_deg: self.west_deg.min(other.west_deg),
            north_deg: self.north_deg.max(other.north_deg),
            east_deg: self.east_deg.max(other.east_deg),
        }
    }
}

impl Area {
    /// Whether a point lies inside: outside of holes, and by the rule that a boundary belongs to one of two neighbours
    /// and not to both.
    pub fn contains(&self, point: Point) -> bool {
        let crossings: usize = self.rings.iter().map(|ring| ring.crossings_east_of(point)).sum();
        !crossings.is_multiple_of(2)
    }

    /// Its size on the ellipsoid, m², holes taken off.
    pub fn area_m2(&self) -> f64 {
        let signed = |ring: &Ring| if ring.is_hole { -ring.area_m2() } else { ring.area_m2() };
        self.rings.iter().map(signed).sum()
    }
}

impl Ring {
    /// Edges from each corner to the next and from the last to the first.
    pub fn edges(&self) -> impl Iterator<Item = (Point, Point)> + '_ {
        let next = self.points.iter().cycle().skip(1);
        self.points.iter().copied().zip(next.copied())
    }

    /// How often the boundary is met on the way east from a point.
    fn crossings_east_of(&self, point: Point) -> usize {
        let met = |&(from, to): &(Point, Point)| {
            let straddles =
                (from.latitude_deg <= point.latitude_deg) != (to.latitude_deg <= point.latitude_deg);
            straddles && {
                let share = (point.latitude_deg - from.latitude_deg) / (to.latitude_deg - from.latitude_deg);
                point.longitude_deg < from.longitude_deg + share * (to.longitude_deg - from.longitude_deg)
            }
        };
        self.edges().filter(met).count()
    }

    /// What it encloses on the ellipsoid, m².
    pub fn area_m2(&self) -> f64 {
        let strip = |(from, to): (Point, Point)| {
            let middle_deg = f64::midpoint(from.latitude_deg, to.latitude_deg);
            let mean = (q(from.latitude_deg) + 4.0 * q(middle_deg) + q(to.latitude_deg)) / 6.0;
            mean * (to.longitude_deg - from.longitude_deg).to_radians()
        };
        let sum: f64 = self.edges().map(strip).sum();
        (0.5 * POLAR_RADIUS_M.powi(2) * sum).abs()
    }
}

/// Snyder's q over 1 − e².
fn q(latitude_deg: f64) -> f64 {
    let e = ECCENTRICITY_SQUARED.sqrt();
    let sin = latitude_deg.to_radians().sin();
    sin / (1.0 - ECCENTRICITY_SQUARED * sin * sin) + (e * sin).atanh() / e
}

/// An edge as a feature uses it: where it begins and ends for the feature.
#[derive(Clone, Copy, Debug)]
pub(super) struct Piece {
    pub(super) from: [i32; 2],
    pub(super) to: [i32; 2],
    pub(super) usage: Usage,
}

/// A ring or a line: which pieces, in which order, and whether each is taken against its stated direction.
pub(super) type Chain = Vec<(usize, bool)>;

/// Joins pieces of one boundary to closed rings.
///
/// Each piece is as a rule the one that the list names next; where it is not, one that begins where the last ended is
/// looked for, and after that one that ends there. `None`: a ring does not close.
pub(super) fn rings(pieces: &[Piece], chosen: &[usize]) -> Option<Vec<Chain>> {
    let mut waiting = Waiting { pieces, chosen, used: vec![false; chosen.len()], next: 0, ends: None };
    let mut rings = Vec::new();
    while let Some(first) = waiting.first() {
        let start = pieces.get(first)?.from;
        let mut end = pieces.get(first)?.to;
        let mut chain = vec![(first, false)];
        while end != start {
            let (piece, against) = waiting.after(end)?;
            let taken = pieces.get(piece)?;
            end = if against { taken.from } else { taken.to };
            chain.push((piece, against));
        }
        rings.push(chain);
    }
    Some(rings)
}

/// The pieces that no ring has yet.
struct Waiting<'a> {
    pieces: &'a [Piece],
    chosen: &'a [usize],
    used: Vec<bool>,
    next: usize,
    /// By their ends, made when the list's order does not serve.
    ends: Option<Ends>,
}

/// Where in the list the pieces stand that begin and that end at a corner, the first of them last.
#[derive(Default)]
struct Ends {
    begin: BTreeMap<[i32; 2], Vec<usize>>,
    end: BTreeMap<[i32; 2], Vec<usize>>,
}

impl Waiting<'_> {
    fn is_free(&self, place: usize) -> bool {
        self.used.get(place) == Some(&false)
    }

    fn take(&mut self, place: usize) -> Option<usize> {
        *self.used.get_mut(place)? = true;
        self.chosen.get(place).copied()
    }

    fn first(&mut self) -> Option<usize> {
        while self.used.get(self.next) == Some(&true) {
            self.next += 1;
        }
        self.take(self.next)
    }

    /// The piece that goes on from a corner, and whether against its direction.
    fn after(&mut self, corner: [i32; 2]) -> Option<(usize, bool)> {
        while self.used.get(self.next) == Some(&true) {
            self.next += 1;
        }
        let follows = |place: usize| self.chosen.get(place).and_then(|&piece| self.pieces.get(piece));
        if self.is_free(self.next) && follows(self.next).is_some_and(|piece| piece.from == corner) {
            return self.take(self.next).map(|piece| (piece, false));
        }
        let place = self.by_its_end(corner)?;
        let piece = self.take(place)?;
        let against = self.pieces.get(piece).is_some_and(|piece| piece.from != corner);
        Some((piece, against))
    }

    /// A free piece with an end at the corner, one that begins there before one that ends there.
    fn by_its_end(&mut self, corner: [i32; 2]) -> Option<usize> {
        let (pieces, chosen, used) = (self.pieces, self.chosen, &self.used);
        let ends = self.ends.get_or_insert_with(|| Ends::of(pieces, chosen));
        let free = |at: Option<&mut Vec<usize>>| {
            let at = at?;
            // Each is dropped once: it is used already, or is about to be.
            core::iter::from_fn(|| at.pop()).find(|&place| used.get(place) == Some(&false))
        };
        free(ends.begin.get_mut(&corner)).or_else(|| free(ends.end.get_mut(&corner)))
    }
}

impl Ends {
    fn of(pieces: &[Piece], chosen: &[usize]) -> Self {
        let mut ends = Self::default();
        for (place, &piece) in chosen.iter().enumerate().rev() {
            let Some(piece) = pieces.get(piece) else { continue };
            ends.begin.entry(piece.from).or_default().push(place);
            ends.end.entry(piece.to).or_default().push(place);
        }
        ends
    }
}
