//! When it is light, when it is dark, and whether there is a moon.
//!
//! The sun is taken to rise and set when its upper limb touches a sea horizon seen from the water's edge: the centre
//! then stands 0.833° below, 16' for half its breadth and 34' for what the air bends. Civil twilight reaches down to
//! 6°, in which the horizon and the boats about can be made out; nautical twilight to 12°, in which the horizon still
//! can. Below that it is night. Lights are shown from sunset to sunrise, so *dark* here begins with sunset.
//!
//! ```text
//! T      centuries of 36 525 days of Terrestrial Time since 2000-01-01 12:00
//! α, δ   right ascension and declination, of the date           from the longitude and latitude on the ecliptic
//! θ      Greenwich sidereal time, with the nutation             from Universal Time
//! H      hour angle at the place, θ + longitude - α
//! ```
//!
//! The body's vector less the observer's on the WGS 84 ellipsoid gives altitude and azimuth, so the moon's parallax
//! (up to 1°) is in. Events are sought between samples a third of an hour apart, with every highest and lowest point
//! added as a sample: a sun that only just shows itself is not missed. Each crossing is then halved down to less than
//! 0.1 s.
//!
//! Time: `TT = UTC + 69.184 s` (37 leap seconds, and none to come is known) and `UT1 = UTC` (they are kept within
//! 0.9 s). From 1950 to 2100 this puts the sun off by less than 0.001° and the turning of the earth, where leap
//! seconds were others or will be, by less than a minute of time.
//!
//! Left out: height of eye (each √metre dips the horizon 0.03°, so a sunset from deck comes some ten seconds later),
//! hills, the day's own refraction (which moves a sunrise by some seconds, and by minutes in cold air near the
//! poles).
//! So nobody's sunset is sure to better than a minute, and the reckoning is made to that.
//!
//! Source: J. Meeus, *Astronomical Algorithms*, 2nd ed. (1998): sun, ch. 25 (lower accuracy, 0.01°); moon, ch. 47,
//! the terms above 0.002° of tables 47.A and 47.B (largest left out together about 0.01°); sidereal time ch. 12,
//! nutation ch. 22 (four terms), illuminated fraction ch. 48. Coefficients and the worked examples in the tests are
//! set down from memory of the book; what vouches for them is JPL's DE421, read by a general-purpose ephemeris
//! library, `authorities/almanac`: below 60° of latitude sunrise and twilight agree within 4 s, the moon within 6 s.

use core::f64::consts::TAU;

use jiff::{SignedDuration, Timestamp};

use crate::position::Position;
use crate::span::Span;
use crate::units::{Angle, Bearing};

/// Altitude of the sun's centre when its upper limb touches the horizon, degrees: 16' and 34', the almanacs' usual.
pub const SUNRISE_ALTITUDE_DEG: f64 = -50.0 / 60.0;
/// Altitude of the sun's centre at the dark end of civil twilight, degrees, by definition.
pub const CIVIL_ALTITUDE_DEG: f64 = -6.0;
/// Altitude of the sun's centre at the dark end of nautical twilight, degrees, by definition.
pub const NAUTICAL_ALTITUDE_DEG: f64 = -12.0;
/// What the air bends at the horizon, degrees: 34', the almanacs' usual.
const HORIZON_REFRACTION_DEG: f64 = 34.0 / 60.0;

/// `TT - UTC`, seconds: 32.184 by definition and 37 leap seconds (IERS Bulletin C, in force since 2017).
const TT_LESS_UTC_S: f64 = 69.184;
/// 2000-01-01 12:00 in Unix seconds.
const J2000_UNIX_S: f64 = 946_728_000.0;
const DAY_S: f64 = 86_400.0;
const CENTURY_D: f64 = 36_525.0;
/// Equatorial radius of the earth, km. WGS 84.
const EARTH_RADIUS_KM: f64 = 6378.137;
/// First eccentricity of the earth's ellipsoid, squared. WGS 84.
const EARTH_ECCENTRICITY_SQUARED: f64 = 6.694_379_990_14e-3;
/// Astronomical unit, km. IAU 2012 resolution B2.
const ASTRONOMICAL_UNIT_KM: f64 = 149_597_870.7;
/// Radius of the moon, km. IAU mean radius.
const MOON_RADIUS_KM: f64 = 1737.4;

/// Between two samples no body turns back twice: the altitude has one summit and one trough a day.
const SAMPLE_EVERY_S: f64 = 1200.0;
/// A tenth of a second is far below what refraction leaves sure.
const EVENT_WITHIN_S: f64 = 0.1;

