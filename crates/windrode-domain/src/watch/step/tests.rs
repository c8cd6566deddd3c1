//! The watch on nights that are written down.

mod gone;
mod near;
mod night;
mod rubbish;
mod veered;

use self::night::*;
use crate::position::{Offset, Position};
use crate::units::{Length, Speed};
use crate::watch::effect::AlarmKind;
use crate::watch::event::{Event, Told};
use crate::watch::given::{Drop, Given};
use crate::watch::observation::{FixKind, Seen, Sky};
use crate::watch::reason::{Fault, Reason};
use crate::watch::step::Watch;
use crate::watch::verdict::Verdict;

fn codes(hearing: &Hearing) -> Vec<&'static str> {
    hearing.watch.view().reasons.iter().map(Reason::code).collect()
}

fn settled() -> Hearing {
    let mut hearing = Hearing::of(given(), lies);
    hearing.hear(0..1_200, sound);
    assert_eq!(hearing.watch.view().verdict, Verdict::Holding, "{:?}", hearing.watch.view());
    hearing
}

#[test]
fn a_quiet_night_is_doubtful_while_it_settles_then_holding_and_nothing_rings() {
    let mut hearing = Hearing::of(given(), lies);
    hearing.hear(0..7_200, sound);
    let words: Vec<_> = hearing.words.iter().map(|(_, word)| *word).collect();
    assert_eq!(words, [Verdict::Blind, Verdict::Doubtful, Verdict::Holding]);
    assert_eq!(hearing.rings, []);
    let view = hearing.watch.view();
    let anchor = view.anchor.unwrap();
    assert!(anchor.at.towards(origin()).0 < Length::metres(5.0), "{anchor:?}");
}

#[test]
fn a_drag_of_half_a_knot_rings_before_fifteen_metres_and_stays_called_when_she_holds_again() {
    // 0.26 m/s for 100 s from the half hour on.
    let truth: Truth = |second| sheering(second, 0.257 * (second - 1_800.0).clamp(0.0, 100.0));
    let mut hearing = Hearing::of(given(), truth);
    hearing.hear(0..3_600, sound);
    let rang = hearing.rang(AlarmKind::Dragging).unwrap();
    assert!(1_800.0 < rang && 0.257 * (rang - 1_800.0) < 15.0, "{rang}");
    let view = hearing.watch.view();
    assert_eq!(view.verdict, Verdict::Dragging);
    let moved = view.moved.unwrap();
    assert!((moved.distance.as_metres() - 25.7).abs() < 8.0, "{moved:?}");
    assert!((moved.toward.unwrap().as_degrees() - 90.0).abs() < 20.0, "{moved:?}");
    hearing.step(3_601.0, &Event::Told(Told::Clear(AlarmKind::Dragging)));
    assert_ne!(hearing.watch.view().verdict, Verdict::Dragging);
}

#[test]
fn a_boat_that_motors_off_along_her_heading_is_under_way_and_never_dragging() {
    // She comes up to her anchor and past it at 3 kn, into the westerly.
    let truth: Truth = |second| {
        let (bow, heading_deg) = lies(second.min(1_800.0));
        if second <= 1_800.0 {
            return (bow, heading_deg);
        }
        (Offset { east_m: bow.east_m - 1.54 * (second - 1_800.0), ..bow }, 270.0)
    };
    let mut hearing = Hearing::of(given(), truth);
    hearing.hear(0..2_400, sound);
    assert_eq!(hearing.watch.view().verdict, Verdict::UnderWay, "{:?}", hearing.words);
    assert_eq!(hearing.rang(AlarmKind::Dragging), None);
    assert_eq!(codes(&hearing)[0], "goes_along_heading");
}

#[test]
fn a_boat_that_sails_from_the_first_fix_on_is_under_way_before_anything_rings() {
    // 5.7 kn along her heading, across the westerly; her compass has shown nothing yet.
    let truth: Truth = |second| (Offset { east_m: 0.0, north_m: 38.4 + 2.93 * second }, 0.0);
    let mut hearing = Hearing::of(given(), truth);
    hearing.hear(0..90, sound);
    assert_eq!(hearing.watch.view().verdict, Verdict::UnderWay, "{:?}", hearing.words);
    assert_eq!(hearing.rang(AlarmKind::Dragging), None);
}

