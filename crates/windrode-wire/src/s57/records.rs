//! What the records of a chart's file say, before any of it is joined together.
//!
//! A file is a *base cell*, a chart as it was first issued, or an *update*, what has changed since. Its first record is
//! the data set's identity (`DSID`, `DSSI`), in a base cell followed by its parameters (`DSPM`). Then come the records
//! of space (`VRID`: isolated nodes, connected nodes, edges) and those of what stands there (`FRID`: features), each
//! with an instruction: insert, delete, modify. In an update, lists are modified by a control field: what to do, from
//! which place (counted from 1), with how many.
//!
//! Source: IHO S-57 edition 3.1, part 3, clauses 7 and 8; appendix B.1, ENC product specification, clauses 4 to 6.

use super::attributes::{Attributes, Growing};
use super::iso8211::{Damage, Field, File, Level, Record, Row};
use super::refusal::ChartError;

/// Code of an isolated node.
pub const ISOLATED_NODE: u8 = 110;
/// Code of a connected node.
pub const CONNECTED_NODE: u8 = 120;
/// Code of an edge.
pub const EDGE: u8 = 130;
/// Code of a face, which charts do not use.
pub const FACE: u8 = 140;

/// Name of a record of space: its kind and its number.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Name {
    /// `RCNM`, such as [`EDGE`].
    pub kind: u8,
    /// `RCID`.
    pub number: u32,
}

impl Name {
    /// One number that sorts as the name does: pointers are followed by it, tens of thousands a chart.
    pub(super) fn rank(self) -> u64 {
        u64::from(self.kind) << 32 | u64::from(self.number)
    }
}

/// What a record is to do.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Instruction {
    /// A new one.
    Insert,
    /// One that goes.
    Delete,
    /// One that changes.
    Modify,
}

/// What is to be done with a part of a list.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Control {
    /// What.
    pub instruction: Instruction,
    /// From which place, counted from 1.
    pub from: usize,
    /// With how many.
    pub count: usize,
}

/// Which way an edge is used.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Direction {
    /// As it is drawn.
    Forward,
    /// Against.
    Reverse,
    /// It does not matter.
    Any,
}

/// Of which boundary of an area an edge is a piece.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Usage {
    /// The outer one.
    Exterior,
    /// An inner one: a hole.
    Interior,
    /// The outer one where the chart's limit cuts it off: no boundary in the world.
    CutByLimit,
    /// It does not matter.
    None,
}

/// A feature's pointer to a record of space: `FSPT`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SpatialUse {
    /// Which.
    pub name: Name,
    /// Which way.
    pub direction: Direction,
    /// As which boundary.
    pub usage: Usage,
    /// Not to be drawn.
    pub masked: bool,
}

/// An edge's pointer to a node: `VRPT`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct NodeUse {
    /// Which.
    pub name: Name,
    /// `TOPI`: 1 the edge begins there, 2 it ends there; others are kept.
    pub topology: u8,
}

/// A feature's name in the world: agency, number, subdivision.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct LongName {
    /// `AGEN`.
    pub agency: u16,
    /// `FIDN`.
    pub number: u32,
    /// `FIDS`.
    pub subdivision: u16,
}

/// A feature's pointer to another: `FFPT`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct FeatureUse {
    /// Which.
    pub name: LongName,
    /// `RIND`: 1 master, 2 slave, 3 peer; others are kept.
    pub relation: u8,
}

/// A record of space.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Spatial {
    /// `RVER`.
    pub version: u16,
    /// `ATTV`.
    pub attributes: Attributes,
    /// `VRPT`.
    pub nodes: Vec<NodeUse>,
    /// `SG2D`: latitude and longitude, in parts of a degree.
    pub flat: Vec<[i32; 2]>,
    /// `SG3D`: the same, and the depth in parts of a metre.
    pub deep: Vec<[i32; 3]>,
}

/// A record of a feature.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FeatureRecord {
    /// `PRIM`: 1 point, 2 line, 3 area, 255 without a place.
    pub primitive: u8,
    /// `GRUP`: 1 the skin of the earth, 2 all else.
    pub group: u8,
    /// `OBJL`.
    pub class_code: u16,
    /// `RVER`.
    pub version: u16,
    /// `FOID`.
    pub long_name: Option<LongName>,
    /// `ATTF`.
    pub attributes: Attributes,
    /// `NATF`: in the national language.
    pub national: Attributes,
    /// `FFPT`.
    pub features: Vec<FeatureUse>,
    /// `FSPT`.
    pub spatials: Vec<SpatialUse>,
}

