//! What the chance of dragging calls for, and what would bring it within the limits.

use jiff::Timestamp;

use super::{Found, Remedies};
use crate::chance::{ChanceOfDragging, Stay};
use crate::holding::{Bed, HoldingBand};
use crate::plan::board::Board;
use crate::plan::choose;
use crate::plan::laid::{Laid, Terms, chance_over, chance_terms};
use crate::plan::sheet::{Finding, Reason, Remedy, Verdict};
use crate::set::{Proof, ProvedLoad, SET_SHOWN_AT_WEIGHTS};
use crate::units::{Force, Length, Speed};

/// Halvings after which a remedy is known finely enough: a scale of 4 to a thousandth, a stay of days to a minute.
const HALVINGS: u32 = 12;

pub(super) fn findings(found: Found<'_>) -> Vec<Finding> {
    let Some(laid) = &found.chosen.laid else { return Vec::new() };
    let Some(chance) = &laid.chance else { return Vec::new() };
    let limits = found.board.inputs.limits;
    let p90 = chance.band.p90;
    let (word, limit) = if limits.chance_refuse < p90 {
        (refusal_on(found.board, laid), limits.chance_refuse)
    } else if limits.chance_care < p90 {
        (Verdict::LiesWithCare, limits.chance_care)
    } else {
        (Verdict::LiesWell, limits.chance_care)
    };
    let mut all = vec![Finding {
        reason: Reason::ChanceOfDragging { chance: p90, limit },
        calls_for: word,
        at: chance.worst_instant.and_then(|index| Some(found.board.conditions.get(index)?.at)),
        remedies: remedies(found, laid, chance, limits.chance_care),
    }];
    all.extend(failing_to_set(found.board));
    all
}

/// On a bottom that is unknown the refusal rests on the worst there may be: unless the best would be refused as well,
/// what is wanting is knowledge.
fn refusal_on(board: &Board<'_>, laid: &Laid) -> Verdict {
    let seen = board.inputs.dive.as_ref().and_then(|dive| dive.ground.as_ref());
    if !seen.unwrap_or(&board.inputs.bottom).is_unknown() {
        return Verdict::DoNotLieHere;
    }
    let anchor = &board.inputs.gear.anchor;
    let best = Bed::ALL
        .into_iter()
        .filter_map(|bed| HoldingBand::on_bed(anchor.class, anchor.mass, bed).ok())
        .max_by(|a, b| a.median.as_newtons().total_cmp(&b.median.as_newtons()));
    let on_the_best = Board { holding: best.map_or(board.holding, Ok), ..board.clone() };
    let chance = chance_over(&on_the_best, &laid.line, &board.telling, 1.0);
    match chance {
        Ok(Some(chance)) if chance.band.p90 <= board.inputs.limits.chance_refuse => Verdict::CannotSay,
        _ => Verdict::DoNotLieHere,
    }
}

fn failing_to_set(board: &Board<'_>) -> Option<Finding> {
    (board.inputs.proof.is_none()).then(|| Finding {
        reason: Reason::FailingToSet { chance: board.failing_to_set.value },
        calls_for: Verdict::LiesWell,
        at: None,
        remedies: Vec::new(),
    })
}

fn remedies(found: Found<'_>, laid: &Laid, chance: &ChanceOfDragging, limit: f64) -> Vec<Remedy> {
    if found.remedies == Remedies::NotSought {
        return Vec::new();
    }
    let board = found.board;
    let within = chance.band.p90 <= limit;
    let mut remedies = Vec::new();
    if !within {
        let longer = choose::shortest_within(board, limit, laid.length);
        remedies.extend(longer.filter(|&length| laid.length < length).map(|length| found.veer_to(length)));
        let refuse = board.inputs.limits.chance_refuse;
        let set_at = set_at(board, laid, limit).or_else(|| set_at(board, laid, refuse));
        remedies.extend(set_at.map(Remedy::SetAt));
        remedies.extend(leave_before(board, laid, limit).map(Remedy::LeaveBefore));
    }
    remedies.extend(stands_gust(board, laid, limit).map(Remedy::StandsGust));
    if !within && remedies.is_empty() {
        remedies.push(Remedy::AnotherBerth);
    }
    remedies
}

