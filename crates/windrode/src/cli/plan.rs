//! `windrode plan`: a stay file in, a sheet out: for the eyes, for print, or for other programs.

use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};

use windrode_domain::plan;
use windrode_domain::plan::inputs::Inputs;
use windrode_domain::plan::sheet::{Sheet, Verdict};

use super::{Ending, Failure};
use crate::assemble;
use crate::changes;
use crate::drawing::{Which, svg};
use crate::files::source::Problem;
use crate::files::{self, StayAboard};
use crate::print_html::html;
use crate::print_pdf::pdf;
use crate::sheet_json::SheetView;
use crate::sheet_text::sheet_text;
use crate::two_threads::TwoThreads;
use crate::words::Voice;

/// Plans a stay: how much rode to veer, whether she lies well, what gives first and what would mend it
///
/// Ends with 0 when she lies well or with care, with 1 when the word is "do not lie here" or "cannot say", with 2
/// when the files cannot be used.
#[derive(clap::Args)]
pub(super) struct Arguments {
    /// The stay file.
    stay: PathBuf,
    /// Another vessel than the stay names.
    #[arg(long)]
    vessel: Option<PathBuf>,
    /// The sheet as JSON, in place of text.
    #[arg(long)]
    json: bool,
    /// Writes the sheet as one printable page of HTML.
    #[arg(long, value_name = "FILE")]
    html: Option<PathBuf>,
    /// Writes the sheet as PDF.
    #[arg(long, value_name = "FILE")]
    pdf: Option<PathBuf>,
    /// Writes the three drawings as SVG into a directory.
    #[arg(long, value_name = "DIR")]
    svg: Option<PathBuf>,
}

/// A stay read and assembled, with the voice that its crew are spoken to in.
pub(super) struct Read {
    pub(super) aboard: StayAboard,
    pub(super) inputs: Inputs,
    pub(super) voice: Voice,
}

/// Reads a stay and all that it names.
pub(super) fn read(stay: &Path, vessel: Option<&Path>) -> Result<Read, Failure> {
    let aboard = files::load_stay(stay, vessel).map_err(refused)?;
    let inputs = assemble::inputs(&aboard).map_err(refused)?;
    Ok(Read { voice: Voice::of(&aboard), inputs, aboard })
}

fn refused(problems: Vec<Problem>) -> Failure {
    Failure::BadInput(problems.into_iter().map(|problem| problem.to_string()).collect())
}

/// Runs the command.
pub(super) fn run(arguments: &Arguments, out: &mut impl Write) -> Result<Ending, Failure> {
    let Read { aboard, inputs, voice } = read(&arguments.stay, arguments.vessel.as_deref())?;
    let (sheet, _) = plan::planned_by(&inputs, &TwoThreads);
    if let Some(file) = &arguments.html {
        write(file, html(&sheet, &voice).as_bytes())?;
    }
    if let Some(file) = &arguments.pdf {
        write(file, &pdf(&sheet, &voice))?;
    }
    if let Some(directory) = &arguments.svg {
        write_drawings(directory, &sheet, &voice)?;
    }
    if arguments.json {
        serde_json::to_writer(
            &mut *out,
            &SheetView::of(&sheet, &voice, &|remedy| changes::of_remedy(remedy, &aboard)),
        )?;
        writeln!(out)?;
    } else {
        writeln!(out, "{}", sheet_text(&sheet, &voice).trim_end())?;
    }
    Ok(ending(sheet.verdict))
}

const fn ending(verdict: Verdict) -> Ending {
    match verdict {
        Verdict::LiesWell | Verdict::LiesWithCare => Ending::Done,
        Verdict::CannotSay | Verdict::DoNotLieHere => Ending::Warned,
    }
}

/// Writes a file; a place that cannot be written to is the caller's to mend.
pub(super) fn write(file: &Path, bytes: &[u8]) -> Result<(), Failure> {
    fs::write(file, bytes)
        .map_err(|error| Failure::input(format!("{} cannot be written: {error}", file.display())))
}

/// Writes the three drawings, each under its name.
pub(super) fn write_drawings(
    directory: &Path,
    sheet: &Sheet,
    voice: &Voice,
) -> Result<Vec<PathBuf>, Failure> {
    fs::create_dir_all(directory).map_err(|error| {
        Failure::input(format!("{} cannot be made a directory: {error}", directory.display()))
    })?;
    let mut written = Vec::new();
    for which in Which::ALL {
        let file = directory.join(format!("{}.svg", which.name()));
        write(&file, svg::alone(&which.drawn(sheet, voice)).as_bytes())?;
        written.push(file);
    }
    Ok(written)
}
