//! Standard input: another program's output.

use std::io;
use std::time::Duration;

use super::{Ended, Outlet};

/// Hands on what comes; its end is for good.
pub(super) fn hear(outlet: &Outlet) -> Ended {
    outlet.opened(0);
    let ended = outlet.pump(0, io::stdin().lock(), Duration::MAX);
    outlet.closed(0);
    match ended {
        Ended::Lost { spoke: true, .. } | Ended::Finished => Ended::Finished,
        lost @ Ended::Lost { .. } => lost,
    }
}
