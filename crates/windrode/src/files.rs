//! The files that a crew writes: a vessel, and a stay.
//!
//! A file is read whole and every problem in it is reported at once, as `file:line:column: field: what is wrong (what
//! would mend it)`. Unknown keys are refused, so that a misspelt one cannot be silently ignored. What is absent stays
//! absent: the reader makes up nothing, and the plan says what it could not know.

pub(crate) mod source;
pub(crate) mod shelf;
pub(crate) mod toml_reading;
pub(crate) mod times;
pub(crate) mod choices;
pub(crate) mod vessel;
pub(crate) mod stay;
pub(crate) mod chosen_gear;

use std::path::Path;

use toml::de::DeTable;
use windrode_domain::tackle::Gear;

use self::source::{Problem, Source};
use self::stay::StayFile;
use self::vessel::VesselFile;

/// What a file is, by the table that it must have.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum FileKind {
    /// It has `[vessel]`.
    Vessel,
    /// It has `[stay]`.
    Stay,
}

/// A stay with the vessel that it names and the gear that it uses.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct StayAboard {
    /// The stay.
    pub(crate) stay: StayFile,
    /// The vessel.
    pub(crate) vessel: VesselFile,
    /// The gear.
    pub(crate) gear: Gear,
}

/// What a text is; `None` when it has neither table.
pub(crate) fn kind_of(source: &Source) -> Option<FileKind> {
    let (document, _) = DeTable::parse_recoverable(source.text());
    let has = |key: &str| document.get_ref().contains_key(key);
    match (has("stay"), has("vessel")) {
        (true, _) => Some(FileKind::Stay),
        (false, true) => Some(FileKind::Vessel),
        (false, false) => None,
    }
}

/// Loads a vessel file.
///
/// # Errors
/// Every problem in it at once.
pub(crate) fn load_vessel(path: &Path) -> Result<VesselFile, Vec<Problem>> {
    let source = Source::load(path).map_err(|problem| vec![problem])?;
    vessel::read_vessel(&source)
}

/// Loads a stay file and the vessel file that it names, or another in its stead.
///
/// # Errors
/// Every problem in both at once.
pub(crate) fn load_stay(path: &Path, vessel: Option<&Path>) -> Result<StayAboard, Vec<Problem>> {
    let source = Source::load(path).map_err(|problem| vec![problem])?;
    let stay = stay::read_stay(&source);
    let aboard = match (vessel, &stay) {
        (Some(path), _) => Some(load_vessel(path)),
        (None, Ok(stay)) => Some(named_vessel(stay)),
        (None, Err(_)) => None,
    };
    stay_aboard(stay, aboard)
}

/// A stay and the vessel that it is planned for, from what was read of both.
///
/// # Errors
/// Every problem in both at once.
pub(crate) fn stay_aboard(
    stay: Result<StayFile, Vec<Problem>>,
    vessel: Option<Result<VesselFile, Vec<Problem>>>,
) -> Result<StayAboard, Vec<Problem>> {
    match (stay, vessel) {
        (Ok(stay), Some(Ok(vessel))) => {
            let gear = chosen_gear::chosen_gear(&stay, &vessel)?;
            Ok(StayAboard { stay, vessel, gear })
        }
        (stay, vessel) => {
            let mut problems = stay.err().unwrap_or_default();
            problems.extend(vessel.and_then(Result::err).unwrap_or_default());
            Err(problems)
        }
    }
}

/// The vessel that a stay names; a file that cannot be opened is a problem of the stay's.
fn named_vessel(stay: &StayFile) -> Result<VesselFile, Vec<Problem>> {
    let path = &stay.vessel.value;
    match Source::load(path) {
        Ok(source) => vessel::read_vessel(&source),
        Err(problem) => {
            Err(vec![stay.vessel.problem(format!("the vessel file {} {}", problem.file, problem.text))])
        }
    }
}
