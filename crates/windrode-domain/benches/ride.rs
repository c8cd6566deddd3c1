//! How long a night takes: twelve hours of the motion alone, with the instruments, and seen from a neighbour.

use rand_pcg::Pcg64;
use rand_pcg::rand_core::SeedableRng;
use windrode_domain::simulate::ais_neighbour::{NeighbourNight, Transponder};
use windrode_domain::simulate::{Family, Night, Scenario};

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
