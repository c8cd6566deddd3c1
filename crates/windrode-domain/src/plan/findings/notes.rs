//! What is worth knowing though it alone changes no word.

use super::Found;
use crate::environment::heading::Lies;
use crate::plan::board::Board;
use crate::plan::choose;
use crate::plan::conditions::felt_over_gust;
use crate::plan::sheet::{Finding, Reason, Remedy, Verdict};
use crate::set::equivalent_wind;
use crate::uncertain::Origin;
use crate::units::{Angle, Area, Speed};

/// A turn of the wind from here on turns the anchor in the ground (common practice, no source).
const TURNS_THE_ANCHOR: Angle = Angle::degrees(60.0);

pub(super) fn findings(found: Found<'_>) -> Vec<Finding> {
    let mut all = Vec::new();
    all.extend(aboard_too_short(found.board));
    all.extend(uplift(found));
    all.extend(proved_less(found));
    all.extend(
        found.board.inputs.no_proof.clone().map(|why| note(Reason::SetProvesNothing { why }, Vec::new())),
    );
    all.extend(athwart(found.board));
    all.extend(wind_shift(found.board));
    all.extend(snubber(found.board));
    all.extend(snatched(found));
    all.extend(assumed(found.board));
    all
}

fn note(reason: Reason, remedies: Vec<Remedy>) -> Finding {
    Finding { reason, calls_for: Verdict::LiesWell, at: None, remedies }
}

/// Less rode aboard than the trade's fair-weather scope asks at the highest water.
fn aboard_too_short(board: &Board<'_>) -> Option<Finding> {
    let aboard = board.inputs.gear.rode.length();
    let needed = board.greatest_height()? * choose::fair_scope(board);
    let reason = Reason::RodeAboardTooShort { aboard, needed: Some(needed) };
    (aboard < needed).then(|| note(reason, vec![Remedy::AnotherBerth]))
}

fn uplift(found: Found<'_>) -> Option<Finding> {
    let laid = found.chosen.laid.as_ref()?;
    let rides = laid.rides.iter().enumerate().filter_map(|(index, ride)| Some((index, ride.as_ref()?)));
    let lifted = rides.map(|(index, ride)| (index, ride.at_gust_p90.uplift()));
    let (index, angle) = lifted.max_by(|a, b| a.1.as_radians().total_cmp(&b.1.as_radians()))?;
    if !(Angle::ZERO < angle) {
        return None;
    }
    let down = choose::shank_down(found.board).filter(|&length| laid.length < length);
    let remedies = down.map(|length| found.veer_to(length)).into_iter().collect();
    let at = found.board.conditions.get(index).map(|conditions| conditions.at);
    Some(Finding { at, ..note(Reason::Uplift { angle }, remedies) })
}

fn proved_less(found: Found<'_>) -> Option<Finding> {
    let board = found.board;
    let proof = board.inputs.proof.as_ref()?;
    let laid = found.chosen.laid.as_ref()?;
    let coming = laid.rides.iter().flatten().map(|ride| ride.at_gust_p90.anchor_horizontal());
    let coming = coming.reduce(crate::units::Force::max)?;
    let proved = proof.load.quantile(0.1);
    let worth = proved_gust(board)?;
    (proved < coming).then(|| note(Reason::ProvedLess { proved, coming, worth }, vec![Remedy::SetAt(coming)]))
}

/// The gust at 10 m whose load, as she sheers and surges, is what the set has proved (10th percentile).
pub(in crate::plan) fn proved_gust(board: &Board<'_>) -> Option<Speed> {
    let proof = board.inputs.proof.as_ref()?;
    gust_of(board, proof.load.quantile(0.1))
}

