//! One value of a file, read as what it should be.

use crate::files::choices::Choice;
use std::ops::Range;

use jiff::{SignedDuration, Timestamp};
use toml::Spanned;
use toml::de::DeValue;
use windrode_domain::position::Position;
use windrode_domain::units::{
    Angle, Area, Bearing, Force, Length, Mass, MassPerLength, Power, Speed, WeightPerLength,
};

use super::super::source::{Located, Site};
use super::super::times::{Zone, instant};
use super::{Reading, Section, kind_of, nearest, shown};
use crate::quantity::{self, Dimension, QuantityError};

/// The range in which a figure can be meant, in the unit of a bare number, both ends included. It is wide: it catches
/// a slipped decimal point or a wrong unit, and passes every vessel that this is made for.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Within {
    low: f64,
    high: f64,
}

impl Within {
    /// From a lowest to a highest.
    pub(crate) const fn new(low: f64, high: f64) -> Self {
        Self { low, high }
    }
}

/// A key of a section, with its value if it is there.
#[derive(Debug)]
pub(crate) struct Field<'a> {
    reading: &'a Reading<'a>,
    path: String,
    found: Option<&'a Spanned<DeValue<'a>>>,
}

impl<'a> Field<'a> {
    pub(super) const fn new(
        reading: &'a Reading<'a>,
        path: String,
        found: Option<&'a Spanned<DeValue<'a>>>,
    ) -> Self {
        Self { reading, path, found }
    }

    /// Nothing is said of it.
    pub(crate) const fn is_absent(&self) -> bool {
        self.found.is_none()
    }

    fn span(&self) -> Range<usize> {
        self.found.map_or(0..0, Spanned::span)
    }

    /// A problem with the value; `None`, to be returned.
    pub(crate) fn refuse<T>(&self, text: impl Into<String>) -> Option<T> {
        self.reading.refuse(self.span().start, &self.path, text);
        None
    }

    fn site(&self) -> Site {
        self.reading.site(self.span().start, &self.path)
    }

    fn located<T>(&self, value: T) -> Located<T> {
        Located { value, site: self.site() }
    }

    /// The value as it stands in the file.
    fn as_written(&self) -> String {
        shown(self.reading.source.text().get(self.span()).unwrap_or_default())
    }

    /// A text: not empty, no control characters.
    pub(crate) fn text(&self) -> Option<String> {
        let value = self.found?;
        let Some(text) = value.get_ref().as_str() else {
            return self.refuse(format!("is {}, not a text (write it in quotes)", kind_of(value)));
        };
        let text = text.trim();
        if text.is_empty() {
            return self.refuse("is empty (write something, or leave the key out)");
        }
        if text.chars().any(char::is_control) {
            return self.refuse("holds control characters (keep it to one line of plain text)");
        }
        Some(text.to_owned())
    }

    /// A text, with where it stands.
    pub(crate) fn located_text(&self) -> Option<Located<String>> {
        self.text().map(|text| self.located(text))
    }

    /// A text or a list of texts, with where each stands; empty when absent.
    pub(crate) fn located_texts(&self) -> Vec<Located<String>> {
        if self.found.is_some_and(|value| value.get_ref().is_str()) {
            return self.located_text().into_iter().collect();
        }
        self.each("a text or a list of texts").iter().filter_map(Field::located_text).collect()
    }

    /// The fields of a list; empty when absent or no list.
    fn each(&self, wanted: &str) -> Vec<Self> {
        let Some(value) = self.found else { return vec![] };
        let Some(array) = value.get_ref().as_array() else {
            self.refuse::<()>(format!("is {}, not {wanted}", kind_of(value)));
            return vec![];
        };
        if array.is_empty() {
            self.refuse::<()>("is an empty list (give something, or leave the key out)");
        }
        array
            .iter()
            .enumerate()
            .map(|(index, item)| Self::new(self.reading, format!("{}[{}]", self.path, index + 1), Some(item)))
            .collect()
    }

    /// A list, whatever is in it.
    pub(crate) fn is_list(&self) -> bool {
        self.found.is_some_and(|value| value.get_ref().is_array())
    }

    /// One of a set of words.
    pub(crate) fn word<T: Copy>(&self, known: &[Choice<T>]) -> Option<T> {
        let text = self.text()?;
        let said = text.to_lowercase();
        if let Some(choice) = known.iter().find(|choice| choice.word.to_lowercase() == said) {
            return Some(choice.is);
        }
        let words: Vec<&str> = known.iter().map(|choice| choice.word).collect();
        self.refuse(format!("\"{}\" is not one of its words ({})", shown(&text), nearest(&said, &words)))
    }

