//! What a watch remembers, as text that a later program reads.

use jiff::Timestamp;
use serde::{Deserialize, Serialize};
use windrode_domain::position::Position;
use windrode_domain::units::{Bearing, Length};
use windrode_domain::watch::detector;
use windrode_domain::watch::observation::Source;
use windrode_domain::watch::reason::Sensor;
use windrode_domain::watch::remembered::{Leaving, Remembered, RememberedAlarm};
use windrode_domain::watch::verdict::{AnchorEstimate, Moved, Verdict};
use windrode_domain::watch::view::Standing;

use super::given::{DropText, Unreadable};
use crate::crew_words;

/// As text.
pub(super) fn written(remembered: &Remembered) -> String {
    // Numbers and names only: nothing in it can fail to be written.
    serde_json::to_string(&Text::from(remembered)).unwrap_or_default()
}

/// From text.
///
/// # Errors
/// [`Unreadable`].
pub(super) fn read(text: &str) -> Result<Remembered, Unreadable> {
    serde_json::from_str::<Text>(text)?.remembered()
}

#[derive(Serialize, Deserialize)]
struct Text {
    at_us: i64,
    origin_deg: Option<[f64; 2]>,
    /// In the drag test's own order; a bit pattern each, so that what is no finite number comes back too.
    detector_bits: Option<Vec<u64>>,
    verdict: String,
    since_us: i64,
    dragging: bool,
    moved: Option<MovedText>,
    anchor: Option<DropText>,
    arc_seen: u64,
    under_way: Option<String>,
    drop_told: Option<DropText>,
    drop_left: bool,
    rode_told_m: Option<f64>,
    engine_running: bool,
    wind_told_deg: Option<f64>,
    used: Option<u16>,
    last_fix: Option<(i64, [f64; 2])>,
    usual_interval_s: Option<f64>,
    sensors_heard: Vec<String>,
    alarms: Vec<AlarmText>,
}

#[derive(Serialize, Deserialize)]
struct MovedText {
    distance_m: f64,
    spread_m: f64,
    toward_deg: Option<f64>,
    since_us: Option<i64>,
    speed_ms: Option<f64>,
}

#[derive(Serialize, Deserialize)]
struct AlarmText {
    alarm: String,
    since_us: i64,
    standing: String,
    until_us: Option<i64>,
    heard_at_bits: u64,
    cleared: bool,
}

const VERDICTS: [Verdict; 5] =
    [Verdict::Holding, Verdict::Doubtful, Verdict::Dragging, Verdict::Blind, Verdict::UnderWay];

const SENSORS: [(Sensor, &str); 4] = [
    (Sensor::Heading, "heading"),
    (Sensor::Wind, "wind"),
    (Sensor::Sounder, "sounder"),
    (Sensor::Battery, "battery"),
];

fn pair(position: Position) -> [f64; 2] {
    [position.latitude_deg(), position.longitude_deg()]
}

fn position([latitude, longitude]: [f64; 2]) -> Result<Position, Unreadable> {
    Position::new(latitude, longitude).map_err(|_| Unreadable::Value("a position"))
}

fn instant(micros: i64) -> Result<Timestamp, Unreadable> {
    Timestamp::from_microsecond(micros).map_err(|_| Unreadable::Value("a time"))
}

impl From<&Remembered> for Text {
    fn from(it: &Remembered) -> Self {
        let bits = |memory: &detector::Remembered| memory.numbers.iter().map(|it| it.to_bits()).collect();
        let word = |sensor: &Sensor| SENSORS.iter().find(|(it, _)| it == sensor).map(|(_, word)| *word);
        Self {
            at_us: it.at.as_microsecond(),
            origin_deg: it.origin.map(pair),
            detector_bits: it.detector.as_ref().map(bits),
            verdict: it.verdict.code().to_owned(),
            since_us: it.since.as_microsecond(),
            dragging: it.dragging,
            moved: it.moved.as_ref().map(MovedText::from),
            anchor: it
                .anchor
                .map(|it| windrode_domain::watch::given::Drop { at: it.at, spread: it.spread }.into()),
            arc_seen: it.arc_seen,
            under_way: it.under_way.map(|it| leaving_word(it).to_owned()),
            drop_told: it.drop_told.map(DropText::from),
            drop_left: it.drop_left,
            rode_told_m: it.rode_told.map(Length::as_metres),
            engine_running: it.engine_running,
            wind_told_deg: it.wind_told.map(Bearing::as_degrees),
            used: it.used.map(|source| source.0),
            last_fix: it.last_fix.map(|(at, place)| (at.as_microsecond(), pair(place))),
            usual_interval_s: it.usual_interval_s,
            sensors_heard: it.sensors_heard.iter().filter_map(word).map(str::to_owned).collect(),
            alarms: it.alarms.iter().map(AlarmText::from).collect(),
        }
    }
}

