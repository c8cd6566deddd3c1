//! `windrode rode`: how each of many rodes lies under its load or at its distance.
//!
//! Cases come as a JSON array on standard input (`docs/json.md`). A case that cannot be reckoned spoils only its
//! own answer; an array that cannot be read is bad input.

mod case;

use std::error::Error;
use std::io::{Read, Write};

use serde::Serialize;
use serde_json::value::RawValue;
use windrode_domain::catenary::{CatenaryError, Lie};

use super::{Ending, Failure};
use case::{Asked, Case};

/// How rodes lie: reach, tension, uplift and rode on the ground, from a JSON array of cases on standard input.
#[derive(clap::Args)]
pub(super) struct Arguments {
    /// Answer with a JSON array instead of a table.
    #[arg(long)]
    json: bool,
}

/// Runs the command.
pub(super) fn run(arguments: &Arguments, out: &mut impl Write) -> Result<Ending, Failure> {
    let mut text = Vec::new();
    std::io::stdin().lock().read_to_end(&mut text)?;
    let answers = answers(&text).map_err(Failure::input)?;
    if arguments.json {
        serde_json::to_writer(&mut *out, &answers)?;
        writeln!(out)?;
    } else {
        table(&answers, out)?;
    }
    Ok(Ending::Done)
}

/// The answers to the cases of a JSON array, in their order.
///
/// # Errors
/// It is no such array.
pub(crate) fn answers(text: &[u8]) -> Result<Vec<Answer>, String> {
    if text.iter().all(u8::is_ascii_whitespace) {
        return Err("no cases: give a JSON array of them on standard input".to_owned());
    }
    let cases: Vec<&RawValue> = serde_json::from_slice(text)
        .map_err(|error| format!("standard input is not a JSON array of cases: {error}"))?;
    Ok(cases.into_iter().map(|case| Answer::to(case.get())).collect())
}

/// What is said of one case; either the numbers or the error.
#[derive(Default, Serialize)]
pub(crate) struct Answer {
    horizontal_n: Option<f64>,
    distance_m: Option<f64>,
    vertical_n: Option<f64>,
    tension_n: Option<f64>,
    grounded_m: Option<f64>,
    anchor_vertical_n: Option<f64>,
    anchor_horizontal_n: Option<f64>,
    uplift_deg: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    error: Option<String>,
}

impl Answer {
    fn to(text: &str) -> Self {
        match Case::read(text) {
            Err(problems) => Self { error: Some(problems.join("; ")), ..Self::default() },
            Ok(case) => match solve(&case) {
                Err(error) => Self { error: Some(in_full(&error)), ..Self::default() },
                Ok(lie) => Self::from(&lie),
            },
        }
    }
}

impl From<&Lie> for Answer {
    fn from(lie: &Lie) -> Self {
        Self {
            horizontal_n: Some(lie.horizontal().as_newtons()),
            distance_m: Some(lie.distance().as_metres()),
            vertical_n: Some(lie.vertical().as_newtons()),
            tension_n: Some(lie.tension().as_newtons()),
            grounded_m: Some(lie.grounded().as_metres()),
            anchor_vertical_n: Some(lie.anchor_vertical().as_newtons()),
            anchor_horizontal_n: Some(lie.anchor_horizontal().as_newtons()),
            uplift_deg: Some(lie.uplift().as_degrees()),
            error: None,
        }
    }
}

fn solve(case: &Case) -> Result<Lie, CatenaryError> {
    match case.asked {
        Asked::UnderLoad(load) => case.line.under_load(case.height, load, &case.bed),
        Asked::AtDistance(distance) => case.line.at_distance(case.height, distance, &case.bed),
    }
}

/// An error with its causes, on one line.
fn in_full(error: &dyn Error) -> String {
    let mut text = error.to_string();
    let mut cause = error.source();
    while let Some(below) = cause {
        text.push_str(": ");
        text.push_str(&below.to_string());
        cause = below.source();
    }
    text
}

/// A line for each case, in the crew's order: what pulls, where she lies, what the anchor feels.
fn table(answers: &[Answer], out: &mut impl Write) -> Result<(), Failure> {
    writeln!(
        out,
        "{:>4}  {:>10}  {:>9}  {:>10}  {:>11}  {:>14}  {:>8}",
        "case", "load", "reach", "at roller", "on ground", "at the anchor", "uplift"
    )?;
    for (index, answer) in answers.iter().enumerate() {
        let number = index + 1;
        if let Some(error) = &answer.error {
            writeln!(out, "{number:>4}  cannot say: {error}")?;
            continue;
        }
        // An answer without error has every number.
        let [load, reach, tension, grounded, across, up, uplift] = [
            answer.horizontal_n,
            answer.distance_m,
            answer.tension_n,
            answer.grounded_m,
            answer.anchor_horizontal_n,
            answer.anchor_vertical_n,
            answer.uplift_deg,
        ]
        .map(|value| value.unwrap_or(f64::NAN));
        let at_anchor = across.hypot(up);
        writeln!(
            out,
            "{number:>4}  {load:>8.0} N  {reach:>7.2} m  {tension:>8.0} N  {grounded:>9.2} m  {at_anchor:>12.0} N  \
             {uplift:>7.2}°"
        )?;
    }
    Ok(())
}
