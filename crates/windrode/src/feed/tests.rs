//! Feeds over real sockets of this computer, a pair of serial lines, a file.

use std::io::{BufRead, BufReader, Write};
use std::net::{TcpListener, TcpStream, UdpSocket};

use serialport::TTYPort;

use super::*;
use crate::watchkeeper::inbox::Letter;

/// What a feed has handed on before `enough` holds.
#[track_caller]
fn hear(inbox: &Inbox, mut enough: impl FnMut(&[Heard]) -> bool) -> Vec<Heard> {
    let begun = crate::clock::stopwatch();
    let mut heard = Vec::new();
    while !enough(&heard) {
        assert!(begun.elapsed() < Duration::from_secs(10), "{heard:?}");
        if let Some(Letter::Arrived(arrival)) = inbox.take(Duration::from_millis(50)) {
            heard.push(arrival.heard);
        }
    }
    heard
}

fn text(heard: &[Heard]) -> String {
    let bytes = heard.iter().filter_map(|it| match it {
        Heard::Bytes { bytes, .. } => Some(String::from_utf8_lossy(bytes).into_owned()),
        _ => None,
    });
    bytes.collect()
}

fn started(address: &str) -> Arc<Inbox> {
    let inbox = Arc::new(Inbox::default());
    let clock = Arc::new(Clock::start_not_before(crate::clock::system_time()));
    let outlet = Outlet { feed: 0, inbox: Arc::clone(&inbox), clock };
    start(Spec::parse(address).expect("an address"), outlet).expect("a thread");
    inbox
}

/// A port that is free now.
fn free_port() -> u16 {
    TcpListener::bind("127.0.0.1:0").and_then(|it| it.local_addr()).expect("a port").port()
}

#[test]
fn addresses_are_read_and_told_again() {
    for address in [
        "tcp://plotter.test:10110",
        "tcp-listen://0.0.0.0:10110",
        "udp://0.0.0.0:2000",
        "serial:///dev/ttyUSB0?baud=38400",
        "file://night.nmea",
        "file://night.nmea?pace=10",
        "gpsd://127.0.0.1:2947",
        "-",
    ] {
        assert_eq!(Spec::parse(address).expect(address).to_string(), address);
    }
    assert_eq!(Spec::parse("gpsd://[::1]:2947").unwrap().to_string(), "gpsd://[::1]:2947");
    assert_eq!(Spec::parse("gpsd://pi").unwrap().to_string(), "gpsd://pi:2947");
    assert_eq!(Spec::parse("serial:///dev/x").unwrap().to_string(), "serial:///dev/x?baud=4800");
}

#[test]
fn what_is_no_address_says_what_is_wanted() {
    for address in [
        "",
        "plotter:1",
        "http://a:1",
        "tcp://a",
        "tcp://:1",
        "tcp://a:70000",
        "serial:///d?baud=0",
        "udp://",
        "file://x?pace=-1",
    ] {
        assert!(Spec::parse(address).unwrap_err().contains("wanted"), "{address}");
    }
}

#[test]
fn a_server_that_dies_and_comes_back_is_heard_again() {
    let server = TcpListener::bind("127.0.0.1:0").expect("a server");
    let inbox = started(&format!("tcp://{}", server.local_addr().expect("an address")));
    let (mut link, _) = server.accept().expect("a caller");
    link.write_all(b"one\r\n").expect("said");
    hear(&inbox, |heard| text(heard) == "one\r\n");
    drop(link);
    let lost = hear(&inbox, |heard| matches!(heard.last(), Some(Heard::Lost { .. })));
    assert!(matches!(lost.last(), Some(Heard::Lost { again_in, .. }) if again_in.as_secs() == 1), "{lost:?}");
    let (mut link, _) = server.accept().expect("it calls again");
    link.write_all(b"two\r\n").expect("said");
    hear(&inbox, |heard| text(heard) == "two\r\n");
}

