//! `windrode demo`: a whole stay in an invented bay, with an invented boat and neighbours, played and served.

use std::fs;
use std::io::Write;
use std::net::SocketAddr;
use std::num::NonZeroU32;
use std::path::PathBuf;
use std::sync::Arc;

use windrode_domain::plan;
use windrode_domain::plan::sheet::Sheet;

use super::plan::{Read, read, write, write_drawings};
use super::ringing::Ringing;
use super::serve::{self, Invented, serve};
use super::{Ending, Failure, report};
use crate::afloat::{self, Asked, Drag, hands};
use crate::print_html::html;
use crate::print_pdf::pdf;
use crate::sheet_text::sheet_text;

/// The stay and vessel files, as the examples hold them: relative to each other like there.
const FILES: [(&str, &str); 2] = [
    ("stays/corrant-bay.toml", include_str!("../../../../examples/stays/corrant-bay.toml")),
    ("vessels/sailing-monohull.toml", include_str!("../../../../examples/vessels/sailing-monohull.toml")),
];

/// A whole stay of an invented boat in an invented bay, served to every device on this computer, faster than life
///
/// She comes in under engine, anchors, sets, lies through a squall and a shift of the wind, and leaves. Her
/// instruments and her neighbours' transponders speak on a real socket. The bay, the boat and the neighbours are
/// invented; a real tide station's constants stand in for the tide. The stay and vessel files that it plans from are
/// written down, to be changed and planned again.
#[derive(clap::Args)]
pub(super) struct Arguments {
    /// Where the files are written.
    #[arg(long, value_name = "DIR", default_value = "windrode-demo")]
    out: PathBuf,
    /// Prints the sheet, writes its drawings, and ends: nothing is served.
    #[arg(long)]
    sheet: bool,
    /// How many times faster than life, up to 300.
    #[arg(long, value_name = "N", default_value = "60")]
    speed: NonZeroU32,
    /// Her own anchor drags in the squall, or so many minutes after she began to come in.
    #[arg(long, value_name = "MIN", num_args = 0..=1, require_equals = true)]
    #[expect(clippy::option_option, reason = "left out, told without a figure, told with one")]
    drag: Option<Option<u32>>,
    /// What chance begins with.
    #[arg(long, value_name = "S", default_value_t = 1)]
    seed: u64,
    /// Where the page is served.
    #[arg(long, value_name = "ADDR", default_value = "127.0.0.1:8470")]
    listen: SocketAddr,
    /// The data directory; by default one of its own, which goes with the program.
    #[arg(long, value_name = "DIR")]
    data: Option<PathBuf>,
    /// No sound from this computer.
    #[arg(long)]
    no_sound: bool,
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
    let read = read(&arguments.out.join(FILES[0].0), None)?;
    let sheet = plan::plan(&read.inputs);
    if arguments.sheet { print(arguments, &read, &sheet, out) } else { play(arguments, &read, &sheet, out) }
}

/// The sheet, its drawings and pages.
fn print(arguments: &Arguments, read: &Read, sheet: &Sheet, out: &mut impl Write) -> Result<Ending, Failure> {
    let voice = &read.voice;
    writeln!(out, "{}", sheet_text(sheet, voice).trim_end())?;
    let mut written = write_drawings(&arguments.out, sheet, voice)?;
    for (name, bytes) in [("sheet.html", html(sheet, voice).into_bytes()), ("sheet.pdf", pdf(sheet, voice))] {
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

/// The whole stay, played and served.
fn play(arguments: &Arguments, read: &Read, sheet: &Sheet, out: &mut impl Write) -> Result<Ending, Failure> {
    let Arguments { seed, speed, listen, .. } = *arguments;
    let drag = match arguments.drag {
        None => Drag::Never,
        Some(None) => Drag::InTheSquall,
        Some(Some(minutes)) => Drag::After(minutes),
    };
    let afloat = afloat::begin(&read.inputs, sheet, Asked { seed, drag, speed })
        .map_err(|why| Failure::input(format!("--speed: {why}")))?;
    let own = std::env::temp_dir().join(format!("windrode-demo-{}", std::process::id()));
    let data = arguments.data.clone().unwrap_or_else(|| own.clone());
    writeln!(out, "{}", introduction(&sheet.head.boat, &sheet.head.stay, arguments))?;
    writeln!(out, "It is {} aboard.", read.voice.clock.date_time(afloat.from))?;
    out.flush()?;
    let invented = Invented { clock: Arc::clone(&afloat.clock), speed: speed.get() };
    let ringing = Ringing::of_feed(afloat.spec.clone(), arguments.no_sound);
    let afloat = Arc::new(afloat);
    let papers = hands::Papers {
        stay: FILES[0].1.to_owned(),
        vessel: FILES[1].1.to_owned(),
        named: "../vessels/sailing-monohull.toml".to_owned(),
    };
    hands::aboard(Arc::clone(&afloat), format!("http://{listen}"), papers, report)?;
    let served = serve(&serve::Arguments::of_invented(data, listen, ringing), Some(&invented), out);
    if arguments.data.is_none() {
        // What cannot be taken away lies in the system's own place for such things.
        let _ = fs::remove_dir_all(&own);
    }
    served
}

fn introduction(boat: &str, stay: &str, arguments: &Arguments) -> String {
    let drags = if arguments.drag == Some(None) { "her own anchor drags" } else { "the grey ketch drags" };
    format!(
        "{boat}, an invented boat, comes into {stay}, {speed} times faster than life: a day takes {minutes} minutes.\n\
         Nothing here is to be navigated by.\n\n\
         What to look for on the page:\n    \
         Stays   the plan: drag the cursor along time, the anchor, the rode; what would mend it\n    \
         Watch   under way, then the anchor let go and set; at 01:40 aboard a squall, in which {drags};\n            \
         in the morning the wind goes round to the south-east\n    \
         Aboard  her instruments, the lights by day, in sun and by night\n",
        speed = arguments.speed,
        minutes = 1440 / arguments.speed.get(),
    )
}
