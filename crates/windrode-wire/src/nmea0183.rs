//! What instruments say on a wire of text, one line a sentence: NMEA 0183 (IEC 61162-1).
//!
//! Two levels. The frame (`lines`, `tag_block`, `sentence`) knows starts, checksums and fields and fails like
//! a noisy wire. The meaning (one module a family of reports) knows what a field is and fails like a sensor
//! that is set up wrongly. Any talker is heard. Every field that the standard lets be empty is an `Option`,
//! letters of validity are kept, numbers become quantities of the domain. A sentence that is not read here is
//! kept as [`Report::Unlisted`].
//!
//! ```text
//! bytes → Lines → line → read → Heard { tag, talker, checksum, report }   or   Refusal, with a Cause to count
//! ```
//!
//! No sequence of bytes panics, loops or grows: a line is bounded, nothing is allocated for it but the line
//! itself.

pub mod clock;
pub mod depth;
pub mod encode;
pub mod fields;
pub mod fragment;
pub mod heading;
pub mod lines;
pub mod machinery;
pub mod motion;
pub mod position;
pub mod refusal;
pub mod satellites;
pub mod sentence;
pub mod tag_block;
pub mod wind;

use jiff::Timestamp;

use clock::Zda;
use depth::{Dpt, Sounding};
use fragment::AisFragment;
use heading::{Hdg, Hdm, Hdt, Ths};
use machinery::{Mtw, Rpm, Xdr};
use motion::{Rot, Vhw, Vtg};
use position::{Gga, Gll, Gns, Gst, Rmc};
use refusal::Refusal;
use satellites::{Gsa, Gsv};
use sentence::{Checksum, Sentence, Talker};
use tag_block::Tag;
use wind::{BowWind, Mwd, Mwv};

/// What one line said.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Heard<'a> {
    /// What a logger or network said about it.
    pub tag: Tag<'a>,
    /// Who speaks; `None` for a TAG block alone.
    pub talker: Option<Talker>,
    /// Whether a checksum vouches for it.
    pub checksum: Checksum,
    /// What it says.
    pub report: Report<'a>,
}

/// What a sentence says, by its three letters.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Report<'a> {
    /// Fix with its quality.
    Gga(Gga),
    /// Fix, way, date.
    Rmc(Rmc),
    /// Position alone.
    Gll(Gll),
    /// Fix by several systems.
    Gns(Gns),
    /// Errors of the fix.
    Gst(Gst),
    /// Satellites used.
    Gsa(Gsa),
    /// Satellites in view.
    Gsv(Gsv),
    /// Time and date.
    Zda(Zda),
    /// Way over the ground.
    Vtg(Vtg),
    /// Heading and way through the water.
    Vhw(Vhw),
    /// Rate of turn.
    Rot(Rot),
    /// True heading.
    Hdt(Hdt),
    /// True heading with its mode.
    Ths(Ths),
    /// Magnetic heading.
    Hdm(Hdm),
    /// Heading by the compass.
    Hdg(Hdg),
    /// Depth with the transducer's place.
    Dpt(Dpt),
    /// Depth below the transducer.
    Dbt(Sounding),
    /// Depth below the surface.
    Dbs(Sounding),
    /// Depth below the keel.
    Dbk(Sounding),
    /// Wind from the bow.
    Mwv(Mwv),
    /// Wind over the ground.
    Mwd(Mwd),
    /// Wind as felt, to port or starboard.
    Vwr(BowWind),
    /// True wind, to port or starboard.
    Vwt(BowWind),
    /// Temperature of the water.
    Mtw(Mtw),
    /// Revolutions.
    Rpm(Rpm),
    /// Measurements of any kind.
    Xdr(Xdr<'a>),
    /// A fragment of an AIS message.
    Ais(AisFragment<'a>),
    /// When a logger received the sentences that follow: `PGHP`.
    Logged(Timestamp),
    /// A TAG block with nothing behind it.
    TagAlone,
    /// A sentence whose meaning is not read here.
    Unlisted(Unlisted<'a>),
}

/// A sentence whose meaning is not read here.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Unlisted<'a> {
    /// Who speaks.
    pub talker: Talker,
    /// Three letters, or all that follows P in a maker's own.
    pub kind: &'a str,
}

/// Reads one line, without its ending.
///
/// # Errors
/// [`Refusal`] says what cannot be read, with the numbers; [`Refusal::cause`] is what to count.
pub fn read(line: &[u8]) -> Result<Heard<'_>, Refusal> {
    let text = printable(line)?;
    let (mut tag, rest) = tag_block::part(text)?;
    if rest.is_empty() && !text.is_empty() {
        return Ok(Heard { tag, talker: None, checksum: Checksum::Fits, report: Report::TagAlone });
    }
    let sentence = Sentence::read(rest)?;
    tag.time = tag.time.or_else(|| sentence.mark.and_then(tag_block::time));
    let report = if sentence.packed { packed(&sentence)? } else { plain(&sentence)? };
    Ok(Heard { tag, talker: Some(sentence.talker), checksum: sentence.checksum, report })
}

