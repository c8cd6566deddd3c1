//! AIS messages against others who read them.

mod other_crate;
mod pyais;
mod values;

use jiff::Timestamp;
use windrode_domain::watch::observation::Source;
use windrode_wire::ais::{AisError, Heard, Listener};
use windrode_wire::nmea0183::{self, Report};

/// A file of `authorities/ais`.
#[expect(clippy::disallowed_methods, reason = "a test reads the authority")]
fn authority(name: &str) -> String {
    let path = format!("{}/../../authorities/ais/{name}", env!("CARGO_MANIFEST_DIR"));
    std::fs::read_to_string(path).unwrap()
}

/// What sentences that came at one instant say, one answer for each packet and each refusal.
fn heard<'a>(
    listener: &mut Listener,
    sentences: impl IntoIterator<Item = &'a str>,
) -> Vec<Result<Heard, AisError>> {
    let mut answers = Vec::new();
    for sentence in sentences {
        let Report::Ais(fragment) = nmea0183::read(sentence.as_bytes()).unwrap().report else {
            panic!("{sentence} carries no AIS")
        };
        answers.extend(listener.hear(Source(0), fragment, Timestamp::UNIX_EPOCH).transpose());
    }
    answers
}
