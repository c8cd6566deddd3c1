//! Fifty devices that look on, a dead telephone and a slow one among them, while instruments speak ten times a second,
//! the crew say a word each second and an alarm rings now and then.
//!
//! Fifteen seconds of it, or as many as `WINDRODE_LOAD_S` says: what stands in docs/measured.md is ten minutes of the
//! release build.

use std::io::{Read, Write};
use std::net::TcpStream;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread;
use std::time::{Duration, Instant};

use serde_json::json;

use crate::aboard::{Aboard, Instruments, Serving, kept};
use crate::asking::Device;

const SHORT_S: u64 = 15;
const DEVICES: usize = 50;
const TEN_A_SECOND: Duration = Duration::from_millis(100);
/// The sounder is over a shoal for the first half of it: soundings are judged over a minute.
const ALARM_EVERY_S: u64 = 180;
const LITTLE_WATER_M: f64 = 0.1;
const MUCH_WATER_M: f64 = 6.0;

/// What one device heard: how late, and how often an alarm rang.
#[derive(Debug, Default)]
struct Hearing {
    late_ms: Vec<i128>,
    words: u64,
    rings: u64,
}

fn listen(device: &Device) -> thread::JoinHandle<Hearing> {
    let mut stream = device.looks_on();
    thread::spawn(move || {
        let mut hearing = Hearing::default();
        while let Some(event) = stream.next() {
            if ["told", "ring", "quiet"].contains(&event.name.as_str()) {
                let time = event.data["time"].as_str().and_then(|time| time.parse::<jiff::Timestamp>().ok());
                hearing
                    .late_ms
                    .push(jiff::Timestamp::now().duration_since(time.expect("a time")).as_millis());
                hearing.words += u64::from(event.name == "told");
                hearing.rings += u64::from(event.name == "ring");
            }
        }
        hearing
    })
}

/// A telephone that takes so many bytes a second; at nought it is dead.
fn bad_telephone(port: u16, bytes_a_second: usize, stop: Arc<AtomicBool>) -> thread::JoinHandle<()> {
    let mut stream = TcpStream::connect(("127.0.0.1", port)).expect("it listens");
    stream.set_read_timeout(Some(Duration::from_secs(1))).expect("a limit");
    write!(stream, "GET /api/v1/live HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\n\r\n").expect("sent");
    thread::spawn(move || {
        let mut some = vec![0; bytes_a_second];
        while !stop.load(Ordering::Acquire) {
            // It may have been let go meanwhile.
            let _ = stream.read(&mut some);
            thread::sleep(Duration::from_secs(1));
        }
    })
}

/// A second of the load: a word, and the sounder over a shoal in the first half of each spell.
fn second(number: u64, here: &Device, instruments: &Instruments) {
    let line = match number % ALARM_EVERY_S {
        179 => "clear water".to_owned(),
        _ => format!("silence wind_shift {}min", number % 50 + 1),
    };
    instruments.depth(if number % ALARM_EVERY_S < ALARM_EVERY_S / 2 { LITTLE_WATER_M } else { MUCH_WATER_M });
    assert_eq!(here.post("/api/v1/watch/words", &json!({ "line": line })).status, 200);
}

#[test]
fn fifty_devices_hear_within_half_a_second_and_memory_stays_small() {
    let wanted = std::env::var("WINDRODE_LOAD_S").ok().and_then(|it| it.parse().ok());
    let seconds: u64 = wanted.unwrap_or(SHORT_S);
    let aboard = Aboard::new();
    let instruments = Instruments::speaking(MUCH_WATER_M, TEN_A_SECOND);
    let serving = aboard.serves(&["--feed", &instruments.feed()]);
    let here = serving.here();
    let (_, stay) = kept(&here);
    assert_eq!(here.post("/api/v1/watch", &json!({ "stay": stay })).status, 201);
    let stop = Arc::new(AtomicBool::new(false));
    let bad: Vec<_> =
        [0, 200].map(|bytes| bad_telephone(serving.ports[0], bytes, Arc::clone(&stop))).into_iter().collect();
    let listeners: Vec<_> = (0..DEVICES).map(|_| listen(&here)).collect();
    let (begun, used_s) = (Instant::now(), serving.processor_s());
    let mut memory_kb = Vec::new();
    for number in 0..seconds {
        second(number, &here, &instruments);
        memory_kb.push(serving.memory_kb());
        thread::sleep(Duration::from_secs(number + 1).saturating_sub(begun.elapsed()));
    }
    let share = (serving.processor_s() - used_s) / begun.elapsed().as_secs_f64();
    stops_at_once(&serving);
    stop.store(true, Ordering::Release);
    for telephone in bad {
        telephone.join().expect("it was a telephone");
    }
    let heard: Vec<Hearing> =
        listeners.into_iter().map(|listener| listener.join().expect("it listened")).collect();
    assert!(heard.iter().all(|it| it.words == seconds), "nobody missed a word");
    let rings = heard[0].rings;
    let alike = heard.iter().all(|it| it.rings == rings);
    let mut late_ms: Vec<i128> = heard.into_iter().flat_map(|it| it.late_ms).collect();
    late_ms.sort_unstable();
    let p99_ms = late_ms[late_ms.len() * 99 / 100];
    let most_kb = memory_kb.iter().copied().max().unwrap_or(0);
    println!(
        "{seconds} s, {rings} alarms, {} hearings: p99 {p99_ms} ms, worst {} ms; memory {} kB at a quarter, {} kB at the \
         end, {most_kb} kB at the most; processor {:.1} % of one core",
        late_ms.len(),
        late_ms[late_ms.len() - 1],
        memory_kb[memory_kb.len() / 4],
        memory_kb[memory_kb.len() - 1],
        share * 100.0
    );
    assert!(seconds / ALARM_EVERY_S < rings && alike, "{rings} rings");
    assert!(p99_ms < 500 && most_kb < 80_000, "p99 {p99_ms} ms, memory {most_kb} kB");
}

/// Every stream ends with the program, which ends at once though they are open.
fn stops_at_once(serving: &Serving) {
    let stopping = Instant::now();
    assert_eq!(serving.stop(), Some(0));
    assert!(stopping.elapsed() < Duration::from_secs(5));
}
