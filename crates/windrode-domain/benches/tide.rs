//! A year of heights every six minutes from 37 constituents, on one core; wanted in under 20 ms.

use divan::Bencher;
use divan::counter::ItemsCount;
use jiff::{SignedDuration, Timestamp};
use windrode_domain::environment::tide::constituents::Constituent;
use windrode_domain::environment::tide::harmonic::{Constant, Convention, Curve};
use windrode_domain::span::Span;

fn main() {
    divan::main();
}

/// The 37 constituents of the American service; amplitudes and phases do not matter to the time it takes.
const NAMES: [&str; 37] = [
    "M2", "S2", "N2", "K1", "M4", "O1", "M6", "MK3", "S4", "MN4", "NU2", "S6", "MU2", "2N2", "OO1", "LAM2",
    "S1", "M1", "J1", "MM", "SSA", "SA", "MSF", "MF", "RHO", "Q1", "T2", "R2", "2Q1", "P1", "2SM2", "M3",
    "L2", "2MK3", "K2", "M8", "MS4",
];

fn curve(convention: Convention) -> Curve {
    let constants = NAMES.iter().enumerate().map(|(index, name)| Constant {
        constituent: Constituent::by_name(name).expect("a known name"),
        amplitude: 1.0 / (1.0 + index as f64),
        phase_deg: 10.0 * index as f64,
    });
    Curve::new(1.0, constants.collect(), convention).expect("constants that can be")
}

fn year() -> Span {
    let at = |text: &str| text.parse::<Timestamp>().expect("an instant");
    Span::new(at("2026-01-01T00:00:00Z"), at("2027-01-01T00:00:00Z")).expect("a span")
}

const STEP: SignedDuration = SignedDuration::from_mins(6);

#[divan::bench]
fn year_of_heights_as_the_us_tables(bencher: Bencher<'_, '_>) {
    let curve = curve(Convention::UsTables);
    bencher.counter(ItemsCount::new(87_601_usize)).bench(|| curve.values(year(), STEP));
}

#[divan::bench]
fn year_of_heights_continuous(bencher: Bencher<'_, '_>) {
    let curve = curve(Convention::Continuous);
    bencher.counter(ItemsCount::new(87_601_usize)).bench(|| curve.values(year(), STEP));
}

#[divan::bench]
fn year_of_heights_one_by_one(bencher: Bencher<'_, '_>) {
    // The plain sum, a cosine for each constituent and height: what the fast path is measured against.
    let curve = curve(Convention::UsTables);
    let rates: Vec<(f64, f64, f64)> = curve
        .constants()
        .iter()
        .map(|one| (one.amplitude, one.constituent.speed_deg_h().to_radians(), one.phase_deg.to_radians()))
        .collect();
    bencher.counter(ItemsCount::new(87_601_usize)).bench(|| {
        let height = |step: i32| -> f64 {
            let hours = f64::from(step) / 10.0;
            rates.iter().map(|(amplitude, rate, phase)| amplitude * (rate * hours - phase).cos()).sum()
        };
        (0..=87_600).map(height).collect::<Vec<f64>>()
    });
}

#[divan::bench]
fn year_of_highs_and_lows(bencher: Bencher<'_, '_>) {
    let curve = curve(Convention::UsTables);
    bencher.bench(|| curve.turns(year()));
}
