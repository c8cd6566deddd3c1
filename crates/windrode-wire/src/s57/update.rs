//! A chart's records brought up to date.
//!
//! A base cell inserts all of its records. Updates follow in order, each against the state that the one before left:
//! records are inserted, deleted, modified; attributes are replaced, added, or deleted by the character DEL; lists of
//! pointers and of coordinates have entries inserted before a place, deleted from it, or replaced from it on. A change
//! that does not fit what is there is refused, and the chart with it: a chart half brought up to date is none.
//!
//! An update whose record version does not follow the one that is there is counted and told, and still applied: what
//! it changes is named by numbers that fit, or it is refused.
//!
//! Source: IHO S-57 edition 3.1, part 3, clause 8.

use std::collections::BTreeMap;
use std::collections::btree_map::Entry;

use super::MOST_BYTES;
use super::records::{
    Attribute, Change, Control, EDGE, FeatureRecord, Head, Identity, Instruction, Name, Parameters, Spatial,
};
use super::refusal::{ChartError, RecordWord};

/// Entries of lists that updates may move about, so that a small file cannot ask for hours: a chart of the greatest
/// size holds some 600 000 coordinates, and an update touches few lists of it.
const MOST_MOVED: usize = 200_000_000;
/// The text that deletes an attribute.
const DELETED: &str = "\u{7f}";

/// A chart's records as they stand.
#[derive(Clone, Debug)]
pub(super) struct Standing {
    pub(super) identity: Identity,
    pub(super) parameters: Parameters,
    pub(super) edition: u32,
    pub(super) update: u32,
    /// When the last update was issued.
    pub(super) updated: Option<String>,
    pub(super) features: BTreeMap<u32, FeatureRecord>,
    pub(super) spatials: BTreeMap<Name, Spatial>,
    /// Records whose version did not follow.
    pub(super) out_of_step: usize,
    /// Updates that the base cell held already.
    pub(super) held_already: Vec<u32>,
    moved: usize,
}

/// The records of a base cell.
pub(super) fn base(bytes: &[u8]) -> Result<Standing, ChartError> {
    size(bytes)?;
    let mut features = BTreeMap::new();
    let mut spatials = BTreeMap::new();
    let head = super::records::read(bytes, |head, change| {
        is_base(head)?;
        match change {
            Change::Feature { number, instruction, features: None, spatials: None, feature } => {
                let record = RecordWord::Feature(number);
                new(&mut features, number, instruction, tight_feature(feature), record)
            }
            Change::Spatial { name, instruction, nodes: None, coordinates: None, spatial } => {
                let record = RecordWord::Spatial(name);
                new(&mut spatials, name, instruction, tight_spatial(spatial), record)
            }
            Change::Feature { number, .. } => Err(ChartError::NotNew { record: RecordWord::Feature(number) }),
            Change::Spatial { name, .. } => Err(ChartError::NotNew { record: RecordWord::Spatial(name) }),
        }
    })?;
    is_base(&head)?;
    let edition = stated("the edition (EDTN)", &head.identity.edition)?;
    let update = stated("the number of the last update in it (UPDN)", &head.identity.update)?;
    Ok(Standing {
        edition,
        update,
        parameters: head.parameters.ok_or(ChartError::NoParameters)?,
        identity: head.identity,
        updated: None,
        features,
        spatials,
        out_of_step: 0,
        held_already: Vec::new(),
        moved: 0,
    })
}

fn is_base(head: &Head) -> Result<(), ChartError> {
    if head.identity.profile == 2 {
        return Err(ChartError::UpdateAlone { name: head.identity.name.clone() });
    }
    Ok(())
}

fn size(bytes: &[u8]) -> Result<(), ChartError> {
    if MOST_BYTES < bytes.len() {
        return Err(ChartError::TooLarge { bytes: bytes.len(), most: MOST_BYTES });
    }
    Ok(())
}

fn stated(what: &'static str, text: &str) -> Result<u32, ChartError> {
    text.parse().map_err(|_| ChartError::Stated { what, text: text.to_owned() })
}

