//! A chart, and an update to it, to features with their places.
//!
//! The octets are a base file; where the marker stands in them, what follows is an update.

#![no_main]

use libfuzzer_sys::fuzz_target;
use windrode_wire::s57::Chart;
use windrode_wire::s57::values;

/// Between base file and update: no record holds it by chance.
const MARKER: &[u8] = b"<then>";

fuzz_target!(|bytes: &[u8]| {
    let cut = bytes.windows(MARKER.len()).position(|window| window == MARKER);
    let (base, update) = match cut {
        Some(at) => (&bytes[..at], Some(&bytes[at + MARKER.len()..])),
        None => (bytes, None),
    };
    let updates: Vec<&[u8]> = update.into_iter().collect();
    let Ok(chart) = Chart::read(base, &updates) else { return };
    for feature in chart.features() {
        let _ = chart.geometry(feature);
        let _ = values::told(feature);
        let _ = values::bottom(feature);
    }
});
