//! Bits to a message, and what can be sent back again: it reads the same the second time.

#![no_main]

use libfuzzer_sys::fuzz_target;
use windrode_wire::ais::{Bits, Content, Message, encode};

fuzz_target!(|data: (u8, &[u8])| {
    let (cut, bytes) = data;
    let mut bits = Bits::default();
    for (index, byte) in bytes.iter().enumerate() {
        let width = if index + 1 == bytes.len() { usize::from(cut % 8) + 1 } else { 8 };
        if !bits.push(u64::from(*byte), width) {
            break;
        }
    }
    let Ok(message) = Message::decode(&bits) else { return };
    let sent = match (&message.content, message.number) {
        (Content::Position(report), 1..=3) => encode::class_a(message.mmsi, report),
        (Content::Position(report), 18) => encode::class_b(message.mmsi, report),
        (Content::Particulars(what), 5) => encode::voyage(message.mmsi, what),
        _ => return,
    };
    let again =
        Message::decode(&sent.expect("what was read can be sent")).expect("what was sent can be read");
    assert_eq!(again.mmsi, message.mmsi);
    match (&again.content, &message.content) {
        // What cannot be is told once; it is not sent.
        (Content::Position(ours), Content::Position(theirs)) => {
            assert_eq!((ours.at, ours.speed, ours.course), (theirs.at, theirs.speed, theirs.course));
            assert_eq!((ours.heading, ours.turn, ours.second), (theirs.heading, theirs.turn, theirs.second));
        }
        (Content::Particulars(ours), Content::Particulars(theirs)) => {
            assert_eq!(
                (&ours.name, ours.dimensions, ours.eta),
                (&theirs.name, theirs.dimensions, theirs.eta)
            );
        }
        _ => panic!("one kind became another"),
    }
});
