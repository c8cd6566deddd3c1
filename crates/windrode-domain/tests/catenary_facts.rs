//! Facts about rodes that need no oracle: identities, limits, scaling, borders between regimes.

use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use windrode_domain::catenary::{
    Bed, CatenaryError, Contact, Kellet, Lie, LiftOff, Line, Need, STEEPEST, Segment, Stowed, shortest,
};
use windrode_domain::units::{Angle, Force, Length, Mass, Speed, WeightPerLength};

fn segment(length_m: f64, weight_n_m: f64, ea_n: f64) -> Segment {
    Segment {
        length: Length::metres(length_m),
        weight: WeightPerLength::newtons_per_metre(weight_n_m),
        stiffness: Force::newtons(ea_n),
    }
}

fn kellet(from_anchor_m: f64, weight_n: f64) -> Kellet {
    Kellet { from_anchor: Length::metres(from_anchor_m), weight: Force::newtons(weight_n) }
}

fn line(segments: &[Segment], kellets: &[Kellet]) -> Line {
    Line::new(segments.to_vec(), kellets.to_vec()).unwrap()
}

fn bed(slope_deg: f64, friction: f64) -> Bed {
    Bed { slope: Angle::degrees(slope_deg), friction }
}

fn lie(line: &Line, height_m: f64, load_n: f64, bed: &Bed) -> Result<Lie, CatenaryError> {
    line.under_load(Length::metres(height_m), Force::newtons(load_n), bed)
}

fn chain(length_m: f64) -> Line {
    line(&[segment(length_m, 19.2, 8.54e6)], &[])
}

#[track_caller]
fn close(a: f64, b: f64, tolerance: f64) {
    assert!((a - b).abs() <= tolerance, "{a} against {b}");
}

#[test]
fn tension_at_the_roller_exceeds_that_at_the_ground_by_the_weight_of_the_height() {
    // w h = (T_F − T_A) + (T_F² − T_A²) / 2EA: from dT/ds = w sin φ and dz/ds = (1 + T/EA) sin φ.
    let (weight_n_m, ea_n) = (19.2, 8.54e6);
    for load_n in [1.0, 50.0, 1500.0, 2304.0, 5000.0, 90_000.0] {
        let lie = lie(&chain(50.0), 10.0, load_n, &Bed::LEVEL).unwrap();
        let top = lie.tension().as_newtons();
        let bottom = lie.anchor_horizontal().as_newtons().hypot(lie.anchor_vertical().as_newtons());
        let weighed_m = ((top - bottom) + (top * top - bottom * bottom) / (2.0 * ea_n)) / weight_n_m;
        // Rounding of the tensions, a few parts in 1e16 of themselves and of their squares over EA.
        close(weighed_m, 10.0, 1e-9 + 1e-14 * top);
    }
}

#[test]
fn all_the_weight_is_borne_by_roller_ground_and_anchor() {
    let rode = line(&[segment(20.0, 12.0, 5.5e6), segment(30.0, 1.0, 4e4)], &[kellet(10.0, 100.0)]);
    for load_n in [20.0, 200.0, 2000.0, 20_000.0] {
        let lie = lie(&rode, 8.0, load_n, &Bed::LEVEL).unwrap();
        let resting = match lie.contact() {
            Contact::Grounded { resting } => {
                let kellet_n = if 10.0 < resting.as_metres() { 100.0 } else { 0.0 };
                12.0 * resting.as_metres().min(20.0) + (resting.as_metres() - 20.0).max(0.0) + kellet_n
            }
            Contact::KelletAtTouchdown { resting, borne } => 12.0 * resting.as_metres() + borne.as_newtons(),
            Contact::Lifted { .. } => 0.0,
        };
        let total = lie.vertical().as_newtons() - lie.anchor_vertical().as_newtons() + resting;
        close(total, 240.0 + 30.0 + 100.0, 1e-9);
    }
}

#[test]
fn scaling_lengths_and_loads_together_changes_no_angle() {
    let of = |scale: f64| {
        let segments = [segment(20.0 * scale, 12.0, 5.5e6 * scale), segment(30.0 * scale, 1.0, 4e4 * scale)];
        line(&segments, &[kellet(18.0 * scale, 100.0 * scale)])
    };
    for load_n in [100.0, 1000.0, 9000.0] {
        let small = lie(&of(1.0), 8.0, load_n, &bed(-4.0, 0.0)).unwrap();
        let great = lie(&of(3.0), 24.0, 3.0 * load_n, &bed(-4.0, 0.0)).unwrap();
        close(great.uplift().as_degrees(), small.uplift().as_degrees(), 1e-11);
        close(great.distance().as_metres(), 3.0 * small.distance().as_metres(), 1e-10);
    }
}

