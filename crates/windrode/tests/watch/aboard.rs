//! An invented boat with her computer: a folder, instruments that speak, the program, a far end ashore.

use std::fs;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::{Shutdown, SocketAddr, TcpListener, TcpStream, UdpSocket};
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStdin, Command, Stdio};
use std::sync::atomic::{AtomicBool, AtomicU32, Ordering};
use std::sync::{Arc, Mutex};
use std::thread;
use std::time::{Duration, Instant};

use serde_json::Value;

/// Longest that anything awaited may take: a loaded machine that plans a stay in debug takes ten seconds.
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

/// The program with these arguments.
pub(crate) fn program(arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_windrode"));
    command.args(arguments).env_remove("NOTIFY_SOCKET").stdin(Stdio::null());
    command
}

/// A sentence with its checksum (IEC 61162-1: exclusive or of all between `$` and `*`).
pub(crate) fn closed(body: &str) -> String {
    let sum = body.bytes().fold(0, |sum, byte| sum ^ byte);
    format!("${body}*{sum:02X}\r\n")
}

/// Instruments that speak five times a second.
pub(crate) struct Instruments {
    port: u16,
    stop: Arc<AtomicBool>,
}

impl Instruments {
    fn at_a_free_port() -> Self {
        let port = UdpSocket::bind("127.0.0.1:0").and_then(|it| it.local_addr()).expect("a port").port();
        Self { port, stop: Arc::default() }
    }
    /// Nothing is heard.
    pub(crate) fn silent() -> Self {
        Self::at_a_free_port()
    }
    /// She lies still, the sounder reading so much below the keel.
    pub(crate) fn speaking(depth_m: f64) -> Self {
        let it = Self::at_a_free_port();
        let (port, stop) = (it.port, Arc::clone(&it.stop));
        thread::spawn(move || {
            let socket = UdpSocket::bind("127.0.0.1:0").expect("a socket");
            let mut turn = 0_u32;
            while !stop.load(Ordering::Acquire) {
                turn += 1;
                let fix = format!("GPGGA,,3358.19{:02},N,12058.0000,W,1,10,0.9,2.0,M,-35.0,M,,", turn % 10);
                let depth = format!("SDDPT,{depth_m:.1},0.0");
                let said = ["HCHDT,315.0,T", &fix, &depth].map(closed).concat();
                // Nobody may listen yet.
                let _ = socket.send_to(said.as_bytes(), ("127.0.0.1", port));
                thread::sleep(Duration::from_millis(200));
            }
        });
        it
    }
    fn feed(&self) -> String {
        format!("udp://127.0.0.1:{}", self.port)
    }
}

impl Drop for Instruments {
    fn drop(&mut self) {
        self.stop.store(true, Ordering::Release);
    }
}

/// The boat's computer: a folder of its own, gone with it.
pub(crate) struct Aboard {
    folder: PathBuf,
}

