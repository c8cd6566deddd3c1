//! The chance of dragging: limits, monotonies, and brute force from outside.

use serde::Deserialize;

use super::*;
use crate::holding::Bed;
use crate::propeller::AsternPull;
use crate::set::{self, Outcome, SetTest};
use crate::uncertain::Origin;
use crate::units::Angle;

fn lognormal(median: f64, sigma_ln: f64) -> Lognormal {
    Lognormal::new(median, sigma_ln).unwrap()
}

fn holding(median_n: f64, sigma_tables_ln: f64, sigma_spot_ln: f64) -> HoldingBand {
    HoldingBand {
        median: Force::newtons(median_n),
        sigma_tables_ln,
        sigma_spot_ln,
        bed: Bed::FirmSand,
        source: "",
        confidence: Confidence::Low,
    }
}

fn instant(wind_n: f64) -> InstantLoad {
    InstantLoad {
        wind: Force::newtons(wind_n),
        other: Force::newtons(80.0),
        gust: GustPeak { location: 1.35, scale: 0.07 },
        renewals: 1.0,
        forecast_sigma_ln: 0.1,
        toward: Bearing::degrees(180.0),
        curve: 0,
    }
}

fn curve() -> DemandCurve {
    let node = |bow, lying, uplift| DemandNode {
        bow: Force::newtons(bow),
        chain_lying: Force::newtons(lying),
        uplift: Angle::degrees(uplift),
    };
    let nodes = [
        node(100.0, 400.0, 0.0),
        node(1500.0, 0.0, 0.0),
        node(3000.0, 0.0, 6.0),
        node(6000.0, 0.0, 9.0),
        node(80_000.0, 0.0, 11.0),
    ];
    DemandCurve::new(&nodes).unwrap()
}

const fn spreads(sheer: Lognormal, amplification: Lognormal, friction: Lognormal) -> Spreads {
    Spreads {
        windage_class_ln: 0.15,
        windage_boat_ln: 0.1,
        sheer,
        amplification,
        friction,
        gust_model_ln: 0.1,
    }
}

fn usual() -> Spreads {
    spreads(lognormal(1.4, 0.1), lognormal(1.05, 0.1), lognormal(0.85, 0.11))
}

fn certain() -> Spreads {
    Spreads {
        windage_class_ln: 0.0,
        windage_boat_ln: 0.0,
        gust_model_ln: 0.0,
        ..spreads(lognormal(1.4, 0.0), lognormal(1.05, 0.0), lognormal(0.85, 0.0))
    }
}

fn judged(
    instants: &[InstantLoad],
    holding: HoldingBand,
    spreads: Spreads,
    proof: Option<&Proof>,
) -> ChanceOfDragging {
    let curves = [curve()];
    let failing_to_set = Sourced::new(0.05, "", Confidence::Low);
    let stay = Stay { instants, curves: &curves, holding, spreads, proof, failing_to_set };
    chance_of_dragging(&stay).unwrap()
}

fn proof(median_n: f64, sigma_ln: f64, toward_deg: f64, uplift_deg: f64) -> Proof {
    let test = SetTest {
        pull: AsternPull {
            newtons: lognormal(median_n, sigma_ln),
            origin: Origin::Measured,
            confidence: Confidence::Medium,
            stalled: false,
        },
        wind_n: None,
        stream_n: None,
        chain_lying: Force::ZERO,
        friction: lognormal(0.85, 0.11),
        toward: Bearing::degrees(toward_deg),
        uplift: Angle::degrees(uplift_deg),
        held_for: jiff::SignedDuration::from_secs(60),
        outcome: Outcome::Held,
    };
    set::proof(&test).unwrap()
}

#[test]
fn without_wind_or_stream_there_is_no_chance() {
    let calm = InstantLoad { wind: Force::ZERO, other: Force::ZERO, ..instant(0.0) };
    let chance = judged(&[calm; 5], holding(4000.0, 0.3, 0.3), usual(), None);
    assert!(chance.expected <= 0.0 && chance.worst_instant.is_none());
}

#[test]
fn in_endless_wind_she_drags_for_certain() {
    let chance = judged(&[instant(1e7)], holding(4000.0, 0.3, 0.3), usual(), None);
    assert!((chance.expected - 1.0).abs() < 1e-9 && (chance.band.p10 - 1.0).abs() < 1e-9);
}

