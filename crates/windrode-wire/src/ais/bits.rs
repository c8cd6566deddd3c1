//! A packet: a row of bits, the first sent first, read by place and width.

/// Bits that a packet can have at most.
///
/// ITU-R M.1371-5 gives the longest message (26, five slots) 1 064 bits; to this the fill bits of nine parts and a
/// little slack are added, so that the row is a whole number of characters and of words.
pub const MOST_BITS: usize = 64 * WORDS;
const WORDS: usize = 18;

/// A row of bits, at most [`MOST_BITS`].
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Bits {
    /// First bit highest; nought beyond `len`.
    words: [u64; WORDS],
    len: usize,
}

impl Bits {
    /// How many there are.
    pub const fn len(&self) -> usize {
        self.len
    }

    /// There is none.
    pub const fn is_empty(&self) -> bool {
        self.len == 0
    }

    /// Appends the lowest `width` bits of a value, the highest of them first; says whether they fitted. Nothing is
    /// appended if not.
    #[must_use]
    pub const fn push(&mut self, value: u64, width: usize) -> bool {
        if 64 < width || MOST_BITS - self.len < width {
            return false;
        }
        if width == 0 {
            return true;
        }
        let value = value & (u64::MAX >> (64 - width));
        let (word, used) = (self.len / 64, self.len % 64);
        let free = 64 - used;
        if width <= free {
            self.words[word] |= value << (free - width);
        } else {
            self.words[word] |= value >> (width - free);
            self.words[word + 1] |= value << (64 - (width - free));
        }
        self.len += width;
        true
    }

    /// Appends another row; says whether it fitted.
    #[must_use]
    pub fn append(&mut self, other: &Self) -> bool {
        if MOST_BITS - self.len < other.len {
            return false;
        }
        let mut at = 0;
        while at < other.len {
            let width = (other.len - at).min(64);
            if !self.push(other.unsigned(at, width), width) {
                return false;
            }
            at += width;
        }
        true
    }

    /// Cuts the last bits off.
    pub(super) fn drop_last(&mut self, count: usize) {
        self.len = self.len.saturating_sub(count);
        let (word, used) = (self.len / 64, self.len % 64);
        for (index, bits) in self.words.iter_mut().enumerate().skip(word) {
            *bits &= if index == word && 0 < used { u64::MAX << (64 - used) } else { 0 };
        }
    }

    /// The whole number in `width` bits from `at`, 64 at most. Bits beyond the end read as nought: who calls has
    /// asked for the length, or takes [`Self::field`].
    pub fn unsigned(&self, at: usize, width: usize) -> u64 {
        if width == 0 || 64 < width {
            return 0;
        }
        let word = |index: usize| self.words.get(index).copied().unwrap_or(0);
        let (index, skip) = (at / 64, at % 64);
        let high = word(index) << skip;
        let row = if skip == 0 { high } else { high | (word(index + 1) >> (64 - skip)) };
        row >> (64 - width)
    }

    /// The same with a sign, in two's complement.
    #[expect(clippy::cast_possible_wrap, reason = "two's complement is what is meant")]
    pub fn signed(&self, at: usize, width: usize) -> i64 {
        let unused = 64 - width.clamp(1, 64);
        ((self.unsigned(at, width) << unused) as i64) >> unused
    }

    /// The same of eight bits at most.
    #[expect(clippy::cast_possible_truncation, reason = "eight bits at most are a byte")]
    pub(super) fn byte(&self, at: usize, width: usize) -> u8 {
        self.unsigned(at, width.min(8)) as u8
    }

    /// The same of 32 bits at most.
    #[expect(clippy::cast_possible_truncation, reason = "32 bits at most are this number")]
    pub(super) fn number(&self, at: usize, width: usize) -> u32 {
        self.unsigned(at, width.min(32)) as u32
    }

    /// One bit.
    pub fn flag(&self, at: usize) -> bool {
        self.unsigned(at, 1) == 1
    }

    /// A whole number, if all of its bits are there.
    pub fn field(&self, at: usize, width: usize) -> Option<u64> {
        (at + width <= self.len).then(|| self.unsigned(at, width))
    }