#[test]
fn a_drop_thousands_of_miles_off_is_told_at_once_and_never_calm() {
    let drop = Drop { at: Position::new(50.1, -5.5).unwrap(), spread: Length::metres(5.0) };
    let mut hearing = Hearing::of(Given { drop: Some(drop), ..given() }, lies);
    hearing.hear(0..3, sound);
    assert_eq!(codes(&hearing)[0], "drop_elsewhere");
    hearing.hear(20..1_800, sound);
    assert!(hearing.words.iter().all(|(_, word)| *word != Verdict::Holding), "{:?}", hearing.words);
}

#[test]
fn a_boat_blown_down_the_wind_beam_on_is_dragging_however_fast() {
    // 2.5 kn, lying beam on.
    let truth: Truth = |second| {
        let (bow, heading_deg) = lies(second.min(1_800.0));
        let east_m = bow.east_m + 1.29 * (second - 1_800.0).max(0.0);
        (Offset { east_m, ..bow }, if 1_800.0 < second { 180.0 } else { heading_deg })
    };
    let mut hearing = Hearing::of(given(), truth);
    hearing.hear(0..2_100, sound);
    let rang = hearing.rang(AlarmKind::Dragging).unwrap();
    assert!(rang < 1_830.0, "{rang}");
    assert_eq!(hearing.watch.view().verdict, Verdict::Dragging);
}

#[test]
fn a_leap_that_stays_makes_her_blind_with_the_reason_and_what_returns_is_trusted_again() {
    let mut hearing = settled();
    hearing.hear(1_200..1_400, |_, heard| {
        if let Some(fix) = heard.fix.as_mut() {
            fix.antenna = fix.antenna.plus(Offset { east_m: 300.0, north_m: 0.0 });
        }
    });
    assert_eq!(hearing.watch.view().verdict, Verdict::Blind);
    assert_eq!(codes(&hearing), ["no_usable_fix", "receiver_leapt"]);
    assert!(hearing.rang(AlarmKind::Blind).is_some());
    hearing.hear(1_400..1_700, sound);
    assert_eq!(hearing.watch.view().verdict, Verdict::Holding, "{:?}", hearing.watch.view());
    assert_eq!(hearing.rang(AlarmKind::Dragging), None);
}

#[test]
fn one_bad_fix_is_left_out_and_counted() {
    let mut hearing = settled();
    hearing.hear(1_200..1_300, |second, heard| {
        if let (Some(fix), true) = (heard.fix.as_mut(), second.total_cmp(&1_250.0).is_eq()) {
            fix.antenna = fix.antenna.plus(Offset { east_m: 0.0, north_m: -80.0 });
        }
    });
    let view = hearing.watch.view();
    assert_eq!((view.verdict, view.left_out.fixes), (Verdict::Holding, 1));
}

#[test]
fn a_frozen_receiver_makes_her_blind() {
    let mut hearing = settled();
    let mut frozen = None;
    hearing.hear(1_200..1_400, |_, heard| {
        heard.way = None;
        heard.fix = *frozen.get_or_insert(heard.fix);
    });
    assert_eq!(hearing.watch.view().verdict, Verdict::Blind);
    assert_eq!(codes(&hearing)[1], "receiver_frozen");
}

#[test]
fn silence_of_the_fixes_is_blindness_after_half_a_minute() {
    let mut hearing = settled();
    hearing.hear(1_200..1_260, |_, heard| (heard.fix, heard.way) = (None, None));
    let &(blind, word) = hearing.words.last().unwrap();
    assert_eq!(word, Verdict::Blind);
    assert!((1_229.0..=1_232.0).contains(&blind), "{blind}");
    assert_eq!(codes(&hearing), ["no_usable_fix", "receiver_silent"]);
}

