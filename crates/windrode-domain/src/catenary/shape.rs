//! The tension in every part of the rode, and its curve for drawing.

use super::walk::{self, Hanging, Lying, Piece, Pull};
use super::{Lie, Line};
use crate::units::{Force, Length};

/// Tension at both ends of a segment; the greatest within it is one of the two.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SegmentTension {
    /// At the end nearer the anchor.
    pub lower: Force,
    /// At the end nearer the boat.
    pub upper: Force,
}

/// Tension on both sides of a kellet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct KelletTension {
    /// On the anchor's side.
    pub below: Force,
    /// On the boat's side.
    pub above: Force,
}

/// Tension everywhere.
#[derive(Clone, Debug, PartialEq)]
pub struct Tensions {
    /// Of the segments, anchor first.
    pub segments: Vec<SegmentTension>,
    /// Of the kellets, in the order of [`Line::kellets`].
    pub kellets: Vec<KelletTension>,
}

/// One point of the rode's curve.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ShapePoint {
    /// Unstretched rode from the anchor.
    pub along: Length,
    /// Level distance from the anchor, towards the boat.
    pub x: Length,
    /// Height above the anchor.
    pub z: Length,
    /// Tension there; at a kellet, on the boat's side.
    pub tension: Force,
}

impl Line {
    /// Tension at both ends of every segment and on both sides of every kellet.
    ///
    /// # Validity
    /// `lie` is one of this same rode; another's gives numbers without meaning.
    pub fn tensions(&self, lie: &Lie) -> Tensions {
        let curve = Curve::of(self, lie);
        let mut end_m = 0.0;
        let segments = self.segments().iter().map(|segment| {
            let from_m = end_m;
            end_m += segment.length.as_metres();
            SegmentTension { lower: curve.above(from_m), upper: curve.below(end_m) }
        });
        let segments = segments.collect();
        let kellets = self.kellets().iter().map(|kellet| {
            let at_m = kellet.from_anchor.as_metres();
            KelletTension { below: curve.below(at_m), above: curve.above(at_m) }
        });
        Tensions { segments, kellets: kellets.collect() }
    }

    /// The rode's curve from the anchor to the roller: `points` places evenly along it, and besides them exactly
    /// every joint, kellet and touchdown, and every one of `stations` (the crew's marks, say) that is on it.
    ///
    /// # Validity
    /// As [`Line::tensions`].
    pub fn shape(&self, lie: &Lie, points: usize, stations: &[Length]) -> Vec<ShapePoint> {
        let curve = Curve::of(self, lie);
        let length_m = self.length_m;
        let intervals = points.max(2) - 1;
        let mut places: Vec<f64> = (0..=intervals).map(|i| length_m * i as f64 / intervals as f64).collect();
        places.extend(curve.pieces.iter().map(Piece::begin_m));
        places.extend(stations.iter().map(|s| s.as_metres()).filter(|&s| 0.0 <= s && s <= length_m));
        places.sort_by(f64::total_cmp);
        // Nearer than a nanometre two places are one, met twice by rounding.
        places.dedup_by(|later, earlier| *later - *earlier < 1e-9);
        places.into_iter().map(|along_m| curve.point(along_m)).collect()
    }
}

/// The solved rode as its uniform pieces, anchor first, each with the place where it begins.
struct Curve {
    pieces: Vec<Piece>,
    begins: Vec<(f64, f64)>,
    horizontal_n: f64,
    slope: (f64, f64),
    at_anchor: Force,
    at_roller: Force,
}

