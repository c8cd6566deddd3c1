//! A file, a named pipe or a device, as it comes or at a pace.

use std::fs::File;
use std::io::{BufRead, BufReader, Read};
use std::path::Path;
use std::thread;
use std::time::Duration;

use super::{Ended, Outlet, READ_BYTES};

/// Hands on the file's bytes; a file ends, a pipe is opened anew.
pub(super) fn hear(path: &Path, lines_per_s: Option<f64>, outlet: &Outlet) -> Ended {
    let opened = File::open(path).and_then(|file| Ok((file.metadata()?.is_file(), file)));
    let (ends, file) = match opened {
        Ok(opened) => opened,
        Err(error) => return Ended::lost(error, false),
    };
    outlet.opened(0);
    let ended = match lines_per_s {
        None => outlet.pump(0, file, Duration::MAX),
        Some(pace) => paced(BufReader::new(file), pace, outlet),
    };
    outlet.closed(0);
    if ends { Ended::Finished } else { ended }
}

/// Line by line; a line longer than a read goes on in pieces, so that no file can fill the memory.
fn paced(mut file: BufReader<File>, lines_per_s: f64, outlet: &Outlet) -> Ended {
    let between = Duration::try_from_secs_f64(lines_per_s.recip()).unwrap_or(Duration::ZERO);
    let mut line = Vec::new();
    let mut spoke = false;
    loop {
        line.clear();
        match (&mut file).take(READ_BYTES as u64).read_until(b'\n', &mut line) {
            Ok(0) => return Ended::lost("it ended", spoke),
            Ok(_) => {
                spoke = true;
                outlet.bytes(0, &line);
                thread::sleep(between);
            }
            Err(error) => return Ended::lost(error, spoke),
        }
    }
}