#[test]
fn satellites_that_go_all_at_once_and_fixes_that_are_not_measured_make_her_blind() {
    for kind in [0, 1, 2, 3] {
        let mut hearing = settled();
        for second in 1_150..1_200 {
            let sky = Sky { in_view: Some(20), used: Some(14), carrier_db_hz: Some(42.0) };
            hearing.see(f64::from(second), GPS, Seen::Sky(sky));
        }
        hearing.hear(1_200..1_300, |_, heard| {
            let Some(fix) = heard.fix.as_mut() else { return };
            match kind {
                0 => fix.satellites = Some(4),
                1 => fix.kind = FixKind::Estimated,
                2 => fix.kind = FixKind::NotMeasured,
                _ => {}
            }
        });
        if kind == 3 {
            for second in 1_300..1_360 {
                let second = f64::from(second);
                let sky = Sky { in_view: Some(20), used: Some(14), carrier_db_hz: Some(30.0) };
                hearing.see(second, GPS, Seen::Sky(sky));
                hearing.see(second, GPS, Seen::Fix(fix(Offset { east_m: 47.0, north_m: 0.0 })));
            }
        }
        let view = hearing.watch.view();
        assert_eq!(view.verdict, Verdict::Blind, "{kind}");
        let wanted = ["satellites_gone", "receiver_not_measured", "receiver_not_measured", "signals_sunk"];
        assert_eq!(view.receivers[0].fault.as_ref().map(Fault::code), Some(wanted[kind]), "{kind}");
    }
}

#[test]
fn two_receivers_that_disagree_are_told_and_the_better_is_used() {
    let mut hearing = Hearing::of(given(), lies);
    for second in 0..1_500_u32 {
        let off = if 1_000 <= second { 60.0_f64.min(f64::from(second - 1_000)) } else { 0.0 };
        hearing.hear(second..second + 1, |_, heard| {
            if let Some(fix) = heard.fix.as_mut() {
                fix.spread = Some(Length::metres(1.0));
            }
        });
        let (bow, heading_deg) = lies(f64::from(second));
        let aft = Offset::along(crate::units::Bearing::degrees(heading_deg + 180.0), Length::metres(AFT_M));
        let mut other = fix(bow + aft + Offset { east_m: 0.0, north_m: off });
        other.spread = Some(Length::metres(6.0));
        hearing.see(f64::from(second), OTHER_GPS, Seen::Fix(other));
    }
    assert!(hearing.rang(AlarmKind::ReceiversDisagree).is_some_and(|rang| 1_000.0 < rang));
    assert_eq!(hearing.rang(AlarmKind::Dragging), None);
    let view = hearing.watch.view();
    assert!(view.receivers[0].used && !view.receivers[1].used);
    assert_eq!(view.verdict, Verdict::Doubtful);
}

#[test]
fn a_second_receiver_takes_over_where_the_first_falls_silent() {
    let mut hearing = Hearing::of(given(), lies);
    for second in 0..1_500_u32 {
        hearing.hear(second..second + 1, |_, heard| {
            if 1_200 <= second {
                heard.fix = None;
            }
        });
        let (bow, heading_deg) = lies(f64::from(second));
        let aft = Offset::along(crate::units::Bearing::degrees(heading_deg + 180.0), Length::metres(AFT_M));
        hearing.see(f64::from(second), OTHER_GPS, Seen::Fix(fix(bow + aft)));
    }
    let view = hearing.watch.view();
    assert_eq!(view.verdict, Verdict::Holding, "{:?}", view.reasons);
    assert_eq!(hearing.rings, []);
}

#[test]
fn fixes_every_three_minutes_are_neither_silence_nor_leaps() {
    let mut hearing = Hearing::of(given(), lies);
    hearing.hear(0..14_400, |second, heard| {
        if second % 180.0 > 0.0 {
            *heard = Second { fix: None, way: None, heading_deg: None, wind: None };
        }
    });
    assert_eq!(hearing.rings, []);
    assert_eq!(hearing.watch.view().left_out.fixes, 0);
    assert_eq!(hearing.watch.view().verdict, Verdict::Holding, "{:?}", hearing.watch.view().reasons);
}

