//! The watch as it runs aboard: the real program, real sockets on this computer, a real database.
//!
//! Power and link are cut as they are at sea: the program is killed at any instant, the far end goes away, a second
//! program is started on the same directory. The boat is invented; she lies in the example's bay with little water.

#[path = "watch/aboard.rs"]
mod aboard;

use std::io::{Read, Write};
use std::net::TcpListener;
use std::os::unix::net::UnixDatagram;
use std::thread;
use std::time::Duration;

use aboard::{Aboard, Ashore, FarEnd, Instruments, Program, program, soon};

const LITTLE_WATER_M: f64 = 0.1;
const MUCH_WATER_M: f64 = 6.0;

#[test]
fn a_watch_tells_what_it_sees_rings_and_hears_the_crew() {
    let aboard = Aboard::new();
    let instruments = Instruments::speaking(LITTLE_WATER_M);
    let watch = aboard.watch(&["--json"], &instruments);
    let taken = watch.event("notice");
    assert_eq!(taken["code"], "watch_taken");
    let ring = watch.event("ring");
    assert_eq!((ring["version"].as_u64(), ring["alarm"].as_str()), (Some(1), Some("water")));
    let told = aboard.tell("acknowledge water");
    assert_eq!(told, "heard: water");
    assert_eq!(watch.event("told")["answer"], "heard: water");
    let view = watch.event_where("watch", |it| {
        it["alarms"].as_array().is_some_and(|alarms| alarms.iter().any(|it| it["standing"] == "acknowledged"))
    });
    assert_eq!(view["reasons"].as_array().map(Vec::is_empty), Some(false));
    let feeds = aboard.tell("feeds");
    assert!(feeds.contains("open") && feeds.contains("0 refused"), "{feeds}");
    assert!(aboard.tell("end").starts_with("heard"));
    assert_eq!(watch.ended(), Some(0));
    assert_eq!(aboard.rows("SELECT count(*) FROM stays WHERE ended_us IS NULL"), ["0"]);
}

#[test]
fn a_second_watch_is_refused_and_told_who_holds_it() {
    let aboard = Aboard::new();
    let instruments = Instruments::speaking(MUCH_WATER_M);
    let watch = aboard.watch(&[], &instruments);
    watch.line("is taken");
    let second = program(&["watch", "--data", &aboard.data(), "--feed", "udp://127.0.0.1:0"])
        .output()
        .expect("it runs");
    assert_eq!(second.status.code(), Some(1));
    let why = String::from_utf8_lossy(&second.stderr).into_owned();
    assert!(why.contains(&format!("process {}", watch.id())), "{why}");
}

#[test]
fn killed_at_any_instant_it_loses_no_word_that_was_answered_and_no_alarm_that_was_told() {
    let aboard = Aboard::new();
    let instruments = Instruments::speaking(LITTLE_WATER_M);
    let mut rings = 0;
    let mut answered = Vec::new();
    for round in 0..6_u64 {
        // Only the first needs the stay's files.
        let watch =
            if round == 0 { aboard.watch(&["--json"], &instruments) } else { aboard.rearm(&instruments) };
        if round == 0 {
            watch.event("ring");
        } else {
            let again = watch.event("notice");
            assert_eq!(again["code"], "watch_taken_up_again", "{again}");
        }
        for word in 0..=round {
            let line = format!("silence water {}min", 10 * round + word + 1);
            if aboard.tell(&line).starts_with("heard") {
                answered.push(line);
            }
        }
        // At another place of its turn each time.
        thread::sleep(Duration::from_millis(37 * round));
        rings += watch.kill().iter().filter(|event| event["event"] == "ring").count();
        let sound = aboard.rows("PRAGMA quick_check");
        assert_eq!(sound, ["ok"]);
    }
    let lines = aboard.rows("SELECT line FROM words ORDER BY id");
    assert_eq!(answered.len(), 21);
    for line in &answered {
        assert!(lines.contains(line), "{line} is lost of {lines:?}");
    }
    let kept: usize =
        aboard.rows("SELECT count(*) FROM alarms WHERE what = 'ring'")[0].parse().expect("a count");
    assert!(rings <= kept && 1 <= rings, "{rings} were told, {kept} are kept");
    // What was silenced is silenced still.
    let remembered = aboard.rows("SELECT remembered FROM stays").join("");
    assert!(remembered.contains("silenced"), "{remembered}");
}

#[test]
fn what_rang_when_it_was_killed_rings_again_at_once() {
    let aboard = Aboard::new();
    let instruments = Instruments::speaking(LITTLE_WATER_M);
    let watch = aboard.watch(&["--json"], &instruments);
    watch.event("ring");
    watch.kill();
    let silent = Instruments::silent();
    let again = aboard.rearm(&silent);
    assert_eq!(again.event("ring")["alarm"], "water");
}

