//! What is kept comes back, and what cannot be kept is told.

use std::sync::atomic::{AtomicU32, Ordering};

use windrode_domain::boat::Antenna;
use windrode_domain::catenary::{Kellet, Line, Segment};
use windrode_domain::environment::wind::Wind;
use windrode_domain::plan::limits::Limits;
use windrode_domain::plan::sheet::Verdict;
use windrode_domain::position::Position;
use windrode_domain::uncertain::Lognormal;
use windrode_domain::units::{Angle, Bearing, Force, Length, Speed, WeightPerLength};
use windrode_domain::watch::effect::AlarmKind;
use windrode_domain::watch::event::{Event, Told};
use windrode_domain::watch::given::{Drop, Expected, ExpectedAt, Given, RodeOut, WatchLimits, WatchedBoat};
use windrode_domain::watch::observation::{Fix, FixKind, Observation, Seen, Source};
use windrode_domain::watch::remembered::RememberedAlarm;
use windrode_domain::watch::step::Watch;
use windrode_domain::watch::view::Standing;

use super::*;
use crate::telling::Speaker;

fn at(second: i64) -> Timestamp {
    Timestamp::from_second(1_800_000_000 + second).expect("a time")
}

/// A folder of the test's own, gone with it.
struct Folder(PathBuf);

impl Folder {
    fn new() -> Self {
        static NUMBER: AtomicU32 = AtomicU32::new(0);
        let name = format!("windrode-store-{}-{}", std::process::id(), NUMBER.fetch_add(1, Ordering::AcqRel));
        let path = std::env::temp_dir().join(name);
        fs::create_dir_all(&path).expect("a folder");
        Self(path)
    }
}

impl std::ops::Drop for Folder {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

fn place() -> Position {
    Position::new(33.97, -120.966_666).expect("a position")
}

fn given() -> Given {
    let chain = Segment {
        length: Length::metres(40.3),
        weight: WeightPerLength::newtons_per_metre(19.7),
        stiffness: Force::newtons(8.5e6),
    };
    let kellet = Kellet { from_anchor: Length::metres(10.0), weight: Force::newtons(98.0) };
    Given {
        from: at(0),
        boat: WatchedBoat {
            length: Some(Length::metres(12.1)),
            antenna: Some(Antenna { aft_of_roller: Length::metres(9.7), to_starboard: Length::metres(-0.4) }),
            drag_area_m2: Lognormal::new(10.3, 0.21),
            roller_height: Some(Length::metres(1.25)),
            draught: None,
            multihull: Some(false),
        },
        drop: Some(Drop { at: place(), spread: Length::metres(5.0) }),
        rode: Some(RodeOut { line: Line::new(vec![chain], vec![kellet]).expect("a rode"), spread: 0.05 }),
        depth: Some(Length::metres(6.1)),
        expected: Some(Expected {
            steps: vec![ExpectedAt {
                at: at(600),
                tide: Some(Length::metres(0.7)),
                water: None,
                mean: Some(Speed::knots(12.0)),
                gust: Some(Speed::knots(19.0)),
                from: Some(Bearing::degrees(310.0)),
            }],
            proved_wind: Some(Speed::knots(31.0)),
            proved_load: Some(Force::newtons(3100.0)),
            verdict: Some(Verdict::LiesWithCare),
            limits: Limits::default(),
        }),
        limits: WatchLimits {
            under_keel: Length::metres(0.3),
            battery_v: Some(11.9),
            silence_s: 60.0,
            neighbour: Length::metres(5.0),
            wind_shift_deg: 45.0,
        },
    }
}

fn row() -> StayRow {
    StayRow {
        id: "stay-2027-01-15-a-bay".to_owned(),
        name: "A Bay".to_owned(),
        boat: "Tern".to_owned(),
        taken: at(0),
        zone: Some("Pacific/Auckland".to_owned()),
        stay_text: Some("[stay]".to_owned()),
        vessel_text: None,
        given: given(),
    }
}

/// A watch that has heard a quarter of an hour of her swinging about.
fn watch() -> Watch {
    let mut watch = Watch::new(given());
    let mut effects = Vec::new();
    for second in 1..900 {
        let angle = Bearing::degrees(90.0 + 15.0 * (f64::from(second) / 60.0).sin());
        let here = place().at(Length::metres(38.0), angle);
        let heading = Seen::Heading { bow: angle.reversed(), spread: Angle::degrees(2.0) };
        let fix = Fix {
            antenna: here.at(Length::metres(9.7), angle),
            spread: None,
            satellites: Some(10),
            dilution: Some(0.9),
            kind: FixKind::Autonomous,
            stated: None,
        };
        let now = at(i64::from(second));
        for seen in [heading, Seen::Fix(fix)] {
            watch.step(&Event::Observed(Observation { at: now, source: Source(1), seen }), now, &mut effects);
        }
    }
    watch.step(&Event::Told(Told::RodeOut(Length::metres(35.0))), at(900), &mut effects);
    watch
}

fn kept(store: &mut Store, records: Vec<Record>, now: Timestamp) -> Vec<&'static str> {
    store.keep(records, now).iter().map(|trouble| trouble.code).collect()
}

