//! Tide and current stations, packed in one run of bytes.
//!
//! Thousands of stations are carried, one or two are asked for. So the bytes begin with short tables of words and an
//! index of fixed records sorted by identity; a record says where the station lies and where its constants stand,
//! and these are read only when wanted. Opening costs the tables and one look at each length; finding an identity a
//! dozen comparisons; scanning names and positions one pass over the index.
//!
//! ```text
//! "WRDSTN01"                                             all numbers little-endian
//! u16 n, n × (u8 length, text)                           constituents; likewise time zones; likewise datums
//! u16 n, n × (u8 length, text, u16 length, text)         licence and attribution of each source
//! u32 stations, u32 bytes of heap, u32 bytes of bodies
//! stations × record                                      sorted by identity
//! heap                                                   identity and name of each, together
//! bodies
//!
//! record (26 bytes)   u32 place in heap, u8 length of identity, u8 length of name, u8 kind, u8 source,
//!                     u16 zone, u16 datum, i32 latitude, i32 longitude (1e-5 °), u32 place in bodies, u16 length
//! 0 tide, harmonic    i32 mean above datum (0.1 mm), u16 rms of what was left out (mm), u16 first, u16 last year,
//!                     waves in 0.1 mm
//! 1 tide, subordinate u16 reference, i16 high, i16 low (min), u8 added or multiplied, i32 high, i32 low (1e-4)
//! 2 stream, harmonic  u16 flood, u16 ebb (0.1 °, 65535 unsaid), i16 mean (0.001 kn), waves in 0.001 kn
//! 3 stream, subordinate  u16 reference, i16 slack before flood, flood, slack before ebb, ebb (min),
//!                     u16 flood ratio, u16 ebb ratio (0.001), u16 flood, u16 ebb (0.1 °)
//! waves               u8 n, n × (u8 constituent, LEB128 amplitude, u16 phase (0.01 °))
//! ```
//!
//! Rounding: an amplitude to 0.05 mm, a phase to 0.005°; for a tide of 5 m together under 1 mm. Nothing here trusts
//! the bytes: every length is checked, and no bytes make it panic or read without end.

use jiff::SignedDuration;
use windrode_domain::environment::current::{
    AxisStream, Stream, StreamDifferences, StreamError, SubordinateStream,
};
use windrode_domain::environment::tide::constituents::Constituent;
use windrode_domain::environment::tide::harmonic::{Constant, Convention, Curve};
use windrode_domain::environment::tide::subordinate::{HeightOffset, Offset, Subordinate};
use windrode_domain::environment::tide::{CurveError, Harmonic, Tide};
use windrode_domain::position::{Position, PositionError};
use windrode_domain::units::{Bearing, KNOT_M_S, Length};

const MAGIC: &[u8] = b"WRDSTN01";
const RECORD: usize = 26;
const UNSAID: u16 = u16::MAX;

/// Every station in a run of bytes.
#[derive(Clone, Debug)]
pub struct Stations<'a> {
    constituents: Vec<&'a str>,
    zones: Vec<&'a str>,
    datums: Vec<&'a str>,
    sources: Vec<Source<'a>>,
    index: &'a [u8],
    heap: &'a [u8],
    bodies: &'a [u8],
}

/// Where constants come from, and under what licence.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Source<'a> {
    /// The licence, in a word or two.
    pub licence: &'a str,
    /// Whom to name wherever the station is used.
    pub attribution: &'a str,
}

/// What a station tells, and how it is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Heights, from harmonic constants.
    TideHarmonic,
    /// Heights, from differences on a reference.
    TideSubordinate,
    /// Stream, from harmonic constants.
    StreamHarmonic,
    /// Stream, from differences on a reference.
    StreamSubordinate,
}

/// A station's line in the index.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Entry<'a> {
    /// Its identity, source first: `noaa/9411340`.
    pub id: &'a str,
    /// Its name.
    pub name: &'a str,
    /// Where it lies.
    pub position: Position,
    /// What it tells.
    pub kind: Kind,
    /// IANA name of its time zone.
    pub zone: &'a str,
    /// What its heights are reckoned from; empty for a stream.
    pub datum: &'a str,
    /// Where its constants come from.
    pub source: Source<'a>,
    body: &'a [u8],
}

