//! Nights that never were: the same for one seed, of their kind, and read as the instruments would.

use rand_pcg::Pcg64;
use rand_pcg::rand_core::SeedableRng;
use windrode_domain::position::{Offset, Position};
use windrode_domain::simulate::ais_neighbour::{NeighbourNight, Transponder};
use windrode_domain::simulate::anchor_in_ground::AnchorStory;
use windrode_domain::simulate::family::{Ranges, Variation};
use windrode_domain::simulate::{Family, Night, NightError, RECEIVER, Scenario, Truth};
use windrode_domain::units::{Length, Speed};
use windrode_domain::watch::event::NeighbourSaid;
use windrode_domain::watch::given::WatchLimits;
use windrode_domain::watch::observation::{Observation, Seen};

/// A whole night of a scenario.
fn lived(scenario: Scenario, rng: &mut Pcg64) -> (Vec<Truth>, Vec<Observation>) {
    let mut night = Night::new(scenario, rng).unwrap();
    let (mut truths, mut readings) = (Vec::new(), Vec::new());
    while !night.over() {
        truths.push(night.second(rng, &mut readings));
    }
    (truths, readings)
}

fn night_of(family: Family, seed: u64) -> (Scenario, Vec<Truth>, Vec<Observation>) {
    let mut rng = Pcg64::seed_from_u64(seed);
    let scenario = family.draw(&mut rng);
    let (truths, readings) = lived(scenario.clone(), &mut rng);
    (scenario, truths, readings)
}

fn off_m(truth: &Truth) -> f64 {
    truth.bow.distance_to(truth.anchor).as_metres()
}

#[test]
fn one_seed_is_one_night() {
    for family in [Family::Mixed, Family::SquallDrag] {
        let [(.., truths, readings), (.., truths_again, readings_again)] =
            [7, 7].map(|seed| night_of(family, seed));
        assert!(truths == truths_again && readings == readings_again);
    }
}

#[test]
fn on_a_quiet_night_the_anchor_stays_and_the_bow_within_reach() {
    for family in Family::QUIET {
        for seed in 0..3 {
            let (scenario, truths, _) = night_of(family, seed);
            let most_m = scenario.rode_true().unwrap().length().as_metres();
            assert!(truths.iter().all(|t| t.anchor == Offset::ORIGIN && !t.anchor_moves));
            // The snubber gives a metre or two at its worst.
            let furthest_m = truths.iter().map(off_m).fold(0.0, f64::max);
            assert!(furthest_m < most_m + 2.0, "{family:?} {seed}: {furthest_m} of {most_m}");
        }
    }
}

#[test]
fn a_told_drag_goes_at_its_speed_and_takes_the_boat_along() {
    for (family, speed_ms) in [
        (Family::Creep, 0.1 / 60.0),
        (Family::MetreAMinute, 1.0 / 60.0),
        (Family::HalfKnot, Speed::knots(0.5).as_metres_per_second()),
        (Family::FarSide, Speed::knots(0.1).as_metres_per_second()),
    ] {
        let (scenario, truths, _) = night_of(family, 11);
        let AnchorStory::Goes(going) = scenario.anchor else { panic!("{family:?} is told") };
        let last = truths.last().unwrap();
        let should_m = (f64::from(last.second) - going.from_s) * speed_ms;
        // Begun and ended within a second.
        assert!((last.gone_m - should_m).abs() <= 1.5 * speed_ms, "{family:?}: {} {should_m}", last.gone_m);
        assert!(off_m(last) < scenario.rode_true().unwrap().length().as_metres() + 2.0);
    }
}

