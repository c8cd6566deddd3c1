//! Which message a packet is, and who sent it.
//!
//! ```text
//! bits 0–5   number of the message, 1 to 27
//! bits 6–7   how often it was repeated
//! bits 8–37  identity of the station (MMSI), nine digits
//! ```
//!
//! Source: ITU-R M.1371-5 annex 8.

use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::Offset;
use windrode_domain::position::Position;

use super::AisError;
use super::bits::Bits;
use super::particulars::{Dimensions, Particulars};
use super::position::{FixSecond, PositionReport, fine_place};

/// The highest number of a message.
const LAST_NUMBER: u8 = 27;
/// The highest number of nine digits.
pub(super) const HIGHEST_IDENTITY: u32 = 999_999_999;
/// Bits of the head that all messages share.
const HEAD_BITS: usize = 38;

/// A message.
#[derive(Clone, Debug, PartialEq)]
pub struct Message {
    /// Its number, 1 to 27.
    pub number: u8,
    /// How often it was repeated, 3 for "no more".
    pub repeat: u8,
    /// Who sent it.
    pub mmsi: u32,
    /// Bits of the packet.
    pub bits: usize,
    /// What it says.
    pub content: Content,
}

/// What a message says.
#[derive(Clone, Debug, PartialEq)]
pub enum Content {
    /// Messages 1, 2, 3, 9, 18 and 27.
    Position(PositionReport),
    /// Message 4: a station ashore.
    BaseStation(BaseStation),
    /// Messages 5 and 24.
    Particulars(Particulars),
    /// Message 14: words for everybody near by.
    Safety {
        /// The words; empty if none were sent.
        text: String,
    },
    /// Message 19: both.
    Extended(PositionReport, Particulars),
    /// Message 21: a buoy, a beacon, a light, or one that exists by radio only.
    Aid(Aid),
    /// Another message, unread: by its number.
    Unlisted(u8),
}

/// A station ashore.
#[derive(Clone, Debug, PartialEq)]
pub struct BaseStation {
    /// Its clock, if it says a time that exists.
    pub time: Option<Timestamp>,
    /// Where it is.
    pub at: Option<Position>,
    /// The position held a number that the standard has not.
    pub impossible_position: bool,
    /// It says that its position is good to 10 m.
    pub accurate: bool,
    /// What it is fixed with, as the standard numbers it.
    pub fix_device: u8,
    /// Its receiver watches its own integrity.
    pub raim: bool,
}

/// An aid to navigation.
#[expect(clippy::struct_excessive_bools, reason = "five facts that are independent of each other")]
#[derive(Clone, Debug, PartialEq)]
pub struct Aid {
    /// Its kind, as the standard numbers it.
    pub kind: u8,
    /// Its name, the extension included.
    pub name: Option<String>,
    /// Where it is.
    pub at: Option<Position>,
    /// The position held a number that the standard has not.
    pub impossible_position: bool,
    /// It says that its position is good to 10 m.
    pub accurate: bool,
    /// Its size.
    pub dimensions: Option<Dimensions>,
    /// What it is fixed with, as the standard numbers it.
    pub fix_device: u8,
    /// The second of the fix, or why there is none.
    pub second: FixSecond,
    /// It floats and is off its position. The standard lets the flag count only beside a second of 0 to 59.
    pub off_position: Option<bool>,
    /// Its receiver watches its own integrity.
    pub raim: bool,
    /// It exists by radio only: there is nothing to be seen.
    pub is_virtual: bool,
}

/// The bits that a message must have to be read, by its number and, for 24, its part: up to and with the field named.
pub const fn needed_bits(number: u8, part: u8) -> usize {
    match (number, part) {
        // Integrity flag; the radio's state follows.
        (1..=4, _) => 149,
        // 5: dimensions; fixing device, arrival, draught and destination follow. 21: flag of a virtual aid; spare bits
        // and the name's extension follow.
        (5 | 21, _) => 270,
        // Integrity flag.
        (9 | 18, _) => 148,
        // Sender and spare bits; the words follow.
        (14, _) => 40,
        // Dimensions.
        (19, _) => 301,
        // Name.
        (24, 0) => 160,
        // Call sign; dimensions follow.
        (24, _) => 132,
        // Lateness.
        (27, _) => 95,
        _ => HEAD_BITS,
    }
}

