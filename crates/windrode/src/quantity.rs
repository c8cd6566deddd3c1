//! Quantities as a crew writes them: a number and its unit, "23 ft", "12 kN", "15°", "41°12.3'S 174°48.0'E".
//!
//! A bare number is taken in the unit that the field is documented with, which is the trade's for its dimension. A
//! unit of another dimension is refused by name: nothing is guessed, and nothing that is not a finite number passes.
//!
//! Units: the international foot (0.3048 m), the fathom of six feet, the knot (1852 m/h), the pound of 0.453 592 37
//! kg and its force, the kilogram-force (9.806 65 N) and the mechanical horsepower (550 ft·lbf/s) are exact by
//! definition. The metric tonne is 1000 kg; the metric horsepower, as engines are sold with in Europe, is 75 kgf·m/s.

use windrode_domain::position::{Position, PositionError};
use windrode_domain::units::{FOOT_M, GRAVITY_M_S2, KNOT_M_S, POUND_FORCE_N};

/// The pound, kg, exact (1959).
const POUND_KG: f64 = 0.453_592_37;
/// The inch, m, exact.
const INCH_M: f64 = FOOT_M / 12.0;
/// Mechanical horsepower, W: 550 foot-pounds-force a second.
const HORSEPOWER_W: f64 = 550.0 * FOOT_M * POUND_FORCE_N;
/// Metric horsepower, W: 75 kilogram-force metres a second.
const METRIC_HORSEPOWER_W: f64 = 75.0 * GRAVITY_M_S2;

/// What a quantity measures, and the units it may be told in.
#[derive(Debug)]
pub(crate) struct Dimension {
    /// "a length".
    pub(crate) name: &'static str,
    /// How one is written: "7.5 m".
    pub(crate) example: &'static str,
    /// The unit of a bare number, one of `units`.
    pub(crate) bare: &'static str,
    /// Every unit that is understood, with its value in SI.
    units: &'static [(&'static str, f64)],
}

const LENGTH_UNITS: &[(&str, f64)] = &[
    ("m", 1.0),
    ("mm", 1e-3),
    ("cm", 1e-2),
    ("km", 1e3),
    ("ft", FOOT_M),
    ("feet", FOOT_M),
    ("foot", FOOT_M),
    ("in", INCH_M),
    ("inch", INCH_M),
    ("inches", INCH_M),
    ("fm", 6.0 * FOOT_M),
    ("fathom", 6.0 * FOOT_M),
    ("fathoms", 6.0 * FOOT_M),
    ("NM", 1852.0),
    ("nm", 1852.0),
    ("M", 1852.0),
    ("metre", 1.0),
    ("metres", 1.0),
];

/// Lengths of hulls, rodes, depths; bare in metres.
pub(crate) const LENGTH: Dimension =
    Dimension { name: "a length", example: "7.5 m", bare: "m", units: LENGTH_UNITS };
/// Nominal sizes of chain, rope and shackles; bare in millimetres.
pub(crate) const SIZE: Dimension =
    Dimension { name: "a length", example: "10 mm", bare: "mm", units: LENGTH_UNITS };
