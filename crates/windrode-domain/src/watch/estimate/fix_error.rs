//! What the error of the fix does, as Doppler shows it.
//!
//! A receiver's way over the ground comes from the carrier's Doppler and hardly knows of reflections; its position
//! does. So `d = Δposition − ∫ Doppler dt` is what the *error* of the position did, plus noise. In a quiet sky it is
//! noise and little of it is believed; in a burst it is all burst, and the error is followed in and out, so that a
//! burst is no evidence of anything.
//!
//! ```text
//! R ← mean of |d|²/2 over 30 min (held down: no d counts for more than 4 R)
//! q = q_b + max(0, (|d|² − 12 R)/2)      q_b = σ_b² (1 − φ²), a draw beyond 12 R comes once in 400
//! r = max(R − q_b, 0.3 R),  w = q/(q + r)
//! b ← φ b + w d,   P_b ← φ² P_b + q r/(q + r)
//! ```
//!
//! All of it turns with the compass: nothing is done axis by axis. Slow onsets gather in a leaky sum and are taken
//! over at once.

use super::Noise;

/// What the error of the fix did in one sample.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Step {
    /// Share of the error before that stays.
    pub keep: f64,
    /// What it moved, east and north, m.
    pub taken_m: [f64; 2],
    /// Variance that comes to it along either axis, m².
    pub variance_m2: f64,
}

/// The follower of the error.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FixError {
    /// Quiet variance of `d` along one axis for a sample of 5 s, m².
    pub quiet_m2: f64,
    /// Leaky sum of what was not taken, east and north, m.
    pub left_m: [f64; 2],
    /// Quiet mean square of that along one axis, m².
    pub left_quiet_m2: f64,
    /// Seconds since the last burst.
    pub since_burst_s: f64,
    /// Seconds of samples in which Doppler said exactly nothing.
    pub nothing_s: f64,
    /// Place of the antenna or bow when that began.
    pub nothing_at: [f64; 2],
    /// Samples left out one after the other.
    pub left_out: f64,
}

/// Over how long the quiet variance is taken, s: long against a burst, short against a night.
const QUIET_S: f64 = 1800.0;
/// Sum of what was not taken is forgotten in, s: a burst's onset is smoothed over some 10 s by the receiver.
const LEFT_S: f64 = 25.0;
/// A burst is in and out within, s: 20 to 200 s from memory, with a margin.
const BURST_S: f64 = 300.0;
/// Samples further apart than this leave a gap in which a burst goes out unseen, s: its onset takes some 10 s.
const GAP_S: f64 = 8.0;
/// Faster than this no boat sheers or swings at anchor, m/s: sheering makes 0.3 to 0.4, a squall's drag may make more
/// and is then left to the circle.
const MOST_AT_ANCHOR_MS: f64 = 0.6;
/// No burst carries a fix further than this, m: beyond it she goes herself.
const BURST_MOST_M: f64 = 15.0;
/// Fixes nearer in time than this scatter too much to tell a speed from, s.
const LEAST_SPAN_S: f64 = 4.0;
/// Beyond this squared deviation over the mean along one axis a step is no quiet noise: exp(−12/2) is once in 400.
const GATE: f64 = 12.0;

impl Default for FixError {
    fn default() -> Self {
        Self {
            // 0.25 m white averaged over five fixes, 0.3 m over 30 s, and Doppler of 0.05 m/s for 5 s.
            quiet_m2: 0.12,
            left_m: [0.0; 2],
            left_quiet_m2: 0.5,
            since_burst_s: 1e9,
            nothing_s: 0.0,
            nothing_at: [0.0; 2],
            left_out: 0.0,
        }
    }
}

impl FixError {
    /// Every number that it carries, for the memory.
    pub(in crate::watch) fn each(&mut self, visit: &mut dyn FnMut(&mut f64)) {
        visit(&mut self.quiet_m2);
        self.left_m.iter_mut().for_each(&mut *visit);
        visit(&mut self.left_quiet_m2);
        visit(&mut self.since_burst_s);
        visit(&mut self.nothing_s);
        self.nothing_at.iter_mut().for_each(&mut *visit);
        visit(&mut self.left_out);
    }