fn new<K: Ord, V>(
    into: &mut BTreeMap<K, V>,
    key: K,
    instruction: Instruction,
    value: V,
    record: RecordWord,
) -> Result<(), ChartError> {
    if instruction != Instruction::Insert {
        return Err(ChartError::NotNew { record });
    }
    match into.entry(key) {
        Entry::Occupied(_) => Err(ChartError::Twice { record }),
        Entry::Vacant(place) => {
            place.insert(value);
            Ok(())
        }
    }
}

/// Without room that nothing needs: charts hold tens of thousands of these.
fn tight_feature(mut feature: FeatureRecord) -> FeatureRecord {
    feature.attributes.shrink_to_fit();
    feature.national.shrink_to_fit();
    feature.features.shrink_to_fit();
    feature.spatials.shrink_to_fit();
    feature
}

fn tight_spatial(mut spatial: Spatial) -> Spatial {
    spatial.attributes.shrink_to_fit();
    spatial.nodes.shrink_to_fit();
    spatial.coordinates.flat.shrink_to_fit();
    spatial.coordinates.deep.shrink_to_fit();
    spatial
}

impl Standing {
    /// Applies the next update. After a refusal the state is not to be used.
    pub(super) fn apply(&mut self, bytes: &[u8]) -> Result<(), ChartError> {
        size(bytes)?;
        let mut follows = None;
        let head = super::records::read(bytes, |head, change| {
            let follows = match follows {
                Some(follows) => follows,
                None => *follows.insert(self.follows(&head.identity)?),
            };
            if follows { self.change(change) } else { Ok(()) }
        })?;
        let follows = match follows {
            Some(follows) => follows,
            // An update may have no records: it withdraws the chart, or says nothing.
            None => self.follows(&head.identity)?,
        };
        let number = stated("the number of the update (UPDN)", &head.identity.update)?;
        if follows {
            self.update = number;
            self.updated = Some(head.identity.issued);
        } else {
            self.held_already.push(number);
        }
        Ok(())
    }

    /// Whether the update comes next; `false`: the chart was issued with it inside.
    fn follows(&self, update: &Identity) -> Result<bool, ChartError> {
        let name = || update.name.clone();
        if update.profile != 2 {
            return Err(ChartError::NotAnUpdate { name: name() });
        }
        if stem(&update.name) != stem(&self.identity.name) {
            return Err(ChartError::OtherChart { name: name(), chart: self.identity.name.clone() });
        }
        let number = stated("the number of the update (UPDN)", &update.update)?;
        let edition = stated("the edition of the update (EDTN)", &update.edition)?;
        if edition == 0 {
            return Err(ChartError::Withdrawn { name: name() });
        }
        if edition != self.edition {
            return Err(ChartError::OtherEdition { name: name(), edition, chart_edition: self.edition });
        }
        if number <= self.update && self.updated.is_none() {
            return Ok(false);
        }
        let expected = self.update.saturating_add(1);
        if number != expected {
            return Err(ChartError::OutOfSequence { reached: self.update, expected, found: number });
        }
        Ok(true)
    }

    fn change(&mut self, change: Change) -> Result<(), ChartError> {
        match change {
            Change::Feature { number, instruction, features, spatials, feature } => {
                let record = RecordWord::Feature(number);
                if instruction == Instruction::Insert {
                    has_no_control([features, spatials], record)?;
                    return new(&mut self.features, number, instruction, tight_feature(feature), record);
                }
                let Entry::Occupied(mut there) = self.features.entry(number) else {
                    return Err(ChartError::Absent { record });
                };
                self.out_of_step += usize::from(there.get().version.wrapping_add(1) != feature.version);
                if instruction == Instruction::Delete {
                    there.remove();
                    return Ok(());
                }
                modify_feature(there.get_mut(), feature, [features, spatials], record, &mut self.moved)
            }
            Change::Spatial { name, instruction, nodes, coordinates, spatial } => {
                let record = RecordWord::Spatial(name);
                if instruction == Instruction::Insert {
                    has_no_control([nodes, coordinates], record)?;
                    return new(&mut self.spatials, name, instruction, tight_spatial(spatial), record);
                }
                let Entry::Occupied(mut there) = self.spatials.entry(name) else {
                    return Err(ChartError::Absent { record });
                };
                self.out_of_step += usize::from(there.get().version.wrapping_add(1) != spatial.version);
                if instruction == Instruction::Delete {
                    there.remove();
                    return Ok(());
                }
                modify_spatial(there.get_mut(), spatial, [nodes, coordinates], record, &mut self.moved)
            }
        }
    }
}