    /// True or false.
    pub(crate) fn flag(&self) -> Option<bool> {
        let value = self.found?;
        match value.get_ref().as_bool() {
            Some(flag) => Some(flag),
            None => {
                self.refuse(format!("is {}, not true or false (write it without quotes)", kind_of(value)))
            }
        }
    }

    /// A whole number from `low` to `high`.
    pub(crate) fn count(&self, low: u32, high: u32) -> Option<u32> {
        let value = self.found?;
        let whole = value.get_ref().as_integer().and_then(|number| number.as_str().parse::<u32>().ok());
        match whole {
            Some(count) if (low..=high).contains(&count) => Some(count),
            _ => self.refuse(format!("{} is not a whole number from {low} to {high}", self.as_written())),
        }
    }

    /// A number, bare or with its unit, in SI (degrees for angles).
    fn si(&self, dimension: &Dimension, within: Within) -> Option<f64> {
        let value = self.found?;
        let read = match value.get_ref() {
            DeValue::Integer(number) => self.bare(number.as_str(), dimension),
            DeValue::Float(number) => self.bare(number.as_str(), dimension),
            DeValue::String(text) => dimension.read(text),
            _ => {
                let (kind, name, example) = (kind_of(value), dimension.name, dimension.example);
                return self.refuse(format!("is {kind}, not {name} (write it as \"{example}\")"));
            }
        };
        let value_si = match read {
            Ok(value_si) => value_si,
            Err(error) => return self.refuse(shown_long(&error.to_string())),
        };
        let bare = dimension.si_to_bare(value_si);
        // What a conversion and back leaves must not push a figure over its own limit.
        let slack = 1e-9 * bare.abs();
        if within.low - slack <= bare && bare <= within.high + slack {
            return Some(value_si);
        }
        let unit = if dimension.bare.is_empty() { String::new() } else { format!(" {}", dimension.bare) };
        let (low, high) = (within.low, within.high);
        let told = (bare * 1e6).round() / 1e6;
        self.refuse(format!(
            "{told}{unit} is not between {low} and {high}{unit} (check the figure and its unit)"
        ))
    }

    fn bare(&self, digits: &str, dimension: &Dimension) -> Result<f64, QuantityError> {
        let parsed: Option<f64> = digits.parse().ok();
        match parsed.map(|bare| dimension.bare_to_si(bare)) {
            Some(value_si) if value_si.is_finite() => Ok(value_si),
            _ => Err(QuantityError::NotFinite {
                text: self.as_written(),
                name: dimension.name,
                example: dimension.example,
            }),
        }
    }

    /// A length; bare in metres.
    pub(crate) fn length(&self, within: Within) -> Option<Length> {
        self.si(&quantity::LENGTH, within).map(Length::metres)
    }
    /// A nominal size; bare in millimetres.
    pub(crate) fn size(&self, within: Within) -> Option<Length> {
        self.si(&quantity::SIZE, within).map(Length::metres)
    }
    /// An area; bare in square metres.
    pub(crate) fn area(&self, within: Within) -> Option<Area> {
        self.si(&quantity::AREA, within).map(Area::square_metres)
    }
    /// A mass; bare in kilograms.
    pub(crate) fn mass(&self, within: Within) -> Option<Mass> {
        self.si(&quantity::MASS, within).map(Mass::kilograms)
    }
    /// A mass per length; bare in kilograms a metre.
    pub(crate) fn mass_per_length(&self, within: Within) -> Option<MassPerLength> {
        self.si(&quantity::MASS_PER_LENGTH, within).map(MassPerLength::kilograms_per_metre)
    }
    /// A weight per length; bare in newtons a metre.
    pub(crate) fn weight_per_length(&self, within: Within) -> Option<WeightPerLength> {
        self.si(&quantity::WEIGHT_PER_LENGTH, within).map(WeightPerLength::newtons_per_metre)
    }
    /// A force; bare in newtons.
    pub(crate) fn force(&self, within: Within) -> Option<Force> {
        self.si(&quantity::FORCE, within).map(Force::newtons)
    }
    /// A speed; bare in knots.
    pub(crate) fn speed(&self, within: Within) -> Option<Speed> {
        self.si(&quantity::SPEED, within).map(Speed::metres_per_second)
    }
    /// An angle; bare in degrees.
    pub(crate) fn angle(&self, within: Within) -> Option<Angle> {
        self.si(&quantity::ANGLE, within).map(Angle::degrees)
    }
    /// A true bearing, 0 to 360; bare in degrees.
    pub(crate) fn bearing(&self) -> Option<Bearing> {
        self.si(&quantity::ANGLE, Within::new(0.0, 360.0)).map(Bearing::degrees)
    }
    /// A power; bare in kilowatts.
    pub(crate) fn power(&self, within: Within) -> Option<Power> {
        self.si(&quantity::POWER, within).map(Power::watts)
    }
    /// A pressure in pascals; bare in hectopascals.
    pub(crate) fn pressure_pa(&self, within: Within) -> Option<f64> {
        self.si(&quantity::PRESSURE, within)
    }
    /// Revolutions a minute.
    pub(crate) fn rpm(&self, within: Within) -> Option<f64> {
        self.si(&quantity::REVOLUTIONS, within)
    }
    /// Volts.
    pub(crate) fn volts(&self, within: Within) -> Option<f64> {
        self.si(&quantity::VOLTAGE, within)
    }
    /// A share, ratio or chance; bare as a part of one.
    pub(crate) fn share(&self, within: Within) -> Option<f64> {
        self.si(&quantity::SHARE, within)
    }
    /// A duration to the second; bare in minutes.
    pub(crate) fn duration(&self, within: Within) -> Option<SignedDuration> {
        #[expect(clippy::cast_possible_truncation, reason = "`within` keeps it far below i64 seconds")]
        self.si(&quantity::DURATION, within).map(|seconds| SignedDuration::from_secs(seconds.round() as i64))
    }

