//! Records of ISO/IEC 8211: what stands where. No meaning.
//!
//! A file is records one after the other. Each has a *leader* of 24 characters (its length, where its field area
//! begins, how wide the three columns of its directory are), a *directory* (for each field its tag, length and place),
//! and the *field area*. The first record describes the fields of all others: for each tag a name, the labels of its
//! subfields and their formats; a label that begins with an asterisk begins a row that repeats to the end of the field.
//! Fields end with the field terminator 1E, texts within them with the unit terminator 1F; texts of lexical level 2 are
//! of two octets a character, least significant first, and so are the terminators of their field.
//!
//! Formats read: `A`, `I`, `R` (with a width in brackets or ended by the unit terminator), `B(n)` bit strings of whole
//! octets, `b11`, `b12`, `b14` unsigned and `b21`, `b22`, `b24` signed numbers, least significant octet first. Left
//! out, and refused: records that reuse the leader before them, floating binary, tags that are not of four characters.
//!
//! Source: IHO S-57 edition 3.1, part 3, clause 7 and annex A, which describe the use of ISO/IEC 8211:1994 in charts.

use core::fmt;

const LEADER_LEN: usize = 24;
/// Length of the controls before the name of a field in the first record.
const CONTROLS_LEN: usize = 9;
/// Ends a field and the directory.
pub const FIELD_END: u8 = 0x1e;
/// Ends a text within a field.
pub const UNIT_END: u8 = 0x1f;
/// Subfields that a field may have: the longest of a chart has as many.
const MOST_SUBFIELDS: usize = 16;
/// Fields that the first record may describe: a chart's file has some 25.
const MOST_DEFINITIONS: usize = 256;

/// A tag: four characters, such as `VRID`.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Tag(pub [u8; 4]);

impl fmt::Display for Tag {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.iter().try_for_each(|&byte| write!(f, "{}", byte.escape_ascii()))
    }
}

impl fmt::Debug for Tag {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{self}")
    }
}

/// Why the octets are no records.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Damage {
    /// Nothing there.
    #[error("the file is empty")]
    Empty,
    /// The beginning is no leader of a first record.
    #[error(
        "this is no ISO 8211 file: it does not begin with the leader of one (encrypted charts are not read)"
    )]
    NotIso8211,
    /// A leader that cannot be.
    #[error("the leader of the record at byte {at} is damaged")]
    Leader {
        /// Where the record begins.
        at: usize,
    },
    /// The record is longer than what is left.
    #[error("the file is cut off: the record at byte {at} needs {needed} bytes and {found} are there")]
    CutOff {
        /// Where the record begins.
        at: usize,
        /// How long it says it is.
        needed: usize,
        /// How much is there.
        found: usize,
    },
    /// A directory that is not whole entries, or does not end where the field area begins.
    #[error("the directory of the record at byte {at} is damaged")]
    Directory {
        /// Where the record begins.
        at: usize,
    },
    /// A field that reaches out of its record or does not end.
    #[error(
        "the field {tag} of the record at byte {at} does not lie within it, or does not end where it says"
    )]
    Field {
        /// Where the record begins.
        at: usize,
        /// Which.
        tag: Tag,
    },
    /// A description of a field that cannot be followed.
    #[error("the description of the field {tag} cannot be followed: {why}")]
    Definition {
        /// Which.
        tag: Tag,
        /// What is wrong with it.
        why: &'static str,
    },
    /// A field that the first record does not describe.
    #[error("the record at byte {at} has a field {tag} that the file does not describe")]
    Undescribed {
        /// Where the record begins.
        at: usize,
        /// Which.
        tag: Tag,
    },
    /// Subfields that do not fill the field.
    #[error("the field {tag} of the record at byte {at} does not hold what its description says")]
    Subfields {
        /// Where the record begins.
        at: usize,
        /// Which.
        tag: Tag,
    },
}

/// How a subfield is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Format {
    /// Characters: so many, or to the unit terminator. Digits are characters too.
    Text(Option<usize>),
    /// A number of one, two or four octets, least significant first.
    Whole {
        /// How many octets.
        octets: usize,
        /// Of two's complement.
        signed: bool,
    },
    /// So many octets without a meaning of their own.
    Bits(usize),
}

/// A label of at most four characters; none, where the field has none.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Label([u8; 4]);

impl Label {
    /// `None`: it is longer.
    const fn new(characters: &[u8]) -> Option<Self> {
        match *characters {
            [] => Some(Self([0; 4])),
            [a] => Some(Self([a, 0, 0, 0])),
            [a, b] => Some(Self([a, b, 0, 0])),
            [a, b, c] => Some(Self([a, b, c, 0])),
            [a, b, c, d] => Some(Self([a, b, c, d])),
            _ => None,
        }
    }
}

