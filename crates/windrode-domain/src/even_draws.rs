//! Points that fill a unit cube evenly: the domain's stand-in for chance, the same every time.
//!
//! Halton's sequence (J. H. Halton, *Numerische Mathematik* 2, 1960): coordinate `i` of point `n` is `n` written in
//! the base of the `i`-th prime and mirrored at the point. No seed. The first point is `n = 1`; few dimensions only,
//! because large bases fill slowly.

/// One base for each dimension.
const PRIMES: [u32; 8] = [2, 3, 5, 7, 11, 13, 17, 19];

/// Point `n` of the sequence in `D <= 8` dimensions: every coordinate in the open interval `(0, 1)`.
pub(crate) fn even_point<const D: usize>(n: u32) -> [f64; D] {
    const { assert!(D <= PRIMES.len()) };
    let mut point = [0.0; D];
    for (x, base) in point.iter_mut().zip(PRIMES) {
        *x = mirrored(n + 1, base);
    }
    point
}

/// The digits of `n` in a base, mirrored at the point: the radical inverse.
fn mirrored(mut n: u32, base: u32) -> f64 {
    let (mut value, mut place) = (0.0, 1.0);
    while 0 < n {
        place /= f64::from(base);
        value += f64::from(n % base) * place;
        n /= base;
    }
    value
}

#[cfg(test)]
mod tests {
    use super::*;

    // Van der Corput's sequence in base 2 and Halton's second coordinate in base 3, from any account of them.
    #[test]
    fn the_first_points_are_halton_s() {
        let firsts =
            [[1.0 / 2.0, 1.0 / 3.0], [1.0 / 4.0, 2.0 / 3.0], [3.0 / 4.0, 1.0 / 9.0], [1.0 / 8.0, 4.0 / 9.0]];
        for (n, first) in (0..).zip(firsts) {
            let point = even_point::<2>(n);
            assert!((point[0] - first[0]).abs() < 1e-15 && (point[1] - first[1]).abs() < 1e-15);
        }
    }

    #[test]
    fn the_points_fill_every_tenth_of_every_axis_evenly() {
        let mut counts = [[0_u32; 10]; 8];
        for n in 0..1000 {
            for (axis, x) in even_point::<8>(n).into_iter().enumerate() {
                assert!(0.0 < x && x < 1.0);
                let tenth = (0..9).filter(|&edge| f64::from(edge + 1) / 10.0 <= x).count();
                counts[axis][tenth] += 1;
            }
        }
        // Chance alone would leave 100 ± 9 (a standard deviation); even filling stays well inside.
        assert!(counts.iter().flatten().all(|&count| (90..=110).contains(&count)), "{counts:?}");
    }
}
