//! Hatching: parallel lines within a ring of points, by the even-odd rule.

use super::scene::{Point, point};

/// The pieces of lines `spacing` apart, leaning `lean_deg` from level, that lie within the ring.
pub(super) fn hatch(ring: &[Point], spacing: f64, lean_deg: f64) -> Vec<[Point; 2]> {
    let (sin, cos) = lean_deg.to_radians().sin_cos();
    let turned: Vec<Point> =
        ring.iter().map(|p| point(p.x * cos + p.y * sin, p.y * cos - p.x * sin)).collect();
    let low = turned.iter().map(|p| p.y).fold(f64::INFINITY, f64::min);
    let high = turned.iter().map(|p| p.y).fold(f64::NEG_INFINITY, f64::max);
    let mut pieces = Vec::new();
    if !(low.is_finite() && high.is_finite() && 0.0 < spacing) {
        return pieces;
    }
    // On multiples of the spacing, so that neighbouring areas hatch as one.
    let mut level = (low / spacing).floor() * spacing + spacing / 2.0;
    while level < high {
        let crossings = crossings(&turned, level);
        for pair in crossings.chunks_exact(2) {
            if let [from, to] = pair {
                let back = |x: f64| point(x * cos - level * sin, x * sin + level * cos);
                pieces.push([back(*from), back(*to)]);
            }
        }
        level += spacing;
    }
    pieces
}

/// Where a level line crosses the ring, in order.
fn crossings(ring: &[Point], level: f64) -> Vec<f64> {
    let next = ring.iter().cycle().skip(1);
    let mut at: Vec<f64> = ring
        .iter()
        .zip(next)
        .filter(|(a, b)| (a.y <= level) != (b.y <= level))
        .map(|(a, b)| a.x + (b.x - a.x) * (level - a.y) / (b.y - a.y))
        .collect();
    at.sort_by(f64::total_cmp);
    at
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hatching_stays_within_the_ring() {
        let square = [point(0.0, 0.0), point(10.0, 0.0), point(10.0, 10.0), point(0.0, 10.0)];
        let pieces = hatch(&square, 2.0, 45.0);
        assert!(!pieces.is_empty());
        for p in pieces.iter().flatten() {
            // Turned there and back: some ulps of ten.
            assert!(-1e-9 < p.x && p.x < 10.0 + 1e-9 && -1e-9 < p.y && p.y < 10.0 + 1e-9);
        }
    }

    #[test]
    fn a_ring_of_nothing_has_no_hatching() {
        assert!(hatch(&[], 2.0, 45.0).is_empty());
        assert!(hatch(&[point(f64::NAN, 0.0)], 2.0, 45.0).is_empty());
    }
}
