//! The fields of a sentence, taken one after another, each as what it must be.
//!
//! An empty field, or one beyond the end (an older edition of the sentence), is `None`; what is there and
//! cannot be read refuses the sentence, by the field's name.

use windrode_domain::position::Position;
use windrode_domain::units::{Angle, Bearing, Length, Speed};

use super::clock::UtcTime;
use super::heading::MagneticBearing;
use super::refusal::{Fault, Refusal};
use super::sentence::Sentence;

/// A decimal number, and with how many decimals it is told.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Number {
    pub(super) value: f64,
    pub(super) decimals: u8,
}

/// A speed, and the step in which it is told.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SpeedTold {
    /// The speed.
    pub speed: Speed,
    /// One unit of its last decimal: 0.1 kn of `5.3`.
    pub step: Speed,
}

/// Powers of ten that an `f64` holds exactly.
#[rustfmt::skip]
const TENS: [f64; 23] = [
    1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11,
    1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22,
];
/// Below this every whole number is an `f64`.
const WHOLE_MAX: u64 = 1 << 53;
/// As many digits as a `u64` holds whatever they are.
const DIGITS_MAX: usize = 19;

/// Reads `-12.5`, `12`, `.5`, `12.`; nothing else is a number: no exponent, no blank, no `nan`.
///
/// The digits as a whole number over a power of ten, both exact in an `f64`, divide to the nearest `f64`
/// (IEEE 754); longer ones go to the standard library.
pub(super) fn number(text: &str) -> Option<Number> {
    let unsigned = text.strip_prefix(['-', '+']).unwrap_or(text);
    let mut whole = 0_u64;
    let (mut digits, mut decimals, mut point) = (0_usize, 0_usize, false);
    for byte in unsigned.bytes() {
        match byte {
            b'0'..=b'9' => {
                digits += 1;
                decimals += usize::from(point);
                whole = whole.wrapping_mul(10).wrapping_add(u64::from(byte - b'0'));
            }
            b'.' if !point => point = true,
            _ => return None,
        }
    }
    if digits == 0 {
        return None;
    }
    let exact = digits <= DIGITS_MAX && whole < WHOLE_MAX;
    let size = match TENS.get(decimals) {
        Some(ten) if exact => whole as f64 / ten,
        _ => unsigned.parse().ok()?,
    };
    let value = if text.starts_with('-') { -size } else { size };
    Some(Number { value, decimals: u8::try_from(decimals).ok()? })
}

/// Reads a whole number without sign.
pub(super) fn whole(text: &str) -> Option<u32> {
    let digits = !text.is_empty() && text.len() <= 9 && text.bytes().all(|byte| byte.is_ascii_digit());
    digits.then(|| text.bytes().fold(0, |sum, byte| 10 * sum + u32::from(byte - b'0')))
}

/// The fields that are still to be taken.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Fields<'a> {
    kind: &'static str,
    rest: Option<&'a str>,
}

type Taken<T> = Result<Option<T>, Refusal>;

impl<'a> Fields<'a> {
    /// Of a sentence that must have so many.
    pub(super) fn of(sentence: &Sentence<'a>, kind: &'static str, least: usize) -> Result<Self, Refusal> {
        let found = sentence.field_count();
        if found < least {
            return Err(Refusal::Short { kind, found, least });
        }
        Ok(Self { kind, rest: sentence.fields() })
    }

    pub(super) fn refuse(&self, what: &'static str, fault: Fault) -> Refusal {
        Refusal::Field { kind: self.kind, what, fault }
    }

