//! How she lies: to the wind, to the stream, or to neither.
//!
//! The rode holds the bow. Wind on the topsides and stream on the underwater profile each turn her about it until
//! they come from ahead; together they turn her to where their moments balance. A push across the keel goes with the
//! sine of the angle off the bow, so with `m` the moment of each beam on and `β` the bearing it comes from, the
//! moment at a heading `ψ` is
//!
//! ```text
//! M(ψ) = m_w sin(β_w − ψ) + m_s sin(β_s − ψ) = |R| sin(β_R − ψ),   R = m_w û(β_w) + m_s û(β_s)
//! m_w = ½ ρ_a V_w² A_s x_w,   m_s = ½ ρ_w V_s² C_y L_WL T x_s
//! ```
//!
//! with one stable heading `β_R`, in closed form. She can lie there only if the push of both together takes her
//! astern, so that the rode leads forward of the beam; otherwise she rides over her own rode, and lies *athwart*. So
//! it is with wind against a stream strong enough to turn her and too weak to hold her back: between the stream at
//! which the moments balance and that at which the loads do. A deep keel is turned sooner than a motor vessel's hull.
//!
//! The moments are known to a factor of two either way (own estimate: the lateral coefficient runs from 0.6 to 1.0,
//! the profile is a rectangle, windage is known to 1.5, the levers are guesses): every heading within that belongs to
//! the spread, and where it passes 60° she is said to lie athwart too, since nothing useful is known. Half the turn
//! of the wind between forecast steps belongs to the spread as well, and her sheering. Vessels moored fore and aft, a
//! riding sail, a steadying engine and the drag of the rode are left out.

use super::{
    loads::{Exposed, air_drag, stream_push, wind_at_height, wind_push},
    stream_load::{LATERAL_COEFFICIENTS, STREAM_KG_M3, profile},
    wind::WindAt,
};
use crate::{
    boat::HullKind,
    units::{AIR_KG_M3, Angle, Area, Bearing, Length, Speed},
};

/// Mean wind below which she may lie anyhow: the foot of force 2. Common practice, no source.
pub const LIGHT_WIND: Speed = Speed::metres_per_second(1.6);
/// Stream below which it does not turn her. Common practice, no source.
pub const LIGHT_STREAM: Speed = Speed::knots(0.25);
/// Factor either way to which the ratio of the moments is known; see the module.
const MOMENT_FACTOR: f64 = 2.0;
/// Widest doubt of the heading under which one is still named.
const WIDEST: Angle = Angle::degrees(60.0);
/// Centre of the topsides' windage aft of the bow over length: mast and bow lie forward. Own estimate.
const WIND_LEVER: f64 = 0.45;
/// Centre of the underwater profile aft of the bow over length. Own estimate.
const STREAM_LEVER: f64 = 0.5;

/// A tidal stream or current at an instant.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stream {
    /// How fast.
    pub speed: Speed,
    /// Where it sets to, true.
    pub set: Bearing,
}

/// What she lies to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Lies {
    /// Head to wind, or nearer to it than to the stream.
    WindRode,
    /// Head to stream, or nearer to it than to the wind.
    TideRode,
    /// To neither: across, over her rode, sheering; any heading.
    Athwart,
    /// Wind and stream too weak to say; any heading.
    LightAir,
}

/// How she lies.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lie {
    /// To what.
    pub lies: Lies,
    /// Where her bow points; the middle of what is possible.
    pub heading: Bearing,
    /// How far either side of it she may lie; half a turn where any heading is possible.
    pub spread: Angle,
    /// Bearing from the anchor to her bow, which the load follows.
    pub pull: Bearing,
}

/// How far a boat sheers about either side by default: 20 to 30° is common for a yacht on one rode (published, at
/// second hand); a motor vessel a little less and a multihull on a bridle about half (common practice, no source).
pub const fn sheer_of(kind: HullKind) -> Angle {
    match kind {
        HullKind::MonohullSail => Angle::degrees(25.0),
        HullKind::Motor => Angle::degrees(20.0),
        HullKind::Multihull => Angle::degrees(12.0),
    }
}

