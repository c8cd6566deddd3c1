//! From the bytes that feeds bring to what the watch takes in.
//!
//! Each stream of a feed has its own line to gather; each instrument on it, told apart by the two letters of its talker
//! and by what a multiplexer says of it, is a source with a number of its own, which the database keeps, so that it is
//! the same all night and after a restart.

use std::collections::BTreeMap;

use jiff::Timestamp;
use windrode_domain::watch::event::NeighbourReport;
use windrode_domain::watch::observation::{Observation, Source};
use windrode_wire::ais;
use windrode_wire::gpsd;
use windrode_wire::nmea0183::lines::Lines;
use windrode_wire::nmea0183::refusal::Refusal;
use windrode_wire::nmea0183::{self, Report};
use windrode_wire::observe::{Fitted, FittedOut, Want, Withheld};

use super::inbox::{Arrival, Heard};
use super::instruments::Instruments;
use crate::feed::Spec;
use crate::feed::health::{Health, State};

/// Sources that get a number of their own; whoever comes later shares the last. A boat has a dozen.
const MOST_SOURCES: u16 = 200;
/// Streams of one feed that may be open: more than may call.
const MOST_STREAMS: usize = 16;

/// What is heard.
#[derive(Debug, Default)]
pub(crate) struct Heeded {
    /// By her own instruments.
    pub(crate) observations: Vec<Observation>,
    /// Of vessels near by.
    pub(crate) neighbours: Vec<NeighbourReport>,
    /// Sources heard for the first time.
    pub(crate) new_sources: Vec<NewSource>,
}

/// A source heard for the first time.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct NewSource {
    /// Its number.
    pub(crate) number: u16,
    /// The feed's address.
    pub(crate) feed: String,
    /// Its talker, and what a multiplexer calls it.
    pub(crate) name: String,
}

/// The sources by feed and name.
#[derive(Debug, Default)]
struct Sources {
    known: BTreeMap<(String, String), u16>,
    last: u16,
}

impl Sources {
    fn number(&mut self, feed: &str, name: &str, out: &mut Vec<NewSource>) -> Source {
        let key = (feed.to_owned(), name.to_owned());
        if let Some(number) = self.known.get(&key) {
            return Source(*number);
        }
        if MOST_SOURCES <= self.last {
            return Source(self.last);
        }
        self.last += 1;
        self.known.insert(key, self.last);
        out.push(NewSource { number: self.last, feed: feed.to_owned(), name: name.to_owned() });
        Source(self.last)
    }
}

#[derive(Debug)]
struct Feed {
    health: Health,
    is_gpsd: bool,
    streams: BTreeMap<u32, Lines>,
    /// Sources of its lines as they were named last, so that a name is looked up once and not for every line.
    named: BTreeMap<[u8; 2], Source>,
}

/// The ear of the keeper.
#[derive(Debug)]
pub(crate) struct Hearing {
    feeds: Vec<Feed>,
    sources: Sources,
    fitted: Fitted,
    listener: ais::Listener,
    instruments: Instruments,
}

/// A change of a feed that the crew must hear of.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum FeedChange {
    /// It is open.
    Opened(String),
    /// It was lost.
    Lost(String),
    /// It came to its end.
    Finished(String),
}

impl Hearing {
    /// With these feeds, and the numbers that sources had before.
    pub(crate) fn new(specs: &[Spec], out: FittedOut, known: Vec<NewSource>) -> Self {
        let feed = |spec: &Spec| Feed {
            health: Health::new(spec.to_string()),
            is_gpsd: matches!(spec, Spec::Gpsd(_)),
            streams: BTreeMap::new(),
            named: BTreeMap::new(),
        };
        let last = known.iter().map(|source| source.number).max().unwrap_or(0);
        let known = known.into_iter().map(|source| ((source.feed, source.name), source.number)).collect();
        Self {
            feeds: specs.iter().map(feed).collect(),
            sources: Sources { known, last },
            fitted: Fitted::new(out),
            listener: ais::Listener::new(),
            instruments: Instruments::default(),
        }
    }

    /// Another vessel's fitting-out: what was heard before is not mixed with it.
    pub(crate) fn fit_out(&mut self, out: FittedOut) {
        self.fitted = Fitted::new(out);
    }
    /// What her instruments said last.
    pub(crate) fn instruments(&self, now: Timestamp) -> serde_json::Value {
        self.instruments.view(now)
    }
    /// How the feeds are.
    pub(crate) fn feeds(&self) -> impl Iterator<Item = &Health> {
        self.feeds.iter().map(|feed| &feed.health)
    }
    /// What was heard and could not be told, by what was wanting.
    pub(crate) fn withheld(&self) -> Withheld {
        self.fitted.withheld()
    }

