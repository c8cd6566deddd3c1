//! `[[connector]]`, `[cleat]`, `[windlass]`: what joins the rode and what takes its load on deck.

use windrode_domain::tackle::{Connector, Joins, StrongPoint};
use windrode_domain::uncertain::Origin;
use windrode_domain::units::Force;

use super::super::toml_reading::{Section, Within};
use super::{ConnectorAboard, WindlassAboard};
use crate::files::choices;

/// Loads that fittings of small craft may carry, N.
const FITTING_LOADS: Within = Within::new(100.0, 2_000_000.0);
/// Breaking load over a stated working load where only the latter is known: the least that lifting practice uses.
const BREAKING_OVER_WORKING: f64 = 4.0;
/// Breaking load over working load where only the former is known: what shackles are made to (US Fed. Spec.
/// RR-C-271).
const WORKING_UNDER_BREAKING: f64 = 6.0;

/// One connector.
pub(super) fn connector(section: &Section<'_>) -> Option<ConnectorAboard> {
    let name = section.want("name", "what the crew call it").text();
    let joins = joins(section);
    let rode = section.may("rode").located_text();
    let shackle = section.may("shackle").size(Within::new(4.0, 40.0));
    let working = section.may("working_load").force(FITTING_LOADS);
    let breaking = section.may("breaking_load").force(FITTING_LOADS);
    let stated = section.has_any(&["working_load", "breaking_load"]);
    if !stated && !section.has_any(&["shackle"]) {
        section.refuse("has no strength (give shackle = \"10 mm\", or working_load and breaking_load)");
    }
    let (name, joins) = (name?, joins?);
    let connector = if stated {
        let (working_load, breaking_load, origin) = loads(section, working, breaking)?;
        Connector { name, joins, breaking_load, working_load, origin }
    } else {
        match Connector::shackle(name, joins, shackle?) {
            Ok(connector) => connector,
            Err(error) => {
                section.refuse(error.to_string());
                return None;
            }
        }
    };
    Some(ConnectorAboard { connector, rode })
}

fn joins(section: &Section<'_>) -> Option<Joins> {
    let lower = section.may("stretch").count(1, 20);
    let joins = section
        .want("joins", "\"anchor to rode\", \"stretches\", \"rode to snubber\" or \"rode to boat\"")
        .word(&choices::JOINS)?;
    if !matches!(joins, Joins::Stretches(_)) {
        section.refuse_beside("what does not join stretches", &["stretch"]);
    }
    Some(match (joins, lower) {
        (Joins::Stretches(_), Some(lower)) => Joins::Stretches(lower as usize - 1),
        (joins, _) => joins,
    })
}

/// Working and breaking load where at least one is stated; the other on the unfavourable side, and assumed.
fn loads(
    section: &Section<'_>,
    working: Option<Force>,
    breaking: Option<Force>,
) -> Option<(Force, Force, Origin)> {
    match (working, breaking) {
        (Some(working), Some(breaking)) if breaking < working => {
            section.refuse(format!(
                "has a working load of {working}, more than the breaking load of {breaking} (check both)"
            ));
            None
        }
        (Some(working), Some(breaking)) => Some((working, breaking, Origin::Given)),
        (Some(working), None) => Some((working, working * BREAKING_OVER_WORKING, Origin::Assumed)),
        (None, Some(breaking)) => Some((breaking / WORKING_UNDER_BREAKING, breaking, Origin::Assumed)),
        (None, None) => None,
    }
}

/// A cleat, bollard, stopper or windlass: where it gives is its working load unless more is known.
pub(super) fn strong_point(section: &Section<'_>, called: &str) -> Option<StrongPoint> {
    let name = section.may("name").text();
    let working = section.want("working_load", "the load it may carry, as \"12 kN\"").force(FITTING_LOADS);
    let breaking = section.may("breaking_load").force(FITTING_LOADS);
    let working_load = working?;
    let (working_load, breaking_load, origin) =
        loads(section, Some(working_load), Some(breaking.unwrap_or(working_load)))?;
    Some(StrongPoint { name: name.unwrap_or_else(|| called.to_owned()), working_load, breaking_load, origin })
}

/// The windlass.
pub(super) fn windlass(section: &Section<'_>) -> Option<WindlassAboard> {
    let pull = section.may("pull").force(FITTING_LOADS);
    let strong_point = strong_point(section, "windlass")?;
    Some(WindlassAboard { strong_point, pull })
}
