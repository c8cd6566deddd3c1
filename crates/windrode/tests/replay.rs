//! `windrode replay` from outside: recorded vessels, nights made here, what is refused, and that the same file gives
//! the same words.

#[path = "scratch/file.rs"]
mod scratch;

use std::fmt::Write as _;
use std::io::Write as _;
use std::process::{Command, Output};

use flate2::Compression;
use flate2::write::GzEncoder;
use serde_json::Value;

use self::scratch::Scratch;

fn recorded(name: &str) -> String {
    format!("{}/../../authorities/recordings/{name}", env!("CARGO_MANIFEST_DIR"))
}

fn instruments(name: &str) -> String {
    format!("{}/../../authorities/nmea/{name}", env!("CARGO_MANIFEST_DIR"))
}

fn windrode(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_windrode")).arg("replay").args(arguments).output().unwrap()
}

#[track_caller]
fn json(arguments: &[&str], code: i32) -> Value {
    let output = windrode(&[arguments, &["--json"]].concat());
    assert_eq!(output.status.code(), Some(code), "{}", String::from_utf8_lossy(&output.stderr));
    serde_json::from_slice(&output.stdout).unwrap()
}

#[track_caller]
fn refused(arguments: &[&str]) -> Vec<String> {
    let output = windrode(arguments);
    let words = String::from_utf8_lossy(&output.stderr).into_owned();
    assert_eq!(output.status.code(), Some(2), "{words}");
    assert!(output.stdout.is_empty());
    words.lines().map(str::to_owned).collect()
}

fn words(night: &Value) -> Vec<&str> {
    night["events"].as_array().unwrap().iter().map(|event| event["verdict"].as_str().unwrap()).collect()
}

fn keys(object: &Value) -> Vec<&str> {
    let mut keys: Vec<&str> = object.as_object().unwrap().keys().map(String::as_str).collect();
    keys.sort_unstable();
    keys
}

/// Metres in a degree of latitude at 50° north (WGS 84), and of longitude.
const DEGREE_M: (f64, f64) = (111_229.0, 71_696.0);
/// Where the anchor of the made nights lies.
const ANCHOR: (f64, f64) = (50.0, -5.0);
/// When the made drag begins, s.
const DRAG_FROM_S: f64 = 5400.0;
/// Half a knot, m/s.
const HALF_KNOT_MS: f64 = 0.257;

/// Where the anchor of a made night lies: it goes south at half a knot, if it drags.
fn anchor_south_m(second: f64, drags: bool) -> f64 {
    if drags { (second - DRAG_FROM_S).max(0.0) * HALF_KNOT_MS } else { 0.0 }
}

fn degrees(south_m: f64, east_m: f64) -> (f64, f64) {
    (ANCHOR.0 - south_m / DEGREE_M.0, ANCHOR.1 + east_m / DEGREE_M.1)
}

/// Second by second for an hour and three quarters: a north wind of 20 kn holds her 38.6 m south of her anchor, she
/// sheers by 10° every two minutes, and her receiver wanders by a metre in seven minutes.
struct Instant {
    second: u32,
    lat: f64,
    lon: f64,
    heading: f64,
    sog_kn: f64,
    cog: f64,
}

fn made(drags: bool) -> Vec<Instant> {
    let place = |second: f64| {
        let sheer = 0.175 * (second / 120.0 * std::f64::consts::TAU).sin();
        let wander_m = (second / 420.0 * std::f64::consts::TAU).sin();
        let south_m = 38.6 * sheer.cos() + anchor_south_m(second, drags);
        (south_m, 38.6 * sheer.sin(), wander_m, sheer)
    };
    (0..6300_u32)
        .map(|second| {
            let at = f64::from(second);
            let (south_m, east_m, wander_m, sheer) = place(at);
            let (next_south_m, next_east_m, ..) = place(at + 1.0);
            let (going_south, going_east) = (next_south_m - south_m, next_east_m - east_m);
            let (lat, lon) = degrees(south_m + 0.7 * wander_m, east_m + 0.7 * wander_m);
            Instant {
                second,
                lat,
                lon,
                heading: (-sheer.to_degrees()).rem_euclid(360.0),
                sog_kn: going_south.hypot(going_east) * 3600.0 / 1852.0,
                cog: going_east.atan2(-going_south).to_degrees().rem_euclid(360.0),
            }
        })
        .collect()
}

