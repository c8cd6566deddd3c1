//! Facts about swinging that need no oracle.

use proptest::prelude::*;

use super::neighbour::{Assumption, LAG_ALIKE_DEG, LIGHT_AIR, Neighbour, NeighbourRode, Part, Place};
use super::*;
use crate::boat::HullKind;

fn metres(value: f64) -> Length {
    Length::metres(value)
}

const fn at(east_m: f64, north_m: f64) -> Offset {
    Offset { east_m, north_m }
}

fn berthing(lie_deg: f64, spread_deg: f64, sheer_deg: f64) -> Berthing {
    Berthing {
        reach_low: metres(34.0),
        reach_high: metres(39.0),
        lie: Bearing::degrees(lie_deg),
        spread: Angle::degrees(spread_deg),
        sheer: Angle::degrees(sheer_deg),
        length_overall: metres(13.0),
        beam: metres(4.0),
        rode: RodeKind::Chain,
        wind: Some(Speed::knots(16.0)),
        height: metres(8.0),
    }
}

fn spot(east_m: f64, north_m: f64) -> Danger {
    let shape = DangerShape::Point { at: at(east_m, north_m), radius: Length::ZERO };
    Danger::new("rock".into(), shape).unwrap()
}

fn room_m(berthing: &Berthing, danger: &Danger) -> f64 {
    sector(berthing).unwrap().room_to_danger(danger).least.as_metres()
}

fn chain_at(place: Place) -> Neighbour {
    Neighbour {
        name: "Marram".into(),
        place,
        length: Some(metres(13.0)),
        hull: Some(HullKind::MonohullSail),
        rode: NeighbourRode::Chain,
        veered: Some(metres(40.0)),
    }
}

fn anchor(east_m: f64, north_m: f64) -> Place {
    Place::Anchor { at: at(east_m, north_m), within: Length::ZERO }
}

fn seen(east_m: f64, north_m: f64, wind_from: Option<Bearing>) -> Place {
    Place::Seen { part: Part::Bow, at: at(east_m, north_m), within: Length::ZERO, wind_from }
}

#[test]
fn steady_and_straight_she_covers_her_own_length_beyond_the_reach() {
    // To the north of the anchor, stern at 39 + 13 m; a rock 60 m north leaves 8 m.
    let found = room_m(&berthing(0.0, 0.0, 0.0), &spot(0.0, 60.0));
    // What the search may fall short by.
    assert!((7.94..=8.0 + 1e-9).contains(&found), "{found}");
}

#[test]
fn a_rock_among_the_places_of_the_hull_leaves_no_room() {
    assert!(room_m(&berthing(0.0, 10.0, 5.0), &spot(1.0, 45.0)) <= 0.0);
}

#[test]
fn a_danger_as_wide_as_the_room_takes_all_of_it() {
    let wide = DangerShape::Point { at: at(0.0, 60.0), radius: metres(8.0) };
    let shoal = Danger::new("shoal".into(), wide).unwrap();
    assert!(room_m(&berthing(0.0, 0.0, 0.0), &shoal) <= 1e-9);
}

#[test]
fn a_margin_takes_its_breadth_from_the_room_to_a_line_and_to_an_area() {
    let wall = vec![at(-500.0, 60.0), at(500.0, 60.0), at(500.0, 90.0), at(-500.0, 90.0)];
    for shape in [DangerShape::Line(wall.clone()), DangerShape::Area(wall)] {
        let bare = Danger::new("wall".into(), shape).unwrap();
        let (berth, broad) = (berthing(0.0, 0.0, 0.0), bare.clone().with_margin(metres(3.0)).unwrap());
        assert!((room_m(&berth, &bare) - room_m(&berth, &broad) - 3.0).abs() < 1e-9);
        assert!(bare.with_margin(metres(f64::NAN)).is_err());
    }
}

#[test]
fn within_a_forbidden_area_there_is_no_room_though_its_border_is_far() {
    let border = vec![at(-500.0, -500.0), at(500.0, -500.0), at(500.0, 500.0), at(-500.0, 500.0)];
    let area = Danger::new("reserve".into(), DangerShape::Area(border.clone())).unwrap();
    assert!(room_m(&berthing(40.0, 20.0, 20.0), &area) <= 0.0);
    let line = Danger::new("its border".into(), DangerShape::Line(border)).unwrap();
    assert!(400.0 < room_m(&berthing(40.0, 20.0, 20.0), &line));
}