#[test]
fn a_line_cut_in_two_lies_as_the_whole() {
    let whole = chain(50.0);
    let halves = line(&[segment(21.0, 19.2, 8.54e6), segment(29.0, 19.2, 8.54e6)], &[kellet(33.0, 0.0)]);
    for load_n in [1.0, 300.0, 2000.0, 5000.0] {
        let (a, b) = (
            lie(&whole, 10.0, load_n, &bed(3.0, 0.4)).unwrap(),
            lie(&halves, 10.0, load_n, &bed(3.0, 0.4)).unwrap(),
        );
        close(a.distance().as_metres(), b.distance().as_metres(), 1e-11);
        close(a.vertical().as_newtons(), b.vertical().as_newtons(), 1e-9);
    }
}

#[test]
fn a_hanging_rode_seen_from_its_other_end_is_the_same_rode() {
    // Turned about, the upper end hangs lower: the mirror of a rode that is pulled downhill from below its anchor.
    let up = lie(&line(&[segment(30.0, 5.0, 1e5), segment(20.0, 1.0, 5e4)], &[]), 10.0, 5000.0, &Bed::LEVEL)
        .unwrap();
    assert!(matches!(up.contact(), Contact::Lifted { .. }));
    // Weight turned to buoyancy and up to down is the same mirror, and its height is positive again.
    let down =
        lie(&line(&[segment(20.0, -1.0, 5e4), segment(30.0, -5.0, 1e5)], &[]), 10.0, 5000.0, &Bed::LEVEL)
            .unwrap();
    close(down.distance().as_metres(), up.distance().as_metres(), 1e-10);
    close(down.anchor_vertical().as_newtons(), up.vertical().as_newtons(), 1e-8);
}

#[test]
fn an_endless_load_pulls_the_rode_along_its_chord() {
    let rode = line(&[segment(30.0, 12.0, 1e18), segment(20.0, 0.5, 1e18)], &[kellet(12.0, 200.0)]);
    let lie = lie(&rode, 10.0, 1e12, &Bed::LEVEL).unwrap();
    // It stretches by a millionth, and the slope of the chord with it.
    close(lie.uplift().as_radians(), (10.0_f64 / 50.0).asin(), 1e-6);
    close(lie.distance().as_metres(), (50.0_f64 * 50.0 - 100.0).sqrt(), 1e-4);
}

#[test]
fn without_load_the_chain_hangs_plumb_and_the_rest_lies_straight() {
    let lie = lie(&chain(50.0), 10.0, 1e-6, &Bed::LEVEL).unwrap();
    // A chain of 19 N/m stretches 0.1 mm hanging 10 m.
    close(lie.distance().as_metres(), 40.0, 2e-3);
    close(lie.vertical().as_newtons(), 192.0, 2e-2);
}

#[test]
fn a_rope_all_but_weightless_lies_as_one_without_weight() {
    let reach = |weight_n_m| {
        let rode = line(&[segment(60.0, weight_n_m, 4e4)], &[]);
        lie(&rode, 10.0, 1000.0, &Bed::LEVEL).unwrap().distance().as_metres()
    };
    for weight_n_m in [1e-3, 1e-6, 1e-9, 1e-12, 1e-15, 1e-300, -1e-12] {
        // The sag shortens by the square of the weight: below 1e-9 m from a millinewton a metre down.
        close(reach(weight_n_m), reach(0.0), 1e-4 * weight_n_m.abs() + 1e-12);
    }
}

#[test]
fn the_lie_at_the_lift_off_load_is_between_grounded_and_lifted() {
    for slope_deg in [-20.0, -5.0, 0.0, 5.0] {
        for rode in
            [chain(45.0), line(&[segment(20.0, 12.0, 5.5e6), segment(25.0, 1.0, 4e4)], &[kellet(9.0, 150.0)])]
        {
            let bed = bed(slope_deg, 0.0);
            let LiftOff::At(load) = rode.lift_off(Length::metres(8.0), &bed).unwrap() else {
                panic!("it lifts")
            };
            let under = |share: f64| lie(&rode, 8.0, share * load.as_newtons(), &bed).unwrap();
            let (below, above) = (under(1.0 - 1e-7), under(1.0 + 1e-7));
            assert!(0.0 < below.grounded().as_metres() && below.uplift() == Angle::ZERO);
            assert!(0.0 < above.uplift().as_radians() && above.grounded() == Length::ZERO);
            // Two parts in ten million of the load apart, over a give of up to centimetres per newton.
            close(below.distance().as_metres(), above.distance().as_metres(), 1e-5);
            close(below.anchor_vertical().as_newtons(), above.anchor_vertical().as_newtons(), 1e-2);
        }
    }
}

