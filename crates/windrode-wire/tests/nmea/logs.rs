//! Recorded lines of real receivers: every one is read, or refused by a cause that has a name.

use std::collections::BTreeMap;

use windrode_wire::nmea0183::refusal::{Cause, Tally};
use windrode_wire::nmea0183::{Report, read};

use crate::authority::{LOGS, authority, lines};

#[test]
fn of_real_logs_only_the_comments_are_refused() {
    for (log, comments) in LOGS {
        let mut tally = Tally::default();
        for line in lines(log) {
            tally.count(&read(&line));
        }
        // Names of contributors are written in their own letters.
        assert_eq!(
            tally.refused(Cause::NoStart) + tally.refused(Cause::NotAscii),
            comments,
            "{log}: {tally:?}"
        );
        assert_eq!(tally.refused_in_all(), comments, "{log}: {tally:?}");
        assert_eq!(tally.without_checksum, 0, "{log}");
        let sentences = lines(log).iter().filter(|line| !line.starts_with(b"#")).count();
        assert_eq!(tally.read, u64::try_from(sentences).unwrap(), "{log}");
    }
}

#[test]
fn of_every_sentence_as_many_are_read_as_the_other_reader_reads() {
    for (log, expected) in authority().counts {
        let mut counts = BTreeMap::<String, u64>::new();
        for line in lines(&log) {
            let Ok(heard) = read(&line) else { continue };
            // AIS is not pynmea2's, and GLC it does not know.
            let aside = matches!(heard.report, Report::Ais(_))
                || matches!(heard.report, Report::Unlisted(unlisted) if unlisted.kind == "GLC");
            if !aside {
                let text = std::str::from_utf8(&line).unwrap();
                let kind = if text.starts_with("$P") { &text[2..5] } else { &text[3..6] };
                *counts.entry(kind.to_owned()).or_default() += 1;
            }
        }
        assert_eq!(counts, expected, "{log}");
    }
}