fn table(night: &[Instant]) -> String {
    let mut text = "depth_m,t_utc,cog,sog_kn,remark,lat,lon,heading,wind_kn,wind_from_deg\n".to_owned();
    for now in night {
        let Instant { second, lat, lon, heading, sog_kn, cog } = now;
        let at = 1_795_680_000 + second;
        writeln!(text, "8,{at},{cog:.2},{sog_kn:.3},x,{lat:.8},{lon:.8},{heading:.2},20,0").unwrap();
    }
    text
}

fn sentence(fields: &str) -> String {
    let sum = fields.bytes().fold(0, |sum, byte| sum ^ byte);
    format!("${fields}*{sum:02X}\r\n")
}

fn minutes(degrees: f64, width: usize) -> String {
    let whole = degrees.abs().floor();
    format!("{whole:0width$.0}{:010.7}", (degrees.abs() - whole) * 60.0)
}

fn log(night: &[Instant]) -> String {
    let mut text = String::new();
    for now in night {
        let (hour, minute, second) = (now.second / 3600, now.second / 60 % 60, now.second % 60);
        let at = format!("{:02}{minute:02}{second:02}", 8 + hour);
        text += &sentence(&format!("HEHDT,{:.2},T", now.heading));
        text += &sentence("WIMWD,0.0,T,,M,20.0,N,10.3,M");
        let (lat, lon) = (minutes(now.lat, 2), minutes(now.lon, 3));
        text +=
            &sentence(&format!("GPRMC,{at},A,{lat},N,{lon},W,{:.3},{:.2},261126,,,A", now.sog_kn, now.cog));
    }
    text
}

fn truth(night: &[Instant], drags: bool) -> String {
    let mut text = "t_utc,anchor_lat,anchor_lon\n".to_owned();
    for now in night.iter().step_by(10) {
        let (lat, lon) = degrees(anchor_south_m(f64::from(now.second), drags), 0.0);
        writeln!(text, "{},{lat:.8},{lon:.8}", 1_795_680_000 + now.second).unwrap();
    }
    text
}

const TOLD: [&str; 6] = ["--drop", "50,-5", "--rode", "40", "--depth", "8"];

#[test]
fn a_night_that_holds_rings_nothing_and_a_drag_is_called() {
    for drags in [false, true] {
        let night = made(drags);
        let file = Scratch::holding(&format!("made-{drags}.csv"), table(&night).as_bytes());
        let truth = Scratch::holding(&format!("truth-{drags}.csv"), truth(&night, drags).as_bytes());
        let arguments = [&[file.path()][..], &TOLD, &["--truth", truth.path()]].concat();
        let told = json(&arguments, i32::from(drags));
        let table = &told["summary"]["truth"];
        assert_eq!(table["dragged"], drags);
        assert_eq!(table["watch"]["false_alarms"], 0);
        assert_eq!(table["watch"]["found"], u32::from(drags));
        assert_eq!(table["watch"]["quiet"], u32::from(!drags));
        assert_eq!(words(&told).contains(&"dragging"), drags, "{:?}", words(&told));
        if drags {
            // A plain circle with the margin that is as quiet in all weathers takes 30 m; this is a calm night.
            let gone_m = table["watch"]["gone_m"].as_f64().unwrap();
            assert!(0.0 < gone_m && gone_m < 20.0, "{gone_m}");
            let farthest_m = (6299.0 - DRAG_FROM_S) * HALF_KNOT_MS;
            // The last line of the truth is nine seconds old.
            assert!((table["farthest_m"].as_f64().unwrap() - farthest_m).abs() < 3.0);
        }
    }
}

#[test]
fn a_log_gives_the_words_of_the_table_of_the_same_night() {
    let night = made(true);
    let from_table = Scratch::holding("same.csv", table(&night).as_bytes());
    let from_log = Scratch::holding("same.log", log(&night).as_bytes());
    let alarm = |file: &Scratch| {
        let told = json(&[&[file.path()][..], &TOLD].concat(), 1);
        assert_eq!(told["summary"]["from"], "2026-11-26T08:00:00Z");
        told["summary"]["alarm"].as_str().unwrap().parse::<jiff::Timestamp>().unwrap()
    };
    let apart = alarm(&from_table).duration_since(alarm(&from_log)).as_secs_f64().abs();
    // Two samples: RMC is told as a fix only when no GGA has come, which may shift a sample's second.
    assert!(apart <= 10.0, "{apart} s");
}

#[test]
fn the_same_file_gives_the_same_bytes_packed_or_not_and_twice() {
    let plain = table(&made(true));
    let mut packer = GzEncoder::new(Vec::new(), Compression::fast());
    packer.write_all(plain.as_bytes()).unwrap();
    let (plain, packed) = (
        Scratch::holding("bytes.csv", plain.as_bytes()),
        Scratch::holding("bytes.csv.gz", packer.finish().unwrap()),
    );
    let told = |file: &Scratch| windrode(&[&[file.path(), "--json"][..], &TOLD].concat()).stdout;
    let once = told(&plain);
    assert!(!once.is_empty());
    assert!(once == told(&plain), "twice");
    assert!(once == told(&packed), "packed");
}

