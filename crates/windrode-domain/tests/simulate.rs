//! Nights that never were: the same for one seed, hard where they should be, true to what they tell.

use rand_pcg::Pcg64;
use rand_pcg::rand_core::SeedableRng;
use windrode_domain::simulate::{Family, Night};

fn lived(family: Family, seed: u64) -> (Vec<windrode_domain::simulate::Truth>, usize) {
    let mut rng = Pcg64::seed_from_u64(seed);
    let mut night = Night::new(family.draw(&mut rng), &mut rng).unwrap();
    let (mut truths, mut readings) = (Vec::new(), Vec::new());
    while !night.over() {
        truths.push(night.second(&mut rng, &mut readings));
    }
    (truths, readings.len())
}

#[test]
fn look() {
    for family in Family::ALL {
        for seed in 0..3 {
            let t0 = std::time::Instant::now();
            let (truths, n) = lived(family, seed);
            let dt = t0.elapsed();
            let most = truths.iter().map(|t| t.bow.distance_to(t.anchor).as_metres()).fold(0.0, f64::max);
            let least = truths.iter().map(|t| t.bow.distance_to(t.anchor).as_metres()).fold(1e9, f64::min);
            let mean = truths.iter().map(|t| t.load.as_newtons()).sum::<f64>() / truths.len() as f64;
            let peak = truths.iter().map(|t| t.peak_load.as_newtons()).fold(0.0, f64::max);
            let wind = truths.iter().map(|t| t.wind.speed().as_metres_per_second()).sum::<f64>()
                / truths.len() as f64;
            let last = truths.last().unwrap();
            println!(
                "{:20} {seed} n={n} d={least:.1}..{most:.1} load {mean:.0} peak {peak:.0} wind {wind:.1} gone {:.1} in {:?} {} s",
                family.word(),
                last.gone_m,
                dt,
                truths.len()
            );
        }
    }
}