impl Aboard {
    pub(crate) fn new() -> Self {
        static NUMBER: AtomicU32 = AtomicU32::new(0);
        let name =
            format!("windrode-aboard-{}-{}", std::process::id(), NUMBER.fetch_add(1, Ordering::AcqRel));
        let folder = std::env::temp_dir().join(name);
        fs::create_dir_all(&folder).expect("a folder");
        let examples = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples");
        let vessel = fs::read_to_string(examples.join("vessels/sailing-monohull.toml")).expect("the example");
        let mut first = true;
        let vessel: Vec<String> = vessel
            .lines()
            .map(|line| {
                if first && line.starts_with("name = ") {
                    first = false;
                    "name = \"Tern of Corrant\"".to_owned()
                } else {
                    line.to_owned()
                }
            })
            .collect();
        fs::write(folder.join("vessel.toml"), vessel.join("\n")).expect("a file");
        let stay = fs::read_to_string(examples.join("stays/corrant-bay.toml")).expect("the example");
        // Four hours of it: its plan is made at each start.
        let stay = stay.replace("to = 2026-08-16T16:00:00", "to = 2026-08-14T20:00:00");
        fs::write(folder.join("stay.toml"), stay.replace("../vessels/sailing-monohull.toml", "vessel.toml"))
            .expect("a file");
        Self { folder }
    }
    /// A path in the folder.
    pub(crate) fn path(&self, name: &str) -> String {
        self.folder.join(name).display().to_string()
    }
    pub(crate) fn data(&self) -> String {
        self.path("data")
    }
    /// The watch of the stay file.
    pub(crate) fn watch(&self, more: &[&str], instruments: &Instruments) -> Program {
        self.watch_with(more, instruments, &[], false)
    }
    pub(crate) fn watch_with(
        &self,
        more: &[&str],
        instruments: &Instruments,
        environment: &[(&str, &str)],
        sound: bool,
    ) -> Program {
        let stay = self.path("stay.toml");
        let mut arguments = vec!["--stay", &stay];
        arguments.extend(more);
        self.start(&arguments, instruments, environment, sound)
    }
    /// The watch taken up again, its files gone.
    pub(crate) fn rearm(&self, instruments: &Instruments) -> Program {
        self.rearm_with(&["--json"], instruments)
    }
    pub(crate) fn rearm_with(&self, more: &[&str], instruments: &Instruments) -> Program {
        for file in ["stay.toml", "vessel.toml"] {
            // Gone already the second time.
            let _ = fs::remove_file(self.path(file));
        }
        self.start(more, instruments, &[], false)
    }
    fn start(
        &self,
        more: &[&str],
        instruments: &Instruments,
        environment: &[(&str, &str)],
        sound: bool,
    ) -> Program {
        let (data, feed) = (self.data(), instruments.feed());
        let mut arguments = vec!["watch", "--data", &data, "--feed", &feed];
        if !sound {
            arguments.push("--no-sound");
        }
        arguments.extend(more);
        let mut command = program(&arguments);
        command.envs(environment.iter().copied());
        Program::start(command)
    }
    /// What the crew say, and the answer; empty while nobody answers.
    pub(crate) fn tell(&self, line: &str) -> String {
        let mut answer = String::new();
        soon(|| {
            let mut asked = program(&["tell", "--data", &self.data()]);
            let told = asked.args(line.split(' ')).output().expect("it runs");
            String::from_utf8_lossy(&told.stdout).trim().clone_into(&mut answer);
            told.status.code() == Some(0)
        });
        answer
    }
    fn database(&self) -> rusqlite::Connection {
        let path = Path::new(&self.data()).join("windrode.db");
        let connection = rusqlite::Connection::open(path).expect("a database");
        connection.busy_timeout(Duration::from_secs(5)).expect("a limit");
        connection
    }
    /// Changes the database while no program runs.
    pub(crate) fn change(&self, sql: &str) {
        self.database().execute(sql, []).expect("changed");
    }
    /// The first column of each row.
    pub(crate) fn rows(&self, sql: &str) -> Vec<String> {
        let connection = self.database();
        let mut asked = connection.prepare(sql).expect("a question");
        let rows = asked.query_map([], |row| {
            Ok(match row.get_ref(0)? {
                rusqlite::types::ValueRef::Integer(number) => number.to_string(),
                other => other.as_str().unwrap_or("").to_owned(),
            })
        });
        rows.expect("rows").collect::<rusqlite::Result<_>>().expect("an answer")
    }
    /// A folder of players, each a script; the shell's own programs beside them.
    pub(crate) fn players(&self, scripts: &[(&str, String)]) -> String {
        let folder = self.folder.join("players");
        fs::create_dir_all(&folder).expect("a folder");
        for program in ["sh", "head", "sleep"] {
            let found =
                ["/bin", "/usr/bin"].map(|it| Path::new(it).join(program)).into_iter().find(|it| it.exists());
            std::os::unix::fs::symlink(found.expect("every system has it"), folder.join(program))
                .expect("a link");
        }
        for (name, script) in scripts {
            let path = folder.join(name);
            fs::write(&path, format!("#!/bin/sh\n{script}\n")).expect("a script");
            let mut may = fs::metadata(&path).expect("a script").permissions();
            std::os::unix::fs::PermissionsExt::set_mode(&mut may, 0o755);
            fs::set_permissions(&path, may).expect("a script");
        }
        folder.display().to_string()
    }
}

impl Drop for Aboard {
    fn drop(&mut self) {
        // What is left in a folder for such files does no harm.
        let _ = fs::remove_dir_all(&self.folder);
    }
}

