//! One walk down the rode, from the pull at the roller to the anchor, serves every question.
//!
//! Given both components of the pull at the roller, the state below follows without solving anything: the vertical
//! pull falls by what hangs, until it meets the pull that lies along the ground. What is wanted (height, distance,
//! tensions, shape) is summed by the visitor over the uniform pieces met.

use super::{Bed, Line, line::Part};

/// The ground, its sines worked out once.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Ground {
    pub(super) slope_rad: f64,
    pub(super) sin: f64,
    pub(super) cos: f64,
    pub(super) tan: f64,
    /// Tension lost towards the anchor per newton of weight that rests: the slope's share and friction.
    pub(super) drag: f64,
}

impl Ground {
    pub(super) fn of(bed: &Bed) -> Self {
        let slope_rad = bed.slope.as_radians();
        let (sin, cos) = slope_rad.sin_cos();
        Self { slope_rad, sin, cos, tan: sin / cos, drag: sin + bed.friction }
    }
}

/// The pull at the roller, N.
#[derive(Clone, Copy, Debug)]
pub(super) struct Pull {
    pub(super) horizontal: f64,
    pub(super) vertical: f64,
}

/// A uniform stretch of rode in one state.
#[derive(Clone, Copy, Debug)]
pub(super) enum Piece {
    Hanging(Hanging),
    Lying(Lying),
}

/// A stretch that hangs free.
#[derive(Clone, Copy, Debug)]
pub(super) struct Hanging {
    pub(super) from_m: f64,
    pub(super) length_m: f64,
    pub(super) weight_n_m: f64,
    pub(super) give_1_n: f64,
    /// Vertical pull at the lower end, N.
    pub(super) lower: f64,
    /// Vertical pull at the upper end, N.
    pub(super) upper: f64,
}

/// A stretch that rests on the ground.
#[derive(Clone, Copy, Debug)]
pub(super) struct Lying {
    pub(super) from_m: f64,
    pub(super) length_m: f64,
    pub(super) give_1_n: f64,
    /// Tension at the lower end, N.
    pub(super) lower_t: f64,
    /// Tension at the upper end, N.
    pub(super) upper_t: f64,
    /// How much of it, from its upper end, feels any tension, m.
    pub(super) taut_m: f64,
}

impl Lying {
    /// Its stretched length, m.
    pub(super) fn stretched_m(&self) -> f64 {
        self.length_m + 0.5 * (self.lower_t + self.upper_t) * self.taut_m * self.give_1_n
    }
}

/// How the walk ended at the anchor.
#[derive(Clone, Copy, Debug)]
pub(super) enum End {
    /// Nothing rests: the vertical pull at the anchor, N.
    Lifted { vertical: f64 },
    /// Touchdown within a segment.
    Grounded { resting_m: f64, anchor_t: f64 },
    /// Touchdown at a kellet, of which the ground bears so much.
    OnKellet { resting_m: f64, anchor_t: f64, borne_n: f64 },
}

/// Walks from the roller down to the anchor.
#[inline]
pub(super) fn walk(line: &Line, ground: &Ground, pull: Pull, mut visit: impl FnMut(Piece)) -> End {
    let along_ground = pull.horizontal * ground.tan;
    let touchdown_t = pull.horizontal / ground.cos;
    let mut vertical = pull.vertical;
    for (index, part) in line.parts.iter().enumerate().rev() {
        let can_rest = index < line.foot;
        let below_kellet = vertical - part.kellet_n;
        if can_rest && below_kellet < along_ground && 0.0 < part.kellet_n {
            let borne_n = (along_ground - below_kellet).min(part.kellet_n);
            let kept_t = (touchdown_t - ground.drag * borne_n).max(0.0);
            let resting_m = part.from_m + part.length_m;
            let anchor_t = lie_down(line, ground, index, part.length_m, kept_t, &mut visit);
            return End::OnKellet { resting_m, anchor_t, borne_n };
        }
        let lower = below_kellet - part.weight_n_m * part.length_m;
        if can_rest && lower < along_ground {
            let hanging_m = ((below_kellet - along_ground) / part.weight_n_m).clamp(0.0, part.length_m);
            let resting_m = part.length_m - hanging_m;
            visit(hang(part, resting_m, along_ground, below_kellet));
            let anchor_t = lie_down(line, ground, index, resting_m, touchdown_t, &mut visit);
            return End::Grounded { resting_m: part.from_m + resting_m, anchor_t };
        }
        visit(hang(part, 0.0, lower, below_kellet));
        vertical = lower;
    }
    at_the_anchor(line, ground, pull.horizontal, vertical)
}

