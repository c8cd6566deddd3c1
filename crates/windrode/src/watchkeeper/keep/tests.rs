//! The keeper without its threads: what it does with what it hears, and in which order.

use std::path::PathBuf;
use std::sync::mpsc::sync_channel;

use super::*;
use crate::watchkeeper::rehearsal::{self, at, memory_kb};

/// A folder of the test's own, gone with it.
struct Folder(PathBuf);

impl Folder {
    fn named(name: &str) -> Self {
        let path = std::env::temp_dir().join(format!("windrode-keep-{}-{name}", std::process::id()));
        std::fs::create_dir_all(&path).expect("a folder");
        Self(path)
    }
}

impl std::ops::Drop for Folder {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

fn keep(directory: &std::path::Path) -> Keep {
    rehearsal::keeper(directory).expect("a keeper")
}

fn hear(keep: &mut Keep, second: u32, depth_m: f64) {
    rehearsal::hear(keep, second, depth_m).expect("a second");
}

/// The first deed of the wanted kind, by its place.
fn first(deeds: &[Deed], wanted: impl Fn(&Deed) -> bool) -> Option<usize> {
    deeds.iter().position(wanted)
}

fn rings(deed: &Deed) -> bool {
    matches!(deed, Deed::Ring(told) if told.change == Change::Ring && told.alarm == "water")
}

impl Keep {
    /// Said at the boat's own computer.
    fn told(&mut self, line: &str, answer_to: Option<SyncSender<String>>, now: Timestamp) -> bool {
        self.told_by(line, &Speaker::here(), answer_to, now)
    }
}

#[test]
fn an_alarm_is_on_disk_before_it_is_rung_and_its_message_waits_there() {
    let folder = Folder::named("alarm");
    let mut keep = keep(&folder.0);
    keep.deeds();
    for index in 1..10 {
        hear(&mut keep, index, 2.1);
    }
    // The deeds have not been done yet, and all is there.
    let (other, _) = Store::open(&folder.0, at(10));
    let waiting = other.unposted();
    assert_eq!(waiting.len(), 1, "{waiting:?}");
    assert_eq!(waiting[0].url, "http://far.test/");
    let deeds = keep.deeds();
    assert!(first(&deeds, rings).is_some());
    assert!(deeds.iter().any(|deed| matches!(deed, Deed::Sound(Some(Urgency::Alarm)))));
    assert!(deeds.iter().any(|deed| matches!(deed, Deed::Beat(beat) if beat.rings.len() == 1)));
}

#[test]
fn the_crew_are_answered_after_their_word_is_kept_and_the_sound_is_still() {
    let folder = Folder::named("word");
    let mut keep = keep(&folder.0);
    for index in 1..10 {
        hear(&mut keep, index, 2.1);
    }
    keep.deeds();
    let (answer, _answered) = sync_channel(1);
    assert!(!keep.told("acknowledge", Some(answer), at(11)));
    let deeds = keep.deeds();
    let still = first(&deeds, |deed| matches!(deed, Deed::Sound(None)));
    let answered = first(&deeds, |deed| matches!(deed, Deed::Answer(_, text) if text == "heard: water"));
    assert!(still.is_some() && still < answered, "{deeds:?}");
    let (mut other, _) = Store::open(&folder.0, at(12));
    let remembered = other.armed().and_then(|armed| armed.remembered).expect("it is remembered");
    assert!(remembered.alarms.iter().any(|alarm| alarm.standing == Standing::Acknowledged));
}

#[test]
fn nobody_gets_up_and_the_second_far_end_is_told() {
    let folder = Folder::named("escalate");
    let mut keep = keep(&folder.0);
    for index in 1..10 {
        hear(&mut keep, index, 2.1);
    }
    keep.deeds();
    for index in 10..200 {
        hear(&mut keep, index, 2.1);
    }
    let deeds = keep.deeds();
    assert!(deeds.iter().any(|deed| matches!(deed, Deed::Sound(Some(Urgency::Escalated)))));
    assert!(deeds.iter().any(|deed| matches!(deed, Deed::Post(it) if it.url == "http://farther.test/")));
}

#[test]
fn with_a_disk_that_takes_nothing_it_rings_from_memory_and_says_so_to_the_crew() {
    let folder = Folder::named("memory");
    let file = folder.0.join("file");
    std::fs::write(&file, "").expect("a file");
    let mut keep = keep(&file);
    for index in 1..10 {
        hear(&mut keep, index, 2.1);
    }
    assert!(first(&keep.deeds(), rings).is_some());
    let (answer, _answered) = sync_channel(1);
    keep.told("acknowledge water", Some(answer), at(11));
    let deeds = keep.deeds();
    assert!(
        deeds.iter().any(|deed| matches!(deed, Deed::Answer(_, text) if text.contains("in memory only")))
    );
}

#[test]
fn who_heard_an_alarm_is_shown_with_it_and_known_after_a_restart() {
    let folder = Folder::named("said");
    let mut keep = keep(&folder.0);
    for index in 1..10 {
        hear(&mut keep, index, 2.1);
    }
    let said = |keep: &Keep| {
        watch_json::view(&keep.watch.view(), &keep.voice, &keep.said)["alarms"][0]["said"].clone()
    };
    assert_eq!(said(&keep), serde_json::Value::Null);
    let mara = Speaker { device: "7".to_owned(), name: "Mara's phone".to_owned() };
    keep.told_by("ack", &mara, None, at(11));
    let wanted = json!({
        "word": "acknowledge",
        "by": { "device": "7", "name": "Mara's phone" },
        "time": format!("{:.3}", at(11)),
    });
    assert_eq!(said(&keep), wanted);
    keep.stop(at(12));
    let Keep { voice, far_ends, .. } = keep;
    let (mut store, _) = Store::open(&folder.0, at(20));
    let crate::store::stays::Armed { row, remembered } = store.armed().expect("a watch that was not ended");
    let hearing = Hearing::new(&[], windrode_wire::observe::FittedOut::UNKNOWN, Vec::new());
    let again = Keep::new(row, remembered, store, hearing, voice, far_ends, at(20));
    assert_eq!(said(&again), wanted);
}

#[test]
fn a_clock_that_is_set_back_is_told() {
    let folder = Folder::named("clock");
    let mut keep = keep(&folder.0);
    keep.deeds();
    keep.clock_stepped(SignedDuration::from_secs(-3600), at(10));
    let told = keep.deeds();
    let said = first(&told, |deed| matches!(deed, Deed::Say(it) if it.json["code"] == "clock_set_back"));
    assert!(said.is_some());
}

#[test]
fn what_is_not_understood_changes_nothing_and_says_what_is_wanted() {
    let folder = Folder::named("rubbish");
    let mut keep = keep(&folder.0);
    keep.deeds();
    let (answer, _answered) = sync_channel(1);
    keep.told("sing", Some(answer), at(1));
    let deeds = keep.deeds();
    assert!(matches!(&deeds[..], [Deed::Answer(_, text)] if text.contains("wanted")), "{deeds:?}");
}

/// Set where the test below runs in a process of its own.
const ALONE: &str = "WINDRODE_TEST_RUNS_ALONE";

// A whole month is kept by `windrode watch --rehearse 30`; an hour that has warmed up and two more show whether
// anything grows. In a process of its own: the memory of other tests is not the keeper's.
#[test]
fn memory_does_not_grow_with_the_hours() {
    if std::env::var_os(ALONE).is_none() {
        let name = "watchkeeper::keep::tests::memory_does_not_grow_with_the_hours";
        let program = std::env::current_exe().expect("this program");
        let ran = std::process::Command::new(program).args(["--exact", name]).env(ALONE, "1").output();
        let ran = ran.expect("it runs once more");
        let said = String::from_utf8_lossy(&ran.stdout).into_owned();
        assert!(ran.status.success() && said.contains("1 passed"), "{said}");
        return;
    }
    let folder = Folder::named("hours");
    let mut keep = keep(&folder.0);
    let hour = |keep: &mut Keep, number: u32| {
        for index in 3600 * number..3600 * (number + 1) {
            hear(keep, index + 1, 6.0);
            keep.deeds();
        }
        memory_kb("VmRSS:").expect("Linux tells")
    };
    let first = hour(&mut keep, 0);
    hour(&mut keep, 1);
    let third = hour(&mut keep, 2);
    // A page here and there is the allocator's; a megabyte an hour would be 700 MB a month and shows here.
    assert!(third < first + 1_000, "{first} kB, then {third} kB");
}