#[test]
fn a_kellet_rises_from_the_ground_over_a_range_of_loads() {
    let rode = line(&[segment(40.0, 12.0, 5.5e6)], &[kellet(15.0, 300.0)]);
    let mut seen = Vec::new();
    let mut borne_before = f64::INFINITY;
    for load_n in (100..4000).step_by(5) {
        match lie(&rode, 8.0, f64::from(load_n), &Bed::LEVEL).unwrap().contact() {
            Contact::KelletAtTouchdown { borne, resting } => {
                close(resting.as_metres(), 15.0, 1e-12);
                assert!(0.0 <= borne.as_newtons() && borne.as_newtons() < borne_before);
                borne_before = borne.as_newtons();
                seen.push("standing");
            }
            Contact::Grounded { resting } if 15.0 < resting.as_metres() => seen.push("beyond"),
            Contact::Grounded { .. } => seen.push("inside"),
            Contact::Lifted { .. } => seen.push("lifted"),
        }
    }
    seen.dedup();
    assert_eq!(seen, ["beyond", "standing", "inside", "lifted"]);
}

#[test]
fn a_kellet_at_the_anchor_itself_takes_uplift_off_it() {
    let rode = line(&[segment(30.0, 12.0, 5.5e6)], &[kellet(0.0, 100.0)]);
    let bare = line(&[segment(30.0, 12.0, 5.5e6)], &[]);
    let (with, without) =
        (lie(&rode, 8.0, 3000.0, &Bed::LEVEL).unwrap(), lie(&bare, 8.0, 3000.0, &Bed::LEVEL).unwrap());
    close(with.anchor_vertical().as_newtons(), without.anchor_vertical().as_newtons() - 100.0, 1e-9);
    let barely = lie(&rode, 8.0, 700.0, &Bed::LEVEL).unwrap();
    assert!(
        matches!(barely.contact(), Contact::KelletAtTouchdown { resting, .. } if resting == Length::ZERO)
    );
    assert_eq!(barely.uplift(), Angle::ZERO);
}

#[test]
fn more_load_never_means_less_reach_or_more_on_the_ground() {
    for slope_deg in [-30.0, -10.0, 0.0, 8.0] {
        for friction in [0.0, 0.7] {
            let rode = line(&[segment(20.0, 12.0, 5.5e6), segment(25.0, 1.0, 4e4)], &[kellet(9.0, 150.0)]);
            let mut before: Option<Lie> = None;
            for step in 0..400 {
                let now = lie(&rode, 8.0, 1.02_f64.powi(step), &bed(slope_deg, friction)).unwrap();
                if let Some(before) = before {
                    assert!(before.distance() < now.distance(), "{slope_deg} {friction} {step}");
                    assert!(now.grounded() <= before.grounded());
                    assert!(before.uplift() <= now.uplift());
                }
                before = Some(now);
            }
        }
    }
}

#[test]
fn the_curve_ends_at_the_roller_and_passes_through_every_joint() {
    let rode = line(
        &[segment(20.0, 12.0, 5.5e6), segment(25.0, 1.0, 4e4)],
        &[kellet(9.0, 150.0), kellet(30.0, 40.0)],
    );
    for (slope_deg, load_n) in [(0.0, 60.0), (0.0, 900.0), (-15.0, 300.0), (6.0, 300.0), (0.0, 8000.0)] {
        let lie = lie(&rode, 8.0, load_n, &bed(slope_deg, 0.3)).unwrap();
        let marks = [Length::metres(10.0), Length::metres(33.3), Length::metres(99.0)];
        let shape = rode.shape(&lie, 50, &marks);
        for wanted in [0.0, 9.0, 10.0, 20.0, 30.0, 33.3, 45.0, lie.grounded().as_metres()] {
            assert!(shape.iter().any(|p| (p.along.as_metres() - wanted).abs() < 2e-9), "{wanted}");
        }
        let last = shape.last().unwrap();
        close(last.x.as_metres(), lie.distance().as_metres(), 1e-9);
        close(last.z.as_metres(), 8.0, 1e-9);
        close(last.tension.as_newtons(), lie.tension().as_newtons(), 1e-9);
        for pair in shape.windows(2) {
            let chord = (pair[1].x - pair[0].x).as_metres().hypot((pair[1].z - pair[0].z).as_metres());
            let along = (pair[1].along - pair[0].along).as_metres();
            // A chord is never longer than the stretched piece; the softest stretches by T/EA.
            assert!(chord <= along * (1.0 + lie.tension().as_newtons() / 4e4) + 1e-9);
            assert!(-1e-9 <= (pair[1].z - pair[1].x * slope_deg.to_radians().tan()).as_metres());
        }
    }
}