#[inline]
fn hang(part: &Part, above_m: f64, lower: f64, upper: f64) -> Piece {
    Piece::Hanging(Hanging {
        from_m: part.from_m + above_m,
        length_m: part.length_m - above_m,
        weight_n_m: part.weight_n_m,
        give_1_n: part.give_1_n,
        lower,
        upper,
    })
}

/// Nothing rests but perhaps a kellet shackled on at the anchor itself.
fn at_the_anchor(line: &Line, ground: &Ground, horizontal: f64, above_kellet: f64) -> End {
    let vertical = above_kellet - line.at_anchor_n;
    let along_ground = horizontal * ground.tan;
    if 0.0 < line.at_anchor_n && 0 < line.foot && vertical < along_ground {
        let borne_n = (along_ground - vertical).min(line.at_anchor_n);
        let anchor_t = (horizontal / ground.cos - ground.drag * borne_n).max(0.0);
        return End::OnKellet { resting_m: 0.0, anchor_t, borne_n };
    }
    End::Lifted { vertical }
}

/// Follows what rests, from the touchdown `length_m` up part `top` down to the anchor; the tension there.
fn lie_down(
    line: &Line,
    ground: &Ground,
    top: usize,
    length_m: f64,
    touchdown_t: f64,
    visit: &mut impl FnMut(Piece),
) -> f64 {
    let mut tension = touchdown_t;
    for (index, part) in line.parts.iter().enumerate().take(top + 1).rev() {
        let mut resting_m = length_m;
        if index != top {
            tension = (tension - ground.drag * part.kellet_n).max(0.0);
            resting_m = part.length_m;
        }
        let loss_n_m = ground.drag * part.weight_n_m;
        let unclamped = tension - loss_n_m * resting_m;
        let taut_m = if tension <= 0.0 {
            0.0
        } else if unclamped < 0.0 {
            tension / loss_n_m
        } else {
            resting_m
        };
        let lower_t = unclamped.max(0.0);
        visit(Piece::Lying(Lying {
            from_m: part.from_m,
            length_m: resting_m,
            give_1_n: part.give_1_n,
            lower_t,
            upper_t: tension,
            taut_m,
        }));
        tension = lower_t;
    }
    (tension - ground.drag * line.at_anchor_n).max(0.0)
}

/// Height gained from the anchor to the roller, and how it grows with the vertical pull.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Rise {
    pub(super) z: f64,
    pub(super) z_v: f64,
}

/// The height that a pull at the roller makes.
#[inline]
pub(super) fn rise(line: &Line, ground: &Ground, pull: Pull) -> Rise {
    let h2 = pull.horizontal * pull.horizontal;
    let mut sum = Rise::default();
    walk(line, ground, pull, |piece| match piece {
        Piece::Hanging(p) => {
            let (a, b, l) = (p.lower, p.upper, p.length_m);
            let (ta, tb) = ((h2 + a * a).sqrt(), (h2 + b * b).sqrt());
            let per_s = (ta + tb).recip();
            let sine = (a + b) * per_s;
            sum.z += l * (sine + 0.5 * (a + b) * p.give_1_n);
            sum.z_v += l * (per_s * (2.0 - sine * (a / ta + b / tb)) + p.give_1_n);
        }
        Piece::Lying(p) => {
            sum.z += p.stretched_m() * ground.sin;
            sum.z_v += ground.sin * ground.drag * p.taut_m * p.give_1_n;
        }
    });
    sum
}