#[test]
fn the_shape_is_what_the_documents_say() {
    let file = Scratch::holding("shape.csv", table(&made(true)).as_bytes());
    let told = json(&[&[file.path()][..], &TOLD].concat(), 1);
    assert_eq!(keys(&told), ["events", "summary", "version"]);
    assert_eq!(told["version"], 1);
    let events = told["events"].as_array().unwrap();
    for event in events {
        assert_eq!(keys(event), ["anchor", "backstop", "moved_m", "reasons", "time", "verdict"]);
        assert!(event["time"].as_str().unwrap().ends_with('Z'));
        assert!(event["moved_m"].is_number() && event["backstop"].is_boolean());
        assert!(!event["reasons"].as_array().unwrap().is_empty());
        assert_eq!(keys(&event["reasons"][0]), ["code", "text"]);
        if !event["anchor"].is_null() {
            assert_eq!(keys(&event["anchor"]), ["lat", "lon", "sigma_m"]);
        }
    }
    assert_eq!(events[0]["time"], told["summary"]["from"]);
    let first_drag = events.iter().find(|event| event["verdict"] == "dragging").unwrap();
    assert_eq!(first_drag["time"], told["summary"]["alarm"]);
    assert!(0.0 < first_drag["moved_m"].as_f64().unwrap());
    // A change of the word is told once: the rings of the circle stand between.
    let words: Vec<&Value> =
        events.iter().filter(|event| event["backstop"] == false).map(|event| &event["verdict"]).collect();
    assert!(words.windows(2).all(|pair| pair[0] != pair[1]), "{words:?}");
    let rang = events.iter().filter(|event| event["backstop"] == true).count();
    assert_eq!(told["summary"]["backstops"], rang);
    assert!(0 < rang, "she has gone 230 m");
}

#[test]
fn people_get_a_line_a_change_and_what_it_came_to() {
    let night = made(true);
    let file = Scratch::holding("text.csv", table(&night).as_bytes());
    let truth = Scratch::holding("text-truth.csv", truth(&night, true).as_bytes());
    let output = windrode(&[&[file.path()][..], &TOLD, &["--truth", truth.path()]].concat());
    let text = String::from_utf8(output.stdout).unwrap();
    assert_eq!(output.status.code(), Some(1));
    for wanted in [
        "dragging  The anchor has gone",
        "The watch rang for dragging at 2026-11-26 09:3",
        "In truth the anchor dragged from 2026-11-26 09:30:1",
        "Note: no chain is told: 10 mm chain is taken.",
    ] {
        assert!(text.contains(wanted), "{wanted}\n{text}");
    }
    assert!(text.lines().all(|line| line.chars().count() < 160), "{text}");
}

// Source: what each vessel did stands in the file's own column `class`.
#[test]
fn recorded_vessels_that_lie_are_never_said_to_drag_or_drift() {
    let told = json(&["--neighbours", &recorded("gfw_stationary_segments.csv.gz")], 0);
    assert_eq!(keys(&told), ["notes", "version", "vessels"]);
    let vessels = told["vessels"].as_array().unwrap();
    let states = |segment: &str| -> Vec<String> {
        let vessel = vessels.iter().find(|vessel| vessel["segment"] == segment).unwrap();
        let states = vessel["states"].as_array().unwrap();
        assert!(states.iter().all(|state| state["time"].is_string() && state["moved_m"].is_number()));
        states.iter().map(|state| state["state"].as_str().unwrap().to_owned()).collect()
    };
    for segment in ["0", "1", "2", "7"] {
        let states = states(segment);
        assert!(
            !states.iter().any(|state| state == "dragging" || state == "adrift"),
            "{segment}: {states:?}"
        );
        // She of segment 0 was heard a few times a day: a word of each report that the next silence takes back is none.
        assert_eq!(states.iter().any(|state| state == "lying"), segment != "0", "{segment}: {states:?}");
    }
    let shifts = states("10");
    let berths: Vec<usize> =
        shifts.iter().enumerate().filter(|(_, state)| *state == "lying").map(|(index, _)| index).collect();
    let between = &shifts[berths[0]..*berths.last().unwrap()];
    assert!(between.iter().any(|state| state == "under_way"), "{shifts:?}");
    assert_eq!(states("11").last().unwrap(), "under_way");
    assert!(!shifts.iter().chain(&states("11")).any(|state| state == "dragging" || state == "adrift"));
}

