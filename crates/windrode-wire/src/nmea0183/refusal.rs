//! Why a line is refused, with the numbers; and how often each cause was met.

use core::fmt;

/// A line that is not read, and why.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Refusal {
    /// It does not end where a line must.
    #[error("the line is longer than {limit} bytes")]
    TooLong {
        /// The longest line that is kept.
        limit: usize,
    },
    /// A control character stands in it.
    #[error("byte {byte:02X} in column {column} is a control character")]
    Control {
        /// The byte.
        byte: u8,
        /// Its place, from 1.
        column: usize,
    },
    /// A byte beyond ASCII stands in it.
    #[error("byte {byte:02X} in column {column} is not ASCII")]
    NotAscii {
        /// The byte.
        byte: u8,
        /// Its place, from 1.
        column: usize,
    },
    /// It begins as no sentence does: a comment, noise, the tail of a line whose head was lost.
    #[error("the line begins with neither $, ! nor \\")]
    NoStart,
    /// A TAG block has no end, or its checksum no digits.
    #[error("the TAG block is not closed by *hh\\")]
    TagForm,
    /// A TAG block does not sum to its checksum.
    #[error("the TAG block's checksum reads {read:02X}, it sums to {summed:02X}")]
    TagChecksum {
        /// As written.
        read: u8,
        /// As reckoned.
        summed: u8,
    },
    /// A parameter of a TAG block that is read cannot be.
    #[error("parameter {parameter} of the TAG block cannot be read")]
    TagParameter {
        /// Its letter.
        parameter: char,
    },
    /// What stands behind the asterisk is not two hexadecimal digits.
    #[error("the checksum is not two hexadecimal digits")]
    ChecksumForm,
    /// The sentence does not sum to its checksum.
    #[error("checksum reads {read:02X}, the line sums to {summed:02X}")]
    Checksum {
        /// As written.
        read: u8,
        /// As reckoned.
        summed: u8,
    },
    /// The address is not two letters of a talker and three of a sentence, nor P and a maker's.
    #[error("the address is not one that a sentence has")]
    Address,
    /// Fewer fields than the oldest edition of the sentence has.
    #[error("{kind} has {found} fields, not {least}")]
    Short {
        /// The sentence.
        kind: &'static str,
        /// How many there are.
        found: usize,
        /// How many there must be.
        least: usize,
    },
    /// A field that cannot be what it must be.
    #[error("{kind}: {what} {fault}")]
    Field {
        /// The sentence.
        kind: &'static str,
        /// The field.
        what: &'static str,
        /// What is wrong with it.
        fault: Fault,
    },
}

/// What can be wrong with a field.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fault {
    /// It is not a number, or not one of that form.
    NotANumber,
    /// The number is beyond what it can be.
    OutOfRange,
    /// The letter is not one that may stand there.
    Letter,
    /// Its other half is missing: a latitude without a hemisphere.
    HalfGiven,
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::NotANumber => "is not a number of its form",
            Self::OutOfRange => "is beyond what it can be",
            Self::Letter => "has a letter that may not stand there",
            Self::HalfGiven => "is given by half",
        })
    }
}

/// The causes of refusal, without their numbers: what is counted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Cause {
    /// [`Refusal::TooLong`]
    TooLong,
    /// [`Refusal::Control`]
    Control,
    /// [`Refusal::NotAscii`]
    NotAscii,
    /// [`Refusal::NoStart`]
    NoStart,
    /// [`Refusal::TagForm`], [`Refusal::TagParameter`]
    Tag,
    /// [`Refusal::TagChecksum`]
    TagChecksum,
    /// [`Refusal::ChecksumForm`]
    ChecksumForm,
    /// [`Refusal::Checksum`]
    Checksum,
    /// [`Refusal::Address`]
    Address,
    /// [`Refusal::Short`]
    Short,
    /// [`Fault::NotANumber`]
    Number,
    /// [`Fault::OutOfRange`]
    Range,
    /// [`Fault::Letter`]
    Letter,
    /// [`Fault::HalfGiven`]
    HalfGiven,
}

