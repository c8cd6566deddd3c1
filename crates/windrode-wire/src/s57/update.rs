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

use super::place::Place;
use super::records::{Change, Control, FeatureRecord, Head, Identity, Instruction, Parameters, Spatial};
use super::refusal::{ChartError, RecordWord};
use super::{Feature, MOST_BYTES, cell};

/// Entries of lists that updates may move about, so that a small file cannot ask for hours: a chart of the greatest
/// size holds some 600 000 coordinates, and an update touches few lists of it.
const MOST_MOVED: usize = 200_000_000;
/// A record has at least a leader, a directory of an entry, and a field.
const LEAST_RECORD_BYTES: usize = 24 + 11 + 8;

/// A chart's records as they stand.
#[derive(Clone, Debug)]
pub(super) struct Standing {
    pub(super) identity: Identity,
    pub(super) parameters: Parameters,
    pub(super) edition: u32,
    pub(super) update: u32,
    /// When the last update was issued.
    pub(super) updated: Option<String>,
    /// In order of their numbers.
    pub(super) features: Vec<Feature>,
    /// In order of their names.
    pub(super) places: Vec<Place>,
    /// Records whose version did not follow.
    pub(super) out_of_step: usize,
    /// Updates that the base cell held already.
    pub(super) held_already: Vec<u32>,
    moved: usize,
}

/// The records of a base cell.
pub(super) fn base(bytes: &[u8]) -> Result<Standing, ChartError> {
    size(bytes)?;
    let (mut features, mut places) = (Vec::new(), Vec::new());
    let head = super::records::read(bytes, |head, change| {
        is_base(head)?;
        match change {
            Change::Feature {
                number,
                instruction: Instruction::Insert,
                features: None,
                spatials: None,
                feature,
            } => {
                if features.capacity() == 0 {
                    features.reserve_exact(room(head.structure.features, bytes));
                }
                features.push(Feature::new(number, feature));
                Ok(())
            }
            Change::Spatial {
                name,
                instruction: Instruction::Insert,
                nodes: None,
                coordinates: None,
                spatial,
            } => {
                if places.capacity() == 0 {
                    places.reserve_exact(room(head.structure.spatials.iter().sum(), bytes));
                }
                places.push(Place::new(name, spatial)?);
                Ok(())
            }
            Change::Feature { number, .. } => Err(ChartError::NotNew { record: RecordWord::Feature(number) }),
            Change::Spatial { name, .. } => Err(ChartError::NotNew { record: RecordWord::Spatial(name) }),
        }
    })?;
    is_base(&head)?;
    in_order(&mut features, |feature| feature.number.into(), |feature| RecordWord::Feature(feature.number))?;
    in_order(&mut places, |place: &Place| place.name.rank(), |place| RecordWord::Spatial(place.name))?;
    let edition = stated("the edition (EDTN)", &head.identity.edition)?;
    let update = stated("the number of the last update in it (UPDN)", &head.identity.update)?;
    Ok(Standing {
        edition,
        update,
        parameters: head.parameters.ok_or(ChartError::NoParameters)?,
        identity: head.identity,
        updated: None,
        features,
        places,
        out_of_step: 0,
        held_already: Vec::new(),
        moved: 0,
    })
}

/// Room for so many records as are stated, and no more than the file can hold.
fn room(stated: u64, bytes: &[u8]) -> usize {
    let most = bytes.len() / LEAST_RECORD_BYTES;
    usize::try_from(stated).map_or(most, |stated| stated.min(most))
}

