//! Requests of any shape: every route of the document with every method, ids, questions, headers and bodies that no
//! page of ours sends. Each is refused clearly and in time, and changes nothing.

use std::io::{Read, Write};
use std::net::{Shutdown, TcpStream};
use std::time::{Duration, Instant};

use serde_json::{Map, Value, json};

use crate::aboard::{Aboard, kept};
use crate::asking::{Device, Request};
use crate::shape;

/// Requests of each route and method.
const TURNS: u32 = 12;
/// Longest that one may take: an unoptimised program plans a stay, on a machine that does other work.
const IN_TIME: Duration = Duration::from_secs(30);

const METHODS: [&str; 8] = ["GET", "HEAD", "POST", "PUT", "DELETE", "PATCH", "OPTIONS", "BREW"];

/// Words that have broken programs.
const WORDS: [&str; 22] = [
    "",
    " ",
    "0",
    "-1",
    "-1 m",
    "9e999 m",
    "1e-400",
    "NaN",
    "Infinity",
    "null",
    "\u{0}",
    "\u{202e}\u{feff}",
    "🙈",
    "../../secret",
    "/etc/passwd",
    "'; DROP TABLE words; --",
    "<script>alert(1)</script>",
    "%s%n",
    "2026-99-99T99:99:99Z",
    "9999-12-31T23:59:59Z",
    "91°N 181°E",
    "[[[[[[[[",
];

/// Ends of paths and questions, as they stand on the wire.
const WIRE: [&str; 14] = [
    "a",
    "..",
    ".",
    "%2e%2e%2f%2e%2e",
    "%00",
    "%ff%fe",
    "%",
    "%zz",
    "a%20b",
    "-1",
    "18446744073709551616",
    "CON",
    "a;b=c",
    "%F0%9F%99%88",
];

const QUESTIONS: [&str; 9] = ["time", "from", "to", "at", "stay", "tolerance_m", "station", "near", "every"];

const HEADERS: [(&str, &str); 7] = [
    ("Content-Type", "text/plain; charset=\"\u{fe}"),
    ("Accept", "*/*;q=9"),
    ("Accept-Encoding", "gzip;q=nan, br"),
    ("Cookie", "windrode_device=; windrode_device=%00; =; ;;"),
    ("Range", "bytes=-1"),
    ("If-None-Match", "\"\"\"\"\""),
    ("Expect", "a miracle"),
];

/// A generator of its own: xorshift64*, Vigna, ACM Transactions on Mathematical Software 42 (2016). The same requests
/// every time.
struct Chance(u64);

impl Chance {
    fn next(&mut self) -> u64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        self.0.wrapping_mul(0x2545_f491_4f6c_dd1d)
    }
    fn below(&mut self, end: usize) -> usize {
        usize::try_from(self.next() >> 33).expect("31 bits") % end
    }
    fn of<'a, T: ?Sized>(&mut self, all: &[&'a T]) -> &'a T {
        all[self.below(all.len())]
    }
    fn one_in(&mut self, n: usize) -> bool {
        self.below(n) == 0
    }

    fn anything(&mut self, deep: u32) -> Value {
        match self.below(if deep == 0 { 7 } else { 9 }) {
            0 => Value::Null,
            1 => json!(self.one_in(2)),
            2 => json!(self.next()),
            3 => json!(-1),
            4 => json!(1e308),
            5 => json!("x".repeat(self.below(5000))),
            6 => json!(self.of(&WORDS)),
            7 => (0..self.below(4)).map(|_| self.anything(deep - 1)).collect(),
            _ => {
                let keys = (0..self.below(4)).map(|_| self.of(&WORDS).to_owned()).collect::<Vec<_>>();
                Value::Object(keys.into_iter().map(|key| (key, self.anything(deep - 1))).collect())
            }
        }
    }

    /// Nearly of the shape that is wanted: most of it is, some of it is anything.
    fn nearly(&mut self, schema: &Value, deep: u32) -> Value {
        if deep == 0 || self.one_in(8) {
            return self.anything(2);
        }
        if let Some(to) = schema["$ref"].as_str() {
            return self.nearly(shape::at(to), deep - 1);
        }
        if let Some(any) = schema["anyOf"].as_array() {
            let one = self.below(any.len());
            return self.nearly(&any[one], deep - 1);
        }
        let kind = match &schema["type"] {
            Value::Array(kinds) => kinds[self.below(kinds.len())].as_str(),
            kind => kind.as_str(),
        };
        match kind {
            Some("object") => {
                let known = schema["properties"].as_object().cloned().unwrap_or_default();
                let some = known.iter().filter(|_| !self.one_in(5)).collect::<Vec<_>>();
                let mut fields: Map<String, Value> =
                    some.into_iter().map(|(name, of)| (name.clone(), self.nearly(of, deep - 1))).collect();
                if self.one_in(4) {
                    fields.insert(self.of(&WORDS).to_owned(), self.anything(1));
                }
                Value::Object(fields)
            }
            Some("array") => (0..self.below(4)).map(|_| self.nearly(&schema["items"], deep - 1)).collect(),
            Some("string") => json!(self.of(&WORDS)),
            Some("number" | "integer") => json!(*self.of(&[&-1.0, &0.0, &1e-300, &1e300, &4_294_967_296.5])),
            Some("boolean") => json!(self.one_in(2)),
            _ => self.anything(2),
        }
    }

    /// All of a request but its body.
    fn request(&mut self, device: &Device, method: &str, path: &str, [vessel, stay]: [&str; 2]) -> Request {
        // What deletes, or attaches any bytes whatever to a stay that is there, is obeyed.
        let obeyed = method == "DELETE" || (method == "PUT" && path.contains("{name}"));
        let there = if path.contains("/vessels/") { vessel } else { stay };
        let id = if !obeyed && self.one_in(2) { there } else { self.of(&WIRE) };
        let mut target = path.replace("{id}", id).replace("{name}", self.of(&WIRE));
        if self.one_in(2) {
            target = format!("{target}?{}={}&{}", self.of(&QUESTIONS), self.of(&WIRE), self.of(&WIRE));
        }
        let mut request = device.asks(method, &target).header("Connection", "close");
        for (name, value) in HEADERS {
            if self.one_in(6) {
                request = request.header(name, value);
            }
        }
        request
    }

    fn body(&mut self, operation: &Value) -> Vec<u8> {
        let schema = &operation["requestBody"]["content"]["application/json"]["schema"];
        match self.below(8) {
            0 => Vec::new(),
            1 => (0..self.below(300)).map(|_| self.next().to_le_bytes()[7]).collect(),
            2 => "[".repeat(5000).into_bytes(),
            3 => b"{\"text\":\"\\ud800\"}".to_vec(),
            4 => self.anything(4).to_string().into_bytes(),
            _ => self.nearly(schema, 8).to_string().into_bytes(),
        }
    }
}