/// A subfield as the first record describes it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Subfield {
    /// Its label, such as `RCID`, without the asterisk.
    pub label: Label,
    /// How it is written.
    pub format: Format,
}

/// A field as the first record describes it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Definition {
    /// Its tag.
    pub tag: Tag,
    /// Its subfields, in order.
    pub subfields: Vec<Subfield>,
    /// The row of subfields repeats to the end of the field.
    pub repeats: bool,
}

/// The texts of a field: S-57 part 3, clause 2.4.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Level {
    /// ASCII.
    Ascii,
    /// ISO 8859, part 1.
    Latin1,
    /// Universal characters of two octets.
    Universal,
}

impl Level {
    /// From the code of subfields `AALL` and `NALL`.
    pub fn from_code(code: i64) -> Option<Self> {
        match code {
            0 => Some(Self::Ascii),
            1 => Some(Self::Latin1),
            2 => Some(Self::Universal),
            _ => None,
        }
    }

    /// The characters, as they are; what is no character of the level becomes U+FFFD, which no chart uses otherwise.
    pub fn text(self, octets: &[u8]) -> String {
        let mut text = String::new();
        self.text_onto(octets, &mut text);
        text
    }

    /// The same, added to a text.
    pub fn text_onto(self, octets: &[u8], onto: &mut String) {
        match self {
            Self::Universal => {
                let units = octets.chunks(2).map(|pair| match *pair {
                    [low, high] => u16::from_le_bytes([low, high]),
                    _ => 0xfffd,
                });
                let characters =
                    char::decode_utf16(units).map(|unit| unit.unwrap_or(char::REPLACEMENT_CHARACTER));
                onto.extend(characters.filter(|&character| character != '\u{feff}'));
            }
            // Producers write Latin letters in fields that they declare as ASCII; as Latin-1 they can be read.
            Self::Ascii | Self::Latin1 => match str::from_utf8(octets) {
                Ok(text) if octets.is_ascii() => onto.push_str(text),
                _ => onto.extend(octets.iter().map(|&octet| char::from(octet))),
            },
        }
    }
}

/// What a subfield holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Value<'a> {
    /// A binary number.
    Whole(i64),
    /// Characters, without their terminator.
    Text(&'a [u8]),
    /// Bits.
    Bits(&'a [u8]),
}

/// A file of records.
#[derive(Clone, Debug)]
pub struct File<'a> {
    bytes: &'a [u8],
    definitions: Vec<Definition>,
    first_at: usize,
}

/// One record: where its fields are.
#[derive(Clone, Copy, Debug)]
pub struct Record<'a> {
    /// Where it begins in the file.
    pub at: usize,
    directory: &'a [u8],
    area: &'a [u8],
    widths: Widths,
}

/// A field of a record.
#[derive(Clone, Copy, Debug)]
pub struct Field<'a, 'd> {
    /// How it is described.
    pub definition: &'d Definition,
    /// What stands in it, its terminator included.
    pub octets: &'a [u8],
    /// Where its record begins.
    pub record_at: usize,
}

/// Columns of a directory, in characters.
#[derive(Clone, Copy, Debug)]
struct Widths {
    length: usize,
    position: usize,
}

/// An entry of a directory.
struct Entry<'a> {
    tag: Tag,
    octets: &'a [u8],
}

impl<'a> File<'a> {
    /// Reads the first record; the others are read as they are asked for.
    ///
    /// # Errors
    /// [`Damage`] of the first record.
    pub fn open(bytes: &'a [u8]) -> Result<Self, Damage> {
        if bytes.is_empty() {
            return Err(Damage::Empty);
        }
        let is_first = bytes.get(6) == Some(&b'L') && bytes.iter().take(5).all(u8::is_ascii_digit);
        if !is_first {
            return Err(Damage::NotIso8211);
        }
        let (record, first_at) = record_at(bytes, 0)?;
        let mut definitions = Vec::new();
        for entry in record.entries() {
            let Entry { tag, octets } = entry?;
            // The field control field: which field stands below which. Charts state it elsewhere too.
            if tag.0 == *b"0000" {
                continue;
            }
            if definitions.len() == MOST_DEFINITIONS {
                return Err(Damage::Definition { tag, why: "there are too many" });
            }
            definitions.push(definition(tag, octets).map_err(|why| Damage::Definition { tag, why })?);
        }
        Ok(Self { bytes, definitions, first_at })
    }

