//! A recorded night as a log of sentences: NMEA 0183 with or without TAG blocks, AIS among it, or what a gpsd server
//! said.
//!
//! A log has no clock but what stands in it. Where a logger stamped its lines (TAG blocks, `$PGHP`), its stamps are
//! the time of what follows; else the receiver's own time and date (RMC, ZDA; between dates GGA, GNS and GLL, as the
//! time of day nearest to the last). Where times of day are told and never a date, the first day is called 1 January
//! 1970, and that is said: a watch needs to know how long, not when. What stands before the first time is given that
//! one. Time goes on: a stamp that is earlier by less than an hour is taken as the same instant, one that is earlier
//! by more as a clock that was set.

use std::collections::BTreeMap;

use jiff::civil::Date;
use jiff::{SignedDuration, Timestamp};
use windrode_domain::watch::event::{Event, NeighbourReport};
use windrode_domain::watch::observation::{Observation, Source};
use windrode_wire::nmea0183::clock::UtcTime;
use windrode_wire::nmea0183::lines::Lines;
use windrode_wire::nmea0183::refusal::{Refusal, Tally};
use windrode_wire::nmea0183::{self, Heard, Report};
use windrode_wire::observe::{Fitted, FittedOut};
use windrode_wire::{ais, gpsd};

/// An earlier stamp within this is another receiver's, or a line that overtook another; beyond it the clock was set.
const OVERTAKEN: SignedDuration = SignedDuration::from_hours(1);
/// Longest line that a gpsd server sends.
const LONGEST_LINE: usize = gpsd::LINE_BYTES_MAX;
/// Letters that receivers of several satellite systems use for the sky of one of them.
const SKY_TALKERS: [&[u8; 2]; 8] = [b"GL", b"GA", b"GB", b"BD", b"GQ", b"QZ", b"GI", b"GP"];

/// What a log held.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Log {
    /// What her own instruments saw.
    pub(crate) own: Vec<(Timestamp, Event)>,
    /// What other vessels said.
    pub(crate) others: Vec<(Timestamp, NeighbourReport)>,
    /// What the reader of the answer must know: lines that were refused, by cause.
    pub(crate) notes: Vec<String>,
}

/// Reads a log; `out` is how the boat is fitted out, as far as it is known.
///
/// # Errors
/// One problem: nothing in it tells the time, or no line of it can be read.
pub(crate) fn read(name: &str, bytes: &[u8], out: FittedOut) -> Result<Log, String> {
    let stamped = Stamped::of(bytes);
    let dateless = stamped.undated.and_then(|time| time.on(Date::constant(1970, 1, 1)));
    let Some(first) = stamped.first.or(dateless) else {
        return Err(if stamped.heard == 0 {
            format!("{name}: not one of its lines is a sentence that can be read")
        } else {
            format!("{name}: nothing in it tells the time (RMC, ZDA, GGA, GLL, a TAG block with c:, or PGHP)")
        });
    };
    let mut ear = Ear {
        clock: LogClock { now: first, by_logger: stamped.by_logger },
        fitted: Fitted::new(out),
        listener: ais::Listener::new(),
        sources: BTreeMap::new(),
        tally: Tally::default(),
        refused: BTreeMap::new(),
        observations: Vec::new(),
        log: Log { own: Vec::new(), others: Vec::new(), notes: Vec::new() },
    };
    each_line(bytes, |line| ear.hear(line));
    if stamped.first.is_none() {
        ear.log.notes.push("no sentence tells the date: the first day is called 1970-01-01".to_owned());
    }
    Ok(ear.told())
}

fn each_line(bytes: &[u8], mut line: impl FnMut(Result<&[u8], Refusal>)) {
    let mut lines = Lines::up_to(LONGEST_LINE);
    lines.push(bytes, &mut line);
    lines.finish(&mut line);
}

/// What a first look tells: whose time counts, and which is the first.
#[derive(Default)]
struct Stamped {
    first: Option<Timestamp>,
    /// The first time of day.
    undated: Option<UtcTime>,
    by_logger: bool,
    heard: usize,
}

impl Stamped {
    fn of(bytes: &[u8]) -> Self {
        let (mut logger, mut receiver, mut undated, mut heard) = (None, None, None, 0);
        each_line(bytes, |line| {
            let Ok(line) = line else { return };
            if line.starts_with(b"{") {
                let Ok(report) = gpsd::read(line) else { return };
                heard += 1;
                receiver = receiver.or(told_by_gpsd(&report));
            } else if let Ok(said) = nmea0183::read(line) {
                heard += 1;
                logger = logger.or_else(|| told_by_logger(&said));
                receiver = receiver.or_else(|| dated(&said.report));
                undated = undated.or_else(|| time_of_day(&said.report));
            }
        });
        Self { first: logger.or(receiver), undated, by_logger: logger.is_some(), heard }
    }
}

