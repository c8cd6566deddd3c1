//! How much rode to veer.
//!
//! What the crew say stands. Else the shortest whole metre is sought that
//!
//! 1. keeps the chance of dragging (90th percentile) within the limit of care; or, where no length aboard does, keeps
//!    it within that of refusal and the shank from lifting in the worst gust (90th percentile), as far as either can
//!    be done; or is all there is; and
//! 2. is no shorter than the trade's fair-weather scope, four to one on chain, six to one with rope, reckoned from
//!    the ground to the bow at the highest water (common practice, no source): the physics of a calm night would ask
//!    for less, and calm nights end.
//!
//! More rode than that is never taken for its own sake: it takes room.

use super::board::Board;
use super::conditions::Which;
use super::laid::{Laid, chance_over};
use super::riding;
use crate::catenary::{Bed, CatenaryError, Need, shortest};
use crate::trade_rules::{FAIR_SCOPE_CHAIN, FAIR_SCOPE_ROPE};
use crate::uncertain::Z90;
use crate::units::Length;

/// The rode as planned.
#[derive(Clone, Debug)]
pub struct Chosen {
    /// The rode laid; `None` where it cannot be said.
    pub laid: Option<Laid>,
    /// Why it could not be laid, if it failed.
    pub failed: Option<CatenaryError>,
}

/// Lays what the crew say, or what is sought, and lives through the worst of it.
pub fn lay(board: &Board<'_>) -> Chosen {
    let chosen = unridden(board);
    Chosen { laid: chosen.laid.map(|laid| laid.with_chance(board).ridden_through(board)), ..chosen }
}

/// The same with peaks by the balance alone, and the chance of dragging left out.
///
/// More lines than a single anchor's are never judged as one: nothing is laid then.
pub(super) fn unridden(board: &Board<'_>) -> Chosen {
    if board.inputs.arrangement.judged().is_err() {
        return Chosen { laid: None, failed: None };
    }
    let Some(length) = board.inputs.veered.or_else(|| sought(board)) else {
        return Chosen { laid: None, failed: board.stowed.as_ref().err().copied() };
    };
    match board.veered(length).and_then(|line| Laid::riding_on(board, length, line)) {
        Ok(laid) => Chosen { laid: Some(laid), failed: None },
        Err(error) => Chosen { laid: None, failed: Some(error) },
    }
}

/// Up to the whole metre above, and never more than there is.
fn whole_metres(length: Length, aboard: Length) -> Length {
    // A nanometre over is rounding, not rode.
    Length::metres((length.as_metres() - 1e-6).ceil()).min(aboard)
}

/// The trade's fair-weather scope at the highest water, as far as there is rode for it.
pub(super) fn fair_weather(board: &Board<'_>) -> Option<Length> {
    let aboard = board.inputs.gear.rode.length();
    Some(whole_metres(board.greatest_height()? * fair_scope(board), aboard))
}

/// The trade's fair-weather scope for her rode.
pub(super) fn fair_scope(board: &Board<'_>) -> f64 {
    if board.inputs.gear.rode.is_all_chain() { FAIR_SCOPE_CHAIN } else { FAIR_SCOPE_ROPE }
}

fn sought(board: &Board<'_>) -> Option<Length> {
    let least = fair_weather(board)?;
    let limits = board.inputs.limits;
    let within = |limit: f64| shortest_within(board, limit, least);
    let next_best = || match (within(limits.chance_refuse), shank_down(board)) {
        (Some(by_chance), Some(by_shank)) => Some(by_chance.max(by_shank)),
        (by_chance, by_shank) => by_chance.or(by_shank),
    };
    let sought = within(limits.chance_care).or_else(next_best);
    Some(sought.map_or(board.inputs.gear.rode.length(), |length| length.max(least)))
}

/// The shortest whole metre, no shorter than `least`, that keeps the chance within a limit; `None` if none
/// aboard does.
pub(super) fn shortest_within(board: &Board<'_>, limit: f64, least: Length) -> Option<Length> {
    let aboard = board.inputs.gear.rode.length();
    let within = |length: Length| chance_p90(board, length).is_some_and(|chance| chance <= limit);
    // The least is asked first: on most nights it does, and each asking takes a tenth of the plan.
    if within(least) {
        return Some(least);
    }
    if !within(aboard) {
        return None;
    }
    // The chance falls with length: the first whole metre within the limit lies between.
    let (mut low, mut high) = (least, aboard);
    while Length::metres(1.0) < high - low {
        let middle = Length::metres(((low + high) * 0.5).as_metres().floor()).max(low + Length::metres(1.0));
        if within(middle) { high = middle } else { low = middle }
    }
    Some(whole_metres(high, aboard))
}

/// The chance (90th percentile) with a length, over the instants that tell.
fn chance_p90(board: &Board<'_>, length: Length) -> Option<f64> {
    let line = board.stowed.as_ref().ok()?.veered(length).ok()?;
    let chance = chance_over(board, &line, &board.telling, 1.0).ok()??;
    Some(chance.band.p90)
}

/// The shortest whole metre that keeps the shank down in every gust (90th percentile); `None` if none aboard does.
pub(super) fn shank_down(board: &Board<'_>) -> Option<Length> {
    let stowed = board.stowed.as_ref().ok()?;
    let sigma = board.inputs.boat.windage.head_on_m2.sigma_ln();
    let mut needed = Length::ZERO;
    for (_, water, weather) in board.known() {
        let height = water.high().0 + riding::lead_height(board.inputs);
        let bed = Bed { slope: riding::slope_towards(board.inputs, weather), friction: 0.0 };
        let gust = weather.load_at(Which::Gust, sigma, Z90).max(riding::LEAST_LOAD);
        needed = needed.max(shortest(stowed, Need::NoUplift, height, gust, &bed).ok()?);
    }
    Some(whole_metres(needed, stowed.length()))
}
