//! The frame of a sentence: its start, its address, its fields, its checksum. Nothing here knows what a field
//! means.
//!
//! ```text
//! $GPGLL,5119.881,N,00125.169,E,164326,A,D*52
//! │└┬┘└┬┘ └───────────── fields ──────────┘ └┬┘
//! │ │  sentence                              checksum: exclusive or of all between $ and *
//! │ talker
//! start: $, or ! where the fields carry packed bits
//! ```
//!
//! The form is that of IEC 61162-1 (NMEA 0183); its fields are described publicly in "NMEA Revealed" (E. S.
//! Raymond). The limit of 82 characters is not held: receivers with more satellites than the standard foresaw
//! pass it. A sentence without checksum is allowed by the standard's early editions; it is read, and says so.
//!
//! Two things that no standard has stand in logs of receivers for AIS: two dashes for a talker that is not known, and
//! behind the checksum, after a comma, the second of 1970 at which the line was received. Both are read as that.

use super::refusal::Refusal;

/// Whether a checksum vouched for the digits.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Checksum {
    /// It stands there, and fits.
    Fits,
    /// There is none.
    Absent,
}

/// Who speaks: the two letters of a talker, or P for a maker's own sentence.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Talker(pub [u8; 2]);

impl Talker {
    /// A maker's own sentence.
    pub const PROPRIETARY: Self = Self(*b"P ");

    /// The letters.
    pub fn as_str(&self) -> &str {
        core::str::from_utf8(&self.0).unwrap_or("??").trim_end()
    }
}

/// A sentence whose frame is sound.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sentence<'a> {
    /// Its fields carry packed bits: it begins with `!`.
    pub packed: bool,
    /// Who speaks.
    pub talker: Talker,
    /// Which sentence: three letters, or all that follows P in a maker's own.
    pub kind: &'a str,
    /// Whether a checksum vouches for it.
    pub checksum: Checksum,
    /// What a logger wrote behind the checksum: digits.
    pub mark: Option<&'a str>,
    fields: Option<&'a str>,
}

impl<'a> Sentence<'a> {
    /// From a line that holds printable ASCII only and begins with `$` or `!`.
    ///
    /// # Errors
    /// [`Refusal`] names what is wrong with the frame.
    pub fn read(line: &'a str) -> Result<Self, Refusal> {
        let packed = match line.as_bytes().first() {
            Some(b'$') => false,
            Some(b'!') => true,
            _ => return Err(Refusal::NoStart),
        };
        let (line, mark) = marked(line);
        let (body, checksum) = summed(line.get(1..).unwrap_or(""))?;
        let (address, fields) = match body.bytes().position(|byte| byte == b',') {
            Some(comma) => (body.get(..comma).unwrap_or(""), body.get(comma + 1..)),
            None => (body, None),
        };
        let (talker, kind) = address_parts(address).ok_or(Refusal::Address)?;
        Ok(Self { packed, talker, kind, checksum, mark, fields })
    }

    /// All fields, with the commas between them; `None` if not even one begins.
    pub const fn fields(&self) -> Option<&'a str> {
        self.fields
    }

    /// How many fields there are, empty ones counted.
    pub fn field_count(&self) -> usize {
        self.fields.map_or(0, |fields| 1 + fields.bytes().filter(|&byte| byte == b',').count())
    }
}

/// The exclusive or of all bytes.
pub fn sum(bytes: &[u8]) -> u8 {
    bytes.iter().fold(0, |sum, byte| sum ^ byte)
}

/// A line without the mark behind its checksum, and the mark.
fn marked(line: &str) -> (&str, Option<&str>) {
    let behind = line.bytes().rposition(|byte| byte == b'*').and_then(|star| line.get(star + 1..));
    match behind.and_then(|behind| behind.split_once(',')) {
        Some((_, mark)) if !mark.is_empty() && mark.bytes().all(|byte| byte.is_ascii_digit()) => {
            (line.get(..line.len() - mark.len() - 1).unwrap_or(line), Some(mark))
        }
        _ => (line, None),
    }
}