#[test]
fn tension_jumps_at_a_kellet_and_nowhere_else() {
    let rode = line(
        &[segment(20.0, 12.0, 5.5e6), segment(25.0, 1.0, 4e4)],
        &[kellet(9.0, 150.0), kellet(45.0, 40.0)],
    );
    let lie = lie(&rode, 8.0, 2500.0, &Bed::LEVEL).unwrap();
    let tensions = rode.tensions(&lie);
    close(tensions.segments[0].upper.as_newtons(), tensions.segments[1].lower.as_newtons(), 1e-9);
    let anchor_n = lie.anchor_horizontal().as_newtons().hypot(lie.anchor_vertical().as_newtons());
    close(tensions.segments[0].lower.as_newtons(), anchor_n, 1e-9);
    // V just above the lower kellet: the anchor's, 9 m of chain and the kellet.
    let above = 2500.0_f64.hypot(lie.anchor_vertical().as_newtons() + 9.0 * 12.0 + 150.0);
    close(tensions.kellets[0].above.as_newtons(), above, 1e-9);
    close(tensions.kellets[1].above.as_newtons(), lie.tension().as_newtons(), 1e-9);
    close(tensions.kellets[1].below.as_newtons(), tensions.segments[1].upper.as_newtons(), 1e-9);
    assert!(tensions.kellets[1].below < tensions.kellets[1].above);
}

#[test]
fn the_work_of_a_slow_pull_is_load_times_distance() {
    let rode = line(&[segment(20.0, 12.0, 5.5e6), segment(25.0, 1.0, 4e4)], &[kellet(9.0, 150.0)]);
    let height = Length::metres(8.0);
    let (from, to) = (Force::newtons(700.0), Force::newtons(700.7));
    let work = rode.work_between(height, &Bed::LEVEL, from, to).unwrap().as_joules();
    let reach = |load| rode.under_load(height, load, &Bed::LEVEL).unwrap().distance();
    // The trapezium over a thousandth of the load is out by the square of that.
    close(work, ((from + to) * 0.5 * (reach(to) - reach(from))).as_joules(), 1e-6 * work);
}

#[test]
fn the_closed_work_and_the_work_in_steps_are_the_same() {
    let rode = line(
        &[segment(20.0, 12.0, 5.5e6), segment(25.0, 1.0, 4e4)],
        &[kellet(9.0, 150.0), kellet(30.0, 50.0)],
    );
    for slope_deg in [-12.0, 0.0, 4.0] {
        for (from_n, to_n) in [(50.0, 200.0), (200.0, 1000.0), (60.0, 9000.0)] {
            let work = |friction| {
                let (from, to) = (Force::newtons(from_n), Force::newtons(to_n));
                rode.work_between(Length::metres(8.0), &bed(slope_deg, friction), from, to)
                    .unwrap()
                    .as_joules()
            };
            // A friction that is hardly any is not closed any more; it changes the work by as little.
            close(work(0.0), work(1e-12), 1e-7 * work(0.0));
        }
    }
}

