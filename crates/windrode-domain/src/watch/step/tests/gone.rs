//! The watch before the anchor is down, and after she has left.

use super::night::*;
use super::{codes, settled};
use crate::position::{Offset, Position};
use crate::units::{Bearing, Length};
use crate::watch::effect::AlarmKind;
use crate::watch::event::{Event, Told};
use crate::watch::given::{Drop, Given};
use crate::watch::step::Watch;
use crate::watch::verdict::Verdict;

const ANCHORS: [AlarmKind; 3] = [AlarmKind::Dragging, AlarmKind::OutsideCircle, AlarmKind::Blind];

/// The place that the plan names, and nobody has let go there.
fn planned(at: Position) -> Given {
    Given { drop: Some(Drop { at, spread: Length::metres(15.0) }), ..given() }
}

/// Four knots towards a bearing for five minutes, from so far on the other side; she lies to her anchor at the origin
/// from the eighth minute on, after falling back on her rode.
fn approaches(second: f64, toward_deg: f64) -> (Offset, f64) {
    const MS: f64 = 2.06;
    if second < 300.0 {
        let short_m = MS * (300.0 - second);
        return (Offset::along(Bearing::degrees(toward_deg).reversed(), Length::metres(short_m)), toward_deg);
    }
    let (lies_at, heading_deg) = lies(second);
    let share = ((second - 300.0) / 180.0).min(1.0);
    (Offset { east_m: lies_at.east_m * share, north_m: lies_at.north_m * share }, heading_deg)
}

#[test]
fn a_watch_taken_on_the_approach_says_that_the_anchor_is_not_down_and_rings_nothing() {
    // Across the westerly, up it, and running in before it; to the place that was planned, and to another.
    let truths: [Truth; 3] = [|s| approaches(s, 0.0), |s| approaches(s, 270.0), |s| approaches(s, 90.0)];
    for truth in truths {
        for elsewhere_m in [0.0, 180.0] {
            let place = origin().plus(Offset { east_m: 0.0, north_m: elsewhere_m });
            let mut hearing = Hearing::of(planned(place), truth);
            hearing.hear(0..60, sound);
            assert_eq!(hearing.watch.view().verdict, Verdict::UnderWay, "{:?}", hearing.words);
            assert_eq!(codes(&hearing), ["not_down_yet"]);
            hearing.hear(60..5_000, sound);
            assert!(hearing.rings.iter().all(|(_, kind)| !ANCHORS.contains(kind)), "{:?}", hearing.rings);
            let view = hearing.watch.view();
            assert_eq!(view.verdict, Verdict::Holding, "{:?}", view.reasons);
            let off = view.anchor.unwrap().at.towards(origin()).0;
            assert!(off < Length::metres(12.0), "{off}");
        }
    }
}

#[test]
fn a_drop_that_is_told_on_the_approach_is_watched_from_then_on() {
    let mut hearing = Hearing::of(planned(origin()), |s| approaches(s, 0.0));
    hearing.hear(0..301, sound);
    let spread = Length::metres(5.0);
    hearing.step(301.0, &Event::Told(Told::Dropped { at: origin(), spread }));
    hearing.hear(302..330, sound);
    assert_ne!(hearing.watch.view().verdict, Verdict::UnderWay);
    hearing.hear(330..3_600, sound);
    assert_eq!(hearing.watch.view().verdict, Verdict::Holding);
    assert_eq!(hearing.rings, []);
}

#[test]
fn what_was_not_down_when_the_program_died_is_not_down_after() {
    let mut hearing = Hearing::of(planned(origin()), |s| approaches(s, 0.0));
    hearing.hear(0..120, sound);
    let remembered = hearing.watch.remember();
    hearing.watch = Watch::recall(planned(origin()), remembered, at(150.0));
    hearing.hear(150..5_000, sound);
    assert!(hearing.rings.iter().all(|(_, kind)| !ANCHORS.contains(kind)), "{:?}", hearing.rings);
    assert_eq!(hearing.watch.view().verdict, Verdict::Holding);
}

