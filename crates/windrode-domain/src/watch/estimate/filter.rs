//! The Kalman filter of one way of lying: anchor still, or anchor dragging at a speed not quite known.

use super::Noise;

/// How many numbers are carried: anchor east and north, radius error, fix error east and north, swing, drag speed.
pub(super) const STATES: usize = 7;
const C: usize = 2;
const S: usize = 5;
const V: usize = 6;

/// Mean and covariance of `[A_E, A_N, c, b_E, b_N, s, v]`, metres and metres a second.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Filter {
    /// Mean.
    pub mean: [f64; STATES],
    /// Covariance.
    pub covariance: [[f64; STATES]; STATES],
}

/// What the bow's distance says, before anything is learnt from it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Radial {
    /// From the anchor to the bow, a unit vector.
    pub along: [f64; 2],
    /// Distance from anchor to bow, m.
    pub distance_m: f64,
    /// Distance less reach, radius error and swing, m.
    pub residual_m: f64,
    /// Its variance, m².
    pub variance_m2: f64,
    /// The same without what the circle's bend adds, m².
    pub straight_m2: f64,
    /// Covariance of each state with it.
    gain_m2: [f64; STATES],
}

impl Radial {
    /// Residual in standard deviations.
    pub fn score(&self) -> f64 {
        self.residual_m / self.variance_m2.sqrt()
    }
}

impl Filter {
    /// With an anchor at a place, its covariance [E, EN, N] m², a radius error's deviation and its covariance with
    /// the anchor along a unit vector.
    pub fn begun(
        anchor: [f64; 2],
        covariance_m2: [f64; 3],
        radius_m: f64,
        shared: [f64; 2],
        noise: &Noise,
    ) -> Self {
        let mut p = [[0.0; STATES]; STATES];
        p[0][0] = covariance_m2[0];
        p[0][1] = covariance_m2[1];
        p[1][0] = covariance_m2[1];
        p[1][1] = covariance_m2[2];
        p[C][C] = radius_m * radius_m;
        for axis in 0..2 {
            p[axis][C] = shared[axis];
            p[C][axis] = shared[axis];
            p[3 + axis][3 + axis] = noise.bias_m.powi(2);
        }
        p[S][S] = noise.swing_m.powi(2);
        let mut mean = [0.0; STATES];
        mean[0] = anchor[0];
        mean[1] = anchor[1];
        Self { mean, covariance: p }
    }

    /// The same, taken to drag from now on at a speed and its deviation, m/s.
    #[must_use]
    pub fn dragging(&self, speed_ms: f64, spread_ms: f64) -> Self {
        let mut filter = *self;
        filter.mean[V] = speed_ms;
        for i in 0..STATES {
            filter.covariance[i][V] = 0.0;
            filter.covariance[V][i] = 0.0;
        }
        filter.covariance[V][V] = spread_ms * spread_ms;
        filter
    }

    /// Speed of the drag, m/s.
    pub const fn speed_ms(&self) -> f64 {
        self.mean[V]
    }

    /// Where the anchor is.
    pub const fn anchor(&self) -> [f64; 2] {
        [self.mean[0], self.mean[1]]
    }