/// A program that runs, with what it has said.
pub(crate) struct Program {
    child: Mutex<Child>,
    input: Option<ChildStdin>,
    said: Arc<Mutex<Vec<String>>>,
    /// Lines of it that were asked for.
    read: AtomicU32,
}

impl Program {
    pub(crate) fn start(mut command: Command) -> Self {
        let mut child = command.stdin(Stdio::piped()).stdout(Stdio::piped()).spawn().expect("it runs");
        let out = child.stdout.take().expect("a pipe");
        let input = child.stdin.take();
        let said = Arc::new(Mutex::new(Vec::new()));
        let kept = Arc::clone(&said);
        thread::spawn(move || {
            for line in BufReader::new(out).lines().map_while(Result::ok) {
                kept.lock().expect("no panic").push(line);
            }
        });
        Self { child: Mutex::new(child), input, said, read: AtomicU32::new(0) }
    }
    pub(crate) fn id(&self) -> u32 {
        self.child.lock().expect("no panic").id()
    }
    pub(crate) fn say(&mut self, line: &str) {
        let input = self.input.as_mut().expect("a pipe");
        writeln!(input, "{line}").and_then(|()| input.flush()).expect("it listens");
    }
    /// Everything said up to now.
    pub(crate) fn said(&self) -> Vec<Value> {
        let lines = self.said.lock().expect("no panic");
        lines.iter().filter_map(|line| serde_json::from_str(line).ok()).collect()
    }
    /// The next line that holds a text.
    #[track_caller]
    pub(crate) fn line(&self, part: &str) -> String {
        self.next(|line| line.contains(part).then(|| line.to_owned()), part)
    }
    /// The next event of a name.
    #[track_caller]
    pub(crate) fn event(&self, name: &str) -> Value {
        self.event_where(name, |_| true)
    }
    #[track_caller]
    pub(crate) fn event_where(&self, name: &str, wanted: impl Fn(&Value) -> bool) -> Value {
        let read = |line: &str| serde_json::from_str::<Value>(line).ok();
        self.next(|line| read(line).filter(|it| it["event"] == name && wanted(it)), name)
    }
    #[track_caller]
    fn next<T>(&self, wanted: impl Fn(&str) -> Option<T>, what: &str) -> T {
        let begun = Instant::now();
        loop {
            {
                let lines = self.said.lock().expect("no panic");
                let from = self.read.load(Ordering::Acquire) as usize;
                for (index, line) in lines.iter().enumerate().skip(from) {
                    if let Some(found) = wanted(line) {
                        self.read.store(u32::try_from(index + 1).expect("few lines"), Ordering::Release);
                        return found;
                    }
                }
                assert!(begun.elapsed() < LIMIT, "{what} did not come after {:#?}", &lines[..]);
            }
            thread::sleep(Duration::from_millis(10));
        }
    }
    /// Cuts its power; what it had said is handed back.
    pub(crate) fn kill(&self) -> Vec<Value> {
        let mut child = self.child.lock().expect("no panic");
        child.kill().and_then(|()| child.wait().map(|_| ())).expect("it ran");
        thread::sleep(Duration::from_millis(50));
        self.said()
    }
    /// Asks it to stop, as a system does that is shut down.
    pub(crate) fn terminate(&self) {
        let told = Command::new("kill").args(["-TERM", &self.id().to_string()]).status().expect("it runs");
        assert!(told.success());
    }
    /// Its exit code, once it has ended by itself.
    #[track_caller]
    pub(crate) fn ended(&self) -> Option<i32> {
        let mut code = None;
        soon(|| {
            let status = self.child.lock().expect("no panic").try_wait().expect("it ran");
            code = status.and_then(|it| it.code());
            status.is_some()
        });
        code
    }
    /// Memory that it holds, kB (Linux, proc(5): VmRSS).
    pub(crate) fn memory_kb(&self) -> u64 {
        let status = fs::read_to_string(format!("/proc/{}/status", self.id())).expect("Linux tells");
        let line = status.lines().find_map(|line| line.strip_prefix("VmRSS:")).expect("a line");
        line.trim().trim_end_matches(" kB").parse().expect("a number")
    }
}

