//! What stands round the figures: head, rules of the trade beside the physics, provenance, rules and cautions.

use super::board::Board;
use super::choose::{self, Chosen};
use super::inputs::Inputs;
use super::riding;
use super::sheet::{Head, Provenance, Reminder, RuleBeside, Veer};
use crate::collision_rules::{CAUTIONS, When, reminders};
use crate::environment::forecast::Forecast;
use crate::holding::second_opinions;
use crate::parts::{PartKind, slack_bight};
use crate::plan::sheet::PartLine;
use crate::trade_rules::{RodeKind, parting_in_words, rules_for};
use crate::uncertain::Origin;

pub(super) fn head(inputs: &Inputs) -> Head {
    let forecast = inputs.forecast.as_ref();
    Head {
        stay: inputs.stay.clone(),
        boat: inputs.boat.name.clone(),
        anchor_at: inputs.anchor_at,
        span: inputs.span,
        anchor: inputs.gear.anchor.name.clone(),
        length_overall: inputs.boat.hull.length_overall,
        draught: inputs.boat.hull.draught,
        roller_height: inputs.boat.roller_height,
        tide_source: inputs.tide_source.clone(),
        datum: match &inputs.tide {
            super::inputs::Foretold::Known(tide) => tide.datum().to_owned(),
            super::inputs::Foretold::None => "the level as given".to_owned(),
            super::inputs::Foretold::Unknown(_) => "unknown".to_owned(),
        },
        wind_source: forecast.map_or_else(|| "none".to_owned(), Forecast::source),
        wind_issued: forecast.and_then(|forecast| forecast.provenance().issued),
        wind_tried: forecast.and_then(Forecast::tried),
    }
}

/// The rode to veer; `None` where it could not be laid.
pub(super) fn veer(board: &Board<'_>, chosen: &Chosen, parts: &[PartLine]) -> Option<Veer> {
    let laid = chosen.laid.as_ref()?;
    let gear = &board.inputs.gear;
    let on_a_leg = parts.iter().find(|part| part.kind == PartKind::Snubber).map(|part| part.load);
    Some(Veer {
        length: laid.length,
        aboard: gear.rode.length(),
        origin: if board.inputs.veered.is_some() { Origin::Given } else { Origin::Computed },
        greatest_height: board.greatest_height()?,
        mark: gear.rode.marks.as_ref().and_then(|marks| marks.at(laid.length)),
        snubber: gear.snubber.as_ref().map(|snubber| snubber.leg.length),
        slack_bight: gear.snubber.as_ref().zip(on_a_leg).map(|(snubber, load)| slack_bight(snubber, load)),
    })
}

/// The trade's rules at the highest water, beside what the physics asks.
pub(super) fn rules(board: &Board<'_>) -> Vec<RuleBeside> {
    let Some(height) = board.greatest_height() else { return Vec::new() };
    let kind =
        if board.inputs.gear.rode.is_all_chain() { RodeKind::AllChain } else { RodeKind::ChainAndRope };
    let physics = choose::shank_down(board);
    let beside = |figure: crate::trade_rules::RuleFigure| RuleBeside {
        rule: figure.rule.name.to_owned(),
        by_rule: figure.from,
        parts: match physics {
            Some(physics) => without_name(&figure, parting_in_words(&figure, physics)),
            None => "no length aboard keeps the shank down in the worst gust".to_owned(),
        },
    };
    rules_for(kind, height).into_iter().map(beside).collect()
}

/// The words of a parting without the rule's name, which stands beside them.
fn without_name(figure: &crate::trade_rules::RuleFigure, words: String) -> String {
    match words.strip_prefix(figure.rule.name) {
        Some(rest) => rest.trim_start_matches(':').trim_start().to_owned(),
        None => words,
    }
}

pub(super) fn all_reminders(board: &Board<'_>) -> Vec<Reminder> {
    let inputs = board.inputs;
    let rules = reminders(inputs.boat.hull.length_overall, inputs.span, &board.dark);
    let told = rules.into_iter().map(|reminder| Reminder {
        text: reminder.what.to_owned(),
        rule: Some(reminder.rule.to_owned()).filter(|rule| !rule.is_empty()),
        spans: match reminder.when {
            When::Dark(spans) | When::Day(spans) => spans,
            When::Always | When::RestrictedVisibility => Vec::new(),
        },
    });
    let cautions =
        CAUTIONS.iter().map(|text| Reminder { text: (*text).to_owned(), rule: None, spans: Vec::new() });
    told.chain(cautions).collect()
}