#[test]
fn callers_are_streams_of_their_own() {
    let port = free_port();
    let inbox = started(&format!("tcp-listen://127.0.0.1:{port}"));
    let call = || {
        let begun = crate::clock::stopwatch();
        loop {
            match TcpStream::connect(("127.0.0.1", port)) {
                Ok(link) => return link,
                Err(error) => assert!(begun.elapsed() < Duration::from_secs(10), "{error}"),
            }
            thread::sleep(Duration::from_millis(10));
        }
    };
    let (mut one, mut two) = (call(), call());
    one.write_all(b"o").expect("said");
    two.write_all(b"t").expect("said");
    let heard = hear(&inbox, |heard| text(heard).len() == 2);
    let mut streams: Vec<u32> = heard
        .iter()
        .filter_map(|it| if let Heard::Bytes { stream, .. } = it { Some(*stream) } else { None })
        .collect();
    streams.sort_unstable();
    assert_eq!(streams, [1, 2]);
}

#[test]
fn each_datagram_ends_its_line() {
    let port = free_port();
    let inbox = started(&format!("udp://127.0.0.1:{port}"));
    hear(&inbox, |heard| heard.contains(&Heard::Opened { stream: 0 }));
    let sender = UdpSocket::bind("127.0.0.1:0").expect("a socket");
    sender.send_to(b"$A", ("127.0.0.1", port)).expect("sent");
    sender.send_to(b"$B\r\n", ("127.0.0.1", port)).expect("sent");
    hear(&inbox, |heard| text(heard) == "$A\n$B\r\n\n");
}

#[test]
fn a_serial_line_is_heard() {
    let (mut master, mut slave) = TTYPort::pair().expect("a pair of lines");
    slave.set_exclusive(false).expect("shared");
    let name = serialport::SerialPort::name(&slave).expect("a name");
    drop(slave);
    let inbox = started(&format!("serial://{name}?baud=38400"));
    hear(&inbox, |heard| heard.contains(&Heard::Opened { stream: 0 }));
    master.write_all(b"$GPHDT,1,T\r\n").expect("said");
    hear(&inbox, |heard| text(heard) == "$GPHDT,1,T\r\n");
    drop(master);
    hear(&inbox, |heard| matches!(heard.last(), Some(Heard::Lost { .. })));
}

#[test]
fn gpsd_is_asked_for_its_json() {
    let server = TcpListener::bind("127.0.0.1:0").expect("a server");
    let inbox = started(&format!("gpsd://{}", server.local_addr().expect("an address")));
    let (mut link, _) = server.accept().expect("a caller");
    let mut asked = String::new();
    BufReader::new(link.try_clone().expect("a link")).read_line(&mut asked).expect("asked");
    // gpsd's protocol, gpsd_json(5): ?WATCH={"enable":true,"json":true};
    assert_eq!(asked.trim(), "?WATCH={\"enable\":true,\"json\":true};");
    link.write_all(b"{\"class\":\"TPV\"}\r\n").expect("said");
    hear(&inbox, |heard| text(heard) == "{\"class\":\"TPV\"}\r\n");
}

#[test]
fn a_file_is_read_to_its_end_at_its_pace() {
    let path = std::env::temp_dir().join(format!("windrode-feed-{}.nmea", std::process::id()));
    std::fs::write(&path, "a\nb\nc\n").expect("a file");
    let begun = crate::clock::stopwatch();
    let inbox = started(&format!("file://{}?pace=20", path.display()));
    let heard = hear(&inbox, |heard| heard.last() == Some(&Heard::Finished));
    std::fs::remove_file(&path).expect("a file");
    assert_eq!(text(&heard), "a\nb\nc\n");
    assert!(Duration::from_millis(100) <= begun.elapsed());
}

#[test]
fn on_a_faster_clock_a_lost_feed_is_tried_again_as_much_sooner() {
    let inbox = Arc::new(Inbox::default());
    let rate = std::num::NonZeroU32::new(1000).expect("more than nothing");
    let clock = Arc::new(Clock::faster(crate::clock::system_time(), rate));
    let outlet = Outlet { feed: 0, inbox: Arc::clone(&inbox), clock };
    start(Spec::TcpClient(format!("127.0.0.1:{}", free_port())), outlet).expect("a thread");
    // Seven tries are 1 + 2 + 4 + 8 + 16 + 30 s of boat time apart: more than the ten seconds that are waited here.
    let heard = hear(&inbox, |heard| 7 <= heard.len());
    assert!(heard.iter().all(|it| matches!(it, Heard::Lost { .. })), "{heard:?}");
}