fn word(line: &str) -> Record {
    let by = Speaker::here();
    let about = Vec::new();
    Record::Word(WordRow { at: at(1), line: line.to_owned(), answer: "heard".to_owned(), by, about })
}

fn words(store: &Store) -> Vec<String> {
    let connection = store.connection.as_ref().expect("open");
    let mut asked = connection.prepare("SELECT line FROM words ORDER BY id").expect("a table");
    let lines = asked.query_map([], |row| row.get(0)).expect("rows");
    lines.collect::<rusqlite::Result<_>>().expect("lines")
}

fn opened(folder: &Folder) -> Store {
    let (store, troubles) = Store::open(&folder.0, at(0));
    assert_eq!(troubles, []);
    store
}

#[test]
fn a_stay_is_taken_up_again_to_the_last_bit() {
    let folder = Folder::new();
    let watch = watch();
    let mut remembered = watch.remember();
    assert!(remembered.detector.is_some(), "the test has begun");
    remembered.alarms =
        [Standing::Ringing, Standing::Acknowledged, Standing::Silenced(at(1000)), Standing::Past]
            .into_iter()
            .map(|standing| RememberedAlarm {
                kind: AlarmKind::Neighbour(230_012_345),
                since: at(5),
                standing,
                heard_at: f64::INFINITY,
                cleared: false,
            })
            .collect();
    let records = vec![Record::Stay(Box::new(row())), Record::Remembered(Box::new(remembered.clone()))];
    assert!(kept(&mut opened(&folder), records, at(900)).is_empty());
    let armed = opened(&folder).armed().expect("a stay");
    assert_eq!(armed.row, row());
    // The drag test carries numbers that are none, which equal nothing: compared by their bits.
    let again = armed.remembered.expect("what it remembered");
    assert!(remembered::written(&again) == remembered::written(&remembered));
}

#[test]
fn a_stay_that_is_over_is_not_taken_up_again_but_known_by_its_id() {
    let folder = Folder::new();
    let mut store = opened(&folder);
    assert!(kept(&mut store, vec![Record::Stay(Box::new(row())), Record::Ended(at(10))], at(10)).is_empty());
    assert!(store.armed().is_none());
    assert_eq!(store.stay("stay-2027-01-15-a-bay"), Some(row()));
    assert_eq!(store.stay_ids(), ["stay-2027-01-15-a-bay"]);
}

#[test]
fn on_a_full_disk_the_crew_are_told_once_and_what_waited_is_written_when_there_is_room() {
    let folder = Folder::new();
    let mut store = opened(&folder);
    kept(&mut store, vec![Record::Stay(Box::new(row())), word("first")], at(0));
    store.fill_the_disk();
    let long = "x".repeat(100_000);
    assert_eq!(kept(&mut store, vec![word(&long)], at(1)), ["record_not_kept"]);
    assert!(!store.is_whole());
    assert!(kept(&mut store, vec![word("second")], at(2)).is_empty());
    // The next attempt opens anew, and finds room.
    assert_eq!(store.flush(at(30)).iter().map(|it| it.code).collect::<Vec<_>>(), ["record_kept_again"]);
    assert!(store.is_whole());
    let lengths: Vec<usize> = words(&store).iter().map(String::len).collect();
    assert_eq!(lengths, [5, 100_000, 6]);
}