#[test]
fn a_computer_that_wakes_behind_its_own_record_runs_on_from_there() {
    let aboard = Aboard::new();
    let instruments = Instruments::speaking(LITTLE_WATER_M);
    let watch = aboard.watch(&["--json"], &instruments);
    watch.event("ring");
    watch.kill();
    // A year ahead is the same as a clock that stands a year behind.
    let later = "json_set(remembered, '$.at_us', json_extract(remembered, '$.at_us') + 31536000000000)";
    aboard.change(&format!("UPDATE stays SET remembered = {later}"));
    let again = aboard.rearm(&Instruments::silent());
    let told = again.event_where("notice", |it| it["code"] == "clock_set_back");
    assert!(told["text"].as_str().is_some_and(|it| it.contains("8759 h") || it.contains("8760 h")), "{told}");
    let ring = again.event("ring");
    assert!(told["time"].as_str() <= ring["time"].as_str(), "time runs on: {told} then {ring}");
}

#[test]
fn a_message_that_the_far_end_did_not_take_is_sent_after_a_restart() {
    let aboard = Aboard::new();
    let instruments = Instruments::speaking(LITTLE_WATER_M);
    // A port that refuses: bound, then let go.
    let gone = TcpListener::bind("127.0.0.1:0").and_then(|it| it.local_addr()).expect("a port");
    let hook = format!("http://{gone}/alarm");
    let watch = aboard.watch(&["--json", "--webhook", &hook], &instruments);
    watch.event("ring");
    watch.event_where("notice", |it| it["code"] == "far_end_not_reached");
    watch.kill();
    assert_eq!(aboard.rows("SELECT count(*) FROM outbox WHERE done_us IS NULL"), ["1"]);
    let far_end = FarEnd::at(gone);
    let _again = aboard.rearm(&Instruments::silent());
    let posted = far_end.took(|body| body["event"] == "ring" && body["id"] == 1);
    assert_eq!((posted["alarm"].as_str(), posted["boat"].as_str()), (Some("water"), Some("Tern of Corrant")));
    soon(|| aboard.rows("SELECT count(*) FROM outbox WHERE id = 1 AND done_us IS NULL") == ["0"]);
}

#[test]
fn the_crews_command_is_told_the_alarm_and_a_second_one_when_nobody_hears_it() {
    let aboard = Aboard::new();
    let instruments = Instruments::speaking(LITTLE_WATER_M);
    let (first, second) = (aboard.path("first"), aboard.path("second"));
    let say = |file: &str| format!("echo \"$WINDRODE_CHANGE $WINDRODE_ALARM $WINDRODE_BOAT\" >> '{file}'");
    let (command, escalated) = (say(&first), say(&second));
    let arguments = ["--command", &command, "--escalate-command", &escalated, "--escalate-after", "1s"];
    let _watch = aboard.watch(&arguments, &instruments);
    soon(|| std::fs::read_to_string(&first).is_ok_and(|it| it.contains("ring water Tern of Corrant")));
    soon(|| std::fs::read_to_string(&second).is_ok_and(|it| it.contains("escalate water Tern of Corrant")));
}

#[test]
fn sound_comes_by_the_first_player_that_works() {
    let aboard = Aboard::new();
    let instruments = Instruments::speaking(LITTLE_WATER_M);
    let played = aboard.path("played");
    // The first player fails, the second plays.
    let path = aboard.players(&[
        ("paplay", "exit 1".to_owned()),
        ("aplay", format!("head -c 4 \"$2\" >> '{played}'; sleep 0.1")),
    ]);
    let watch = aboard.watch_with(&["--json"], &instruments, &[("PATH", &path)], true);
    watch.event("ring");
    soon(|| std::fs::read_to_string(&played).is_ok_and(|it| it.starts_with("RIFFRIFF")));
    aboard.tell("acknowledge");
    // The round that plays may end.
    thread::sleep(Duration::from_millis(500));
    let length = std::fs::read_to_string(&played).map_or(0, |it| it.len());
    thread::sleep(Duration::from_millis(700));
    assert_eq!(
        std::fs::read_to_string(&played).map_or(0, |it| it.len()),
        length,
        "it is still after it was heard"
    );
}

#[test]
fn with_no_player_the_crew_are_told_that_there_is_no_sound() {
    let aboard = Aboard::new();
    let instruments = Instruments::speaking(LITTLE_WATER_M);
    let path = aboard.players(&[]);
    let watch = aboard.watch_with(&["--json"], &instruments, &[("PATH", &path)], true);
    let told = watch.event_where("notice", |it| it["code"] == "no_sound");
    assert!(told["text"].as_str().is_some_and(|it| it.contains("NO SOUND")), "{told}");
}

