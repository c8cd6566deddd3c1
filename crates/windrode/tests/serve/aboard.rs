//! An invented boat whose computer serves: a folder of its own, instruments on a real socket, the real program.

use std::fs;
use std::io::{BufRead, BufReader};
use std::net::UdpSocket;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::atomic::{AtomicBool, AtomicU32, Ordering};
use std::sync::{Arc, Mutex};
use std::thread;
use std::time::{Duration, Instant};

use serde_json::{Value, json};

use crate::asking::Device;

const LIMIT: Duration = Duration::from_mins(1);

/// Waits until something holds.
#[track_caller]
pub(crate) fn soon(mut holds: impl FnMut() -> bool) {
    let begun = Instant::now();
    while !holds() {
        assert!(begun.elapsed() < LIMIT, "it did not come to hold");
        thread::sleep(Duration::from_millis(20));
    }
}

/// A sentence with its checksum (IEC 61162-1: exclusive or of all between `$` and `*`).
fn closed(body: &str) -> String {
    let sum = body.bytes().fold(0, |sum, byte| sum ^ byte);
    format!("${body}*{sum:02X}\r\n")
}

/// Instruments that speak so often a second.
pub(crate) struct Instruments {
    port: u16,
    depth_dm: Arc<AtomicU32>,
    stop: Arc<AtomicBool>,
}

impl Instruments {
    pub(crate) fn speaking(depth_m: f64, every: Duration) -> Self {
        let port = UdpSocket::bind("127.0.0.1:0").and_then(|it| it.local_addr()).expect("a port").port();
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a depth")]
        let it =
            Self { port, depth_dm: Arc::new(AtomicU32::new((depth_m * 10.0) as u32)), stop: Arc::default() };
        let (stop, depth_dm) = (Arc::clone(&it.stop), Arc::clone(&it.depth_dm));
        thread::spawn(move || {
            let socket = UdpSocket::bind("127.0.0.1:0").expect("a socket");
            let mut turn = 0_u32;
            while !stop.load(Ordering::Acquire) {
                turn += 1;
                let depth_m = f64::from(depth_dm.load(Ordering::Acquire)) / 10.0;
                let fix = format!("GPGGA,,3358.19{:02},N,12058.0000,W,1,10,0.9,2.0,M,-35.0,M,,", turn % 10);
                let depth = format!("SDDPT,{depth_m:.1},0.0");
                let wind = "WIMWD,310.0,T,297.0,M,9.0,N,4.6,M";
                let said = ["HCHDT,315.0,T", &fix, &depth, wind].map(closed).concat();
                // Nobody may listen yet.
                let _ = socket.send_to(said.as_bytes(), ("127.0.0.1", port));
                thread::sleep(every);
            }
        });
        it
    }
    /// The sounder reads so much from now on.
    pub(crate) fn depth(&self, depth_m: f64) {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a depth")]
        self.depth_dm.store((depth_m * 10.0) as u32, Ordering::Release);
    }
    pub(crate) fn feed(&self) -> String {
        format!("udp://127.0.0.1:{}", self.port)
    }
}

impl Drop for Instruments {
    fn drop(&mut self) {
        self.stop.store(true, Ordering::Release);
    }
}

/// The boat's computer.
pub(crate) struct Aboard {
    pub(crate) folder: PathBuf,
}

impl Aboard {
    pub(crate) fn new() -> Self {
        static NUMBER: AtomicU32 = AtomicU32::new(0);
        let number = NUMBER.fetch_add(1, Ordering::AcqRel);
        let folder = std::env::temp_dir().join(format!("windrode-serve-{}-{number}", std::process::id()));
        fs::create_dir_all(&folder).expect("a folder");
        Self { folder }
    }
    /// Serves to this computer alone, with these flags.
    pub(crate) fn serves(&self, more: &[&str]) -> Serving {
        Serving::start(&self.folder, more)
    }
}

impl Drop for Aboard {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.folder);
    }
}

/// The program that serves.
pub(crate) struct Serving {
    child: Mutex<Child>,
    pub(crate) lines: Arc<Mutex<Vec<String>>>,
    pub(crate) ports: Vec<u16>,
}