/// What a station tells, ready to predict.
#[derive(Clone, Debug, PartialEq)]
pub enum Water {
    /// Heights.
    Tide(Tide),
    /// A stream.
    Stream(Stream),
}

/// What is known of a station's constants beside themselves.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pedigree {
    /// Identity of the reference, for a subordinate station.
    pub reference: Option<usize>,
    /// First and last calendar year of the record, if it is said.
    pub years: Option<(u16, u16)>,
    /// Root mean square of constituents left out, because no one reading of them is sure.
    pub left_out: Length,
}

/// Bytes that hold no stations, or a station that cannot be.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum StationsError {
    /// The first bytes are not the ones they should be.
    #[error("the bytes do not begin as packed stations do")]
    NotStations,
    /// The bytes end before what they announce.
    #[error("the bytes end within {within}")]
    CutShort {
        /// What they end within.
        within: &'static str,
    },
    /// A text is not UTF-8.
    #[error("a text in {within} is not UTF-8")]
    NotText {
        /// Where.
        within: &'static str,
    },
    /// A number names nothing.
    #[error("{what} {number} is not in its table")]
    Unlisted {
        /// What it should name.
        what: &'static str,
        /// The number.
        number: usize,
    },
    /// A position that cannot be.
    #[error(transparent)]
    Position(#[from] PositionError),
    /// A constituent that cannot be predicted.
    #[error("constituent number {number} is not one that can be predicted")]
    Constituent {
        /// Its place in the table.
        number: usize,
    },
    /// Constants that cannot be.
    #[error(transparent)]
    Curve(#[from] CurveError),
    /// A stream that cannot be.
    #[error(transparent)]
    Stream(#[from] StreamError),
    /// A subordinate station whose reference is no harmonic station of its kind.
    #[error("the reference is not a harmonic station of the same kind")]
    Reference,
    /// Bytes are left over after a station's constants.
    #[error("{bytes} bytes are left over after the constants")]
    LeftOver {
        /// How many.
        bytes: usize,
    },
}

/// A place in a run of bytes.
struct Cursor<'a> {
    rest: &'a [u8],
    within: &'static str,
}

impl<'a> Cursor<'a> {
    const fn new(rest: &'a [u8], within: &'static str) -> Self {
        Self { rest, within }
    }
    fn take(&mut self, length: usize) -> Result<&'a [u8], StationsError> {
        let (taken, rest) =
            self.rest.split_at_checked(length).ok_or(StationsError::CutShort { within: self.within })?;
        self.rest = rest;
        Ok(taken)
    }
    fn array<const N: usize>(&mut self) -> Result<[u8; N], StationsError> {
        let (taken, rest) =
            self.rest.split_first_chunk().ok_or(StationsError::CutShort { within: self.within })?;
        self.rest = rest;
        Ok(*taken)
    }
    fn u8(&mut self) -> Result<u8, StationsError> {
        Ok(u8::from_le_bytes(self.array()?))
    }
    fn u16(&mut self) -> Result<u16, StationsError> {
        Ok(u16::from_le_bytes(self.array()?))
    }
    fn i16(&mut self) -> Result<i16, StationsError> {
        Ok(i16::from_le_bytes(self.array()?))
    }
    fn u32(&mut self) -> Result<u32, StationsError> {
        Ok(u32::from_le_bytes(self.array()?))
    }
    fn i32(&mut self) -> Result<i32, StationsError> {
        Ok(i32::from_le_bytes(self.array()?))
    }
    fn length(&mut self) -> Result<usize, StationsError> {
        usize::try_from(self.u32()?).map_err(|_| StationsError::CutShort { within: self.within })
    }
    fn text(&mut self, length: usize) -> Result<&'a str, StationsError> {
        let within = self.within;
        core::str::from_utf8(self.take(length)?).map_err(|_| StationsError::NotText { within })
    }
    /// LEB128 of at most four bytes: 28 bits, far beyond any amplitude.
    fn varint(&mut self) -> Result<u32, StationsError> {
        let mut value = 0;
        for shift in [0, 7, 14, 21] {
            let byte = self.u8()?;
            value |= u32::from(byte & 0x7f) << shift;
            if byte & 0x80 == 0 {
                return Ok(value);
            }
        }
        Err(StationsError::CutShort { within: self.within })
    }
    fn minutes(&mut self) -> Result<SignedDuration, StationsError> {
        Ok(SignedDuration::from_mins(i64::from(self.i16()?)))
    }
    fn direction(&mut self) -> Result<Option<Bearing>, StationsError> {
        let tenths = self.u16()?;
        Ok((tenths != UNSAID).then(|| Bearing::degrees(f64::from(tenths) / 10.0)))
    }
    fn finished(&self) -> Result<(), StationsError> {
        if self.rest.is_empty() { Ok(()) } else { Err(StationsError::LeftOver { bytes: self.rest.len() }) }
    }
}