/// How much light the sun gives.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Light {
    /// The sun shows.
    Day,
    /// The sun is down by less than 6°: boats and shore can be made out.
    CivilTwilight,
    /// The sun is down by 6° to 12°: the horizon can be made out, little else.
    NauticalTwilight,
    /// The sun is down by more than 12°.
    Night,
}

/// A moment at which the sun's light changes its name.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SunEvent {
    /// When.
    pub at: Timestamp,
    /// What.
    pub kind: SunEventKind,
}

/// What the sun does at an event.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum SunEventKind {
    /// Night ends: it climbs past 12° below.
    NauticalDawn,
    /// It climbs past 6° below.
    CivilDawn,
    /// Its upper limb appears.
    Sunrise,
    /// Its upper limb vanishes.
    Sunset,
    /// It sinks past 6° below.
    CivilDusk,
    /// Night begins: it sinks past 12° below.
    NauticalDusk,
}

/// Whether the sun rises or sets at all in a span.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SunCourse {
    /// It rises or sets at least once.
    RisesOrSets,
    /// It shows throughout. Over a day or more this is the polar day.
    AlwaysUp,
    /// It does not show at all. Over a day or more this is the polar night.
    NeverUp,
}

/// A moonrise or a moonset, of the moon's upper limb.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct MoonEvent {
    /// When.
    pub at: Timestamp,
    /// What.
    pub kind: MoonEventKind,
}

/// What the moon does at an event.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum MoonEventKind {
    /// Its upper limb appears.
    Moonrise,
    /// Its upper limb vanishes.
    Moonset,
}

/// Where a body stands in the sky, without what the air bends.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sky {
    /// Height of its centre above the horizontal.
    pub altitude: Angle,
    /// True direction. Near the zenith it means little.
    pub azimuth: Bearing,
}

/// The moon as it is seen from a place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Moon {
    /// Where it stands.
    pub sky: Sky,
    /// Fraction of its disc that the sun lights, 0 to 1.
    pub lit: f64,
    /// Whether that fraction grows.
    pub course: MoonCourse,
}

/// Which way the moon's light goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MoonCourse {
    /// From new to full.
    Waxing,
    /// From full to new.
    Waning,
}

/// Where the sun stands. Good to 0.02° from 1950 to 2100.
pub fn sun_at(position: Position, at: Timestamp) -> Sky {
    let moment = Moment::of(at, 0.0);
    moment.seen_from(position, sun(moment)).sky
}

/// Where the moon stands and how much of it is lit: to 0.03° and 0.005 from 1950 to 2100.
pub fn moon_at(position: Position, at: Timestamp) -> Moon {
    let moment = Moment::of(at, 0.0);
    let (moon, sun) = (moon(moment), sun(moment));
    let cos_elongation = moon.latitude.cos() * (moon.longitude - sun.longitude).cos();
    let sin_elongation = (1.0 - cos_elongation * cos_elongation).max(0.0).sqrt();
    let phase_angle =
        (sun.distance_km * sin_elongation).atan2(moon.distance_km - sun.distance_km * cos_elongation);
    let ahead = (moon.longitude - sun.longitude).rem_euclid(TAU);
    Moon {
        sky: moment.seen_from(position, moon).sky,
        lit: f64::midpoint(1.0, phase_angle.cos()),
        course: if ahead < TAU / 2.0 { MoonCourse::Waxing } else { MoonCourse::Waning },
    }
}

/// How light it is.
pub fn light_at(position: Position, at: Timestamp) -> Light {
    let altitude_deg = sun_at(position, at).altitude.as_degrees();
    if SUNRISE_ALTITUDE_DEG <= altitude_deg {
        Light::Day
    } else if CIVIL_ALTITUDE_DEG <= altitude_deg {
        Light::CivilTwilight
    } else if NAUTICAL_ALTITUDE_DEG <= altitude_deg {
        Light::NauticalTwilight
    } else {
        Light::Night
    }
}

