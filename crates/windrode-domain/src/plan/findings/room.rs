//! What the room to dangers and neighbours calls for.

use super::{Found, Remedies, chance};
use crate::plan::over_stay::LeastRoomTo;
use crate::plan::sheet::{Finding, Reason, Remedy, Verdict};
use crate::units::Length;

pub(super) fn findings(found: Found<'_>) -> Vec<Finding> {
    let Some(over) = found.over else { return Vec::new() };
    let told = over.least.iter().map(|least| finding(found, least));
    told.filter(|finding| finding.calls_for != Verdict::LiesWell || is_near(finding)).collect()
}

/// Room of no more than three times what is wanted is worth a line; the rest stands in the list of rooms.
fn is_near(finding: &Finding) -> bool {
    matches!(&finding.reason, Reason::LittleRoom { room, limit, .. } if *room <= *limit * 3.0)
}

fn finding(found: Found<'_>, least: &LeastRoomTo) -> Finding {
    let limits = found.board.inputs.limits;
    let care = limits.room_care_for(found.board.inputs.boat.hull.length_overall);
    let room = least.room.least;
    let (word, limit) = if room < limits.room_refuse {
        (Verdict::DoNotLieHere, limits.room_refuse)
    } else if room < care {
        (Verdict::LiesWithCare, care)
    } else {
        (Verdict::LiesWell, care)
    };
    let mended = word == Verdict::LiesWell;
    Finding {
        reason: Reason::LittleRoom {
            to: least.room.to.clone(),
            room,
            limit,
            assumed: least.room.assumed.iter().map(ToString::to_string).collect(),
        },
        calls_for: word,
        at: Some(least.at),
        remedies: if mended { Vec::new() } else { remedies(found, least, care) },
    }
}

/// Shorter, where the chance of dragging bears it; else farther off, away from where her hull comes nearest.
fn remedies(found: Found<'_>, least: &LeastRoomTo, wanted: Length) -> Vec<Remedy> {
    let mut remedies = Vec::new();
    if let Some(length) = shorter(found, least, wanted) {
        remedies.push(Remedy::ShortenTo { length, mark: found.mark(length) });
    }
    remedies.push(Remedy::LieFarther {
        towards: least.room.at.bearing().reversed(),
        by: wanted - least.room.least,
    });
    remedies
}

/// The longest whole metre below the planned that leaves the wanted room at the instant of least room and
/// still holds.
fn shorter(found: Found<'_>, least: &LeastRoomTo, wanted: Length) -> Option<Length> {
    if found.remedies == Remedies::NotSought {
        return None;
    }
    let planned = found.chosen.laid.as_ref()?.length;
    let lacking = wanted - least.room.least;
    // A metre of rode is a metre of reach at most, so that nothing longer than this can do.
    let length = Length::metres((planned - lacking).as_metres().floor());
    if !(Length::ZERO < length && chance::may_shorten_to(found, length)) {
        return None;
    }
    let laid = found.board.lay(length).ok()?.ridden_like(found.chosen.laid.as_ref()?.ridden);
    let rooms = laid.rooms(found.board, least.index);
    let room = rooms.into_iter().find(|room| room.to == least.room.to)?;
    (wanted <= room.least).then_some(length)
}
