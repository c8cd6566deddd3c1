//! A forecast as a table.

#![no_main]

use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let _ = windrode_wire::forecast_csv::read(bytes);
});