    /// Takes in what a feed brought.
    pub(crate) fn hear(&mut self, arrival: &Arrival, heeded: &mut Heeded) -> Option<FeedChange> {
        let feed = self.feeds.get_mut(arrival.feed)?;
        let health = &mut feed.health;
        match &arrival.heard {
            Heard::Opened { stream } => {
                let limit = if feed.is_gpsd { gpsd::LINE_BYTES_MAX } else { nmea0183::lines::LINE_BYTES_MAX };
                if feed.streams.len() < MOST_STREAMS {
                    feed.streams.insert(*stream, Lines::up_to(limit));
                }
                health.state = State::Open(u32::try_from(feed.streams.len()).unwrap_or(u32::MAX));
                Some(FeedChange::Opened(health.address.clone()))
            }
            Heard::Closed { stream } => {
                feed.streams.remove(stream);
                health.state = State::Open(u32::try_from(feed.streams.len()).unwrap_or(u32::MAX));
                None
            }
            Heard::Lost { why, again_in } => {
                let was_open = !matches!(health.state, State::Lost { .. });
                health.lost += u64::from(was_open);
                let told = format!("{}: {why}; tried again in {} s", health.address, again_in.as_secs());
                health.state = State::Lost { why: why.clone(), at: arrival.at, again_in: *again_in };
                was_open.then_some(FeedChange::Lost(told))
            }
            Heard::Finished => {
                health.state = State::Finished;
                Some(FeedChange::Finished(health.address.clone()))
            }
            Heard::Bytes { stream, bytes } => {
                health.bytes += bytes.len() as u64;
                if let Some(lines) = feed.streams.remove(stream) {
                    let before = heeded.observations.len();
                    let lines = self.lines(arrival.feed, lines, bytes, arrival.at, heeded);
                    for observation in heeded.observations.iter().skip(before) {
                        self.instruments.hear(observation);
                    }
                    if let Some(feed) = self.feeds.get_mut(arrival.feed) {
                        feed.streams.insert(*stream, lines);
                    }
                }
                None
            }
        }
    }

    fn lines(
        &mut self,
        feed: usize,
        mut lines: Lines,
        bytes: &[u8],
        at: Timestamp,
        heeded: &mut Heeded,
    ) -> Lines {
        let Some(feed) = self.feeds.get_mut(feed) else { return lines };
        let mut ear = OneLine {
            feed,
            sources: &mut self.sources,
            fitted: &mut self.fitted,
            listener: &mut self.listener,
            heeded,
            at,
        };
        if ear.feed.is_gpsd {
            lines.push(bytes, |line| ear.gpsd(line));
        } else {
            lines.push(bytes, |line| ear.sentence(line));
        }
        lines
    }
}

/// All that a line is heard with.
struct OneLine<'a> {
    feed: &'a mut Feed,
    sources: &'a mut Sources,
    fitted: &'a mut Fitted,
    listener: &'a mut ais::Listener,
    heeded: &'a mut Heeded,
    at: Timestamp,
}

/// Letters of satellite systems that a receiver of several speaks for one by one, in the reports of its sky.
const SKY_TALKERS: [[u8; 2]; 8] = [*b"GL", *b"GA", *b"GB", *b"BD", *b"GQ", *b"QZ", *b"GI", *b"GP"];

