//! What the parts in the line of load call for.

use super::Found;
use crate::parts::PartKind;
use crate::plan::sheet::{Finding, PartLine, Reason, Remedy, Verdict};

pub(super) fn findings(found: Found<'_>) -> Vec<Finding> {
    found
        .parts
        .iter()
        .filter(|part| part.kind != PartKind::Ground)
        .filter_map(|part| finding(found, part))
        .collect()
}

/// A part loaded past its working load may fail; past the share of it that is careful use, it is watched.
fn finding(found: Found<'_>, part: &PartLine) -> Option<Finding> {
    let careful = part.may_carry * found.board.inputs.limits.part_care_share;
    let (word, limit) = if part.may_carry < part.load {
        (Verdict::DoNotLieHere, part.may_carry)
    } else if careful < part.load {
        (Verdict::LiesWithCare, careful)
    } else {
        return None;
    };
    Some(Finding {
        reason: Reason::PartLoaded {
            part: part.name.clone(),
            load: part.load,
            limit,
            gives_at: part.gives_at,
        },
        calls_for: word,
        at: Some(part.at),
        remedies: vec![Remedy::StrongerPart(part.load / found.board.inputs.limits.part_care_share)],
    })
}