/// Every dawn, sunrise, sunset and dusk of a span in order of time; none if the sun crosses no limit.
///
/// # Validity
/// Within a minute between 60° north and south, from 1950 to 2100. Nearer the poles the sun may graze the horizon and
/// a hundredth of a degree becomes minutes.
pub fn sun_events(position: Position, span: Span) -> Vec<SunEvent> {
    use SunEventKind::{CivilDawn, CivilDusk, NauticalDawn, NauticalDusk, Sunrise, Sunset};
    let limits = [
        (SUNRISE_ALTITUDE_DEG, Sunrise, Sunset),
        (CIVIL_ALTITUDE_DEG, CivilDawn, CivilDusk),
        (NAUTICAL_ALTITUDE_DEG, NauticalDawn, NauticalDusk),
    ];
    let altitude_deg = |since_s| sun_altitude_deg(position, span, since_s);
    let samples = samples(span, &altitude_deg);
    let mut events: Vec<SunEvent> = limits
        .into_iter()
        .flat_map(|(limit_deg, up, down)| {
            crossings(&samples, &|since_s| altitude_deg(since_s) - limit_deg, limit_deg)
                .into_iter()
                .map(move |(since_s, way)| (since_s, if way == Way::Up { up } else { down }))
        })
        .filter_map(|(since_s, kind)| Some(SunEvent { at: after(span, since_s)?, kind }))
        .collect();
    events.sort_by_key(|event| event.at);
    events
}

/// Whether the sun rises or sets in a span, shows throughout, or does not show.
pub fn sun_course(position: Position, span: Span) -> SunCourse {
    let turns = sun_events(position, span)
        .iter()
        .any(|event| matches!(event.kind, SunEventKind::Sunrise | SunEventKind::Sunset));
    match (turns, light_at(position, span.from())) {
        (true, _) => SunCourse::RisesOrSets,
        (false, Light::Day) => SunCourse::AlwaysUp,
        (false, _) => SunCourse::NeverUp,
    }
}

/// The stretches of a span from sunset to sunrise: the whole of it in the polar night, none in the polar day.
pub fn dark_spans(position: Position, span: Span) -> Vec<Span> {
    let mut dark = Vec::new();
    let mut since = (light_at(position, span.from()) != Light::Day).then_some(span.from());
    for event in sun_events(position, span) {
        match event.kind {
            SunEventKind::Sunset => since = Some(event.at),
            SunEventKind::Sunrise => {
                dark.extend(since.take().and_then(|from| Span::new(from, event.at).ok()));
            }
            _ => {}
        }
    }
    dark.extend(since.and_then(|from| Span::new(from, span.to()).ok()));
    dark
}

/// Every moonrise and moonset of a span in order of time. In some days there is only one, and near the poles none.
///
/// # Validity
/// Within a minute between 60° north and south, from 1950 to 2100.
pub fn moon_events(position: Position, span: Span) -> Vec<MoonEvent> {
    let above_deg = |since_s| {
        let moment = Moment::of(span.from(), since_s);
        let seen = moment.seen_from(position, moon(moment));
        let half_breadth_deg = (MOON_RADIUS_KM / seen.distance_km).asin().to_degrees();
        seen.sky.altitude.as_degrees() + half_breadth_deg + HORIZON_REFRACTION_DEG
    };
    crossings(&samples(span, &above_deg), &above_deg, 0.0)
        .into_iter()
        .filter_map(|(since_s, way)| {
            let kind = if way == Way::Up { MoonEventKind::Moonrise } else { MoonEventKind::Moonset };
            Some(MoonEvent { at: after(span, since_s)?, kind })
        })
        .collect()
}

fn sun_altitude_deg(position: Position, span: Span, since_s: f64) -> f64 {
    let moment = Moment::of(span.from(), since_s);
    moment.seen_from(position, sun(moment)).sky.altitude.as_degrees()
}

/// `None` outside the span.
fn after(span: Span, since_s: f64) -> Option<Timestamp> {
    if !(0.0..=span.duration().as_secs_f64()).contains(&since_s) {
        return None;
    }
    let since = SignedDuration::try_from_secs_f64(since_s).ok()?;
    span.from().checked_add(since).ok()
}

#[derive(Clone, Copy, PartialEq)]
enum Way {
    Up,
    Down,
}

/// Time since the span's beginning in seconds, and the altitude then: evenly spaced, from a step before the span to a
/// step after it, with the turning points among them.
fn samples(span: Span, altitude_deg: &impl Fn(f64) -> f64) -> Vec<(f64, f64)> {
    let end_s = span.duration().as_secs_f64() + SAMPLE_EVERY_S;
    let at = |since_s: f64| (since_s, altitude_deg(since_s));
    let mut samples = vec![at(-SAMPLE_EVERY_S)];
    let mut middle = at(0.0);
    while middle.0 < end_s {
        let next = at(middle.0 + SAMPLE_EVERY_S);
        let before = samples[samples.len() - 1];
        // The turn may lie on either side of the middle sample.
        let turn = turning_point(before, middle, next, altitude_deg);
        samples.extend(turn.filter(|turn| turn.0 < middle.0));
        samples.push(middle);
        samples.extend(turn.filter(|turn| middle.0 < turn.0));
        middle = next;
    }
    samples.push(middle);
    samples
}

