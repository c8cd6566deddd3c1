//! Just so much of HTTP/1.1 (RFC 9112) as a beat needs: one POST with its length told, within bounds of size and time.

use std::io::{self, BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::time::Duration;

/// How long a caller may take for each part.
const WITHIN: Duration = Duration::from_secs(10);
/// Head of a request, bytes.
const MOST_HEAD: u64 = 8 * 1024;
/// Body of a beat with every alarm ringing, bytes, several times over.
const MOST_BODY: usize = 64 * 1024;

/// Reads one request and answers it.
pub(super) fn serve(
    caller: &TcpStream,
    path: &str,
    mut hear: impl FnMut(&str) -> Result<(), String>,
) -> io::Result<()> {
    caller.set_read_timeout(Some(WITHIN))?;
    caller.set_write_timeout(Some(WITHIN))?;
    let mut from = BufReader::new(caller);
    let (status, text) = match read(&mut from, path) {
        Ok(body) => match hear(&body) {
            Ok(()) => ("204 No Content", String::new()),
            Err(why) => ("400 Bad Request", why),
        },
        Err(refusal) => refusal,
    };
    let mut to = caller;
    write!(
        to,
        "HTTP/1.1 {status}\r\nContent-Length: {}\r\nContent-Type: text/plain; charset=utf-8\r\nConnection: close\r\n\r\n{text}",
        text.len()
    )
}

type Refusal = (&'static str, String);

fn read(from: &mut impl BufRead, path: &str) -> Result<String, Refusal> {
    let bad = |why: &str| ("400 Bad Request", why.to_owned());
    let mut head = from.take(MOST_HEAD);
    let mut line = String::new();
    head.read_line(&mut line).map_err(|_| bad("no request"))?;
    let mut words = line.split_whitespace();
    let (method, asked) = (words.next().unwrap_or(""), words.next().unwrap_or(""));
    if asked != path {
        return Err(("404 Not Found", "nothing is here".to_owned()));
    }
    if method != "POST" {
        return Err(("405 Method Not Allowed", "wanted POST".to_owned()));
    }
    let mut length = None;
    loop {
        let mut line = String::new();
        if head.read_line(&mut line).map_err(|_| bad("no end of the head"))? == 0 {
            return Err(("431 Request Header Fields Too Large", "the head does not end".to_owned()));
        }
        let line = line.trim();
        if line.is_empty() {
            break;
        }
        if let Some((name, value)) =
            line.split_once(':').filter(|(name, _)| name.eq_ignore_ascii_case("content-length"))
        {
            length = Some(value.trim().parse::<usize>().map_err(|_| bad(&format!("{name} is no number")))?);
        }
    }
    let length = length.ok_or(("411 Length Required", "wanted Content-Length".to_owned()))?;
    if MOST_BODY < length {
        return Err(("413 Content Too Large", format!("wanted at most {MOST_BODY} bytes")));
    }
    let mut body = vec![0; length];
    from.read_exact(&mut body).map_err(|_| bad("the body is shorter than it says"))?;
    String::from_utf8(body).map_err(|_| bad("the body is no UTF-8"))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn answer(request: &str) -> Result<String, &'static str> {
        read(&mut request.as_bytes(), "/beat").map_err(|(status, _)| status)
    }

    #[test]
    fn a_post_with_its_length_is_read_and_nothing_else() {
        assert_eq!(answer("POST /beat HTTP/1.1\r\ncontent-LENGTH: 2\r\n\r\n{}"), Ok("{}".to_owned()));
        assert_eq!(answer("GET /beat HTTP/1.1\r\n\r\n"), Err("405 Method Not Allowed"));
        assert_eq!(answer("POST /other HTTP/1.1\r\n\r\n"), Err("404 Not Found"));
        assert_eq!(answer("POST /beat HTTP/1.1\r\n\r\n"), Err("411 Length Required"));
        assert_eq!(answer("POST /beat HTTP/1.1\r\nContent-Length: 5\r\n\r\n{}"), Err("400 Bad Request"));
        assert_eq!(
            answer("POST /beat HTTP/1.1\r\nContent-Length: 99999999999\r\n\r\n"),
            Err("413 Content Too Large")
        );
        let endless = format!("POST /beat HTTP/1.1\r\n{}", "a: b\r\n".repeat(10_000));
        assert_eq!(answer(&endless), Err("431 Request Header Fields Too Large"));
    }
}
