//! The least distance between two bodies that turn together, never told too large.
//!
//! A body is the convex hull of points, each the sum of a fixed part and one that turns with the wind:
//!
//! ```text
//! p(β) = f + R(β) v                        R(β) turns clockwise by β
//! D(β) = least distance between the bodies a and b when the wind has turned them to β
//! ```
//!
//! Sought is the least `D` over a stretch of `β`. At the middle `β₀` of a stretch the closest points give `D(β₀)`,
//! and the direction `n` from one to the other. Along any unit vector `n` the bodies stay at least
//!
//! ```text
//! min over pairs of  n·(f_b - f_a) + min over |ε| <= s of  n·R(β₀ + ε)(v_b - v_a)
//! ```
//!
//! apart while `β` keeps within `s` of `β₀`, and the inner minimum is closed: `-|w|` if `w = v_b - v_a`, turned,
//! points within `s` of `-n`, else its value at an end. The stretch with the lowest bound is halved, until that bound
//! is near enough to the least distance met. The answer is that bound: whatever the search for closest points does,
//! it is never more than the truth.
//!
//! Source: branch and bound on an interval, elementary geometry; the closest points by E. G. Gilbert, D. W. Johnson
//! and S. S. Keerthi, IEEE J. Robotics and Automation 4 (1988) 193, in the plane. Checked by dense sampling and
//! against `authorities/room`.

use crate::position::Offset;

/// A point that is partly fixed and partly turns about the origin of its turning part, metres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Turning {
    /// Stays.
    pub(crate) fixed: Offset,
    /// Turns clockwise with the wind.
    pub(crate) turning: Offset,
}

/// Turns `β` takes: `centre` and `half` either side, radians clockwise.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Turns {
    pub(crate) centre: f64,
    pub(crate) half: f64,
}

/// The least distance, and where it was nearly met.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Separation {
    /// No more than the truth, and less by [`slack_m`] at most where the turns could be split that finely.
    pub(crate) least_m: f64,
    /// On the first body, about the nearest point.
    pub(crate) near: Offset,
}

/// What the answer may fall short by, metres: a hand's breadth near by, two parts in a hundred far off, where room is
/// no concern.
pub(crate) fn slack_m(distance_m: f64) -> f64 {
    (0.02 * distance_m).max(0.05)
}

/// Stretches shorter than this are taken at their bound, radians: 60 m turn by 6 mm.
const NARROWEST_RAD: f64 = 1e-4;
/// A first stretch is at most this wide either side, radians: beyond, the bound says nothing.
const WIDEST_RAD: f64 = 0.6;

impl Turning {
    pub(crate) const fn fixed(at: Offset) -> Self {
        Self { fixed: at, turning: Offset::ORIGIN }
    }

    fn at(self, sin_cos: (f64, f64)) -> Offset {
        self.fixed + turned(self.turning, sin_cos)
    }
}

/// Clockwise, as bearings go.
pub(crate) fn turned(v: Offset, (sin, cos): (f64, f64)) -> Offset {
    Offset { east_m: v.east_m * cos + v.north_m * sin, north_m: v.north_m * cos - v.east_m * sin }
}

pub(crate) fn dot(a: Offset, b: Offset) -> f64 {
    a.east_m * b.east_m + a.north_m * b.north_m
}

pub(crate) fn cross(a: Offset, b: Offset) -> f64 {
    a.east_m * b.north_m - a.north_m * b.east_m
}

pub(crate) fn scaled(v: Offset, by: f64) -> Offset {
    Offset { east_m: v.east_m * by, north_m: v.north_m * by }
}

/// The least distance of two bodies over the turns, if it is below `within_m`; `None` when it surely is not.
pub(crate) fn least(a: &[Turning], b: &[Turning], turns: Turns, within_m: f64) -> Option<Separation> {
    let pieces = (turns.half / WIDEST_RAD).ceil().max(1.0);
    let half = turns.half / pieces;
    let mut search =
        Search { a, b, met_m: f64::INFINITY, near: Offset::ORIGIN, open: Vec::with_capacity(32) };
    let mut k = 0.0;
    while k < pieces {
        search.look(turns.centre - turns.half + half * (2.0 * k + 1.0), half);
        k += 1.0;
    }
    loop {
        let (bound_m, stretch) = search.lowest()?;
        let enough_m = search.met_m.min(within_m);
        if enough_m - slack_m(enough_m) <= bound_m || stretch.half <= NARROWEST_RAD {
            return (bound_m < within_m).then_some(Separation { least_m: bound_m, near: search.near });
        }
        let half = stretch.half / 2.0;
        search.look(stretch.centre - half, half);
        search.look(stretch.centre + half, half);
    }
}