/// Areas; bare in square metres.
pub(crate) const AREA: Dimension = Dimension {
    name: "an area",
    example: "12 m2",
    bare: "m2",
    units: &[
        ("m2", 1.0),
        ("m²", 1.0),
        ("sq m", 1.0),
        ("ft2", FOOT_M * FOOT_M),
        ("ft²", FOOT_M * FOOT_M),
        ("sq ft", FOOT_M * FOOT_M),
    ],
};
/// Masses; bare in kilograms.
pub(crate) const MASS: Dimension = Dimension {
    name: "a mass",
    example: "20 kg",
    bare: "kg",
    units: &[("kg", 1.0), ("g", 1e-3), ("t", 1e3), ("lb", POUND_KG), ("lbs", POUND_KG)],
};
/// Mass of a metre of rode; bare in kilograms a metre.
pub(crate) const MASS_PER_LENGTH: Dimension = Dimension {
    name: "a mass per length",
    example: "2.25 kg/m",
    bare: "kg/m",
    units: &[("kg/m", 1.0), ("g/m", 1e-3), ("kg/100m", 1e-2), ("lb/ft", POUND_KG / FOOT_M)],
};
/// Weight of a metre of rode in water; bare in newtons a metre.
pub(crate) const WEIGHT_PER_LENGTH: Dimension = Dimension {
    name: "a weight per length",
    example: "19 N/m",
    bare: "N/m",
    units: &[("N/m", 1.0), ("lbf/ft", POUND_FORCE_N / FOOT_M), ("kgf/m", GRAVITY_M_S2)],
};
/// Forces; bare in newtons.
pub(crate) const FORCE: Dimension = Dimension {
    name: "a force",
    example: "12 kN",
    bare: "N",
    units: &[
        ("N", 1.0),
        ("daN", 10.0),
        ("kN", 1e3),
        ("lbf", POUND_FORCE_N),
        ("kgf", GRAVITY_M_S2),
        ("tf", 1e3 * GRAVITY_M_S2),
    ],
};
/// Speeds of wind, stream and boat; bare in knots.
pub(crate) const SPEED: Dimension = Dimension {
    name: "a speed",
    example: "25 kn",
    bare: "kn",
    units: &[
        ("kn", KNOT_M_S),
        ("kt", KNOT_M_S),
        ("kts", KNOT_M_S),
        ("knots", KNOT_M_S),
        ("m/s", 1.0),
        ("km/h", 1.0 / 3.6),
        ("mph", 1609.344 / 3600.0),
    ],
};
/// Angles and bearings; bare in degrees. SI here is the degree too: the domain's angles are made from degrees.
pub(crate) const ANGLE: Dimension = Dimension {
    name: "an angle",
    example: "15 deg",
    bare: "deg",
    units: &[("deg", 1.0), ("°", 1.0), ("°T", 1.0), ("degrees", 1.0), ("rad", 180.0 / core::f64::consts::PI)],
};
/// Power; bare in kilowatts.
pub(crate) const POWER: Dimension = Dimension {
    name: "a power",
    example: "40 kW",
    bare: "kW",
    units: &[("W", 1.0), ("kW", 1e3), ("hp", HORSEPOWER_W), ("PS", METRIC_HORSEPOWER_W)],
};
/// Durations; bare in minutes.
pub(crate) const DURATION: Dimension = Dimension {
    name: "a duration",
    example: "10 min",
    bare: "min",
    units: &[
        ("s", 1.0),
        ("sec", 1.0),
        ("seconds", 1.0),
        ("min", 60.0),
        ("minutes", 60.0),
        ("h", 3600.0),
        ("hours", 3600.0),
        ("d", 86_400.0),
        ("days", 86_400.0),
    ],
};
/// Pressures; bare in hectopascals.
pub(crate) const PRESSURE: Dimension = Dimension {
    name: "a pressure",
    example: "1013 hPa",
    bare: "hPa",
    units: &[("Pa", 1.0), ("hPa", 100.0), ("mbar", 100.0), ("mb", 100.0)],
};
/// Revolutions; bare a minute.
pub(crate) const REVOLUTIONS: Dimension = Dimension {
    name: "a number of revolutions",
    example: "2400 rpm",
    bare: "rpm",
    units: &[("rpm", 1.0), ("1/min", 1.0)],
};
/// Voltages.
pub(crate) const VOLTAGE: Dimension = Dimension {
    name: "a voltage",
    example: "12.2 V",
    bare: "V",
    units: &[("V", 1.0), ("mV", 1e-3), ("volts", 1.0)],
};
/// Shares, ratios and chances; bare as a part of one.
pub(crate) const SHARE: Dimension = Dimension {
    name: "a share or ratio",
    example: "5 %",
    bare: "",
    units: &[("", 1.0), ("%", 0.01), (":1", 1.0)],
};

/// One of each dimension, to name what a wrong unit would have measured.
const ALL: [&Dimension; 14] = [
    &LENGTH,
    &AREA,
    &MASS,
    &MASS_PER_LENGTH,
    &WEIGHT_PER_LENGTH,
    &FORCE,
    &SPEED,
    &ANGLE,
    &POWER,
    &DURATION,
    &PRESSURE,
    &REVOLUTIONS,
    &VOLTAGE,
    &SHARE,
];