#[test]
fn a_danger_must_have_a_shape() {
    let two = vec![at(0.0, 0.0), at(1.0, 0.0)];
    assert!(matches!(
        Danger::new("shoal".into(), DangerShape::Area(two)),
        Err(SwingError::NoShape { points: 2, wanted: 3, .. })
    ));
    let nowhere = DangerShape::Point { at: at(f64::NAN, 0.0), radius: Length::ZERO };
    assert!(Danger::new("rock".into(), nowhere).is_err());
}

#[test]
fn a_berthing_that_cannot_be_is_refused_by_name() {
    let crossed = Berthing { reach_low: metres(50.0), ..berthing(0.0, 0.0, 0.0) };
    assert!(matches!(sector(&crossed), Err(SwingError::ReachesCrossed { .. })));
    let nowhere = Berthing { beam: metres(f64::NAN), ..berthing(0.0, 0.0, 0.0) };
    assert!(matches!(circle(&nowhere), Err(SwingError::NotAMeasure { what: "the beam", .. })));
}

#[test]
fn two_equal_boats_in_step_with_like_lie_keep_their_distance_though_their_circles_overlap() {
    let own = Berthing { reach_low: metres(32.0), reach_high: metres(40.0), ..berthing(0.0, 60.0, 0.0) };
    // Abreast of each other and 70 m apart: circles of 53 m overlap by far.
    let region = sector(&own).unwrap();
    let in_step = region.room_to_neighbour(&chain_at(anchor(70.0, 0.0))).unwrap();
    assert_eq!(in_step.case, Case::InStep);
    // With the wind 60° off, the one lies partly ahead of the other, 35 m abreast; lag takes some of that.
    assert!(0.0 < in_step.least.as_metres() && in_step.least.as_metres() < 70.0 - 4.0, "{in_step:?}");
    let out = region.room_in_case(&chain_at(anchor(70.0, 0.0)), Case::OutOfStep).unwrap();
    assert!(out.least.as_metres() <= 0.0, "{out:?}");
}

#[test]
fn in_a_steady_wind_he_who_lies_abreast_stays_abreast() {
    let own = Berthing { reach_low: metres(40.0), reach_high: metres(40.0), ..berthing(0.0, 0.0, 0.0) };
    let found = sector(&own).unwrap().room_to_neighbour(&chain_at(anchor(80.0, 0.0))).unwrap();
    // His stern corner, 53 m and half a beam of 0.33 × 13 m, swings 15° towards her; her side is 2 m off her line.
    let lag = LAG_ALIKE_DEG.to_radians();
    let exact_m = 80.0 - 2.0 - 53.0 * lag.sin() - 0.165 * 13.0 * lag.cos();
    let found_m = found.least.as_metres();
    // The cover of his arc stands off it by a hundredth of 53 m; the search falls short by two hundredths. Rounding.
    let least_m = exact_m - 0.53 - separation::slack_m(exact_m) - 0.1;
    assert!(least_m <= found_m && found_m <= exact_m + 1e-9, "{found_m} against {exact_m}");
}

#[test]
fn light_air_unlike_rodes_and_moorings_are_out_of_step() {
    let steady = sector(&berthing(0.0, 20.0, 30.0)).unwrap();
    let kind = |rode| Neighbour { rode, ..chain_at(anchor(150.0, 0.0)) };
    assert_eq!(steady.case(&kind(NeighbourRode::Chain)), Case::InStep);
    assert_eq!(steady.case(&kind(NeighbourRode::Unknown)), Case::InStep);
    assert_eq!(steady.case(&kind(NeighbourRode::Rope)), Case::OutOfStep);
    assert_eq!(steady.case(&kind(NeighbourRode::Mooring)), Case::OutOfStep);
    assert_eq!(steady.case(&kind(NeighbourRode::FixedOrAground)), Case::Still);
    for wind in [None, Some(LIGHT_AIR - Speed::knots(0.1)), Some(Speed::ZERO)] {
        let light = sector(&Berthing { wind, ..berthing(0.0, 20.0, 30.0) }).unwrap();
        assert_eq!(light.case(&kind(NeighbourRode::Chain)), Case::OutOfStep);
    }
    assert_eq!(steady.case(&chain_at(seen(150.0, 0.0, None))), Case::OutOfStep);
}