fn words<'a>(cursor: &mut Cursor<'a>) -> Result<Vec<&'a str>, StationsError> {
    let count = cursor.u16()?;
    (0..count)
        .map(|_| {
            let length = cursor.u8()?;
            cursor.text(usize::from(length))
        })
        .collect()
}

fn sources<'a>(cursor: &mut Cursor<'a>) -> Result<Vec<Source<'a>>, StationsError> {
    let count = cursor.u16()?;
    (0..count)
        .map(|_| {
            let length = cursor.u8()?;
            let licence = cursor.text(usize::from(length))?;
            let length = cursor.u16()?;
            Ok(Source { licence, attribution: cursor.text(usize::from(length))? })
        })
        .collect()
}

fn listed<T: Copy>(table: &[T], what: &'static str, number: usize) -> Result<T, StationsError> {
    table.get(number).copied().ok_or(StationsError::Unlisted { what, number })
}

impl<'a> Stations<'a> {
    /// Reads the tables; the stations themselves are read when they are asked for.
    ///
    /// # Errors
    /// [`StationsError`] if the bytes do not hold what they announce.
    pub fn read(bytes: &'a [u8]) -> Result<Self, StationsError> {
        let rest = bytes.strip_prefix(MAGIC).ok_or(StationsError::NotStations)?;
        let mut cursor = Cursor::new(rest, "the tables");
        let (constituents, zones, datums) = (words(&mut cursor)?, words(&mut cursor)?, words(&mut cursor)?);
        let sources = sources(&mut cursor)?;
        let (count, heap, bodies) = (cursor.length()?, cursor.length()?, cursor.length()?);
        cursor.within = "the index";
        let index =
            cursor.take(count.checked_mul(RECORD).ok_or(StationsError::CutShort { within: "the index" })?)?;
        let (heap, bodies) = (cursor.take(heap)?, cursor.take(bodies)?);
        cursor.finished()?;
        Ok(Self { constituents, zones, datums, sources, index, heap, bodies })
    }

    /// How many there are.
    pub const fn len(&self) -> usize {
        self.index.len() / RECORD
    }
    /// Whether there is none.
    pub const fn is_empty(&self) -> bool {
        self.index.is_empty()
    }