#[test]
fn a_boat_at_rest_makes_no_peak_and_a_harder_surge_a_higher_one() {
    let rode = line(&[segment(35.0, 19.2, 8.54e6), segment(8.0, 0.12, 4e4)], &[]);
    let peak = |surge_ms: f64| {
        let surge = Speed::metres_per_second(surge_ms);
        rode.peak_load(
            Length::metres(9.0),
            &Bed::LEVEL,
            Force::newtons(800.0),
            Mass::kilograms(9000.0),
            surge,
        )
    };
    assert_eq!(peak(0.0).unwrap().force, Force::newtons(800.0));
    let mut before = 800.0;
    for tenths in 1..20 {
        let now = peak(0.1 * f64::from(tenths)).unwrap().force.as_newtons();
        assert!(before < now);
        before = now;
    }
    assert!(matches!(peak(30.0), Err(CatenaryError::SurgeTooGreat { .. })));
    assert!(matches!(peak(f64::NAN), Err(CatenaryError::Surge { .. })));
}

#[test]
fn the_shortest_rode_does_and_a_millimetre_less_does_not() {
    let stowed = Stowed::new(
        line(&[segment(30.0, 12.0, 5.5e6), segment(80.0, 1.0, 6e4)], &[kellet(12.0, 100.0)]),
        vec![segment(6.0, 0.12, 3e4)],
    )
    .unwrap();
    let height = Length::metres(9.0);
    for slope_deg in [-8.0, 0.0, 3.0] {
        for load_n in [100.0, 600.0, 2000.0] {
            let (load, bed) = (Force::newtons(load_n), bed(slope_deg, 0.0));
            let veered = |length| stowed.veered(length).unwrap().under_load(height, load, &bed).unwrap();
            let shorter = Length::metres(0.001);
            for permitted_deg in [0.0, 4.0] {
                let need = Need::Uplift(Angle::degrees(permitted_deg));
                let Ok(length) = shortest(&stowed, need, height, load, &bed) else { continue };
                assert!(veered(length).uplift().as_degrees() <= permitted_deg + 1e-7);
                assert!(permitted_deg < veered(length - shorter).uplift().as_degrees());
            }
            let length = shortest(&stowed, Need::Reach(Length::metres(60.0)), height, load, &bed).unwrap();
            assert!(60.0 - 1e-7 <= veered(length).distance().as_metres());
            assert!(veered(length - shorter).distance().as_metres() < 60.0);
        }
    }
    let short = Stowed::new(chain(12.0), vec![]).unwrap();
    let refused = shortest(&short, Need::NoUplift, height, Force::newtons(5000.0), &Bed::LEVEL);
    assert!(matches!(refused, Err(CatenaryError::NotEnoughStowed { .. })));
}

#[test]
fn rope_that_would_float_to_the_surface_is_refused_by_name() {
    let rode = line(&[segment(8.0, 12.0, 5.5e6), segment(60.0, -0.4, 5e4)], &[]);
    let slack = lie(&rode, 6.0, 5.0, &Bed::LEVEL);
    assert!(matches!(slack, Err(CatenaryError::RisesAboveRoller { .. })), "{slack:?}");
    let taut = lie(&rode, 6.0, 2000.0, &Bed::LEVEL).unwrap();
    assert!(taut.distance().as_metres() < 71.0);
    let sagging =
        line(&[segment(5.0, 12.0, 5.5e6), segment(30.0, -0.4, 5e4), segment(30.0, 12.0, 5.5e6)], &[]);
    let touching = lie(&sagging, 6.0, 200.0, &Bed::LEVEL);
    assert!(matches!(touching, Err(CatenaryError::TouchesGround { .. })), "{touching:?}");
}

#[test]
fn a_floating_rode_lifts_without_any_load() {
    let rode = line(&[segment(60.0, -0.4, 5e4)], &[]);
    assert_eq!(rode.lift_off(Length::metres(6.0), &Bed::LEVEL), Ok(LiftOff::Already));
}

#[test]
fn up_a_slope_that_meets_the_roller_there_is_no_lie_and_a_little_less_never_lifts() {
    let refused = lie(&chain(40.0), 4.0, 500.0, &bed(15.0, 0.0));
    assert!(matches!(refused, Err(CatenaryError::GroundAboveRoller { .. })), "{refused:?}");
    let inverse = chain(40.0).at_distance(Length::metres(4.0), Length::metres(38.0), &bed(15.0, 0.0));
    assert!(matches!(inverse, Err(CatenaryError::GroundAboveRoller { .. })), "{inverse:?}");
    // 45 m up 10° rise 7.8142 m: stretch makes up the last decimetre before the chain is straight.
    assert_eq!(chain(45.0).lift_off(Length::metres(7.815), &bed(10.0, 0.0)), Ok(LiftOff::Never));
}