#[test]
fn more_wind_is_never_less_chance() {
    let mut before = 0.0;
    for wind_n in (50..2000).step_by(25) {
        let chance =
            judged(&[instant(f64::from(wind_n)); 3], holding(4000.0, 0.3, 0.3), usual(), None).expected;
        assert!(before <= chance + 1e-12, "{wind_n} N: {chance} after {before}");
        before = chance;
    }
    assert!(0.8 < before);
}

#[test]
fn a_longer_stay_is_never_less_chance_and_less_than_so_many_stays() {
    let one = judged(&[instant(500.0)], holding(4000.0, 0.3, 0.3), usual(), None).expected;
    let many = judged(&[instant(500.0); 100], holding(4000.0, 0.3, 0.3), usual(), None).expected;
    let as_if_independent = 1.0 - (1.0 - one).powi(100);
    assert!(one < many && many < 0.7 * as_if_independent, "{one} {many} {as_if_independent}");
}

#[test]
fn without_spread_of_gusts_the_chance_is_that_of_the_worst_instant() {
    let steady = |wind_n| InstantLoad { gust: GustPeak { location: 1.4, scale: 0.0 }, ..instant(wind_n) };
    let stay = [steady(300.0), steady(600.0), steady(450.0)];
    let all = judged(&stay, holding(4000.0, 0.3, 0.3), usual(), None);
    let worst = judged(&stay[1..2], holding(4000.0, 0.3, 0.3), usual(), None);
    assert!((all.expected - worst.expected).abs() < 1e-9, "{} {}", all.expected, worst.expected);
    assert_eq!(all.worst_instant, Some(1));
}

// With nothing uncertain but the gust, the definition itself: 1 - exp(-r exp(-(g - l)/b)).
#[test]
fn with_all_else_certain_the_gust_alone_decides() {
    let one = InstantLoad { forecast_sigma_ln: 0.0, renewals: 3.0, ..instant(600.0) };
    // Both uplift laws leave everything where the shank is not lifted.
    let flat = DemandCurve::new(&[
        DemandNode { bow: Force::newtons(1.0), chain_lying: Force::ZERO, uplift: Angle::degrees(0.0) },
        DemandNode { bow: Force::newtons(9e4), chain_lying: Force::ZERO, uplift: Angle::degrees(0.0) },
    ]);
    let stay = Stay {
        instants: &[one],
        curves: &[flat.unwrap()],
        holding: holding(2200.0, 0.0, 0.0),
        spreads: certain(),
        proof: None,
        failing_to_set: Sourced::new(0.0, "", Confidence::Low),
    };
    let found = chance_of_dragging(&stay).unwrap();
    let critical = ((2200.0_f64 / 1.05 - 80.0) / (600.0 * 1.4)).sqrt();
    let expected = 1.0 - (-3.0 * (-(critical - 1.35) / 0.07).exp()).exp();
    assert!((found.expected - expected).abs() < 1e-9, "{} {expected}", found.expected);
    assert!((found.band.p10 - found.band.p90).abs() < 1e-9);
}

#[test]
fn wider_ignorance_widens_the_band() {
    let mut before = 0.0;
    for sigma in [0.05, 0.15, 0.3, 0.5] {
        let band = judged(&[instant(450.0); 10], holding(4000.0, sigma, 0.2), usual(), None).band;
        let width = band.p90.ln() - band.p10.ln();
        assert!(before < width, "{sigma}: {width} after {before}");
        before = width;
    }
}

#[test]
fn a_proof_above_all_loads_leaves_little_chance() {
    let stay = [instant(500.0); 10];
    let bare = judged(&stay, holding(4000.0, 0.3, 0.3), usual(), None);
    let proved = judged(&stay, holding(4000.0, 0.3, 0.3), usual(), Some(&proof(9000.0, 0.05, 180.0, 20.0)));
    assert!(0.02 < bare.expected && proved.expected < 1e-4, "{} {}", bare.expected, proved.expected);
}