/// The highest or lowest point about the middle one of three samples, if it stands out.
fn turning_point(
    before: (f64, f64),
    middle: (f64, f64),
    next: (f64, f64),
    altitude_deg: &impl Fn(f64) -> f64,
) -> Option<(f64, f64)> {
    let turns = (middle.1 - before.1) * (next.1 - middle.1) < 0.0;
    if !turns {
        return None;
    }
    let sign = if before.1 < middle.1 { 1.0 } else { -1.0 };
    let (mut low, mut high) = (before.0, next.0);
    // A third is cut off each time; the altitude is flat here, and a second more or less does not change it.
    while 1.0 < high - low {
        let third = (high - low) / 3.0;
        if sign * altitude_deg(low + third) < sign * altitude_deg(high - third) {
            low += third;
        } else {
            high -= third;
        }
    }
    let since_s = f64::midpoint(low, high);
    Some((since_s, altitude_deg(since_s)))
}

/// Where the samples pass `limit_deg`, refined on `above_deg` (the altitude less that limit) by halving.
fn crossings(samples: &[(f64, f64)], above_deg: &impl Fn(f64) -> f64, limit_deg: f64) -> Vec<(f64, Way)> {
    let up = |altitude_deg: f64| limit_deg <= altitude_deg;
    let crosses = |pair: &&[(f64, f64)]| up(pair[0].1) != up(pair[1].1);
    let halve = |pair: &[(f64, f64)]| {
        let way = if up(pair[1].1) { Way::Up } else { Way::Down };
        let (mut low, mut high) = (pair[0].0, pair[1].0);
        while EVENT_WITHIN_S < high - low {
            let middle = f64::midpoint(low, high);
            if (0.0 <= above_deg(middle)) == (way == Way::Up) {
                high = middle;
            } else {
                low = middle;
            }
        }
        (f64::midpoint(low, high), way)
    };
    samples.windows(2).filter(crosses).map(halve).collect()
}

/// An instant, as the theory counts it.
#[derive(Clone, Copy)]
struct Moment {
    /// Centuries of Terrestrial Time since 2000-01-01 12:00.
    t: f64,
    /// Days of Universal Time since then.
    ut_d: f64,
    nutation: Nutation,
}

/// Of longitude and of the obliquity with it, radians.
#[derive(Clone, Copy)]
struct Nutation {
    longitude: f64,
    obliquity: f64,
}

/// On the ecliptic and equinox of the date, seen from the middle of the earth, radians and km.
#[derive(Clone, Copy)]
struct Body {
    longitude: f64,
    latitude: f64,
    distance_km: f64,
}

struct Seen {
    sky: Sky,
    distance_km: f64,
}

impl Moment {
    fn of(at: Timestamp, since_s: f64) -> Self {
        let utc_s = at.as_duration().as_secs_f64() - J2000_UNIX_S + since_s;
        let t = (utc_s + TT_LESS_UTC_S) / DAY_S / CENTURY_D;
        Self { t, ut_d: utc_s / DAY_S, nutation: nutation(t) }
    }

    /// Greenwich apparent sidereal time, radians. Meeus eq. 12.4 and the equation of the equinoxes.
    fn sidereal(self) -> f64 {
        let t = self.ut_d / CENTURY_D;
        let mean_deg = 280.460_618_37 + 360.985_647_366_29 * self.ut_d + 0.000_387_933 * t * t;
        mean_deg.rem_euclid(360.0).to_radians() + self.nutation.longitude * self.nutation.obliquity.cos()
    }