/// The load that, proved at the shank in the direction of the worst, brings the chance within a limit; `None` if she
/// has been set, or no load that the ground can be asked for would.
fn set_at(board: &Board<'_>, laid: &Laid, limit: f64) -> Option<Force> {
    if board.inputs.proof.is_some() {
        return None;
    }
    let worst = laid.chance.as_ref()?.worst_instant?;
    let toward = board.conditions.get(worst)?.weather.as_ref().ok()?.lie.pull;
    let uplift = laid.rides.get(worst)?.as_ref()?.at_gust_p90.uplift();
    let most = board.holding.as_ref().ok()?.quantile(0.9);
    let terms = chance_terms(board, &laid.line, &board.telling, 1.0).ok()?;
    let within = |load: Force| {
        let proof = Proof { load: ProvedLoad::certain(load), toward, uplift };
        chance_with_proof(board, &terms, &proof).is_some_and(|p90| p90 <= limit)
    };
    // A load that what only scrapes along would bear as well proves nothing.
    let least = board.inputs.gear.anchor.mass.weight() * SET_SHOWN_AT_WEIGHTS;
    if most < least || !within(most) {
        return None;
    }
    let (mut low, mut high) = (Force::ZERO, most);
    for _ in 0..HALVINGS / 2 {
        let middle = (low + high) * 0.5;
        if within(middle) { high = middle } else { low = middle }
    }
    Some(high.max(least))
}

fn chance_with_proof(board: &Board<'_>, terms: &Terms, proof: &Proof) -> Option<f64> {
    let stay = Stay {
        instants: &terms.instants,
        curves: &terms.curves,
        holding: board.holding.ok()?,
        spreads: board.spreads,
        proof: Some(proof),
        failing_to_set: board.failing_to_set,
    };
    Some(crate::chance::chance_of_dragging(&stay).ok()?.band.p90)
}

/// The last instant up to which the chance keeps within a limit; `None` if not even the first does.
fn leave_before(board: &Board<'_>, laid: &Laid, limit: f64) -> Option<Timestamp> {
    let telling = &board.telling;
    let within = |count: usize| {
        let some = telling.get(..count).unwrap_or(&[]);
        match chance_over(board, &laid.line, some, 1.0) {
            Ok(Some(chance)) => chance.band.p90 <= limit,
            Ok(None) => count == 0,
            Err(_) => false,
        }
    };
    let (mut low, mut high) = (0, telling.len());
    while 1 < high - low {
        let middle = usize::midpoint(low, high);
        if within(middle) { low = middle } else { high = middle }
    }
    // What breaks the limit is told by the one after the last that keeps it, and may begin with the first that it
    // speaks for.
    let at = board.conditions.get(telling.get(low)?.first)?.at;
    (board.inputs.span.from() < at).then_some(at)
}

/// The strongest gust of the stay, were all its wind scaled until the chance just keeps within a limit.
fn stands_gust(board: &Board<'_>, laid: &Laid, limit: f64) -> Option<Speed> {
    let strongest = board.known().map(|(_, _, weather)| weather.wind.gust).reduce(Speed::max)?;
    if strongest < Speed::knots(1.0) {
        return None;
    }
    let within = |scale: f64| {
        let chance = chance_over(board, &laid.line, &board.telling, scale);
        matches!(chance, Ok(Some(chance)) if chance.band.p90 <= limit)
    };
    let most = STRONGEST_ASKED / strongest;
    if within(most) {
        return Some(STRONGEST_ASKED);
    }
    let (mut low, mut high) = (0.0, most);
    for _ in 0..HALVINGS {
        let middle = 0.5 * (low + high);
        if within(middle) { low = middle } else { high = middle }
    }
    Some(strongest * low).filter(|&gust| WORTH_WAITING_FOR <= gust)
}

/// A wind that she must not outstay is no remedy below this: it blows all but always. Force 3.
const WORTH_WAITING_FOR: Speed = Speed::knots(7.0);

/// No gust above this is asked about: a hurricane's.
const STRONGEST_ASKED: Speed = Speed::knots(100.0);

/// Whole metres of the fair-weather scope, for what may be shortened to.
pub(super) fn may_shorten_to(found: Found<'_>, length: Length) -> bool {
    let board = found.board;
    let fair = choose::fair_weather(board).unwrap_or(length);
    let within = |laid: &Laid| {
        laid.chance.as_ref().is_some_and(|chance| chance.band.p90 <= board.inputs.limits.chance_care)
    };
    fair <= length && board.lay(length).is_ok_and(|laid| within(&laid))
}