#[test]
fn ashore_it_rings_when_the_boats_power_is_cut_and_not_when_the_crew_end_the_watch() {
    let ashore = Ashore::listening();
    let aboard = Aboard::new();
    let instruments = Instruments::speaking(MUCH_WATER_M);
    let beats = ["--json", "--heartbeat", &ashore.url(), "--heartbeat-deadline", "2s"];
    let watch = aboard.watch(&beats, &instruments);
    ashore.event_where("quiet", |it| it["code"] == "heard");
    watch.kill();
    let silent = ashore.event_where("ring", |it| it["code"] == "silent");
    assert!(silent["text"].as_str().is_some_and(|it| it.contains("Tern of Corrant")), "{silent}");
    let again = aboard.rearm_with(&beats, &instruments);
    ashore.event_where("quiet", |it| it["code"] == "heard_again");
    assert!(aboard.tell("end").starts_with("heard"));
    ashore.event_where("quiet", |it| it["code"] == "ended");
    assert_eq!(again.ended(), Some(0));
    thread::sleep(Duration::from_millis(2500));
    assert!(!ashore.said().iter().any(|it| it["event"] == "ring" && it["code"] == "silent"));
}

#[test]
fn ashore_it_rings_when_the_link_is_cut_and_for_an_alarm_aboard() {
    let ashore = Ashore::listening();
    let aboard = Aboard::new();
    let instruments = Instruments::speaking(LITTLE_WATER_M);
    let link = aboard::Link::to(ashore.address());
    let url = format!("http://{}/beat", link.address());
    let _watch = aboard.watch(&["--json", "--heartbeat", &url, "--heartbeat-deadline", "2s"], &instruments);
    let alarm = ashore.event_where("ring", |it| it["code"] == "alarm");
    assert!(alarm["text"].as_str().is_some_and(|it| it.contains("water")), "{alarm}");
    link.cut();
    ashore.event_where("ring", |it| it["code"] == "silent");
    link.mend();
    ashore.event_where("quiet", |it| it["code"] == "heard_again");
}

#[test]
fn a_supervisor_hears_that_the_watch_is_ready_and_that_it_lives() {
    let aboard = Aboard::new();
    let instruments = Instruments::speaking(MUCH_WATER_M);
    let name = aboard.path("notify.sock");
    let socket = UnixDatagram::bind(&name).expect("a socket");
    socket.set_read_timeout(Some(Duration::from_secs(20))).expect("a limit");
    let watch =
        aboard.watch_with(&[], &instruments, &[("NOTIFY_SOCKET", &name), ("WATCHDOG_USEC", "200000")], false);
    let mut heard = String::new();
    let mut buffer = [0; 1024];
    while !(heard.contains("READY=1") && 2 <= heard.matches("WATCHDOG=1").count()) {
        let n = socket.recv(&mut buffer).expect("it speaks");
        heard.push_str(&String::from_utf8_lossy(&buffer[..n]));
        heard.push('\n');
    }
    let ready = heard.find("READY=1").expect("ready");
    assert!(heard.find("WATCHDOG=1").is_some_and(|lives| ready < lives), "{heard}");
    drop(watch);
}

#[test]
fn the_unit_runs_the_same_watch() {
    let asked =
        ["watch", "--print-unit", "--data", "boat data", "--feed", "udp://0.0.0.0:10110", "--stay", "a.toml"];
    let printed = program(&asked).output().expect("it runs");
    let unit = String::from_utf8_lossy(&printed.stdout).into_owned();
    assert_eq!(printed.status.code(), Some(0));
    for wanted in ["Type=notify", "WatchdogSec=", "Restart=on-failure", "\"watch\" \"--data\" \"boat data\""]
    {
        assert!(unit.contains(wanted), "{unit}");
    }
    assert!(!unit.contains("a.toml"), "a stay that was ended is not taken anew: {unit}");
}

#[test]
fn a_watch_is_taken_by_hand_and_kept_by_the_supervisors_program() {
    let aboard = Aboard::new();
    let (stay, data) = (aboard.path("stay.toml"), aboard.data());
    let none = program(&["watch", "--data", &data, "--feed", "udp://127.0.0.1:0"]).output().expect("it runs");
    assert_eq!(none.status.code(), Some(2));
    let taken =
        program(&["watch", "--stay", &stay, "--data", &data, "--arm-only"]).output().expect("it runs");
    assert_eq!(taken.status.code(), Some(0));
    assert!(String::from_utf8_lossy(&taken.stdout).contains("stay-2026-08-14-corrant-bay"));
    let kept = aboard.rearm(&Instruments::silent());
    assert_eq!(kept.event("notice")["code"], "watch_taken_up_again");
}