/// Puts records in order; each is there once.
fn in_order<T>(
    all: &mut [T],
    rank: impl Fn(&T) -> u64,
    word: impl Fn(&T) -> RecordWord,
) -> Result<(), ChartError> {
    if !all.is_sorted_by_key(&rank) {
        all.sort_unstable_by_key(&rank);
    }
    let twice = all.windows(2).find_map(|pair| match pair {
        [one, other] if rank(one) == rank(other) => Some(word(one)),
        _ => None,
    });
    twice.map_or(Ok(()), |record| Err(ChartError::Twice { record }))
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
        if cell(&update.name) != cell(&self.identity.name) {
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
                let found = self.features.binary_search_by_key(&number, Feature::number);
                let record = RecordWord::Feature(number);
                let found = self.found(found, instruction, self.features.len(), record)?;
                if instruction == Instruction::Insert {
                    has_no_control([features, spatials], record)?;
                    self.features.insert(found, Feature::new(number, feature));
                    return Ok(());
                }
                let Some(there) = self.features.get_mut(found) else { return Ok(()) };
                self.out_of_step += usize::from(!follows(there.record.version, feature.version));
                if instruction == Instruction::Delete {
                    self.features.remove(found);
                    return Ok(());
                }
                modify_feature(&mut there.record, feature, [features, spatials], record, &mut self.moved)
            }
            Change::Spatial { name, instruction, nodes, coordinates, spatial } => {
                let found = self.places.binary_search_by_key(&name.rank(), |place| place.name.rank());
                let record = RecordWord::Spatial(name);
                let found = self.found(found, instruction, self.places.len(), record)?;
                if instruction == Instruction::Insert {
                    has_no_control([nodes, coordinates], record)?;
                    self.places.insert(found, Place::new(name, spatial)?);
                    return Ok(());
                }
                let Some(there) = self.places.get_mut(found) else { return Ok(()) };
                self.out_of_step += usize::from(!follows(there.version, spatial.version));
                if instruction == Instruction::Delete {
                    self.places.remove(found);
                    return Ok(());
                }
                modify_place(there, spatial, [nodes, coordinates], record, &mut self.moved)
            }
        }
    }

    /// Where a record is that is there, or goes that is not; either as the instruction wants it.
    fn found(
        &mut self,
        found: Result<usize, usize>,
        instruction: Instruction,
        len: usize,
        record: RecordWord,
    ) -> Result<usize, ChartError> {
        match (found, instruction) {
            (Ok(there), Instruction::Modify) => Ok(there),
            (Ok(place), Instruction::Delete) | (Err(place), Instruction::Insert) => {
                work(&mut self.moved, len - place)?;
                Ok(place)
            }
            (Ok(_), Instruction::Insert) => Err(ChartError::Twice { record }),
            (Err(_), Instruction::Delete | Instruction::Modify) => Err(ChartError::Absent { record }),
        }
    }
}

fn follows(old: u16, new: u16) -> bool {
    old.wrapping_add(1) == new
}

/// Counts entries that are moved about.
fn work(moved: &mut usize, more: usize) -> Result<(), ChartError> {
    *moved = moved.saturating_add(more);
    if MOST_MOVED < *moved { Err(ChartError::TooMuchWork) } else { Ok(()) }
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
    there.attributes = there.attributes.updated(&with.attributes);
    there.national = there.national.updated(&with.national);
    let list = |list| List { record, list };
    list("features").modify(&mut there.features, with.features, features, moved)?;
    list("records of space").modify(&mut there.spatials, with.spatials, spatials, moved)
}

fn modify_place(
    there: &mut Place,
    with: Spatial,
    [nodes, coordinates]: [Option<Control>; 2],
    record: RecordWord,
    moved: &mut usize,
) -> Result<(), ChartError> {
    let mut spatial = there.opened();
    spatial.version = with.version;
    spatial.attributes = spatial.attributes.updated(&with.attributes);
    let list = |list| List { record, list };
    list("nodes").modify(&mut spatial.nodes, with.nodes, nodes, moved)?;
    let is_deep = !spatial.deep.is_empty() || !with.deep.is_empty();
    let (flat, deep) = if is_deep { (None, coordinates) } else { (coordinates, None) };
    list("soundings").modify(&mut spatial.deep, with.deep, deep, moved)?;
    list("coordinates").modify(&mut spatial.flat, with.flat, flat, moved)?;
    *there = Place::new(there.name, spatial)?;
    Ok(())
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
        work(moved, there.len())?;
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
