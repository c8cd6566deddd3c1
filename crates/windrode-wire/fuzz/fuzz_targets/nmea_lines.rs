//! Bytes in pieces to lines to reports: where the pieces end makes no difference, and no line is longer than the
//! bound.

#![no_main]

use libfuzzer_sys::fuzz_target;
use windrode_wire::nmea0183::lines::{LINE_BYTES_MAX, Lines};

fn lines(pieces: impl Iterator<Item = impl AsRef<[u8]>>) -> Vec<Option<Vec<u8>>> {
    let (mut lines, mut whole) = (Lines::new(), Vec::new());
    for piece in pieces {
        lines.push(piece.as_ref(), |line| whole.push(line.ok().map(<[u8]>::to_vec)));
    }
    lines.finish(|line| whole.push(line.ok().map(<[u8]>::to_vec)));
    whole
}

fuzz_target!(|data: (u8, &[u8])| {
    let (size, bytes) = data;
    let at_once = lines([bytes].into_iter());
    assert_eq!(at_once, lines(bytes.chunks(usize::from(size) + 1)));
    for line in at_once.into_iter().flatten() {
        assert!(line.len() <= LINE_BYTES_MAX);
        let _ = windrode_wire::nmea0183::read(&line);
    }
});
