//! How long a night takes: twelve hours of motion and instruments, of a neighbour; and the peaks of one weather.

use rand_pcg::Pcg64;
use rand_pcg::rand_core::SeedableRng;
use windrode_domain::ride::peaks::{Weathered, peaks};
use windrode_domain::simulate::ais_neighbour::{NeighbourNight, Transponder};
use windrode_domain::simulate::{Family, Night, Scenario};
use windrode_domain::units::Speed;

/// The seed of every night here.
const SEED: u64 = 12;
/// Twelve hours, s.
const TWELVE_HOURS_S: u32 = 43_200;

fn main() {
    divan::main();
}

fn night_of(family: Family, rng: &mut Pcg64) -> Scenario {
    Scenario { duration_s: TWELVE_HOURS_S, ..family.draw(rng) }
}

#[divan::bench(args = [Family::Steady, Family::Squall, Family::TideTurns])]
fn twelve_hours_with_instruments(bencher: divan::Bencher, family: Family) {
    bencher.bench(|| {
        let mut rng = Pcg64::seed_from_u64(SEED);
        let scenario = night_of(family, &mut rng);
        let mut night = Night::new(scenario, &mut rng).expect("a drawn night can be played");
        let (mut readings, mut furthest_m) = (Vec::with_capacity(8), 0.0_f64);
        while !night.over() {
            readings.clear();
            let truth = night.second(&mut rng, &mut readings);
            furthest_m = furthest_m.max(truth.bow.length().as_metres());
        }
        furthest_m
    });
}

#[divan::bench]
fn twelve_hours_of_a_neighbour(bencher: divan::Bencher) {
    bencher.bench(|| {
        let mut rng = Pcg64::seed_from_u64(SEED);
        let scenario = night_of(Family::Steady, &mut rng);
        let mut night = NeighbourNight::new(scenario, Transponder::ClassA, 999_000_001, &mut rng)
            .expect("a drawn night can be played");
        let mut reports = 0;
        while !night.over() {
            reports += u32::from(night.second(&mut rng).1.is_some());
        }
        reports
    });
}

#[divan::bench]
fn a_night_begun(bencher: divan::Bencher) {
    bencher.bench(|| {
        let mut rng = Pcg64::seed_from_u64(SEED);
        let scenario = night_of(Family::TideTurns, &mut rng);
        Night::new(scenario, &mut rng).expect("a drawn night can be played")
    });
}

#[divan::bench]
fn peaks_of_sixty_stretches(bencher: divan::Bencher) {
    let mut rng = Pcg64::seed_from_u64(SEED);
    let scenario = Family::Steady.draw(&mut rng);
    let case = Weathered {
        body: scenario.boat.body,
        line: &scenario.rode_said,
        height: scenario.heights().1,
        friction: scenario.friction,
        mean: Speed::metres_per_second(12.0),
        gust: Speed::metres_per_second(17.0),
        waves: None,
    };
    bencher.bench(|| peaks(&case, 60, &mut Pcg64::seed_from_u64(SEED)));
}
