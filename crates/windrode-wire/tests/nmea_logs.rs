//! Recorded lines of real receivers: every one is read, or refused by a cause that has a name.

use std::collections::BTreeMap;
use windrode_wire::nmea0183::lines::Lines;
use windrode_wire::nmea0183::refusal::Tally;
use windrode_wire::nmea0183::{Report, read};

fn log(name: &str) -> Vec<u8> {
    let path = format!("{}/../../authorities/nmea/{name}", env!("CARGO_MANIFEST_DIR"));
    std::fs::read(path).unwrap()
}

#[test]
fn look() {
    for name in
        ["bundg_zeus_9.log", "hemi.log", "humminbird-M37.log", "saab-r4.log", "sounder.log", "ais-nmea.log"]
    {
        let mut tally = Tally::default();
        let mut unl = BTreeMap::new();
        Lines::new().push(&log(name), |line| {
            let Ok(line) = line else { return };
            let answer = read(line);
            tally.count(&answer);
            match answer {
                Err(refusal) if !line.starts_with(b"#") => {
                    println!("{refusal}: {}", String::from_utf8_lossy(line))
                }
                Ok(h) => {
                    if let Report::Unlisted(u) = h.report {
                        *unl.entry(u.kind.to_string()).or_insert(0) += 1
                    }
                }
                _ => {}
            }
        });
        println!("{name} {tally:?} {unl:?}");
    }
}