#[test]
fn what_cannot_be_is_refused_by_name() {
    let rode = chain(40.0);
    for bad in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        assert!(matches!(lie(&rode, bad, 100.0, &Bed::LEVEL), Err(CatenaryError::Height { .. })));
        assert!(matches!(lie(&rode, 10.0, bad, &Bed::LEVEL), Err(CatenaryError::Load { .. })));
    }
    for bad in [-1.0, f64::NAN, f64::INFINITY] {
        assert!(matches!(lie(&rode, 10.0, 100.0, &bed(0.0, bad)), Err(CatenaryError::Friction { .. })));
        let distance = Length::metres(bad);
        let refused = rode.at_distance(Length::metres(10.0), distance, &Bed::LEVEL);
        assert!(matches!(refused, Err(CatenaryError::Distance { .. })));
    }
    for bad in [STEEPEST.as_degrees() + 1.0, -80.0, f64::NAN] {
        assert!(matches!(lie(&rode, 10.0, 100.0, &bed(bad, 0.0)), Err(CatenaryError::Slope { .. })));
    }
    for height_m in [40.0, 41.0, 1e6] {
        assert!(matches!(
            lie(&rode, height_m, 100.0, &Bed::LEVEL),
            Err(CatenaryError::ShorterThanHeight { .. })
        ));
    }
}

#[test]
fn out_of_reach_says_how_far_the_rode_reaches() {
    let rode = chain(40.0);
    let at = |distance_m| rode.at_distance(Length::metres(10.0), Length::metres(distance_m), &Bed::LEVEL);
    let Err(CatenaryError::TooNear { plumb, .. }) = at(29.0) else { panic!("it hangs slack") };
    close(plumb.as_metres(), 30.0, 2e-3);
    let Err(CatenaryError::TooFar { farthest, .. }) = at(1000.0) else { panic!("it does not reach") };
    assert!(40.0 < farthest.as_metres());
}

/// Chain and rope in the ranges that are promised: 1 N to 100 kN, heights 0.5 to 60 m, scopes 1.05 to 50,
/// slopes of 30°.
fn rodes() -> impl Strategy<Value = (Line, f64, Bed, f64)> {
    let height = (0.5_f64.ln()..60_f64.ln()).prop_map(f64::exp);
    let scope = (1.05_f64.ln()..50_f64.ln()).prop_map(f64::exp);
    let slope = prop_oneof![Just(0.0), -30.0..30.0];
    let friction = prop_oneof![Just(0.0), 0.0..1.5];
    let load = (0.0..1e5_f64.ln()).prop_map(f64::exp);
    let rope = prop_oneof![Just(0.0), 1e-12..1e-3, 0.05..1.5];
    (height, scope, 0.05..0.95, rope, slope, friction, load, 0.0..1.0, 0.0..400.0).prop_map(
        |(height_m, scope, share, rope_n_m, slope_deg, friction, load_n, place, kellet_n)| {
            let length_m = height_m * scope;
            let segments =
                [segment(share * length_m, 19.2, 8.54e6), segment((1.0 - share) * length_m, rope_n_m, 1.5e5)];
            (
                line(&segments, &[kellet(place * length_m, kellet_n)]),
                height_m,
                bed(slope_deg, friction),
                load_n,
            )
        },
    )
}

/// Up to four segments of anything, some afloat, up to three kellets, loads from a hundredth of a newton to 10 MN.
fn any_rodes() -> impl Strategy<Value = (Line, f64, Bed, f64)> {
    let weight = prop_oneof![Just(0.0), 5.0..60.0, 0.01..2.0, -2.0..0.0, 1e-15..1e-3];
    let stiffness = (1e4_f64.ln()..1e12_f64.ln()).prop_map(f64::exp);
    let segments = prop::collection::vec((0.01..60.0, weight, stiffness), 1..5);
    let kellets = prop::collection::vec((0.0..=1.0, 0.0..500.0), 0..4);
    let load = (1e-2_f64.ln()..1e7_f64.ln()).prop_map(f64::exp);
    (segments, kellets, 0.001..1.0, -44.0..44.0, prop_oneof![Just(0.0), 0.0..3.0], load).prop_map(
        |(segments, kellets, share, slope_deg, friction, load_n)| {
            let segments: Vec<_> = segments.into_iter().map(|(l, w, ea)| segment(l, w, ea)).collect();
            let length_m: f64 = segments.iter().map(|s| s.length.as_metres()).sum();
            let kellets: Vec<_> = kellets.into_iter().map(|(at, w)| kellet(at * length_m, w)).collect();
            (line(&segments, &kellets), share * length_m, bed(slope_deg, friction), load_n)
        },
    )
}