    /// The next field as it stands.
    pub(super) fn text(&mut self) -> &'a str {
        let rest = self.rest.unwrap_or("");
        let Some(comma) = rest.bytes().position(|byte| byte == b',') else {
            self.rest = None;
            return rest;
        };
        let (field, tail) = rest.split_at(comma);
        self.rest = tail.get(1..);
        field
    }

    pub(super) fn skip(&mut self, count: usize) {
        for _ in 0..count {
            self.text();
        }
    }

    /// Whether any field is left.
    pub(super) const fn more(&self) -> bool {
        self.rest.is_some()
    }

    pub(super) fn number(&mut self, what: &'static str) -> Taken<Number> {
        match self.text() {
            "" => Ok(None),
            text => number(text).map(Some).ok_or_else(|| self.refuse(what, Fault::NotANumber)),
        }
    }

    /// A number within limits, both allowed.
    pub(super) fn within(&mut self, what: &'static str, least: f64, most: f64) -> Taken<f64> {
        let Some(number) = self.number(what)? else { return Ok(None) };
        if (least..=most).contains(&number.value) {
            return Ok(Some(number.value));
        }
        Err(self.refuse(what, Fault::OutOfRange))
    }

    pub(super) fn count<T: TryFrom<u32>>(&mut self, what: &'static str) -> Taken<T> {
        match self.text() {
            "" => Ok(None),
            text => {
                let value = whole(text).ok_or_else(|| self.refuse(what, Fault::NotANumber))?;
                T::try_from(value).map(Some).map_err(|_| self.refuse(what, Fault::OutOfRange))
            }
        }
    }

    /// One letter.
    pub(super) fn letter(&mut self, what: &'static str) -> Taken<u8> {
        match self.text().as_bytes() {
            [] => Ok(None),
            [letter] => Ok(Some(*letter)),
            _ => Err(self.refuse(what, Fault::Letter)),
        }
    }

    /// A letter that must be this one where the number before it is given.
    pub(super) fn unit<T>(&mut self, what: &'static str, given: Option<T>, unit: u8) -> Taken<T> {
        let letter = self.letter(what)?;
        match (given, letter) {
            (Some(value), Some(read)) if read == unit => Ok(Some(value)),
            (Some(_), _) => Err(self.refuse(what, Fault::Letter)),
            (None, _) => Ok(None),
        }
    }

    /// A time of day.
    pub(super) fn time(&mut self) -> Taken<UtcTime> {
        match self.text() {
            "" => Ok(None),
            text => UtcTime::read(text).map(Some).map_err(|fault| self.refuse("time", fault)),
        }
    }

    /// Latitude, its hemisphere, longitude, its hemisphere.
    pub(super) fn position(&mut self) -> Taken<Position> {
        let (latitude, north_south) = (self.text(), self.letter("hemisphere")?);
        let (longitude, east_west) = (self.text(), self.letter("hemisphere")?);
        if latitude.is_empty() && longitude.is_empty() {
            return Ok(None);
        }
        let (Some(north_south), Some(east_west)) = (north_south, east_west) else {
            return Err(self.refuse("position", Fault::HalfGiven));
        };
        let latitude_deg = self.coordinate("latitude", latitude, north_south, [b'N', b'S'])?;
        let longitude_deg = self.coordinate("longitude", longitude, east_west, [b'E', b'W'])?;
        let out_of_range = |_| self.refuse("position", Fault::OutOfRange);
        if !(longitude_deg.abs() <= 180.0) {
            return Err(self.refuse("longitude", Fault::OutOfRange));
        }
        Position::new(latitude_deg, longitude_deg).map(Some).map_err(out_of_range)
    }

    /// Degrees, then two digits of minutes and their decimals, signed by the hemisphere.
    fn coordinate(
        &self,
        what: &'static str,
        text: &str,
        hemisphere: u8,
        [positive, negative]: [u8; 2],
    ) -> Result<f64, Refusal> {
        if text.is_empty() {
            return Err(self.refuse(what, Fault::HalfGiven));
        }
        let whole_digits = text.bytes().take_while(u8::is_ascii_digit).count();
        let split = whole_digits.saturating_sub(2);
        let (degrees, minutes) = text.split_at(split);
        let degrees = if degrees.is_empty() { Some(0) } else { whole(degrees) };
        let minutes = number(minutes).filter(|_| 0 < whole_digits);
        let (Some(degrees), Some(minutes)) = (degrees, minutes) else {
            return Err(self.refuse(what, Fault::NotANumber));
        };
        if !(minutes.value < 60.0) {
            return Err(self.refuse(what, Fault::OutOfRange));
        }
        let size_deg = f64::from(degrees) + minutes.value / 60.0;
        match hemisphere {
            letter if letter == positive => Ok(size_deg),
            letter if letter == negative => Ok(-size_deg),
            _ => Err(self.refuse(what, Fault::Letter)),
        }
    }

    /// A direction, 0 to 360 degrees.
    pub(super) fn degrees(&mut self, what: &'static str) -> Taken<f64> {
        self.within(what, 0.0, 360.0)
    }
    pub(super) fn bearing(&mut self, what: &'static str) -> Taken<Bearing> {
        Ok(self.degrees(what)?.map(Bearing::degrees))
    }
    pub(super) fn magnetic(&mut self, what: &'static str) -> Taken<MagneticBearing> {
        Ok(self.degrees(what)?.map(MagneticBearing::degrees))
    }
    /// A true bearing and its letter.
    pub(super) fn true_bearing(&mut self, what: &'static str) -> Taken<Bearing> {
        let given = self.bearing(what)?;
        self.unit(what, given, b'T')
    }
    /// A magnetic bearing and its letter.
    pub(super) fn magnetic_bearing(&mut self, what: &'static str) -> Taken<MagneticBearing> {
        let given = self.magnetic(what)?;
        self.unit(what, given, b'M')
    }

    /// An angle and its letter, east positive.
    pub(super) fn easterly(&mut self, what: &'static str) -> Taken<Angle> {
        let given = self.within(what, 0.0, 180.0)?;
        match (given, self.letter(what)?) {
            (None, _) => Ok(None),
            (Some(size), Some(b'E')) => Ok(Some(Angle::degrees(size))),
            (Some(size), Some(b'W')) => Ok(Some(Angle::degrees(-size))),
            (Some(_), Some(_)) => Err(self.refuse(what, Fault::Letter)),
            (Some(_), None) => Err(self.refuse(what, Fault::HalfGiven)),
        }
    }

    /// A speed that cannot be negative, in a unit that the sentence fixes.
    pub(super) fn speed(&mut self, what: &'static str, unit: Speed) -> Taken<SpeedTold> {
        let Some(number) = self.number(what)? else { return Ok(None) };
        if !(0.0 <= number.value && (unit * number.value).as_metres_per_second() <= SPEED_MAX_MS) {
            return Err(self.refuse(what, Fault::OutOfRange));
        }
        Ok(Some(told(number, unit)))
    }

    /// A speed and its letter: N knots, K km/h, M m/s, S statute miles an hour.
    pub(super) fn speed_in_unit(&mut self, what: &'static str) -> Taken<Speed> {
        let Some(number) = self.number(what)? else {
            self.skip(1);
            return Ok(None);
        };
        let unit = match self.letter(what)? {
            Some(b'N') => Speed::knots(1.0),
            Some(b'K') => KILOMETRE_PER_HOUR,
            Some(b'M') => Speed::metres_per_second(1.0),
            Some(b'S') => STATUTE_MILE_PER_HOUR,
            _ => return Err(self.refuse(what, Fault::Letter)),
        };
        let speed = unit * number.value;
        if !(0.0 <= number.value && speed.as_metres_per_second() <= SPEED_MAX_MS) {
            return Err(self.refuse(what, Fault::OutOfRange));
        }
        Ok(Some(speed))
    }

    /// A number of metres.
    pub(super) fn metres(&mut self, what: &'static str, least: f64, most: f64) -> Taken<Length> {
        Ok(self.within(what, least, most)?.map(Length::metres))
    }
}

