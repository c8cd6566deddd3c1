//! What is not known and keeps the sheet from saying more.

use super::Found;
use crate::catenary::CatenaryError;
use crate::environment::forecast::ForecastError;
use crate::plan::board::Board;
use crate::plan::conditions::NoWeather;
use crate::plan::sheet::{Finding, Reason, Remedy, Unknown, Verdict};
use crate::units::Length;

pub(super) fn findings(found: Found<'_>) -> Vec<Finding> {
    let board = found.board;
    let mut all = water(board);
    all.extend(weather(board));
    all.extend(ground(board));
    all.extend(rode(found));
    all.extend(neighbours(found));
    all.extend(arrangement(board));
    all.extend(board.inputs.forbidden.clone().map(|what| Finding {
        reason: Reason::ForbiddenGround { what },
        calls_for: Verdict::DoNotLieHere,
        at: None,
        remedies: vec![Remedy::AnotherBerth],
    }));
    all
}

fn cannot_say(unknown: Unknown, remedy: Remedy) -> Finding {
    Finding {
        reason: Reason::Unknown(unknown),
        calls_for: Verdict::CannotSay,
        at: None,
        remedies: vec![remedy],
    }
}

fn find_out(what: &str) -> Remedy {
    Remedy::FindOut(what.to_owned())
}

fn water(board: &Board<'_>) -> Vec<Finding> {
    let mut all = Vec::new();
    if board.inputs.depth.is_none() {
        all.push(cannot_say(Unknown::Depth, find_out("the charted depth here, or a sounding")));
    }
    if let Some(why) = &board.no_tide {
        all.push(cannot_say(
            Unknown::Tide { why: why.clone() },
            find_out("a tide station, a table of highs and lows, or that there is no tide"),
        ));
    }
    all
}

/// One finding for each cause, at the first instant that it keeps from being said.
fn weather(board: &Board<'_>) -> Vec<Finding> {
    let mut all: Vec<Finding> = Vec::new();
    for conditions in &board.conditions {
        let Err(why) = &conditions.weather else { continue };
        let Some((unknown, remedies)) = told(why, board) else { continue };
        let known = all.iter().any(|finding| finding.reason == Reason::Unknown(unknown.clone()));
        if !known {
            all.push(Finding {
                reason: Reason::Unknown(unknown),
                calls_for: Verdict::CannotSay,
                at: Some(conditions.at),
                remedies,
            });
        }
    }
    all
}

/// `None` where another finding says it already.
fn told(why: &NoWeather, board: &Board<'_>) -> Option<(Unknown, Vec<Remedy>)> {
    let forecast = || find_out("a forecast that covers the whole stay");
    Some(match why {
        NoWeather::NoForecast => (Unknown::Wind { after: board.inputs.span.from() }, vec![forecast()]),
        NoWeather::Forecast(ForecastError::After { last }) => {
            let mut remedies = vec![forecast()];
            if board.inputs.span.from() < *last {
                remedies.push(Remedy::LeaveBefore(*last));
            }
            (Unknown::Wind { after: *last }, remedies)
        }
        NoWeather::Forecast(ForecastError::Gap { from, to }) => {
            (Unknown::WindGap { from: *from, to: *to }, vec![forecast()])
        }
        NoWeather::Forecast(ForecastError::Before { first }) => {
            (Unknown::WindBefore { before: *first }, vec![forecast(), Remedy::ComeAfter(*first)])
        }
        NoWeather::Stream(why) => (
            Unknown::Stream { why: why.clone() },
            vec![find_out("a station for the stream, a table of it, or that there is none")],
        ),
        NoWeather::Fetch => (
            Unknown::Sea { why: "how far the water is open to windward is not given".to_owned() },
            vec![find_out("the fetch in every direction that the wind may come from")],
        ),
        NoWeather::Windage => (
            Unknown::OutOfModel { why: "the centroid of her windage lies in the water".to_owned() },
            vec![find_out("the height of her windage's centroid")],
        ),
        NoWeather::NoWater => return None,
    })
}

fn arrangement(board: &Board<'_>) -> Option<Finding> {
    let why = board.inputs.arrangement.judged().err()?;
    let what = board.inputs.arrangement.words().to_owned();
    let unknown = Unknown::Arrangement { what, why: why.to_string() };
    Some(cannot_say(unknown, find_out("how she would lie to a single anchor")))
}

fn ground(board: &Board<'_>) -> Vec<Finding> {
    let seen = board.inputs.dive.as_ref().and_then(|dive| dive.ground.as_ref());
    let mut all = Vec::new();
    if seen.unwrap_or(&board.inputs.bottom).is_unknown() {
        all.push(cannot_say(
            Unknown::Bottom,
            find_out("the nature of the bottom: chart, armed lead, or a dive"),
        ));
    }
    if let Err(error) = &board.holding {
        all.push(cannot_say(
            Unknown::OutOfModel { why: error.to_string() },
            find_out("the anchor's class and mass"),
        ));
    }
    all
}

fn rode(found: Found<'_>) -> Vec<Finding> {
    let mut all = Vec::new();
    match &found.chosen.failed {
        Some(CatenaryError::ShorterThanHeight { length, height }) => all.push(Finding {
            reason: Reason::RodeShorterThanDepth { rode: *length, height: *height },
            calls_for: Verdict::DoNotLieHere,
            at: None,
            remedies: vec![longer_than(found, *height)],
        }),
        Some(error) => all.push(out_of_model(&error.to_string())),
        None => {}
    }
    all.extend(found.no_parts.map(|error| out_of_model(&error.to_string())));
    let laid = found.chosen.laid.as_ref();
    if let Some((at, error)) = laid.and_then(|laid| laid.no_ride.as_ref()) {
        all.push(Finding { at: Some(*at), ..out_of_model(&error.to_string()) });
    }
    if let Some(error) = laid.and_then(|laid| laid.no_chance.as_ref()) {
        all.push(out_of_model(&error.to_string()));
    }
    all
}

fn out_of_model(why: &str) -> Finding {
    cannot_say(Unknown::OutOfModel { why: why.to_owned() }, Remedy::AnotherBerth)
}

/// What is aboard, if it reaches; else another berth.
fn longer_than(found: Found<'_>, height: Length) -> Remedy {
    let aboard = found.board.inputs.gear.rode.length();
    if height < aboard { found.veer_to(aboard) } else { Remedy::AnotherBerth }
}

/// A neighbour whose figures cannot be is not left out in silence.
fn neighbours(found: Found<'_>) -> Vec<Finding> {
    let board = found.board;
    let Some(laid) = &found.chosen.laid else { return Vec::new() };
    let first = (0..board.conditions.len()).find_map(|index| laid.region(board, index));
    let Some(region) = first else { return Vec::new() };
    let told = board.inputs.neighbours.iter().filter_map(|neighbour| {
        let error = region.room_to_neighbour(neighbour).err()?;
        let unknown = Unknown::Neighbour { name: neighbour.name.clone(), why: error.to_string() };
        Some(cannot_say(unknown, find_out("where he lies and how he swings")))
    });
    told.collect()
}