#[test]
fn a_squall_breaks_most_anchors_out_and_some_set_again() {
    let nights: Vec<_> = (0..20).map(|seed| night_of(Family::SquallDrag, seed)).collect();
    let gone: Vec<f64> = nights.iter().filter_map(|(_, truths, _)| truths.last().map(|t| t.gone_m)).collect();
    assert!(15 <= gone.iter().filter(|&&gone_m| 12.0 < gone_m).count(), "{gone:?}");
    let set_again = nights.iter().filter(|(_, truths, _)| {
        let last = truths.last();
        last.is_some_and(|last| 12.0 < last.gone_m && !last.anchor_moves)
    });
    assert!(3 <= set_again.count());
}

#[test]
fn a_fouled_anchor_goes_while_she_is_well_inside_her_circle() {
    let mut inside = 0;
    for seed in 0..10 {
        let (scenario, truths, _) = night_of(Family::Tripped, seed);
        let first = truths.iter().find(|t| t.anchor_moves).unwrap();
        let reach_m = scenario.rode_said.length().as_metres();
        inside += u32::from(first.bow.length().as_metres() < 0.6 * reach_m);
    }
    assert!(8 <= inside, "{inside}");
}

#[test]
fn fixes_are_off_by_what_the_receiver_is_off_by() {
    let (scenario, truths, readings) = night_of(Family::Steady, 3);
    let receiver = &scenario.sensors.receiver;
    let fixes = readings.iter().filter_map(|r| match r.seen {
        Seen::Fix(fix) if r.source == RECEIVER => Some((r.at, fix.antenna)),
        _ => None,
    });
    let mut squares = Vec::new();
    let mut truth = truths.iter();
    for (at, antenna) in fixes {
        let Some(truth) = truth.find(|t| t.at == at) else { panic!("a fix without its truth") };
        let off = scenario.origin.offset_of(antenna) - truth.antenna;
        squares.extend([off.east_m * off.east_m, off.north_m * off.north_m]);
    }
    squares.sort_by(f64::total_cmp);
    // Without the tenth that bursts and jumps may have spoilt; 10 h hold 20 to 180 memories of the slow part.
    let kept = &squares[..squares.len() * 9 / 10];
    let spread_m = (kept.iter().sum::<f64>() / kept.len() as f64).sqrt();
    let whole_m = receiver.slow.0.hypot(receiver.quick.0).hypot(receiver.white_m);
    // Of a normal distribution the middle nine tenths have 0.79 of its spread.
    assert!((0.5..1.1).contains(&(spread_m / whole_m)), "{spread_m} {whole_m}");
}

#[test]
fn instruments_speak_at_their_intervals_and_not_at_all_where_there_are_none() {
    let mut rng = Pcg64::seed_from_u64(4);
    let mut scenario = Family::Steady.draw(&mut rng);
    scenario.duration_s = 3600;
    scenario.sensors.receiver.interval_s = 600;
    scenario.sensors.receiver.gaps.an_hour = 0.0;
    scenario.sensors.receiver.doppler = None;
    scenario.sensors.compass = None;
    scenario.sensors.anemometer = None;
    let (_, readings) = lived(scenario, &mut rng);
    let fixes = readings.iter().filter(|r| matches!(r.seen, Seen::Fix(_))).count();
    let depths = readings.iter().filter(|r| matches!(r.seen, Seen::Water { .. })).count();
    assert_eq!((fixes, depths, readings.len()), (6, 720, 726));
}

#[test]
fn the_crew_are_not_told_the_truth() {
    let mut rng = Pcg64::seed_from_u64(9);
    let scenario = Family::FarSide.draw(&mut rng);
    let limits = WatchLimits {
        under_keel: Length::metres(0.5),
        battery_v: None,
        silence_s: 10.0,
        neighbour: Length::metres(10.0),
        wind_shift_deg: 60.0,
    };
    let given = scenario.given(limits);
    let mark_m = given.drop.unwrap().at.towards(scenario.origin).0.as_metres();
    assert!((5.0..12.0).contains(&mark_m), "{mark_m}");
    let said = given.rode.unwrap();
    assert!(said.line == scenario.rode_said && said.line != scenario.rode_true().unwrap());
    let believed_m2 = given.boat.drag_area_m2.unwrap().median();
    assert!((believed_m2 - scenario.boat.body.head_on_m2).abs() > 1e-6);
}

