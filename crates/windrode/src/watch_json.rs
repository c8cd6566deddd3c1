//! The watch for other programs: one JSON object an event, the shapes of `docs/json.md`.

use jiff::Timestamp;
use serde_json::{Value, json};
use windrode_domain::environment::wind::Wind;
use windrode_domain::position::Position;
use windrode_domain::units::{Bearing, Length};
use windrode_domain::watch::view::{Alarm, Here, Standing, View};

use crate::crew_words::alarm_code;
use crate::feed::health::{Health, State};
use crate::telling::Speaker;
use crate::watchkeeper::keep::said::Saids;
use crate::words::Voice;
use crate::words::watch as words;

/// The version of all shapes here.
pub(crate) const VERSION: u32 = 1;

/// What the watch shows.
pub(crate) fn view(view: &View, voice: &Voice, saids: &Saids) -> Value {
    let reasons: Vec<Value> = view
        .reasons
        .iter()
        .map(|reason| json!({ "code": reason.code(), "text": words::reason(reason, voice) }))
        .collect();
    let anchor = view.anchor.map(|anchor| {
        let place = position(anchor.at);
        json!({ "lat": place[0], "lon": place[1], "sigma_m": anchor.spread.as_metres() })
    });
    let moved = view.moved.map(|moved| {
        json!({
            "distance_m": moved.distance.as_metres(),
            "sigma_m": moved.spread.as_metres(),
            "toward_deg": moved.toward.map(Bearing::as_degrees),
            "since": moved.since.map(time),
            "speed_ms": moved.speed_ms,
        })
    });
    json!({
        "version": VERSION,
        "event": "watch",
        "time": time(view.at),
        "verdict": view.verdict.code(),
        "since": time(view.since),
        "reasons": reasons,
        "anchor": anchor,
        "moved_m": view.moved.map(|moved| moved.distance.as_metres()),
        "moved": moved,
        "backstop": view.backstop,
        "alarms": view.alarms.iter().map(|alarm| alarm_value(alarm, voice, saids)).collect::<Vec<_>>(),
        "here": view.here.map(here),
    })
}

fn alarm_value(alarm: &Alarm, voice: &Voice, saids: &Saids) -> Value {
    let (standing, until) = match alarm.standing {
        Standing::Ringing => ("ringing", None),
        Standing::Acknowledged => ("acknowledged", None),
        Standing::Silenced(until) => ("silenced", Some(time(until))),
        Standing::Past => ("past", None),
    };
    // What was said before it rang again is no answer to what rings now.
    let heard = matches!(alarm.standing, Standing::Acknowledged | Standing::Silenced(_));
    let said = saids.get(&alarm_code(alarm.kind)).filter(|_| heard);
    json!({
        "alarm": alarm_code(alarm.kind),
        "code": alarm.reason.code(),
        "text": words::reason(&alarm.reason, voice),
        "since": time(alarm.since),
        "standing": standing,
        "until": until,
        "said": said.map(|said| json!({ "word": said.word, "by": said.by.view(), "time": time(said.at) })),
    })
}

fn here(here: Here) -> Value {
    let [lat, lon] = position(here.place);
    json!({
        "time": time(here.at),
        "lat": lat,
        "lon": lon,
        "at_bow": here.at_bow,
        "heading_deg": here.heading.map(Bearing::as_degrees),
        "wind_ms": here.wind.map(|wind| wind.speed().as_metres_per_second()),
        "wind_from_deg": here.wind.and_then(Wind::from).map(Bearing::as_degrees),
        "depth_m": here.depth.map(Length::as_metres),
    })
}

/// How a feed is.
pub(crate) fn feed(health: &Health, now: Timestamp) -> Value {
    let (state, why) = match &health.state {
        State::Opening => ("opening", None),
        State::Open(_) => ("open", None),
        State::Lost { why, .. } => ("lost", Some(why.as_str())),
        State::Finished => ("finished", None),
    };
    json!({
        "feed": health.address,
        "state": state,
        "why": why,
        "bytes": health.bytes,
        "lines_per_s": health.lines_per_s(now),
        "age_s": health.age(now).map(|age| age.as_secs_f64()),
        "refused": health.causes(),
        "lost": health.lost,
    })
}

/// All feeds.
pub(crate) fn feeds<'a>(all: impl Iterator<Item = &'a Health>, now: Timestamp) -> Value {
    let feeds: Vec<Value> = all.map(|health| feed(health, now)).collect();
    json!({ "version": VERSION, "event": "feeds", "time": time(now), "feeds": feeds })
}

/// An alarm rang, fell still, or was escalated.
pub(crate) fn alarm(change: &str, alarm: &str, text: &str, at: Timestamp) -> Value {
    json!({ "version": VERSION, "event": change, "time": time(at), "alarm": alarm, "text": text })
}

/// The crew said something.
pub(crate) fn told(line: &str, answer: &str, by: &Speaker, at: Timestamp) -> Value {
    let by = by.view();
    json!({ "version": VERSION, "event": "told", "time": time(at), "line": line, "answer": answer, "by": by })
}

/// Something beside the anchor that the crew should know.
pub(crate) fn notice(code: &str, text: &str, at: Timestamp) -> Value {
    json!({ "version": VERSION, "event": "notice", "time": time(at), "code": code, "text": text })
}

fn position(at: Position) -> [f64; 2] {
    [at.latitude_deg(), at.longitude_deg()]
}

/// RFC 3339, to the millisecond.
fn time(at: Timestamp) -> String {
    format!("{at:.3}")
}