/// Text that is not the quantity it should be. Reads after the name of a field.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub(crate) enum QuantityError {
    /// It does not begin with a number.
    #[error("\"{text}\" does not begin with a number (write {name} as \"{example}\")")]
    NoNumber { text: String, name: &'static str, example: &'static str },
    /// A comma stands where a point should.
    #[error("\"{text}\" has a decimal comma (write a point: \"{example}\")")]
    DecimalComma { text: String, example: &'static str },
    /// It has no unit.
    #[error(
        "\"{text}\" has no unit (write {name} as \"{example}\"; a bare number without quotes is in {bare})"
    )]
    NoUnit { text: String, name: &'static str, example: &'static str, bare: &'static str },
    /// Its unit measures something else.
    #[error("\"{text}\" is {found}, not {name} (write it as \"{example}\")")]
    WrongDimension { text: String, found: &'static str, name: &'static str, example: &'static str },
    /// Its unit is not known.
    #[error("\"{text}\" has the unit \"{unit}\", which is not known for {name} (known are {known})")]
    UnknownUnit { text: String, unit: String, name: &'static str, known: String },
    /// It is not a finite number.
    #[error(
        "{text} is not a finite number (write {name} as \"{example}\", or leave it out if it is not known)"
    )]
    NotFinite { text: String, name: &'static str, example: &'static str },
}

impl Dimension {
    /// Value of the unit of a bare number in SI.
    fn bare_factor(&self) -> f64 {
        self.factor(self.bare).unwrap_or(1.0)
    }
    fn factor(&self, unit: &str) -> Option<f64> {
        self.units.iter().find(|(name, _)| *name == unit).map(|&(_, factor)| factor)
    }
    /// A bare number in SI.
    pub(crate) fn bare_to_si(&self, value: f64) -> f64 {
        value * self.bare_factor()
    }
    /// A value in SI in the unit of a bare number.
    pub(crate) fn si_to_bare(&self, value_si: f64) -> f64 {
        value_si / self.bare_factor()
    }

    /// Reads a number and its unit; the value in SI (degrees for angles).
    pub(crate) fn read(&self, text: &str) -> Result<f64, QuantityError> {
        let trimmed = text.trim();
        let (number, unit) = trimmed.split_at(number_length(trimmed));
        let (number, unit) = (number.trim(), unit.trim());
        let (text, name, example) = (text.to_owned(), self.name, self.example);
        if unit.starts_with(',') {
            return Err(QuantityError::DecimalComma { text, example });
        }
        let Some(value) = number_or_fraction(number) else {
            let word = trimmed.trim_start_matches(['+', '-']).to_ascii_lowercase();
            let named = word.starts_with("nan") || word.starts_with("inf");
            return Err(if named {
                QuantityError::NotFinite { text, name, example }
            } else {
                QuantityError::NoNumber { text, name, example }
            });
        };
        let value_si = value * self.factor(unit).ok_or_else(|| self.refused_unit(&text, unit))?;
        if value_si.is_finite() {
            Ok(value_si)
        } else {
            Err(QuantityError::NotFinite { text, name, example })
        }
    }

    fn refused_unit(&self, text: &str, unit: &str) -> QuantityError {
        let (text, name, example) = (text.to_owned(), self.name, self.example);
        if unit.is_empty() {
            return QuantityError::NoUnit { text, name, example, bare: self.bare };
        }
        match ALL.iter().find(|other| other.factor(unit).is_some()) {
            Some(other) => QuantityError::WrongDimension { text, found: other.name, name, example },
            None => {
                QuantityError::UnknownUnit { text, unit: unit.to_owned(), name, known: self.known_units() }
            }
        }
    }

    fn known_units(&self) -> String {
        let names: Vec<&str> =
            self.units.iter().map(|&(name, _)| name).filter(|name| !name.is_empty()).collect();
        names.join(", ")
    }
}

/// Bytes at the head of a text that make up its number: sign, digits, point, exponent, and a stroke for fractions.
fn number_length(text: &str) -> usize {
    let bytes = text.as_bytes();
    let mut length = 0;
    while let Some(&byte) = bytes.get(length) {
        let next = bytes.get(length + 1).copied().unwrap_or(b' ');
        let belongs = match byte {
            b'0'..=b'9' | b'.' => true,
            b'+' | b'-' => length == 0,
            b'/' => 0 < length && next.is_ascii_digit(),
            b'e' | b'E' => 0 < length && (next.is_ascii_digit() || next == b'-' || next == b'+'),
            _ => false,
        };
        if !belongs {
            break;
        }
        let signed_exponent = matches!(byte, b'e' | b'E') && !next.is_ascii_digit();
        length += if signed_exponent { 2 } else { 1 };
    }
    length
}

