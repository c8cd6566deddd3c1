//! `windrode explain`: where every number of one instant comes from.

use std::io::Write;
use std::path::PathBuf;

use jiff::Timestamp;
use windrode_domain::plan::explain::{Figure, explain};

use super::plan::{Read, read};
use super::{Ending, Failure, arguments};
use crate::explain_json::ExplainedView;
use crate::sheet_json::time;

/// Tells every number of one instant of a stay with its formula, what went into it, and its source
#[derive(clap::Args)]
pub(super) struct Arguments {
    /// The stay file.
    stay: PathBuf,
    /// Which instant: the nearest of the stay's is taken (2026-11-27T05:00:00Z).
    #[arg(long, value_parser = arguments::instant)]
    time: Timestamp,
    /// Another vessel than the stay names.
    #[arg(long)]
    vessel: Option<PathBuf>,
    /// JSON in place of text.
    #[arg(long)]
    json: bool,
}

/// Runs the command.
pub(super) fn run(arguments: &Arguments, out: &mut impl Write) -> Result<Ending, Failure> {
    let Read { inputs, voice, .. } = read(&arguments.stay, arguments.vessel.as_deref())?;
    let Some((at, figures)) = explain(&inputs, arguments.time) else {
        let (from, to) = (time(inputs.span.from()), time(inputs.span.to()));
        let asked = time(arguments.time);
        return Err(Failure::input(format!(
            "--time: {asked} lies outside the stay; give one from {from} to {to}"
        )));
    };
    if arguments.json {
        let view = ExplainedView::of(&inputs.stay, at, figures);
        serde_json::to_writer(&mut *out, &view)?;
        writeln!(out)?;
    } else {
        writeln!(out, "{}, {}", inputs.stay, voice.clock.date_time(at))?;
        figures.iter().try_for_each(|figure| tell(figure, out))?;
    }
    Ok(Ending::Done)
}

fn tell(figure: &Figure, out: &mut impl Write) -> std::io::Result<()> {
    writeln!(out)?;
    writeln!(out, "{}: {} ({})", figure.name, amount(figure.value, figure.unit), figure.origin.word())?;
    writeln!(out, "    = {}", figure.formula)?;
    for input in &figure.inputs {
        writeln!(out, "      {}: {}", input.name, amount(input.value, input.unit))?;
    }
    writeln!(out, "    source: {}", figure.source)
}

/// Four figures that mean something; a bare number has the unit 1.
fn amount(value: f64, unit: &str) -> String {
    let size = value.abs();
    let digits = if (1e-12..1000.0).contains(&size) {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "from 1 to 15")]
        let digits = (3.0 - size.log10().floor()).clamp(0.0, 15.0) as usize;
        digits
    } else {
        0
    };
    if unit == "1" { format!("{value:.digits$}") } else { format!("{value:.digits$} {unit}") }
}
