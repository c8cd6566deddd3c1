//! Whatever comes, the watch stands.

use jiff::SignedDuration;
use proptest::prelude::*;

use super::night::{at, given, origin};
use crate::environment::wind::Wind;
use crate::position::{Offset, Position};
use crate::units::{Angle, Bearing, Length, Speed};
use crate::watch::effect::AlarmKind;
use crate::watch::event::{Event, Told};
use crate::watch::observation::{Fix, FixKind, Observation, Seen, Sky, Source, Way};
use crate::watch::step::Watch;

fn number() -> impl Strategy<Value = f64> {
    prop_oneof![
        5 => -200.0..200.0_f64,
        1 => Just(0.0),
        1 => Just(f64::NAN),
        1 => Just(f64::INFINITY),
        1 => Just(f64::MIN),
        1 => Just(1e300),
    ]
}

fn place() -> impl Strategy<Value = Position> {
    prop_oneof![
        6 => (-60.0..60.0_f64, -60.0..60.0_f64)
            .prop_map(|(east_m, north_m)| origin().plus(Offset { east_m, north_m })),
        1 => Just(Position::new(90.0, 0.0).unwrap()),
        1 => Just(Position::new(-90.0, 179.9).unwrap()),
        1 => Just(Position::new(0.0, 0.0).unwrap()),
        1 => Just(Position::new(41.2, -5.2).unwrap()),
    ]
}

fn bearing() -> impl Strategy<Value = Bearing> {
    (0.0..360.0_f64).prop_map(Bearing::degrees)
}

fn a_fix() -> impl Strategy<Value = Seen> {
    let kind = prop_oneof![
        4 => Just(FixKind::Autonomous),
        1 => Just(FixKind::Estimated),
        1 => Just(FixKind::CarrierPhase),
    ];
    let said = (proptest::option::of(number()), proptest::option::of(any::<u8>()));
    (place(), said, number(), kind, any::<bool>()).prop_map(|(antenna, said, dilution, kind, stated)| {
        Seen::Fix(Fix {
            antenna,
            spread: said.0.map(Length::metres),
            satellites: said.1,
            dilution: Some(dilution),
            kind,
            stated: stated.then(|| at(dilution.clamp(-1e6, 1e6).max(-1e6))),
        })
    })
}

fn seen() -> impl Strategy<Value = Seen> {
    prop_oneof![
        6 => a_fix(),
        1 => Just(Seen::NoFix),
        3 => (number(), proptest::option::of(bearing()), number()).prop_map(|(speed, course, step)| {
            Seen::Way(Way { speed: Speed::knots(speed), course, step: Speed::knots(step) })
        }),
        3 => (bearing(), number())
            .prop_map(|(bow, spread)| Seen::Heading { bow, spread: Angle::degrees(spread) }),
        3 => (number(), number()).prop_map(|(east_ms, north_ms)| Seen::Wind(Wind { east_ms, north_ms })),
        2 => number().prop_map(|depth| Seen::Water { depth: Length::metres(depth) }),
        1 => number().prop_map(|volts| Seen::Battery { volts }),
        1 => number().prop_map(|rpm| Seen::Engine { rpm }),
        1 => number().prop_map(|length| Seen::RodeOut { length: Length::metres(length) }),
        1 => (any::<u8>(), number()).prop_map(|(used, carrier)| {
            Seen::Sky(Sky { in_view: None, used: Some(used), carrier_db_hz: Some(carrier) })
        }),
    ]
}

fn alarm() -> impl Strategy<Value = AlarmKind> {
    prop_oneof![
        Just(AlarmKind::Dragging),
        Just(AlarmKind::OutsideCircle),
        Just(AlarmKind::Blind),
        Just(AlarmKind::WindShift),
        Just(AlarmKind::Neighbour(7)),
    ]
}

fn told() -> impl Strategy<Value = Told> {
    prop_oneof![
        (place(), number()).prop_map(|(at, spread)| Told::Dropped { at, spread: Length::metres(spread) }),
        number().prop_map(|length| Told::RodeOut(Length::metres(length))),
        any::<bool>().prop_map(Told::EngineRunning),
        Just(Told::Aweigh),
        alarm().prop_map(Told::Acknowledge),
        (alarm(), any::<i64>())
            .prop_map(|(alarm, s)| Told::Silence { alarm, lasting: SignedDuration::from_secs(s) }),
        alarm().prop_map(Told::Clear),
    ]
}

/// An event, how many seconds on by the boat's clock, and how old what was seen is.
fn event() -> impl Strategy<Value = (f64, f64, u16, Option<Seen>, Option<Told>)> {
    let on_s = prop_oneof![12 => 0.0..5.0_f64, 1 => -4_000.0..4_000.0_f64, 1 => Just(-3.0)];
    let age_s = prop_oneof![6 => Just(0.0), 1 => -10.0..100.0_f64];
    let said = prop_oneof![8 => seen().prop_map(|s| (Some(s), None)), 1 => told().prop_map(|t| (None, Some(t))),
        1 => Just((None, None))];
    (on_s, age_s, 1..4_u16, said).prop_map(|(on, age, source, (seen, told))| (on, age, source, seen, told))
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]
    #[test]
    fn no_sequence_of_events_panics_or_leaves_the_word_without_a_reason(
        events in proptest::collection::vec(event(), 1..120),
        break_off in 0..120_usize,
    ) {
        let mut watch = Watch::new(given());
        let (mut now_s, mut effects) = (0.0, Vec::new());
        for (number, (on_s, age_s, source, seen, told)) in events.into_iter().enumerate() {
            now_s += on_s;
            let event = match (seen, told) {
                (Some(seen), _) => {
                    Event::Observed(Observation { at: at(now_s - age_s), source: Source(source), seen })
                }
                (None, Some(told)) => Event::Told(told),
                (None, None) => Event::Tick,
            };
            watch.step(&event, at(now_s), &mut effects);
            if number == break_off {
                watch = Watch::recall(given(), watch.remember(), at(now_s));
            }
            let view = watch.view();
            prop_assert!(!view.reasons.is_empty());
            prop_assert!(view.since <= view.at);
        }
    }
}