impl Text {
    fn remembered(self) -> Result<Remembered, Unreadable> {
        let anchor = self.anchor.map(DropText::drop).transpose()?;
        let sensors = self.sensors_heard.iter();
        let sensor = |word: &String| SENSORS.iter().find(|(_, it)| it == word).map(|(sensor, _)| *sensor);
        let detector = self
            .detector_bits
            .map(|bits| detector::Remembered { numbers: bits.into_iter().map(f64::from_bits).collect() });
        let fix = |(at, place)| Ok::<_, Unreadable>((instant(at)?, position(place)?));
        Ok(Remembered {
            at: instant(self.at_us)?,
            origin: self.origin_deg.map(position).transpose()?,
            detector,
            verdict: verdict(&self.verdict)?,
            since: instant(self.since_us)?,
            dragging: self.dragging,
            moved: self.moved.map(MovedText::moved).transpose()?,
            anchor: anchor.map(|it| AnchorEstimate { at: it.at, spread: it.spread }),
            arc_seen: self.arc_seen,
            under_way: self.under_way.map(|how| leaving_of(&how)),
            drop_told: self.drop_told.map(DropText::drop).transpose()?,
            drop_left: self.drop_left,
            rode_told: self.rode_told_m.map(Length::metres),
            engine_running: self.engine_running,
            wind_told: self.wind_told_deg.map(Bearing::degrees),
            used: self.used.map(Source),
            last_fix: self.last_fix.map(fix).transpose()?,
            usual_interval_s: self.usual_interval_s,
            sensors_heard: sensors.filter_map(sensor).collect(),
            alarms: self.alarms.into_iter().map(AlarmText::alarm).collect::<Result<_, _>>()?,
        })
    }
}

fn verdict(code: &str) -> Result<Verdict, Unreadable> {
    VERDICTS.into_iter().find(|it| it.code() == code).ok_or(Unreadable::Value("a verdict"))
}

impl From<&Moved> for MovedText {
    fn from(moved: &Moved) -> Self {
        Self {
            distance_m: moved.distance.as_metres(),
            spread_m: moved.spread.as_metres(),
            toward_deg: moved.toward.map(Bearing::as_degrees),
            since_us: moved.since.map(Timestamp::as_microsecond),
            speed_ms: moved.speed_ms,
        }
    }
}

impl MovedText {
    fn moved(self) -> Result<Moved, Unreadable> {
        Ok(Moved {
            distance: Length::metres(self.distance_m),
            spread: Length::metres(self.spread_m),
            toward: self.toward_deg.map(Bearing::degrees),
            since: self.since_us.map(instant).transpose()?,
            speed_ms: self.speed_ms,
        })
    }
}

impl From<&RememberedAlarm> for AlarmText {
    fn from(it: &RememberedAlarm) -> Self {
        let (standing, until) = match it.standing {
            Standing::Ringing => ("ringing", None),
            Standing::Acknowledged => ("acknowledged", None),
            Standing::Silenced(until) => ("silenced", Some(until.as_microsecond())),
            Standing::Past => ("past", None),
        };
        Self {
            alarm: crew_words::alarm_code(it.kind),
            since_us: it.since.as_microsecond(),
            standing: standing.to_owned(),
            until_us: until,
            heard_at_bits: it.heard_at.to_bits(),
            cleared: it.cleared,
        }
    }
}

impl AlarmText {
    fn alarm(self) -> Result<RememberedAlarm, Unreadable> {
        let standing = match (self.standing.as_str(), self.until_us) {
            ("acknowledged", _) => Standing::Acknowledged,
            ("silenced", Some(until)) => Standing::Silenced(instant(until)?),
            ("past", _) => Standing::Past,
            // Whatever is not understood rings.
            _ => Standing::Ringing,
        };
        Ok(RememberedAlarm {
            kind: crew_words::alarm(&self.alarm).ok_or(Unreadable::Value("an alarm"))?,
            since: instant(self.since_us)?,
            standing,
            heard_at: f64::from_bits(self.heard_at_bits),
            cleared: self.cleared,
        })
    }
}
const fn leaving_word(how: Leaving) -> &'static str {
    match how {
        Leaving::Told => "told",
        Leaving::Seen => "seen",
        Leaving::NotYet => "not_yet",
    }
}

fn leaving_of(word: &str) -> Leaving {
    match word {
        "told" => Leaving::Told,
        "not_yet" => Leaving::NotYet,
        _ => Leaving::Seen,
    }
}