fn told_by_logger(said: &Heard<'_>) -> Option<Timestamp> {
    match said.report {
        Report::Logged(at) => Some(at),
        _ => said.tag.time,
    }
}

fn told_by_gpsd(report: &gpsd::Report) -> Option<Timestamp> {
    match report {
        gpsd::Report::Tpv(tpv) => tpv.time,
        _ => None,
    }
}

/// An instant that needs no date from elsewhere.
fn dated(report: &Report<'_>) -> Option<Timestamp> {
    match report {
        Report::Rmc(rmc) => rmc.time?.on(rmc.date?),
        Report::Zda(zda) => zda.instant(),
        _ => None,
    }
}

/// A time of day that needs one.
fn time_of_day(report: &Report<'_>) -> Option<UtcTime> {
    match report {
        Report::Gga(gga) => gga.time,
        Report::Gll(gll) => gll.time,
        Report::Gns(gns) => gns.time,
        Report::Rmc(rmc) => rmc.time,
        Report::Zda(zda) => zda.time,
        _ => None,
    }
}

/// The log's own time.
struct LogClock {
    now: Timestamp,
    by_logger: bool,
}

impl LogClock {
    fn hear(&mut self, said: &Heard<'_>) {
        let told = if self.by_logger {
            told_by_logger(said)
        } else {
            dated(&said.report).or_else(|| time_of_day(&said.report)?.nearest(self.now))
        };
        self.set(told);
    }

    fn set(&mut self, told: Option<Timestamp>) {
        let Some(told) = told else { return };
        if self.now < told || OVERTAKEN < self.now.duration_since(told) {
            self.now = told;
        }
    }
}

/// Lines in, events out.
struct Ear {
    clock: LogClock,
    fitted: Fitted,
    listener: ais::Listener,
    sources: BTreeMap<String, Source>,
    tally: Tally,
    refused: BTreeMap<&'static str, u64>,
    observations: Vec<Observation>,
    log: Log,
}

impl Ear {
    fn hear(&mut self, line: Result<&[u8], Refusal>) {
        match line {
            Ok(line) if line.starts_with(b"{") => self.gpsd(line),
            // A remark of whoever kept the log.
            Ok(line) if line.starts_with(b"#") => {}
            line => self.sentence(&line.and_then(nmea0183::read)),
        }
        let now = self.clock.now;
        self.log.own.extend(self.observations.drain(..).map(|seen| (now, Event::Observed(seen))));
    }

    fn gpsd(&mut self, line: &[u8]) {
        match gpsd::read(line) {
            Ok(report) => {
                if !self.clock.by_logger {
                    self.clock.set(told_by_gpsd(&report));
                }
                let source = self.source("gpsd".to_owned());
                self.fitted.hear_gpsd(source, &report, self.clock.now, &mut self.observations);
            }
            Err(refusal) => self.refuse(refusal.word()),
        }
    }

    fn sentence(&mut self, heard: &Result<Heard<'_>, Refusal>) {
        self.tally.count(heard);
        let Ok(said) = heard else { return };
        self.clock.hear(said);
        let Some(talker) = said.talker else { return };
        let of_sky = matches!(said.report, Report::Gsv(_) | Report::Gsa(_));
        let several = of_sky && SKY_TALKERS.contains(&&talker.0) && self.sources.contains_key("GN");
        let letters = if several { "GN" } else { talker.as_str().trim_end() };
        let name = said.tag.source.map_or_else(|| letters.to_owned(), |told| format!("{letters} {told}"));
        let source = self.source(name);
        let now = self.clock.now;
        let Report::Ais(fragment) = said.report else {
            self.fitted.hear(source, &said.report, now, &mut self.observations);
            return;
        };
        match self.listener.hear(source, fragment, now) {
            Ok(Some(message)) => {
                self.fitted.hear_transponder(source, &message, now, &mut self.observations);
                self.log.others.extend(ais::neighbour::reports(&message, now).map(|report| (now, report)));
            }
            Ok(None) => {}
            Err(error) => self.refuse(error.word()),
        }
    }