// Source: the same.
#[test]
fn her_own_watch_says_of_none_of_them_that_she_drags() {
    for segment in ["0", "1", "2", "7"] {
        let file = recorded("gfw_stationary_segments.csv.gz");
        let output = windrode(&[&file, "--segment", segment, "--json"]);
        let told: Value = serde_json::from_slice(&output.stdout).unwrap();
        assert!(!words(&told).contains(&"dragging"), "{segment}");
        assert_eq!(told["summary"]["alarm"], Value::Null);
    }
    let leaves = windrode(&[&recorded("gfw_stationary_segments.csv.gz"), "--segment", "11", "--json"]);
    let told: Value = serde_json::from_slice(&leaves.stdout).unwrap();
    assert_eq!(*words(&told).last().unwrap(), "under_way");
}

// Source: the ship's own status in the sentences: under way by engine until 17:05, then not under command, and way of
// 0.2 to 0.9 kn across her heading until 05:26 the next day.
#[test]
fn a_ship_not_under_command_is_adrift_soon_after_she_stops_and_until_she_goes() {
    let told = json(&["--neighbours", &recorded("dma_212123000_drift_1.nmea.gz")], 0);
    let vessel =
        &told["vessels"].as_array().unwrap().iter().find(|vessel| vessel["mmsi"] == 212_123_000).unwrap();
    let states: Vec<(&str, &str)> = vessel["states"]
        .as_array()
        .unwrap()
        .iter()
        .map(|state| (state["state"].as_str().unwrap(), state["time"].as_str().unwrap()))
        .collect();
    assert_eq!(states.first().unwrap().0, "under_way");
    let adrift = states.iter().find(|(state, _)| *state == "adrift").unwrap();
    assert!(("2014-10-02T17:08:00Z".."2014-10-02T17:40:00Z").contains(&adrift.1), "{states:?}");
    let goes = states.iter().filter(|(_, time)| adrift.1 < *time).collect::<Vec<_>>();
    assert_eq!(goes.len(), 1, "{states:?}");
    assert!(goes[0].0 == "under_way" && goes[0].1.starts_with("2014-10-03T05:2"));
}

#[test]
fn logs_of_real_receivers_are_read_and_of_one_without_a_date_it_is_said() {
    for (name, from) in [
        ("ais-nmea.log", "2020-04-07T21:39:50Z"),
        ("hemi.log", "2018-09-07T19:39:13Z"),
        ("saab-r4.log", "2011-06-01T13:07:11Z"),
        ("humminbird-M37.log", "2006-09-16T19:41:01Z"),
    ] {
        let output = windrode(&[&instruments(name), "--json"]);
        let told: Value = serde_json::from_slice(&output.stdout).unwrap();
        assert_eq!(told["summary"]["from"], from, "{name}");
        assert_eq!(output.status.code(), Some(0), "{name}: {:?}", words(&told));
    }
    let told = json(&[&instruments("sounder.log")], 0);
    assert_eq!(told["summary"]["from"], "1970-01-01T16:43:26Z");
    assert!(told["summary"]["notes"].to_string().contains("no sentence tells the date"));
}

#[test]
fn the_problems_of_all_files_are_told_at_once() {
    let night = Scratch::holding("bad.csv", b"t_utc,lat,lon\nnoon,1,2\n1,95,2\n");
    let vessel = Scratch::holding("bad.toml", b"antenna_aft_of_bow = 9\nwindage_m2 = \"broad\"\n");
    let truth = Scratch::holding("bad-truth.csv", b"t_utc,anchor_lat\n1,2\n");
    let told = refused(&[night.path(), "--vessel", vessel.path(), "--truth", truth.path()]);
    for wanted in [
        "the nearest known is \"antenna_aft_of_bow_m\"",
        "windage_m2: \"broad\"",
        "anchor_lon: is missing",
        ":2:1: t_utc: \"noon\"",
        ":3:3: lat: \"95\"",
    ] {
        assert!(told.iter().any(|line| line.contains(wanted)), "{wanted}\n{told:#?}");
    }
    assert_eq!(told.len(), 5, "{told:#?}");
}

