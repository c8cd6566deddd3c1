//! Quantities with their units, rounded to the side that does not calm.

use windrode_domain::units::{Angle, Bearing, Force, Length, Speed};

use super::Voice;
use crate::crew_units::{LengthUnit, SpeedUnit};

/// Which way a figure may be rounded.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Toward {
    /// Down: water, room, margins, what has been proved.
    Less,
    /// Up: loads, winds, rode.
    More,
    /// To the nearest: figures that neither calm nor alarm.
    Nearest,
}

/// A figure that is a whole number of steps but for the last bits of its arithmetic stays on its step.
const STEP_NOISE: f64 = 1e-6;

/// A value rounded to a multiple of `step`.
fn rounded(value: f64, step: f64, toward: Toward) -> f64 {
    let steps = value / step;
    let whole = match toward {
        Toward::Less => (steps + STEP_NOISE).floor(),
        Toward::More => (steps - STEP_NOISE).ceil(),
        Toward::Nearest => steps.round(),
    };
    // Adding zero turns a negative zero into zero.
    whole * step + 0.0
}

/// A value with the unit behind it; the words for what is not a number.
fn told(value: f64, step: f64, toward: Toward, unit: &str) -> String {
    if !value.is_finite() {
        return "unknown".to_owned();
    }
    let figure = rounded(value, step, toward);
    let digits = usize::from(step < 1.0);
    format!("{figure:.digits$}{unit}")
}

fn in_unit(length: Length, unit: LengthUnit) -> f64 {
    match unit {
        LengthUnit::Metres => length.as_metres(),
        LengthUnit::Feet => length.as_feet(),
        LengthUnit::Fathoms => length.as_fathoms(),
    }
}

/// Depths, distances, heights: decimetres below twenty metres, whole metres above.
pub(crate) fn length(value: Length, toward: Toward, voice: &Voice) -> String {
    let unit = voice.units.length;
    let figure = in_unit(value, unit);
    let (short, fine_below) = match unit {
        LengthUnit::Metres => (" m", 20.0),
        LengthUnit::Feet => (" ft", 20.0),
        LengthUnit::Fathoms => (" fm", 50.0),
    };
    told(figure, if figure.abs() < fine_below { 0.1 } else { 1.0 }, toward, short)
}

/// The same with the unit written out.
pub(crate) fn length_long(value: Length, toward: Toward, voice: &Voice) -> String {
    spelled(&length(value, toward, voice).replace(".0 ", " "))
}

/// Rode from the anchor: to the half metre, foot or half fathom.
pub(crate) fn rode_length(value: Length, toward: Toward, voice: &Voice) -> String {
    let unit = voice.units.length;
    let (short, step) = match unit {
        LengthUnit::Metres => (" m", 0.5),
        LengthUnit::Feet => (" ft", 1.0),
        LengthUnit::Fathoms => (" fm", 0.5),
    };
    told(in_unit(value, unit), step, toward, short).replace(".0 ", " ")
}

/// The same with the unit written out.
pub(crate) fn rode_length_long(value: Length, toward: Toward, voice: &Voice) -> String {
    spelled(&rode_length(value, toward, voice))
}

/// "4 m" as "4 metres", "1 ft" as "1 foot".
fn spelled(short: &str) -> String {
    let Some((figure, unit)) = short.split_once(' ') else { return short.to_owned() };
    let one = figure == "1";
    let unit = match unit {
        "m" if one => "metre",
        "m" => "metres",
        "ft" if one => "foot",
        "ft" => "feet",
        "fm" if one => "fathom",
        _ => "fathoms",
    };
    format!("{figure} {unit}")
}

/// Wind: whole knots, or tenths of a metre a second.
pub(crate) fn speed(value: Speed, toward: Toward, voice: &Voice) -> String {
    if !value.is_finite() {
        return "unknown".to_owned();
    }
    match toward {
        Toward::Less => voice.units.speed_down(value),
        Toward::More => voice.units.speed_up(value),
        Toward::Nearest => voice.units.speed(value),
    }
}

