//! A writer of small charts, for what no real chart at hand has, and for what no chart may have.
//!
//! Leader, directory and field area by ISO/IEC 8211 as IHO S-57 part 3 uses it; nothing of it comes from the reader.

/// One field of a record: its tag and what stands in it, without the terminator.
pub(crate) type Field = (&'static str, Vec<u8>);

const END: u8 = 0x1e;
const UNIT: u8 = 0x1f;

/// Controls, labels and formats of every field that a chart or an update may have.
const DESCRIBED: [(&str, &str, &str); 19] = [
    ("0001", "", "(b12)"),
    (
        "DSID",
        "RCNM!RCID!EXPP!INTU!DSNM!EDTN!UPDN!UADT!ISDT!STED!PRSP!PSDN!PRED!PROF!AGEN!COMT",
        "(b11,b14,2b11,3A,2A(8),R(4),b11,2A,b11,b12,A)",
    ),
    ("DSSI", "DSTR!AALL!NALL!NOMR!NOCR!NOGR!NOLR!NOIN!NOCN!NOED!NOFA", "(3b11,8b14)"),
    (
        "DSPM",
        "RCNM!RCID!HDAT!VDAT!SDAT!CSCL!DUNI!HUNI!PUNI!COUN!COMF!SOMF!COMT",
        "(b11,b14,3b11,b14,4b11,2b14,A)",
    ),
    ("VRID", "RCNM!RCID!RVER!RUIN", "(b11,b14,b12,b11)"),
    ("ATTV", "*ATTL!ATVL", "(b12,A)"),
    ("VRPC", "VPUI!VPIX!NVPT", "(b11,2b12)"),
    ("VRPT", "*NAME!ORNT!USAG!TOPI!MASK", "(B(40),4b11)"),
    ("SGCC", "CCUI!CCIX!CCNC", "(b11,2b12)"),
    ("SG2D", "*YCOO!XCOO", "(2b24)"),
    ("SG3D", "*YCOO!XCOO!VE3D", "(3b24)"),
    ("FRID", "RCNM!RCID!PRIM!GRUP!OBJL!RVER!RUIN", "(b11,b14,2b11,2b12,b11)"),
    ("FOID", "AGEN!FIDN!FIDS", "(b12,b14,b12)"),
    ("ATTF", "*ATTL!ATVL", "(b12,A)"),
    ("NATF", "*ATTL!ATVL", "(b12,A)"),
    ("FFPC", "FFUI!FFIX!NFPT", "(b11,2b12)"),
    ("FFPT", "*LNAM!RIND!COMT", "(B(64),b11,A)"),
    ("FSPC", "FSUI!FSIX!NSPT", "(b11,2b12)"),
    ("FSPT", "*NAME!ORNT!USAG!MASK", "(B(40),3b11)"),
];

/// A record of these fields; `kind` is the leader's: L for the first, D for the others.
pub(crate) fn record(kind: u8, fields: &[Field]) -> Vec<u8> {
    let (mut directory, mut area) = (Vec::new(), Vec::new());
    for (tag, content) in fields {
        let at = area.len();
        area.extend_from_slice(content);
        area.push(END);
        // A field of two octets a character ends likewise.
        if content.ends_with(&[UNIT, 0]) {
            area.push(0);
        }
        directory.extend(format!("{tag}{:05}{at:05}", area.len() - at).bytes());
    }
    directory.push(END);
    let base = 24 + directory.len();
    let controls = if kind == b'L' { ("3", "LE1 ", "09") } else { (" ", "D   ", "  ") };
    let leader =
        format!("{:05}{}{}{}{base:05} ! 5504", base + area.len(), controls.0, controls.1, controls.2);
    assert_eq!(leader.len(), 24);
    [leader.into_bytes(), directory, area].concat()
}

/// The first record, which describes all fields.
pub(crate) fn description() -> Vec<u8> {
    let described = DESCRIBED.iter().map(|&(tag, labels, formats)| {
        let text = format!("1600;&   {tag}\u{1f}{labels}\u{1f}{formats}");
        (tag, text.into_bytes())
    });
    let head = ("0000", b"0000;&   \x1f0001DSID".to_vec());
    record(b'L', &[vec![head], described.collect()].concat())
}

/// Numbers, least significant octet first.
pub(crate) fn u16s(numbers: &[u16]) -> Vec<u8> {
    numbers.iter().flat_map(|number| number.to_le_bytes()).collect()
}

/// A place or several, of two or three numbers each.
pub(crate) fn i32s(numbers: &[i32]) -> Vec<u8> {
    numbers.iter().flat_map(|number| number.to_le_bytes()).collect()
}

/// Attributes of one octet a character, of ISO 8859-1.
pub(crate) fn attributes(all: &[(u16, &str)]) -> Vec<u8> {
    let latin = |text: &str| text.chars().map(|c| u8::try_from(u32::from(c)).unwrap()).collect::<Vec<u8>>();
    let one = |&(code, text): &(u16, &str)| [&code.to_le_bytes()[..], &latin(text), &[UNIT]].concat();
    all.iter().flat_map(one).collect()
}

/// Attributes of two octets a character.
pub(crate) fn wide_attributes(all: &[(u16, &str)]) -> Vec<u8> {
    let wide = |text: &str| text.encode_utf16().flat_map(u16::to_le_bytes).collect::<Vec<u8>>();
    let one = |&(code, text): &(u16, &str)| [&code.to_le_bytes()[..], &wide(text), &[UNIT, 0]].concat();
    all.iter().flat_map(one).collect()
}

/// A record of space.
pub(crate) fn spatial(kind: u8, number: u32, version: u16, instruction: u8, more: &[Field]) -> Vec<u8> {
    let mut id = vec![kind];
    id.extend(number.to_le_bytes());
    id.extend(version.to_le_bytes());
    id.push(instruction);
    record(b'D', &[vec![("0001", u16s(&[1])), ("VRID", id)], more.to_vec()].concat())
}

/// An edge between two connected nodes.
pub(crate) fn edge(number: u32, from: u32, to: u32, corners: &[i32]) -> Vec<u8> {
    let nodes = [name(120, from), vec![255, 255, 1, 255], name(120, to), vec![255, 255, 2, 255]].concat();
    spatial(130, number, 1, 1, &[("VRPT", nodes), ("SG2D", i32s(corners))])
}

/// Kind and number in five octets.
pub(crate) fn name(kind: u8, number: u32) -> Vec<u8> {
    [vec![kind], number.to_le_bytes().to_vec()].concat()
}

/// A pointer of a feature: direction, boundary.
pub(crate) fn pointer(kind: u8, number: u32, direction: u8, usage: u8) -> Vec<u8> {
    [name(kind, number), vec![direction, usage, 255]].concat()
}

/// What a feature's record says first.
#[derive(Clone, Copy)]
pub(crate) struct Head {
    pub(crate) number: u32,
    pub(crate) primitive: u8,
    pub(crate) class: u16,
    pub(crate) version: u16,
    pub(crate) instruction: u8,
}

/// A record of a feature.
pub(crate) fn feature(head: Head, more: &[Field]) -> Vec<u8> {
    let mut id = vec![100];
    id.extend(head.number.to_le_bytes());
    id.extend([head.primitive, 2]);
    id.extend(u16s(&[head.class, head.version]));
    id.push(head.instruction);
    record(b'D', &[vec![("0001", u16s(&[1])), ("FRID", id)], more.to_vec()].concat())
}

/// How a file says which it is.
#[derive(Clone, Copy)]
pub(crate) struct Which {
    pub(crate) name: &'static str,
    pub(crate) edition: &'static str,
    pub(crate) update: &'static str,
    pub(crate) profile: u8,
    pub(crate) level: u8,
}

/// A chart called XX5MADE1, edition 3.
pub(crate) const CHART: Which =
    Which { name: "XX5MADE1.000", edition: "3", update: "0", profile: 1, level: 2 };

/// Its update of a number.
pub(crate) const fn update(number: &'static str) -> Which {
    Which { name: "XX5MADE1.001", edition: "3", update: number, profile: 2, level: 2 }
}

/// A whole file: counts are stated as they are.
pub(crate) fn file(which: Which, records: &[Vec<u8>]) -> Vec<u8> {
    let count = |tag: &[u8], kind: u8| {
        let is = |record: &&Vec<u8>| {
            let base: usize = std::str::from_utf8(&record[12..17]).unwrap().parse().unwrap();
            record[24..base].windows(4).any(|window| window == tag) && (kind == 0 || record[base + 3] == kind)
        };
        u32::try_from(records.iter().filter(is).count()).unwrap()
    };
    let counts =
        [0, 0, count(b"FRID", 0), 0, count(b"VRID", 110), count(b"VRID", 120), count(b"VRID", 130), 0];
    file_with(which, records, counts, [2, 10_000_000, 10, 20_000])
}

/// A whole file with stated counts, and horizontal datum, factors and scale.
pub(crate) fn file_with(which: Which, records: &[Vec<u8>], counts: [u32; 8], stated: [u32; 4]) -> Vec<u8> {
    let [datum, coordinate_factor, sounding_factor, scale] = stated;
    let mut id = vec![10, 1, 0, 0, 0, 1, 5];
    for text in [which.name, which.edition, which.update] {
        id.extend(text.bytes());
        id.push(UNIT);
    }
    id.extend(b"202601012026010103.1\x01\x1f2.0\x1f");
    id.push(which.profile);
    id.extend([38, 2, UNIT]);
    let mut structure = vec![2, 1, which.level];
    structure.extend(counts.iter().flat_map(|count| count.to_le_bytes()));
    let identity = record(b'D', &[("0001", u16s(&[1])), ("DSID", id), ("DSSI", structure)]);
    let mut parameters = vec![20, 1, 0, 0, 0, u8::try_from(datum).unwrap(), 16, 12];
    parameters.extend(scale.to_le_bytes());
    parameters.extend([1, 1, 1, 1]);
    parameters.extend(coordinate_factor.to_le_bytes());
    parameters.extend(sounding_factor.to_le_bytes());
    parameters.push(UNIT);
    let parameters = record(b'D', &[("0001", u16s(&[2])), ("DSPM", parameters)]);
    let head = if which.profile == 1 { [identity, parameters].concat() } else { identity };
    [description(), head, records.concat()].concat()
}