impl Serving {
    fn start(folder: &Path, more: &[&str]) -> Self {
        let mut command = Command::new(env!("CARGO_BIN_EXE_windrode"));
        command.args(["serve", "--no-sound", "--data"]).arg(folder).args(more);
        if !more.contains(&"--listen") {
            command.args(["--listen", "127.0.0.1:0"]);
        }
        command
            .env_remove("NOTIFY_SOCKET")
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::inherit());
        let mut child = command.spawn().expect("it starts");
        let out = child.stdout.take().expect("its lines");
        let lines: Arc<Mutex<Vec<String>>> = Arc::default();
        let told = Arc::clone(&lines);
        thread::spawn(move || {
            for line in BufReader::new(out).lines().map_while(Result::ok) {
                told.lock().expect("lines").push(line);
            }
        });
        let mut ports = Vec::new();
        soon(|| {
            let lines = lines.lock().expect("lines");
            let opened = lines.iter().filter_map(|line| line.strip_prefix("Open "));
            ports = opened.filter_map(|url| url.rsplit(':').next()?.parse().ok()).collect();
            !ports.is_empty()
        });
        Self { child: Mutex::new(child), lines, ports }
    }
    /// Whoever sits at the boat's computer.
    pub(crate) fn here(&self) -> Device {
        Device::at(self.ports[0])
    }
    pub(crate) fn id(&self) -> u32 {
        self.child.lock().expect("a program").id()
    }
    pub(crate) fn kill(&self) {
        let mut child = self.child.lock().expect("a program");
        let _ = child.kill();
        let _ = child.wait();
    }
    /// Stops it as a supervisor does; its exit code.
    pub(crate) fn stop(&self) -> Option<i32> {
        let id = self.id().to_string();
        Command::new("kill").args(["-TERM", &id]).status().expect("told to stop");
        self.child.lock().expect("a program").wait().expect("it ends").code()
    }
    pub(crate) fn memory_kb(&self) -> u64 {
        let status = fs::read_to_string(format!("/proc/{}/status", self.id())).expect("a status");
        let line = status.lines().find_map(|line| line.strip_prefix("VmRSS:")).expect("its memory");
        line.trim().trim_end_matches(" kB").parse().expect("a number")
    }
    /// Processor time that it has used, s.
    pub(crate) fn processor_s(&self) -> f64 {
        let stat = fs::read_to_string(format!("/proc/{}/stat", self.id())).expect("a stat");
        let after = stat.rsplit(')').next().expect("fields");
        let fields: Vec<&str> = after.split_whitespace().collect();
        // Fields 14 and 15 of proc(5), in hundredths of a second.
        [11, 12].iter().map(|&index| fields[index].parse::<f64>().expect("ticks")).sum::<f64>() / 100.0
    }
}

impl Drop for Serving {
    fn drop(&mut self) {
        self.kill();
    }
}

/// An example of the project.
pub(crate) fn example(name: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples").join(name);
    fs::read_to_string(path).expect("the example")
}

/// The example's stay, of four hours, aboard the vessel that is kept under this id.
pub(crate) fn corrant_bay(vessel: &str) -> String {
    example("stays/corrant-bay.toml")
        .replace("../vessels/sailing-monohull.toml", vessel)
        .replace("to = 2026-08-16T16:00:00", "to = 2026-08-14T20:00:00")
}

/// Keeps the example's vessel and stay; their ids.
pub(crate) fn kept(device: &Device) -> (String, String) {
    let id = |answer: Value| answer["id"].as_str().expect("an id").to_owned();
    let vessel = device.post("/api/v1/vessels", &json!({ "text": example("vessels/sailing-monohull.toml") }));
    assert_eq!(vessel.status, 201, "{}", vessel.json());
    let vessel = id(vessel.json());
    let stay = device.post("/api/v1/stays", &json!({ "text": corrant_bay(&vessel) }));
    assert_eq!(stay.status, 201, "{}", stay.json());
    (vessel, id(stay.json()))
}
