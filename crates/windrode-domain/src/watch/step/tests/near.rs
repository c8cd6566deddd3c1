//! Neighbours that drift, to windward, to leeward and past.

use super::night::*;
use super::settled;
use crate::position::Offset;
use crate::units::{Bearing, Length, Speed};
use crate::watch::effect::{AlarmKind, Effect};
use crate::watch::event::{Event, NeighbourReport, NeighbourSaid, NeighbourStatus};
use crate::watch::guards::neighbours::ThreatKind;
use crate::watch::reason::Reason;

const MMSI: u32 = 235_000_001;

/// A ship of which the wind has hold: across her way, at 0.8 kn towards a bearing from a place at the twentieth minute.
fn drifts(second: f64, from: Offset, toward_deg: f64) -> Event {
    let speed = Speed::knots(0.8);
    let toward = Bearing::degrees(toward_deg);
    let gone = Offset::along(toward, Length::metres(speed.as_metres_per_second() * (second - 1_200.0)));
    let said = NeighbourSaid::Position {
        at: origin().plus(from + gone),
        speed: Some(speed),
        course: Some(toward),
        heading: Some(Bearing::degrees(toward_deg - 90.0)),
        status: NeighbourStatus::NotUnderCommand,
        accurate: true,
        turning_deg_min: None,
    };
    Event::Neighbour(NeighbourReport { at: at(second), mmsi: MMSI, said })
}

/// What rang for her within fifty minutes, and what was told.
fn heard(from: Offset, toward_deg: f64) -> (Option<f64>, Vec<Reason>) {
    let mut hearing = settled();
    let mut told = Vec::new();
    for second in (1_200_u32..4_200).step_by(60) {
        hearing.hear(second..second + 60, sound);
        let now = f64::from(second + 60);
        let mut effects = Vec::new();
        hearing.watch.step(&drifts(now, from, toward_deg), at(now), &mut effects);
        for effect in effects {
            match effect {
                Effect::Ring(kind) => hearing.rings.push((now, kind)),
                Effect::Tell(reason) => told.push(reason),
                _ => {}
            }
        }
    }
    (hearing.rang(AlarmKind::Neighbour(MMSI)), told)
}

#[test]
fn one_adrift_to_windward_rings_before_she_comes_and_one_far_to_leeward_is_told_once() {
    // She would be over the anchor after 0.41 m/s * 4 860 s = 2 000 m.
    let (rang, told) = heard(Offset { east_m: -1_500.0, north_m: 5.0 }, 90.0);
    assert!(rang.is_some_and(|rang| rang < 4_200.0));
    assert_eq!(told, []);
    let (rang, told) = heard(Offset { east_m: 300.0, north_m: 5.0 }, 90.0);
    assert_eq!(rang, None);
    let [Reason::Neighbour(clear)] = told.as_slice() else { panic!("{told:?}") };
    assert_eq!((clear.mmsi, clear.kind), (MMSI, ThreatKind::Adrift));
}

#[test]
fn one_whose_way_passes_clear_and_may_turn_into_ours_rings() {
    // From the north-west, passing 500 m to the north: the wind need back by 25° only.
    assert!(heard(Offset { east_m: -1_400.0, north_m: 500.0 }, 90.0).0.is_some());
    // As far north and already past: no turn within 60° brings her back.
    assert_eq!(heard(Offset { east_m: 300.0, north_m: 500.0 }, 90.0).0, None);
}

#[test]
fn one_adrift_beside_us_rings_whichever_way_she_goes() {
    // Called some 250 s and 110 m after she lost her way, 60 m off our circle then.
    assert!(heard(Offset { east_m: 20.0, north_m: 40.0 }, 90.0).0.is_some());
}