struct Search<'a> {
    a: &'a [Turning],
    b: &'a [Turning],
    met_m: f64,
    near: Offset,
    /// Stretches with their bounds, metres; together they are all the turns.
    open: Vec<(f64, Turns)>,
}

impl Search<'_> {
    fn look(&mut self, centre: f64, half: f64) {
        let closest = closest(self.a, self.b, centre.sin_cos());
        if closest.distance_m < self.met_m {
            (self.met_m, self.near) = (closest.distance_m, closest.near);
        }
        let stretch = Turns { centre, half };
        let bound_m = bound(self.a, self.b, stretch, closest.towards).max(0.0);
        self.open.push((bound_m, stretch));
    }

    fn lowest(&mut self) -> Option<(f64, Turns)> {
        let lowest = self.open.iter().enumerate().min_by(|(_, p), (_, q)| p.0.total_cmp(&q.0))?.0;
        Some(self.open.swap_remove(lowest))
    }
}

/// How far along `n` the bodies stay apart throughout a stretch of turns, metres.
fn bound(a: &[Turning], b: &[Turning], stretch: Turns, n: Offset) -> f64 {
    // Turning back `n` spares turning every point.
    let view = View { n, back: turned(n, (-stretch.centre).sin_cos()), ends: stretch.half.sin_cos() };
    let none = Turning::fixed(Offset::ORIGIN);
    let reach_m = a.iter().map(|q| -view.least_m(q, &none)).fold(f64::NEG_INFINITY, f64::max);
    let alone_m = |p: &Turning| view.least_m(&none, p);
    let mut pairs_m = f64::INFINITY;
    let mut seek = |p: &Turning| {
        // Turned each at its worst the two are never further apart than turned together: most points need no pairing.
        if alone_m(p) - reach_m < pairs_m {
            pairs_m = a.iter().map(|q| view.least_m(q, p)).fold(pairs_m, f64::min);
        }
    };
    // The foremost point first, so that it spares the others.
    b.iter().min_by(|p, q| alone_m(p).total_cmp(&alone_m(q))).into_iter().for_each(&mut seek);
    b.iter().for_each(seek);
    pairs_m
}

/// A direction to measure along, as seen in the middle of a stretch of turns.
struct View {
    n: Offset,
    /// The same direction turned back by the middle of the stretch.
    back: Offset,
    /// Sine and cosine of half the stretch.
    ends: (f64, f64),
}

impl View {
    /// The least of `n·(p - q)` while both turn together through the stretch, metres.
    fn least_m(&self, q: &Turning, p: &Turning) -> f64 {
        let w = p.turning - q.turning;
        let (along, athwart) = (dot(self.back, w), cross(self.back, w).abs());
        let (sin_s, cos_s) = self.ends;
        // `w` comes to lie along `-n` within the stretch, which is narrower than a right angle.
        let turned_m = if along < 0.0 && athwart * cos_s <= -along * sin_s {
            -(along * along + athwart * athwart).sqrt()
        } else {
            along * cos_s - athwart * sin_s
        };
        dot(self.n, p.fixed - q.fixed) + turned_m
    }
}

struct Closest {
    distance_m: f64,
    /// Unit vector from the first body to the second.
    towards: Offset,
    /// On the first body.
    near: Offset,
}

/// A point of the difference of the bodies, and the point of the first body that made it.
#[derive(Clone, Copy)]
struct Corner {
    apart: Offset,
    near: Offset,
}

