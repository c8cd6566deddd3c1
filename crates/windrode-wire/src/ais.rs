//! What other vessels say of themselves by radio: AIS messages as ITU-R M.1371-5 lays them out, in the sentences VDM
//! and VDO of IEC 61162-1.
//!
//! A station near by sends a packet of bits. The receiver writes it as six-bit characters into one sentence, or into
//! several when it is long. Two levels, as everywhere in this crate:
//!
//! ```text
//! AisFragment   one sentence's share of a packet, from `nmea0183`
//!    │  assemble      parts of one packet found again among others, in a buffer that cannot grow
//!    ▼
//! Bits       the packet
//!    │  message       which fields stand where
//!    ▼
//! Message    who, where, how moving, what she is; "not available" is absent, what cannot be is told
//!    │  neighbour
//!    ▼
//! NeighbourReport, in the domain's terms
//! ```
//!
//! Read are messages 1, 2, 3, 4, 5, 9, 14, 18, 19, 21, 24 and 27; of any other its number, sender and length. The
//! state of the radio channel (who may send when) is left out: nothing aboard needs it. `encode` goes the other way,
//! for simulated neighbours.
//!
//! Short packets occur: real stations leave off spare bits and the like. A packet is read when everything up to the
//! field named in [`message::needed_bits`] is there, and refused by [`AisError::TooShort`] when not; fields after
//! that which are not whole are absent. Packets that are longer than the standard says are read; the rest is not
//! judged, nor are spare bits.

pub mod bits;
pub mod armour;
pub mod assemble;
pub mod message;
pub mod position;
pub mod particulars;
pub mod neighbour;
pub mod encode;

use jiff::Timestamp;
use windrode_domain::watch::observation::Source;

use crate::nmea0183::fragment::AisFragment;

pub use assemble::Assembler;
pub use bits::Bits;
pub use message::{Content, Message};

/// Why a fragment or a packet was refused.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum AisError {
    /// A character that stands for no six bits.
    #[error("byte {byte:#04x} at {at} of the payload stands for no six bits")]
    Armour {
        /// Place in the payload, from 0.
        at: usize,
        /// The byte.
        byte: u8,
    },
    /// More fill bits than a character has, or than the payload has bits.
    #[error("{fill} fill bits after {characters} characters: none to five are possible")]
    Fill {
        /// Fill bits said.
        fill: u8,
        /// Characters of the payload.
        characters: usize,
    },
    /// A part that cannot be: none, more than nine, or numbered above their count.
    #[error("part {number} of {count}: one to nine are possible")]
    Parts {
        /// Number said.
        number: u8,
        /// Count said.
        count: u8,
    },
    /// A part of several that does not say which packet it belongs to.
    #[error("part {number} of {count} without the number of its sequence")]
    NoSequence {
        /// Number said.
        number: u8,
        /// Count said.
        count: u8,
    },
    /// More bits than five slots of radio can carry.
    #[error("{bits} bits, where no packet has more than {}", bits::MOST_BITS)]
    TooLong {
        /// Bits there.
        bits: usize,
    },
    /// Fewer bits than the fields that are needed.
    #[error("message {number} of {bits} bits, where {needed} are needed")]
    TooShort {
        /// Number of the message; 0 where not even that is there.
        number: u8,
        /// Bits there.
        bits: usize,
        /// Bits needed.
        needed: usize,
    },
    /// An identity of more than nine digits.
    #[error("identity {0} has more than nine digits")]
    Identity(u32),
    /// A message number that the standard has not: 0, or above 27.
    #[error("there is no message {0}")]
    Number(u8),
    /// A part of message 24 that is neither A nor B.
    #[error("message 24 has no part {0}")]
    Part(u8),
}

impl AisError {
    /// A short word for the cause, the same for ever: refused lines are counted by it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Armour { .. } => "ais-armour",
            Self::Fill { .. } => "ais-fill",
            Self::Parts { .. } => "ais-parts",
            Self::NoSequence { .. } => "ais-no-sequence",
            Self::TooLong { .. } => "ais-too-long",
            Self::TooShort { .. } => "ais-too-short",
            Self::Identity(_) => "ais-identity",
            Self::Number(_) => "ais-number",
            Self::Part(_) => "ais-part",
        }
    }
}

/// A message, and whether the boat's own transponder sent it.
#[derive(Clone, Debug, PartialEq)]
pub struct Heard {
    /// The boat's own transponder repeats what it sends (VDO); any other vessel otherwise (VDM).
    pub own: bool,
    /// Radio channel, where the receiver says.
    pub channel: Option<u8>,
    /// What was said.
    pub message: Message,
}

/// Fragments in, messages out.
#[derive(Clone, Debug, Default)]
pub struct Listener {
    assembler: Assembler,
}

impl Listener {
    /// Nothing heard yet.
    pub const fn new() -> Self {
        Self { assembler: Assembler::new() }
    }

    /// Takes one fragment; gives the message that it completes, if it does.
    ///
    /// # Errors
    /// [`AisError`]: the fragment, or the packet that it completed, is refused.
    pub fn hear(
        &mut self,
        source: Source,
        fragment: AisFragment<'_>,
        at: Timestamp,
    ) -> Result<Option<Heard>, AisError> {
        let (own, channel) = (fragment.own, fragment.channel);
        let Some(bits) = self.assembler.add(source, fragment, at)? else { return Ok(None) };
        Ok(Some(Heard { own, channel, message: Message::decode(&bits)? }))
    }

    /// What gathers the parts: how many wait, and how many were given up.
    pub const fn assembler(&self) -> &Assembler {
        &self.assembler
    }
}