/// The same four thousand rodes every time: a gate must not fail by luck. Change the seed to look further.
fn repeatable() -> ProptestConfig {
    ProptestConfig {
        rng_seed: RngSeed::Fixed(20_261_125),
        failure_persistence: None,
        ..ProptestConfig::with_cases(4000)
    }
}

proptest! {
    #![proptest_config(repeatable())]

    #[test]
    fn load_to_distance_and_back_is_the_same_load((rode, height_m, bed, load_n) in rodes()) {
        let height = Length::metres(height_m);
        let out = match lie(&rode, height_m, load_n, &bed) {
            Ok(lie) => lie,
            Err(CatenaryError::GroundAboveRoller { .. }) => return Ok(()),
            Err(other) => return Err(TestCaseError::fail(other.to_string())),
        };
        prop_assert!(0.0 <= out.uplift().as_radians() && out.grounded() < rode.length());
        let back = match rode.at_distance(height, out.distance(), &bed) {
            Ok(back) => back,
            // A rode straight up the slope, or all but weightless and slack, gives no hold on its load.
            Err(error) => return Err(TestCaseError::fail(error.to_string())),
        };
        let again = lie(&rode, height_m, back.horizontal().as_newtons(), &bed).unwrap();
        // The distance is what was asked: rounding over the length.
        let far_m = rode.length().as_metres();
        prop_assert!((again.distance() - out.distance()).abs().as_metres() < 1e-11 * (1.0 + far_m));
        // The load follows as well as the distance tells it.
        let nearby = lie(&rode, height_m, load_n * (1.0 + 1e-4), &bed).unwrap();
        let give_m_n = (nearby.distance() - out.distance()).as_metres() / (1e-4 * load_n);
        let doubt_n = 1e-9 * load_n + 2e-13 * (1.0 + far_m) / give_m_n;
        prop_assert!((back.horizontal().as_newtons() - load_n).abs() < doubt_n, "{} N back from {load_n} N, {give_m_n} m/N, {:?} {:?}", back.horizontal().as_newtons(), out, again);
    }

    #[test]
    fn any_rode_at_all_is_solved_or_refused_by_name((rode, height_m, bed, load_n) in any_rodes()) {
        let height = Length::metres(height_m);
        let found = lie(&rode, height_m, load_n, &bed);
        prop_assert!(!matches!(found, Err(CatenaryError::Search(_))), "{found:?}");
        let Ok(found) = found else { return Ok(()) };
        let numbers = [
            found.distance().as_metres(),
            found.vertical().as_newtons(),
            found.grounded().as_metres(),
            found.anchor_horizontal().as_newtons(),
            found.anchor_vertical().as_newtons(),
            found.uplift().as_radians(),
        ];
        prop_assert!(numbers.iter().all(|n| n.is_finite()), "{found:?}");
        prop_assert!(0.0 <= found.uplift().as_radians() && found.grounded() < rode.length());
        let last = *rode.shape(&found, 3, &[]).last().unwrap();
        prop_assert!((last.z.as_metres() - height_m).abs() < 1e-9 * (1.0 + rode.length().as_metres()), "{found:?}");
        let back = rode.at_distance(height, found.distance(), &bed);
        prop_assert!(!matches!(back, Err(CatenaryError::Search(_))), "{back:?}");
        if let Ok(back) = back {
            let doubt_m = 1e-9 * (1.0 + rode.length().as_metres());
            prop_assert!((back.distance() - found.distance()).abs().as_metres() < doubt_m);
        }
        prop_assert!(!matches!(rode.lift_off(height, &bed), Err(CatenaryError::Search(_))));
    }

    #[test]
    fn the_curve_of_any_rode_ends_at_the_roller((rode, height_m, bed, load_n) in rodes()) {
        let Ok(lie) = lie(&rode, height_m, load_n, &bed) else { return Ok(()) };
        let shape = rode.shape(&lie, 7, &[]);
        let last = shape.last().unwrap();
        let tolerance_m = 1e-9 * (1.0 + rode.length().as_metres());
        prop_assert!((last.x - lie.distance()).abs().as_metres() < tolerance_m);
        prop_assert!((last.z.as_metres() - height_m).abs() < tolerance_m);
    }
}