    /// From a place on the ellipsoid. The vectors lie in the place's meridian: `x` out of the axis, `y` east, `z`
    /// north.
    fn seen_from(self, position: Position, body: Body) -> Seen {
        let (sin_e, cos_e) = self.nutation.obliquity.sin_cos();
        let (sin_l, cos_l) = body.longitude.sin_cos();
        let (sin_b, cos_b) = body.latitude.sin_cos();
        let right_ascension = (sin_l * cos_b * cos_e - sin_b * sin_e).atan2(cos_l * cos_b);
        let sin_d = sin_b * cos_e + cos_b * sin_e * sin_l;
        let cos_d = (1.0 - sin_d * sin_d).max(0.0).sqrt();
        let hour_angle = self.sidereal() + position.longitude_deg().to_radians() - right_ascension;

        let (sin_phi, cos_phi) = position.latitude_deg().to_radians().sin_cos();
        let normal_km = EARTH_RADIUS_KM / (1.0 - EARTH_ECCENTRICITY_SQUARED * sin_phi * sin_phi).sqrt();
        let x = body.distance_km * cos_d * hour_angle.cos() - normal_km * cos_phi;
        let y = -body.distance_km * cos_d * hour_angle.sin();
        let z = body.distance_km * sin_d - normal_km * (1.0 - EARTH_ECCENTRICITY_SQUARED) * sin_phi;

        let up = x * cos_phi + z * sin_phi;
        let north = z * cos_phi - x * sin_phi;
        let altitude = Angle::radians(up.atan2(north.hypot(y)));
        let azimuth = Bearing::degrees(y.atan2(north).to_degrees());
        Seen { sky: Sky { altitude, azimuth }, distance_km: up.hypot(north).hypot(y) }
    }
}

/// Meeus ch. 22, the four largest terms (0.5" in longitude), and the obliquity of eq. 22.2.
fn nutation(t: f64) -> Nutation {
    let node = (125.044_52 - 1_934.136_261 * t).to_radians();
    let sun = (280.466_5 + 36_000.769_8 * t).to_radians();
    let moon = (218.316_5 + 481_267.881_3 * t).to_radians();
    let longitude_arcsec = -17.20 * node.sin() - 1.32 * (2.0 * sun).sin() - 0.23 * (2.0 * moon).sin()
        + 0.21 * (2.0 * node).sin();
    let obliquity_arcsec =
        9.20 * node.cos() + 0.57 * (2.0 * sun).cos() + 0.10 * (2.0 * moon).cos() - 0.09 * (2.0 * node).cos();
    let mean_deg = 23.439_291_1 - 0.013_004_2 * t;
    Nutation {
        longitude: (longitude_arcsec / 3600.0).to_radians(),
        obliquity: (mean_deg + obliquity_arcsec / 3600.0).to_radians(),
    }
}

/// Meeus ch. 25, lower accuracy, with the aberration.
fn sun(moment: Moment) -> Body {
    let t = moment.t;
    let mean_longitude_deg = 280.466_46 + 36_000.769_83 * t + 0.000_303_2 * t * t;
    let anomaly = (357.529_11 + 35_999.050_29 * t - 0.000_153_7 * t * t).to_radians();
    let eccentricity = 0.016_708_634 - 0.000_042_037 * t;
    let centre_deg = (1.914_602 - 0.004_817 * t) * anomaly.sin()
        + (0.019_993 - 0.000_101 * t) * (2.0 * anomaly).sin()
        + 0.000_289 * (3.0 * anomaly).sin();
    let true_anomaly = anomaly + centre_deg.to_radians();
    let distance_au =
        1.000_001_018 * (1.0 - eccentricity * eccentricity) / (1.0 + eccentricity * true_anomaly.cos());
    let aberration_deg = -20.4898 / 3600.0 / distance_au;
    Body {
        longitude: (mean_longitude_deg + centre_deg + aberration_deg).to_radians()
            + moment.nutation.longitude,
        latitude: 0.0,
        distance_km: distance_au * ASTRONOMICAL_UNIT_KM,
    }
}

/// One periodic term of the moon's longitude and distance: multiples of the arguments, 10⁻⁶ degree, 10⁻³ km.
struct LongitudeTerm {
    multiples: [i8; 4],
    sine: f64,
    cosine: f64,
}

/// One periodic term of the moon's latitude: multiples of the arguments, 10⁻⁶ degree.
struct LatitudeTerm {
    multiples: [i8; 4],
    sine: f64,
}

const fn along(multiples: [i8; 4], sine: f64, cosine: f64) -> LongitudeTerm {
    LongitudeTerm { multiples, sine, cosine }
}

const fn across(multiples: [i8; 4], sine: f64) -> LatitudeTerm {
    LatitudeTerm { multiples, sine }
}