impl Curve {
    fn of(line: &Line, lie: &Lie) -> Self {
        let horizontal_n = lie.horizontal.as_newtons();
        let pull = Pull { horizontal: horizontal_n, vertical: lie.vertical.as_newtons() };
        let mut pieces = Vec::with_capacity(line.parts.len() + 1);
        walk::walk(line, &lie.ground, pull, |piece| {
            if 0.0 < piece.length_m() {
                pieces.push(piece);
            }
        });
        pieces.reverse();
        let slope = (lie.ground.cos, lie.ground.sin);
        let mut at = (0.0, 0.0);
        let begins = pieces.iter().map(|piece| {
            let begin = at;
            let (dx, dz) = piece.offset(piece.length_m(), horizontal_n, slope);
            at = (at.0 + dx, at.1 + dz);
            begin
        });
        let begins = begins.collect();
        let anchor_n = lie.anchor_horizontal.as_newtons().hypot(lie.anchor_vertical.as_newtons());
        Self {
            pieces,
            begins,
            horizontal_n,
            slope,
            at_anchor: Force::newtons(anchor_n),
            at_roller: lie.tension(),
        }
    }

    /// Tension just on the boat's side of a place.
    fn above(&self, along_m: f64) -> Force {
        let piece = self.pieces.iter().find(|piece| along_m < piece.end_m() - ROUNDING_M);
        piece.map_or(self.at_roller, |piece| piece.tension(along_m - piece.begin_m(), self.horizontal_n))
    }

    /// Tension just on the anchor's side of a place.
    fn below(&self, along_m: f64) -> Force {
        let piece = self.pieces.iter().rev().find(|piece| piece.begin_m() + ROUNDING_M < along_m);
        piece.map_or(self.at_anchor, |piece| piece.tension(along_m - piece.begin_m(), self.horizontal_n))
    }

    fn point(&self, along_m: f64) -> ShapePoint {
        let piece = self.pieces.iter().zip(&self.begins).find(|(piece, _)| along_m <= piece.end_m());
        let piece = piece.or_else(|| self.pieces.iter().zip(&self.begins).next_back());
        let (x, z) = piece.map_or((0.0, 0.0), |(piece, begin)| {
            let (dx, dz) = piece.offset(along_m - piece.begin_m(), self.horizontal_n, self.slope);
            (begin.0 + dx, begin.1 + dz)
        });
        let (along, x, z) = (Length::metres(along_m), Length::metres(x), Length::metres(z));
        ShapePoint { along, x, z, tension: self.above(along_m) }
    }
}

/// A nanometre: places nearer than this are one, met from two sides by rounding.
const ROUNDING_M: f64 = 1e-9;

impl Piece {
    fn begin_m(&self) -> f64 {
        match self {
            Self::Hanging(Hanging { from_m, .. }) | Self::Lying(Lying { from_m, .. }) => *from_m,
        }
    }

    fn length_m(&self) -> f64 {
        match self {
            Self::Hanging(Hanging { length_m, .. }) | Self::Lying(Lying { length_m, .. }) => *length_m,
        }
    }

    fn end_m(&self) -> f64 {
        self.begin_m() + self.length_m()
    }

    /// Tension so far above its lower end.
    fn tension(&self, up_m: f64, horizontal_n: f64) -> Force {
        Force::newtons(match self {
            Self::Hanging(p) => horizontal_n.hypot(p.lower + p.weight_n_m * up_m),
            Self::Lying(p) => p.tension_at(up_m),
        })
    }

    /// Level distance and rise from its lower end to so far above it.
    fn offset(&self, up_m: f64, horizontal_n: f64, (cos, sin): (f64, f64)) -> (f64, f64) {
        match self {
            Self::Hanging(p) => walk::piece_spread(p, horizontal_n, up_m),
            Self::Lying(p) => {
                let taut_m = (up_m - (p.length_m - p.taut_m)).max(0.0);
                let stretched_m = up_m + 0.5 * (p.lower_t + p.tension_at(up_m)) * taut_m * p.give_1_n;
                (stretched_m * cos, stretched_m * sin)
            }
        }
    }
}

impl Lying {
    fn tension_at(&self, up_m: f64) -> f64 {
        let taut_m = up_m - (self.length_m - self.taut_m);
        if taut_m <= 0.0 {
            self.lower_t
        } else {
            self.lower_t + (self.upper_t - self.lower_t) * taut_m / self.taut_m
        }
    }
}