    /// Without Doppler: it fades and comes anew; but a place that goes faster than any boat at anchor is a burst, and
    /// what it does until the burst has set in is the error's.
    pub fn unseen(&mut self, seconds: f64, moved_m: [f64; 2], bias_m: f64, noise: &Noise) -> Step {
        let leapt = MOST_AT_ANCHOR_MS * seconds.max(LEAST_SPAN_S) < moved_m[0].hypot(moved_m[1]);
        self.since_burst_s = if leapt { 0.0 } else { self.since_burst_s + seconds };
        let faded = (-seconds / noise.bias_s).exp();
        let burst = self.since_burst_s < LEFT_S && seconds < LEFT_S && bias_m < BURST_MOST_M;
        let keep = if 3.0 < bias_m && self.since_burst_s < BURST_S { 1.0 } else { faded };
        let taken_m = if burst { moved_m } else { [0.0; 2] };
        let usual_m2 = noise.bias_m.powi(2) * (1.0 - faded * faded);
        // A boat goes on at some decimetres a second meanwhile: that much of what was taken may be hers.
        let hers_m2 = if burst { (0.2 * seconds).powi(2) } else { 0.0 };
        // A burst may have gone out in a gap that nobody saw: then all of it is in doubt.
        let hidden = 3.0 < bias_m && self.since_burst_s < BURST_S && GAP_S < seconds;
        let gone_m2 = if hidden { 0.5 * bias_m * bias_m } else { 0.0 };
        Step { keep, taken_m, variance_m2: usual_m2 + hers_m2 + gone_m2 }
    }

    /// From the part of a step that the boat did not make.
    pub fn seen(&mut self, seconds: f64, not_gone_m: [f64; 2], bias_m: f64, noise: &Noise) -> Step {
        let d2 = not_gone_m[0].powi(2) + not_gone_m[1].powi(2);
        self.quiet_m2 = towards(self.quiet_m2, (0.5 * d2).min(4.0 * self.quiet_m2), seconds / QUIET_S);
        let faded = (-seconds / noise.bias_s).exp();
        let usual_m2 = noise.bias_m.powi(2) * (1.0 - faded * faded);
        let burst = GATE * self.quiet_m2 < d2;
        if burst {
            self.since_burst_s = 0.0;
        } else {
            self.since_burst_s += seconds;
        }
        let moved_m2 = if self.since_burst_s < LEFT_S {
            usual_m2 + 0.5 * d2
        } else {
            usual_m2 + (0.5 * (d2 - GATE * self.quiet_m2)).max(0.0)
        };
        let rest_m2 = (self.quiet_m2 - usual_m2).max(0.3 * self.quiet_m2);
        let taken = moved_m2 / (moved_m2 + rest_m2);
        // What a burst has brought goes out with it, not by fading.
        let keep = if 3.0 < bias_m && self.since_burst_s < BURST_S { 1.0 } else { faded };
        let mut step = Step {
            keep,
            taken_m: not_gone_m.map(|d| taken * d),
            variance_m2: moved_m2 * rest_m2 / (moved_m2 + rest_m2),
        };
        self.gather(seconds, not_gone_m, taken, &mut step);
        step
    }

    fn gather(&mut self, seconds: f64, not_gone_m: [f64; 2], taken: f64, step: &mut Step) {
        let fade = (-seconds / LEFT_S).exp();
        for (left, d) in self.left_m.iter_mut().zip(not_gone_m) {
            *left = *left * fade + (1.0 - taken) * d;
        }
        let left2 = 0.5 * (self.left_m[0].powi(2) + self.left_m[1].powi(2));
        let quiet_m2 = self.left_quiet_m2;
        self.left_quiet_m2 = towards(quiet_m2, left2.min(4.0 * quiet_m2), seconds / QUIET_S);
        if 0.5 * GATE * self.left_quiet_m2.max(0.02) < left2 {
            for (taken, left) in step.taken_m.iter_mut().zip(self.left_m) {
                *taken += left;
            }
            step.variance_m2 += 0.3;
            self.left_m = [0.0; 2];
        }
    }
}

/// A share of the way from one value to another, never past it.
fn towards(from: f64, to: f64, share: f64) -> f64 {
    from + (to - from) * share.min(1.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_burst_that_may_have_gone_out_in_a_gap_is_doubted_as_a_whole() {
        let noise = Noise::by(true, true, true);
        let after = |since_burst_s: f64, bias_m: f64, seconds: f64| {
            let mut error = FixError { since_burst_s, ..FixError::default() };
            error.unseen(seconds, [0.1, 0.0], bias_m, &noise).variance_m2
        };
        // 14 m of burst, 30 s without fixes: along either axis half of its square.
        let doubted_m2 = after(60.0, 14.0, 30.0);
        assert!((doubted_m2 - 98.0).abs() < 1.0, "{doubted_m2}");
        assert!(after(60.0, 14.0, 5.0) < 1.0, "no gap");
        assert!(after(60.0, 1.0, 30.0) < 1.0, "no burst stood");
        assert!(after(600.0, 14.0, 30.0) < 1.0, "what stands for so long is no burst");
    }
}