#[test]
fn what_the_crew_silenced_rings_again_when_it_worsens() {
    let truth: Truth = |second| sheering(second, 0.1 * (second - 1_800.0).max(0.0));
    let mut hearing = Hearing::of(given(), truth);
    hearing.hear(0..2_400, sound);
    let rang = hearing.rang(AlarmKind::Dragging).unwrap();
    hearing.step(2_400.0, &Event::Told(Told::Acknowledge(AlarmKind::Dragging)));
    hearing.rings.clear();
    hearing.hear(2_401..4_000, sound);
    let again = hearing.rang(AlarmKind::Dragging).unwrap();
    // Sixty metres have become twice as many.
    assert!(rang < 2_000.0 && 2_800.0 < again, "{rang} {again}");
}

#[test]
fn a_clock_set_back_an_hour_blinds_nobody_and_is_told() {
    let mut hearing = settled();
    // The night goes on an hour earlier by the boat's clock.
    let before = hearing.watch.view();
    let mut effects = Vec::new();
    for second in 1_200..1_500 {
        let told_s = f64::from(second) - 3_600.0;
        let mut heard = hearing.clone();
        heard.rings.clear();
        let (bow, heading_deg) = lies(f64::from(second));
        let aft = Offset::along(crate::units::Bearing::degrees(heading_deg + 180.0), Length::metres(AFT_M));
        let seen = Seen::Fix(fix(bow + aft));
        let event =
            Event::Observed(crate::watch::observation::Observation { at: at(told_s), source: GPS, seen });
        hearing.watch.step(&event, at(told_s), &mut effects);
    }
    let view = hearing.watch.view();
    assert_ne!(view.verdict, Verdict::Blind, "{view:?}");
    assert!(codes(&hearing).contains(&"clock_set_back"));
    assert_eq!(view.at, at(1_499.0 - 3_600.0));
    assert!(before.since > view.since);
}

#[test]
fn the_same_events_give_the_same_views() {
    let run = || {
        let truth: Truth = |second| sheering(second, 0.05 * (second - 1_500.0).max(0.0));
        let mut hearing = Hearing::of(given(), truth);
        let mut views = Vec::new();
        for second in 0..2_000 {
            hearing.hear(second..second + 1, sound);
            views.push(hearing.watch.view());
        }
        views
    };
    assert_eq!(run(), run());
}

#[test]
fn a_watch_taken_up_again_calls_the_same_drag_within_a_minute_of_the_one_that_never_broke_off() {
    let truth: Truth = |second| sheering(second, 0.1 * (second - 2_400.0).max(0.0));
    let mut whole = Hearing::of(given(), truth);
    whole.hear(0..2_300, sound);
    let mut broken = whole.clone();
    broken.watch = Watch::recall(given(), whole.watch.remember(), at(2_330.0));
    assert_eq!(broken.watch.view().verdict, Verdict::Holding);
    assert!(broken.watch.view().anchor.is_some());
    whole.hear(2_300..3_600, sound);
    broken.hear(2_330..3_600, sound);
    let (rang, again) = (whole.rang(AlarmKind::Dragging).unwrap(), broken.rang(AlarmKind::Dragging).unwrap());
    assert!((rang - again).abs() < 60.0, "{rang} {again}");
    let latched = Watch::recall(given(), broken.watch.remember(), at(3_700.0));
    let mut hearing = Hearing { watch: latched, rings: Vec::new(), ..broken };
    hearing.step(3_700.0, &Event::Tick);
    assert_eq!(hearing.watch.view().verdict, Verdict::Dragging);
    assert_eq!(hearing.rings, [(3_700.0, AlarmKind::Dragging), (3_700.0, AlarmKind::OutsideCircle)]);
}

