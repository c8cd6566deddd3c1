//! A real keeper on the invented stay: through the bytes of its instruments at full speed, and over the real socket.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use windrode_domain::plan;
use windrode_domain::watch::given::Given;
use windrode_wire::observe::FittedOut;

use super::*;
use crate::assemble::watch::{ToldBeside, given};
use crate::store::Store;
use crate::store::stays::StayRow;
use crate::watchkeeper::hearing::Hearing;
use crate::watchkeeper::inbox::{Arrival, Heard};
use crate::watchkeeper::keep::{Deed, FarEnds, Keep};
use crate::words::Voice;
use crate::{assemble, crew_units, files, ring};

/// A folder of the test's own, gone with it.
struct Folder(PathBuf);

impl Folder {
    fn named(name: &str) -> Self {
        let path = std::env::temp_dir().join(format!("windrode-afloat-{}-{name}", std::process::id()));
        std::fs::create_dir_all(&path).expect("a folder");
        Self(path)
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

fn corrant_bay() -> (Inputs, Sheet, FittedOut) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/stays/corrant-bay.toml");
    let aboard = files::load_stay(&path, None).expect("the example reads");
    let inputs = assemble::inputs(&aboard).expect("assembled");
    let sheet = plan::plan(&inputs);
    (inputs, sheet, aboard.vessel.fitted_out())
}

/// A keeper that hears the play, and what it said and rang.
struct Kept {
    keep: Keep,
    _folder: Folder,
    /// The words, and from when each stood.
    words: Vec<(Timestamp, String)>,
    /// What rang.
    rang: Vec<(Timestamp, String, String)>,
}

impl Kept {
    fn new(name: &str, given: Given, out: FittedOut) -> Self {
        let folder = Folder::named(name);
        let at = given.from;
        let row = StayRow {
            id: "stay-played".to_owned(),
            name: "Corrant Bay".to_owned(),
            boat: "Merganser".to_owned(),
            taken: at,
            zone: None,
            stay_text: None,
            vessel_text: None,
            given,
        };
        let far_ends = FarEnds {
            webhook: None,
            escalate_webhook: None,
            deadline: SignedDuration::from_mins(5),
            escalate_after: SignedDuration::from_mins(3),
        };
        let (store, _) = Store::open(&folder.0, at);
        let hearing = Hearing::new(&[Spec::StandardInput], out, Vec::new());
        let clock = crate::words::Clock::new(jiff::tz::TimeZone::UTC);
        let voice = Voice { units: crew_units::USUAL, clock };
        let mut keep = Keep::new(row, None, store, hearing, voice, far_ends, at);
        keep.hear(&Arrival { feed: 0, at, heard: Heard::Opened { stream: 0 } }, at);
        keep.begin(at);
        Self { keep, _folder: folder, words: Vec::new(), rang: Vec::new() }
    }

    fn hear(&mut self, sentences: &str, at: Timestamp) {
        let bytes = sentences.as_bytes().into();
        self.keep.hear(&Arrival { feed: 0, at, heard: Heard::Bytes { stream: 0, bytes } }, at);
        self.keep.pass(at);
        self.note(at);
    }

    fn note(&mut self, at: Timestamp) {
        for deed in self.keep.deeds() {
            match deed {
                Deed::Say(saying) => {
                    let Some(word) = saying.json["verdict"].as_str() else { continue };
                    if self.words.last().is_none_or(|(_, last)| last != word) {
                        self.words.push((at, word.to_owned()));
                    }
                }
                Deed::Ring(told) if told.change == ring::Change::Ring => {
                    self.rang.push((at, told.alarm, told.text));
                }
                _ => {}
            }
        }
    }

    fn word(&self) -> &str {
        self.words.last().map_or("", |(_, word)| word)
    }
}

#[test]
fn explore() {
    let seed: u64 = std::env::var("SEED").map_or(1, |s| s.parse().unwrap());
    let drag = std::env::var("DRAG").is_ok();
    let (inputs, sheet, out) = corrant_bay();
    let mut play = Play::new(bay::of(&inputs, &sheet, drag).unwrap(), seed).unwrap();
    let begun = std::time::Instant::now();
    let mut blank = given(&inputs, &sheet, ToldBeside::default(), play.start());
    (blank.drop, blank.rode, blank.depth, blank.expected) = (None, None, None, None);
    let mut look = Kept::new(&format!("look{seed}{drag}"), blank, out.clone());
    let mut kept: Option<Kept> = None;
    let mut counts: BTreeMap<String, u32> = BTreeMap::new();
    let mut now = play.now();
    let mut first = true;
    let mut dragged_rang = None;
    for second in 1..=23 * 3600 {
        let mut text = String::new();
        let lived = play.second(&mut text);
        if second < 3 || second == 10000 { println!("{text}"); }
        played::note(&mut now, &play, &lived, 256);
        for what in &lived.happened {
            println!("{second} {} {what:?} bow {:?}", lived.truth.at, lived.truth.bow);
        }
        for line in text.lines() {
            *counts.entry(line[..6].to_owned()).or_default() += 1;
        }
        let at = lived.truth.at;
        if let Some(kept) = &mut kept {
            let (w, r) = (kept.words.len(), kept.rang.len());
            kept.hear(&text, at);
            for it in &kept.words[w..] { println!("{second} WORD {} {} gone {:.1}", it.0, it.1, lived.truth.gone_m); }
            for it in &kept.rang[r..] { println!("{second} RANG {it:?} gone {:.1} ketch gone {:.1}", lived.truth.gone_m, play.company().truths()[0].gone_m); if it.1=="dragging" && dragged_rang.is_none() {dragged_rang=Some(lived.truth.gone_m)} }
        } else {
            look.hear(&text, at);
            if first && !look.words.is_empty() { first = false; }
            if now.let_go().is_some() {
                println!("looking out: {:?}", look.words);
                let told = ToldBeside { drop: Some(now.anchor.at(Length::metres(2.0), windrode_domain::units::Bearing::degrees(40.0))), ..ToldBeside::default() };
                let given = given(&inputs, &sheet, told, at);
                println!("rode {:?} given {:?}", given.rode, given.depth);
                kept = Some(Kept::new(&format!("kept{seed}{drag}"), given, out.clone()));
            }
        }
        if second % 1800 == 0 {
            let t = &lived.truth;
            println!("{second} {} {:?} bow {:.0?} wind {:.1} from {:.0} load {:.0} depth {:.2} sounded {:.2} batt {:.2}; ketch gone {:.1} load {:.0}", t.at, lived.phase, (t.bow.east_m, t.bow.north_m), t.wind.speed().as_knots(), t.wind.from().map_or(0.0, |b| b.as_degrees()), t.load.as_newtons(), t.depth.as_metres(), lived.sounded.as_metres(), lived.battery_v, play.company().truths()[0].gone_m, play.company().truths()[0].load.as_newtons());
        }
    }
    println!("{:?} {counts:?} dragged {dragged_rang:?}", begun.elapsed());
}