/// A record of either kind with what is to be done with it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Change {
    /// Of space.
    Spatial {
        /// Which.
        name: Name,
        /// What to do.
        instruction: Instruction,
        /// With its list of nodes.
        nodes: Option<Control>,
        /// With its coordinates.
        coordinates: Option<Control>,
        /// What the record says.
        spatial: Spatial,
    },
    /// Of a feature.
    Feature {
        /// `RCID`.
        number: u32,
        /// What to do.
        instruction: Instruction,
        /// With its list of features.
        features: Option<Control>,
        /// With its list of records of space.
        spatials: Option<Control>,
        /// What the record says.
        feature: FeatureRecord,
    },
}

/// `DSID`: which data set this is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Identity {
    /// `DSNM`: name of the file.
    pub name: String,
    /// `EXPP`: 1 new, 2 revision.
    pub purpose: u8,
    /// `INTU`: navigational purpose: 1 overview, 2 general, 3 coastal, 4 approach, 5 harbour, 6 berthing.
    pub usage: u8,
    /// `EDTN`.
    pub edition: String,
    /// `UPDN`.
    pub update: String,
    /// `UADT`: updates before this date are in it; empty: not said.
    pub applied_to: String,
    /// `ISDT`: when it was issued.
    pub issued: String,
    /// `PROF`: 1 a base cell, 2 an update.
    pub profile: u8,
    /// `AGEN`: who made it, by the code of IHO S-62.
    pub agency: u16,
    /// `COMT`.
    pub comment: String,
}

/// `DSSI`: of how many records it says to consist, and how its texts are written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Structure {
    /// `DSTR`: 1 spaghetti, 2 chain-node, 3 planar graph, 4 full topology.
    pub topology: u8,
    /// `AALL`.
    pub attributes: Level,
    /// `NALL`.
    pub national: Level,
    /// Features: meta, cartographic, geographic, collections, together.
    pub features: u64,
    /// Isolated nodes, connected nodes, edges, faces.
    pub spatials: [u64; 4],
}

/// `DSPM`: in which units, below which datum, for which scale.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Parameters {
    /// `HDAT`: 2 is WGS 84.
    pub horizontal_datum: u8,
    /// `VDAT`: datum of heights.
    pub vertical_datum: u8,
    /// `SDAT`: datum of depths.
    pub sounding_datum: u8,
    /// `CSCL`: 1 in so many.
    pub scale: u32,
    /// `DUNI`: 1 metres.
    pub depth_unit: u8,
    /// `HUNI`: 1 metres.
    pub height_unit: u8,
    /// `COUN`: 1 latitude and longitude.
    pub coordinate_unit: u8,
    /// `COMF`: parts of a degree.
    pub coordinate_factor: u32,
    /// `SOMF`: parts of a metre.
    pub sounding_factor: u32,
}

/// A file as far as its records.
#[derive(Clone, Debug)]
pub struct Head {
    /// Which data set.
    pub identity: Identity,
    /// Of what it consists.
    pub structure: Structure,
    /// Its parameters: a base cell has them, an update need not.
    pub parameters: Option<Parameters>,
}

/// Reads a file: its head, then hands over each record as it comes.
///
/// # Errors
/// [`ChartError`] of the first thing that is wrong: damage, a record that is none of a chart's, counts other than
/// those stated, or the taker's own refusal.
pub fn read(
    bytes: &[u8],
    mut take: impl FnMut(&Head, Change) -> Result<(), ChartError>,
) -> Result<Head, ChartError> {
    let file = File::open(bytes)?;
    let mut head: Option<Head> = None;
    let mut found = Counts::default();
    for record in file.records() {
        let record = record?;
        let Some(head) = &mut head else {
            head = Some(first(&file, record)?);
            continue;
        };
        if let Some(change) = further(&file, record, head)? {
            found.count(&change);
            take(head, change)?;
        }
    }
    let head = head.ok_or(ChartError::NoIdentity)?;
    found.held_against(head.structure)?;
    Ok(head)
}

