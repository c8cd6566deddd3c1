//! How far the rode reaches under a load, and what pulls her at a distance: the catenary's own figures, tabulated.
//!
//! A ride asks for the load at a distance four times a second all night, so the rode is solved beforehand on even
//! steps of the logarithm of the load (a tenth) for a few heights of the roller (half a metre apart over
//! the range of the tide). Between heights the distances are blended in a straight line (they bend by `h²/2L`, so
//! half a metre apart leaves a millimetre); between loads the load is drawn straight over the distance (it bends by
//! at most `step²/8` of itself, one part in eight hundred).
//!
//! Friction along the ground does not enter the shape here: what lies and how it is held is [`super::lying_chain`].

use crate::catenary::{Bed, CatenaryError, Line};
use crate::units::{Angle, Force, Length};

/// Loads tabulated.
const POINTS: usize = 120;
/// Step of the natural logarithm of the load.
const LOG_STEP: f64 = 0.1;
/// Lightest load tabulated over the weight of a metre of the first stretch: below that she lies slack.
const LIGHTEST_M: f64 = 0.05;
/// Heights are solved no further apart than this, m.
const HEIGHT_STEP_M: f64 = 0.5;
/// The blend is renewed when the height has changed by this, m: it moves the reach by a few millimetres.
const RENEWED_M: f64 = 0.02;

/// The rode at one height of the roller.
#[derive(Clone, Debug, PartialEq)]
struct Curve {
    /// Level distance from anchor to roller, m.
    x_m: [f64; POINTS],
    /// Weight in water of what rests, N.
    resting_n: [f64; POINTS],
    /// Angle of the pull at the anchor above the ground, rad.
    uplift_rad: [f64; POINTS],
    /// One over the distance to the next, 1/m.
    over_span_1_m: [f64; POINTS],
}

/// The rode, ready to be asked.
#[derive(Clone, Debug, PartialEq)]
pub struct Reach {
    load_n: [f64; POINTS],
    heights_m: Vec<f64>,
    curves: Vec<Curve>,
    now: Curve,
    now_height_m: f64,
    cell: usize,
}

/// How the rode pulls at a distance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pull {
    /// Horizontal pull at the roller, N; nothing where the rode is slack.
    pub load_n: f64,
    /// How fast it grows, N/m.
    pub stiffness_n_m: f64,
    /// Weight in water of what rests, were it all in line, N.
    pub resting_n: f64,
    /// Angle of the pull at the anchor above the ground, rad.
    pub uplift_rad: f64,
}

impl Reach {
    /// For heights of the roller above the anchor from the lowest to the highest of a night.
    ///
    /// # Errors
    /// [`CatenaryError`] where the rode does not lie so: not longer than the height, above all.
    pub fn new(line: &Line, lowest: Length, highest: Length) -> Result<Self, CatenaryError> {
        let (low_m, high_m) = (lowest.as_metres(), highest.as_metres().max(lowest.as_metres()));
        let heights_m = heights_between(low_m, high_m);
        let first_n_m = line.segments().first().map_or(0.0, |s| s.weight.as_newtons_per_metre().abs());
        let lightest_n = LIGHTEST_M * first_n_m.max(1.0);
        let mut load_n = [0.0; POINTS];
        for (i, load) in load_n.iter_mut().enumerate() {
            *load = lightest_n * (LOG_STEP * i as f64).exp();
        }
        let curves = heights_m.iter().map(|&h_m| Curve::solved(line, h_m, &load_n));
        let curves = curves.collect::<Result<Vec<_>, _>>()?;
        let now = curves[0].clone();
        Ok(Self { load_n, now, now_height_m: low_m, heights_m, curves, cell: POINTS / 2 })
    }

    /// The roller is now at this height, m; nothing happens until it has changed by a few centimetres. Heights beyond
    /// the range are taken at its end.
    pub fn set_height(&mut self, height_m: f64) {
        if (height_m - self.now_height_m).abs() < RENEWED_M {
            return;
        }
        self.now_height_m = height_m;
        let after = self.heights_m.partition_point(|&h| h <= height_m).clamp(1, self.heights_m.len());
        let below = after - 1;
        let Some(above_m) = self.heights_m.get(after) else {
            self.now.clone_from(&self.curves[below]);
            return;
        };
        let share = ((height_m - self.heights_m[below]) / (above_m - self.heights_m[below])).max(0.0);
        self.now.blend(&self.curves[below], &self.curves[after], share);
    }

