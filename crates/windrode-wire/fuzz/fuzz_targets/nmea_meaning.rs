//! One line with a checksum that fits, whatever stands in it, to its meaning.

#![no_main]

use libfuzzer_sys::fuzz_target;

fuzz_target!(|line: &[u8]| {
    let _ = windrode_wire::nmea0183::read(line);
    let body = line.get(1..).unwrap_or(&[]);
    let sum = body.iter().fold(0, |sum, byte| sum ^ byte);
    let closed = [line, format!("*{sum:02X}").as_bytes()].concat();
    let _ = windrode_wire::nmea0183::read(&closed);
});