/// Which data set a file is, from its first record.
///
/// # Errors
/// [`ChartError`] of that record.
pub fn identity(bytes: &[u8]) -> Result<Identity, ChartError> {
    let file = File::open(bytes)?;
    let record = file.records().next().ok_or(ChartError::NoIdentity)??;
    first(&file, record).map(|head| head.identity)
}

/// Records found, by kind.
#[derive(Default)]
struct Counts {
    features: u64,
    spatials: [u64; 4],
}

/// What [`Counts::spatials`] are of.
const SPATIAL_WORDS: [&str; 4] = ["isolated nodes", "connected nodes", "edges", "faces"];

impl Counts {
    fn count(&mut self, change: &Change) {
        match change {
            Change::Feature { .. } => self.features += 1,
            Change::Spatial { name, .. } => {
                let place =
                    [ISOLATED_NODE, CONNECTED_NODE, EDGE, FACE].iter().position(|kind| *kind == name.kind);
                if let Some(count) = place.and_then(|place| self.spatials.get_mut(place)) {
                    *count += 1;
                }
            }
        }
    }

    fn held_against(&self, stated: Structure) -> Result<(), ChartError> {
        let unequal = |what, stated, found| Err(ChartError::Counts { what, stated, found });
        if self.features != stated.features {
            return unequal("features", stated.features, self.features);
        }
        for ((what, stated), found) in SPATIAL_WORDS.into_iter().zip(stated.spatials).zip(self.spatials) {
            if stated != found {
                return unequal(what, stated, found);
            }
        }
        Ok(())
    }
}

/// The first record: the identity.
fn first<'a>(file: &File<'a>, record: Record<'a>) -> Result<Head, ChartError> {
    let (mut identity, mut structure) = (None, None);
    for field in file.fields(record) {
        let field = field?;
        match &field.definition.tag.0 {
            b"0001" => {}
            b"DSID" => identity = Some(one(&field, identity_of)?),
            b"DSSI" => structure = Some(one(&field, structure_of)?),
            b"CATD" => return Err(ChartError::Catalogue),
            _ => return Err(unexpected(&field)),
        }
    }
    match (identity, structure) {
        (Some(identity), Some(structure)) => Ok(Head { identity, structure, parameters: None }),
        _ => Err(ChartError::NoIdentity),
    }
}

/// Any other record; the parameters go into the head.
fn further<'a>(file: &File<'a>, record: Record<'a>, head: &mut Head) -> Result<Option<Change>, ChartError> {
    let mut change = None;
    for field in file.fields(record) {
        let field = field?;
        match (&field.definition.tag.0, &mut change) {
            (b"0001", _) => {}
            (b"DSPM", None) if head.parameters.is_none() => {
                head.parameters = Some(one(&field, parameters_of)?);
            }
            (b"VRID", None) => change = Some(one(&field, spatial_of)?),
            (b"FRID", None) => change = Some(one(&field, feature_of)?),
            (_, Some(change)) => part_of(change, &field, head.structure)?,
            _ => return Err(unexpected(&field)),
        }
    }
    Ok(change)
}

/// A field that adds to a record that has begun.
fn part_of(change: &mut Change, field: &Field<'_, '_>, structure: Structure) -> Result<(), ChartError> {
    match change {
        Change::Spatial { nodes, coordinates, spatial, .. } => match &field.definition.tag.0 {
            b"ATTV" => attributes(field, structure.attributes, &mut spatial.attributes),
            b"VRPC" => once(nodes, field, one(field, |row| control_of(row, ["VPUI", "VPIX", "NVPT"]))?),
            b"VRPT" => rows(field, node_use_of, &mut spatial.nodes),
            b"SGCC" => once(coordinates, field, one(field, |row| control_of(row, ["CCUI", "CCIX", "CCNC"]))?),
            b"SG2D" => rows(field, flat_of, &mut spatial.flat),
            b"SG3D" => rows(field, deep_of, &mut spatial.deep),
            _ => Err(unexpected(field)),
        },
        Change::Feature { features, spatials, feature, .. } => match &field.definition.tag.0 {
            b"FOID" => once(&mut feature.long_name, field, one(field, long_name_of)?),
            b"ATTF" => attributes(field, structure.attributes, &mut feature.attributes),
            b"NATF" => attributes(field, structure.national, &mut feature.national),
            b"FFPC" => once(features, field, one(field, |row| control_of(row, ["FFUI", "FFIX", "NFPT"]))?),
            b"FFPT" => rows(field, feature_use_of, &mut feature.features),
            b"FSPC" => once(spatials, field, one(field, |row| control_of(row, ["FSUI", "FSIX", "NSPT"]))?),
            b"FSPT" => rows(field, spatial_use_of, &mut feature.spatials),
            _ => Err(unexpected(field)),
        },
    }
}

