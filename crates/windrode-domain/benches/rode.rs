//! How many rodes a second: `cargo bench -p windrode-domain --bench rode`.
//!
//! The reference, scipy solving the same equations for the same cases, is `builders/catenary_scipy_bench.py`.

use divan::counter::ItemsCount;
use divan::{Bencher, black_box};
use windrode_domain::catenary::{Bed, Kellet, Line, Segment};
use windrode_domain::units::{Force, Length, WeightPerLength};

fn main() {
    divan::main();
}

fn segment(length_m: f64, weight_n_m: f64, ea_n: f64) -> Segment {
    Segment {
        length: Length::metres(length_m),
        weight: WeightPerLength::newtons_per_metre(weight_n_m),
        stiffness: Force::newtons(ea_n),
    }
}

/// 15 m of 8 mm chain and 35 m of 14 mm nylon.
fn chain_and_rope() -> Line {
    Line::new(vec![segment(15.0, 11.9445, 5.4656e6), segment(35.0, 0.117_723, 40_000.0)], vec![])
        .expect("a rode")
}

/// 40 m of 10 mm chain under 8 m of snubber, with a kellet.
fn chain_kellet_snubber() -> Line {
    let kellet = Kellet { from_anchor: Length::metres(20.0), weight: Force::newtons(128.0) };
    Line::new(vec![segment(40.0, 19.1965, 8.54e6), segment(8.0, 0.117_723, 40_000.0)], vec![kellet])
        .expect("a rode")
}

/// A thousand loads from 20 N to 20 kN, evenly in their logarithm: grounded and lifted.
fn loads() -> Vec<Force> {
    (0..1000).map(|i| Force::newtons(20.0 * 1000_f64.powf(f64::from(i) / 999.0))).collect()
}

fn height() -> Length {
    Length::metres(7.0)
}

#[divan::bench]
fn forward_chain_and_rope(bencher: Bencher) {
    forward(bencher, &chain_and_rope());
}

#[divan::bench]
fn forward_chain_kellet_snubber(bencher: Bencher) {
    forward(bencher, &chain_kellet_snubber());
}

#[divan::bench]
fn inverse_chain_and_rope(bencher: Bencher) {
    inverse(bencher, &chain_and_rope());
}

#[divan::bench]
fn inverse_chain_kellet_snubber(bencher: Bencher) {
    inverse(bencher, &chain_kellet_snubber());
}

fn forward(bencher: Bencher, line: &Line) {
    let loads = loads();
    bencher.counter(ItemsCount::new(loads.len())).bench(|| {
        for load in &loads {
            let _ = black_box(line.under_load(height(), black_box(*load), &Bed::LEVEL));
        }
    });
}

fn inverse(bencher: Bencher, line: &Line) {
    let distances: Vec<Length> = loads()
        .into_iter()
        .map(|load| line.under_load(height(), load, &Bed::LEVEL).expect("it lies").distance())
        .collect();
    bencher.counter(ItemsCount::new(distances.len())).bench(|| {
        for distance in &distances {
            let _ = black_box(line.at_distance(height(), black_box(*distance), &Bed::LEVEL));
        }
    });
}
