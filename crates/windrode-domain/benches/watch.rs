//! What a sample of a watch costs: `cargo bench -p windrode-domain --bench watch`.

use divan::counter::ItemsCount;
use divan::{Bencher, black_box};
use jiff::{SignedDuration, Timestamp};
use windrode_domain::catenary::{Line, Segment};
use windrode_domain::environment::wind::Wind;
use windrode_domain::position::{Offset, Position};
use windrode_domain::uncertain::Lognormal;
use windrode_domain::units::{Bearing, Force, Length, WeightPerLength};
use windrode_domain::watch::detector::Detector;
use windrode_domain::watch::given::{Drop, Given, RodeOut, WatchLimits, WatchedBoat};
use windrode_domain::watch::sample::{LeftOut, Sample};

fn main() {
    divan::main();
}

fn origin() -> Position {
    Position::new(47.0, -3.0).expect("a position")
}

fn given(drop: bool) -> Given {
    let chain = Segment {
        length: Length::metres(40.0),
        weight: WeightPerLength::newtons_per_metre(19.2),
        stiffness: Force::newtons(8.54e6),
    };
    Given {
        from: Timestamp::UNIX_EPOCH,
        boat: WatchedBoat {
            length: Some(Length::metres(12.0)),
            antenna: None,
            drag_area_m2: Lognormal::new(10.0, 0.2),
            roller_height: Some(Length::metres(1.2)),
            draught: None,
            multihull: Some(false),
        },
        drop: drop.then_some(Drop { at: origin(), spread: Length::metres(5.0) }),
        rode: Some(RodeOut { line: Line::new(vec![chain], vec![]).expect("a rode"), spread: 0.03 }),
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

/// Ten hours of sheering in a gusty wind, a sample every 5 s.
fn night(everything: bool) -> Vec<Sample> {
    let place = |t_s: f64| {
        let (sin, cos) = (0.5 * (t_s / 30.0).sin()).sin_cos();
        Offset { east_m: 38.5 * sin, north_m: -38.5 * cos }
    };
    (0..7200_i32)
        .map(|i| {
            let t_s = f64::from(i) * 5.0;
            let (now, before) = (place(t_s), place(t_s - 5.0));
            let shiver = Offset { east_m: 0.4 * (t_s * 0.77).sin(), north_m: 0.4 * (t_s * 0.61).cos() };
            let went = Offset { east_m: now.east_m - before.east_m, north_m: now.north_m - before.north_m };
            Sample {
                at: Timestamp::UNIX_EPOCH + SignedDuration::from_secs(i64::from(i) * 5),
                seconds: 5.0,
                place: now + shiver,
                at_bow: everything,
                went: everything.then_some(went),
                heading: everything.then(|| Bearing::degrees(20.0 * (t_s / 30.0).sin())),
                wind: everything.then(|| Wind { east_ms: 0.3, north_ms: -11.0 - 3.0 * (t_s * 0.05).sin() }),
                depth: everything.then(|| Length::metres(6.0 + 2.0 * (t_s / 7000.0).sin())),
                fixes: 5,
                fix_spread: None,
                left_out: LeftOut::default(),
            }
        })
        .collect()
}

fn watched(bencher: Bencher, everything: bool) {
    let (given, samples) = (given(everything), night(everything));
    bencher.counter(ItemsCount::new(samples.len())).bench(|| {
        let mut detector = Detector::new(&given, origin(), &samples[0]);
        for sample in &samples {
            black_box(detector.step(black_box(sample)));
        }
    });
}

/// Everything there: a night of 7,200 samples, the tide's rise included.
#[divan::bench]
fn night_with_everything(bencher: Bencher) {
    watched(bencher, true);
}

/// Nothing but fixes: twelve guesses of the bearing to begin with.
#[divan::bench]
fn night_of_bare_fixes(bencher: Bencher) {
    watched(bencher, false);
}

/// One row of memory, to be saved each minute.
#[divan::bench]
fn remembering(bencher: Bencher) {
    let (given, samples) = (given(true), night(true));
    let detector = Detector::new(&given, origin(), &samples[0]);
    bencher.bench(|| black_box(&detector).remember());
}
