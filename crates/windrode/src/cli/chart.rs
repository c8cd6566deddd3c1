//! `windrode chart`: what electronic charts hold, and what they say of places, straight from their files.

mod at;
mod show;

use std::io::Write;
use std::path::PathBuf;

use windrode_wire::s57::Chart;

use super::{Ending, Failure};
use crate::charts::files;

/// Reads electronic charts (IHO S-57): what they hold, and what they say of places.
///
/// Never for navigation without the chart itself: symbols, notes and the newest corrections stand there.
#[derive(clap::Subcommand)]
pub(super) enum Question {
    Show(show::Arguments),
    At(at::Arguments),
}

/// Which charts.
#[derive(clap::Args)]
pub(super) struct Given {
    /// A chart's base file (NAME.000); may be given several times, the best scale wins.
    #[arg(long = "chart", value_name = "FILE", required = true)]
    charts: Vec<PathBuf>,
    /// A folder with the charts' updates (NAME.001, NAME.002, …); all are applied, in order.
    #[arg(long, value_name = "DIR")]
    updates: Option<PathBuf>,
}

impl Given {
    fn read(&self) -> Result<Vec<Chart>, Failure> {
        files::read(&self.charts, self.updates.as_deref()).map_err(Failure::BadInput)
    }
}

/// Runs the command.
pub(super) fn run(question: &Question, out: &mut impl Write) -> Result<Ending, Failure> {
    match question {
        Question::Show(arguments) => show::run(arguments, out),
        Question::At(arguments) => at::run(arguments, out),
    }
}

/// Lines that say what is odd in a chart.
fn remarks(chart: &Chart) -> Vec<String> {
    chart.remarks().iter().map(ToString::to_string).collect()
}