impl Message {
    /// Reads a packet.
    ///
    /// # Errors
    /// [`AisError::TooShort`], [`AisError::Number`], [`AisError::Identity`] or [`AisError::Part`].
    pub fn decode(bits: &Bits) -> Result<Self, AisError> {
        let short = |number, needed| AisError::TooShort { number, bits: bits.len(), needed };
        if bits.len() < HEAD_BITS {
            let number = bits.field(0, 6).map_or(0, |_| bits.byte(0, 6));
            return Err(short(number, HEAD_BITS));
        }
        let [number, repeat] = [bits.byte(0, 6), bits.byte(6, 2)];
        let mmsi = bits.number(8, 30);
        if !(1..=LAST_NUMBER).contains(&number) {
            return Err(AisError::Number(number));
        }
        if HIGHEST_IDENTITY < mmsi {
            return Err(AisError::Identity(mmsi));
        }
        if number == 24 && bits.len() < 40 {
            return Err(short(24, 40));
        }
        let part = if number == 24 { bits.byte(38, 2) } else { 0 };
        let needed = needed_bits(number, part);
        if bits.len() < needed {
            return Err(short(number, needed));
        }
        let content = content(number, part, mmsi, bits)?;
        Ok(Self { number, repeat, mmsi, bits: bits.len(), content })
    }
}

fn content(number: u8, part: u8, mmsi: u32, bits: &Bits) -> Result<Content, AisError> {
    Ok(match (number, part) {
        (1..=3, _) => Content::Position(PositionReport::class_a(bits)),
        (4, _) => Content::BaseStation(BaseStation::read(bits)),
        (5, _) => Content::Particulars(Particulars::voyage(bits)),
        (9, _) => Content::Position(PositionReport::aircraft(bits)),
        (14, _) => Content::Safety { text: bits.text(40, bits.len() / 6).unwrap_or_default() },
        (18, _) => Content::Position(PositionReport::class_b(bits)),
        (19, _) => {
            Content::Extended(PositionReport::class_b_extended(bits), Particulars::class_b_extended(bits))
        }
        (21, _) => Content::Aid(Aid::read(bits)),
        (24, 0) => Content::Particulars(Particulars::part_a(bits)),
        (24, 1) => Content::Particulars(Particulars::part_b(bits, mmsi)),
        (24, part) => return Err(AisError::Part(part)),
        (27, _) => Content::Position(PositionReport::long_range(bits)),
        (number, _) => Content::Unlisted(number),
    })
}

impl BaseStation {
    fn read(bits: &Bits) -> Self {
        let (at, impossible_position) = fine_place(bits, 79);
        Self {
            time: time(bits, 38),
            at,
            impossible_position,
            accurate: bits.flag(78),
            fix_device: bits.byte(134, 4),
            raim: bits.flag(148),
        }
    }
}

/// Year, month, day, hour, minute and second: nothing unless all are there and make a time.
fn time(bits: &Bits, at: usize) -> Option<Timestamp> {
    let year = i16::try_from(bits.unsigned(at, 14)).ok().filter(|&year| year != 0)?;
    let part = |skip: usize, width: usize| i8::try_from(bits.unsigned(at + skip, width)).ok();
    let date = Date::new(year, part(14, 4)?, part(18, 5)?).ok()?;
    let (hour, minute, second) = (part(23, 5)?, part(28, 6)?, part(34, 6)?);
    let time = jiff::civil::Time::new(hour, minute, second, 0).ok()?;
    Offset::UTC.to_timestamp(date.to_datetime(time)).ok()
}

impl Aid {
    fn read(bits: &Bits) -> Self {
        let (at, impossible_position) = fine_place(bits, 164);
        let second = FixSecond::of(bits.byte(253, 6));
        let off_position = matches!(second, FixSecond::At(_)).then(|| bits.flag(259));
        Self {
            kind: bits.byte(38, 5),
            name: aid_name(bits),
            at,
            impossible_position,
            accurate: bits.flag(163),
            dimensions: Dimensions::read(bits, 219),
            fix_device: bits.byte(249, 4),
            second,
            off_position,
            raim: bits.flag(268),
            is_virtual: bits.flag(269),
        }
    }
}

/// A name that fills its twenty characters goes on behind the other fields, for fourteen more at most.
fn aid_name(bits: &Bits) -> Option<String> {
    let mut name = bits.characters(43, 20);
    if name.len() == 20 {
        name.push_str(&bits.characters(272, 14));
    }
    name.truncate(name.trim_end_matches(' ').len());
    (!name.is_empty()).then_some(name)
}
