//! A device that asks: HTTP/1.1 over a real socket, written out by hand, so that a test can say what no library would.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::time::{Duration, Instant};

use serde_json::Value;

use crate::shape;

/// Longest that an answer may take: a loaded machine that plans a stay in debug takes ten seconds.
const LIMIT: Duration = Duration::from_mins(1);

/// An answer.
#[derive(Debug)]
pub(crate) struct Answer {
    pub(crate) status: u16,
    pub(crate) headers: Vec<(String, String)>,
    pub(crate) bytes: Vec<u8>,
}

impl Answer {
    pub(crate) fn header(&self, name: &str) -> Option<&str> {
        self.headers
            .iter()
            .find(|(known, _)| known.eq_ignore_ascii_case(name))
            .map(|(_, value)| value.as_str())
    }
    pub(crate) fn json(&self) -> Value {
        serde_json::from_slice(&self.bytes)
            .unwrap_or_else(|error| panic!("{error}: {}", String::from_utf8_lossy(&self.bytes)))
    }
    /// The fields of its problems.
    pub(crate) fn fields(&self) -> Vec<String> {
        let problems = self.json()["problems"].as_array().cloned().unwrap_or_default();
        problems.iter().filter_map(|it| it["field"].as_str().map(str::to_owned)).collect()
    }
}

/// A device on board.
#[derive(Clone, Debug)]
pub(crate) struct Device {
    port: u16,
    cookie: Option<String>,
}

/// A request before it is sent.
pub(crate) struct Request {
    device: Device,
    method: String,
    path: String,
    headers: Vec<(String, String)>,
    body: Vec<u8>,
}

impl Device {
    pub(crate) fn at(port: u16) -> Self {
        Self { port, cookie: None }
    }
    pub(crate) fn with_cookie(&self, cookie: &str) -> Self {
        Self { cookie: Some(cookie.to_owned()), ..self.clone() }
    }
    pub(crate) fn asks(&self, method: &str, path: &str) -> Request {
        Request {
            device: self.clone(),
            method: method.to_owned(),
            path: path.to_owned(),
            headers: Vec::new(),
            body: Vec::new(),
        }
    }
    pub(crate) fn get(&self, path: &str) -> Answer {
        self.asks("GET", path).sent()
    }
    pub(crate) fn post(&self, path: &str, body: &Value) -> Answer {
        self.asks("POST", path).json(body).sent()
    }
    pub(crate) fn put(&self, path: &str, body: &Value) -> Answer {
        self.asks("PUT", path).json(body).sent()
    }
    pub(crate) fn delete(&self, path: &str) -> Answer {
        self.asks("DELETE", path).sent()
    }

    /// A stream of events that stays open.
    pub(crate) fn looks_on(&self) -> Stream {
        let mut reader = BufReader::new(self.asks("GET", "/api/v1/live").open());
        let (status, headers) = head(&mut reader);
        assert_eq!(status, 200, "{headers:?}");
        Stream { reader, last: 0 }
    }
}

impl Request {
    pub(crate) fn header(mut self, name: &str, value: &str) -> Self {
        self.headers.push((name.to_owned(), value.to_owned()));
        self
    }
    pub(crate) fn json(mut self, body: &Value) -> Self {
        self.body = body.to_string().into_bytes();
        self
    }
    pub(crate) fn bytes(mut self, body: &[u8]) -> Self {
        self.body = body.to_vec();
        self
    }

    fn open(&self) -> TcpStream {
        let mut stream = TcpStream::connect(("127.0.0.1", self.device.port)).expect("it listens");
        stream.set_read_timeout(Some(LIMIT)).expect("a limit");
        let mut text = format!("{} {} HTTP/1.1\r\n", self.method, self.path);
        if self.headers.iter().all(|(name, _)| !name.eq_ignore_ascii_case("host")) {
            text.push_str(&["Host: 127.0.0.1:", &self.device.port.to_string(), "\r\n"].concat());
        }
        for (name, value) in &self.headers {
            text.push_str(&[name, ": ", value, "\r\n"].concat());
        }
        if let Some(cookie) = &self.device.cookie {
            text.push_str(&["Cookie: ", cookie, "\r\n"].concat());
        }
        if !self.body.is_empty() {
            text.push_str(&["Content-Length: ", &self.body.len().to_string(), "\r\n"].concat());
        }
        text += "\r\n";
        stream.write_all(text.as_bytes()).expect("sent");
        // A body that is refused half way is not taken to its end.
        let _ = stream.write_all(&self.body);
        stream
    }

