//! Stays of two hours, of boats drawn by chance.

use rand_pcg::Pcg64;

use super::*;
use crate::simulate::Family;
use crate::simulate::story::{WindKnot, WindStory};
use crate::units::Angle;

/// A stay of two hours in 6 m/s that veer, of a boat drawn by chance.
fn story(seed: u128) -> VoyageStory {
    let mut lying = Family::Steady.draw(&mut Pcg64::new(seed, 1));
    let knot = |at_s, from_deg| WindKnot { at_s, mean_ms: 6.0, from_deg };
    lying.wind = WindStory { knots: vec![knot(0.0, 310.0), knot(7200.0, 350.0)], ..lying.wind };
    lying.rode_over_said = 1.0;
    let chain = lying.rode_said.segments().first().copied().expect("chain comes first");
    VoyageStory {
        veered: Line::new(vec![chain], Vec::new()).expect("chain is a rode"),
        lying,
        water: vec![WaterKnot { at_s: 0.0, rise_m: 0.0 }, WaterKnot { at_s: 7200.0, rise_m: 0.8 }],
        ground: Slope { angle: Angle::degrees(1.0), uphill: Bearing::degrees(340.0) },
        deepest_m: 25.0,
        comes_from: Offset::along(Bearing::degrees(160.0), Length::metres(600.0)),
        astern: [(1200.0, 500.0), (2000.0, 1400.0)]
            .map(|(rpm, pull_n)| AsternStep { rpm, pull: Force::newtons(pull_n), lasting_s: 60.0 })
            .into(),
        weighs_at_s: 5400.0,
        goes_to: Offset::along(Bearing::degrees(160.0), Length::metres(1500.0)),
        battery: (12.7, 0.02),
    }
}

fn lived(seed: u128, seconds: u32) -> Vec<Lived> {
    let mut rng = Pcg64::new(seed, 7);
    let mut voyage = Voyage::new(story(seed), &mut rng).expect("it can be played");
    let mut readings = Vec::new();
    (0..seconds)
        .map(|_| {
            readings.clear();
            voyage.second(&mut rng, &mut readings)
        })
        .collect()
}

fn told(all: &[Lived]) -> Vec<(u32, Happening)> {
    all.iter().flat_map(|it| it.happened.iter().map(|&what| (it.truth.second, what))).collect()
}

#[test]
fn a_stay_goes_through_its_phases_in_order_and_ends_where_it_is_sent() {
    for seed in 1..5 {
        let all = lived(seed, 7200);
        let mut phases: Vec<Phase> = all.iter().map(|it| it.phase).collect();
        phases.dedup();
        let codes: Vec<&str> = phases.into_iter().map(Phase::code).collect();
        let order = ["approach", "veering", "setting", "lying", "weighing", "gone"];
        assert_eq!(codes, order, "seed {seed}");
        let end = all.last().expect("seconds");
        let from_there = (story(seed).goes_to - end.truth.bow).length().as_metres();
        assert!(from_there < 20.0 && end.rode_out == Length::ZERO, "seed {seed}: {from_there}");
    }
}

#[test]
fn nothing_jumps_where_engine_and_rode_hand_her_over() {
    for seed in 1..5 {
        for pair in lived(seed, 7200).windows(2) {
            let [before, after] = pair else { continue };
            let at = after.truth.second;
            let gone_m = before.truth.antenna.distance_to(after.truth.antenna).as_metres();
            // Her way at either end of the second, and what a second can change of it.
            let way_ms = before.truth.antenna_way_ms.length().as_metres();
            assert!((gone_m - way_ms).abs() < 0.6, "seed {seed}, second {at}: {gone_m} m at {way_ms} m/s");
            let turned = before.truth.heading.to(after.truth.heading).as_degrees().abs();
            assert!(turned < 8.0, "seed {seed}, second {at}: {turned} degrees");
            let out_m = (after.rode_out - before.rode_out).as_metres().abs();
            assert!(out_m <= 0.61, "seed {seed}, second {at}: {out_m} m of rode");
        }
    }
}

#[test]
fn what_happens_comes_in_the_order_of_the_trade() {
    let all = lived(3, 7200);
    let told = told(&all);
    let place = |wanted: fn(&Happening) -> bool| {
        told.iter().position(|(_, what)| wanted(what)).unwrap_or_else(|| panic!("not told: {told:?}"))
    };
    let order = [
        place(|it| matches!(it, Happening::LetGo(_))),
        place(|it| matches!(it, Happening::RodeOut(_))),
        place(|it| matches!(it, Happening::Astern(_))),
        place(|it| matches!(it, Happening::FetchedUp)),
        place(|it| matches!(it, Happening::Eased)),
        place(|it| matches!(it, Happening::Snubbed)),
        place(|it| matches!(it, Happening::EngineOff)),
        place(|it| matches!(it, Happening::EngineOn)),
        place(|it| matches!(it, Happening::HeavingIn)),
        place(|it| matches!(it, Happening::UpAndDown)),
        place(|it| matches!(it, Happening::Aweigh)),
        place(|it| matches!(it, Happening::Home)),
    ];
    assert!(order.is_sorted(), "{told:?}");
    let Some((_, Happening::LetGo(at))) = told.get(order[0]) else { panic!("{told:?}") };
    // Half her length at the most from where it was wanted, and it lies where it was let go.
    assert!(at.length().as_metres() < 6.0, "{at:?}");
    let lay = all.iter().find(|it| it.phase == Phase::Lying).expect("she lay").truth.anchor;
    assert!(lay.distance_to(*at).as_metres() < 1e-9);
}

#[test]
fn the_rode_is_loaded_by_the_engine_as_hard_as_it_pulls() {
    let all = lived(2, 3600);
    let held: Vec<f64> = all
        .iter()
        .filter(|it| it.phase == Phase::Setting && it.engine_rpm.is_some_and(|rpm| 1995.0 < rpm))
        .map(|it| it.truth.load.as_newtons())
        .collect();
    let mean_n = held.iter().sum::<f64>() / held.len() as f64;
    // 1400 N of engine and some of a wind of 6 m/s on a drag area of 5 to 17 m².
    assert!((1300.0..2200.0).contains(&mean_n), "{mean_n}");
}

#[test]
fn one_seed_lives_one_stay() {
    assert_eq!(lived(5, 1500), lived(5, 1500));
    assert_ne!(lived(5, 1500), lived(6, 1500));
}

#[test]
fn water_follows_tide_and_slope_and_the_battery_falls_at_rest() {
    let all = lived(4, 5400);
    let begun = all.first().expect("a second");
    let story = story(4);
    // Six hundred metres down a slope of one degree from the wanted place.
    let down_m = 600.0 * 1.0_f64.to_radians().tan();
    assert!((begun.sounded.as_metres() - story.lying.depth_m - down_m).abs() < 0.5, "{}", begun.sounded);
    let at = |second: usize| all.get(second).expect("a second");
    assert!((at(5399).truth.depth - at(1799).truth.depth - Length::metres(0.4)).abs() < Length::metres(1e-3));
    assert!(at(5399).battery_v < at(3599).battery_v && 12.5 < at(5399).battery_v);
}