fn told(number: Number, unit: Speed) -> SpeedTold {
    let step = TENS.get(usize::from(number.decimals)).map_or(Speed::ZERO, |ten| unit / *ten);
    SpeedTold { speed: unit * number.value, step }
}

/// One kilometre an hour.
pub(super) const KILOMETRE_PER_HOUR: Speed = Speed::metres_per_second(1.0 / 3.6);
/// One statute mile (1609.344 m, exact since 1959) an hour.
const STATUTE_MILE_PER_HOUR: Speed = Speed::metres_per_second(1609.344 / 3600.0);
/// No wind and no vessel is faster than sound near the ground, m/s; a number beyond it is a broken one.
const SPEED_MAX_MS: f64 = 340.0;

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn what_is_no_plain_decimal_is_no_number() {
        for text in ["", "-", ".", "1e3", "nan", "inf", " 1", "1 ", "1.2.3", "--1", "0x1", "1,2"] {
            assert_eq!(number(text), None, "{text}");
        }
        assert_eq!(number("-.50"), Some(Number { value: -0.5, decimals: 2 }));
        assert_eq!(number("12."), Some(Number { value: 12.0, decimals: 0 }));
    }

    proptest! {
        // The standard library rounds correctly; so must the short way.
        #[test]
        fn a_number_is_the_nearest_that_there_is(text in "-?[0-9]{1,24}(\\.[0-9]{0,24})?") {
            let expected: f64 = text.parse().unwrap();
            prop_assert_eq!(number(&text).unwrap().value.to_bits(), expected.to_bits());
        }

        #[test]
        fn any_text_is_a_number_or_none(text in ".{0,40}") {
            let _ = number(&text);
        }
    }
}
