//! The frame of GRIB edition 2: messages, sections, octets. No meaning.
//!
//! A file is messages one after the other, perhaps with padding or a bulletin's heading between them. A message is
//! section 0 (16 octets: `GRIB`, discipline, edition, length of the whole), sections 1 to 7, each with its length and
//! number first, and `7777`. Sections 2 to 7, 3 to 7 or 4 to 7 may repeat: several fields in one message, each with
//! what was last said of the rest. Source: WMO-No. 306, Manual on Codes, volume I.2, FM 92 GRIB.

use super::GribError;

const MAGIC: &[u8] = b"GRIB";
const END: &[u8] = b"7777";
const SECTION_0_LEN: usize = 16;
const HEADER_LEN: usize = 5;

/// Octets of a section, counted from 1 as the manual counts them.
#[derive(Clone, Copy, Debug)]
pub(super) struct Octets<'a>(pub(super) &'a [u8]);

impl Octets<'_> {
    fn array<const N: usize>(self, octet: usize) -> Option<[u8; N]> {
        let start = octet.checked_sub(1)?;
        self.0.get(start..start.checked_add(N)?)?.try_into().ok()
    }
    pub(super) fn u8(self, octet: usize) -> Option<u8> {
        self.array(octet).map(u8::from_be_bytes)
    }
    pub(super) fn u16(self, octet: usize) -> Option<u16> {
        self.array(octet).map(u16::from_be_bytes)
    }
    pub(super) fn u32(self, octet: usize) -> Option<u32> {
        self.array(octet).map(u32::from_be_bytes)
    }
    /// Sign and magnitude, as the manual writes negative numbers.
    pub(super) fn i32(self, octet: usize) -> Option<i32> {
        let raw = self.u32(octet)?;
        let magnitude = i32::try_from(raw & 0x7fff_ffff).ok()?;
        Some(if raw & 0x8000_0000 == 0 { magnitude } else { -magnitude })
    }
    /// Sign and magnitude in one octet.
    pub(super) fn i8(self, octet: usize) -> Option<i8> {
        let raw = self.u8(octet)?;
        let magnitude = i8::try_from(raw & 0x7f).ok()?;
        Some(if raw & 0x80 == 0 { magnitude } else { -magnitude })
    }
}

/// One field: the sections that hold for it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Frame<'a> {
    /// Where its message begins in the file.
    pub(super) message_at: usize,
    pub(super) discipline: u8,
    /// Identification: centre, model run.
    pub(super) identification: Octets<'a>,
    /// Grid.
    pub(super) grid: Octets<'a>,
    /// Product: parameter, level, time.
    pub(super) product: Octets<'a>,
    /// How the values are packed.
    pub(super) packing: Octets<'a>,
    /// Which points have values.
    pub(super) bitmap: Octets<'a>,
    /// The values.
    pub(super) data: Octets<'a>,
}

/// Every field of a file, in its order.
pub(super) fn fields(bytes: &[u8]) -> Result<Vec<Frame<'_>>, GribError> {
    let mut fields = Vec::new();
    let mut at = 0;
    while let Some(start) = next_message(bytes, at)? {
        let message = message(bytes, start)?;
        read_message(message, start, &mut fields)?;
        at = start + message.len();
    }
    if at == 0 { Err(GribError::NotGrib) } else { Ok(fields) }
}

/// Where the next message begins; only blanks may follow the last.
fn next_message(bytes: &[u8], at: usize) -> Result<Option<usize>, GribError> {
    let rest = bytes.get(at..).unwrap_or_default();
    if let Some(found) = rest.windows(MAGIC.len()).position(|window| window == MAGIC) {
        return Ok(Some(at + found));
    }
    let blank = rest.iter().all(|&byte| byte == 0 || byte.is_ascii_whitespace());
    if at == 0 || blank { Ok(None) } else { Err(GribError::Trailing { at, bytes: rest.len() }) }
}

fn message(bytes: &[u8], start: usize) -> Result<&[u8], GribError> {
    let rest = bytes.get(start..).unwrap_or_default();
    let cut_off = |needed: u64| GribError::CutOff { at: start, needed, found: rest.len() };
    let head: &[u8; SECTION_0_LEN] = rest.first_chunk().ok_or_else(|| cut_off(SECTION_0_LEN as u64))?;
    let [.., edition, _, _, _, _, _, _, _, _] = *head;
    if edition != 2 {
        return Err(GribError::Edition { at: start, edition });
    }
    let [_, _, _, _, _, _, _, _, length @ ..] = *head;
    let length = u64::from_be_bytes(length);
    let end = usize::try_from(length).ok().filter(|&end| end <= rest.len()).ok_or_else(|| cut_off(length))?;
    let message = rest.get(..end).unwrap_or_default();
    if end < SECTION_0_LEN + END.len() || !message.ends_with(END) {
        return Err(GribError::NoEnd { at: start });
    }
    Ok(message)
}

/// What has been said so far in a message.
#[derive(Default)]
struct Said<'a> {
    identification: Option<Octets<'a>>,
    grid: Option<Octets<'a>>,
    product: Option<Octets<'a>>,
    packing: Option<Octets<'a>>,
    bitmap: Option<Octets<'a>>,
    /// The last bitmap that was given in full, for the fields that refer back to it.
    full_bitmap: Option<Octets<'a>>,
}

fn read_message<'a>(
    message: &'a [u8],
    message_at: usize,
    fields: &mut Vec<Frame<'a>>,
) -> Result<(), GribError> {
    let discipline = message.get(6).copied().unwrap_or_default();
    let mut rest = message.get(SECTION_0_LEN..message.len() - END.len()).unwrap_or_default();
    let mut said = Said::default();
    while !rest.is_empty() {
        let broken = || GribError::Section { at: message_at, octet: message.len() - END.len() - rest.len() };
        let length = Octets(rest).u32(1).and_then(|length| usize::try_from(length).ok());
        let length = length.filter(|&length| HEADER_LEN <= length && length <= rest.len());
        let (section, after) = length.and_then(|length| rest.split_at_checked(length)).ok_or_else(broken)?;
        let section = Octets(section);
        match section.u8(5) {
            Some(1) => said.identification = Some(section),
            Some(2) => {}
            Some(3) => said.grid = Some(section),
            Some(4) => said.product = Some(section),
            Some(5) => said.packing = Some(section),
            Some(6) => said.bitmap = Some(said.bitmap_meant(section).ok_or_else(broken)?),
            Some(7) => fields.push(said.field(section, discipline, message_at).ok_or_else(broken)?),
            _ => return Err(broken()),
        }
        rest = after;
    }
    Ok(())
}

impl<'a> Said<'a> {
    /// The bitmap that a section 6 means: itself, or the one given before it in the message (indicator 254).
    fn bitmap_meant(&mut self, section: Octets<'a>) -> Option<Octets<'a>> {
        match section.u8(6)? {
            0 => {
                self.full_bitmap = Some(section);
                Some(section)
            }
            254 => self.full_bitmap,
            _ => Some(section),
        }
    }

    /// A field ends with its data; product, packing and bitmap must be said anew for the next.
    fn field(&mut self, data: Octets<'a>, discipline: u8, message_at: usize) -> Option<Frame<'a>> {
        Some(Frame {
            message_at,
            discipline,
            identification: self.identification?,
            grid: self.grid?,
            product: self.product.take()?,
            packing: self.packing.take()?,
            bitmap: self.bitmap.take()?,
            data,
        })
    }
}
