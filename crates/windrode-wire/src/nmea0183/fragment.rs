//! The sentences that carry AIS: VDM from others, VDO of herself. What is packed in them is read by `ais`.
//!
//! ```text
//! !AIVDM,fragments,number,sequence,channel,payload,fill bits
//! ```
//!
//! Source: IEC 61162-1; told publicly in "AIVDM/AIVDO protocol decoding" (E. S. Raymond).

use super::fields::Fields;
use super::refusal::{Fault, Refusal};
use super::sentence::{Sentence, Talker};

/// One fragment of an AIS message, its payload still armoured.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct AisFragment<'a> {
    /// Who passes it on: AI, BS, AB…
    pub talker: Talker,
    /// VDO: she herself sent it.
    pub own: bool,
    /// How many fragments the message has, at least 1.
    pub count: u8,
    /// Which this is, from 1 to `count`.
    pub number: u8,
    /// What ties the fragments together, a digit; `None` for a message in one piece.
    pub sequence: Option<u8>,
    /// Radio channel, A or B (1 or 2 from some receivers), if told.
    pub channel: Option<u8>,
    /// Six bits to a character.
    pub payload: &'a str,
    /// Bits at its end that fill the last character, 0 to 5.
    pub fill: u8,
}

impl<'a> AisFragment<'a> {
    pub(super) fn read(sentence: &Sentence<'a>, kind: &'static str) -> Result<Self, Refusal> {
        let mut fields = Fields::of(sentence, kind, 6)?;
        let count = fields.count("fragments")?.unwrap_or(0);
        let number = fields.count("fragment number")?.unwrap_or(0);
        if !(1 <= number && number <= count && count <= 9) {
            return Err(fields.refuse("fragment number", Fault::OutOfRange));
        }
        let sequence = fields.count("sequence")?;
        let channel = fields.letter("channel")?;
        let payload = fields.text();
        let fill = fields.count("fill bits")?.unwrap_or(0);
        if 5 < fill {
            return Err(fields.refuse("fill bits", Fault::OutOfRange));
        }
        Ok(Self {
            talker: sentence.talker,
            own: kind == "VDO",
            count,
            number,
            sequence,
            channel,
            payload,
            fill,
        })
    }
}
