//! Recorded vessels, and recorded vessels with a drag added to them. Tracks: `authorities/ais_tracks`.

use super::*;
use crate::position::Offset;

const STATIONARY: &str = include_str!("../../../../../../authorities/ais_tracks/stationary.csv");
const DRIFTING: &str = include_str!("../../../../../../authorities/ais_tracks/drifting.csv");

/// A drag added to a track: from so many hours on, along the way she lies at that instant.
#[derive(Clone, Copy)]
struct Added {
    from_h: f64,
    m_min: f64,
}

struct Told {
    at: Timestamp,
    hours: f64,
    view: VesselView,
}

/// All that was said of one segment, report by report.
fn said_of(tracks: &str, segment: &str, added: Option<Added>) -> Vec<Told> {
    let mut fleet = Fleet::new(FleetSetup::default());
    let mut begin = None;
    let mut lee = None;
    let rows = tracks.lines().skip(1).filter(|row| row.split(',').next() == Some(segment));
    let told = rows.map(|row| {
        let mut report = read(row);
        let begin = *begin.get_or_insert(report.at);
        let hours = seconds(report.at, begin) / 3600.0;
        if let (Some(added), NeighbourSaid::Position { at, heading, .. }) = (added, &mut report.said)
            && added.from_h < hours
        {
            let lee = *lee.get_or_insert(heading.map_or(Bearing::degrees(90.0), Bearing::reversed));
            *at = at.plus(Offset::along(lee, Length::metres((hours - added.from_h) * 60.0 * added.m_min)));
        }
        Told { at: report.at, hours, view: hear(&mut fleet, &report, &NOBODY_KNOWS) }
    });
    told.collect()
}

fn read(row: &str) -> NeighbourReport {
    let cells: Vec<&str> = row.split(',').collect();
    let [_, when, latitude, longitude, speed, course, heading, status] = cells[..] else {
        panic!("eight columns: {row}");
    };
    let number = |cell: &str| cell.parse::<f64>().ok();
    let said = NeighbourSaid::Position {
        at: Position::new(number(latitude).expect("a latitude"), number(longitude).expect("a longitude"))
            .expect("a place"),
        speed: number(speed).map(Speed::knots),
        course: number(course).filter(|course| *course < 360.0).map(Bearing::degrees),
        heading: number(heading).filter(|heading| *heading < 360.0).map(Bearing::degrees),
        status: match status {
            "0" => NeighbourStatus::UnderWayEngine,
            "1" => NeighbourStatus::AtAnchor,
            "2" => NeighbourStatus::NotUnderCommand,
            _ => NeighbourStatus::Unstated,
        },
        accurate: false,
        turning_deg_min: None,
    };
    NeighbourReport { at: format!("{when}Z").parse().expect("an instant"), mmsi: 1, said }
}

fn states(told: &[Told]) -> Vec<NeighbourState> {
    let mut states: Vec<NeighbourState> = told.iter().map(|told| told.view.state).collect();
    states.dedup();
    states
}

fn lying_share(told: &[Told]) -> f64 {
    let lying = told.iter().filter(|told| told.view.state == NeighbourState::Lying).count();
    lying as f64 / told.len() as f64
}

#[test]
fn recorded_vessels_that_lay_still_are_never_called() {
    for segment in ["0", "1", "2", "7", "10", "11"] {
        let told = said_of(STATIONARY, segment, None);
        let called = told
            .iter()
            .find(|told| matches!(told.view.state, NeighbourState::Dragging | NeighbourState::Adrift));
        assert!(called.is_none(), "segment {segment} at {:?}", called.map(|told| told.at));
    }
}

#[test]
fn a_recorded_ship_that_swings_at_anchor_is_said_to_lie_most_of_the_time() {
    // 33 h, reports every 12 min, and one turn of the wind through 70 degrees.
    assert!(0.85 < lying_share(&said_of(STATIONARY, "1", None)));
}