/// Meeus table 47.A, the terms above 0.002°.
#[rustfmt::skip]
const LONGITUDE_TERMS: [LongitudeTerm; 32] = [
    //      D   M   M'  F    sine l       cosine r
    along([ 0,  0,  1,  0], 6_288_774.0, -20_905_355.0),
    along([ 2,  0, -1,  0], 1_274_027.0,  -3_699_111.0),
    along([ 2,  0,  0,  0],   658_314.0,  -2_955_968.0),
    along([ 0,  0,  2,  0],   213_618.0,    -569_925.0),
    along([ 0,  1,  0,  0],  -185_116.0,      48_888.0),
    along([ 0,  0,  0,  2],  -114_332.0,      -3_149.0),
    along([ 2,  0, -2,  0],    58_793.0,     246_158.0),
    along([ 2, -1, -1,  0],    57_066.0,    -152_138.0),
    along([ 2,  0,  1,  0],    53_322.0,    -170_733.0),
    along([ 2, -1,  0,  0],    45_758.0,    -204_586.0),
    along([ 0,  1, -1,  0],   -40_923.0,    -129_620.0),
    along([ 1,  0,  0,  0],   -34_720.0,     108_743.0),
    along([ 0,  1,  1,  0],   -30_383.0,     104_755.0),
    along([ 2,  0,  0, -2],    15_327.0,      10_321.0),
    along([ 0,  0,  1,  2],   -12_528.0,           0.0),
    along([ 0,  0,  1, -2],    10_980.0,      79_661.0),
    along([ 4,  0, -1,  0],    10_675.0,     -34_782.0),
    along([ 0,  0,  3,  0],    10_034.0,     -23_210.0),
    along([ 4,  0, -2,  0],     8_548.0,     -21_636.0),
    along([ 2,  1, -1,  0],    -7_888.0,      24_208.0),
    along([ 2,  1,  0,  0],    -6_766.0,      30_824.0),
    along([ 1,  0, -1,  0],    -5_163.0,      -8_379.0),
    along([ 1,  1,  0,  0],     4_987.0,     -16_675.0),
    along([ 2, -1,  1,  0],     4_036.0,     -12_831.0),
    along([ 2,  0,  2,  0],     3_994.0,     -10_445.0),
    along([ 4,  0,  0,  0],     3_861.0,     -11_650.0),
    along([ 2,  0, -3,  0],     3_665.0,      14_403.0),
    along([ 0,  1, -2,  0],    -2_689.0,      -7_003.0),
    along([ 2,  0, -1,  2],    -2_602.0,           0.0),
    along([ 2, -1, -2,  0],     2_390.0,      10_056.0),
    along([ 1,  0,  1,  0],    -2_348.0,       6_322.0),
    along([ 2, -2,  0,  0],     2_236.0,      -9_884.0),
];

/// Meeus table 47.B, the terms above 0.002°.
#[rustfmt::skip]
const LATITUDE_TERMS: [LatitudeTerm; 17] = [
    //       D   M   M'  F    sine b
    across([ 0,  0,  0,  1], 5_128_122.0),
    across([ 0,  0,  1,  1],   280_602.0),
    across([ 0,  0,  1, -1],   277_693.0),
    across([ 2,  0,  0, -1],   173_237.0),
    across([ 2,  0, -1,  1],    55_413.0),
    across([ 2,  0, -1, -1],    46_271.0),
    across([ 2,  0,  0,  1],    32_573.0),
    across([ 0,  0,  2,  1],    17_198.0),
    across([ 2,  0,  1, -1],     9_266.0),
    across([ 0,  0,  2, -1],     8_822.0),
    across([ 2, -1,  0, -1],     8_216.0),
    across([ 2,  0, -2, -1],     4_324.0),
    across([ 2,  0,  1,  1],     4_200.0),
    across([ 2,  1,  0, -1],    -3_359.0),
    across([ 2, -1, -1,  1],     2_463.0),
    across([ 2, -1,  0,  1],     2_211.0),
    across([ 2, -1, -1, -1],     2_065.0),
];