impl Cause {
    /// All of them, in the order in which they are counted.
    pub const ALL: [Self; 14] = [
        Self::TooLong,
        Self::Control,
        Self::NotAscii,
        Self::NoStart,
        Self::Tag,
        Self::TagChecksum,
        Self::ChecksumForm,
        Self::Checksum,
        Self::Address,
        Self::Short,
        Self::Number,
        Self::Range,
        Self::Letter,
        Self::HalfGiven,
    ];

    /// The short word for it, which does not change from release to release.
    pub const fn word(self) -> &'static str {
        match self {
            Self::TooLong => "too-long",
            Self::Control => "control",
            Self::NotAscii => "not-ascii",
            Self::NoStart => "no-start",
            Self::Tag => "tag",
            Self::TagChecksum => "tag-checksum",
            Self::ChecksumForm => "checksum-form",
            Self::Checksum => "checksum",
            Self::Address => "address",
            Self::Short => "short",
            Self::Number => "number",
            Self::Range => "range",
            Self::Letter => "letter",
            Self::HalfGiven => "half-given",
        }
    }
}

impl Refusal {
    /// Its cause.
    pub const fn cause(self) -> Cause {
        match self {
            Self::TooLong { .. } => Cause::TooLong,
            Self::Control { .. } => Cause::Control,
            Self::NotAscii { .. } => Cause::NotAscii,
            Self::NoStart => Cause::NoStart,
            Self::TagForm | Self::TagParameter { .. } => Cause::Tag,
            Self::TagChecksum { .. } => Cause::TagChecksum,
            Self::ChecksumForm => Cause::ChecksumForm,
            Self::Checksum { .. } => Cause::Checksum,
            Self::Address => Cause::Address,
            Self::Short { .. } => Cause::Short,
            Self::Field { fault: Fault::NotANumber, .. } => Cause::Number,
            Self::Field { fault: Fault::OutOfRange, .. } => Cause::Range,
            Self::Field { fault: Fault::Letter, .. } => Cause::Letter,
            Self::Field { fault: Fault::HalfGiven, .. } => Cause::HalfGiven,
        }
    }
}

/// How many lines of a feed were read, and how many refused, by cause.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Tally {
    /// Lines read.
    pub read: u64,
    /// Of those, without a checksum: accepted, but nothing vouches for their digits.
    pub without_checksum: u64,
    /// Of those, sentences whose meaning is not read here.
    pub unlisted: u64,
    refused: [u64; Cause::ALL.len()],
}

impl Tally {
    /// Counts one line as [`super::read`] answered.
    pub fn count(&mut self, answer: &Result<super::Heard<'_>, Refusal>) {
        match answer {
            Ok(heard) => {
                self.read += 1;
                self.without_checksum += u64::from(heard.checksum == super::Checksum::Absent);
                self.unlisted += u64::from(matches!(heard.report, super::Report::Unlisted(_)));
            }
            Err(refusal) => self.refuse(refusal.cause()),
        }
    }
    /// Counts one line refused.
    pub fn refuse(&mut self, cause: Cause) {
        if let Some(count) = self.refused.get_mut(cause as usize) {
            *count += 1;
        }
    }
    /// How many lines were refused for a cause.
    pub fn refused(&self, cause: Cause) -> u64 {
        self.refused.get(cause as usize).copied().unwrap_or(0)
    }
    /// How many lines were refused in all.
    pub fn refused_in_all(&self) -> u64 {
        self.refused.iter().sum()
    }
    /// The causes that were met, with how often.
    pub fn causes(&self) -> impl Iterator<Item = (Cause, u64)> + '_ {
        Cause::ALL.into_iter().map(|cause| (cause, self.refused(cause))).filter(|&(_, count)| 0 < count)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_cause_stands_at_its_own_place_and_has_its_own_word() {
        for (place, cause) in Cause::ALL.into_iter().enumerate() {
            assert_eq!(cause as usize, place);
            assert!(Cause::ALL.iter().filter(|other| other.word() == cause.word()).count() == 1);
        }
    }
}