fn number_or_fraction(text: &str) -> Option<f64> {
    let value: f64 = match text.split_once('/') {
        Some((above, below)) => above.parse::<f64>().ok()? / below.parse::<f64>().ok()?,
        None => text.parse().ok()?,
    };
    Some(value)
}

/// Text that is not a position. Reads after the name of a field.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub(crate) enum PositionTextError {
    /// It cannot be read as one.
    #[error("\"{0}\" is not a position (write \"41°12.3'S 174°48.0'E\" or \"-41.205, 174.8\")")]
    Shape(String),
    /// Minutes or seconds of sixty or more.
    #[error("\"{text}\" has {value} minutes or seconds, which is not below 60")]
    Sixty { text: String, value: f64 },
    /// It reads, but is no place.
    #[error(transparent)]
    NoPlace(#[from] PositionError),
}

/// Reads a position: decimal degrees, latitude first, north and east positive; or degrees, minutes, seconds and N, S,
/// E, W.
pub(crate) fn position(text: &str) -> Result<Position, PositionTextError> {
    let shape = || PositionTextError::Shape(text.to_owned());
    let upper = text.trim().to_uppercase();
    if let Some(end) = upper.find(['N', 'S']) {
        let (latitude, longitude) = upper.split_at(end + 1);
        let longitude = longitude.trim_start_matches([',', ' ']);
        return Ok(Position::new(
            hemisphere(text, latitude, ['N', 'S'])?,
            hemisphere(text, longitude, ['E', 'W'])?,
        )?);
    }
    let mut numbers = upper.split([',', ' ']).filter(|part| !part.is_empty());
    let mut next = || -> Option<f64> { numbers.next()?.trim_end_matches('°').parse().ok() };
    let (latitude_deg, longitude_deg) = (next().ok_or_else(shape)?, next().ok_or_else(shape)?);
    if numbers.next().is_some() {
        return Err(shape());
    }
    Ok(Position::new(latitude_deg, longitude_deg)?)
}

