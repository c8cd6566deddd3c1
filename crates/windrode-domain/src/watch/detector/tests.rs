//! Facts of the drag test on motions that can be written down: no simulator, no noise but a little that is its own.

use super::*;
use crate::catenary::Segment;
use crate::environment::wind::Wind;
use crate::units::{Bearing, WeightPerLength};
use crate::watch::gather::LeftOut;
use crate::watch::given::{Drop, RodeOut, WatchLimits, WatchedBoat};

mod missing;

/// A night as functions of the seconds: true bow and wind, turned as a whole by an angle.
struct Night {
    turned_deg: f64,
    seconds: f64,
    drop: bool,
    begins: Timestamp,
    /// Bow from the anchor's first place: along the wind's way and across it, m, and the wind, m/s.
    bow: fn(f64, &Reach) -> (f64, f64, f64),
}

const WIND_MS: f64 = 12.0;

fn line() -> Line {
    let chain = Segment {
        length: Length::metres(40.0),
        weight: WeightPerLength::newtons_per_metre(19.2),
        stiffness: crate::units::Force::newtons(8.54e6),
    };
    Line::new(vec![chain], vec![]).unwrap()
}

fn origin() -> Position {
    Position::new(47.0, -3.0).unwrap()
}

fn given(drop: bool, from: Timestamp) -> Given {
    Given {
        from,
        boat: WatchedBoat {
            length: Some(Length::metres(12.0)),
            antenna: None,
            drag_area_m2: crate::uncertain::Lognormal::new(10.0, 0.2),
            roller_height: Some(Length::metres(1.2)),
            draught: None,
            multihull: Some(false),
        },
        drop: drop.then_some(Drop { at: origin(), spread: Length::metres(5.0) }),
        rode: Some(RodeOut { line: line(), spread: 0.03 }),
        depth: Some(Length::metres(6.0)),
        expected: None,
        limits: WatchLimits {
            under_keel: Length::metres(0.5),
            battery_v: None,
            silence_s: 5.0,
            neighbour: Length::metres(20.0),
            wind_shift_deg: 30.0,
        },
    }
}

/// A shiver of a few decimetres that repeats for nobody, the same in every run.
fn shiver(t_s: f64, phase: f64) -> f64 {
    0.25 * (t_s * 0.91 + phase).sin()
        + 0.2 * (t_s * 0.233 + 2.0 * phase).sin()
        + 0.3 * (t_s * 0.0131 + phase).cos()
}

impl Night {
    fn lying(bow: fn(f64, &Reach) -> (f64, f64, f64)) -> Self {
        Self { turned_deg: 0.0, seconds: 5.0, drop: true, begins: Timestamp::UNIX_EPOCH, bow }
    }

    fn sample(&self, t_s: f64, reach: &Reach) -> Sample {
        let (sin, cos) = self.turned_deg.to_radians().sin_cos();
        let turn = |along: f64, across: f64| Offset {
            east_m: along * cos - across * sin,
            north_m: along * sin + across * cos,
        };
        let place = |t_s: f64| (self.bow)(t_s, reach);
        let (along, across, wind_ms) = place(t_s);
        let (before_along, before_across, _) = place(t_s - self.seconds);
        // A wind that is the same to the last bit would be taken for a stuck one.
        let wind = turn(wind_ms * (1.0 + 1e-9 * (t_s * 0.01).sin()), 0.0);
        #[expect(clippy::cast_possible_truncation, reason = "milliseconds of a night")]
        let millis = SignedDuration::from_millis((t_s * 1000.0) as i64);
        Sample {
            at: self.begins.checked_add(millis).unwrap(),
            seconds: self.seconds,
            place: turn(along + shiver(t_s, 0.3), across + shiver(t_s, 1.7)),
            at_bow: true,
            went: Some(turn(along - before_along, across - before_across)),
            heading: Some(Bearing::degrees((-wind.east_m).atan2(-wind.north_m).to_degrees())),
            wind: Some(Wind { east_ms: wind.east_m, north_ms: wind.north_m }),
            depth: None,
            fixes: 5,
            fix_spread: None,
            left_out: LeftOut::default(),
        }
    }

    fn watched(&self, for_s: f64) -> Vec<Found> {
        let reach = Reach::of(&line(), Length::metres(7.2)).unwrap();
        let mut detector = Detector::new(&given(self.drop, self.begins), origin(), &self.sample(0.0, &reach));
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "samples of a night")]
        let samples = (for_s / self.seconds) as u32;
        (1..=samples).map(|i| detector.step(&self.sample(f64::from(i) * self.seconds, &reach))).collect()
    }

    fn rung_at_s(&self, for_s: f64) -> Option<f64> {
        let at = self.watched(for_s).iter().position(|found| found.dragging)?;
        Some((at + 1) as f64 * self.seconds)
    }
}