/// Where the sheet's figures come from.
pub(super) fn provenance(board: &Board<'_>) -> Vec<Provenance> {
    let mut all = surroundings(board);
    all.extend(boat(board));
    all.extend(ground(board));
    all
}

fn told(what: &str, value: String, origin: Origin, source: &str) -> Provenance {
    Provenance { what: what.to_owned(), value, origin, source: source.to_owned() }
}

fn surroundings(board: &Board<'_>) -> Vec<Provenance> {
    let inputs = board.inputs;
    let residual = inputs.residual;
    let mut all =
        vec![told("height of tide", "see the turns".to_owned(), Origin::Forecast, &inputs.tide_source)];
    all.extend(inputs.depth.map(|depth| {
        let value = format!("{} below datum, give or take {}", depth.charted.0, depth.sigma);
        let source = if depth.origin == Origin::Measured {
            "the sounder, reduced by the tide"
        } else {
            "the chart, as given"
        };
        told("depth at the anchor", value, depth.origin, source)
    }));
    all.push(told(
        "water above the prediction",
        format!("{}, give or take {}", residual.mean, residual.sigma),
        residual.origin,
        "pressure and wind; the sounder at rest corrects it",
    ));
    if let Some(forecast) = &inputs.forecast {
        let steps = format!("{} steps", forecast.steps().len());
        all.push(told("wind", steps, forecast.origin(), &forecast.source()));
    }
    all.push(told(
        "gusts where none are forecast",
        format!("{:.2} times the mean", inputs.exposure.gust_factor()),
        inputs.exposure_origin,
        "WMO/TD-No. 1555 (2010), table 1.1",
    ));
    all
}

fn boat(board: &Board<'_>) -> Vec<Provenance> {
    let windage = board.inputs.boat.windage;
    let m2 = windage.head_on_m2;
    let drag =
        format!("{:.1} m² head to wind ({:.1} to {:.1})", m2.median(), m2.quantile(0.1), m2.quantile(0.9));
    let sheer = board.spreads.sheer;
    let sheering = format!(
        "{:.2} times the load head on ({:.2} to {:.2})",
        sheer.median(),
        sheer.quantile(0.1),
        sheer.quantile(0.9)
    );
    let amplified = board.spreads.amplification;
    let surging = format!(
        "{:.2} ({:.2} to {:.2})",
        amplified.median(),
        amplified.quantile(0.1),
        amplified.quantile(0.9)
    );
    let rode = board.inputs.gear.rode.stretches.iter().map(|stretch| {
        let value = format!("{}, breaks at {}, {}", stretch.mass, stretch.breaking_load, stretch.length);
        told(&stretch.name, value, stretch.origin, "standard tables, or the maker's figures where given")
    });
    let mut all = vec![
        told("windage", drag, windage.origin, "class averages, from memory, low confidence, unless given"),
        told("sheering", sheering, Origin::Assumed, "20 to 30° either side is common; common practice"),
        told(
            "surging on the gust's load, for the ground",
            surging,
            Origin::Assumed,
            "load-cell tests, from memory, low confidence",
        ),
    ];
    all.extend(rode);
    all
}

fn ground(board: &Board<'_>) -> Vec<Provenance> {
    let Ok(holding) = &board.holding else { return Vec::new() };
    let band = holding.band();
    let anchor = &board.inputs.gear.anchor;
    let value =
        format!("{:.0} N ({:.0} to {:.0}) in {}", band.median, band.p10, band.p90, holding.bed.word());
    let source = format!("{}; {} confidence", holding.source, holding.confidence.word());
    let mut all = vec![told("holding, no uplift", value, Origin::Assumed, &source)];
    all.extend(second_opinions(anchor.class, anchor.mass, holding.bed).into_iter().map(|second| {
        let value = format!("{} ({})", second.holding.value, reading(second.reading));
        told(
            "holding, second opinion",
            value,
            Origin::Computed,
            &format!("{}; {}", second.name, second.holding.source),
        )
    }));
    let failing = board.failing_to_set;
    all.push(told(
        "chance that it does not set",
        format!("{:.0} in 100", failing.value * 100.0),
        Origin::Assumed,
        failing.source.trim_start_matches("assumed: "),
    ));
    all.push(told(
        "lead of the rode above the water",
        riding::lead_height(board.inputs).to_string(),
        Origin::Given,
        "the vessel file",
    ));
    all
}

const fn reading(reading: crate::holding::Reading) -> &'static str {
    match reading {
        crate::holding::Reading::Extrapolated => "extrapolated far below its calibration",
        crate::holding::Reading::UpperBound => "an upper bound",
        crate::holding::Reading::NotCredible => "not credible at this size",
    }
}
