//! How many rodes a second: `cargo bench -p windrode-domain --bench rode`.
//!
//! The reference, scipy solving the same equations for the same cases, is `builders/catenary_scipy_bench.py`.

use divan::counter::ItemsCount;
use divan::{Bencher, black_box};
use windrode_domain::catenary::{Bed, Kellet, Line, Need, Segment, Stowed, shortest};
use windrode_domain::units::{Force, Length, Mass, Speed, WeightPerLength};

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

/// The peak of a surge at half a metre a second, nine tonnes.
#[divan::bench]
fn peak_of_a_surge(bencher: Bencher) {
    let line = chain_kellet_snubber();
    bencher.bench(|| {
        let (mass, surge) = (Mass::kilograms(9000.0), Speed::metres_per_second(0.5));
        line.peak_load(height(), &Bed::LEVEL, black_box(Force::newtons(800.0)), mass, surge)
    });
}

/// The least length of 60 m of chain and 40 m of rope that keeps the shank down.
#[divan::bench]
fn shortest_without_uplift(bencher: Bencher) {
    let line = Line::new(vec![segment(60.0, 19.1965, 8.54e6), segment(40.0, 0.117_723, 40_000.0)], vec![]);
    let stowed = Stowed::new(line.expect("a rode"), vec![]).expect("a rode");
    bencher.bench(|| {
        shortest(&stowed, Need::NoUplift, height(), black_box(Force::newtons(2000.0)), &Bed::LEVEL)
    });
}

#[divan::bench]
fn shortest_for_a_reach(bencher: Bencher) {
    let line = Line::new(vec![segment(60.0, 19.1965, 8.54e6), segment(40.0, 0.117_723, 40_000.0)], vec![]);
    let stowed = Stowed::new(line.expect("a rode"), vec![]).expect("a rode");
    let need = Need::Reach(Length::metres(45.0));
    bencher.bench(|| shortest(&stowed, need, height(), black_box(Force::newtons(2000.0)), &Bed::LEVEL));
}

#[divan::bench]
fn load_that_lifts_the_last_link(bencher: Bencher) {
    let line = chain_and_rope();
    bencher.bench(|| line.lift_off(black_box(height()), &Bed::LEVEL));
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