fn load_n(wind_ms: f64) -> f64 {
    15.0 + 0.5 * 1.225 * 10.0 * 1.07 * wind_ms * wind_ms
}

fn at_edge(reach: &Reach) -> f64 {
    reach.at_m(load_n(WIND_MS))
}

fn still(_: f64, reach: &Reach) -> (f64, f64, f64) {
    (at_edge(reach), 0.0, WIND_MS)
}

/// From 2 h on the anchor goes at a metre a minute.
fn ramp(t_s: f64, reach: &Reach) -> (f64, f64, f64) {
    (at_edge(reach) + (t_s - 7200.0).max(0.0) / 60.0, 0.0, WIND_MS)
}

/// From 2 h on the anchor goes at half a knot.
fn run(t_s: f64, reach: &Reach) -> (f64, f64, f64) {
    (at_edge(reach) + (t_s - 7200.0).max(0.0) * 0.257, 0.0, WIND_MS)
}

/// She sheers 40° to either side every three minutes.
fn sheer(t_s: f64, reach: &Reach) -> (f64, f64, f64) {
    let (sin, cos) = (40_f64.to_radians() * (t_s / 180.0 * core::f64::consts::TAU).sin()).sin_cos();
    (at_edge(reach) * cos, at_edge(reach) * sin, WIND_MS)
}

/// She lies about anywhere inside in a light air.
fn inside(t_s: f64, reach: &Reach) -> (f64, f64, f64) {
    let turn = t_s / 2400.0;
    let out = reach.at_m(load_n(2.0)) * (0.45 + 0.4 * (t_s / 3000.0).sin());
    (out * turn.cos(), out * turn.sin(), 2.0)
}

#[test]
fn a_still_boat_rings_nothing_all_night() {
    for seconds in [1.0, 5.0, 60.0, 600.0] {
        let night = Night { seconds, ..Night::lying(still) };
        assert_eq!(night.rung_at_s(36_000.0), None, "a sample every {seconds} s");
    }
}

#[test]
fn sheering_along_the_circle_is_no_evidence() {
    let night = Night::lying(sheer);
    let most = night.watched(36_000.0).iter().map(|found| found.evidence).fold(0.0, f64::max);
    assert!(most < 0.3, "{most}");
}

#[test]
fn wandering_inside_the_circle_is_no_evidence() {
    let night = Night::lying(inside);
    let most = night.watched(36_000.0).iter().map(|found| found.evidence).fold(0.0, f64::max);
    assert!(most < 0.1, "{most}");
}

#[test]
fn a_drag_is_called_within_metres_whether_or_not_the_drop_is_known() {
    for drop in [true, false] {
        let slow = Night { drop, ..Night::lying(ramp) };
        let gone_m = (slow.rung_at_s(10_800.0).unwrap() - 7200.0) / 60.0;
        assert!((2.0..9.0).contains(&gone_m), "1 m/min, drop {drop}: {gone_m} m");
        let fast = Night { drop, ..Night::lying(run) };
        let gone_m = (fast.rung_at_s(10_800.0).unwrap() - 7200.0) * 0.257;
        assert!((2.0..9.0).contains(&gone_m), "0.5 kn, drop {drop}: {gone_m} m");
    }
}

#[test]
fn what_is_called_says_how_far_how_fast_and_since_when() {
    let found = *Night::lying(ramp).watched(8400.0).last().unwrap();
    let gone = found.gone.unwrap();
    // 20 m in 20 min along the wind's way, known to the fix's slow error and the load's half metre.
    assert!((gone.by.east_m - 20.0).abs() < 4.0 && gone.by.north_m.abs() < 4.0, "{gone:?}");
    assert!((gone.speed_ms - 1.0 / 60.0).abs() < 0.006, "{gone:?}");
    let begun_s = gone.since.as_second();
    assert!((6600..7800).contains(&begun_s), "{begun_s}");
}

#[test]
fn a_night_turned_by_any_angle_gives_the_same_evidence() {
    let as_it_lay = Night::lying(ramp).watched(9000.0);
    for turned_deg in [37.0, 90.0, 211.5] {
        let turned = Night { turned_deg, ..Night::lying(ramp) }.watched(9000.0);
        for (a, b) in as_it_lay.iter().zip(&turned) {
            // Rounding alone.
            assert!((a.evidence - b.evidence).abs() < 1e-6, "{turned_deg}: {} {}", a.evidence, b.evidence);
        }
    }
}