// Source: handbooks of the trade (common practice): the sum of both circles for boats that do not swing alike.
#[test]
fn out_of_step_in_light_air_the_room_is_what_both_circles_leave() {
    let light = Berthing { wind: Some(Speed::knots(3.0)), ..berthing(0.0, 20.0, 0.0) };
    let found = sector(&light).unwrap().room_to_neighbour(&chain_at(anchor(0.0, -150.0))).unwrap();
    let exact_m = 150.0 - 52.0_f64.hypot(2.0) - 53.0_f64.hypot(0.165 * 13.0);
    assert!(found.least.as_metres() <= exact_m, "{found:?}");
    // Two hundredths of the 98 m from his anchor to her circle.
    assert!(exact_m - 2.0 <= found.least.as_metres(), "{found:?} against {exact_m}");
}

#[test]
fn a_hull_seen_lies_where_it_was_seen_while_the_wind_stays() {
    let own = berthing(180.0, 0.0, 0.0);
    let region = sector(&own).unwrap();
    let known = region.room_to_neighbour(&chain_at(seen(90.0, -38.0, Some(Bearing::degrees(0.0))))).unwrap();
    // Lying abreast of her some 90 m off; lag and the doubt about his anchor cost less than 40 m of it.
    assert!(50.0 < known.least.as_metres() && known.least.as_metres() < 86.0, "{known:?}");
    let unknown = region.room_to_neighbour(&chain_at(seen(90.0, -38.0, None))).unwrap();
    assert!(unknown.least < known.least);
    assert!(unknown.assumed.contains(&Assumption::WindWhenSeen));
}

#[test]
fn what_is_not_known_of_him_is_guessed_and_said() {
    let stranger = Neighbour {
        name: "a ketch".into(),
        place: seen(120.0, 0.0, Some(Bearing::degrees(270.0))),
        length: None,
        hull: None,
        rode: NeighbourRode::Unknown,
        veered: None,
    };
    let region = sector(&berthing(90.0, 15.0, 30.0)).unwrap();
    let found = region.room_to_neighbour(&stranger).unwrap();
    let words: Vec<_> = found.assumed.iter().map(ToString::to_string).collect();
    assert_eq!(
        words,
        [
            "length taken as 15 m",
            "beam taken as 9.0 m",
            "kind of rode unknown: taken to turn with her",
            "rode taken as 32 to 72 m"
        ]
    );
    let told = Neighbour { length: Some(metres(10.0)), veered: Some(metres(40.0)), ..stranger };
    assert!(found.least <= region.room_to_neighbour(&told).unwrap().least);
}

#[test]
fn a_neighbour_nowhere_is_refused() {
    let region = sector(&berthing(90.0, 15.0, 30.0)).unwrap();
    assert!(region.room_to_neighbour(&chain_at(anchor(f64::NAN, 0.0))).is_err());
    let backwards = Neighbour { veered: Some(metres(-3.0)), ..chain_at(anchor(90.0, 0.0)) };
    assert!(region.room_to_neighbour(&backwards).is_err());
}

#[test]
fn on_level_ground_the_depth_is_the_depth_everywhere() {
    let region = circle(&berthing(0.0, 0.0, 30.0)).unwrap();
    let depth = WaterDepth(metres(6.0));
    assert_eq!(region.least_depth(depth, Angle::ZERO, Bearing::degrees(70.0)), depth);
}

