//! What is true of the watch over the neighbours: of recorded vessels, and of made ones whose truth is known.

mod made;
mod recorded;

use jiff::{SignedDuration, Timestamp};

use super::*;
use crate::units::Bearing;
use crate::watch::event::{NeighbourSaid, NeighbourStatus};
use crate::watch::own_clock::seconds;

const NOBODY_KNOWS: Surroundings = Surroundings { own: None, wind: None };

fn origin() -> Position {
    Position::new(-42.5, 173.5).expect("a place")
}

fn at(minutes: f64) -> Timestamp {
    let begin: Timestamp = "2026-02-03T18:00:00Z".parse().expect("an instant");
    begin.checked_add(SignedDuration::from_secs_f64(minutes * 60.0)).expect("in range")
}

/// A report that says where she is and nothing else but a heading.
fn report(mmsi: u32, minutes: f64, east_m: f64, north_m: f64, heading_deg: Option<f64>) -> NeighbourReport {
    let place = origin().plus(crate::position::Offset { east_m, north_m });
    let said = NeighbourSaid::Position {
        at: place,
        speed: None,
        course: None,
        heading: heading_deg.map(Bearing::degrees),
        status: NeighbourStatus::Unstated,
        accurate: true,
        turning_deg_min: None,
    };
    NeighbourReport { at: at(minutes), mmsi, said }
}

fn hear(fleet: &mut Fleet, report: &NeighbourReport, around: &Surroundings) -> VesselView {
    fleet.hear(report, around, report.at);
    fleet.vessel(report.mmsi).expect("she was heard")
}

#[test]
fn a_vessel_that_was_heard_once_is_not_said_to_lie() {
    let mut fleet = Fleet::new(FleetSetup::default());
    let view = hear(&mut fleet, &report(1, 0.0, 0.0, 0.0, Some(40.0)), &NOBODY_KNOWS);
    assert_eq!(view.state, NeighbourState::CannotTell);
    assert!(matches!(view.reasons[..], [NeighbourReason::JustStopped { .. }]));
}

#[test]
fn beyond_the_cap_the_farthest_is_forgotten() {
    let setup = FleetSetup { most_vessels: 10, ..FleetSetup::default() };
    let mut fleet = Fleet::new(setup);
    let own =
        OwnState { bow: origin(), anchor: None, reach: Length::metres(40.0), length: Length::metres(12.0) };
    let around = Surroundings { own: Some(own), wind: None };
    for mmsi in 1..=30 {
        // Number 1 is the farthest.
        fleet.hear(
            &report(mmsi, f64::from(mmsi), 100.0 * f64::from(40 - mmsi), 0.0, None),
            &around,
            at(30.0),
        );
        assert!(fleet.followed() <= 10);
    }
    let kept: Vec<u32> = fleet.vessels().map(|view| view.mmsi).collect();
    assert_eq!(kept, (21..=30).collect::<Vec<_>>());
}

#[test]
fn where_our_own_place_is_unknown_the_longest_silent_is_forgotten() {
    let mut fleet = Fleet::new(FleetSetup { most_vessels: 2, ..FleetSetup::default() });
    for (mmsi, minutes) in [(7, 5.0), (8, 1.0), (9, 6.0)] {
        fleet.hear(&report(mmsi, minutes, 0.0, 0.0, None), &NOBODY_KNOWS, at(minutes));
    }
    assert_eq!(fleet.vessels().map(|view| view.mmsi).collect::<Vec<_>>(), [7, 9]);
}

#[test]
fn a_silent_vessel_cannot_be_told_and_is_forgotten_in_the_end() {
    let mut fleet = Fleet::new(FleetSetup::default());
    let _ = hear(&mut fleet, &report(1, 0.0, 0.0, 0.0, None), &NOBODY_KNOWS);
    fleet.tick(&NOBODY_KNOWS, at(60.0));
    let view = fleet.vessel(1).expect("she is remembered");
    assert!(matches!(view.reasons[..], [NeighbourReason::Silent { .. }]));
    fleet.tick(&NOBODY_KNOWS, at(25.0 * 60.0));
    assert_eq!(fleet.followed(), 0);
}

#[test]
fn one_vessel_costs_less_than_eight_kilobytes() {
    let mut fleet = Fleet::new(FleetSetup::default());
    for i in 0..2000 {
        // No heading and no wind: the most guesses that are ever held.
        let _ = hear(
            &mut fleet,
            &report(1, 3.0 * f64::from(i), f64::from(i % 5), f64::from(i % 7), None),
            &NOBODY_KNOWS,
        );
    }
    let vessel = &fleet.vessels[&1];
    // 8,192 bytes is the budget of one vessel: 2,000 of them stay within 16 MB of the watch's 40.
    assert!(vessel.bytes() < 8192, "{}", vessel.bytes());
}