#[test]
fn a_disk_that_takes_nothing_does_not_fill_the_memory() {
    let folder = Folder::new();
    // A file stands where the directory should be.
    let directory = folder.0.join("file");
    fs::write(&directory, "").expect("a file");
    let (mut store, troubles) = Store::open(&directory, at(0));
    assert_eq!(troubles.iter().map(|it| it.code).collect::<Vec<_>>(), ["record_not_kept"]);
    let remembered = watch().remember();
    for second in 0..20_000 {
        let records = vec![word("word"), Record::Remembered(Box::new(remembered.clone()))];
        assert!(kept(&mut store, records, at(second)).is_empty());
    }
    assert!(store.waiting.len() <= MOST_WAITING);
    assert_eq!(store.waiting.iter().filter(|it| matches!(it, Record::Remembered(_))).count(), 1);
    assert!(0 < store.dropped);
}

#[test]
fn a_database_that_cannot_be_written_is_told_and_the_words_wait() {
    let folder = Folder::new();
    let mut store = opened(&folder);
    store.connection.as_ref().expect("open").pragma_update(None, "query_only", "ON").expect("read only");
    assert_eq!(kept(&mut store, vec![word("first")], at(1)), ["record_not_kept"]);
    assert_eq!(kept(&mut store, vec![word("second")], at(60)), ["record_kept_again"]);
    assert_eq!(words(&store), ["first", "second"]);
}

#[test]
fn a_database_that_is_no_database_is_moved_aside_and_told() {
    let folder = Folder::new();
    fs::write(
        folder.0.join(DATABASE),
        "this is no database at all, but long enough to have a head ".repeat(40),
    )
    .expect("a file");
    let (mut store, troubles) = Store::open(&folder.0, at(0));
    assert_eq!(troubles.iter().map(|it| it.code).collect::<Vec<_>>(), ["record_unsound"]);
    assert!(kept(&mut store, vec![word("first")], at(1)).is_empty());
    assert_eq!(words(&store), ["first"]);
    let aside = fs::read_dir(&folder.0).expect("a folder").flatten();
    assert!(aside.map(|it| it.file_name()).any(|it| it.to_string_lossy().contains("unsound")));
}

#[test]
fn of_a_broken_database_the_stay_is_saved_if_it_can_still_be_read() {
    let folder = Folder::new();
    {
        let mut store = opened(&folder);
        let mut records = vec![Record::Stay(Box::new(row()))];
        records.extend((0..2000).map(|_| word(&"y".repeat(100))));
        assert!(kept(&mut store, records, at(0)).is_empty());
        let connection = store.connection.take().expect("open");
        connection.pragma_update_and_check(None, "journal_mode", "DELETE", |_| Ok(())).expect("one file");
    }
    // The tail of the file is overwritten: pages of the words' table.
    let path = folder.0.join(DATABASE);
    let mut bytes = fs::read(&path).expect("a file");
    let middle = bytes.len() / 2;
    bytes[middle..].fill(0xA5);
    fs::write(&path, bytes).expect("a file");
    let (mut store, troubles) = Store::open(&folder.0, at(10));
    assert_eq!(troubles.iter().map(|it| it.code).collect::<Vec<_>>(), ["record_unsound"]);
    assert_eq!(store.armed().map(|armed| armed.row), Some(row()));
}

#[test]
fn a_second_watch_on_the_same_directory_is_told_who_holds_it() {
    let folder = Folder::new();
    let first = lease(&folder.0, "process 7").expect("free");
    assert_eq!(lease(&folder.0, "process 8").unwrap_err(), HeldBy("process 7".to_owned()));
    drop(first);
    assert!(lease(&folder.0, "process 9").is_ok());
}

#[test]
fn messages_wait_until_they_are_taken() {
    let folder = Folder::new();
    let mut store = opened(&folder);
    let message = |id| Message {
        id,
        made: at(1),
        url: "http://far.test/".to_owned(),
        body: format!("{{\"id\":{id}}}"),
    };
    let (one, two) = (store.new_message_id(), store.new_message_id());
    kept(&mut store, vec![Record::Post(message(one)), Record::Post(message(two))], at(1));
    kept(&mut store, vec![Record::Posted { id: one, at: at(2), given_up: None }], at(2));
    drop(store);
    let mut store = opened(&folder);
    assert_eq!(store.unposted(), [message(two)]);
    assert!(two < store.new_message_id());
}