/// How she lies to a wind and a stream; `None` if the centroid of her windage lies in the water.
pub fn lie(exposed: &Exposed, wind: &WindAt, stream: Option<Stream>) -> Option<Lie> {
    let (mean, _) = wind_at_height(wind, exposed.centroid)?;
    let stream = stream.filter(|stream| stream.speed != Speed::ZERO);
    let light_stream = stream.is_none_or(|stream| stream.speed < LIGHT_STREAM);
    let light_wind = wind.mean < LIGHT_WIND;
    let any = |lies: Lies| anyhow_she_lies(lies, wind.from, stream);
    if light_wind && light_stream {
        return Some(any(Lies::LightAir));
    }
    // A wind that blows, but from nowhere that can be told.
    if wind.from.is_none() && !light_wind {
        return Some(any(Lies::Athwart));
    }
    Some(settled(exposed, (mean, wind), stream).unwrap_or_else(|| any(Lies::Athwart)))
}

/// The stable heading, if there is one to be named.
fn settled(exposed: &Exposed, (mean, wind): (Speed, &WindAt), stream: Option<Stream>) -> Option<Lie> {
    let moments = Moments::of(exposed, (mean, wind.from), stream);
    let heading = moments.heading(1.0)?;
    let mut doubt = Angle::ZERO;
    // The heading turns one way with the ratio of the moments, so that the ends bound it.
    for factor in [1.0 / MOMENT_FACTOR, 1.0, MOMENT_FACTOR] {
        let possible = moments.heading(factor)?;
        rides_to_her_rode(exposed, (mean, wind.from), stream, possible)?;
        doubt = doubt.max(heading.to(possible).abs());
    }
    let known = doubt <= WIDEST;
    known.then_some(Lie {
        lies: if moments.wind_is_more() { Lies::WindRode } else { Lies::TideRode },
        heading,
        spread: (doubt + exposed.sheer + wind.turning.abs() * 0.5).min(Angle::degrees(180.0)),
        pull: rides_to_her_rode(exposed, (mean, wind.from), stream, heading)?,
    })
}

/// Bearing from anchor to bow at a heading, if the rode leads forward of the beam there.
fn rides_to_her_rode(
    exposed: &Exposed,
    (mean, from): (Speed, Option<Bearing>),
    stream: Option<Stream>,
    heading: Bearing,
) -> Option<Bearing> {
    let (wind_east_n, wind_north_n) = wind_push(exposed, mean, from, heading);
    let (stream_east_n, stream_north_n) = stream_push(exposed, stream, heading);
    let (east_n, north_n) = (wind_east_n + stream_east_n, wind_north_n + stream_north_n);
    let pull = Bearing::degrees(east_n.atan2(north_n).to_degrees());
    let off_astern = heading.reversed().to(pull).abs();
    (off_astern < Angle::degrees(90.0)).then_some(pull)
}

/// Moments about the bow, beam on, N·m, with the bearings they come from.
#[derive(Clone, Copy)]
struct Moments {
    wind_nm: f64,
    wind_from: Option<Bearing>,
    stream_nm: f64,
    stream_from: Option<Bearing>,
}

impl Moments {
    fn of(exposed: &Exposed, (mean, from): (Speed, Option<Bearing>), stream: Option<Stream>) -> Self {
        let hull = &exposed.hull;
        let beam_on_n = air_drag(exposed.head_on * exposed.beam_ratio, mean).as_newtons();
        let (least, greatest) = LATERAL_COEFFICIENTS;
        let stream_ms = stream.map_or(0.0, |stream| stream.speed.as_metres_per_second());
        let profile_m2 = profile(hull).as_square_metres() * f64::midpoint(least, greatest);
        let athwart_n = 0.5 * STREAM_KG_M3 * stream_ms * stream_ms * profile_m2;
        let lever_m = |share: f64, length: Length| share * length.as_metres();
        Self {
            wind_nm: beam_on_n * lever_m(WIND_LEVER, hull.length_overall),
            wind_from: from,
            stream_nm: athwart_n * lever_m(STREAM_LEVER, hull.waterline_length),
            stream_from: stream.map(|stream| stream.set.reversed()),
        }
    }

    fn wind_is_more(self) -> bool {
        self.stream_nm < self.wind_nm
    }

    /// The stable heading with the wind's moment a factor larger; `None` where they cancel.
    fn heading(self, factor: f64) -> Option<Bearing> {
        let part = |moment_nm: f64, from: Option<Bearing>| {
            let (sin, cos) = from.map_or((0.0, 0.0), |from| from.as_radians().sin_cos());
            (moment_nm * sin, moment_nm * cos)
        };
        let (wind_east, wind_north) = part(self.wind_nm * factor, self.wind_from);
        let (stream_east, stream_north) = part(self.stream_nm, self.stream_from);
        let (east, north) = (wind_east + stream_east, wind_north + stream_north);
        // What is left of two moments that cancel is their rounding.
        let left = 1e-9 * (self.wind_nm * factor + self.stream_nm);
        (left < east.hypot(north)).then(|| Bearing::degrees(east.atan2(north).to_degrees()))
    }
}