/// The closest points of two bodies at one turn; no distance if they overlap.
fn closest(a: &[Turning], b: &[Turning], sin_cos: (f64, f64)) -> Closest {
    // Twenty rounds end it for bodies of a dozen corners; stopping early costs tightness, never safety.
    const ROUNDS: usize = 20;
    let first = Offset { east_m: 1.0, north_m: 0.0 };
    let mut simplex = (support(a, b, first, sin_cos), None);
    let mut best = simplex.0;
    for _ in 0..ROUNDS {
        let squared = dot(best.apart, best.apart);
        if squared <= 1e-18 {
            break;
        }
        let next = support(a, b, best.apart, sin_cos);
        // No corner lies nearer to the origin by more than a part in 10⁶.
        if squared - dot(best.apart, next.apart) <= 1e-6 * squared {
            break;
        }
        match nearest_of(simplex, next) {
            Some((nearest, kept)) => (best, simplex) = (nearest, kept),
            None => return Closest { distance_m: 0.0, towards: first, near: next.near },
        }
    }
    let distance_m = best.apart.east_m.hypot(best.apart.north_m);
    let towards = if distance_m > 0.0 { scaled(best.apart, 1.0 / distance_m) } else { first };
    Closest { distance_m, towards, near: best.near }
}

/// The corner of `b - a` that lies furthest against `along`.
fn support(a: &[Turning], b: &[Turning], along: Offset, sin_cos: (f64, f64)) -> Corner {
    let back = turned(along, (-sin_cos.0, sin_cos.1));
    let height = |p: &Turning| dot(along, p.fixed) + dot(back, p.turning);
    let mut low = (f64::INFINITY, Turning::fixed(Offset::ORIGIN));
    for p in b {
        let h = height(p);
        if h < low.0 {
            low = (h, *p);
        }
    }
    let mut high = (f64::NEG_INFINITY, Turning::fixed(Offset::ORIGIN));
    for q in a {
        let h = height(q);
        if high.0 < h {
            high = (h, *q);
        }
    }
    let near = high.1.at(sin_cos);
    Corner { apart: low.1.at(sin_cos) - near, near }
}

type Simplex = (Corner, Option<Corner>);

/// The point nearest to the origin of what the corners span, and the corners that span it; `None` if they hold the
/// origin among them.
fn nearest_of(simplex: Simplex, next: Corner) -> Option<(Corner, Simplex)> {
    let (first, Some(second)) = simplex else {
        return Some(nearest_on(simplex.0, next));
    };
    let side = |p: Corner, q: Corner| cross(q.apart - p.apart, scaled(p.apart, -1.0));
    let sides = [side(first, second), side(second, next), side(next, first)];
    if sides.iter().all(|side| 0.0 < *side) || sides.iter().all(|side| *side < 0.0) {
        return None;
    }
    let (one, other) = (nearest_on(first, next), nearest_on(second, next));
    let nearer = dot(one.0.apart, one.0.apart) < dot(other.0.apart, other.0.apart);
    Some(if nearer { one } else { other })
}

fn nearest_on(p: Corner, q: Corner) -> (Corner, Simplex) {
    let edge = q.apart - p.apart;
    let squared = dot(edge, edge);
    let t = if squared > 0.0 { (-dot(p.apart, edge) / squared).clamp(0.0, 1.0) } else { 0.0 };
    let apart = p.apart + scaled(edge, t);
    let near = p.near + scaled(q.near - p.near, t);
    let kept = if t <= 0.0 {
        (p, None)
    } else if 1.0 <= t {
        (q, None)
    } else {
        (p, Some(q))
    };
    (Corner { apart, near }, kept)
}

/// The convex hull of points, counter-clockwise in east and north. Andrew's monotone chain.
pub(crate) fn hull(mut points: Vec<Offset>) -> Vec<Offset> {
    points.sort_by(|p, q| p.east_m.total_cmp(&q.east_m).then(p.north_m.total_cmp(&q.north_m)));
    points.dedup();
    let chain = |points: &mut dyn Iterator<Item = Offset>| {
        let mut chain: Vec<Offset> = Vec::new();
        for p in points {
            while let [.., o, q] = chain[..] {
                if 0.0 < cross(q - o, p - o) {
                    break;
                }
                chain.pop();
            }
            chain.push(p);
        }
        chain.pop();
        chain
    };
    if points.len() < 3 {
        return points;
    }
    let mut hull = chain(&mut points.iter().copied());
    hull.extend(chain(&mut points.iter().rev().copied()));
    hull
}