impl Drop for Program {
    fn drop(&mut self) {
        let mut child = self.child.lock().expect("no panic");
        // It may have ended by itself.
        let _ = child.kill().and_then(|()| child.wait().map(|_| ()));
    }
}

/// The far end ashore.
pub(crate) struct Ashore {
    program: Program,
    address: SocketAddr,
}

impl Ashore {
    #[track_caller]
    pub(crate) fn listening() -> Self {
        let program = Program::start(program(&["ashore", "--listen", "127.0.0.1:0", "--no-sound", "--json"]));
        let address =
            program.event("listening")["address"].as_str().expect("an address").parse().expect("one");
        Self { program, address }
    }
    pub(crate) const fn address(&self) -> SocketAddr {
        self.address
    }
    pub(crate) fn url(&self) -> String {
        format!("http://{}/beat", self.address)
    }
    #[track_caller]
    pub(crate) fn event_where(&self, name: &str, wanted: impl Fn(&Value) -> bool) -> Value {
        self.program.event_where(name, wanted)
    }
    /// What it has said since it was last asked.
    pub(crate) fn said(&self) -> Vec<Value> {
        let from = self.program.read.load(Ordering::Acquire) as usize;
        self.program.said().into_iter().skip(from).collect()
    }
}

/// A link between boat and shore that can be cut.
pub(crate) struct Link {
    address: SocketAddr,
    up: Arc<AtomicBool>,
}

impl Link {
    pub(crate) fn to(far: SocketAddr) -> Self {
        let listener = TcpListener::bind("127.0.0.1:0").expect("a port");
        let address = listener.local_addr().expect("an address");
        let up = Arc::new(AtomicBool::new(true));
        let carries = Arc::clone(&up);
        thread::spawn(move || {
            for near in listener.incoming().flatten() {
                if !carries.load(Ordering::Acquire) {
                    continue;
                }
                let far = TcpStream::connect(far).expect("the shore");
                carry(near.try_clone().expect("a link"), far.try_clone().expect("a link"));
                carry(far, near);
            }
        });
        Self { address, up }
    }
    pub(crate) const fn address(&self) -> SocketAddr {
        self.address
    }
    pub(crate) fn cut(&self) {
        self.up.store(false, Ordering::Release);
    }
    pub(crate) fn mend(&self) {
        self.up.store(true, Ordering::Release);
    }
}

fn carry(mut from: TcpStream, mut to: TcpStream) {
    thread::spawn(move || {
        // Either side may hang up.
        let _ = std::io::copy(&mut from, &mut to);
        let _ = to.shutdown(Shutdown::Write);
    });
}

/// A far end that takes messages.
pub(crate) struct FarEnd {
    bodies: Arc<Mutex<Vec<Value>>>,
}

impl FarEnd {
    pub(crate) fn at(address: SocketAddr) -> Self {
        let listener = TcpListener::bind(address).expect("the port is free again");
        let bodies = Arc::new(Mutex::new(Vec::new()));
        let kept = Arc::clone(&bodies);
        thread::spawn(move || {
            for caller in listener.incoming().flatten() {
                if let Some(body) = take(caller) {
                    kept.lock().expect("no panic").push(body);
                }
            }
        });
        Self { bodies }
    }
    #[track_caller]
    pub(crate) fn took(&self, wanted: impl Fn(&Value) -> bool) -> Value {
        let mut found = None;
        soon(|| {
            found = self.bodies.lock().expect("no panic").iter().find(|it| wanted(it)).cloned();
            found.is_some()
        });
        found.expect("found")
    }
}

fn take(mut caller: TcpStream) -> Option<Value> {
    let mut reader = BufReader::new(caller.try_clone().ok()?);
    let mut length = 0;
    loop {
        let mut line = String::new();
        reader.read_line(&mut line).ok()?;
        if line.trim().is_empty() {
            break;
        }
        if let Some(value) = line.to_lowercase().strip_prefix("content-length:") {
            length = value.trim().parse().ok()?;
        }
    }
    let mut body = vec![0; length];
    reader.read_exact(&mut body).ok()?;
    caller.write_all(b"HTTP/1.1 200 OK\r\nContent-Length: 0\r\nConnection: close\r\n\r\n").ok()?;
    serde_json::from_slice(&body).ok()
}