/// Any heading: the wind's quarter is taken as the middle, for want of better.
fn anyhow_she_lies(lies: Lies, from: Option<Bearing>, stream: Option<Stream>) -> Lie {
    let towards_stream = stream.map(|stream| stream.set.reversed());
    let ahead = from.or(towards_stream).unwrap_or(Bearing::degrees(0.0));
    let heading = if lies == Lies::Athwart { ahead.turned(Angle::degrees(90.0)) } else { ahead };
    Lie { lies, heading, spread: Angle::degrees(180.0), pull: ahead.reversed() }
}

/// The stream whose load on an underwater drag area equals that of a wind on a drag area, both head on.
pub fn equal_load_stream(wind: Speed, head_on: Area, underwater: Area) -> Speed {
    wind * ((AIR_KG_M3 * head_on.as_square_metres()) / (STREAM_KG_M3 * underwater.as_square_metres())).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{boat::Hull, uncertain::Origin, units::Mass};

    fn boat(kind: HullKind, draught_m: f64) -> Exposed {
        Exposed {
            hull: Hull {
                kind,
                length_overall: Length::metres(12.0),
                waterline_length: Length::metres(11.0),
                beam: Length::metres(3.3),
                draught: Length::metres(draught_m),
                canoe_draught: Length::metres(0.6),
                displacement: Mass::kilograms(9000.0),
            },
            head_on: Area::square_metres(14.0),
            beam_ratio: 3.0,
            centroid: Length::metres(3.0),
            blades: Area::square_metres(0.08),
            sheer: sheer_of(kind),
        }
    }

    fn yacht() -> Exposed {
        boat(HullKind::MonohullSail, 1.9)
    }

    fn wind(from_deg: f64, mean_kn: f64) -> WindAt {
        WindAt {
            mean: Speed::knots(mean_kn),
            from: Some(Bearing::degrees(from_deg)),
            resultant: Speed::knots(mean_kn),
            turning: Angle::ZERO,
            gust: Speed::knots(mean_kn * 1.4),
            gust_origin: Origin::Given,
        }
    }

    #[expect(clippy::unnecessary_wraps, reason = "the tests hand it on as the function takes it")]
    fn stream(set_deg: f64, knots: f64) -> Option<Stream> {
        Some(Stream { speed: Speed::knots(knots), set: Bearing::degrees(set_deg) })
    }

    #[track_caller]
    fn near(actual: Bearing, expected_deg: f64, tolerance_deg: f64) {
        let off = actual.to(Bearing::degrees(expected_deg)).as_degrees().abs();
        assert!(off <= tolerance_deg, "{actual} is not {expected_deg} within {tolerance_deg}");
    }

    #[test]
    fn without_a_stream_she_lies_head_to_wind_and_downwind_of_her_anchor() {
        let lie = lie(&yacht(), &wind(310.0, 18.0), None).unwrap();
        assert_eq!(lie.lies, Lies::WindRode);
        near(lie.heading, 310.0, 1e-6);
        near(lie.pull, 130.0, 1e-6);
        assert!((lie.spread.as_degrees() - 25.0).abs() < 1e-9);
    }

    #[test]
    fn in_a_calm_she_lies_to_the_stream() {
        let still = WindAt { from: None, ..wind(0.0, 0.0) };
        let lie = lie(&yacht(), &still, stream(90.0, 2.0)).unwrap();
        assert_eq!(lie.lies, Lies::TideRode);
        near(lie.heading, 270.0, 1e-6);
        near(lie.pull, 90.0, 1e-6);
    }

    #[test]
    fn in_light_air_and_slack_water_she_may_lie_anyhow() {
        let lie = lie(&yacht(), &wind(200.0, 2.0), stream(90.0, 0.1)).unwrap();
        assert_eq!(lie.lies, Lies::LightAir);
        assert!((lie.spread.as_degrees() - 180.0).abs() < 1e-9);
    }

    #[test]
    fn with_wind_against_a_middling_stream_she_lies_athwart() {
        // Between the stream that turns her (some 0.6 kn) and the one that holds her back (2.1 kn).
        let lie = lie(&yacht(), &wind(0.0, 10.0), stream(0.0, 1.2)).unwrap();
        assert_eq!(lie.lies, Lies::Athwart);
        assert!((lie.spread.as_degrees() - 180.0).abs() < 1e-9);
    }

    #[test]
    fn a_strong_wind_overcomes_a_weak_stream_against_it_and_a_strong_stream_a_weak_wind() {
        let windy = lie(&yacht(), &wind(0.0, 30.0), stream(0.0, 0.5)).unwrap();
        assert_eq!(windy.lies, Lies::WindRode);
        near(windy.heading, 0.0, 1e-6);
        let tidal = lie(&yacht(), &wind(0.0, 6.0), stream(0.0, 3.0)).unwrap();
        assert_eq!(tidal.lies, Lies::TideRode);
        near(tidal.heading, 180.0, 1e-6);
    }

    #[test]
    fn a_stream_across_the_wind_turns_her_part_of_the_way_and_widens_the_spread() {
        let lie = lie(&yacht(), &wind(0.0, 20.0), stream(270.0, 1.0)).unwrap();
        let turned_deg = Bearing::degrees(0.0).to(lie.heading).as_degrees();
        assert!(5.0 < turned_deg && turned_deg < 85.0, "{turned_deg}");
        assert!(25.0 < lie.spread.as_degrees());
    }

    #[test]
    fn a_deep_keel_is_tide_rode_sooner() {
        let turned_deg = |draught_m: f64| {
            let boat = boat(HullKind::MonohullSail, draught_m);
            let lie = lie(&boat, &wind(0.0, 15.0), stream(270.0, 0.8)).unwrap();
            Bearing::degrees(0.0).to(lie.heading).as_degrees()
        };
        assert!(turned_deg(0.7) < turned_deg(2.2));
    }

    #[test]
    fn port_and_starboard_are_mirrors_and_the_compass_has_no_seam() {
        for set_deg in [20.0, 75.0, 130.0] {
            let starboard = lie(&yacht(), &wind(0.0, 18.0), stream(set_deg, 0.9)).unwrap();
            let port = lie(&yacht(), &wind(0.0, 18.0), stream(-set_deg, 0.9)).unwrap();
            near(port.pull, -starboard.pull.as_degrees(), 1e-6);
            let turned = lie(&yacht(), &wind(350.0, 18.0), stream(set_deg - 10.0, 0.9)).unwrap();
            near(turned.pull, starboard.pull.as_degrees() - 10.0, 1e-6);
        }
    }

    #[test]
    fn a_wind_from_nowhere_is_no_heading() {
        let lost = WindAt { from: None, ..wind(0.0, 20.0) };
        assert_eq!(lie(&yacht(), &lost, None).unwrap().lies, Lies::Athwart);
    }

    #[test]
    fn a_turning_wind_widens_the_spread_by_half_its_turn() {
        let turning = WindAt { turning: Angle::degrees(-40.0), ..wind(0.0, 20.0) };
        let lie = lie(&yacht(), &turning, None).unwrap();
        assert!((lie.spread.as_degrees() - 45.0).abs() < 1e-9);
    }

    #[test]
    fn a_stream_that_is_no_number_is_no_heading() {
        let lie = lie(&yacht(), &wind(0.0, 20.0), stream(90.0, f64::NAN)).unwrap();
        assert_eq!(lie.lies, Lies::Athwart);
    }

    // Source: ½ ρ_a A_w V_w² = ½ ρ_w A_c V_c² with A_w = 14 m², A_c = 0.37 m², evaluated independently with
    // numpy 2.4.
    #[test]
    fn a_stream_of_a_fifth_of_the_wind_loads_her_alike() {
        let (head_on, underwater) = (Area::square_metres(14.0), Area::square_metres(0.37));
        for (wind_kn, stream_kn, load_n) in
            [(10.0, 2.1256, 226.940), (15.0, 3.1884, 510.614), (20.0, 4.2512, 907.759)]
        {
            let wind = Speed::knots(wind_kn);
            let stream = equal_load_stream(wind, head_on, underwater);
            // One or two units of the last printed digit: the loads are multiples of the first, rounded.
            assert!((stream.as_knots() - stream_kn).abs() < 5.1e-5, "{}", stream.as_knots());
            assert!((air_drag(head_on, wind).as_newtons() - load_n).abs() < 2e-3);
        }
    }
}
