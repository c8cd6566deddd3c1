//! What the water under the keel calls for.

use super::Found;
use crate::plan::sheet::{Finding, Reason, Remedy, Verdict};
use crate::units::Length;

pub(super) fn findings(found: Found<'_>) -> Vec<Finding> {
    let Some(over) = found.over else { return Vec::new() };
    let Some((index, least)) = over.least_under_keel() else { return Vec::new() };
    let limits = found.board.inputs.limits;
    let (word, limit) = if least < limits.under_keel_refuse {
        (Verdict::DoNotLieHere, limits.under_keel_refuse)
    } else if least < limits.under_keel_care {
        (Verdict::LiesWithCare, limits.under_keel_care)
    } else {
        (Verdict::LiesWell, limits.under_keel_care)
    };
    let mended = word == Verdict::LiesWell;
    vec![Finding {
        reason: Reason::LittleWater { under_keel: least, limit },
        calls_for: word,
        at: found.board.conditions.get(index).map(|conditions| conditions.at),
        remedies: if mended { Vec::new() } else { remedies(found, &over.under_keel, limit, least) },
    }]
}

/// Deeper by what is wanting for ease; away before it is first wanting, or here only after it last was.
fn remedies(found: Found<'_>, under_keel: &[Option<Length>], limit: Length, least: Length) -> Vec<Remedy> {
    let conditions = &found.board.conditions;
    let wanting = |keel: &Option<Length>| keel.is_some_and(|keel| keel < limit);
    let first = under_keel.iter().position(wanting);
    let last = under_keel.iter().rposition(wanting);
    let mut remedies = vec![Remedy::DeeperBy(found.board.inputs.limits.under_keel_care - least)];
    let before = first.and_then(|first| first.checked_sub(1)).and_then(|before| conditions.get(before));
    remedies.extend(before.map(|conditions| Remedy::LeaveBefore(conditions.at)));
    let after = last.and_then(|last| conditions.get(last + 1));
    remedies.extend(after.map(|conditions| Remedy::ComeAfter(conditions.at)));
    remedies
}
