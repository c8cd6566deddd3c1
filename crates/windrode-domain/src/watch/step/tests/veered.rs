//! More rode, or a longer snubber: she falls back, and nothing rings for it.

use super::night::*;
use super::settled;
use crate::position::Offset;
use crate::units::Length;
use crate::watch::effect::AlarmKind;
use crate::watch::event::{Event, Told};
use crate::watch::verdict::Verdict;

/// From the 40th minute on she falls back by so much at a speed, and lies there.
fn falls_back(second: f64, by_m: f64, speed_ms: f64) -> (Offset, f64) {
    let (bow, heading_deg) = lies(second);
    let back_m = (speed_ms * (second - 2_400.0)).clamp(0.0, by_m);
    (Offset { east_m: bow.east_m + back_m, ..bow }, heading_deg)
}

fn veers(truth: Truth, to_m: f64, told_after_s: u32) -> Hearing {
    let mut hearing = settled();
    hearing.truth = truth;
    let told = 2_400 + told_after_s;
    hearing.hear(1_200..told, sound);
    hearing.step(f64::from(told), &Event::Told(Told::RodeOut(Length::metres(to_m))));
    hearing.hear(told + 1..4_800, sound);
    hearing
}

#[test]
fn falling_back_on_what_was_veered_or_on_a_long_snubber_is_no_drag() {
    // Twenty metres more at half a knot and at a knot and a half; a snubber of eight at a quarter of a knot.
    // Told as it is veered, or in the first seconds of it: seven metres at once before the word would rightly ring.
    let cases: [(Truth, f64, u32); 4] = [
        (|s| falls_back(s, 20.0, 0.26), 60.0, 0),
        (|s| falls_back(s, 20.0, 0.26), 60.0, 10),
        (|s| falls_back(s, 20.0, 0.77), 60.0, 0),
        (|s| falls_back(s, 8.0, 0.13), 48.0, 10),
    ];
    for (truth, to_m, told_after_s) in cases {
        let hearing = veers(truth, to_m, told_after_s);
        assert_eq!(hearing.rings, [], "{to_m}");
        assert_eq!(hearing.watch.view().verdict, Verdict::Holding, "{:?}", hearing.watch.view().reasons);
    }
}

#[test]
fn an_anchor_that_drags_soon_after_rings_all_the_same() {
    // Twenty metres of rode, and from the 50th minute on the anchor goes 6 m a minute.
    let mut hearing = veers(|s| falls_back(s, 20.0, 0.26), 60.0, 10);
    hearing.truth = |second| {
        let (bow, heading_deg) = falls_back(second, 20.0, 0.26);
        (Offset { east_m: bow.east_m + 0.1 * (second - 4_800.0).max(0.0), ..bow }, heading_deg)
    };
    hearing.hear(4_801..5_400, sound);
    let rang = hearing.rang(AlarmKind::Dragging).unwrap();
    assert!(0.1 * (rang - 4_800.0) < 15.0, "{rang}");
    // One that goes while she falls back: 5 m a minute from the moment it was told, beyond all that is out.
    let truth: Truth = |second| {
        let (bow, heading_deg) = falls_back(second, 20.0, 0.26);
        (Offset { east_m: bow.east_m + 0.083 * (second - 2_410.0).max(0.0), ..bow }, heading_deg)
    };
    let rang = veers(truth, 60.0, 10).rang(AlarmKind::Dragging).unwrap();
    assert!(0.083 * (rang - 2_410.0) < 30.0, "{rang}");
}