#[test]
fn an_old_track_is_thinned_to_one_a_minute_and_then_to_one_in_ten() {
    let folder = Folder::new();
    let mut store = opened(&folder);
    let here = |second| windrode_domain::watch::view::Here {
        at: at(second),
        place: place(),
        at_bow: true,
        heading: None,
        wind: None,
        depth: None,
    };
    for second in (0..3600).step_by(5) {
        store.later(Record::Track(TrackRow(here(second))), at(second));
    }
    assert!(store.flush(at(3600)).is_empty());
    let count = |store: &mut Store, days: i64| {
        let connection = store.connection.as_mut().expect("open");
        track::thin(connection, at(days * 86_400)).expect("thinned");
        connection.query_row("SELECT count(*) FROM track", [], |row| row.get::<_, i64>(0)).expect("a count")
    };
    assert_eq!(count(&mut store, 6), 720);
    // An hour that begins and ends within a minute has 61 of them.
    assert!((60..=61).contains(&count(&mut store, 9)));
    assert!((6..=7).contains(&count(&mut store, 100)));
}

#[test]
fn of_a_database_that_cannot_be_written_the_stay_is_still_read() {
    let folder = Folder::new();
    let mut store = opened(&folder);
    assert!(kept(&mut store, vec![Record::Stay(Box::new(row()))], at(0)).is_empty());
    // As its program dies: the log stands beside the database, not yet taken into it.
    let path = folder.0.join(DATABASE);
    let read = schema::open_to_read(&path).expect("readable");
    assert_eq!(stays::armed(&read).expect("a question").map(|armed| armed.row), Some(row()));
    assert!(read.execute("DELETE FROM stays", []).is_err());
    assert!(schema::open_to_read(&folder.0.join("none.db")).is_none());
}

#[test]
fn what_was_measured_is_thinned_without_losing_a_gust_or_a_shoal() {
    let folder = Folder::new();
    let (mut store, _) = Store::open(&folder.0, at(0));
    store.keep(vec![Record::Stay(Box::new(row()))], at(0));
    let mut minute = observations::Minute::default();
    let hours = 30;
    for second in (0..hours * 3600 + 60).step_by(15) {
        // A puff of one reading and a shoal of another, hours apart.
        let wind_ms = if second == 7230 { 31.0 } else { 8.0 };
        let water_m = if second == 60_015 { 1.2 } else { 5.0 };
        let wind = Wind::blowing(Bearing::degrees(310.0), Speed::metres_per_second(wind_ms));
        let seen = [Seen::Water { depth: Length::metres(water_m) }, Seen::Wind(wind)];
        for seen in seen {
            let heard = Observation { at: at(second), source: Source(1), seen };
            for digest in minute.hear(&heard, at(second)) {
                store.later(Record::Observed(digest), at(second));
            }
        }
        store.flush(at(second));
    }
    store.keep(Vec::new(), at(hours * 3600 + 61));
    let kinds = ["depth_m", "wind_ms", "battery_v"];
    let ever = (Timestamp::MIN, Timestamp::MAX);
    let told = looking::hours::hours(&folder.0, "stay-2027-01-15-a-bay", ever, kinds, 400).expect("read");
    let [water, wind, battery] = &told.pieces;
    assert_eq!(told.every_s, 300);
    assert!(water.len() <= 400 && wind.len() <= 400 && battery.is_empty());
    let least = water.iter().map(|it| it.least).fold(f64::INFINITY, f64::min);
    let greatest = wind.iter().map(|it| it.greatest).fold(0.0, f64::max);
    // A speed goes through its two components and back.
    assert!((least - 1.2).abs() < 1e-12 && (greatest - 31.0).abs() < 1e-9, "{least} {greatest}");
    let puff = wind.iter().find(|it| 30.0 < it.greatest).expect("the puff");
    // 300 s by 15 s are twenty readings, one of them the puff.
    assert!((puff.mean - (19.0 * 8.0 + 31.0) / 20.0).abs() < 1e-9, "{}", puff.mean);
    assert_eq!(looking::hours::hours(&folder.0, "another", ever, kinds, 400).expect("read").pieces[0], []);
}