#[test]
fn a_feed_that_floods_keeps_nobody_else_from_being_heard() {
    let aboard = Aboard::new();
    let instruments = Instruments::speaking(LITTLE_WATER_M);
    let flood = TcpListener::bind("127.0.0.1:0").expect("a server");
    let address = format!("tcp://{}", flood.local_addr().expect("an address"));
    thread::spawn(move || {
        let line = aboard::closed("GPGLL,3358.2000,N,12058.0000,W,120000.00,A,A").repeat(100);
        while let Ok((mut link, _)) = flood.accept() {
            while link.write_all(line.as_bytes()).is_ok() {}
        }
    });
    let watch = aboard.watch(&["--json", "--feed", &address], &instruments);
    assert_eq!(watch.event("ring")["alarm"], "water");
    assert_eq!(aboard.tell("acknowledge"), "heard: water");
    let memory_kb = watch.memory_kb();
    assert!(memory_kb < 60_000, "{memory_kb} kB");
}

#[test]
fn on_a_broken_database_the_watch_is_kept_and_the_crew_are_told() {
    let aboard = Aboard::new();
    let instruments = Instruments::speaking(LITTLE_WATER_M);
    std::fs::create_dir_all(aboard.data()).expect("a directory");
    std::fs::write(format!("{}/windrode.db", aboard.data()), vec![0x5A; 10_000]).expect("a file");
    let watch = aboard.watch(&["--json"], &instruments);
    watch.event_where("notice", |it| it["code"] == "record_unsound");
    watch.event("ring");
}

#[test]
fn where_nothing_can_be_written_the_watch_rings_from_memory_and_says_so() {
    let aboard = Aboard::new();
    let instruments = Instruments::speaking(LITTLE_WATER_M);
    // A file stands where the directory should be.
    std::fs::write(aboard.data(), "").expect("a file");
    let watch = aboard.watch(&["--json"], &instruments);
    let told = watch.event_where("notice", |it| it["code"] == "record_not_kept");
    assert!(told["text"].as_str().is_some_and(|it| it.contains("rings from memory")), "{told}");
    watch.event("ring");
}

#[test]
fn the_crew_speak_on_standard_input_and_the_watch_on_a_feed_there_too() {
    let aboard = Aboard::new();
    let instruments = Instruments::speaking(LITTLE_WATER_M);
    let mut watch = aboard.watch(&["--json"], &instruments);
    watch.event("ring");
    watch.say("acknowledge water");
    assert_eq!(watch.event("told")["line"], "acknowledge water");
    drop(watch);
    let other = Aboard::new();
    let mut piped = other.watch(&["--json", "--feed", "-"], &Instruments::silent());
    piped.say(aboard::closed("SDDPT,0.1,0.0").trim());
    soon(|| {
        other.tell("feeds").lines().any(|line| line.starts_with("-: open") && line.contains("0 refused"))
    });
}

#[test]
fn what_cannot_be_used_is_refused_all_at_once() {
    let asked = ["watch", "--data", "x", "--webhook", "ftp://a", "--battery=-1", "--stay", "none.toml"];
    let refused = program(&asked).output().expect("it runs");
    let why = String::from_utf8_lossy(&refused.stderr).into_owned();
    assert_eq!(refused.status.code(), Some(2));
    for wanted in ["--feed", "--webhook", "--battery"] {
        assert!(why.contains(wanted), "{why}");
    }
}

#[test]
fn nobody_answers_where_no_watch_is_kept() {
    let asked = program(&["tell", "--data", "no such directory", "status"]).output().expect("it runs");
    assert_eq!(asked.status.code(), Some(2));
}

#[test]
fn the_far_end_refuses_what_is_no_beat() {
    let ashore = Ashore::listening();
    let mut link = std::net::TcpStream::connect(ashore.address()).expect("a link");
    link.write_all(b"POST /beat HTTP/1.1\r\nContent-Length: 4\r\n\r\nnope").expect("said");
    let mut answer = String::new();
    link.read_to_string(&mut answer).expect("an answer");
    assert!(answer.starts_with("HTTP/1.1 400"), "{answer}");
}

/// Kept here so that every test ends its programs whatever happens.
#[test]
fn a_program_told_to_stop_stays_armed() {
    let aboard = Aboard::new();
    let instruments = Instruments::speaking(MUCH_WATER_M);
    let watch: Program = aboard.watch(&["--json"], &instruments);
    watch.event("watch");
    watch.terminate();
    assert_eq!(watch.ended(), Some(0));
    assert_eq!(aboard.rows("SELECT count(*) FROM stays WHERE ended_us IS NULL"), ["1"]);
}