    /// How the fields are described.
    pub fn definitions(&self) -> &[Definition] {
        &self.definitions
    }

    /// The records after the first. It ends behind the first that is damaged.
    pub fn records(&self) -> impl Iterator<Item = Result<Record<'a>, Damage>> + use<'a> {
        let bytes = self.bytes;
        let mut at = self.first_at;
        core::iter::from_fn(move || {
            if bytes.len() <= at {
                return None;
            }
            let read = record_at(bytes, at);
            // A record has at least its leader: the place always moves on.
            at = read.as_ref().map_or(bytes.len(), |(_, end)| *end);
            Some(read.map(|(record, _)| record))
        })
    }

    /// The fields of a record, in its order.
    pub fn fields<'d>(
        &'d self,
        record: Record<'a>,
    ) -> impl Iterator<Item = Result<Field<'a, 'd>, Damage>> + use<'a, 'd> {
        record.entries().map(move |entry| {
            let Entry { tag, octets } = entry?;
            let definition = self.definitions.iter().find(|definition| definition.tag == tag);
            let definition = definition.ok_or(Damage::Undescribed { at: record.at, tag })?;
            Ok(Field { definition, octets, record_at: record.at })
        })
    }
}

impl<'a> Record<'a> {
    fn entries(self) -> impl Iterator<Item = Result<Entry<'a>, Damage>> + use<'a> {
        let Widths { length: length_len, position: position_len } = self.widths;
        self.directory.chunks_exact(4 + length_len + position_len).map(move |entry| {
            let damaged = Damage::Directory { at: self.at };
            let (tag, rest) = entry.split_first_chunk::<4>().ok_or(damaged)?;
            let (length, position) = rest.split_at_checked(length_len).ok_or(damaged)?;
            let (length, position) = (digits(length).ok_or(damaged)?, digits(position).ok_or(damaged)?);
            let tag = Tag(*tag);
            let field = position.checked_add(length).and_then(|end| self.area.get(position..end));
            let octets = field.filter(|octets| ends(octets)).ok_or(Damage::Field { at: self.at, tag })?;
            Ok(Entry { tag, octets })
        })
    }
}

/// A field ends with its terminator, which in lexical level 2 is of two octets.
fn ends(octets: &[u8]) -> bool {
    octets.ends_with(&[FIELD_END]) || octets.ends_with(&[FIELD_END, 0])
}

/// The record at a place, and where the next begins.
fn record_at(bytes: &[u8], at: usize) -> Result<(Record<'_>, usize), Damage> {
    let rest = bytes.get(at..).unwrap_or_default();
    let leader: &[u8; LEADER_LEN] =
        rest.first_chunk().ok_or(Damage::CutOff { at, needed: LEADER_LEN, found: rest.len() })?;
    let damaged = Damage::Leader { at };
    let [l0, l1, l2, l3, l4, _, kind, _, _, _, _, _, b0, b1, b2, b3, b4, .., w_length, w_position, _, w_tag] =
        *leader;
    let stated = digits(&[l0, l1, l2, l3, l4]).ok_or(damaged)?;
    let base = digits(&[b0, b1, b2, b3, b4]).ok_or(damaged)?;
    let is_right_kind = kind == if at == 0 { b'L' } else { b'D' };
    let width = |digit: u8| digits(&[digit]).filter(|width| (1..=9).contains(width)).ok_or(damaged);
    let widths = Widths { length: width(w_length)?, position: width(w_position)? };
    if !is_right_kind || w_tag != b'4' || base <= LEADER_LEN {
        return Err(damaged);
    }
    let length = if stated == 0 { unstated_length(rest, base, widths, at)? } else { stated };
    let record = rest.get(..length).ok_or(Damage::CutOff { at, needed: length, found: rest.len() })?;
    let (head, area) = record.split_at_checked(base).ok_or(damaged)?;
    let directory = head.get(LEADER_LEN..).unwrap_or_default();
    let entry_len = 4 + widths.length + widths.position;
    match directory.split_last() {
        Some((&FIELD_END, directory)) if directory.len().is_multiple_of(entry_len) => {
            Ok((Record { at, directory, area, widths }, at + length))
        }
        _ => Err(Damage::Directory { at }),
    }
}