fn unexpected(field: &Field<'_, '_>) -> ChartError {
    ChartError::UnexpectedField { tag: field.definition.tag, at: field.record_at }
}

/// A field that may stand once in a record.
fn once<T>(place: &mut Option<T>, field: &Field<'_, '_>, value: T) -> Result<(), ChartError> {
    if place.replace(value).is_some() { Err(unexpected(field)) } else { Ok(()) }
}

/// A value of a row, or which one is wrong.
type Read<T> = Result<T, &'static str>;

fn named(field: &Field<'_, '_>, label: &'static str) -> ChartError {
    ChartError::Subfield { tag: field.definition.tag, label, at: field.record_at }
}

fn one<T>(field: &Field<'_, '_>, read: impl Fn(Row<'_, '_>) -> Read<T>) -> Result<T, ChartError> {
    field.row(Level::Latin1, |row| read(row).map_err(|label| named(field, label)))
}

fn rows<T>(
    field: &Field<'_, '_>,
    read: impl Fn(Row<'_, '_>) -> Read<T>,
    into: &mut Vec<T>,
) -> Result<(), ChartError> {
    into.reserve_exact(field.rows_of_stated_width());
    field.each_row(Level::Latin1, |row| {
        into.push(read(row).map_err(|label| named(field, label))?);
        Ok(())
    })
}

fn attributes(field: &Field<'_, '_>, level: Level, into: &mut Attributes) -> Result<(), ChartError> {
    if !into.is_empty() {
        return Err(unexpected(field));
    }
    let mut growing = Growing::for_octets(field.octets.len());
    field.each_row(level, |row| {
        let code = number(row, "ATTL").map_err(|label| named(field, label))?;
        growing.add(code, level, row.text("ATVL").ok_or_else(|| named(field, "ATVL"))?);
        Ok::<(), ChartError>(())
    })?;
    *into = growing.packed();
    Ok(())
}

/// A binary number that fits.
fn number<T: TryFrom<i64>>(row: Row<'_, '_>, label: &'static str) -> Read<T> {
    row.whole(label).and_then(|number| T::try_from(number).ok()).ok_or(label)
}

/// A text of the file's own fields, without blanks at its ends.
fn text(row: Row<'_, '_>, label: &'static str) -> Read<String> {
    let octets = row.text(label).ok_or(label)?;
    Ok(Level::Latin1.text(octets.trim_ascii()))
}

fn identity_of(row: Row<'_, '_>) -> Read<Identity> {
    Ok(Identity {
        name: text(row, "DSNM")?,
        purpose: number(row, "EXPP")?,
        usage: number(row, "INTU")?,
        edition: text(row, "EDTN")?,
        update: text(row, "UPDN")?,
        applied_to: text(row, "UADT")?,
        issued: text(row, "ISDT")?,
        profile: number(row, "PROF")?,
        agency: number(row, "AGEN")?,
        comment: text(row, "COMT")?,
    })
}

fn structure_of(row: Row<'_, '_>) -> Read<Structure> {
    let count = |label| number::<u64>(row, label);
    let level = |label| row.whole(label).and_then(Level::from_code).ok_or(label);
    Ok(Structure {
        topology: number(row, "DSTR")?,
        attributes: level("AALL")?,
        national: level("NALL")?,
        features: count("NOMR")? + count("NOCR")? + count("NOGR")? + count("NOLR")?,
        spatials: [count("NOIN")?, count("NOCN")?, count("NOED")?, count("NOFA")?],
    })
}

fn parameters_of(row: Row<'_, '_>) -> Read<Parameters> {
    Ok(Parameters {
        horizontal_datum: number(row, "HDAT")?,
        vertical_datum: number(row, "VDAT")?,
        sounding_datum: number(row, "SDAT")?,
        scale: number(row, "CSCL")?,
        depth_unit: number(row, "DUNI")?,
        height_unit: number(row, "HUNI")?,
        coordinate_unit: number(row, "COUN")?,
        coordinate_factor: number(row, "COMF")?,
        sounding_factor: number(row, "SOMF")?,
    })
}