#[test]
fn with_the_wind_onshore_her_stern_lies_over_the_shoaler_ground() {
    let region = sector(&berthing(30.0, 0.0, 0.0)).unwrap();
    let slope = Angle::radians(0.05_f64.atan());
    let over = |uphill| {
        let depth = WaterDepth(metres(6.0));
        region.least_under_keel(depth, slope, Bearing::degrees(uphill), metres(2.0)).as_metres()
    };
    // Stern 52 m up the slope of one in twenty: 2.6 m less; bow 34 m down it: 1.7 m more.
    assert!((over(30.0) - (6.0 - 2.6 - 2.0)).abs() < 1e-9);
    assert!((over(210.0) - (6.0 + 1.7 - 2.0)).abs() < 1e-9);
    // Along the slope half the beam of 4 m is all that climbs.
    assert!((over(120.0) - (6.0 - 0.1 - 2.0)).abs() < 1e-9);
    let falls = region.least_depth(WaterDepth(metres(6.0)), -slope, Bearing::degrees(210.0));
    assert!((falls.0.as_metres() - 3.4).abs() < 1e-9);
}

#[test]
fn the_circle_finds_the_shoalest_ground_wherever_it_lies() {
    let region = circle(&berthing(30.0, 0.0, 0.0)).unwrap();
    for uphill in 0..36 {
        let depth = WaterDepth(metres(6.0));
        let slope = Angle::radians(0.05_f64.atan());
        let found = region.least_depth(depth, slope, Bearing::degrees(f64::from(uphill) * 10.0));
        let expected = 6.0 - 0.05 * region.radius().as_metres();
        assert!((found.0.as_metres() - expected).abs() < 1e-9);
    }
}

/// Every corner and side of a rectangle of hull, as fine as a metre or two.
fn hull_points(berthing: &Berthing, lie: f64, reach_m: f64, sheer: f64) -> Vec<Offset> {
    let bow = turned(at(0.0, reach_m), lie.sin_cos());
    let (length_m, beam_m) = (berthing.length_overall.as_metres(), berthing.beam.as_metres());
    let mut points = Vec::new();
    for k in 0..=8 {
        for side in [-0.5, 0.5] {
            let aft = at(side * beam_m, length_m * f64::from(k) / 8.0);
            points.push(bow + turned(aft, (lie + sheer).sin_cos()));
        }
    }
    points
}

/// Parts of a range, both ends with it.
fn parts(low: f64, high: f64, count: i32) -> impl Iterator<Item = f64> {
    (0..=count).map(move |k| low + (high - low) * f64::from(k) / f64::from(count))
}