/// Turns, some with a stretch, that carry a point to places whose hull holds the arc it sweeps while it turns by
/// `half` either side, and stands off that arc by a fraction `bulge` of its radius at most. For [`turned`].
pub(crate) fn arc(half: f64, bulge: f64) -> Vec<(f64, f64)> {
    // Tangents at every `2 step` meet at `radius / cos(step)`.
    let widest = (1.0 / (1.0 + bulge)).acos();
    let pieces = (half / widest).ceil().max(1.0);
    let step = half / pieces;
    let mut turns = vec![(-half).sin_cos()];
    if 0.0 < half {
        turns.push(half.sin_cos());
        let mut k = 0.0;
        while k < pieces {
            let (sin, cos) = (step * (2.0 * k + 1.0) - half).sin_cos();
            turns.push((sin / step.cos(), cos / step.cos()));
            k += 1.0;
        }
    }
    turns
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const fn at(east_m: f64, north_m: f64) -> Offset {
        Offset { east_m, north_m }
    }

    fn square(east_m: f64, north_m: f64) -> Vec<Turning> {
        [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)]
            .map(|(e, n)| Turning::fixed(at(east_m + e, north_m + n)))
            .to_vec()
    }

    const STILL: Turns = Turns { centre: 0.0, half: 0.0 };

    #[test]
    fn two_squares_are_as_far_apart_as_their_corners() {
        let found = least(&square(0.0, 0.0), &square(4.0, 5.0), STILL, f64::INFINITY).unwrap();
        // The search for closest points ends within a part in a million.
        assert!((found.least_m - 5.0).abs() < 1e-5, "{found:?}");
    }

    #[test]
    fn squares_that_overlap_have_no_room() {
        let found = least(&square(0.0, 0.0), &square(0.5, 0.5), STILL, f64::INFINITY).unwrap();
        assert!(found.least_m <= 0.0);
    }

    #[test]
    fn a_hull_keeps_corners_and_drops_what_lies_within() {
        let corners = [at(0.0, 0.0), at(2.0, 0.0), at(2.0, 2.0), at(0.0, 2.0)];
        let inside = [at(1.0, 1.0), at(1.0, 0.0), at(2.0, 2.0)];
        assert_eq!(hull(corners.into_iter().chain(inside).collect()), corners.to_vec());
    }

    proptest! {
        #[test]
        fn an_arc_lies_within_the_hull_of_its_points(half in 0.0..3.1_f64, part in -1.0..1.0_f64) {
            let v = at(3.0, 9.0);
            let hull = hull(arc(half, 0.01).into_iter().map(|turn| turned(v, turn)).collect());
            let p = turned(v, (half * part).sin_cos());
            let mut edges = hull.iter().zip(hull.iter().cycle().skip(1));
            // Rounding of the corners, ten metres out.
            prop_assert!(hull.len() < 3 || edges.all(|(a, b)| -1e-9 < cross(*b - *a, p - *a)));
        }

        #[test]
        fn sampling_the_turns_never_finds_less(
            spots in prop::collection::vec((-60.0..60.0_f64, -60.0..60.0_f64), 9),
            centre in -3.0..3.0_f64, half in 0.0..3.0_f64,
        ) {
            let point = |k: usize| at(spots[k].0, spots[k].1);
            let a: Vec<_> = (0..3).map(|k| Turning { fixed: scaled(point(k), 0.1), turning: point(k) }).collect();
            let b: Vec<_> = (3..6)
                .map(|k| Turning { fixed: point(k + 3), turning: scaled(point(k), 0.3) })
                .collect();
            let found = least(&a, &b, Turns { centre, half }, f64::INFINITY).unwrap();
            let mut sampled_m = f64::INFINITY;
            for k in 0..=2000 {
                let beta = centre - half + half * f64::from(k) / 1000.0;
                sampled_m = sampled_m.min(closest(&a, &b, beta.sin_cos()).distance_m);
            }
            prop_assert!(found.least_m <= sampled_m + 1e-9, "{} against {sampled_m}", found.least_m);
            // The samples are 3 mrad apart and the bodies reach 90 m: they overlook a quarter of a metre at most.
            prop_assert!(sampled_m - slack_m(sampled_m) - 0.3 <= found.least_m, "{} against {sampled_m}", found.least_m);
        }
    }
}