    /// Lets time pass. `along` is the way a dragging anchor goes; `keep_bias` is the share of the fix error that
    /// stays; `bias_step` what Doppler says that it moved, with what share of that is taken and the variance left.
    pub fn wait(&mut self, seconds: f64, along: [f64; 2], noise: &Noise, step: &super::fix_error::Step) {
        let p = &mut self.covariance;
        let reach = [along[0] * seconds, along[1] * seconds];
        let speed = self.mean[V].max(0.0);
        if 0.0 < p[V][V] {
            for axis in 0..2 {
                self.mean[axis] += reach[axis] * speed;
                let row = p[V];
                for (cell, from) in p[axis].iter_mut().zip(row) {
                    *cell += reach[axis] * from;
                }
            }
            for axis in 0..2 {
                for row in p.iter_mut() {
                    row[axis] += reach[axis] * row[V];
                }
            }
            p[V][V] += noise.speed_walk_m2_s3 * seconds;
        }
        let keep_swing = (-seconds / noise.swing_s).exp();
        for (state, keep) in [(3, step.keep), (4, step.keep), (S, keep_swing)] {
            self.mean[state] *= keep;
            p[state].iter_mut().for_each(|cell| *cell *= keep);
            for row in p.iter_mut() {
                row[state] *= keep;
            }
        }
        for axis in 0..2 {
            p[axis][axis] += noise.anchor_walk_m2_s * seconds;
            self.mean[3 + axis] += step.taken_m[axis];
            p[3 + axis][3 + axis] += step.variance_m2;
        }
        p[C][C] += noise.radius_walk_m2_s * seconds;
        p[S][S] += noise.swing_m.powi(2) * (1.0 - keep_swing * keep_swing);
    }

    /// What a bow at a place says, the rode reaching so far, the place itself good to a variance.
    pub fn look(&self, bow: [f64; 2], reach_m: f64, place_m2: f64) -> Radial {
        let m = &self.mean;
        let apart = [bow[0] - m[0] - m[3], bow[1] - m[1] - m[4]];
        // On top of the anchor no direction is along the rode: any will do, nothing is learnt there.
        let distance_m = apart[0].hypot(apart[1]).max(0.1);
        let e = [apart[0] / distance_m, apart[1] / distance_m];
        let p = &self.covariance;
        let mut gain_m2 = [0.0; STATES];
        for (gain, row) in gain_m2.iter_mut().zip(p) {
            *gain = e[0] * (row[0] + row[3]) + e[1] * (row[1] + row[4]) + row[C] + row[S];
        }
        let along_m2 =
            e[0] * (gain_m2[0] + gain_m2[3]) + e[1] * (gain_m2[1] + gain_m2[4]) + gain_m2[C] + gain_m2[S];
        // The circle bends away from its tangent by y²/2d where the anchor's bearing is uncertain.
        let bent_m = (self.across_m2(e) / (2.0 * distance_m)).min(10.0);
        Radial {
            along: e,
            distance_m,
            residual_m: distance_m - reach_m - m[C] - m[S],
            straight_m2: along_m2 + place_m2,
            variance_m2: along_m2 + place_m2 + 2.0 * bent_m * bent_m,
            gain_m2,
        }
    }

    /// Variance of the anchor across a direction, m².
    pub fn across_m2(&self, e: [f64; 2]) -> f64 {
        let p = &self.covariance;
        e[1] * e[1] * p[0][0] - 2.0 * e[0] * e[1] * p[0][1] + e[0] * e[0] * p[1][1]
    }

    /// Learns from a residual, trusted `trust` times its variance (1 as it stands, more is softer), with the radius
    /// error kept within `radius_most_m`. Of its uncertainty it loses only one part in `keeps` of what a measurement
    /// would take: a bow at the edge of a rode that may lie in a bend says that the edge is not nearer, no more.
    pub fn learn(&mut self, radial: &Radial, residual_m: f64, trust: f64, keeps: f64, radius_most_m: f64) {
        let variance_m2 = radial.variance_m2 * trust;
        self.take(&radial.gain_m2, residual_m, variance_m2, keeps);
        self.mean[C] = self.mean[C].clamp(-radius_most_m, radius_most_m);
        self.mean[V] = self.mean[V].max(0.0);
    }

    /// Learns of the anchor alone, and of nothing else.
    pub fn learn_anchor(&mut self, radial: &Radial, residual_m: f64, trust: f64) {
        let mut gain_m2 = [0.0; STATES];
        gain_m2[0] = radial.gain_m2[0];
        gain_m2[1] = radial.gain_m2[1];
        for (state, gain) in gain_m2.iter().enumerate().take(2) {
            self.mean[state] += gain * residual_m / (radial.variance_m2 * trust);
        }
    }