#[test]
fn every_variation_can_be_lived_in_every_family() {
    let recorded = vec![Offset { east_m: 1.0, north_m: -2.0 }; 10];
    let variations = [
        Variation::Swell,
        Variation::RopeRode,
        Variation::LongBoat,
        Variation::DeepWater,
        Variation::Catamaran,
        Variation::WrongWindage,
        Variation::StuckWind,
        Variation::FlippedHeading,
        Variation::StaticHold,
        Variation::RecordedNoise(recorded.into()),
    ];
    for (seed, variation) in (0..).zip(&variations) {
        for family in Family::ALL {
            let mut rng = Pcg64::seed_from_u64(seed);
            let mut scenario = variation.draw(family, &mut rng);
            scenario.duration_s = 1200;
            let (truths, readings) = lived(scenario, &mut rng);
            let sound = |t: &Truth| t.bow.length().is_finite() && t.load.is_finite();
            assert!(truths.iter().all(sound) && !readings.is_empty(), "{variation:?} {family:?}");
        }
    }
}

// Source: ITU-R M.1371-5: three minutes at anchor; 1/10 000 minute, 0.1 kn, 0.1°, 1°.
#[test]
fn a_neighbour_reports_every_three_minutes_in_steps() {
    let mut rng = Pcg64::seed_from_u64(21);
    let mut scenario = Family::Steady.draw(&mut rng);
    scenario.sensors.receiver.gaps.an_hour = 0.0;
    let mut night = NeighbourNight::new(scenario, Transponder::ClassA, 999_000_001, &mut rng).unwrap();
    let mut reports = Vec::new();
    while !night.over() {
        reports.extend(night.second(&mut rng).1);
    }
    assert!((199..=201).contains(&reports.len()), "{}", reports.len());
    let in_steps = |value: f64, step: f64| ((value / step).round() * step - value).abs() < 1e-9;
    for report in reports {
        let NeighbourSaid::Position { at, speed, course, heading, .. } = report.said else {
            panic!("a position")
        };
        assert!(in_steps(at.latitude_deg() * 60.0, 1e-4) && in_steps(at.longitude_deg() * 60.0, 1e-4));
        assert!(speed.is_none_or(|speed| in_steps(speed.as_knots(), 0.1)));
        assert!(course.is_none_or(|course| in_steps(course.as_degrees(), 0.1)));
        assert!(heading.is_some_and(|heading| in_steps(heading.as_degrees(), 1.0)));
    }
}

#[test]
fn a_night_that_cannot_be_is_refused_by_name() {
    let mut rng = Pcg64::seed_from_u64(2);
    let scenario = Family::Steady.draw(&mut rng);
    let polar = Scenario { origin: Position::new(89.0, 0.0).unwrap(), ..scenario.clone() };
    assert!(matches!(Night::new(polar, &mut rng), Err(NightError::NearPole { .. })));
    let mut flat = scenario.clone();
    flat.boat.centroid_m = 0.0;
    assert!(matches!(Night::new(flat, &mut rng), Err(NightError::Centroid { .. })));
    let deep = Scenario { depth_m: 500.0, ..scenario };
    assert!(matches!(Night::new(deep, &mut rng), Err(NightError::Lies(_))));
}

// Source: a ship at anchor swings about once in ten minutes and more (practice, from memory).
#[test]
fn a_ship_lies_to_her_chain_and_turns_slowly() {
    let mut rng = Pcg64::seed_from_u64(30);
    let scenario = Family::Steady.draw_from(&Ranges::ships(), &mut rng);
    let chain_m = scenario.rode_true().unwrap().length().as_metres();
    let (truths, _) = lived(scenario, &mut rng);
    let furthest_m = truths.iter().map(off_m).fold(0.0, f64::max);
    assert!(0.6 * chain_m < furthest_m && furthest_m < 1.01 * chain_m, "{furthest_m} of {chain_m}");
    let fastest = truths.iter().map(|t| t.turning_rad_s.abs()).fold(0.0, f64::max);
    assert!(fastest.to_degrees() < 1.0, "{}", fastest.to_degrees());
}