#[test]
fn a_boat_that_is_driven_down_the_wind_from_the_first_fix_on_rings() {
    // At 2.5 kn, lying beam on, then at 3.5 kn astern with her bow up the wind.
    let truths: [Truth; 2] = [
        |second| (Offset { east_m: REACH_M + 1.29 * second, north_m: 0.0 }, 180.0),
        |second| (Offset { east_m: REACH_M + 1.80 * second, north_m: 0.0 }, 270.0),
    ];
    for truth in truths {
        let mut hearing = Hearing::of(planned(origin()), truth);
        hearing.hear(0..90, sound);
        let rang = hearing.rang(AlarmKind::Dragging).or(hearing.rang(AlarmKind::OutsideCircle));
        assert!(rang.is_some(), "{:?} {:?}", hearing.words, hearing.watch.view());
    }
}

/// She leaves at 3 kn into the westerly for ten minutes and lies alongside, on one heading, since.
fn goes_alongside(second: f64) -> (Offset, f64) {
    let (bow, heading_deg) = lies(second.min(2_400.0));
    let gone_m = 1.54 * (second - 2_400.0).clamp(0.0, 600.0);
    let heading_deg = if second < 2_400.0 {
        heading_deg
    } else if second < 3_000.0 {
        270.0
    } else {
        20.0
    };
    (Offset { east_m: bow.east_m - gone_m, ..bow }, heading_deg)
}

#[test]
fn a_boat_that_lies_elsewhere_since_she_left_is_not_judged_by_an_anchor_and_the_crew_are_asked() {
    for tells in [false, true] {
        let mut hearing = settled();
        hearing.hear(1_200..2_400, sound);
        hearing.truth = goes_alongside;
        if tells {
            hearing.step(2_400.0, &Event::Told(Told::Aweigh));
        }
        // Hours alongside, in a wind that shifts round.
        hearing.hear(2_401..14_000, |second, heard| {
            let from = Bearing::degrees(270.0 + 180.0 * ((second - 4_000.0) / 3_000.0).clamp(0.0, 1.0));
            let speed = heard.wind.unwrap().speed();
            heard.wind = Some(crate::environment::wind::Wind::blowing(from, speed));
        });
        assert_eq!(hearing.watch.view().verdict, Verdict::UnderWay, "{:?}", hearing.words);
        assert_eq!(codes(&hearing), ["lies_elsewhere"]);
        let kinds: Vec<_> = hearing.rings.iter().map(|(_, kind)| *kind).collect();
        assert_eq!(kinds, [AlarmKind::PlanOvertaken], "{tells}");
        let asked = hearing.rang(AlarmKind::PlanOvertaken).unwrap();
        assert!((4_100.0..4_500.0).contains(&asked), "{asked}");
        // The crew say where the anchor lies now: she is watched again.
        let berth = origin().plus(Offset { east_m: -924.0, north_m: 0.0 });
        hearing.step(14_000.0, &Event::Told(Told::Dropped { at: berth, spread: Length::metres(5.0) }));
        hearing.truth = |second| {
            let (bow, heading_deg) = lies(second);
            (Offset { east_m: bow.east_m - 924.0, ..bow }, heading_deg)
        };
        hearing.hear(14_001..16_000, sound);
        assert_eq!(hearing.watch.view().verdict, Verdict::Holding, "{:?}", hearing.watch.view());
    }
}

#[test]
fn a_boat_driven_up_over_her_anchor_that_falls_back_is_watched_anew() {
    let mut hearing = settled();
    hearing.hear(1_200..2_400, sound);
    hearing.truth = |second| {
        let (bow, heading_deg) = lies(second);
        // Two minutes ahead at 3 kn, and back on her rode in three.
        let ahead_m = if second < 2_520.0 { 1.54 * (second - 2_400.0) } else { 185.0 - (second - 2_520.0) };
        (
            Offset { east_m: bow.east_m - ahead_m.max(0.0), ..bow },
            if second < 2_700.0 { 270.0 } else { heading_deg },
        )
    };
    hearing.hear(2_401..6_500, sound);
    assert!(hearing.words.iter().any(|(_, word)| *word == Verdict::UnderWay), "{:?}", hearing.words);
    assert_eq!(hearing.watch.view().verdict, Verdict::Holding, "{:?}", hearing.watch.view().reasons);
    hearing.truth = |second| sheering(second, 0.1 * (second - 6_500.0).max(0.0));
    hearing.hear(6_501..6_900, sound);
    assert!(hearing.rang(AlarmKind::Dragging).is_some());
}