#[test]
fn a_ship_that_shifts_her_berth_goes_between_the_two_and_lies_after() {
    use NeighbourState::{CannotTell, Lying, UnderWay};
    let states = states(&said_of(STATIONARY, "10", None));
    let berth = [UnderWay, CannotTell, Lying];
    // She comes in, lies, shifts twice (once between two reports, once seen) and leaves.
    assert!(states.starts_with(&berth));
    assert_eq!(states.iter().filter(|state| **state == UnderWay).count(), 4, "{states:?}");
    assert_eq!(states.last(), Some(&UnderWay));
}

#[test]
fn a_ship_that_leaves_is_under_way_by_her_first_report_outside() {
    let told = said_of(STATIONARY, "11", None);
    assert_eq!(told.last().map(|told| told.view.state), Some(NeighbourState::UnderWay));
}

#[test]
fn a_ship_not_under_command_is_adrift_a_quarter_of_an_hour_after_she_has_stopped() {
    let told = said_of(DRIFTING, "212123000", None);
    let stopped: Timestamp = "2014-10-02T17:08:45Z".parse().expect("an instant");
    let under_way_again: Timestamp = "2014-10-03T05:26:46Z".parse().expect("an instant");
    let adrift = |told: &&Told| told.view.state == NeighbourState::Adrift;
    let first = told.iter().find(adrift).expect("she drifts");
    // Her log: 0.2 kn at 17:08:45, 0.1 kn at 17:11:45, 0.6 kn across her head at 17:23:45.
    assert!(stopped < first.at);
    assert!(seconds(first.at, stopped) <= 15.0 * 60.0, "{}", first.at);
    for told in told.iter().filter(|told| first.at <= told.at && told.at < under_way_again) {
        assert_eq!(told.view.state, NeighbourState::Adrift, "{}", told.at);
    }
    assert_eq!(told.last().map(|told| told.view.state), Some(NeighbourState::UnderWay));
}

#[test]
fn a_drag_added_to_a_recorded_ship_is_called_within_seven_reports() {
    for from_h in [4.0, 6.0, 8.0, 10.0, 14.0, 19.0, 24.0, 30.0] {
        for m_min in [1.0, 15.4] {
            let told = said_of(STATIONARY, "1", Some(Added { from_h, m_min }));
            let after: Vec<&Told> = told.iter().filter(|told| from_h < told.hours).collect();
            let called = after.iter().position(|told| told.view.state == NeighbourState::Dragging);
            let called = called.unwrap_or_else(|| panic!("never called: {m_min} m/min from {from_h} h"));
            // Neither wind nor her length is known: a ship may go out by 50 m without her anchor. She reports every 12
            // to 13 min and her reach wanders by 10 m either way; 1 m/min is 13 m a report.
            assert!(called < 7, "{m_min} m/min from {from_h} h: report {called}");
            let moved = after[called].view.moved.expect("told with the word").distance.as_metres();
            let truth = (after[called].hours - from_h) * 60.0 * m_min;
            assert!((moved - truth).abs() < 30.0, "{moved} for {truth}");
        }
    }
}

#[test]
fn another_set_with_her_number_is_kept_apart() {
    let mut fleet = Fleet::new(FleetSetup::default());
    let rows = STATIONARY.lines().skip(1).filter(|row| row.starts_with("7,"));
    for (i, row) in rows.enumerate() {
        let report = read(row);
        let _ = hear(&mut fleet, &report, &NOBODY_KNOWS);
        if i % 7 == 6 {
            let mut other = report.clone();
            other.at = report.at.checked_add(SignedDuration::from_secs(20)).expect("in range");
            if let NeighbourSaid::Position { at, .. } = &mut other.said {
                *at = Position::new(35.0, 129.0).expect("a place");
            }
            let view = hear(&mut fleet, &other, &NOBODY_KNOWS);
            assert!(matches!(view.state, NeighbourState::Lying | NeighbourState::CannotTell), "{view:?}");
            assert!((view.last_seen.latitude_deg() - 10.88).abs() < 0.01, "the first voice is hers");
        }
    }
}
