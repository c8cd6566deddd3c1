//! `windrode demo`: the main job on a stay in an invented bay, with an invented boat and neighbours.

use std::fs;
use std::io::Write;
use std::path::PathBuf;

use windrode_domain::plan;

use super::plan::{Read, read, write, write_drawings};
use super::{Ending, Failure};
use crate::print_html::html;
use crate::print_pdf::pdf;
use crate::sheet_text::sheet_text;

/// The stay and vessel files, as the examples hold them: relative to each other like there.
const FILES: [(&str, &str); 2] = [
    ("stays/corrant-bay.toml", include_str!("../../../../examples/stays/corrant-bay.toml")),
    ("vessels/sailing-monohull.toml", include_str!("../../../../examples/vessels/sailing-monohull.toml")),
];

/// Plans two nights in an invented bay, prints the sheet and writes its drawings
///
/// The bay, the boat and the neighbours are invented; a real tide station's constants stand in for the tide. The stay
/// and vessel files that it plans from are written beside the drawings, to be changed and planned again.
#[derive(clap::Args)]
pub(super) struct Arguments {
    /// Where the files are written.
    #[arg(long, value_name = "DIR", default_value = "windrode-demo")]
    out: PathBuf,
}

/// Runs the command.
pub(super) fn run(arguments: &Arguments, out: &mut impl Write) -> Result<Ending, Failure> {
    for (name, text) in FILES {
        let file = arguments.out.join(name);
        if let Some(directory) = file.parent() {
            fs::create_dir_all(directory).map_err(|error| {
                Failure::input(format!("--out: {} cannot be made: {error}", directory.display()))
            })?;
        }
        write(&file, text.as_bytes())?;
    }
    let Read { inputs, voice, .. } = read(&arguments.out.join(FILES[0].0), None)?;
    let sheet = plan::plan(&inputs);
    writeln!(out, "{}", sheet_text(&sheet, &voice).trim_end())?;
    let mut written = write_drawings(&arguments.out, &sheet, &voice)?;
    for (name, bytes) in
        [("sheet.html", html(&sheet, &voice).into_bytes()), ("sheet.pdf", pdf(&sheet, &voice))]
    {
        let file = arguments.out.join(name);
        write(&file, &bytes)?;
        written.push(file);
    }
    writeln!(out, "\nThis is a demonstration: the bay, the boat and the neighbours are invented.")?;
    writeln!(out, "Written, to be looked at:")?;
    written.iter().try_for_each(|file| writeln!(out, "    {}", file.display()))?;
    writeln!(out, "Change the wind, the depth or the rode, and plan again:")?;
    writeln!(out, "    windrode plan {}", arguments.out.join(FILES[0].0).display())?;
    Ok(Ending::Done)
}