    /// The station at a place in the index.
    ///
    /// # Errors
    /// [`StationsError`] if there is none, or its record cannot be.
    pub fn get(&self, number: usize) -> Result<Entry<'a>, StationsError> {
        let at = number.saturating_mul(RECORD);
        let record = self.index.get(at..).ok_or(StationsError::Unlisted { what: "station", number })?;
        self.entry(&mut Cursor::new(record, "the index"))
    }

    /// Every station, in order of identity; what cannot be read is an error in its place.
    pub fn iter(&self) -> impl Iterator<Item = Result<Entry<'a>, StationsError>> + '_ {
        (0..self.len()).map(|number| self.get(number))
    }

    /// The station of an identity, if there is one.
    ///
    /// # Errors
    /// [`StationsError`] if a record on the way cannot be.
    pub fn find(&self, id: &str) -> Result<Option<Entry<'a>>, StationsError> {
        let (mut low, mut high) = (0, self.len());
        while low < high {
            let middle = low + (high - low) / 2;
            let entry = self.get(middle)?;
            match entry.id.as_bytes().cmp(id.as_bytes()) {
                core::cmp::Ordering::Equal => return Ok(Some(entry)),
                core::cmp::Ordering::Less => low = middle + 1,
                core::cmp::Ordering::Greater => high = middle,
            }
        }
        Ok(None)
    }

    fn entry(&self, cursor: &mut Cursor<'a>) -> Result<Entry<'a>, StationsError> {
        let (heap_at, id_length, name_length) = (cursor.length()?, cursor.u8()?, cursor.u8()?);
        let kind = match cursor.u8()? {
            0 => Kind::TideHarmonic,
            1 => Kind::TideSubordinate,
            2 => Kind::StreamHarmonic,
            3 => Kind::StreamSubordinate,
            other => return Err(StationsError::Unlisted { what: "kind", number: usize::from(other) }),
        };
        let source = listed(&self.sources, "source", usize::from(cursor.u8()?))?;
        let zone = listed(&self.zones, "zone", usize::from(cursor.u16()?))?;
        let datum = listed(&self.datums, "datum", usize::from(cursor.u16()?))?;
        let (latitude, longitude) = (cursor.i32()?, cursor.i32()?);
        let position = Position::new(f64::from(latitude) / 1e5, f64::from(longitude) / 1e5)?;
        let (body_at, body_length) = (cursor.length()?, usize::from(cursor.u16()?));
        let cut = StationsError::CutShort { within: "the heap" };
        let mut heap = Cursor::new(self.heap.get(heap_at..).ok_or(cut)?, "the heap");
        let (id, name) = (heap.text(usize::from(id_length))?, heap.text(usize::from(name_length))?);
        let cut = StationsError::CutShort { within: "the bodies" };
        let body = Cursor::new(self.bodies.get(body_at..).ok_or(cut)?, "the bodies").take(body_length)?;
        Ok(Entry { id, name, position, kind, zone, datum, source, body })
    }

    /// What a station tells, under a convention for its node factors.
    ///
    /// # Errors
    /// [`StationsError`] if its constants cannot be.
    pub fn water(&self, entry: &Entry<'a>, convention: Convention) -> Result<Water, StationsError> {
        Ok(match entry.kind {
            Kind::TideHarmonic => Water::Tide(Tide::Harmonic(self.harmonic(entry, convention)?)),
            Kind::TideSubordinate => Water::Tide(Tide::Subordinate(self.subordinate(entry, convention)?)),
            Kind::StreamHarmonic => Water::Stream(Stream::Axis(self.axis(entry, convention)?)),
            Kind::StreamSubordinate => {
                Water::Stream(Stream::Subordinate(self.subordinate_stream(entry, convention)?))
            }
        })
    }

    /// What else is known of a station's constants.
    ///
    /// # Errors
    /// [`StationsError`] if its bytes are cut short.
    pub fn pedigree(&self, entry: &Entry<'a>) -> Result<Pedigree, StationsError> {
        let mut cursor = Cursor::new(entry.body, "a station");
        let mut pedigree = Pedigree { reference: None, years: None, left_out: Length::ZERO };
        match entry.kind {
            Kind::TideHarmonic => {
                cursor.i32()?;
                pedigree.left_out = Length::metres(f64::from(cursor.u16()?) / 1e3);
                let years = (cursor.u16()?, cursor.u16()?);
                pedigree.years = (years.0 != 0).then_some(years);
            }
            Kind::TideSubordinate | Kind::StreamSubordinate => {
                pedigree.reference = Some(usize::from(cursor.u16()?));
            }
            Kind::StreamHarmonic => {}
        }
        Ok(pedigree)
    }

    fn harmonic(&self, entry: &Entry<'a>, convention: Convention) -> Result<Harmonic, StationsError> {
        let mut cursor = Cursor::new(entry.body, "a station");
        let mean_m = f64::from(cursor.i32()?) / 1e4;
        cursor.take(6)?;
        let constants = self.waves(&mut cursor, 1e-4)?;
        Ok(Harmonic { curve: Curve::new(mean_m, constants, convention)?, datum: entry.datum.to_owned() })
    }

    fn subordinate(&self, entry: &Entry<'a>, convention: Convention) -> Result<Subordinate, StationsError> {
        let mut cursor = Cursor::new(entry.body, "a station");
        let reference = self.reference(&mut cursor, Kind::TideHarmonic)?;
        let (high, low) = (cursor.minutes()?, cursor.minutes()?);
        let multiplied = match cursor.u8()? {
            0 => false,
            1 => true,
            other => {
                return Err(StationsError::Unlisted { what: "way of heights", number: usize::from(other) });
            }
        };
        let mut height = || -> Result<HeightOffset, StationsError> {
            let value = f64::from(cursor.i32()?) / 1e4;
            Ok(if multiplied { HeightOffset::Times(value) } else { HeightOffset::Add(Length::metres(value)) })
        };
        let (high_by, low_by) = (height()?, height()?);
        cursor.finished()?;
        Ok(Subordinate {
            reference: self.harmonic(&reference, convention)?,
            high: Offset { later: high, height: high_by },
            low: Offset { later: low, height: low_by },
            datum: entry.datum.to_owned(),
        })
    }

    fn axis(&self, entry: &Entry<'a>, convention: Convention) -> Result<AxisStream, StationsError> {
        let mut cursor = Cursor::new(entry.body, "a station");
        let (flood, ebb) = (cursor.direction()?, cursor.direction()?);
        let mean_m_s = f64::from(cursor.i16()?) * 1e-3 * KNOT_M_S;
        let constants = self.waves(&mut cursor, 1e-3 * KNOT_M_S)?;
        Ok(AxisStream { curve: Curve::new(mean_m_s, constants, convention)?, flood, ebb })
    }

    fn subordinate_stream(
        &self,
        entry: &Entry<'a>,
        convention: Convention,
    ) -> Result<SubordinateStream, StationsError> {
        let mut cursor = Cursor::new(entry.body, "a station");
        let reference = self.reference(&mut cursor, Kind::StreamHarmonic)?;
        let differences = StreamDifferences {
            slack_before_flood: cursor.minutes()?,
            flood: cursor.minutes()?,
            slack_before_ebb: cursor.minutes()?,
            ebb: cursor.minutes()?,
            flood_ratio: f64::from(cursor.u16()?) / 1e3,
            ebb_ratio: f64::from(cursor.u16()?) / 1e3,
        };
        let directions = [cursor.direction()?, cursor.direction()?];
        cursor.finished()?;
        Ok(SubordinateStream::new(self.axis(&reference, convention)?, differences, directions)?)
    }

    fn reference(&self, cursor: &mut Cursor<'a>, kind: Kind) -> Result<Entry<'a>, StationsError> {
        let reference = self.get(usize::from(cursor.u16()?))?;
        if reference.kind == kind { Ok(reference) } else { Err(StationsError::Reference) }
    }

    fn waves(&self, cursor: &mut Cursor<'a>, unit: f64) -> Result<Vec<Constant>, StationsError> {
        let count = cursor.u8()?;
        let constants = (0..count).map(|_| {
            let number = usize::from(cursor.u8()?);
            let name = listed(&self.constituents, "constituent", number)?;
            let constituent = Constituent::by_name(name).ok_or(StationsError::Constituent { number })?;
            let amplitude = f64::from(cursor.varint()?) * unit;
            Ok(Constant { constituent, amplitude, phase_deg: f64::from(cursor.u16()?) / 100.0 })
        });
        let constants = constants.collect::<Result<Vec<_>, StationsError>>()?;
        cursor.finished()?;
        Ok(constants)
    }
}