    /// Text in six-bit characters (ITU-R M.1371-5 table 47): at most `most`, fewer where the row ends before. The sign
    /// `@` ends it, and blanks at its end are filling; `None` where nothing is left.
    pub fn text(&self, at: usize, most: usize) -> Option<String> {
        let mut text = self.characters(at, most);
        text.truncate(text.trim_end_matches(' ').len());
        (!text.is_empty()).then_some(text)
    }

    /// The same with the blanks at its end.
    pub(super) fn characters(&self, at: usize, most: usize) -> String {
        let there = most.min(self.len.saturating_sub(at) / 6);
        let mut text = String::with_capacity(there);
        for index in 0..there {
            match six_bit_character(self.unsigned(at + 6 * index, 6)) {
                '@' => break,
                character => text.push(character),
            }
        }
        text
    }
}

/// The character of a six-bit code: 0 to 31 are `@` to `_`, 32 to 63 blank to `?`.
fn six_bit_character(code: u64) -> char {
    let code = u8::try_from(code & 63).unwrap_or(0);
    char::from(if code < 32 { code + 64 } else { code })
}

/// The six-bit code of a character, if it has one.
pub(super) const fn six_bit_code(character: char) -> Option<u64> {
    match character {
        '@'..='_' => Some(character as u64 - 64),
        ' '..='?' => Some(character as u64),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    proptest! {
        #[test]
        fn what_was_appended_is_read_where_it_stands(
            values in prop::collection::vec((any::<u64>(), 1_usize..=64), 0..17)
        ) {
            let mut bits = Bits::default();
            for &(value, width) in &values {
                prop_assert!(bits.push(value, width));
            }
            let mut at = 0;
            for &(value, width) in &values {
                prop_assert_eq!(bits.field(at, width), Some(value & (u64::MAX >> (64 - width))));
                at += width;
            }
            prop_assert_eq!((bits.len(), bits.field(at, 1)), (at, None));
        }

        #[test]
        fn two_rows_joined_are_one_row(
            a in prop::collection::vec(any::<bool>(), 0..400),
            b in prop::collection::vec(any::<bool>(), 0..400),
        ) {
            let row = |flags: &[bool]| {
                let mut bits = Bits::default();
                for &flag in flags {
                    assert!(bits.push(u64::from(flag), 1));
                }
                bits
            };
            let mut joined = row(&a);
            prop_assert!(joined.append(&row(&b)));
            prop_assert_eq!(&joined, &row(&[a.clone(), b.clone()].concat()));
            joined.drop_last(b.len());
            prop_assert_eq!(joined, row(&a));
        }
    }

    #[test]
    fn a_row_that_is_full_takes_no_more() {
        let mut bits = Bits::default();
        for _ in 0..MOST_BITS / 64 {
            assert!(bits.push(u64::MAX, 64));
        }
        let full = bits.clone();
        assert!(!bits.push(1, 1) && !bits.append(&full));
        assert_eq!(bits, full);
        assert!(bits.push(0, 0));
    }

    #[test]
    fn a_number_with_its_highest_bit_set_is_negative() {
        let mut bits = Bits::default();
        assert!(bits.push(0b1000_0000, 8) && bits.push(0b0111, 4));
        assert_eq!((bits.signed(0, 8), bits.signed(8, 4)), (-128, 7));
    }

    #[test]
    fn text_ends_at_the_sign_for_filling_and_loses_blanks_at_its_end() {
        let mut bits = Bits::default();
        for character in "AB C  @X".chars() {
            assert!(bits.push(six_bit_code(character).unwrap(), 6));
        }
        assert_eq!(bits.text(0, 8).as_deref(), Some("AB C"));
        assert_eq!(bits.text(6 * 4, 4), None);
        assert_eq!(bits.text(6 * 7, 20).as_deref(), Some("X"));
        assert_eq!(bits.text(MOST_BITS, 20), None);
    }

    #[test]
    fn every_code_has_its_character_and_back() {
        for code in 0..64 {
            assert_eq!(six_bit_code(six_bit_character(code)), Some(code));
        }
        assert_eq!(six_bit_code('a'), None);
    }
}