impl OneLine<'_> {
    fn gpsd(&mut self, line: Result<&[u8], Refusal>) {
        let Ok(line) = line else {
            self.feed.health.refuse("too-long");
            return;
        };
        match gpsd::read(line) {
            Ok(report) => {
                self.feed.health.heard_line(self.at);
                let source =
                    self.sources.number(&self.feed.health.address, "gpsd", &mut self.heeded.new_sources);
                self.fitted.hear_gpsd(source, &report, self.at, &mut self.heeded.observations);
            }
            Err(refusal) => self.feed.health.refuse(refusal.word()),
        }
    }

    fn sentence(&mut self, line: Result<&[u8], Refusal>) {
        let read = line.and_then(nmea0183::read);
        self.feed.health.tally.count(&read);
        let Ok(heard) = read else { return };
        self.feed.health.heard_line(self.at);
        let Some(talker) = heard.talker else { return };
        let of_sky = matches!(heard.report, Report::Gsv(_) | Report::Gsa(_));
        let source = self.source(talker.0, heard.tag.source, of_sky);
        if let Report::Ais(fragment) = heard.report {
            match self.listener.hear(source, fragment, self.at) {
                Ok(Some(message)) => {
                    self.fitted.hear_transponder(source, &message, self.at, &mut self.heeded.observations);
                    self.heeded.neighbours.extend(ais::neighbour::reports(&message, self.at));
                }
                Ok(None) => {}
                Err(error) => self.feed.health.refuse(error.word()),
            }
        } else {
            self.fitted.hear(source, &heard.report, self.at, &mut self.heeded.observations);
        }
    }

    /// The source of a line. The sky of a receiver that fixes by several systems (GN) is told system by system.
    fn source(&mut self, talker: [u8; 2], told: Option<&str>, of_sky: bool) -> Source {
        let several = of_sky && SKY_TALKERS.contains(&talker) && self.feed.named.contains_key(b"GN");
        let talker = if several { *b"GN" } else { talker };
        if let (None, Some(source)) = (told, self.feed.named.get(&talker)) {
            return *source;
        }
        let letters = String::from_utf8_lossy(&talker).trim_end().to_owned();
        let name = told.map_or_else(|| letters.clone(), |told| format!("{letters} {told}"));
        let source = self.sources.number(&self.feed.health.address, &name, &mut self.heeded.new_sources);
        if told.is_none() && self.feed.named.len() < usize::from(MOST_SOURCES) {
            self.feed.named.insert(talker, source);
        }
        source
    }
}

/// What is wanting, in the crew's words.
pub(crate) const fn wanting(want: Want) -> &'static str {
    match want {
        Want::Heading => "the wind is felt, but no heading comes with it",
        Want::Way => "the wind is felt, but no way over the ground comes with it",
        Want::Place => "a magnetic heading comes, but no place to tell the variation of",
        Want::MagneticModel => {
            "a magnetic heading comes, but the magnetic model does not hold at this time or place"
        }
        Want::SounderFitting => "the sounder speaks, but the vessel file does not say what it reads",
        Want::Draught => "the sounder reads below the keel, but no draught is known",
    }
}

#[cfg(test)]
mod tests {
    use windrode_domain::watch::observation::Seen;

    use super::*;

    const GGA: &str = "$GPGGA,120000.00,3358.2000,N,12058.0000,W,1,10,0.9,2.0,M,-35.0,M,,*";

    fn closed(sentence: &str) -> String {
        let body = sentence.trim_start_matches('$').trim_end_matches('*');
        format!("${body}*{:02X}\r\n", nmea0183::sentence::sum(body.as_bytes()))
    }

    fn heard(hearing: &mut Hearing, heard: Heard) -> Heeded {
        let mut heeded = Heeded::default();
        let at = Timestamp::from_second(1_800_000_000).expect("a time");
        hearing.hear(&Arrival { feed: 0, at, heard }, &mut heeded);
        heeded
    }

    fn bytes(hearing: &mut Hearing, text: &str) -> Heeded {
        heard(hearing, Heard::Bytes { stream: 0, bytes: text.as_bytes().into() })
    }

    fn open(address: &str) -> Hearing {
        let spec = Spec::parse(address).expect("an address");
        let mut hearing = Hearing::new(&[spec], FittedOut::UNKNOWN, Vec::new());
        heard(&mut hearing, Heard::Opened { stream: 0 });
        hearing
    }

    #[test]
    fn a_sentence_in_two_pieces_is_one_fix_of_one_source() {
        let mut hearing = open("udp://127.0.0.1:10110");
        let line = closed(GGA);
        let (head, tail) = line.split_at(30);
        assert!(bytes(&mut hearing, head).observations.is_empty());
        let mut all = bytes(&mut hearing, tail);
        // The fix of an epoch may wait for a better sentence of the same epoch.
        let next = bytes(&mut hearing, &closed(&GGA.replace("120000", "120001")));
        all.observations.extend(next.observations);
        let fix = all.observations.iter().find(|it| matches!(it.seen, Seen::Fix(_))).expect("a fix");
        assert_eq!(fix.source, Source(1));
        assert_eq!(all.new_sources.len(), 1);
    }

    // Source: the first position of a class A vessel in authorities/ais/dma_stream_2010-06-11.nmea; her number, bits
    // 8 to 37 of the packet (ITU-R M.1371-5, table 45), was read by hand.
    #[test]
    fn a_vessel_near_by_is_heard_on_the_same_wire() {
        let mut hearing = open("-");
        let all = bytes(&mut hearing, "!AIVDM,1,1,,A,33nr7t001f13KNTOahh2@QpF00vh,0*58\r\n");
        let mmsi: Vec<u32> = all.neighbours.iter().map(|report| report.mmsi).collect();
        assert_eq!(mmsi, [258_902_000]);
        assert!(all.observations.is_empty());
    }

