//! Sun and moon against JPL's DE421 as read by skyfield (`authorities/almanac/skyfield.json`).

use jiff::{SignedDuration, Timestamp};
use windrode_domain::environment::almanac::{
    MoonEventKind, SunCourse, SunEventKind, dark_spans, moon_at, moon_events, sun_at, sun_course, sun_events,
};
use windrode_domain::position::Position;
use windrode_domain::span::Span;
use windrode_domain::units::Bearing;

#[derive(serde::Deserialize)]
struct Authority {
    cases: Vec<Case>,
}

#[derive(serde::Deserialize)]
struct Case {
    latitude_deg: f64,
    longitude_deg: f64,
    from: Utc,
    hours: i64,
    sun: [f64; 2],
    moon: [f64; 2],
    moon_lit: f64,
    sun_events: Vec<Event>,
    moon_events: Vec<Event>,
}

#[derive(serde::Deserialize)]
struct Event {
    at: Utc,
    kind: String,
}

/// The domain's `jiff` reads no JSON, so the text is parsed here.
#[derive(Clone, serde::Deserialize)]
#[serde(try_from = "String")]
struct Utc(Timestamp);

impl TryFrom<String> for Utc {
    type Error = jiff::Error;
    fn try_from(text: String) -> Result<Self, jiff::Error> {
        text.parse().map(Self)
    }
}

impl Case {
    fn position(&self) -> Position {
        Position::new(self.latitude_deg, self.longitude_deg).unwrap()
    }
    fn span(&self) -> Span {
        let from = self.from.0;
        Span::new(from, from + SignedDuration::from_hours(self.hours)).unwrap()
    }
    fn name(&self) -> String {
        format!("{} {} from {}", self.latitude_deg, self.longitude_deg, self.from.0)
    }
}

fn cases() -> Vec<Case> {
    let text = include_str!("../../../../authorities/almanac/skyfield.json");
    serde_json::from_str::<Authority>(text).unwrap().cases
}

const fn sun_word(kind: SunEventKind) -> &'static str {
    match kind {
        SunEventKind::NauticalDawn => "nautical_dawn",
        SunEventKind::CivilDawn => "civil_dawn",
        SunEventKind::Sunrise => "sunrise",
        SunEventKind::Sunset => "sunset",
        SunEventKind::CivilDusk => "civil_dusk",
        SunEventKind::NauticalDusk => "nautical_dusk",
    }
}

/// A minute below 60°: what refraction leaves unsure. Beyond, 0.01° of the theory takes longer to cross as the body
/// slants along the horizon: five minutes.
fn tolerance_s(latitude_deg: f64) -> f64 {
    if latitude_deg.abs() < 60.0 { 60.0 } else { 300.0 }
}

#[track_caller]
fn check_events(case: &Case, found: &[(Timestamp, &str)], told: &[Event]) -> f64 {
    let words: Vec<_> = found.iter().map(|event| event.1).collect();
    let expected: Vec<_> = told.iter().map(|event| event.kind.as_str()).collect();
    assert_eq!(words, expected, "{}", case.name());
    let mut worst_s = 0.0_f64;
    for ((at, word), told) in found.iter().zip(told) {
        let off_s = at.duration_since(told.at.0).as_secs_f64().abs();
        let tolerance_s = tolerance_s(case.latitude_deg);
        assert!(off_s <= tolerance_s, "{}: {word} {at} against {}", case.name(), told.at.0);
        if case.latitude_deg.abs() < 60.0 {
            worst_s = worst_s.max(off_s);
        }
    }
    worst_s
}

#[test]
fn the_sun_rises_and_sets_when_the_ephemeris_says() {
    let mut worst_s = 0.0_f64;
    for case in cases() {
        let found: Vec<_> = sun_events(case.position(), case.span())
            .into_iter()
            .map(|event| (event.at, sun_word(event.kind)))
            .collect();
        worst_s = worst_s.max(check_events(&case, &found, &case.sun_events));
    }
    // The theory's 0.01° is 2.4 s of turning on the equator and 5 s at 60°; the sun's slanting path there doubles it.
    assert!(worst_s < 10.0, "below 60°: {worst_s} s");
}

#[test]
fn the_moon_rises_and_sets_when_the_ephemeris_says() {
    let mut worst_s = 0.0_f64;
    for case in cases() {
        let found: Vec<_> = moon_events(case.position(), case.span())
            .into_iter()
            .map(|event| {
                let word = if event.kind == MoonEventKind::Moonrise { "moonrise" } else { "moonset" };
                (event.at, word)
            })
            .collect();
        worst_s = worst_s.max(check_events(&case, &found, &case.moon_events));
    }
    // Twice the sun's, by the theory's 0.02°.
    assert!(worst_s < 20.0, "below 60°: {worst_s} s");
}

#[test]
fn sun_and_moon_stand_where_the_ephemeris_says() {
    let mut worst = [0.0_f64; 3];
    for case in cases() {
        let (sun, moon) = (sun_at(case.position(), case.from.0), moon_at(case.position(), case.from.0));
        // Azimuths crowd together towards the zenith: measured along the circle of altitude.
        let apart = |sky: windrode_domain::environment::almanac::Sky, told: [f64; 2]| {
            let turn =
                sky.azimuth.to(Bearing::degrees(told[1])).as_degrees() * sky.altitude.as_radians().cos();
            (sky.altitude.as_degrees() - told[0]).hypot(turn)
        };
        worst[0] = worst[0].max(apart(sun, case.sun));
        worst[1] = worst[1].max(apart(moon.sky, case.moon));
        worst[2] = worst[2].max((moon.lit - case.moon_lit).abs());
    }
    // 0.01° of the theory and 0.9 s of UT1 (0.004°) for the sun; 0.02° and the same for the moon; what the moon is
    // lit moves by 0.0005 for 0.03° of elongation.
    assert!(worst[0] < 0.02 && worst[1] < 0.03 && worst[2] < 0.005, "{worst:?}");
}

#[test]
fn darkness_lasts_from_sunset_to_sunrise() {
    for case in cases() {
        let (position, span) = (case.position(), case.span());
        let dark = dark_spans(position, span);
        let sets = case.sun_events.iter().filter(|event| event.kind == "sunset").count();
        let begins_dark = case.sun[0] < -50.0 / 60.0;
        assert_eq!(dark.len(), sets + usize::from(begins_dark), "{}", case.name());
        let turns = case.sun_events.iter().any(|event| event.kind.starts_with("sun"));
        let course = match (turns, begins_dark) {
            (true, _) => SunCourse::RisesOrSets,
            (false, true) => SunCourse::NeverUp,
            (false, false) => SunCourse::AlwaysUp,
        };
        assert_eq!(sun_course(position, span), course, "{}", case.name());
    }
}