/// Meeus ch. 47: `D` elongation, `M` the sun's anomaly, `M'` the moon's, `F` its distance from the node, `E` the
/// shrinking eccentricity of the earth's orbit, which scales every term with `M`.
fn moon(moment: Moment) -> Body {
    let t = moment.t;
    let mean_longitude_deg = 218.316_447_7 + 481_267.881_234_21 * t - 0.001_578_6 * t * t;
    let arguments_deg = [
        297.850_192_1 + 445_267.111_403_4 * t - 0.001_881_9 * t * t,
        357.529_109_2 + 35_999.050_290_9 * t - 0.000_153_6 * t * t,
        134.963_396_4 + 477_198.867_505_5 * t + 0.008_741_4 * t * t,
        93.272_095_0 + 483_202.017_523_3 * t - 0.003_653_9 * t * t,
    ];
    let e = 1.0 - 0.002_516 * t - 0.000_007_4 * t * t;
    let angle = |multiples: &[i8; 4]| {
        let degrees: f64 = multiples.iter().zip(arguments_deg).map(|(n, x)| f64::from(*n) * x).sum();
        degrees.to_radians()
    };
    let fade = |multiples: &[i8; 4]| e.powi(i32::from(multiples[1].abs()));

    // Venus, and the flattening of the earth.
    let venus = (119.75 + 131.849 * t).to_radians();
    let flattening = (mean_longitude_deg - arguments_deg[3]).to_radians();
    let mut longitude = 3958.0 * venus.sin() + 1962.0 * flattening.sin();
    let mut distance = 0.0;
    for term in &LONGITUDE_TERMS {
        let (sin, cos) = angle(&term.multiples).sin_cos();
        longitude += term.sine * fade(&term.multiples) * sin;
        distance += term.cosine * fade(&term.multiples) * cos;
    }
    let latitude: f64 = -2235.0 * mean_longitude_deg.to_radians().sin()
        + LATITUDE_TERMS
            .iter()
            .map(|term| term.sine * fade(&term.multiples) * angle(&term.multiples).sin())
            .sum::<f64>();
    Body {
        longitude: (mean_longitude_deg + longitude * 1e-6).to_radians() + moment.nutation.longitude,
        latitude: (latitude * 1e-6).to_radians(),
        distance_km: 385_000.56 + distance * 1e-3,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn utc(text: &str) -> Timestamp {
        text.parse().unwrap()
    }

    fn span(from: &str, hours: i64) -> Span {
        Span::new(utc(from), utc(from) + SignedDuration::from_hours(hours)).unwrap()
    }

    /// The book's instants are in Terrestrial Time.
    fn terrestrial(text: &str) -> Moment {
        Moment::of(utc(text), -TT_LESS_UTC_S)
    }

    // Source: Meeus, Astronomical Algorithms, example 25.a, from memory (1992-10-13 0h TD): 199.90895°, 0.99766 AU.
    #[test]
    fn the_sun_of_the_worked_example_comes_out() {
        let sun = sun(terrestrial("1992-10-13T00:00:00Z"));
        // The book prints five decimals; it takes the nutation by one term, we by four, which is 0.0004°.
        let longitude_deg = sun.longitude.to_degrees().rem_euclid(360.0);
        assert!((longitude_deg - 199.908_95).abs() < 5e-4, "{longitude_deg}");
        assert!((sun.distance_km / ASTRONOMICAL_UNIT_KM - 0.997_66).abs() < 5e-6);
    }

    // Source: Meeus, example 47.a, from memory (1992-04-12 0h TD): 133.167265° apparent, -3.229126°, 368 409.7 km.
    #[test]
    fn the_moon_of_the_worked_example_comes_out() {
        let moon = moon(terrestrial("1992-04-12T00:00:00Z"));
        let longitude_deg = moon.longitude.to_degrees().rem_euclid(360.0);
        // The terms left out add up to about 0.01° and 40 km.
        assert!((longitude_deg - 133.167_265).abs() < 0.01, "{longitude_deg}");
        assert!((moon.latitude.to_degrees() + 3.229_126).abs() < 0.01, "{}", moon.latitude.to_degrees());
        assert!((moon.distance_km - 368_409.7).abs() < 40.0, "{}", moon.distance_km);
    }

    // Source: Meeus, example 12.a, from memory (1987-04-10 0h UT): apparent sidereal time 13h 10m 46.1351s.
    #[test]
    fn the_sidereal_time_of_the_worked_example_comes_out() {
        let told_deg = (13.0 + 10.0 / 60.0 + 46.1351 / 3600.0) * 15.0;
        let found_deg = Moment::of(utc("1987-04-10T00:00:00Z"), 0.0).sidereal().to_degrees();
        // Four terms of the nutation: half a second of arc.
        assert!((found_deg - told_deg).abs() < 0.5 / 3600.0, "{found_deg} against {told_deg}");
    }

    #[test]
    fn at_the_equinox_the_day_is_half_a_day_and_what_limb_and_air_add() {
        let place = Position::new(0.0, 0.0).unwrap();
        let events = sun_events(place, span("2026-03-20T00:00:00Z", 24));
        let at = |kind| events.iter().find(|event| event.kind == kind).unwrap().at;
        let day = at(SunEventKind::Sunset).duration_since(at(SunEventKind::Sunrise)).as_secs_f64();
        // 0.833° at both ends at 15° an hour; the sun goes on by a third of a minute against the stars' day.
        assert!((day - (43_200.0 + 2.0 * 0.833 * 240.0)).abs() < 25.0, "{day}");
    }

    #[test]
    fn dawn_comes_before_sunrise_and_dusk_after_sunset() {
        use SunEventKind::{CivilDawn, CivilDusk, NauticalDawn, NauticalDusk, Sunrise, Sunset};
        let events = sun_events(Position::new(43.0, 6.0).unwrap(), span("2026-08-31T00:00:00Z", 72));
        let kinds: Vec<_> = events.iter().map(|event| event.kind).collect();
        let day = [NauticalDawn, CivilDawn, Sunrise, Sunset, CivilDusk, NauticalDusk];
        assert_eq!(kinds, day.repeat(3));
    }

    #[test]
    fn light_changes_its_name_at_the_events_and_nowhere_else() {
        let (place, night) = (Position::new(56.0, -6.0).unwrap(), span("2026-06-20T12:00:00Z", 24));
        let events = sun_events(place, night);
        let mut changes = 0;
        let mut before = light_at(place, night.from());
        for at in night.instants(SignedDuration::from_mins(1)) {
            let now = light_at(place, at);
            if now != before {
                changes += 1;
                let near = events
                    .iter()
                    .any(|event| at.duration_since(event.at).abs() <= SignedDuration::from_mins(1));
                assert!(near, "{at}");
            }
            before = now;
        }
        assert_eq!(changes, events.len());
    }

    #[test]
    fn a_sun_that_shows_itself_for_minutes_is_not_missed() {
        // The last noons before the polar night: found by walking north until the sun stays down.
        let mut shortest_s = f64::INFINITY;
        for step in 0..400 {
            let place = Position::new(67.0 + f64::from(step) * 0.002, 19.0).unwrap();
            let events = sun_events(place, span("2026-12-21T00:00:00Z", 24));
            let shown: Vec<_> = events
                .iter()
                .filter(|event| matches!(event.kind, SunEventKind::Sunrise | SunEventKind::Sunset))
                .collect();
            if let [rise, set] = shown[..] {
                shortest_s = shortest_s.min(set.at.duration_since(rise.at).as_secs_f64());
            }
        }
        // Samples alone, 20 minutes apart, would pass over anything shorter than that.
        assert!(shortest_s < SAMPLE_EVERY_S, "{shortest_s}");
    }

    #[test]
    fn a_sun_that_shows_itself_just_after_the_span_begins_is_not_missed() {
        let place = Position::new(67.38, 19.0).unwrap();
        let events = sun_events(place, span("2026-12-21T00:00:00Z", 24));
        let rise = events.iter().find(|event| event.kind == SunEventKind::Sunrise).unwrap().at;
        let begins = rise - SignedDuration::from_secs(5);
        let found = sun_events(place, Span::new(begins, begins + SignedDuration::from_hours(12)).unwrap());
        assert_eq!(found[0].kind, SunEventKind::Sunrise);
        assert_eq!(found[1].kind, SunEventKind::Sunset);
    }

    #[test]
    fn polar_day_and_polar_night_have_their_names() {
        let place = Position::new(75.0, 20.0).unwrap();
        let (summer, winter) = (span("2026-06-21T00:00:00Z", 48), span("2026-12-21T00:00:00Z", 48));
        assert_eq!(sun_course(place, summer), SunCourse::AlwaysUp);
        assert_eq!(dark_spans(place, summer), vec![]);
        assert_eq!(sun_course(place, winter), SunCourse::NeverUp);
        assert_eq!(dark_spans(place, winter), vec![winter]);
    }

    #[test]
    fn a_night_across_the_end_of_the_year_is_one_night() {
        let dark = dark_spans(Position::new(-36.8, 174.8).unwrap(), span("2026-12-31T00:00:00Z", 24));
        assert_eq!(dark.len(), 1);
        assert!(dark[0].contains(utc("2026-12-31T12:00:00Z")));
    }

    #[test]
    fn from_new_moon_to_full_she_waxes() {
        let place = Position::new(43.0, 6.0).unwrap();
        let mut before = moon_at(place, utc("2026-11-01T00:00:00Z"));
        for at in span("2026-11-01T06:00:00Z", 29 * 24).instants(SignedDuration::from_hours(6)) {
            let now = moon_at(place, at);
            // Near new and full the latitude of the moon shifts the turn by hours.
            if now.course == before.course && (0.02..0.98).contains(&now.lit) {
                assert_eq!(now.lit > before.lit, now.course == MoonCourse::Waxing, "{at}");
            }
            before = now;
        }
    }
}
