//! The least that any detector needs: how far an anchor must go before it can be called.
//!
//! A drag at a steady speed adds a ramp `v t` to a residual whose noise is Gaussian and stationary. With the noise's
//! covariance `Σ` over the samples, the information that `T` seconds of the ramp carry against none is
//!
//! ```text
//! KL(T) = ½ s′ Σ⁻¹ s            s = 0 before it begins, v t after
//! ```
//!
//! and no test with a mean time `γ` between false alarms has a mean delay less than the `T` for which `KL(T) = ln γ`,
//! to first order (Lorden, Ann. Math. Statist. 42, 1971; for changes that grow, Liang, Tartakovsky and Veeravalli,
//! IEEE Trans. Inf. Theory 69, 2023). Taking the mean as unknown costs `½ (s′ Σ⁻¹ 1)² / (1′ Σ⁻¹ 1)`.
//!
//! The noise is a sum of Ornstein-Uhlenbeck errors and a white one. Innovations come from the Cholesky factor, row by
//! row, so that `KL` grows sample by sample and the search stops where it reaches `ln γ`.

/// A noise of the residual, along the rode.
#[derive(Clone, Debug, PartialEq)]
pub struct ResidualNoise {
    /// Deviation (m) and memory (s) of each part that has one.
    pub remembered: Vec<(f64, f64)>,
    /// Deviation of the part that has none, per sample, m.
    pub white_m: f64,
}

/// Most samples of history and ramp that are reckoned with.
const SAMPLES_MOST: usize = 1600;

impl ResidualNoise {
    fn covariance_m2(&self, lag_s: f64) -> f64 {
        let white_m2 = if 0.0 < lag_s { 0.0 } else { self.white_m * self.white_m };
        self.remembered.iter().map(|&(m, s)| m * m * (-lag_s / s).exp()).sum::<f64>() + white_m2
    }

    /// Seconds of a drag at a speed before it can be called at `ln γ`, samples so far apart and so many of them before
    /// it; `None` where even the most samples do not suffice, or a number is not positive.
    pub fn least_s(&self, speed_ms: f64, every_s: f64, before: usize, ln_gamma: f64) -> Option<f64> {
        if !(0.0 < speed_ms && 0.0 < every_s && 0.0 < ln_gamma && before < SAMPLES_MOST) {
            return None;
        }
        let mut rows: Vec<Vec<f64>> = Vec::new();
        let (mut whitened, mut ones): (Vec<f64>, Vec<f64>) = (Vec::new(), Vec::new());
        let (mut ss, mut so, mut oo, mut before_nats) = (0.0, 0.0, 0.0, 0.0);
        for n in 0..SAMPLES_MOST {
            let row = self.cholesky_row(&rows, every_s)?;
            let ramp_s = if before <= n { (n - before + 1) as f64 * every_s } else { 0.0 };
            let s = forward(&row, &whitened, speed_ms * ramp_s);
            let o = forward(&row, &ones, 1.0);
            (ss, so, oo) = (ss + s * s, so + s * o, oo + o * o);
            whitened.push(s);
            ones.push(o);
            rows.push(row);
            let nats = 0.5 * (ss - so * so / oo);
            if ln_gamma <= nats {
                // Between two samples the information grows nearly evenly.
                return Some(ramp_s - every_s * (nats - ln_gamma) / (nats - before_nats));
            }
            before_nats = nats;
        }
        None
    }

    /// The next row of the Cholesky factor of the covariance.
    fn cholesky_row(&self, rows: &[Vec<f64>], every_s: f64) -> Option<Vec<f64>> {
        let n = rows.len();
        let mut row: Vec<f64> = Vec::with_capacity(n + 1);
        for (j, other) in rows.iter().enumerate() {
            let known: f64 = row.iter().zip(other).map(|(a, b)| a * b).sum();
            let covariance_m2 = self.covariance_m2((n - j) as f64 * every_s);
            row.push((covariance_m2 - known) / other.get(j)?);
        }
        let left_m2 = self.covariance_m2(0.0) - row.iter().map(|a| a * a).sum::<f64>();
        (0.0 < left_m2).then(|| {
            row.push(left_m2.sqrt());
            row
        })
    }
}

/// The next element of `L⁻¹ x`.
fn forward(row: &[f64], whitened: &[f64], x: f64) -> f64 {
    let known: f64 = row.iter().zip(whitened).map(|(a, b)| a * b).sum();
    row.last().map_or(0.0, |diagonal| (x - known) / diagonal)
}

#[cfg(test)]
mod tests {
    use super::*;

    // The information of a ramp in one Ornstein-Uhlenbeck noise watched without a break, from the noise's own
    // likelihood (Girsanov): KL = τ v²/(4 σ²) [T + T²/τ + T³/(3 τ²)], the level before it known.
    #[test]
    fn a_ramp_in_one_remembered_noise_has_the_information_of_the_closed_form() {
        let (sigma, tau, v) = (1.0, 40.0, 0.05);
        let noise = ResidualNoise { remembered: vec![(sigma, tau)], white_m: 0.0 };
        for ln_gamma in [3.0, 8.0, 14.6] {
            let t = noise.least_s(v, 1.0, 1300, ln_gamma).unwrap();
            let nats =
                tau * v * v / (4.0 * sigma * sigma) * (t + t * t / tau + t.powi(3) / (3.0 * tau * tau));
            // A second of sampling, and thirty memories of history that do not know the level beyond all doubt.
            assert!((nats / ln_gamma - 1.0).abs() < 0.1, "{t} s: {nats} for {ln_gamma}");
        }
    }

    #[test]
    fn a_faster_drag_is_called_sooner_and_less_noise_helps() {
        let noise = |slow_m: f64| ResidualNoise {
            remembered: vec![(slow_m, 550.0), (0.33, 30.0), (0.45, 25.0)],
            white_m: 0.25,
        };
        let least_s = |slow_m: f64, speed_ms: f64| noise(slow_m).least_s(speed_ms, 5.0, 400, 14.6).unwrap();
        assert!(least_s(1.0, 0.2572) < least_s(1.0, 1.0 / 60.0));
        assert!(least_s(0.5, 1.0 / 60.0) < least_s(1.0, 1.0 / 60.0));
        assert!(noise(1.0).least_s(f64::NAN, 5.0, 400, 14.6).is_none());
    }

    // Open-sky noise (1.0 m over 550 s, 0.33 m over 30 s, 0.25 m white, swing 0.45 m over 25 s), one false alarm in 300
    // nights of 5 s samples: half a knot cannot be called before some 3 m, a metre a minute not before some 5 m.
    #[test]
    fn half_a_knot_needs_three_metres_and_a_metre_a_minute_five() {
        let noise =
            ResidualNoise { remembered: vec![(1.0, 550.0), (0.33, 30.0), (0.45, 25.0)], white_m: 0.25 };
        let fast_m = 0.2572 * noise.least_s(0.2572, 5.0, 700, 14.6).unwrap();
        let slow_m = noise.least_s(1.0 / 60.0, 5.0, 700, 14.6).unwrap() / 60.0;
        assert!((2.5..3.8).contains(&fast_m), "{fast_m}");
        assert!((4.4..6.2).contains(&slow_m), "{slow_m}");
    }
}
