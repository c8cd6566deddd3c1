//! `[engine]`: what pulls astern to set the anchor.

use windrode_domain::boat::{Engine, Propeller};

use super::super::toml_reading::{Section, Within};
use super::MeasuredAstern;
use crate::files::choices;

/// Engine, and a pull astern that was measured, each if it is known.
pub(super) fn engine(section: &Section<'_>) -> (Option<Engine>, Option<MeasuredAstern>) {
    let measured = section.may("measured_astern").section(measured_astern);
    let power = section.may("power").power(Within::new(1.0, 1500.0));
    let rated_rpm = section.may("rated_rpm").rpm(Within::new(300.0, 8000.0));
    let gear_ratio = section.may("gear_ratio").share(Within::new(0.5, 6.0));
    let count = section.may("count").count(1, 4);
    let propeller = section.may("propeller");
    let without_propeller = propeller.is_absent();
    let propeller = propeller.section(propeller_of);
    let told = [power.is_some(), rated_rpm.is_some(), gear_ratio.is_some(), !without_propeller];
    let engine = match (power, rated_rpm, gear_ratio, propeller) {
        (Some(shaft_power), Some(rated_rpm), Some(gear_ratio), Some(propeller)) => Some(Engine {
            shaft_power,
            rated_rpm,
            gear_ratio,
            propeller,
            count: count.and_then(|count| u8::try_from(count).ok()).unwrap_or(1),
        }),
        _ => None,
    };
    if told.contains(&true) && told.contains(&false) {
        section.refuse(
            "is told in part (give power, rated_rpm, gear_ratio and [engine.propeller], or only \
             [engine.measured_astern])",
        );
    }
    (engine, measured)
}

fn measured_astern(section: &Section<'_>) -> Option<MeasuredAstern> {
    let pull = section.want("pull", "the pull measured, as \"2 kN\"").force(Within::new(10.0, 200_000.0));
    let rpm = section.want("rpm", "the engine's revolutions at it").rpm(Within::new(300.0, 8000.0));
    Some(MeasuredAstern { pull: pull?, rpm: rpm? })
}

fn propeller_of(section: &Section<'_>) -> Option<Propeller> {
    let kind = section
        .want(
            "kind",
            "\"fixed two blades\", \"fixed three blades\", \"feathering\", \"folding geared\" or \"folding\"",
        )
        .word(&choices::PROPELLERS);
    let diameter = section.want("diameter", "its diameter, as \"17 in\"").length(Within::new(0.15, 2.0));
    let pitch = section.want("pitch", "its pitch, as \"11 in\"").length(Within::new(0.05, 3.0));
    let blades = section.want("blades", "the number of its blades").count(2, 7);
    let area_ratio = section
        .want("area_ratio", "its expanded blade area over the disc's, as 0.5")
        .share(Within::new(0.2, 1.2));
    Some(Propeller {
        kind: kind?,
        diameter: diameter?,
        pitch: pitch?,
        blades: blades.and_then(|blades| u8::try_from(blades).ok())?,
        area_ratio: area_ratio?,
    })
}