/// Streams: to a tenth, upwards.
pub(crate) fn stream(value: Speed, voice: &Voice) -> String {
    told(speed_figure(value, voice), 0.1, Toward::More, &format!(" {}", speed_unit(voice)))
}

/// Loads.
pub(crate) fn force(value: Force, toward: Toward, voice: &Voice) -> String {
    if !value.is_finite() {
        return "unknown".to_owned();
    }
    match toward {
        Toward::Less => voice.units.force_down(value),
        Toward::More => voice.units.force_up(value),
        Toward::Nearest => voice.units.force(value),
    }
}

/// Angles that are no directions, in degrees.
pub(crate) fn angle(value: Angle, toward: Toward) -> String {
    let figure = value.as_degrees();
    told(figure, if figure.abs() < 10.0 { 0.1 } else { 1.0 }, toward, "°")
}

/// A length as a bare figure in the crew's unit, unrounded: for scales.
pub(crate) fn length_figure(value: Length, voice: &Voice) -> f64 {
    in_unit(value, voice.units.length)
}

/// The unit's short name.
pub(crate) const fn length_unit(voice: &Voice) -> &'static str {
    match voice.units.length {
        LengthUnit::Metres => "m",
        LengthUnit::Feet => "ft",
        LengthUnit::Fathoms => "fathoms",
    }
}

/// A speed as a bare figure in the crew's unit, unrounded: for scales.
pub(crate) fn speed_figure(value: Speed, voice: &Voice) -> f64 {
    match voice.units.speed {
        SpeedUnit::Knots => value.as_knots(),
        SpeedUnit::MetresPerSecond => value.as_metres_per_second(),
    }
}

/// The unit's short name.
pub(crate) const fn speed_unit(voice: &Voice) -> &'static str {
    match voice.units.speed {
        SpeedUnit::Knots => "kn",
        SpeedUnit::MetresPerSecond => "m/s",
    }
}

/// "SW (225°)".
pub(crate) fn bearing(value: Bearing) -> String {
    format!("{} ({value})", compass_point(value))
}

/// The nearest of the sixteen points.
pub(crate) fn compass_point(value: Bearing) -> &'static str {
    const POINTS: [&str; 16] =
        ["N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE", "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW"];
    let sixteenths = (value.as_degrees() / 22.5).round();
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a bearing is in [0, 360)")]
    let at = sixteenths as usize % 16;
    POINTS.get(at).copied().unwrap_or("N")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sample::{american, voice};

    #[test]
    fn water_is_never_rounded_up_nor_load_down() {
        assert_eq!(length(Length::metres(0.79), Toward::Less, &voice()), "0.7 m");
        assert_eq!(length(Length::metres(0.8), Toward::Less, &voice()), "0.8 m");
        assert_eq!(length(Length::metres(-0.31), Toward::Less, &voice()), "-0.4 m");
        assert_eq!(force(Force::newtons(4121.0), Toward::More, &voice()), "413 daN");
        assert_eq!(rode_length(Length::metres(45.2), Toward::More, &voice()), "45.5 m");
        assert_eq!(rode_length_long(Length::metres(45.0), Toward::More, &voice()), "45 metres");
    }

    #[test]
    fn a_crew_in_feet_and_pounds_hears_nothing_in_metres() {
        // 1 ft = 0.3048 m, so 45 m = 147.6 ft; 1 lbf = 4.448 N, so 4121 N = 926.4 lbf.
        assert_eq!(rode_length(Length::metres(45.0), Toward::More, &american()), "148 ft");
        assert_eq!(force(Force::newtons(4121.0), Toward::More, &american()), "927 lbf");
    }

    #[test]
    fn what_is_no_number_is_told_as_unknown() {
        assert_eq!(length(Length::metres(f64::NAN), Toward::Less, &voice()), "unknown");
    }

    #[test]
    fn bearings_close_to_north_on_either_side_are_north() {
        assert_eq!(bearing(Bearing::degrees(355.0)), "N (355°)");
        assert_eq!(bearing(Bearing::degrees(225.0)), "SW (225°)");
    }
}