/// What stands before the asterisk, once what stands behind it fits.
pub(super) fn summed(text: &str) -> Result<(&str, Checksum), Refusal> {
    let Some(star) = text.bytes().rposition(|byte| byte == b'*') else {
        return Ok((text, Checksum::Absent));
    };
    let (body, digits) = (text.get(..star).unwrap_or(""), text.get(star + 1..).unwrap_or(""));
    let read = hexadecimal(digits.trim_end_matches(' ')).ok_or(Refusal::ChecksumForm)?;
    let summed = sum(body.as_bytes());
    if read == summed { Ok((body, Checksum::Fits)) } else { Err(Refusal::Checksum { read, summed }) }
}

/// Two hexadecimal digits.
pub(super) fn hexadecimal(digits: &str) -> Option<u8> {
    let shaped = digits.len() == 2 && digits.bytes().all(|byte| byte.is_ascii_hexdigit());
    shaped.then(|| u8::from_str_radix(digits, 16).ok()).flatten()
}

fn address_parts(address: &str) -> Option<(Talker, &str)> {
    let sound = address.bytes().all(|byte| byte.is_ascii_uppercase() || byte.is_ascii_digit());
    match address.as_bytes() {
        [b'P', _, _, _, ..] if sound => Some((Talker::PROPRIETARY, address.get(1..)?)),
        [b'-', b'-', kind @ ..] if kind.len() == 3 && kind.iter().all(u8::is_ascii_uppercase) => {
            Some((Talker(*b"--"), address.get(2..)?))
        }
        [one, two, _, _, _] if sound => Some((Talker([*one, *two]), address.get(2..)?)),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // Source: the lines of the example stand so in a recorded log (authorities/nmea).
    #[test]
    fn a_line_is_taken_apart() {
        let sentence = Sentence::read("$ECGLL,5119.881,N,00125.169,E,164326,A,D*52").unwrap();
        assert_eq!(sentence.talker.as_str(), "EC");
        assert_eq!(sentence.kind, "GLL");
        assert_eq!(sentence.checksum, Checksum::Fits);
        assert_eq!(sentence.field_count(), 7);
    }

    #[test]
    fn a_line_that_does_not_sum_is_refused_with_both_numbers() {
        let refusal = Sentence::read("$ECGLL,5119.882,N,00125.169,E,164326,A,D*52").unwrap_err();
        assert_eq!(refusal, Refusal::Checksum { read: 0x52, summed: 0x51 });
        assert_eq!(refusal.to_string(), "checksum reads 52, the line sums to 51");
    }

    #[test]
    fn a_line_without_checksum_says_so() {
        assert_eq!(Sentence::read("$GPHDT,12.0,T").unwrap().checksum, Checksum::Absent);
        assert_eq!(Sentence::read("$GPHDT,12.0,T*1"), Err(Refusal::ChecksumForm));
        assert_eq!(Sentence::read("$GPHDT,12.0,T*+1"), Err(Refusal::ChecksumForm));
    }

    // Source: the lines of both kinds stand so in recorded logs of receivers for AIS.
    #[test]
    fn what_loggers_add_is_read_as_what_it_is() {
        let sentence = Sentence::read("$--GLL,1*5A").unwrap();
        assert_eq!((sentence.talker.as_str(), sentence.kind), ("--", "GLL"));
        let sentence = Sentence::read("$--GLL,1*5A,1276256770").unwrap();
        assert_eq!((sentence.mark, sentence.checksum), (Some("1276256770"), Checksum::Fits));
        assert_eq!(
            Sentence::read("$--GLL,1*4D,1276256770"),
            Err(Refusal::Checksum { read: 0x4D, summed: 0x5A })
        );
        assert_eq!(Sentence::read("$--GLL,1*5A,then"), Err(Refusal::ChecksumForm));
    }

    #[test]
    fn addresses_that_no_sentence_has_are_refused() {
        for line in ["$", "$,", "$GP,1", "$GPRMCX,1", "$gprmc,1", "$P,1", "$GP-MC,1"] {
            assert_eq!(Sentence::read(line), Err(Refusal::Address), "{line}");
        }
    }
}
