//! Six bits as a printable character, and a packet as sentences (IEC 61162-1, VDM and VDO).
//!
//! ```text
//! value  0 … 39   characters '0' … 'W'      value + 48
//! value 40 … 63   characters '`' … 'w'      value + 56
//!
//! !AIVDM,2,1,3,B,55P5TL01VIaAL@7WKO@mBplU@<PDhh000000001S;AJ::4A80?4i@E53,0*3E
//!  talker│ │ │ │ │                                                        │ └ checksum
//!        │ │ │ │ └ payload                                                └ fill bits after the last bit of the packet
//!        │ │ │ └ radio channel
//!        │ │ └ sequence, 0 to 9, the same in all parts
//!        │ └ number of this part
//!        └ how many parts
//! ```

use super::AisError;
use super::bits::{Bits, MOST_BITS};
use crate::nmea0183::sentence::sum;

/// Characters of payload in one sentence: with head and checksum it then has 82 characters, the most of IEC 61162-1.
const PAYLOAD_CHARACTERS: usize = 60;

/// The bits that a payload stands for, without the fill bits at its end.
///
/// # Errors
/// [`AisError::Armour`], [`AisError::Fill`] or [`AisError::TooLong`].
pub fn unarmour(payload: &str, fill: u8) -> Result<Bits, AisError> {
    if MOST_BITS < 6 * payload.len() {
        return Err(AisError::TooLong { bits: 6 * payload.len() });
    }
    if 5 < fill || (payload.is_empty() && 0 < fill) {
        return Err(AisError::Fill { fill, characters: payload.len() });
    }
    let mut bits = Bits::default();
    // Ten characters at a time fill most of a word.
    for (index, chunk) in payload.as_bytes().chunks(10).enumerate() {
        let mut row = 0;
        for (place, &byte) in chunk.iter().enumerate() {
            let value = value(byte).ok_or(AisError::Armour { at: 10 * index + place, byte })?;
            row = (row << 6) | value;
        }
        if !bits.push(row, 6 * chunk.len()) {
            return Err(AisError::TooLong { bits: 6 * payload.len() });
        }
    }
    bits.drop_last(usize::from(fill));
    Ok(bits)
}

/// The six bits of a character, if it stands for some.
const fn value(byte: u8) -> Option<u64> {
    match byte {
        b'0'..=b'W' => Some(byte as u64 - 48),
        b'`'..=b'w' => Some(byte as u64 - 56),
        _ => None,
    }
}

/// The payload that stands for these bits, and the fill bits at its end.
pub fn armour(bits: &Bits) -> (String, u8) {
    let characters = bits.len().div_ceil(6);
    let payload = (0..characters).map(|index| character(bits.unsigned(6 * index, 6))).collect();
    (payload, u8::try_from(6 * characters - bits.len()).unwrap_or(0))
}

fn character(value: u64) -> char {
    let value = u8::try_from(value & 63).unwrap_or(0);
    char::from(if value < 40 { value + 48 } else { value + 56 })
}

/// What stands at the head of the sentences of one packet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Head {
    /// The boat's own transponder (VDO), or another vessel heard (VDM).
    pub own: bool,
    /// Radio channel: `'A'` or `'B'`, or none.
    pub channel: Option<char>,
    /// Sequence, 0 to 9: written only where there are several parts; the last digit counts.
    pub sequence: u8,
}

/// The sentences of a packet, each without its line's end.
pub fn sentences(bits: &Bits, head: Head) -> Vec<String> {
    let (payload, fill) = armour(bits);
    // The payload is all ASCII: cutting it anywhere is cutting between characters.
    let count = payload.len().div_ceil(PAYLOAD_CHARACTERS).max(1);
    let part = |index: usize| {
        let from = index * PAYLOAD_CHARACTERS;
        let share = payload.get(from..(from + PAYLOAD_CHARACTERS).min(payload.len())).unwrap_or("");
        let sequence = if 1 < count { (head.sequence % 10).to_string() } else { String::new() };
        let channel = head.channel.map(String::from).unwrap_or_default();
        let formatter = if head.own { "VDO" } else { "VDM" };
        let fill = if index + 1 == count { fill } else { 0 };
        let body = format!("AI{formatter},{count},{},{sequence},{channel},{share},{fill}", index + 1);
        format!("!{body}*{:02X}", sum(body.as_bytes()))
    };
    (0..count).map(part).collect()
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn the_characters_at_the_seams_stand_for_their_values() {
        // IEC 61162-1's table of six-bit characters, as pyais and every other reader has it.
        for (byte, six) in [(b'0', 0), (b'W', 39), (b'`', 40), (b'w', 63)] {
            assert_eq!(value(byte), Some(six));
        }
        for byte in [b'/', b'X', b'_', b'x', 0, 0xff] {
            assert_eq!(value(byte), None);
        }
    }

    #[test]
    fn a_payload_that_cannot_be_is_refused_by_its_cause() {
        assert_eq!(unarmour("13é", 0), Err(AisError::Armour { at: 2, byte: 0xc3 }));
        assert_eq!(unarmour("13", 6), Err(AisError::Fill { fill: 6, characters: 2 }));
        assert_eq!(unarmour("", 1), Err(AisError::Fill { fill: 1, characters: 0 }));
        let long = "0".repeat(MOST_BITS / 6 + 1);
        assert_eq!(unarmour(&long, 0), Err(AisError::TooLong { bits: 6 * long.len() }));
        assert_eq!(unarmour("", 0), Ok(Bits::default()));
    }

    proptest! {
           #[test]
           fn armour_comes_off_as_it_went_on(flags in prop::collection::vec(any::<bool>(), 0..MOST_BITS)) {
               let mut bits = Bits::default();
               for &flag in &flags {
    assert!(bits.push(u64::from(flag), 1));
    }
               let (payload, fill) = armour(&bits);
               prop_assert_eq!(unarmour(&payload, fill), Ok(bits));
           }

           #[test]
           fn no_sentence_is_longer_than_the_standard_allows(length in 0_usize..MOST_BITS, own: bool) {
               let mut bits = Bits::default();
               (0..length).for_each(|_| assert!(bits.push(1, 1)));
               let head = Head { own, channel: Some('B'), sequence: 7 };
               // 82 with the mark and the line's end of two.
               prop_assert!(sentences(&bits, head).iter().all(|sentence| sentence.len() <= 80));
           }
       }
}