#[test]
fn what_cannot_be_meant_is_refused() {
    let night = Scratch::holding("two.csv", b"t_utc,lat,lon,segment\n1,2,3,a\n2,2,3,b\n");
    assert!(refused(&[night.path()])[0].contains("a, b"));
    assert!(refused(&[night.path(), "--segment", "c"])[0].contains("no segment"));
    let nobody = Scratch::holding("nobody.csv", b"t_utc,lat,lon\n1,2,3\n");
    assert!(refused(&[nobody.path(), "--neighbours"])[0].contains("segment or an mmsi"));
    assert!(!refused(&[nobody.path(), "--rode", "-4"]).is_empty());
    assert!(!refused(&[nobody.path(), "--drop", "95,0"]).is_empty());
    assert!(!refused(&[nobody.path(), "--neighbours", "--rode", "40"]).is_empty());
    assert!(refused(&["no-such-night.csv"])[0].contains("cannot be read"));
    let empty = Scratch::holding("empty.csv", b" \n");
    assert!(refused(&[empty.path()])[0].contains("is empty"));
    let torn = Scratch::holding("torn.gz", [0x1f, 0x8b, 8, 0, 0]);
    assert!(refused(&[torn.path()])[0].contains("cannot be unpacked"));
}

#[test]
fn her_whole_vessel_file_is_taken_too() {
    let vessels = format!("{}/../../examples/vessels", env!("CARGO_MANIFEST_DIR"));
    let file = Scratch::holding("whole.csv", table(&made(false)).as_bytes());
    let mut seen = 0;
    for entry in std::fs::read_dir(vessels).unwrap() {
        let vessel = entry.unwrap().path();
        let arguments = [&[file.path(), "--vessel", vessel.to_str().unwrap()][..], &TOLD].concat();
        let told = json(&arguments, 0);
        assert!(!words(&told).is_empty());
        seen += 1;
    }
    assert!(0 < seen);
}

/// The lines of one recorded vessel, her anchor gone by a metre a minute to the north-east from some instant on.
fn with_a_drag(segment: &str, from_share: f64) -> (String, jiff::Timestamp) {
    let packed = std::fs::read(recorded("gfw_stationary_segments.csv.gz")).unwrap();
    let mut text = String::new();
    std::io::Read::read_to_string(&mut flate2::read::GzDecoder::new(&packed[..]), &mut text).unwrap();
    let rows: Vec<Vec<&str>> = text
        .lines()
        .map(|line| line.split(',').collect::<Vec<_>>())
        .filter(|fields| fields[0] == segment)
        .collect();
    let at = |row: &[&str]| format!("{}Z", row[2]).parse::<jiff::Timestamp>().unwrap();
    let (first, last) = (at(&rows[0]), at(&rows[rows.len() - 1]));
    let began_s = (from_share * last.duration_since(first).as_secs_f64()).round();
    let mut made = "segment,t_utc,lat,lon,sog_kn,cog,heading\n".to_owned();
    for row in &rows {
        let since_s = at(row).duration_since(first).as_secs_f64() - began_s;
        if 6.0 * 3600.0 < since_s {
            break;
        }
        let (lat, lon): (f64, f64) = (row[3].parse().unwrap(), row[4].parse().unwrap());
        // Half the way each in north and east, √½ of it: a degree of latitude is 111 km.
        let gone_m = since_s.max(0.0) / 60.0;
        let (north, east) = (0.707 * gone_m / 111_200.0, 0.707 * gone_m / 111_300.0 / lat.to_radians().cos());
        writeln!(
            made,
            "{segment},{},{},{},{},{},{}",
            row[2],
            lat + north,
            lon + east,
            row[5],
            row[6],
            row[7]
        )
        .unwrap();
    }
    let began = first.checked_add(jiff::SignedDuration::from_secs_f64(began_s)).unwrap();
    (made, began)
}

// Recorded vessels, real errors and real silences; only the drag is made.
#[test]
fn a_drag_put_into_recorded_tracks_is_called_and_nothing_before_it() {
    for segment in ["1", "7", "11"] {
        for from_share in [0.3, 0.5, 0.7] {
            let (made, began) = with_a_drag(segment, from_share);
            let file = Scratch::holding(&format!("drag-{segment}-{from_share}.csv"), made.as_bytes());
            let told = json(&["--neighbours", file.path()], 0);
            let calls: Vec<jiff::Timestamp> = told["vessels"][0]["states"]
                .as_array()
                .unwrap()
                .iter()
                .filter(|state| state["state"] == "dragging" || state["state"] == "adrift")
                .map(|state| state["time"].as_str().unwrap().parse().unwrap())
                .collect();
            let first = calls.first().unwrap_or_else(|| panic!("{segment} {from_share}: not called"));
            let after = first.duration_since(began).as_secs_f64() / 60.0;
            // Reports come every three minutes at best, and fail for hours: six hours is the end of what was made.
            assert!(0.0 < after && after < 360.0, "{segment} {from_share}: {after} min");
        }
    }
}
