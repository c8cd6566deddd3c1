//! A serial line: eight data bits, no parity, one stop bit, as IEC 61162-1 has it.

use std::time::Duration;

use super::{Ended, Outlet};

/// How often a silent read looks up.
const LOOK_UP: Duration = Duration::from_secs(1);
/// A serial line has no other end that could close it: silence there is the watch's to tell, and opening it anew seldom
/// mends it, but a converter that was unplugged and put back under its old name is found again so.
const SILENT_FOR: Duration = Duration::from_mins(5);

/// Hands on what the line brings.
pub(super) fn hear(device: &str, baud: u32, outlet: &Outlet) -> Ended {
    match serialport::new(device, baud).timeout(LOOK_UP).open() {
        Ok(line) => {
            outlet.opened(0);
            let ended = outlet.pump(0, line, SILENT_FOR);
            outlet.closed(0);
            ended
        }
        Err(error) => Ended::lost(error, false),
    }
}