fn any_berthing() -> impl Strategy<Value = Berthing> {
    (5.0..60.0_f64, 0.0..15.0_f64, 0.0..360.0_f64, 0.0..180.0_f64, 0.0..60.0_f64, 8.0..20.0_f64, 2.0..8.0_f64)
        .prop_map(|(reach, more, lie, spread, sheer, length, beam)| Berthing {
            reach_low: metres(reach),
            reach_high: metres(reach + more),
            length_overall: metres(length),
            beam: metres(beam),
            ..berthing(lie, spread, sheer)
        })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn dense_sampling_never_finds_less_room_than_is_told(
        own in any_berthing(), east_m in -120.0..120.0_f64, north_m in -120.0..120.0_f64,
    ) {
        let told_m = room_m(&own, &spot(east_m, north_m));
        let (lie, spread, sheer) = (own.lie.as_radians(), own.spread.as_radians(), own.sheer.as_radians());
        for beta in parts(lie - spread, lie + spread, 24) {
            for delta in parts(-sheer, sheer, 8) {
                for reach_m in parts(own.reach_low.as_metres(), own.reach_high.as_metres(), 2) {
                    for p in hull_points(&own, beta, reach_m, delta) {
                        let off_m = p.distance_to(at(east_m, north_m)).as_metres();
                        prop_assert!(told_m <= off_m + 1e-9, "{told_m} told, {off_m} found");
                    }
                }
            }
        }
    }

    #[test]
    fn more_spread_never_makes_more_room(
        own in any_berthing(), more_deg in 0.0..90.0_f64, east_m in -120.0..120.0_f64, north_m in -120.0..120.0_f64,
    ) {
        let wider = Berthing { spread: own.spread + Angle::degrees(more_deg), ..own };
        let (narrow_m, wide_m) = (room_m(&own, &spot(east_m, north_m)), room_m(&wider, &spot(east_m, north_m)));
        // Either may fall short of its own truth by the search's slack.
        prop_assert!(wide_m <= narrow_m + separation::slack_m(narrow_m + 1.0), "{narrow_m}, wider {wide_m}");
    }

    #[test]
    fn the_sector_lies_within_the_circle(
        own in any_berthing(), east_m in -120.0..120.0_f64, north_m in -120.0..120.0_f64,
    ) {
        let rock = spot(east_m, north_m);
        let in_sector_m = room_m(&own, &rock);
        let in_circle_m = circle(&own).unwrap().room_to_danger(&rock).least.as_metres();
        prop_assert!(in_circle_m <= in_sector_m + separation::slack_m(in_sector_m + 1.0));
    }

    #[test]
    fn the_mirror_image_has_the_same_room(
        own in any_berthing(), east_m in -120.0..120.0_f64, north_m in -120.0..120.0_f64,
    ) {
        let image = Berthing { lie: Bearing::degrees(-own.lie.as_degrees()), ..own };
        let (one_m, other_m) = (room_m(&own, &spot(east_m, north_m)), room_m(&image, &spot(-east_m, north_m)));
        prop_assert!((one_m - other_m).abs() <= separation::slack_m(one_m.max(other_m) + 1.0));
    }

    #[test]
    fn out_of_step_leaves_no_more_room_than_in_step(
        own in any_berthing(), east_m in -150.0..150.0_f64, north_m in -150.0..150.0_f64,
        wind_deg in 0.0..360.0_f64, was_seen: bool,
    ) {
        let wind_from = Some(Bearing::degrees(wind_deg));
        let place = if was_seen { seen(east_m, north_m, wind_from) } else { anchor(east_m, north_m) };
        let region = sector(&own).unwrap();
        let in_step_m = region.room_in_case(&chain_at(place), Case::InStep).unwrap().least.as_metres();
        let out_m = region.room_in_case(&chain_at(place), Case::OutOfStep).unwrap().least.as_metres();
        // The circle is searched from his anchor, some 60 m further off, with the slack of that distance; in step his
        // arcs are drawn larger by a hundredth, out of step the circle is exact.
        prop_assert!(out_m <= in_step_m + separation::slack_m(in_step_m + 80.0) + 0.6, "{in_step_m}, {out_m}");
    }

    #[test]
    fn wherever_the_anchor_of_a_hull_that_was_seen_may_lie_no_sample_finds_less_room(
        own in any_berthing(), east_m in -150.0..150.0_f64, north_m in -150.0..150.0_f64,
        wind_deg in 0.0..360.0_f64, veered in prop::option::of(10.0..60.0_f64),
        part in 0.0..1.0_f64, off in -1.0..1.0_f64, play in -1.0..1.0_f64, lag in -1.0..1.0_f64,
    ) {
        let wind_from = Bearing::degrees(wind_deg);
        let his = Neighbour { veered: veered.map(metres), ..chain_at(seen(east_m, north_m, Some(wind_from))) };
        let told_m = sector(&own).unwrap().room_in_case(&his, Case::InStep).unwrap().least.as_metres();
        // A true rode, reach, wind angle and play among those that the module's words allow.
        let (low_m, high_m) = veered.map_or((32.0, 56.0), |veered| (veered, veered));
        let low_m = (low_m - 8.0).max(0.0);
        let reach_m = low_m + part * (high_m - low_m);
        let to_anchor = wind_from.turned(Angle::degrees(off * 15.0));
        let his_anchor = at(east_m, north_m) + Offset::along(to_anchor, metres(reach_m));
        let now_m = (reach_m + play * 8.0).clamp(0.0, high_m);
        let hull = Berthing { length_overall: metres(13.0), beam: metres(0.33 * 13.0), ..own };
        let (lie, spread, sheer) = (own.lie.as_radians(), own.spread.as_radians(), own.sheer.as_radians());
        for beta in parts(lie - spread, lie + spread, 12) {
            let hers = hull_points(&own, beta, own.reach_high.as_metres(), sheer * off);
            let lagging = beta + lag * LAG_ALIKE_DEG.to_radians();
            for p in hull_points(&hull, lagging, now_m, sheer * play) {
                for q in &hers {
                    let off_m = q.distance_to(his_anchor + p).as_metres();
                    prop_assert!(told_m <= off_m + 1e-9, "{told_m} told, {off_m} found");
                }
            }
        }
    }
}