    /// Learns that the anchor lies straight up the rode from the bow, across `e` good to a variance.
    pub fn learn_across(&mut self, bow: [f64; 2], e: [f64; 2], spread_m2: f64) {
        let t = [e[1], -e[0]];
        let m = &self.mean;
        let aside_m = t[0] * (bow[0] - m[0] - m[3]) + t[1] * (bow[1] - m[1] - m[4]);
        let mut gain_m2 = [0.0; STATES];
        for (gain, row) in gain_m2.iter_mut().zip(&self.covariance) {
            *gain = t[0] * (row[0] + row[3]) + t[1] * (row[1] + row[4]);
        }
        let variance_m2 = t[0] * (gain_m2[0] + gain_m2[3]) + t[1] * (gain_m2[1] + gain_m2[4]) + spread_m2;
        self.take(&gain_m2, aside_m, variance_m2, 1.0);
    }

    /// `x += k ν`, `P −= k k′ S / keeps`.
    fn take(&mut self, gain_m2: &[f64; STATES], residual_m: f64, variance_m2: f64, keeps: f64) {
        for i in 0..STATES {
            let share = gain_m2[i] / variance_m2;
            self.mean[i] += share * residual_m;
            for (cell, gain) in self.covariance[i].iter_mut().zip(gain_m2) {
                *cell -= share * gain / keeps;
            }
        }
    }

    /// Widens the radius error: the rode was veered or hauled, or is not what it was.
    pub fn doubt_radius(&mut self, spread_m: f64) {
        self.covariance[C][C] += spread_m * spread_m;
    }

    /// Widens the radius error by a spread, but not beyond a most; what is wider already stays.
    pub fn doubt_radius_within(&mut self, spread_m: f64, most_m: f64) {
        let room_m2 = (most_m * most_m - self.covariance[C][C]).max(0.0);
        self.covariance[C][C] += (spread_m * spread_m).min(room_m2);
    }

    /// Keeps the anchor uncertain across a direction: of what is known better than to `least_m`, a share is forgotten.
    pub fn doubt_across(&mut self, e: [f64; 2], least_m: f64, share: f64) {
        let lacks_m2 = (least_m * least_m - self.across_m2(e)).max(0.0) * share;
        let t = [e[1], -e[0]];
        for (row, along_row) in self.covariance.iter_mut().zip(t) {
            for (cell, along_cell) in row.iter_mut().zip(t) {
                *cell += lacks_m2 * along_row * along_cell;
            }
        }
    }

    /// Forgets what it thinks of a drag, and allows the anchor so much more to have gone.
    pub fn settle(&mut self, spread_m: f64) {
        *self = self.dragging(0.0, 0.0);
        for axis in 0..2 {
            self.covariance[axis][axis] += spread_m * spread_m;
        }
    }

    /// Every number that it carries, for the memory.
    pub(in crate::watch) fn each(&mut self, visit: &mut dyn FnMut(&mut f64)) {
        self.mean.iter_mut().for_each(&mut *visit);
        self.covariance.iter_mut().flatten().for_each(&mut *visit);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn doubt_across_is_across_alone_and_never_less_than_before() {
        let noise = Noise::by(true, true, true);
        for (sin, cos) in [0.0, 0.7, 2.0_f64].map(f64::sin_cos) {
            let mut filter = Filter::begun([0.0; 2], [1.0, 0.0, 1.0], 1.0, [0.0; 2], &noise);
            let (along, across) = ([sin, cos], [cos, -sin]);
            filter.doubt_across(along, 2.0, 1.0);
            assert!((filter.across_m2(along) - 4.0).abs() < 1e-12);
            assert!((filter.across_m2(across) - 1.0).abs() < 1e-12, "along the rode it is known as before");
            filter.doubt_across(along, 0.5, 1.0);
            assert!((filter.across_m2(along) - 4.0).abs() < 1e-12);
        }
    }
}
