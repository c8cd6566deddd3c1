//! The table: bands against what was, chances by tenths.

use serde::Serialize;
use statrs::distribution::{Beta, ContinuousCDF};

use super::{Figure, Run, Tried};

/// Winds by which the bands are looked at, m/s: 10 and 20 kn.
const WINDS_MS: [(f64, f64); 3] = [(0.0, 5.14), (5.14, 10.29), (10.29, f64::INFINITY)];
/// Chances are sorted into so many parts.
const PARTS: usize = 10;
/// A chance of nothing is taken for this where its logarithm is wanted: no table of ours knows better.
const LEAST_CHANCE: f64 = 1e-6;

/// Everything.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct Calibration {
    version: u32,
    seed: u64,
    from: u32,
    stays: usize,
    dragged: usize,
    cannot_say: usize,
    ridden: usize,
    bands: Vec<BandRow>,
    chances: Vec<ChanceRow>,
    within_band: Option<f64>,
    brier: f64,
    brier_of_base_rate: f64,
    log_score: f64,
    log_score_of_base_rate: f64,
}

/// One end of a band.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct BandRow {
    pub(crate) figure: &'static str,
    /// Weakest and strongest mean wind foretold of the stays counted, m/s; `null` for all.
    pub(crate) wind_ms: Option<[f64; 2]>,
    pub(crate) claimed: f64,
    pub(crate) found: f64,
    pub(crate) low: f64,
    pub(crate) high: f64,
    pub(crate) stays: usize,
}

/// A tenth of the stays, by their stated chance.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct ChanceRow {
    pub(crate) least: f64,
    pub(crate) greatest: f64,
    pub(crate) stated: f64,
    pub(crate) stays: usize,
    pub(crate) dragged: usize,
    pub(crate) share: f64,
    pub(crate) low: f64,
    pub(crate) high: f64,
}

impl Calibration {
    /// Of stays that were tried.
    pub(crate) fn of(run: Run, stays: &[Tried]) -> Self {
        let mut said: Vec<(f64, bool)> =
            stays.iter().filter_map(|stay| Some((stay.chance?[1], stay.dragged))).collect();
        said.sort_by(|a, b| a.0.total_cmp(&b.0));
        let dragged = said.iter().filter(|(_, dragged)| *dragged).count();
        let base = share(dragged, said.len());
        let score = |of: &dyn Fn(f64, f64) -> f64, chance: &dyn Fn(f64) -> f64| {
            let sum: f64 =
                said.iter().map(|&(stated, dragged)| of(chance(stated), f64::from(u8::from(dragged)))).sum();
            sum / said.len().max(1) as f64
        };
        let brier = |p: f64, was: f64| (p - was) * (p - was);
        let log = |p: f64, was: f64| {
            let p = p.clamp(LEAST_CHANCE, 1.0 - LEAST_CHANCE);
            -(was * p.ln() + (1.0 - was) * (1.0 - p).ln())
        };
        Self {
            version: 1,
            seed: run.seed,
            from: run.from,
            stays: stays.len(),
            dragged: stays.iter().filter(|stay| stay.dragged).count(),
            cannot_say: stays.iter().filter(|stay| stay.chance.is_none()).count(),
            ridden: stays.iter().filter(|stay| stay.ridden).count(),
            bands: bands(stays),
            chances: chances(&said),
            within_band: within_band(stays),
            brier: score(&brier, &|p| p),
            brier_of_base_rate: score(&brier, &|_| base),
            log_score: score(&log, &|p| p),
            log_score_of_base_rate: score(&log, &|_| base),
        }
    }
    /// The ends of the bands.
    pub(crate) fn bands(&self) -> &[BandRow] {
        &self.bands
    }
    /// The tenths.
    pub(crate) fn chances(&self) -> &[ChanceRow] {
        &self.chances
    }
    /// In a sentence: how many, and the scores.
    pub(crate) fn head(&self) -> String {
        format!(
            "{} stays from {} of seed {}: {} dragged; of {} the chance could not be said; of {} the peaks were ridden.\n\
             Brier {:.5} (base rate {:.5}); log score {:.5} (base rate {:.5})",
            self.stays,
            self.from,
            self.seed,
            self.dragged,
            self.cannot_say,
            self.ridden,
            self.brier,
            self.brier_of_base_rate,
            self.log_score,
            self.log_score_of_base_rate
        )
    }
}

fn share(count: usize, of: usize) -> f64 {
    count as f64 / of.max(1) as f64
}

fn bands(stays: &[Tried]) -> Vec<BandRow> {
    let mut rows = Vec::new();
    for wind in [None].into_iter().chain(WINDS_MS.map(Some)) {
        let of: Vec<&Tried> = stays
            .iter()
            .filter(|stay| wind.is_none_or(|(from, to)| from <= stay.strongest_ms && stay.strongest_ms < to))
            .collect();
        for figure in Figure::ALL {
            rows.extend(figure_rows(figure, wind, &of));
        }
    }
    rows
}