/// The length of a record that is too long for the five digits of its leader and states none: as far as its last
/// field reaches.
fn unstated_length(rest: &[u8], base: usize, widths: Widths, at: usize) -> Result<usize, Damage> {
    let damaged = Damage::Directory { at };
    let cut_off = Damage::CutOff { at, needed: base, found: rest.len() };
    let directory = rest.get(LEADER_LEN..base - 1).ok_or(cut_off)?;
    let mut furthest = 0;
    for entry in directory.chunks(4 + widths.length + widths.position) {
        let length = entry.get(4..4 + widths.length).and_then(digits).ok_or(damaged)?;
        let position = entry.get(4 + widths.length..).and_then(digits).ok_or(damaged)?;
        furthest = furthest.max(length + position);
    }
    Ok(base + furthest)
}

/// At most nine digits, and nothing else.
fn digits(characters: &[u8]) -> Option<usize> {
    if characters.is_empty() || 9 < characters.len() || !characters.iter().all(u8::is_ascii_digit) {
        return None;
    }
    Some(characters.iter().fold(0, |number, digit| number * 10 + usize::from(digit - b'0')))
}

/// Controls, name, labels and formats of a field in the first record.
fn definition(tag: Tag, octets: &[u8]) -> Result<Definition, &'static str> {
    let body = octets.get(CONTROLS_LEN..).ok_or("it is shorter than its controls")?;
    let body = body.strip_suffix(&[FIELD_END]).ok_or("it does not end")?;
    let mut parts = body.split(|&byte| byte == UNIT_END);
    let (_name, labels) = (parts.next(), parts.next().unwrap_or_default());
    let formats = formats(parts.next().unwrap_or_default())?;
    let repeats = labels.first() == Some(&b'*');
    let labels = labels.strip_prefix(b"*").unwrap_or(labels);
    let labels: Vec<&[u8]> = labels.split(|&byte| byte == b'!').collect();
    if labels.iter().any(|label| label.contains(&b'*')) {
        return Err("a row within a row");
    }
    if labels.len() != formats.len() {
        return Err("it has not as many labels as formats");
    }
    let subfield = |(label, format): (&[u8], Format)| Some(Subfield { label: Label::new(label)?, format });
    let subfields = labels.into_iter().zip(formats).map(subfield).collect::<Option<_>>();
    Ok(Definition { tag, subfields: subfields.ok_or("a label of more than four characters")?, repeats })
}

/// `(b11,b14,2b11,3A,A(8),R(4))` and the like.
fn formats(controls: &[u8]) -> Result<Vec<Format>, &'static str> {
    let unread = "a format that is not read";
    let inner = controls.strip_prefix(b"(").and_then(|rest| rest.strip_suffix(b")")).ok_or(unread)?;
    let mut formats = Vec::new();
    for item in inner.split(|&byte| byte == b',') {
        let count_len = item.iter().take_while(|byte| byte.is_ascii_digit()).count();
        let (count, item) = item.split_at_checked(count_len).ok_or(unread)?;
        let count = if count.is_empty() { 1 } else { digits(count).ok_or(unread)? };
        if MOST_SUBFIELDS < count || MOST_SUBFIELDS < formats.len() + count {
            return Err("too many subfields");
        }
        let format = format(item).ok_or(unread)?;
        formats.extend(core::iter::repeat_n(format, count));
    }
    Ok(formats)
}

fn format(item: &[u8]) -> Option<Format> {
    let (letter, rest) = item.split_first()?;
    let width = if rest.is_empty() {
        None
    } else {
        let inner = rest.strip_prefix(b"(").and_then(|rest| rest.strip_suffix(b")"));
        inner.and_then(digits)
    };
    match letter {
        b'A' | b'I' | b'R' if rest.is_empty() || width.is_some() => Some(Format::Text(width)),
        b'B' => {
            width.filter(|bits| bits % 8 == 0 && (8..=1024).contains(bits)).map(|bits| Format::Bits(bits / 8))
        }
        b'b' => {
            let (signed, octets) = match rest {
                b"11" => (false, 1),
                b"12" => (false, 2),
                b"14" => (false, 4),
                b"21" => (true, 1),
                b"22" => (true, 2),
                b"24" => (true, 4),
                _ => return None,
            };
            Some(Format::Whole { octets, signed })
        }
        _ => None,
    }
}

/// One row of subfields.
#[derive(Clone, Copy, Debug)]
pub struct Row<'a, 'r> {
    definition: &'r Definition,
    values: &'r [Value<'a>],
}