    #[test]
    fn a_gpsd_feed_is_heard_as_its_json() {
        let mut hearing = open("gpsd://127.0.0.1");
        let tpv = r#"{"class":"TPV","mode":3,"time":"2027-01-15T08:00:00.000Z","lat":33.97,"lon":-120.96,"epx":4.0,"epy":5.0}"#;
        let all = bytes(&mut hearing, &format!("{tpv}\n{{\"class\":\n"));
        assert!(all.observations.iter().any(|it| matches!(it.seen, Seen::Fix(_))), "{:?}", all.observations);
        assert_eq!(hearing.feeds().next().expect("a feed").causes().values().sum::<u64>(), 1);
    }

    #[test]
    fn what_is_refused_is_counted_by_its_cause() {
        let mut hearing = open("-");
        bytes(&mut hearing, "$GPGGA,1*00\r\nrubbish\r\n");
        let causes = hearing.feeds().next().expect("a feed").causes();
        assert_eq!(causes.values().sum::<u64>(), 2, "{causes:?}");
        assert_eq!(causes.get("checksum"), Some(&1));
    }

    #[test]
    fn sources_keep_their_numbers_over_a_restart_and_never_grow_past_their_bound() {
        let mut sources = Sources::default();
        let mut new = Vec::new();
        for index in 0..1000 {
            sources.number("udp://a:1", &format!("t{index}"), &mut new);
        }
        assert_eq!(new.len(), usize::from(MOST_SOURCES));
        let again = Hearing::new(&[], FittedOut::UNKNOWN, new);
        assert_eq!(again.sources.known.get(&("udp://a:1".to_owned(), "t7".to_owned())), Some(&8));
        assert_eq!(again.sources.last, MOST_SOURCES);
    }

    #[test]
    fn a_vane_and_a_compass_are_taken_as_her_file_says_they_are() {
        let vessel = "[vane]\nturned = 10\n[compass]\ndeviation = 5\n";
        let told = format!("{}{vessel}", crate::files::vessel::tests::SOUND);
        let source = crate::files::source::Source::of_text(std::path::Path::new("boat.toml"), told);
        let out = crate::files::vessel::read_vessel(&source).expect("a vessel").fitted_out();
        let mut hearing = Hearing::new(&[Spec::StandardInput], out, Vec::new());
        self::heard(&mut hearing, Heard::Opened { stream: 0 });
        let text = [
            closed("$HCHDG,100.0,,,2.0,E*"),
            closed("$GPVTG,0.0,T,,M,0.0,N,0.0,K,A*"),
            closed("$WIMWV,20.0,R,10.0,N,A*"),
        ];
        let heeded = bytes(&mut hearing, &text.concat());
        let heading = heeded.observations.iter().find_map(|it| match it.seen {
            Seen::Heading { bow, .. } => Some(bow.as_degrees()),
            _ => None,
        });
        let from = heeded.observations.iter().find_map(|it| match it.seen {
            Seen::Wind(wind) => wind.from().map(windrode_domain::units::Bearing::as_degrees),
            _ => None,
        });
        // 100° by the compass, 5° deviation and 2° variation east; 20° off the bow by a vane that stands 10° askew.
        assert!(heading.is_some_and(|deg| (deg - 107.0).abs() < 1e-9), "{heading:?}");
        assert!(from.is_some_and(|deg| (deg - 137.0).abs() < 1e-9), "{from:?}");
    }

    #[test]
    fn her_own_transponder_stands_in_where_no_receiver_speaks() {
        let mut hearing = Hearing::new(&[Spec::StandardInput], FittedOut::UNKNOWN, Vec::new());
        self::heard(&mut hearing, Heard::Opened { stream: 0 });
        // Message 1 of the public description's first example, as her own would be repeated.
        let own = "!AIVDO,1,1,,A,13u?etPv2;0n:dDPwUM1U1Cb069D,0*";
        let body = own.trim_start_matches('!').trim_end_matches('*');
        let line = format!("!{body}*{:02X}\r\n", nmea0183::sentence::sum(body.as_bytes()));
        let heeded = bytes(&mut hearing, &line);
        assert!(heeded.neighbours.is_empty());
        assert!(
            heeded.observations.iter().any(|it| matches!(it.seen, Seen::Fix(_))),
            "{:?}",
            heeded.observations
        );
    }
}