    /// A position.
    pub(crate) fn position(&self) -> Option<Position> {
        let text = self.text()?;
        match quantity::position(&text) {
            Ok(position) => Some(position),
            Err(error) => self.refuse(shown_long(&error.to_string())),
        }
    }

    /// A list of positions, at least `least` of them; `None` when absent or when one is wrong.
    pub(crate) fn positions(&self, least: usize) -> Option<Vec<Position>> {
        self.found?;
        let fields = self.each("a list of positions");
        let positions: Vec<Position> = fields.iter().filter_map(Field::position).collect();
        if positions.len() < fields.len() {
            return None;
        }
        if positions.len() < least {
            return self.refuse(format!("has {} positions, and needs {least} or more", positions.len()));
        }
        Some(positions)
    }

    /// An instant: a TOML time or a text, with its offset or in the zone of the file.
    pub(crate) fn time(&self, zone: &Zone) -> Option<Timestamp> {
        let value = self.found?;
        let text = match value.get_ref() {
            DeValue::Datetime(time) => time.to_string(),
            DeValue::String(text) => shown(text),
            _ => {
                return self.refuse(format!("is {}, not a time (write 2026-11-27T17:00:00)", kind_of(value)));
            }
        };
        match instant(&text, zone) {
            Ok(at) => at,
            Err(error) => self.refuse(error.to_string()),
        }
    }

    /// A time of day, without a date.
    pub(crate) fn time_of_day(&self) -> Option<jiff::civil::Time> {
        let value = self.found?;
        let text = match value.get_ref() {
            DeValue::Datetime(time) => time.to_string(),
            DeValue::String(text) => shown(text),
            _ => String::new(),
        };
        match text.parse() {
            Ok(time) if !text.contains('-') => Some(time),
            _ => self.refuse(format!("{} is not a time of day (write \"03:00\")", self.as_written())),
        }
    }

    /// A table, read by a function that may fail.
    pub(crate) fn section<T>(&self, read: impl FnOnce(&Section<'a>) -> Option<T>) -> Option<T> {
        self.told(read).flatten()
    }

    /// A table, read by a function that takes whatever is there.
    pub(crate) fn told<T>(&self, read: impl FnOnce(&Section<'a>) -> T) -> Option<T> {
        let value = self.found?;
        let Some(table) = value.get_ref().as_table() else {
            return self.refuse(format!("is {}, not a table (write [{}])", kind_of(value), self.path));
        };
        Some(self.reading.section(table, value.span(), self.path.clone(), read))
    }

    /// A list of tables, each read by a function; those that could not be read are left out. Empty when absent.
    pub(crate) fn sections<T>(&self, read: impl Fn(&Section<'a>) -> Option<T>) -> Vec<T> {
        let wanted = format!("a list of tables (write [[{}]] before each)", self.path);
        self.each(&wanted).iter().filter_map(|field| field.section(&read)).collect()
    }
}

/// A message that repeats a value of the file, cut to a length that a terminal bears.
fn shown_long(text: &str) -> String {
    // Three lines of a terminal.
    const MOST: usize = 240;
    text.chars().map(|c| if c.is_control() { ' ' } else { c }).take(MOST).collect()
}