/// Distance and height made by a pull, with their slopes by the pull's two components.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Spread {
    pub(super) x: f64,
    pub(super) z: f64,
    pub(super) x_h: f64,
    pub(super) x_v: f64,
    pub(super) z_h: f64,
    pub(super) z_v: f64,
}

impl Spread {
    /// How the distance grows with the load while the height is kept, m/N.
    pub(super) fn give_m_n(&self) -> f64 {
        self.x_h - self.x_v * self.z_h / self.z_v
    }
}

/// The distance and height that a pull at the roller makes.
#[inline]
pub(super) fn spread(line: &Line, ground: &Ground, pull: Pull) -> (Spread, End) {
    let h = pull.horizontal;
    let mut sum = Spread::default();
    // Along what rests, per newton at the roller: its own pull, less the ground's share of the weight it lets down.
    let lying_by_h = ground.cos.recip() - ground.drag * ground.tan;
    let end = walk(line, ground, pull, |piece| match piece {
        Piece::Hanging(p) => {
            let (a, b, l) = (p.lower, p.upper, p.length_m);
            let (ta, tb) = ((h * h + a * a).sqrt(), (h * h + b * b).sqrt());
            let per_s = (ta + tb).recip();
            let sine = (a + b) * per_s;
            let level = 2.0 * l * h * per_s * atanh_over(p.weight_n_m * l * per_s);
            let by_v = l * per_s * (2.0 - sine * (a / ta + b / tb));
            let across = -l * sine * per_s * h * (ta.recip() + tb.recip());
            sum.x += level + h * l * p.give_1_n;
            sum.z += l * (sine + 0.5 * (a + b) * p.give_1_n);
            sum.x_h += level / h - by_v + l * p.give_1_n;
            sum.x_v += across;
            sum.z_h += across;
            sum.z_v += by_v + l * p.give_1_n;
        }
        Piece::Lying(p) => {
            let stretched_m = p.stretched_m();
            let give = p.taut_m * p.give_1_n;
            sum.x += stretched_m * ground.cos;
            sum.z += stretched_m * ground.sin;
            sum.x_h += ground.cos * lying_by_h * give;
            sum.z_h += ground.sin * lying_by_h * give;
            sum.x_v += ground.cos * ground.drag * give;
            sum.z_v += ground.sin * ground.drag * give;
        }
    });
    (sum, end)
}

/// Level distance of a hanging piece whose lower `length_m` is taken, and its rise, m.
pub(super) fn piece_spread(piece: &Hanging, horizontal: f64, length_m: f64) -> (f64, f64) {
    let (h, l) = (horizontal, length_m);
    let (a, b) = (piece.lower, piece.lower + piece.weight_n_m * l);
    let per_s = (h.hypot(a) + h.hypot(b)).recip();
    let x = 2.0 * l * h * per_s * atanh_over(piece.weight_n_m * l * per_s) + h * l * piece.give_1_n;
    let z = l * ((a + b) * per_s + 0.5 * (a + b) * piece.give_1_n);
    (x, z)
}

/// `atanh(q) / q`, which is 1 at nothing.
#[inline]
fn atanh_over(q: f64) -> f64 {
    // Below a hundredth the seventh power of the series is under 1e-16 and is left out.
    if q.abs() < 1e-2 {
        let q2 = q * q;
        1.0 + q2 * (1.0 / 3.0 + q2 * (1.0 / 5.0 + q2 * (1.0 / 7.0 + q2 / 9.0)))
    } else {
        0.5 * ((1.0 + q) / (1.0 - q)).ln() / q
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_series_and_the_logarithm_meet() {
        for q in [0.009_999_999, -0.009_999_999, 0.010_000_001, -0.010_000_001] {
            // Both are within a few roundings of the library's own; the logarithm loses 1/q of them.
            assert!((atanh_over(q) - q.atanh() / q).abs() < 5e-14, "{q}");
        }
        assert!((atanh_over(0.0) - 1.0).abs() < f64::EPSILON);
    }
}