    /// The answer, held against the document of the API.
    pub(crate) fn sent(self) -> Answer {
        let (method, path) = (self.method.clone(), self.path.clone());
        let answer = self.header("Connection", "close").sent_unheld();
        shape::hold(&method, &path, &answer);
        answer
    }

    pub(crate) fn sent_unheld(self) -> Answer {
        let mut reader = BufReader::new(self.open());
        let (status, headers) = head(&mut reader);
        let mut bytes = Vec::new();
        let told = |name: &str| headers.iter().find(|(known, _)| known.eq_ignore_ascii_case(name));
        if told("transfer-encoding").is_some() {
            while let Some(piece) = chunk(&mut reader) {
                bytes.extend(piece);
            }
        } else {
            let _ = reader.read_to_end(&mut bytes);
        }
        Answer { status, headers, bytes }
    }
}

fn head(reader: &mut impl BufRead) -> (u16, Vec<(String, String)>) {
    let mut line = String::new();
    reader.read_line(&mut line).expect("an answer");
    let status = line.split(' ').nth(1).and_then(|code| code.parse().ok()).expect("a status");
    let mut headers = Vec::new();
    loop {
        line.clear();
        reader.read_line(&mut line).expect("a header");
        let Some((name, value)) = line.trim_end().split_once(": ") else { return (status, headers) };
        headers.push((name.to_owned(), value.to_owned()));
    }
}

fn chunk(reader: &mut impl BufRead) -> Option<Vec<u8>> {
    let mut line = String::new();
    reader.read_line(&mut line).ok()?;
    let size = usize::from_str_radix(line.trim(), 16).ok()?;
    let mut piece = vec![0; size + 2];
    reader.read_exact(&mut piece).ok()?;
    piece.truncate(size);
    (size != 0).then_some(piece)
}

/// An event of a stream.
#[derive(Clone, Debug)]
pub(crate) struct Event {
    /// It never falls.
    pub(crate) id: u64,
    pub(crate) name: String,
    pub(crate) data: Value,
}

/// A stream of events.
pub(crate) struct Stream {
    reader: BufReader<TcpStream>,
    last: u64,
}

impl Stream {
    /// The next event, held against the document; nothing when the stream is over.
    pub(crate) fn next(&mut self) -> Option<Event> {
        let text = String::from_utf8(chunk(&mut self.reader)?).expect("text");
        let field = |name: &str| {
            let line = text.lines().find_map(|line| line.strip_prefix(name)).unwrap_or_default();
            line.trim_start_matches(": ").to_owned()
        };
        let event = Event {
            id: field("id").parse().expect("a number"),
            name: field("event"),
            data: serde_json::from_str(&field("data")).expect("JSON"),
        };
        shape::hold_event(&event.name, &event.data);
        assert!(self.last <= event.id, "{event:?}");
        self.last = event.id;
        Some(event)
    }

    /// The first event of a name for which something holds.
    #[track_caller]
    pub(crate) fn event_where(&mut self, name: &str, wanted: impl Fn(&Value) -> bool) -> Event {
        let begun = Instant::now();
        while begun.elapsed() < LIMIT {
            let event = self.next().expect("the stream goes on");
            if event.name == name && wanted(&event.data) {
                return event;
            }
        }
        panic!("no such {name} was told");
    }
    #[track_caller]
    pub(crate) fn event(&mut self, name: &str) -> Event {
        self.event_where(name, |_| true)
    }
}