#[test]
fn told_aweigh_she_is_under_way_until_she_anchors_again() {
    let mut hearing = settled();
    hearing.step(1_200.0, &Event::Told(Told::Aweigh));
    hearing.hear(1_201..1_300, sound);
    assert_eq!(hearing.watch.view().verdict, Verdict::UnderWay);
    assert_eq!(codes(&hearing), ["told_aweigh"]);
    let spread = Length::metres(5.0);
    hearing.step(1_300.0, &Event::Told(Told::Dropped { at: origin(), spread }));
    hearing.hear(1_301..2_400, sound);
    assert_eq!(hearing.watch.view().verdict, Verdict::Holding, "{:?}", hearing.watch.view());
}

#[test]
fn little_water_and_a_silent_sounder_are_told() {
    let mut hearing = settled();
    for second in 1_200..1_300 {
        let depth = Length::metres(2.2);
        hearing.see(f64::from(second), VANE, Seen::Water { depth });
        hearing.hear(second..second + 1, sound);
    }
    assert!(hearing.rang(AlarmKind::Water).is_some());
    hearing.hear(1_300..1_400, sound);
    assert!(hearing.rang(AlarmKind::SensorSilent).is_some_and(|rang| 1_355.0 < rang));
}

#[test]
fn a_shift_of_the_wind_is_told_once_and_then_from_where_it_was_told() {
    use crate::environment::wind::Wind;
    let mut hearing = settled();
    let blow = |from_deg: f64| {
        move |_: f64, heard: &mut Second| {
            let from = crate::units::Bearing::degrees(from_deg);
            heard.wind = Some(Wind::blowing(from, Speed::metres_per_second(6.0)));
        }
    };
    hearing.hear(1_200..2_000, blow(330.0));
    assert!(hearing.rang(AlarmKind::WindShift).is_some());
    hearing.step(2_000.0, &Event::Told(Told::Acknowledge(AlarmKind::WindShift)));
    hearing.rings.clear();
    hearing.hear(2_001..3_000, blow(350.0));
    assert_eq!(hearing.rang(AlarmKind::WindShift), None);
}

#[test]
fn a_shift_that_comes_and_goes_while_nobody_hears_it_is_one_alarm() {
    use crate::environment::wind::Wind;
    let mut hearing = settled();
    hearing.hear(1_200..12_000, |second, heard| {
        let swings = (core::f64::consts::TAU * (second - 1_200.0) / 1_800.0).sin();
        let from = crate::units::Bearing::degrees(315.0 + 25.0 * swings);
        heard.wind = Some(Wind::blowing(from, Speed::metres_per_second(6.0)));
    });
    let rang = hearing.rings.iter().filter(|(_, kind)| *kind == AlarmKind::WindShift).count();
    assert_eq!(rang, 1, "{:?}", hearing.rings);
}

#[test]
fn a_boat_that_swings_out_and_in_over_the_circle_unheard_rings_once_and_anew_when_it_was_heard() {
    // The rode told is half of what is out: she swings across the edge of the circle of the shorter one.
    let out: Truth = |second| {
        let swings = (core::f64::consts::TAU * second / 900.0).sin();
        let bow = Offset { east_m: REACH_M + 30.0 + 20.0 * swings, north_m: 0.0 };
        (if 1_200.0 < second { bow } else { lies(second).0 }, 270.0)
    };
    let mut hearing = Hearing::of(given(), out);
    hearing.hear(0..9_000, sound);
    let rang =
        |hearing: &Hearing| hearing.rings.iter().filter(|(_, it)| *it == AlarmKind::OutsideCircle).count();
    assert_eq!(rang(&hearing), 1, "{:?}", hearing.rings);
    hearing.step(9_000.0, &Event::Told(Told::Acknowledge(AlarmKind::OutsideCircle)));
    hearing.truth = lies;
    hearing.hear(9_001..10_000, sound);
    hearing.truth = out;
    hearing.hear(10_001..11_000, sound);
    assert_eq!(rang(&hearing), 2, "{:?}", hearing.rings);
}