    fn refuse(&mut self, word: &'static str) {
        *self.refused.entry(word).or_default() += 1;
    }

    /// The number of a source: in the order in which they were first heard, so the same for the same log.
    fn source(&mut self, name: String) -> Source {
        let next = Source(u16::try_from(self.sources.len()).unwrap_or(u16::MAX));
        *self.sources.entry(name).or_insert(next)
    }

    fn told(mut self) -> Log {
        let causes = self.tally.causes().map(|(cause, count)| (cause.word(), count));
        for (word, count) in causes.chain(self.refused.iter().map(|(&word, &count)| (word, count))) {
            if 0 < count {
                self.log.notes.push(format!("lines refused: {count} ({word})"));
            }
        }
        self.log
    }
}

#[cfg(test)]
mod tests {
    use windrode_domain::watch::observation::Seen;
    use windrode_wire::nmea0183::sentence::sum;

    use super::*;

    fn closed(sentence: &str) -> String {
        format!("{sentence}*{:02X}\r\n", sum(&sentence.as_bytes()[1..]))
    }

    fn log(text: &str) -> Log {
        read("night.log", text.as_bytes(), FittedOut::UNKNOWN).unwrap()
    }

    fn fixes(log: &Log) -> Vec<Timestamp> {
        let fix = |(at, event): &(Timestamp, Event)| {
            matches!(event, Event::Observed(Observation { seen: Seen::Fix(_), .. })).then_some(*at)
        };
        log.own.iter().filter_map(fix).collect()
    }

    #[test]
    fn the_receivers_date_and_time_are_the_logs() {
        let text = closed("$GPGGA,235959,5006.000,N,00503.000,W,1,09,1.0,5,M,50,M,,")
            + &closed("$GPRMC,235959,A,5006.000,N,00503.000,W,0.1,,261126,,")
            + &closed("$GPGGA,000000,5006.000,N,00503.000,W,1,09,1.0,5,M,50,M,,")
            + &closed("$GPRMC,000001,A,5006.000,N,00503.000,W,0.1,,271126,,");
        let told = fixes(&log(&text));
        let wanted = ["2026-11-26T23:59:59Z", "2026-11-27T00:00:00Z"].map(|at| at.parse().unwrap());
        // RMC in place of GGA waits for it: which fixes are told is `observe`'s to say, when they are is ours.
        assert!(told.starts_with(&wanted), "{told:?}");
    }

    #[test]
    fn a_loggers_stamps_win_over_the_receivers_clock() {
        let rmc = closed("$GPRMC,120000,A,5006.000,N,00503.000,W,0.1,,261126,,");
        let tag = "c:1795694400";
        let block = format!("\\{tag}*{:02X}\\", sum(tag.as_bytes()));
        // Source: date -u -d @1795694400.
        let wanted: Timestamp = "2026-11-26T08:00:00Z".parse().unwrap();
        assert_eq!(wanted.as_second(), 1_795_680_000);
        let told = log(&(block + &rmc));
        assert!(told.own.iter().all(|(at, _)| at.as_second() == 1_795_694_400));
    }

    #[test]
    fn a_line_that_overtook_another_does_not_set_the_clock_back() {
        let second = |at: &str| closed(&format!("$GPZDA,{at},27,11,2026,00,00"));
        let heading = closed("$HEHDT,123.4,T");
        let text = second("120010") + &heading + &second("120004") + &heading + &second("100000") + &heading;
        let told = log(&text);
        let seconds: Vec<i64> = told.own.iter().map(|(at, _)| at.as_second() % 86_400).collect();
        assert_eq!(seconds, [12 * 3600 + 10, 12 * 3600 + 10, 10 * 3600]);
    }

    #[test]
    fn a_log_without_a_date_is_taken_and_said_and_one_without_a_time_is_refused() {
        let gga = |at: &str| closed(&format!("$GPGGA,{at},5006.000,N,00503.000,W,1,09,1.0,5,M,50,M,,"));
        let told = log(&(gga("235959") + &gga("000001")));
        let seconds: Vec<i64> = fixes(&told).iter().map(|at| at.as_second()).collect();
        assert_eq!(seconds, [86_399, 86_401]);
        assert!(told.notes[0].contains("1970-01-01"));
        let refused = |text: &str| read("x.log", text.as_bytes(), FittedOut::UNKNOWN).unwrap_err();
        assert!(refused(&closed("$HEHDT,123.4,T")).contains("tells the time"));
        assert!(refused("$GPGGA,broken\n").contains("not one"));
    }
}