#[test]
fn a_proof_elsewhere_or_at_too_little_uplift_changes_little_or_nothing() {
    let stay = [instant(500.0); 10];
    let bare = judged(&stay, holding(4000.0, 0.3, 0.3), usual(), None).expected;
    let elsewhere = judged(&stay, holding(4000.0, 0.3, 0.3), usual(), Some(&proof(9000.0, 0.05, 0.0, 20.0)));
    assert!((elsewhere.expected - bare).abs() < 1e-12);
    // At no uplift it speaks up to 1500 N at the bow, where the chain lifts; gusts go well beyond.
    let flat = judged(&stay, holding(4000.0, 0.3, 0.3), usual(), Some(&proof(9000.0, 0.05, 180.0, 0.0)));
    assert!(flat.expected <= bare && 0.5 * bare < flat.expected, "{} {bare}", flat.expected);
}

#[test]
fn a_greater_proof_is_never_more_chance() {
    let mut before = 1.0;
    for load_n in [200.0, 1000.0, 2000.0, 3000.0, 4500.0, 7000.0] {
        let proof = proof(load_n, 0.1, 180.0, 20.0);
        let chance = judged(&[instant(500.0); 5], holding(4000.0, 0.3, 0.3), usual(), Some(&proof)).expected;
        assert!(chance <= before + 1e-12, "{load_n}: {chance} after {before}");
        before = chance;
    }
}

#[test]
fn the_shares_of_the_instants_sum_to_the_expected_chance() {
    let stay: Vec<_> = (0..20).map(|i| instant(100.0 + 30.0 * f64::from(i))).collect();
    let chance = judged(&stay, holding(4000.0, 0.3, 0.3), usual(), None);
    assert!((chance.by_instant.iter().sum::<f64>() - chance.expected).abs() < 1e-12);
    assert_eq!(chance.worst_instant, Some(19));
    assert!((chance.failing_to_set.value - 0.05).abs() < 1e-12);
}

#[test]
fn what_cannot_be_is_refused_with_its_place() {
    let failing_to_set = Sourced::new(0.05, "", Confidence::Low);
    let curves = [curve()];
    let asked = |instants: &[InstantLoad]| {
        let (holding, spreads) = (holding(4000.0, 0.3, 0.3), usual());
        chance_of_dragging(&Stay { instants, curves: &curves, holding, spreads, proof: None, failing_to_set })
    };
    assert_eq!(asked(&[]), Err(ChanceError::NoInstants));
    let odd = [instant(1.0), instant(f64::NAN)];
    assert!(matches!(asked(&odd), Err(ChanceError::Impossible { instant: 1, .. })));
    let lost = [InstantLoad { curve: 3, ..instant(1.0) }];
    assert!(matches!(asked(&lost), Err(ChanceError::NoCurve { curve: 3, count: 1, .. })));
    let odd = InstantLoad { gust: GustPeak { location: 0.5, scale: 0.1 }, ..instant(1.0) };
    assert!(asked(&[odd]).is_err());
}

#[derive(Deserialize)]
struct BruteForce {
    cases: Vec<Case>,
}

#[derive(Deserialize)]
struct Case {
    holding: CaseHolding,
    windage_class_ln: f64,
    windage_boat_ln: f64,
    sheer: (f64, f64),
    amplification: (f64, f64),
    friction: (f64, f64),
    gust_model_ln: f64,
    instants: Vec<CaseInstant>,
    curves: Vec<Vec<(f64, f64, f64)>>,
    proof: Option<CaseProof>,
    answer: Answer,
}

#[derive(Deserialize)]
struct CaseHolding {
    median_n: f64,
    sigma_tables_ln: f64,
    sigma_spot_ln: f64,
}

#[derive(Deserialize)]
struct CaseInstant {
    wind_n: f64,
    other_n: f64,
    gust_location: f64,
    gust_scale: f64,
    renewals: f64,
    forecast_sigma_ln: f64,
    toward_deg: f64,
    curve: usize,
}

#[derive(Deserialize)]
struct CaseProof {
    median_n: f64,
    sigma_ln: f64,
    toward_deg: f64,
    uplift_deg: f64,
}

#[derive(Deserialize)]
struct Answer {
    expected: f64,
    expected_error: f64,
    p10: f64,
    median: f64,
    p90: f64,
}