#[test]
fn of_one_instant_the_fix_is_told_last() {
    let (_, _, readings) = night_of(Family::Multipath, 5);
    let place = |reading: &Observation| match reading.seen {
        Seen::Heading { .. } => 0,
        Seen::Wind(_) => 1,
        Seen::Water { .. } => 2,
        Seen::Way(_) => 3,
        _ => 4,
    };
    assert!(readings.windows(2).all(|pair| (pair[0].at, place(&pair[0])) < (pair[1].at, place(&pair[1]))));
}

#[test]
fn an_anchor_by_the_grounds_law_goes_only_where_the_pull_passes_what_it_can_hold() {
    for seed in 0..6 {
        let (scenario, truths, _) = night_of(Family::SquallDrag, seed);
        let AnchorStory::ByLaw(law) = scenario.anchor else { panic!("a squall drags by the law") };
        let dug = 1.0 - (-law.dug_in_m / law.digging_m).exp();
        let first = truths.iter().find(|t| t.anchor_moves).unwrap();
        // A pull off its set or upwards takes half of what it has dug in at most (the share held pulled right round).
        assert!(0.5 * law.holds_n * dug < first.peak_load.as_newtons(), "{seed}: {first:?}");
        // Until it goes, no pull was greater than all it can hold when deep.
        let before = truths.iter().take_while(|t| !t.anchor_moves);
        assert!(before.into_iter().all(|t| t.gone_m <= 0.0 && t.anchor_load.as_newtons() <= law.holds_n));
    }
}

#[test]
fn a_told_drag_goes_along_the_pull() {
    let (_, truths, _) = night_of(Family::HalfKnot, 2);
    for pair in truths.windows(2).filter(|pair| pair[0].anchor_moves && pair[1].anchor_moves) {
        let went = pair[1].anchor - pair[0].anchor;
        let pulled = pair[1].bow - pair[1].anchor;
        let lengths_m2 = went.length().as_metres() * pulled.length().as_metres();
        let along = (went.east_m * pulled.east_m + went.north_m * pulled.north_m) / lengths_m2;
        // Within a second her bow swings by some degrees at most.
        assert!(0.995 < along, "{along} at {}", pair[1].at);
    }
}

// Source: independent streams of one generator (M. E. O'Neill, HMC-CS-2014-0905) have no correlation, give or take one
// over the root of the number of independent values.
#[test]
fn two_streams_of_one_seed_live_nights_of_their_own() {
    let [one, other] = [1, 2].map(|stream| {
        let mut rng = Pcg64::new(77, stream);
        let scenario = Family::Steady.draw(&mut Pcg64::seed_from_u64(1));
        let (truths, _) = lived(scenario, &mut rng);
        truths.iter().map(|t| t.wind.speed().as_metres_per_second()).collect::<Vec<_>>()
    });
    let mean = |values: &[f64]| values.iter().sum::<f64>() / values.len() as f64;
    let (mean_one, mean_other) = (mean(&one), mean(&other));
    let product: f64 = one.iter().zip(&other).map(|(a, b)| (a - mean_one) * (b - mean_other)).sum();
    let square = |values: &[f64], mean: f64| values.iter().map(|v| (v - mean).powi(2)).sum::<f64>();
    let correlation = product / (square(&one, mean_one) * square(&other, mean_other)).sqrt();
    // The slow wandering of 40 min leaves some eight independent values in ten hours, the gusts two hundred.
    assert!(correlation.abs() < 0.5, "{correlation}");
    assert!(one != other);
}