/// The gust at 10 m whose load as she sheers and surges, at the 90th percentile of windage is so much.
pub(in crate::plan) fn gust_of(board: &Board<'_>, load: crate::units::Force) -> Option<Speed> {
    let area = board.inputs.boat.windage.head_on_m2.quantile(0.9) * board.spreads.sheer.median();
    let felt = equivalent_wind(load, Area::square_metres(area))?;
    Some(felt * (1.0 / felt_over_gust(board.inputs.exposure)))
}

fn athwart(board: &Board<'_>) -> Option<Finding> {
    let mut instants = board.known().filter(|(_, _, weather)| weather.lie.lies == Lies::Athwart).peekable();
    let first = board.conditions.get(instants.peek()?.0)?.at;
    let hours = instants.count() as f64 * board.inputs.step.as_secs_f64() / 3600.0;
    Some(Finding { at: Some(first), ..note(Reason::AthwartOrSheering { hours }, Vec::new()) })
}

/// The greatest turn between any two winds that hold her, in the order in which they come.
fn wind_shift(board: &Board<'_>) -> Option<Finding> {
    let winds: Vec<_> = board
        .known()
        .filter(|(_, _, weather)| crate::environment::heading::LIGHT_WIND <= weather.wind.mean)
        .filter_map(|(index, _, weather)| Some((index, weather.wind.from?)))
        .collect();
    let (_, first) = *winds.first()?;
    let turned = winds.iter().map(|&(index, from)| (index, first.to(from)));
    let (index, turn) = turned.max_by(|a, b| a.1.abs().as_radians().total_cmp(&b.1.abs().as_radians()))?;
    let at = board.conditions.get(index)?.at;
    (TURNS_THE_ANCHOR <= turn.abs())
        .then(|| Finding { at: Some(at), ..note(Reason::WindShift { turn }, Vec::new()) })
}

fn snubber(board: &Board<'_>) -> Option<Finding> {
    let gear = &board.inputs.gear;
    if gear.snubber.is_some() || !gear.rode.is_all_chain() {
        return None;
    }
    let reason = if gear.windlass.is_some() { Reason::WindlassCarries } else { Reason::NoSnubber };
    let length = board.inputs.boat.hull.length_overall;
    Some(note(reason, vec![Remedy::Snubber(length)]))
}

/// She would be thrown by the sea and snatched at: no figure of the peak is worth its digits, so that the word is care.
fn snatched(found: Found<'_>) -> Option<Finding> {
    let ridden = found.chosen.laid.as_ref()?.ridden.ok()?;
    if ridden.is_trusted() {
        return None;
    }
    let reason = Reason::Snatched { share: ridden.snatched };
    let longer = found.board.inputs.boat.hull.length_overall;
    let remedies = vec![Remedy::Snubber(longer), Remedy::AnotherBerth];
    Some(Finding { reason, calls_for: Verdict::LiesWithCare, at: Some(ridden.at), remedies })
}

/// What was taken for want of better and weighs: each named once.
fn assumed(board: &Board<'_>) -> Vec<Finding> {
    let inputs = board.inputs;
    let mut all = Vec::new();
    let mut taken = |what: &str, taken: String| {
        all.push(note(Reason::Assumed { what: what.to_owned(), taken }, Vec::new()));
    };
    let windage = inputs.boat.windage;
    if windage.origin == Origin::Assumed {
        let m2 = windage.head_on_m2;
        let text = format!(
            "{:.1} m² of drag area head to wind, {:.1} to {:.1}, by her kind and length",
            m2.median(),
            m2.quantile(0.1),
            m2.quantile(0.9)
        );
        taken("windage", text);
    }
    if inputs.exposure_origin == Origin::Assumed {
        let text = format!("gusts {:.2} times the mean", inputs.exposure.gust_factor());
        taken("what lies to windward", text);
    }
    if inputs.residual.origin == Origin::Assumed {
        let text = format!("one standard deviation of {}", inputs.residual.sigma);
        taken("the water above or below the prediction", text);
    }
    if inputs.slope.is_none() {
        taken("the slope of the ground", "level".to_owned());
    }
    all
}