/// All that is kept, as far as it can be asked for.
fn kept_now(device: &Device, vessel: &str, stay: &str) -> Value {
    let get = |path: &str| device.get(path).json();
    let mut watch = get("/api/v1/watch");
    watch["time"].take();
    json!([
        get("/api/v1/vessels"),
        get("/api/v1/stays"),
        get(&format!("/api/v1/vessels/{vessel}")),
        get(&format!("/api/v1/stays/{stay}")),
        get("/api/v1/devices"),
        watch,
    ])
}

#[test]
fn requests_of_any_shape_are_refused_in_time_and_change_nothing() {
    let aboard = Aboard::new();
    let serving = aboard.serves(&[]);
    let here = serving.here();
    let (vessel, stay) = kept(&here);
    // The list tells the word of the last sheet that was worked out.
    assert_eq!(here.get(&format!("/api/v1/stays/{stay}/sheet")).status, 200);
    let before = kept_now(&here, &vessel, &stay);
    let mut chance = Chance(0x9e37_79b9_7f4a_7c15);
    let (mut asked, mut refused) = (0, 0);
    for (path, operations) in shape::paths() {
        for method in METHODS {
            let operation = &operations[method.to_lowercase()];
            // A stream is never over.
            if path.ends_with("/live") && method == "GET" {
                continue;
            }
            for _ in 0..TURNS {
                let request = chance.request(&here, method, path, [&vessel, &stay]);
                let begun = Instant::now();
                let answer = request.bytes(&chance.body(operation)).sent_unheld();
                let line = format!("{method} {path}: {}", answer.status);
                assert!((200..500).contains(&answer.status), "{line}");
                assert!(begun.elapsed() < IN_TIME, "{line}");
                if (400..500).contains(&answer.status) && method != "HEAD" {
                    assert!(answer.json()["problems"][0]["text"].is_string(), "{line}");
                    refused += 1;
                }
                asked += 1;
            }
        }
    }
    assert!(kept_now(&here, &vessel, &stay) == before, "something was changed");
    println!("{asked} requests, {refused} refused");
    assert!(asked / 2 < refused);
}

#[test]
fn what_is_no_http_is_let_go_in_time_and_the_next_is_answered() {
    let aboard = Aboard::new();
    let serving = aboard.serves(&[]);
    let long = [&b"GET / HTTP/1.1\r\nX: "[..], &b"x".repeat(300_000)].concat();
    let many = [b"GET / HTTP/1.1\r\n".to_vec(), b"X: y\r\n".repeat(5000), b"\r\n".to_vec()].concat();
    let raw: [&[u8]; 12] = [
        b"\0\xff\xfe\r\n\r\n",
        b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03",
        b"GET\r\n\r\n",
        b"GET / HTTP/9.9\r\n\r\n",
        b"GET / HTTP/1.1\r\n\r\n",
        b"POST /api/v1/stays HTTP/1.1\r\nHost: localhost\r\nContent-Length: -5\r\n\r\n",
        b"POST /api/v1/stays HTTP/1.1\r\nHost: localhost\r\nContent-Length: 5\r\nContent-Length: 6\r\n\r\n{}",
        b"POST /api/v1/stays HTTP/1.1\r\nHost: localhost\r\nContent-Length: 99999999999999\r\n\r\n{}",
        b"POST /api/v1/stays HTTP/1.1\r\nHost: localhost\r\nTransfer-Encoding: chunked\r\n\r\nzz\r\n",
        b"PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n\0\0\xff\x09\xff\0\0\0\0",
        &long,
        &many,
    ];
    for bytes in raw {
        let begun = Instant::now();
        let mut stream = TcpStream::connect(("127.0.0.1", serving.ports[0])).expect("it listens");
        stream.set_read_timeout(Some(IN_TIME)).expect("a limit");
        // It may hang up before all of it is said.
        let _ = stream.write_all(bytes).and_then(|()| stream.shutdown(Shutdown::Write));
        let mut answer = Vec::new();
        let _ = stream.read_to_end(&mut answer);
        let head = String::from_utf8_lossy(&answer[..answer.len().min(300)]).into_owned();
        assert!(begun.elapsed() < IN_TIME, "{head}");
        let status = head.split(' ').nth(1).map(str::to_owned);
        assert!(status.is_none_or(|status| status.starts_with('4')), "{head}");
        assert_eq!(serving.here().get("/api/v1/me").status, 200);
    }
}
