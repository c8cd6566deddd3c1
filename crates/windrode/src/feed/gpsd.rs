//! The GPS daemon: its own JSON, asked for on connecting.

use std::io::Write;

use super::{Ended, Outlet, SILENT_FOR, tcp_client};

/// What gpsd wants to hear before it speaks (gpsd's protocol, `?WATCH`).
const WATCH: &[u8] = b"?WATCH={\"enable\":true,\"json\":true};\n";

/// Hands on what gpsd says.
pub(super) fn hear(place: &str, outlet: &Outlet) -> Ended {
    let asked = tcp_client::connect(place).and_then(|mut link| link.write_all(WATCH).map(|()| link));
    match asked {
        Ok(link) => {
            outlet.opened(0);
            let ended = outlet.pump(0, link, SILENT_FOR);
            outlet.closed(0);
            ended
        }
        Err(error) => Ended::lost(error, false),
    }
}