/// The line as text, if every byte of it is a printable character of ASCII.
fn printable(line: &[u8]) -> Result<&str, Refusal> {
    if lines::LINE_BYTES_MAX < line.len() {
        return Err(Refusal::TooLong { limit: lines::LINE_BYTES_MAX });
    }
    let sound = line.iter().fold(true, |sound, byte| sound & (0x20..=0x7E).contains(byte));
    if let (true, Ok(text)) = (sound, core::str::from_utf8(line)) {
        return Ok(text);
    }
    let (column, byte) = (1..).zip(line).find(|&(_, byte)| !(0x20..=0x7E).contains(byte)).unwrap_or((0, &0));
    let byte = *byte;
    Err(if byte.is_ascii() { Refusal::Control { byte, column } } else { Refusal::NotAscii { byte, column } })
}

fn packed<'a>(sentence: &Sentence<'a>) -> Result<Report<'a>, Refusal> {
    match sentence.kind {
        "VDM" => AisFragment::read(sentence, "VDM").map(Report::Ais),
        "VDO" => AisFragment::read(sentence, "VDO").map(Report::Ais),
        kind => Ok(Report::Unlisted(Unlisted { talker: sentence.talker, kind })),
    }
}

fn plain<'a>(sentence: &Sentence<'a>) -> Result<Report<'a>, Refusal> {
    Ok(match sentence.kind {
        "GGA" => Report::Gga(Gga::read(sentence)?),
        "RMC" => Report::Rmc(Rmc::read(sentence)?),
        "GLL" => Report::Gll(Gll::read(sentence)?),
        "GNS" => Report::Gns(Gns::read(sentence)?),
        "GST" => Report::Gst(Gst::read(sentence)?),
        "GSA" => Report::Gsa(Gsa::read(sentence)?),
        "GSV" => Report::Gsv(Gsv::read(sentence)?),
        "ZDA" => Report::Zda(Zda::read(sentence)?),
        "VTG" => Report::Vtg(Vtg::read(sentence)?),
        "VHW" => Report::Vhw(Vhw::read(sentence)?),
        "ROT" => Report::Rot(Rot::read(sentence)?),
        "HDT" => Report::Hdt(Hdt::read(sentence)?),
        "THS" => Report::Ths(Ths::read(sentence)?),
        "HDM" => Report::Hdm(Hdm::read(sentence)?),
        "HDG" => Report::Hdg(Hdg::read(sentence)?),
        "DPT" => Report::Dpt(Dpt::read(sentence)?),
        "DBT" => Report::Dbt(Sounding::read(sentence, "DBT")?),
        "DBS" => Report::Dbs(Sounding::read(sentence, "DBS")?),
        "DBK" => Report::Dbk(Sounding::read(sentence, "DBK")?),
        "MWV" => Report::Mwv(Mwv::read(sentence)?),
        "MWD" => Report::Mwd(Mwd::read(sentence)?),
        "VWR" => Report::Vwr(BowWind::read(sentence, "VWR")?),
        "VWT" => Report::Vwt(BowWind::read(sentence, "VWT")?),
        "MTW" => Report::Mtw(Mtw::read(sentence)?),
        "RPM" => Report::Rpm(Rpm::read(sentence)?),
        "XDR" => Report::Xdr(Xdr::read(sentence)?),
        "GHP" if sentence.talker == Talker::PROPRIETARY => Report::Logged(clock::logger_stamp(sentence)?),
        kind => Report::Unlisted(Unlisted { talker: sentence.talker, kind }),
    })
}