fn hemisphere(text: &str, part: &str, [positive, negative]: [char; 2]) -> Result<f64, PositionTextError> {
    let shape = || PositionTextError::Shape(text.to_owned());
    let sign = match part.chars().last() {
        Some(letter) if letter == positive => 1.0,
        Some(letter) if letter == negative => -1.0,
        _ => return Err(shape()),
    };
    let figures = part.trim_end_matches([positive, negative]);
    let numbers: Option<Vec<f64>> = figures
        .split(['°', '\'', '′', '’', '"', '″', ' '])
        .filter(|number| !number.is_empty())
        .map(|number| {
            let plain = number.bytes().all(|byte| byte.is_ascii_digit() || byte == b'.');
            if plain { number.parse().ok() } else { None }
        })
        .collect();
    let numbers = numbers.ok_or_else(shape)?;
    let (&degrees, below) = numbers.split_first().ok_or_else(shape)?;
    if 2 < below.len() {
        return Err(shape());
    }
    let mut value = degrees;
    for (&part, unit) in below.iter().zip([60.0, 3600.0]) {
        if !(0.0..60.0).contains(&part) {
            return Err(PositionTextError::Sixty { text: text.to_owned(), value: part });
        }
        value += part / unit;
    }
    Ok(sign * value)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(dimension: &Dimension, text: &str, si: f64) {
        let found = dimension.read(text).unwrap();
        // Factors are products of two or three decimals: a few ulps.
        assert!((found - si).abs() <= 1e-12 * si.abs(), "{text}: {found}");
    }

    #[track_caller]
    fn refused(dimension: &Dimension, text: &str, why: &str) {
        assert_eq!(dimension.read(text).unwrap_err().to_string(), why);
    }

    // Definitions: the foot is 0.3048 m, the knot 1852 m/h, the pound-force 4.4482216152605 N.
    #[test]
    fn quantities_are_read_in_the_units_they_are_told_in() {
        check(&LENGTH, "7m", 7.0);
        check(&LENGTH, "23 ft", 7.0104);
        check(&LENGTH, "4 fathoms", 7.3152);
        check(&LENGTH, "4 fm", 7.3152);
        check(&SIZE, "10 mm", 0.01);
        check(&SIZE, "3/8 in", 0.009_525);
        check(&FORCE, "12 kN", 12_000.0);
        check(&FORCE, "90 daN", 900.0);
        check(&FORCE, "2000 lbf", 8_896.443_230_521);
        check(&FORCE, "100kgf", 980.665);
        check(&SPEED, "36 km/h", 10.0);
        check(&SPEED, "25 kn", 25.0 * 1852.0 / 3600.0);
        check(&MASS, "9.5 t", 9500.0);
        check(&MASS, "44 lb", 19.958_064_28);
        check(&ANGLE, "15°", 15.0);
        check(&ANGLE, "-3.5 deg", -3.5);
        check(&POWER, "1 PS", 735.498_75);
        check(&DURATION, "1.5 h", 5400.0);
        check(&SHARE, "5 %", 0.05);
        check(&SHARE, "2.6:1", 2.6);
        check(&LENGTH, "1e2 m", 100.0);
    }

    // One mechanical horsepower is 745.699 871 582 270 22 W.
    #[test]
    fn a_horsepower_is_550_foot_pounds_a_second() {
        assert!((POWER.read("1 hp").unwrap() - 745.699_871_582_27).abs() < 1e-9);
    }

    #[test]
    fn a_bare_number_is_in_the_fields_own_unit() {
        assert!((SIZE.bare_to_si(10.0) - 0.01).abs() < 1e-15);
        assert!((SPEED.si_to_bare(SPEED.bare_to_si(25.0)) - 25.0).abs() < 1e-12);
        for dimension in ALL {
            assert!(dimension.factor(dimension.bare).is_some(), "{}", dimension.name);
        }
    }

    #[test]
    fn a_unit_of_another_dimension_is_refused_by_name() {
        refused(&LENGTH, "20 kg", "\"20 kg\" is a mass, not a length (write it as \"7.5 m\")");
        refused(&FORCE, "200 kg", "\"200 kg\" is a mass, not a force (write it as \"12 kN\")");
    }

    #[test]
    fn what_is_no_quantity_is_refused_with_its_mend() {
        refused(&LENGTH, "long", "\"long\" does not begin with a number (write a length as \"7.5 m\")");
        refused(
            &LENGTH,
            "7",
            "\"7\" has no unit (write a length as \"7.5 m\"; a bare number without quotes is in m)",
        );
        refused(&LENGTH, "7,5 m", "\"7,5 m\" has a decimal comma (write a point: \"7.5 m\")");
        refused(
            &SPEED,
            "25 knt",
            "\"25 knt\" has the unit \"knt\", which is not known for a speed (known are kn, kt, kts, knots, m/s, km/h, \
             mph)",
        );
        for text in ["nan m", "inf m", "-inf", "1e999 m", "1/0 m"] {
            assert!(matches!(LENGTH.read(text), Err(QuantityError::NotFinite { .. })), "{text}");
        }
        assert!(matches!(LENGTH.read(""), Err(QuantityError::NoNumber { .. })));
        assert!(matches!(LENGTH.read("1.2.3 m"), Err(QuantityError::NoNumber { .. })));
    }

    #[test]
    fn a_position_is_read_as_the_chart_prints_it_and_as_decimals() {
        let decimal = position("-41.205, 174.8").unwrap();
        for text in [
            "41°12.3'S 174°48.0'E",
            "41°12.3′S, 174°48′E",
            "41 12.3 S 174 48 E",
            "41°12'18\"S 174°48'00\"E",
            "-41.205 174.8",
        ] {
            let found = position(text).unwrap();
            assert!(found.towards(decimal).0.as_metres() < 1e-6, "{text}: {found}");
        }
    }

    #[test]
    fn what_is_no_position_is_refused() {
        for text in [
            "",
            "41°12.3'S",
            "here",
            "41.2",
            "1,2,3",
            "41°12.3'S 174°48.0'",
            "41x12S 174E",
            "nan, 174",
            "inf, 0",
        ] {
            assert!(matches!(position(text), Err(PositionTextError::Shape(_))), "{text}");
        }
        assert!(matches!(position("41°72'S 174°E"), Err(PositionTextError::Sixty { .. })));
        assert!(matches!(position("95°S 174°E"), Err(PositionTextError::NoPlace(_))));
    }
}
