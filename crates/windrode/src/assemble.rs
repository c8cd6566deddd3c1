//! From a stay with its vessel to all that a plan is made from.
//!
//! Words get their meaning, stations and files are opened, a sounding is reduced by the tide, a set is reckoned. What
//! the crew did not tell stays untold, or takes the unfavourable one of the plausible values and is marked assumed.
//! Every problem is told at once, where it stands.

mod boat;
pub(crate) mod water;
mod wind;
mod place;
mod set;
pub(crate) mod watched_vessel;
pub(crate) mod watch;

use rand::{Rng, SeedableRng};
use rand_pcg::Pcg64;
use windrode_domain::arrangement::Arrangement;
use windrode_domain::drawn::Drawn;
use windrode_domain::plan::inputs::{Inputs, STEP};

use std::sync::OnceLock;

use crate::files::StayAboard;
use crate::files::choices::{self, Choice};
use crate::files::shelf::Shelf;
use crate::files::source::{Located, Problem};
use crate::files::stay::StayFile;
use crate::files::toml_reading::nearest;

/// All that a plan is made from, what the stay names being read from disk.
///
/// # Errors
/// Every problem at once.
pub(crate) fn inputs(aboard: &StayAboard) -> Result<Inputs, Vec<Problem>> {
    inputs_from(aboard, Shelf::Disk)
}

/// All that a plan is made from, what the stay names being taken from a shelf.
///
/// # Errors
/// Every problem at once.
pub(crate) fn inputs_from(aboard: &StayAboard, shelf: Shelf<'_>) -> Result<Inputs, Vec<Problem>> {
    let mut problems = Vec::new();
    let made = assembled(aboard, shelf, &mut problems);
    match made {
        Some(inputs) if problems.is_empty() => Ok(inputs),
        _ => Err(problems),
    }
}

fn assembled(aboard: &StayAboard, shelf: Shelf<'_>, problems: &mut Vec<Problem>) -> Option<Inputs> {
    let stay = &aboard.stay;
    let boat = boat::boat(&aboard.vessel, stay, problems);
    check_veered(aboard, problems);
    let bottom = place::bottom(stay.ground.as_ref(), problems);
    let (exposure, exposure_origin) = wind::exposure(stay.wind.as_ref(), problems);
    let forecast = wind::forecast(stay, shelf, problems);
    let tide = water::tide(stay, shelf, problems);
    let stream = water::stream(stay, problems);
    let fetch = wind::fetch(stay, problems);
    let dangers = place::dangers(stay, problems);
    let neighbours = place::neighbours(stay, forecast.as_ref(), exposure, problems);
    let arrangement = arrangement(stay.arrangement.as_ref(), problems);
    let slope = place::slope(stay, problems);
    let dive = stay.dive.as_ref().and_then(|dive| set::dive(dive, &bottom, problems));
    let boat = boat?;
    let depth = water::depth(stay, &boat, &tide.tide, problems);
    let mut inputs = Inputs {
        stay: stay.name.clone(),
        boat,
        gear: aboard.gear.clone(),
        anchor_at: stay.position,
        span: stay.span,
        step: stay.step.unwrap_or(STEP),
        veered: stay.veered,
        residual: water::residual(stay.tide.as_ref(), depth),
        depth,
        slope,
        bottom,
        forbidden: stay.ground.as_ref().and_then(|ground| ground.forbidden.clone()),
        tide: tide.tide,
        tide_source: tide.source,
        stream,
        forecast,
        exposure,
        exposure_origin,
        fetch,
        fetch_depth: stay.sea.as_ref().and_then(|sea| sea.depth),
        dangers,
        neighbours,
        proof: None,
        no_proof: None,
        dive,
        arrangement,
        limits: stay.limits,
        drawn: drawn(),
    };
    set::prove(aboard, &mut inputs, problems);
    Some(inputs)
}

/// Words for the ride through the worst instant: the same ones for every plan, so that two plans differ by what was
/// changed. Enough for its three hours and a quarter of gusts and sea (seven normal draws a second, 1.02 words each).
fn drawn() -> Drawn {
    static DRAWN: OnceLock<Drawn> = OnceLock::new();
    let make = || {
        let mut generator = Pcg64::seed_from_u64(1);
        let words: Vec<u64> = (0..WORDS).map(|_| generator.next_u64()).collect();
        Drawn::new(words).expect("there are words")
    };
    DRAWN.get_or_init(make).clone()
}

/// See [`drawn`].
const WORDS: usize = 3 * 3600 * 8;

/// A problem with a field, told where it stands, or the table that it should stand in.
fn problem(stay: &StayFile, field: &str, text: impl Into<String>) -> Problem {
    let outward = std::iter::successors(Some(field), |path| path.rfind(['.', '[']).map(|end| &path[..end]));
    let place = outward
        .filter_map(|path| stay.sites.iter().find(|site| site.field == path))
        .map(|site| site.place)
        .next();
    Problem { file: stay.vessel.site.file.clone(), place, field: field.to_owned(), text: text.into() }
}

/// The meaning of a word; the nearest known one is named where it has none.
fn meaning<T: Copy>(said: &Located<String>, known: &[Choice<T>]) -> Result<T, Problem> {
    let word = said.value.trim().to_lowercase();
    let found = known.iter().find(|choice| choice.word == word).map(|choice| choice.is);
    found.ok_or_else(|| {
        let names: Vec<&str> = known.iter().map(|choice| choice.word).collect();
        said.problem(format!("\"{}\" is not one of its words ({})", said.value, nearest(&word, &names)))
    })
}

/// What is there, its problem kept.
fn kept<T>(made: Result<T, Problem>, problems: &mut Vec<Problem>) -> Option<T> {
    made.map_err(|problem| problems.push(problem)).ok()
}

fn check_veered(aboard: &StayAboard, problems: &mut Vec<Problem>) {
    let (stay, all) = (&aboard.stay, aboard.gear.rode.length());
    let told = [("stay.veered", stay.veered), ("set.veered", stay.set.and_then(|set| set.veered))];
    for (field, veered) in told.into_iter().filter_map(|(field, veered)| Some((field, veered?))) {
        if !(0.0 < veered.as_metres() && veered <= all) {
            let text = format!("is {veered}, and that rode is {all} long (check it, or leave it out)");
            problems.push(problem(stay, field, text));
        }
    }
}

fn arrangement(said: Option<&Located<String>>, problems: &mut Vec<Problem>) -> Arrangement {
    said.and_then(|said| kept(meaning(said, &choices::ARRANGEMENTS), problems))
        .unwrap_or(Arrangement::SingleAnchor)
}

#[cfg(test)]
mod tests;