fn answered(case: &Case) -> ChanceOfDragging {
    let instants: Vec<_> = case
        .instants
        .iter()
        .map(|at| InstantLoad {
            wind: Force::newtons(at.wind_n),
            other: Force::newtons(at.other_n),
            gust: GustPeak { location: at.gust_location, scale: at.gust_scale },
            renewals: at.renewals,
            forecast_sigma_ln: at.forecast_sigma_ln,
            toward: Bearing::degrees(at.toward_deg),
            curve: at.curve,
        })
        .collect();
    let node = |&(bow, lying, uplift): &(f64, f64, f64)| DemandNode {
        bow: Force::newtons(bow),
        chain_lying: Force::newtons(lying),
        uplift: Angle::degrees(uplift),
    };
    let rows = |rows: &Vec<_>| DemandCurve::new(&rows.iter().map(node).collect::<Vec<_>>()).unwrap();
    let curves: Vec<_> = case.curves.iter().map(rows).collect();
    let proof = case.proof.as_ref().map(|p| proof(p.median_n, p.sigma_ln, p.toward_deg, p.uplift_deg));
    let stay = Stay {
        instants: &instants,
        curves: &curves,
        holding: holding(case.holding.median_n, case.holding.sigma_tables_ln, case.holding.sigma_spot_ln),
        spreads: Spreads {
            windage_class_ln: case.windage_class_ln,
            windage_boat_ln: case.windage_boat_ln,
            sheer: lognormal(case.sheer.0, case.sheer.1),
            amplification: lognormal(case.amplification.0, case.amplification.1),
            friction: lognormal(case.friction.0, case.friction.1),
            gust_model_ln: case.gust_model_ln,
        },
        proof: proof.as_ref(),
        failing_to_set: Sourced::new(0.0, "", Confidence::Low),
    };
    chance_of_dragging(&stay).unwrap()
}

/// Logarithm of the odds; chances below the least that the reference can tell are all one.
fn log_odds(chance: f64, least: f64) -> f64 {
    let counted = chance.clamp(least, 1.0 - least);
    (counted / (1.0 - counted)).ln()
}

/// Root mean square and largest size.
fn spread_of(errors: &[f64]) -> (f64, f64) {
    let square = errors.iter().map(|e| e * e).sum::<f64>() / errors.len() as f64;
    (square.sqrt(), errors.iter().fold(0.0, |most, e| e.abs().max(most)))
}

// numpy and scipy, a million stays a case: see the file's own head and builders/chance_scipy.py. Its own error is
// below a hundredth of the expected chance wherever that passes 0.5 %. Ours is the quadrature's, 3072 draws for what
// the reference spends a million on: a twentieth of the odds in the mean. An
// end of the band rests on the few worlds about it, and the reference on 4000 stays in each of its own, of which ten
// (a quarter of a percent) are the least to go by: a sixth, and half at the worst. Both stay far below the
// ignorance itself, a factor of three to ten from p10 to p90.
#[test]
fn brute_force_finds_the_same_chance() {
    let file = include_str!("../../../../authorities/chance/brute_force.json");
    let cases = serde_json::from_str::<BruteForce>(file).unwrap().cases;
    assert!(20 <= cases.len());
    let (mut means, mut ends) = (Vec::new(), Vec::new());
    for (number, case) in cases.iter().enumerate() {
        let (found, answer) = (answered(case), &case.answer);
        let mean = log_odds(found.expected, 2e-4) - log_odds(answer.expected, 2e-4);
        let sampling = 3.0 * answer.expected_error / answer.expected.max(2e-4);
        // Gusts smooth what is integrated; without their spread every draw is a step, and one draw more or
        // less shows.
        let steps = case.instants.iter().all(|at| at.gust_scale <= 0.0);
        let quadrature = if steps { 0.5 } else { 0.2 };
        assert!(
            mean.abs() < quadrature + sampling,
            "{number}: {} against {}",
            found.expected,
            answer.expected
        );
        means.push(mean);
        let band = &found.band;
        for (ours, theirs) in [(band.p10, answer.p10), (band.median, answer.median), (band.p90, answer.p90)] {
            let end = log_odds(ours, 2.5e-3) - log_odds(theirs, 2.5e-3);
            assert!(end.abs() < 0.5, "{number}: {ours} against {theirs}");
            ends.push(end);
        }
    }
    assert!(spread_of(&means).0 < 0.08 && spread_of(&ends).0 < 0.17, "{means:?} {ends:?}");
}