fn instruction(row: Row<'_, '_>, label: &'static str) -> Read<Instruction> {
    match row.whole(label) {
        Some(1) => Ok(Instruction::Insert),
        Some(2) => Ok(Instruction::Delete),
        Some(3) => Ok(Instruction::Modify),
        _ => Err(label),
    }
}

fn spatial_of(row: Row<'_, '_>) -> Read<Change> {
    let kind = number(row, "RCNM")?;
    if ![ISOLATED_NODE, CONNECTED_NODE, EDGE, FACE].contains(&kind) {
        return Err("RCNM");
    }
    Ok(Change::Spatial {
        name: Name { kind, number: number(row, "RCID")? },
        instruction: instruction(row, "RUIN")?,
        nodes: None,
        coordinates: None,
        spatial: Spatial {
            version: number(row, "RVER")?,
            attributes: Attributes::default(),
            nodes: Vec::new(),
            flat: Vec::new(),
            deep: Vec::new(),
        },
    })
}

fn feature_of(row: Row<'_, '_>) -> Read<Change> {
    if row.whole("RCNM") != Some(100) {
        return Err("RCNM");
    }
    Ok(Change::Feature {
        number: number(row, "RCID")?,
        instruction: instruction(row, "RUIN")?,
        features: None,
        spatials: None,
        feature: FeatureRecord {
            primitive: number(row, "PRIM")?,
            group: number(row, "GRUP")?,
            class_code: number(row, "OBJL")?,
            version: number(row, "RVER")?,
            long_name: None,
            attributes: Attributes::default(),
            national: Attributes::default(),
            features: Vec::new(),
            spatials: Vec::new(),
        },
    })
}

fn control_of(row: Row<'_, '_>, labels: [&'static str; 3]) -> Read<Control> {
    let [what, from, count] = labels;
    Ok(Control { instruction: instruction(row, what)?, from: number(row, from)?, count: number(row, count)? })
}

fn name_of(row: Row<'_, '_>) -> Read<Name> {
    let [kind, a, b, c, d] = row.bits("NAME").ok_or("NAME")?;
    Ok(Name { kind, number: u32::from_le_bytes([a, b, c, d]) })
}

fn node_use_of(row: Row<'_, '_>) -> Read<NodeUse> {
    Ok(NodeUse { name: name_of(row)?, topology: number(row, "TOPI")? })
}

fn spatial_use_of(row: Row<'_, '_>) -> Read<SpatialUse> {
    let direction = match row.whole("ORNT") {
        Some(1) => Direction::Forward,
        Some(2) => Direction::Reverse,
        Some(255) => Direction::Any,
        _ => return Err("ORNT"),
    };
    let usage = match row.whole("USAG") {
        Some(1) => Usage::Exterior,
        Some(2) => Usage::Interior,
        Some(3) => Usage::CutByLimit,
        Some(255) => Usage::None,
        _ => return Err("USAG"),
    };
    Ok(SpatialUse { name: name_of(row)?, direction, usage, masked: row.whole("MASK").ok_or("MASK")? == 1 })
}

fn feature_use_of(row: Row<'_, '_>) -> Read<FeatureUse> {
    let [a, b, c, d, e, f, g, h] = row.bits("LNAM").ok_or("LNAM")?;
    let name = LongName {
        agency: u16::from_le_bytes([a, b]),
        number: u32::from_le_bytes([c, d, e, f]),
        subdivision: u16::from_le_bytes([g, h]),
    };
    Ok(FeatureUse { name, relation: number(row, "RIND")? })
}

fn long_name_of(row: Row<'_, '_>) -> Read<LongName> {
    Ok(LongName {
        agency: number(row, "AGEN")?,
        number: number(row, "FIDN")?,
        subdivision: number(row, "FIDS")?,
    })
}

fn flat_of(row: Row<'_, '_>) -> Read<[i32; 2]> {
    Ok([number(row, "YCOO")?, number(row, "XCOO")?])
}

fn deep_of(row: Row<'_, '_>) -> Read<[i32; 3]> {
    Ok([number(row, "YCOO")?, number(row, "XCOO")?, number(row, "VE3D")?])
}

impl From<Damage> for ChartError {
    fn from(damage: Damage) -> Self {
        Self::Damage(damage)
    }
}