#[test]
fn a_report_out_of_its_order_or_told_twice_changes_nothing() {
    let mut fleet = Fleet::new(FleetSetup::default());
    for i in 0..40 {
        let _ = hear(
            &mut fleet,
            &report(1, 3.0 * f64::from(i), f64::from(i % 3), 0.0, Some(10.0)),
            &NOBODY_KNOWS,
        );
    }
    let before = fleet.vessel(1);
    fleet.hear(&report(1, 60.0, 5000.0, 0.0, Some(10.0)), &NOBODY_KNOWS, at(117.0));
    fleet.hear(&report(1, 117.0, 5000.0, 0.0, Some(10.0)), &NOBODY_KNOWS, at(117.0));
    assert_eq!(fleet.vessel(1), before);
}

/// 12,000 m east at 3 m/s for 2,000 s and the like, by hand.
#[test]
fn an_approach_is_told_with_its_distance_and_its_time() {
    use super::approach::{Hull, Mover, nearest};
    let own =
        OwnState { bow: origin(), anchor: None, reach: Length::metres(40.0), length: Length::metres(10.0) };
    let hull = Hull { ahead_m: 100.0, astern_m: 50.0, half_beam_m: 10.0 };
    let mover = |north_m: f64| Mover {
        at: crate::position::Offset { east_m: -1200.0, north_m },
        velocity_ms: crate::position::Offset { east_m: 1.0, north_m: 0.0 },
        heading: Some(Bearing::degrees(90.0)),
        hull,
    };
    let told = |north_m: f64| {
        nearest(
            &mover(north_m),
            crate::position::Offset::ORIGIN,
            &own,
            at(0.0),
            SignedDuration::from_hours(2),
        )
        .expect("all is known")
    };
    // She passes 300 m off on her middle line: less her half beam, our reach and our length.
    let passes = told(300.0);
    assert!((passes.nearest.as_metres() - (300.0 - 10.0 - 50.0)).abs() < 1e-6);
    // Head on her stem first touches our circle: 1200 m less her bow, half a beam about it, and our 50 m.
    let hits = told(0.0);
    assert!(hits.nearest.as_metres() < 1e-9);
    assert!((seconds(hits.at, at(0.0)) - (1200.0 - 100.0 - 10.0 - 50.0)).abs() < 1e-3);
}

proptest::proptest! {
    #[test]
    fn no_reports_panic_or_grow(
        said in proptest::collection::vec(
            (0.0..2000.0_f64, -90.0..90.0_f64, -180.0..180.0_f64, -1.0..110.0_f64, 0.0..720.0_f64, 0_u8..6, 0_u32..4),
            1..200,
        )
    ) {
        let mut fleet = Fleet::new(FleetSetup { most_vessels: 3, ..FleetSetup::default() });
        for (minutes, latitude, longitude, knots, degrees, mask, mmsi) in said {
            let near = if mask < 3 { 1e-4 } else { 1.0 };
            let (latitude, longitude) = (latitude * near, longitude * near);
            let position = NeighbourSaid::Position {
                at: Position::new(latitude, longitude).expect("in range"),
                speed: (mask != 1).then_some(Speed::knots(if mask == 2 { f64::NAN } else { knots })),
                course: (mask != 4).then_some(Bearing::degrees(degrees)),
                heading: (mask % 2 == 0).then_some(Bearing::degrees(degrees * 0.7)),
                status: NeighbourStatus::Other(mask),
                accurate: false,
                turning_deg_min: None,
            };
            let side = Some(Length::metres(if mask == 3 { f64::NAN } else { knots }));
            let particulars = NeighbourSaid::Particulars {
                name: None,
                ahead: side,
                astern: side,
                port: side,
                starboard: side,
                length: None,
                beam: None,
                ship_type: None,
                draught: None,
            };
            let said = if mask == 5 { particulars } else { position };
            fleet.hear(&NeighbourReport { at: at(minutes), mmsi, said }, &NOBODY_KNOWS, at(minutes));
            proptest::prop_assert!(fleet.followed() <= 3);
            proptest::prop_assert!(fleet.vessels().all(|view| !view.reasons.is_empty()));
        }
    }
}