impl<'a> Row<'a, '_> {
    /// The binary number of a label.
    pub fn whole(&self, label: &str) -> Option<i64> {
        match self.value(label)? {
            Value::Whole(number) => Some(number),
            _ => None,
        }
    }
    /// The characters of a label.
    pub fn text(&self, label: &str) -> Option<&'a [u8]> {
        match self.value(label)? {
            Value::Text(text) => Some(text),
            _ => None,
        }
    }
    /// The bits of a label, if they are so many octets.
    pub fn bits<const N: usize>(&self, label: &str) -> Option<[u8; N]> {
        match self.value(label)? {
            Value::Bits(bits) => bits.try_into().ok(),
            _ => None,
        }
    }
    fn value(&self, label: &str) -> Option<Value<'a>> {
        let label = Label::new(label.as_bytes())?;
        let place = self.definition.subfields.iter().position(|subfield| subfield.label == label)?;
        self.values.get(place).copied()
    }
}

impl<'a> Field<'a, '_> {
    /// Hands over each row. A field that repeats may have none.
    ///
    /// # Errors
    /// [`Damage::Subfields`] where the subfields do not fill the field, or the taker's own refusal.
    pub fn each_row<E: From<Damage>>(
        &self,
        level: Level,
        mut take: impl FnMut(Row<'a, '_>) -> Result<(), E>,
    ) -> Result<(), E> {
        let damaged = Damage::Subfields { at: self.record_at, tag: self.definition.tag };
        let mut rest = self.body(level).ok_or(damaged)?;
        let mut row = [Value::Whole(0); MOST_SUBFIELDS];
        let values = row.get_mut(..self.definition.subfields.len()).ok_or(damaged)?;
        if rest.is_empty() && self.definition.repeats {
            return Ok(());
        }
        loop {
            let before = rest.len();
            for (place, subfield) in values.iter_mut().zip(&self.definition.subfields) {
                *place = value(subfield.format, level, &mut rest).ok_or(damaged)?;
            }
            take(Row { definition: self.definition, values: &*values })?;
            if rest.is_empty() {
                return Ok(());
            }
            if !self.definition.repeats || rest.len() == before {
                return Err(damaged.into());
            }
        }
    }

    /// How many rows there are, if all subfields are of a stated width; else none are counted.
    pub fn rows_of_stated_width(&self) -> usize {
        let width = |subfield: &Subfield| match subfield.format {
            Format::Text(width) => width,
            Format::Whole { octets, .. } | Format::Bits(octets) => Some(octets),
        };
        let row: Option<usize> = self.definition.subfields.iter().map(width).sum();
        row.and_then(|row| self.octets.len().checked_div(row)).unwrap_or(0)
    }

    /// The one row of a field that does not repeat.
    ///
    /// # Errors
    /// As [`Field::each_row`].
    pub fn row<T, E: From<Damage>>(
        &self,
        level: Level,
        read: impl Fn(Row<'a, '_>) -> Result<T, E>,
    ) -> Result<T, E> {
        let mut found = None;
        self.each_row(level, |row| {
            if found.is_some() {
                return Err(Damage::Subfields { at: self.record_at, tag: self.definition.tag }.into());
            }
            found = Some(read(row)?);
            Ok::<(), E>(())
        })?;
        found.ok_or_else(|| Damage::Subfields { at: self.record_at, tag: self.definition.tag }.into())
    }

    /// Without the terminator of the field.
    fn body(&self, level: Level) -> Option<&'a [u8]> {
        let wide = (level == Level::Universal).then(|| self.octets.strip_suffix(&[FIELD_END, 0])).flatten();
        wide.or_else(|| self.octets.strip_suffix(&[FIELD_END]))
    }
}

/// Takes one subfield off the front.
fn value<'a>(format: Format, level: Level, rest: &mut &'a [u8]) -> Option<Value<'a>> {
    let here = *rest;
    let mut take = |count: usize, and: usize| {
        let (taken, left) = here.split_at_checked(count)?;
        *rest = left.get(and..)?;
        Some(taken)
    };
    match format {
        Format::Bits(octets) => take(octets, 0).map(Value::Bits),
        Format::Text(Some(characters)) => take(characters, 0).map(Value::Text),
        Format::Text(None) if level == Level::Universal => {
            let units = here.chunks_exact(2).position(|pair| pair == [UNIT_END, 0])?;
            take(2 * units, 2).map(Value::Text)
        }
        Format::Text(None) => {
            let count = here.iter().position(|&byte| byte == UNIT_END)?;
            take(count, 1).map(Value::Text)
        }
        Format::Whole { octets, signed } => {
            let taken = take(octets, 0)?;
            let number = taken.iter().rev().fold(0_i64, |number, &octet| number << 8 | i64::from(octet));
            let span = 1_i64 << (8 * octets);
            Some(Value::Whole(if signed && span / 2 <= number { number - span } else { number }))
        }
    }
}