fn figure_rows(figure: Figure, wind: Option<(f64, f64)>, stays: &[&Tried]) -> Vec<BandRow> {
    let against: Vec<_> = stays.iter().map(|stay| stay.against(figure)).filter(|it| 0.0 < it.of).collect();
    let ends: [fn(&super::Against) -> f64; 3] = [|it| it.below_low, |it| it.below_median, |it| it.below_high];
    let row = |(claimed, below): (f64, fn(&super::Against) -> f64)| {
        let shares: Vec<f64> = against.iter().map(|it| below(it) / it.of).collect();
        let (found, half) = mean_and_half(&shares);
        BandRow {
            figure: figure.code(),
            wind_ms: wind.map(|(from, to)| [from, if to.is_finite() { to } else { 99.0 }]),
            claimed,
            found,
            low: (found - half).max(0.0),
            high: (found + half).min(1.0),
            stays: shares.len(),
        }
    };
    let claims = figure.claims().into_iter().zip(ends);
    claims.filter_map(|(claimed, below)| Some(row((claimed?, below)))).filter(|row| 1 < row.stays).collect()
}

/// A mean over stays and half of its interval at 95 %.
fn mean_and_half(values: &[f64]) -> (f64, f64) {
    let n = values.len().max(1) as f64;
    let mean = values.iter().sum::<f64>() / n;
    let square = values.iter().map(|value| (value - mean) * (value - mean)).sum::<f64>() / (n - 1.0).max(1.0);
    (mean, 1.96 * (square / n).sqrt())
}

fn chances(said: &[(f64, bool)]) -> Vec<ChanceRow> {
    let cut = |part: usize| part * said.len() / PARTS;
    (0..PARTS).filter_map(|part| said.get(cut(part)..cut(part + 1))).filter_map(tenth).collect()
}

fn tenth(of: &[(f64, bool)]) -> Option<ChanceRow> {
    let (least, greatest) = (of.first()?.0, of.last()?.0);
    let dragged = of.iter().filter(|(_, dragged)| *dragged).count();
    let (low, high) = exact_interval(dragged, of.len());
    let stated = of.iter().map(|(stated, _)| stated).sum::<f64>() / of.len() as f64;
    Some(ChanceRow {
        least,
        greatest,
        stated,
        stays: of.len(),
        dragged,
        share: share(dragged, of.len()),
        low,
        high,
    })
}

/// The exact interval at 95 % of a share.
fn exact_interval(count: usize, of: usize) -> (f64, f64) {
    let (k, n) = (count as f64, of as f64);
    let at = |a: f64, b: f64, p: f64| Beta::new(a, b).map_or(f64::NAN, |beta| beta.inverse_cdf(p));
    let low = if count == 0 { 0.0 } else { at(k, n - k + 1.0, 0.025) };
    let high = if count == of { 1.0 } else { at(k + 1.0, n - k, 0.975) };
    (low, high)
}

/// Of the tenths, the share whose dragged share lies between the mean ends of the stated bands.
fn within_band(stays: &[Tried]) -> Option<f64> {
    let mut said: Vec<([f64; 3], bool)> =
        stays.iter().filter_map(|stay| Some((stay.chance?, stay.dragged))).collect();
    said.sort_by(|a, b| a.0[1].total_cmp(&b.0[1]));
    let cut = |part: usize| part * said.len() / PARTS;
    let parts: Vec<_> = (0..PARTS)
        .filter_map(|part| said.get(cut(part)..cut(part + 1)))
        .filter(|it| !it.is_empty())
        .collect();
    let holds = |of: &&&[([f64; 3], bool)]| {
        let mean = |end: usize| of.iter().map(|(band, _)| band[end]).sum::<f64>() / of.len() as f64;
        let found = share(of.iter().filter(|(_, dragged)| *dragged).count(), of.len());
        mean(0) <= found && found <= mean(2)
    };
    (!parts.is_empty()).then(|| share(parts.iter().filter(holds).count(), parts.len()))
}

#[cfg(test)]
mod tests {
    use super::*;

    // Source: exact binomial limits for 3 of 20 and 0 of 50, any table of Clopper and Pearson's: 3.2 to 37.9 %, 0 to
    // 7.1 %.
    #[test]
    fn exact_intervals_are_clopper_s_and_pearson_s() {
        let (low, high) = exact_interval(3, 20);
        assert!((low - 0.032).abs() < 5e-4 && (high - 0.379).abs() < 5e-4, "{low} {high}");
        let (low, high) = exact_interval(0, 50);
        assert!(low == 0.0 && (high - 0.0711).abs() < 5e-4, "{low} {high}");
    }
}