/// The name of a file without its number, as producers write it in capitals or not.
fn stem(name: &str) -> String {
    name.split('.').next().unwrap_or_default().to_ascii_uppercase()
}

fn has_no_control(controls: [Option<Control>; 2], record: RecordWord) -> Result<(), ChartError> {
    if controls.iter().any(Option::is_some) {
        return Err(ChartError::NoControl { record, list: "a new record" });
    }
    Ok(())
}

fn modify_feature(
    there: &mut FeatureRecord,
    with: FeatureRecord,
    [features, spatials]: [Option<Control>; 2],
    record: RecordWord,
    moved: &mut usize,
) -> Result<(), ChartError> {
    if there.class_code != with.class_code || there.primitive != with.primitive {
        return Err(ChartError::OtherKind { record });
    }
    there.version = with.version;
    there.long_name = with.long_name.or(there.long_name);
    modify_attributes(&mut there.attributes, with.attributes);
    modify_attributes(&mut there.national, with.national);
    let list = |list| List { record, list };
    list("features").modify(&mut there.features, with.features, features, moved)?;
    list("records of space").modify(&mut there.spatials, with.spatials, spatials, moved)
}

fn modify_spatial(
    there: &mut Spatial,
    with: Spatial,
    [nodes, coordinates]: [Option<Control>; 2],
    record: RecordWord,
    moved: &mut usize,
) -> Result<(), ChartError> {
    there.version = with.version;
    modify_attributes(&mut there.attributes, with.attributes);
    let list = |list| List { record, list };
    list("nodes").modify(&mut there.nodes, with.nodes, nodes, moved)?;
    let is_deep = !there.coordinates.deep.is_empty() || !with.coordinates.deep.is_empty();
    let (flat, deep) = if is_deep { (None, coordinates) } else { (coordinates, None) };
    list("soundings").modify(&mut there.coordinates.deep, with.coordinates.deep, deep, moved)?;
    list("coordinates").modify(&mut there.coordinates.flat, with.coordinates.flat, flat, moved)?;
    let is_edge = matches!(record, RecordWord::Spatial(Name { kind: EDGE, .. }));
    if !is_edge && there.coordinates.flat.is_empty() && there.coordinates.deep.is_empty() {
        return Err(ChartError::Shape { record, why: "is left without a place" });
    }
    Ok(())
}

fn modify_attributes(there: &mut Vec<Attribute>, with: Vec<Attribute>) {
    for attribute in with {
        let place = there.iter().position(|old| old.code == attribute.code);
        match place {
            Some(place) if &*attribute.text == DELETED => {
                there.remove(place);
            }
            Some(place) => {
                if let Some(old) = there.get_mut(place) {
                    *old = attribute;
                }
            }
            // To delete what is not there leaves it not there.
            None if &*attribute.text == DELETED => {}
            None => there.push(attribute),
        }
    }
}

/// A list of a record, for its name.
#[derive(Clone, Copy)]
struct List {
    record: RecordWord,
    list: &'static str,
}

impl List {
    fn modify<T>(
        self,
        there: &mut Vec<T>,
        with: Vec<T>,
        control: Option<Control>,
        moved: &mut usize,
    ) -> Result<(), ChartError> {
        let Self { record, list } = self;
        let Some(Control { instruction, from, count }) = control else {
            return if with.is_empty() { Ok(()) } else { Err(ChartError::NoControl { record, list }) };
        };
        *moved = moved.saturating_add(there.len());
        if MOST_MOVED < *moved {
            return Err(ChartError::TooMuchWork);
        }
        let wanted = if instruction == Instruction::Delete { 0 } else { count };
        let unfit = ChartError::Control { record, list, len: there.len(), from, count };
        let Some(start) = from.checked_sub(1).filter(|start| *start <= there.len()) else {
            return Err(unfit);
        };
        let replaced = if instruction == Instruction::Insert { 0 } else { count };
        let Some(end) = start.checked_add(replaced).filter(|end| *end <= there.len()) else {
            return Err(unfit);
        };
        if with.len() != wanted {
            return Err(unfit);
        }
        there.splice(start..end, with);
        Ok(())
    }
}