    /// The pull at a distance, m.
    pub fn pull_at(&mut self, x_m: f64) -> Pull {
        let x = &self.now.x_m;
        let mut i = self.cell;
        while 0 < i && x_m < x[i] {
            i -= 1;
        }
        while i + 2 < POINTS && x[i + 1] <= x_m {
            i += 1;
        }
        self.cell = i;
        let share = (x_m - x[i]) * self.now.over_span_1_m[i];
        if share < 0.0 {
            let (resting_n, uplift_rad) = (self.now.resting_n[0], self.now.uplift_rad[0]);
            return Pull { load_n: 0.0, stiffness_n_m: 0.0, resting_n, uplift_rad };
        }
        let stiffness_n_m = (self.load_n[i + 1] - self.load_n[i]) * self.now.over_span_1_m[i];
        let between = |of: &[f64; POINTS]| of[i] + share.min(1.0) * (of[i + 1] - of[i]);
        Pull {
            load_n: self.load_n[i] + stiffness_n_m * (x_m - x[i]),
            stiffness_n_m,
            resting_n: between(&self.now.resting_n),
            uplift_rad: between(&self.now.uplift_rad),
        }
    }

    /// The distance that a load draws the rode out to, m; the ends of the table beyond it.
    pub fn distance_at_m(&self, load_n: f64) -> f64 {
        let after = self.load_n.partition_point(|&h| h <= load_n);
        let Some(below) = after.checked_sub(1) else { return self.now.x_m[0] };
        if POINTS <= after {
            return self.now.x_m[POINTS - 1];
        }
        let share = (load_n - self.load_n[below]) / (self.load_n[after] - self.load_n[below]);
        self.now.x_m[below] + share * (self.now.x_m[after] - self.now.x_m[below])
    }

    /// How fast the pull grows with distance at a load, N/m.
    pub fn stiffness_at_n_m(&self, load_n: f64) -> f64 {
        let after = self.load_n.partition_point(|&h| h <= load_n).clamp(1, POINTS - 1);
        (self.load_n[after] - self.load_n[after - 1]) / (self.now.x_m[after] - self.now.x_m[after - 1])
    }
}

/// Heights no more than a step apart, both ends included.
fn heights_between(low_m: f64, high_m: f64) -> Vec<f64> {
    let mut heights_m = vec![low_m];
    let mut next_m = low_m + HEIGHT_STEP_M;
    while next_m < high_m {
        heights_m.push(next_m);
        next_m += HEIGHT_STEP_M;
    }
    if low_m < high_m {
        heights_m.push(high_m);
    }
    heights_m
}

impl Curve {
    fn solved(line: &Line, height_m: f64, load_n: &[f64; POINTS]) -> Result<Self, CatenaryError> {
        let mut curve = Self {
            x_m: [0.0; POINTS],
            resting_n: [0.0; POINTS],
            uplift_rad: [0.0; POINTS],
            over_span_1_m: [0.0; POINTS],
        };
        let height = Length::metres(height_m);
        for (i, &load) in load_n.iter().enumerate() {
            let lie = line.under_load(height, Force::newtons(load), &Bed::LEVEL)?;
            curve.x_m[i] = lie.distance().as_metres();
            curve.resting_n[i] = line.weight_of_first(lie.grounded()).as_newtons();
            curve.uplift_rad[i] = lie.uplift().max(Angle::ZERO).as_radians();
        }
        curve.span();
        Ok(curve)
    }
    /// How far apart the points are.
    fn span(&mut self) {
        for (over, x) in self.over_span_1_m.iter_mut().zip(self.x_m.windows(2)) {
            *over = 1.0 / (x[1] - x[0]);
        }
    }
    fn blend(&mut self, below: &Self, above: &Self, share: f64) {
        let mix = |of: &mut [f64; POINTS], a: &[f64; POINTS], b: &[f64; POINTS]| {
            for ((to, &a), &b) in of.iter_mut().zip(a).zip(b) {
                *to = a + share * (b - a);
            }
        };
        mix(&mut self.x_m, &below.x_m, &above.x_m);
        mix(&mut self.resting_n, &below.resting_n, &above.resting_n);
        mix(&mut self.uplift_rad, &below.uplift_rad, &above.uplift_rad);
        self.span();
    }
}