#[test]
fn a_night_at_another_hour_gives_the_same_evidence() {
    let begins = Timestamp::from_second(1_795_000_000).unwrap();
    let later = Night { begins, ..Night::lying(ramp) }.watched(9000.0);
    for (a, b) in Night::lying(ramp).watched(9000.0).iter().zip(&later) {
        assert!(a.evidence.to_bits() == b.evidence.to_bits());
    }
}

#[test]
fn one_recalled_goes_on_as_if_nothing_had_happened() {
    let reach = Reach::of(&line(), Length::metres(7.2)).unwrap();
    for drop in [true, false] {
        let night = Night { drop, ..Night::lying(ramp) };
        let given = given(drop, night.begins);
        let mut bare = night.sample(0.0, &reach);
        if !drop {
            (bare.wind, bare.heading) = (None, None);
        }
        let mut unbroken = Detector::new(&given, origin(), &bare);
        for i in 1..1500 {
            unbroken.step(&night.sample(f64::from(i) * 5.0, &reach));
        }
        let mut recalled = Detector::recall(&given, origin(), &unbroken.remember()).unwrap();
        for i in 1500..1700 {
            let sample = night.sample(f64::from(i) * 5.0, &reach);
            assert_eq!(unbroken.step(&sample), recalled.step(&sample), "sample {i}, drop {drop}");
        }
        assert!(Detector::recall(&given, origin(), &Remembered::default()).is_err());
    }
}

#[test]
fn a_bearing_that_nothing_tells_is_learnt_from_the_swing() {
    let reach = Reach::of(&line(), Length::metres(7.2)).unwrap();
    let night = Night { drop: false, ..Night::lying(sheer) };
    let blind = |t_s: f64| Sample { wind: None, heading: None, ..night.sample(t_s, &reach) };
    let mut detector = Detector::new(&given(false, night.begins), origin(), &blind(0.0));
    let mut last = None;
    for i in 1..2000 {
        last = Some(detector.step(&blind(f64::from(i) * 5.0)));
    }
    let found = last.unwrap();
    // Without wind the reach is that of a common night, 1 m short of that of a fresh wind: the anchor to a few metres.
    assert!(found.anchor.length().as_metres() < 12.0, "{found:?}");
    assert!(!found.dragging);
}

#[test]
fn settled_where_she_lies_after_a_drag_she_holds() {
    let reach = Reach::of(&line(), Length::metres(7.2)).unwrap();
    let night = Night::lying(|t_s, reach| ramp(t_s.min(8400.0), reach));
    let mut detector = Detector::new(&given(true, night.begins), origin(), &night.sample(0.0, &reach));
    for i in 1..4000 {
        let found = detector.step(&night.sample(f64::from(i) * 5.0, &reach));
        if i == 1800 {
            assert!(found.dragging);
            detector.settle_here();
        }
        if 1800 < i {
            assert!(!found.dragging, "sample {i}");
        }
    }
}

/// Her drop was marked 9 m further up the wind than it lies: she lies that much inside, and the anchor goes at half a
/// knot from 2 h on.
fn run_marked_badly(t_s: f64, reach: &Reach) -> (f64, f64, f64) {
    let (along, across, wind_ms) = run(t_s, reach);
    (along - 9.0, across, wind_ms)
}

#[test]
fn a_drop_marked_badly_costs_no_metres_once_she_has_lain_taut() {
    let gone_m = (Night::lying(run_marked_badly).rung_at_s(10_800.0).unwrap() - 7200.0) * 0.257;
    // As with a drop marked well: not the 9 m more that the mark is off.
    assert!((2.0..9.0).contains(&gone_m), "{gone_m} m");
}

/// Once she surges in by 2.2 m and out by as much, within a minute.
fn surge(t_s: f64, reach: &Reach) -> (f64, f64, f64) {
    let into_s = t_s - 7200.0;
    let in_m = if (0.0..60.0).contains(&into_s) {
        2.2 * (into_s / 60.0 * core::f64::consts::TAU).sin()
    } else {
        0.0
    };
    (at_edge(reach) - in_m, 0.0, WIND_MS)
}

#[test]
fn a_surge_in_and_out_is_no_drag() {
    assert_eq!(Night::lying(surge).rung_at_s(9000.0), None);
}
