//! The watch over HTTP: how it stands, what the crew say to it, who has it, and what it has kept.

use std::sync::PoisonError;
use std::sync::mpsc::sync_channel;
use std::time::Duration;

use axum::Extension;
use axum::body::Body;
use axum::extract::{Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use jiff::Timestamp;
use serde::Deserialize;
use serde_json::{Value, json};
use windrode_domain::position::Position;
use windrode_domain::units::Length;

use super::asked::{self, off};
use super::guard::Caller;
use super::refusal::{Json, Refusal};
use super::{Server, Shared};
use crate::arming::{self, Texts};
use crate::assemble::watch::{ToldBeside, given};
use crate::cli::arguments::instant;
use crate::quantity;
use crate::store::looking;
use crate::store::looking::hours::{self, Hours, Piece};
use crate::telling::{self, Speaker};
use crate::watchkeeper::inbox::{Letter, Taking};

/// How long the keeper may take to answer: a commit to a slow card, and more.
const ANSWER_WITHIN: Duration = Duration::from_secs(30);
/// What the record holds of who has the watch.
const WATCHER: &str = "watcher";
/// The longest that is said to the watch.
const LONGEST_LINE: usize = 1000;
/// Places of a track that are read at the most: a week of one each second moved.
const MOST_PLACES: usize = 200_000;
/// Kinds of instruments that are told over hours, as the record names them.
const HOURS_OF: [&str; 3] = ["depth_m", "wind_ms", "battery_v"];
/// Pieces of each: one a pixel of a telephone.
const MOST_PIECES: i64 = 400;
/// How far a thinned track may lie off the places that it leaves out, where not told, m: a third of a receiver's error.
const TOLERANCE_M: f64 = 1.0;

/// Who has the watch.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Watcher {
    device: String,
    name: String,
    since: Timestamp,
}

/// Who has it, and to whom it is offered.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Hands {
    has: Option<Watcher>,
    offered_to: Option<String>,
}

impl Watcher {
    fn view(&self) -> Value {
        json!({ "device": self.device, "name": self.name, "since": format!("{:.3}", self.since) })
    }

    fn of(text: &str) -> Option<Self> {
        let told: Value = serde_json::from_str(text).ok()?;
        Some(Self {
            device: told["device"].as_str()?.to_owned(),
            name: told["name"].as_str()?.to_owned(),
            since: told["since"].as_str()?.parse().ok()?,
        })
    }
}

impl Hands {
    /// As it was left.
    pub(crate) fn remembered(server_kept: Option<&str>) -> Self {
        Self { has: server_kept.and_then(Watcher::of), offered_to: None }
    }
}

/// How the watch stands, for everybody.
pub(crate) fn view(server: &Server) -> Value {
    let shown = server.hub.shown();
    let hands = server.hands.lock().unwrap_or_else(PoisonError::into_inner).clone();
    let kept = shown.stay.is_some();
    json!({
        "version": 1,
        "time": format!("{:.3}", server.clock.now()),
        "stay": shown.stay.as_ref().map(|(id, name)| {
            json!({ "id": document_of(id), "watch": id, "name": name, "zone": shown.zone })
        }),
        "view": shown.view,
        "feeds": shown.feeds.get("feeds").cloned().unwrap_or_else(|| json!([])),
        "instruments": if shown.instruments.is_null() { json!({}) } else { shown.instruments.clone() },
        "who": hands.has.as_ref().filter(|_| kept).map(Watcher::view),
        "offered_to": hands.offered_to.filter(|_| kept),
        "expected": *shown.expected,
        "next": *shown.next,
    })
}

/// A watch is called by its stay's document, and numbered from the second on: `corrant-bay`, `corrant-bay.2`.
pub(crate) fn document_of(watch: &str) -> &str {
    watch.split_once('.').map_or(watch, |(document, _)| document)
}

fn free_watch(document: &str, taken: &[String]) -> String {
    let mut numbered = (2..).map(|number: u32| format!("{document}.{number}"));
    let first = std::iter::once(document.to_owned());
    first.chain(&mut numbered).find(|id| !taken.contains(id)).unwrap_or_default()
}

/// The watch.
pub(crate) async fn get(State(server): State<Shared>) -> Json {
    Json(view(&server))
}

/// A watch is to be taken.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Take {
    stay: String,
    drop: Option<[f64; 2]>,
    rode: Option<String>,
}

impl Take {
    fn beside(&self, battery_v: Option<f64>) -> Result<ToldBeside, Refusal> {
        let drop = match self.drop {
            None => None,
            Some([lat, lon]) => {
                Some(Position::new(lat, lon).map_err(|error| Refusal::unfit("drop", error.to_string()))?)
            }
        };
        let rode = match &self.rode {
            None => None,
            Some(text) => {
                let length = quantity::LENGTH.read(text).map(Length::metres);
                let length = length.map_err(|error| Refusal::unfit("rode", error.to_string()))?;
                if !(Length::ZERO < length) {
                    return Err(Refusal::unfit("rode", "wanted a length, more than nothing"));
                }
                Some(length)
            }
        };
        Ok(ToldBeside { drop, rode, battery_v })
    }
}

/// Takes the watch of a stay.
pub(crate) async fn take(
    State(server): State<Shared>,
    Extension(caller): Extension<Caller>,
    body: Body,
) -> Result<Response, Refusal> {
    let asked: Take = asked::json(body).await?;
    off(move || {
        let beside = asked.beside(server.battery_v)?;
        let kept = server.kept(&asked.stay)?;
        let plan = server.plan(&asked.stay)?;
        let given = given(&plan.inputs, &plan.sheet, beside, server.clock.now());
        let vessel = kept.vessel.map(|vessel| vessel.text).unwrap_or_default();
        let texts = Texts { stay: kept.stay.text, vessel };
        let id = free_watch(&asked.stay, &looking::stay_ids(&server.directory)?);
        let ready = arming::newly(id, &plan.aboard, texts, given);
        let (answer, answered) = sync_channel(1);
        if !server.inbox.put(Letter::Take(Box::new(Taking { ready, answer }))) {
            return Err(Refusal::busy("the keeper does not answer"));
        }
        match answered.recv_timeout(ANSWER_WITHIN) {
            Ok(Ok(line)) => {
                server.give_watch_to(&caller);
                server.tell_changed("watch", &asked.stay, 0);
                Ok((StatusCode::CREATED, Json(json!({ "version": 1, "answer": line }))).into_response())
            }
            Ok(Err(why)) => Err(Refusal::new(StatusCode::CONFLICT, why)),
            Err(_) => Err(Refusal::busy("the keeper does not answer")),
        }
    })
    .await
}

impl Server {
    fn give_watch_to(&self, caller: &Caller) {
        let Speaker { device, name } = caller.speaker();
        self.watch_is_with(Some(Watcher { device, name, since: self.clock.now() }));
    }

    fn watch_is_with(&self, watcher: Option<Watcher>) {
        let told = watcher.as_ref().map_or(Value::Null, Watcher::view);
        if let Err(error) = self.papers.keep(WATCHER, &told.to_string()) {
            let text = format!("who has the watch is not on disk: {error}");
            self.inbox.put(Letter::Trouble { code: "watcher_not_kept", text });
        }
        let mut hands = self.hands.lock().unwrap_or_else(PoisonError::into_inner);
        *hands = Hands { has: watcher, offered_to: None };
    }

    /// Whether a stay is watched, was, or never.
    pub(crate) fn watched(&self, document: &str) -> &'static str {
        let now = self.hub.shown().stay.as_ref().map(|(id, _)| document_of(id).to_owned());
        if now.as_deref() == Some(document) {
            return "kept";
        }
        let known = looking::stay_ids(&self.directory).unwrap_or_default();
        if known.iter().any(|id| document_of(id) == document) { "over" } else { "none" }
    }
}

/// Something is said to the watch.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Words {
    line: String,
}

/// Says something to the watch.
pub(crate) async fn words(
    State(server): State<Shared>,
    Extension(caller): Extension<Caller>,
    body: Body,
) -> Result<Json, Refusal> {
    let Words { line } = asked::json(body).await?;
    if LONGEST_LINE < line.len() || line.contains(['\n', '\r']) {
        return Err(Refusal::unfit("line", format!("wanted one line of {LONGEST_LINE} bytes at most")));
    }
    off(move || {
        let answer = telling::ask(&server.inbox, line, caller.speaker());
        if answer == telling::NO_ANSWER {
            return Err(Refusal::busy(answer));
        }
        Ok(Json(json!({ "version": 1, "answer": answer })))
    })
    .await
}

/// The watch is handed over.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Handing {
    to: String,
}

/// Offers the watch to another device: the first tap.
pub(crate) async fn hand(State(server): State<Shared>, body: Body) -> Result<Json, Refusal> {
    let Handing { to } = asked::json(body).await?;
    off(move || {
        let known = to == telling::HERE || server.papers.devices()?.iter().any(|device| device.id == to);
        if !known {
            return Err(Refusal::unfit("to", "is no device that is paired"));
        }
        if server.hub.shown().stay.is_none() {
            return Err(Refusal::new(StatusCode::CONFLICT, "no watch is kept"));
        }
        server.hands.lock().unwrap_or_else(PoisonError::into_inner).offered_to = Some(to.clone());
        server.tell_changed("watch", &to, 0);
        Ok(Json(json!({ "version": 1, "offered_to": to })))
    })
    .await
}

/// Takes the watch that was offered: the second tap.
pub(crate) async fn take_over(
    State(server): State<Shared>,
    Extension(caller): Extension<Caller>,
) -> Result<Json, Refusal> {
    off(move || {
        let offered = server.hands.lock().unwrap_or_else(PoisonError::into_inner).offered_to.clone();
        if offered.as_deref() != Some(caller.id().as_str()) {
            return Err(Refusal::new(StatusCode::CONFLICT, "the watch was not offered to this device"));
        }
        server.give_watch_to(&caller);
        server.tell_changed("watch", &caller.id(), 0);
        Ok(Json(view(&server)))
    })
    .await
}

/// Gives up the watch that this device has: from then on nobody has it, and every device shows so.
pub(crate) async fn give_up(
    State(server): State<Shared>,
    Extension(caller): Extension<Caller>,
) -> Result<Json, Refusal> {
    off(move || {
        let hands = server.hands.lock().unwrap_or_else(PoisonError::into_inner).clone();
        if hands.has.is_none_or(|has| has.device != caller.id()) {
            return Err(Refusal::new(StatusCode::CONFLICT, "this device does not have the watch"));
        }
        server.watch_is_with(None);
        server.tell_changed("watch", &caller.id(), 0);
        Ok(Json(view(&server)))
    })
    .await
}

/// Which part of a record.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Part {
    stay: Option<String>,
    from: Option<String>,
    to: Option<String>,
    tolerance_m: Option<f64>,
}

impl Part {
    fn span(&self) -> Result<(Timestamp, Timestamp), Refusal> {
        let at = |field: &str, text: &Option<String>, otherwise: Timestamp| match text {
            Some(text) => instant(text).map_err(|why| Refusal::unfit(field, why)),
            None => Ok(otherwise),
        };
        Ok((at("from", &self.from, Timestamp::MIN)?, at("to", &self.to, Timestamp::MAX)?))
    }

    /// The watch that is asked for: the one that is kept, where none is named.
    fn watch(&self, server: &Server) -> Result<String, Refusal> {
        let shown = server.hub.shown();
        let kept = shown.stay.as_ref().map(|(id, _)| id.clone());
        match &self.stay {
            None => kept.ok_or_else(|| Refusal::missing("watch that is kept (name a stay)")),
            // The last of its watches.
            Some(document) => looking::stay_ids(&server.directory)?
                .into_iter()
                .find(|id| document_of(id) == document)
                .ok_or_else(|| Refusal::missing("watch of such a stay")),
        }
    }
}

/// What the instruments said over a span.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Spell {
    stay: Option<String>,
    from: Option<String>,
    to: Option<String>,
}

/// Water, wind and battery as they were measured, thinned by the rule of [`mod@hours`].
pub(crate) async fn hours(State(server): State<Shared>, Query(spell): Query<Spell>) -> Result<Json, Refusal> {
    off(move || {
        let Spell { stay, from, to } = spell;
        let part = Part { stay, from, to, tolerance_m: None };
        let (span, watch) = (part.span()?, part.watch(&server)?);
        let Hours { every_s, pieces: [water, wind, battery] } =
            hours::hours(&server.directory, &watch, span, HOURS_OF, MOST_PIECES)?;
        let list = |pieces: Vec<Piece>| -> Vec<Value> {
            let each = |it: Piece| json!([format!("{:.0}", it.from), it.least, it.mean, it.greatest]);
            pieces.into_iter().map(each).collect()
        };
        Ok(Json(json!({
            "version": 1,
            "watch": watch,
            "every_s": every_s,
            "water_m": list(water),
            "wind_ms": list(wind),
            "battery_v": list(battery),
        })))
    })
    .await
}

/// Where she was, thinned.
pub(crate) async fn track(State(server): State<Shared>, Query(part): Query<Part>) -> Result<Json, Refusal> {
    off(move || {
        let (from, to) = part.span()?;
        let tolerance_m = part.tolerance_m.unwrap_or(TOLERANCE_M);
        if !(0.0..=1000.0).contains(&tolerance_m) {
            return Err(Refusal::unfit("tolerance_m", "wanted metres from 0 to 1000"));
        }
        let watch = part.watch(&server)?;
        let places = looking::track(&server.directory, &watch, (from, to), MOST_PLACES)?;
        let all = places.len();
        let thinned: Vec<Value> = thin(&places, tolerance_m)
            .into_iter()
            .map(|place| {
                json!([
                    format!("{:.3}", place.at),
                    place.at_place.latitude_deg(),
                    place.at_place.longitude_deg()
                ])
            })
            .collect();
        Ok(Json(
            json!({ "version": 1, "watch": watch, "tolerance_m": tolerance_m, "of": all, "points": thinned }),
        ))
    })
    .await
}

/// The fewest places of a track, of those that were kept, from whose line none lies farther than a tolerance (the
/// method of Douglas and Peucker, The Canadian Cartographer 10, 1973).
fn thin(places: &[looking::Place], tolerance_m: f64) -> Vec<looking::Place> {
    let Some(first) = places.first() else { return Vec::new() };
    let plane: Vec<[f64; 2]> = places
        .iter()
        .map(|place| {
            let off = first.at_place.offset_of(place.at_place);
            [off.east_m, off.north_m]
        })
        .collect();
    let mut kept = vec![false; places.len()];
    let mut open = vec![(0, places.len() - 1)];
    while let Some((from, to)) = open.pop() {
        for end in [from, to] {
            if let Some(kept) = kept.get_mut(end) {
                *kept = true;
            }
        }
        let (Some(a), Some(b)) = (plane.get(from), plane.get(to)) else { continue };
        let away = |index: usize| plane.get(index).map_or(0.0, |p| from_line_m(*p, *a, *b));
        let far = (from + 1..to).max_by(|one, other| away(*one).total_cmp(&away(*other)));
        if let Some(far) = far.filter(|far| tolerance_m < away(*far)) {
            open.push((from, far));
            open.push((far, to));
        }
    }
    places.iter().zip(kept).filter(|(_, kept)| *kept).map(|(place, _)| *place).collect()
}

/// Distance of a point from a piece of a line.
fn from_line_m(p: [f64; 2], a: [f64; 2], b: [f64; 2]) -> f64 {
    let (along, off) = ([b[0] - a[0], b[1] - a[1]], [p[0] - a[0], p[1] - a[1]]);
    let squared = along[0] * along[0] + along[1] * along[1];
    let share = if 0.0 < squared { (along[0] * off[0] + along[1] * off[1]) / squared } else { 0.0 };
    let share = share.clamp(0.0, 1.0);
    (off[0] - share * along[0]).hypot(off[1] - share * along[1])
}

/// Every alarm that rang or fell still, and what the crew said.
pub(crate) async fn alarms(State(server): State<Shared>, Query(part): Query<Part>) -> Result<Json, Refusal> {
    off(move || {
        let span = part.span()?;
        let watch = part.watch(&server)?;
        let alarms = looking::alarms(&server.directory, &watch, span)?;
        let words = looking::words(&server.directory, &watch, span)?;
        Ok(Json(json!({ "version": 1, "watch": watch, "alarms": alarms, "words": words })))
    })
    .await
}

/// Vessels near by.
pub(crate) async fn neighbours(State(server): State<Shared>) -> Json {
    let shown = server.hub.shown();
    Json(json!({ "version": 1, "neighbours": *shown.neighbours, "paths": *shown.paths }))
}

/// Where she can lie, and how well the anchor's place is known.
pub(crate) async fn density(State(server): State<Shared>) -> Json {
    let shown = server.hub.shown();
    Json(json!({ "version": 1, "density": *shown.density }))
}

/// Who had the watch when the program stopped.
pub(crate) fn watcher_kept(papers: &crate::store::papers::Papers) -> Hands {
    Hands::remembered(papers.kept(WATCHER).ok().flatten().as_deref())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn place(second: i64, east_m: f64, north_m: f64) -> looking::Place {
        let origin = Position::new(41.0, 174.0).expect("a place");
        let at_place = origin.plus(windrode_domain::position::Offset { east_m, north_m });
        looking::Place { at: Timestamp::from_second(second).expect("a time"), at_place }
    }

    #[test]
    fn a_thinned_track_leaves_out_no_place_farther_off_than_its_tolerance() {
        let places: Vec<looking::Place> = (0..500)
            .map(|second| {
                let turn = second as f64 * 0.02;
                place(second, 30.0 * turn.sin(), 12.0 * (2.3 * turn).cos())
            })
            .collect();
        for tolerance_m in [0.5, 2.0, 10.0] {
            let thinned = thin(&places, tolerance_m);
            assert!(thinned.len() < places.len());
            assert_eq!((thinned.first(), thinned.last()), (places.first(), places.last()));
            let plane = |place: &looking::Place| {
                let off = places[0].at_place.offset_of(place.at_place);
                [off.east_m, off.north_m]
            };
            for left_out in &places {
                let nearest = thinned
                    .windows(2)
                    .map(|pair| from_line_m(plane(left_out), plane(&pair[0]), plane(&pair[1])))
                    .fold(f64::INFINITY, f64::min);
                assert!(nearest <= tolerance_m + 1e-6, "{nearest}");
            }
        }
        assert_eq!(thin(&[], 1.0), []);
        assert_eq!(thin(&places[..1], 1.0).len(), 1);
    }

    #[test]
    fn a_stay_watched_again_is_numbered() {
        let taken = ["a".to_owned(), "a.2".to_owned(), "b".to_owned()];
        assert_eq!(free_watch("a", &taken), "a.3");
        assert_eq!(free_watch("c", &taken), "c");
        assert_eq!(document_of("a.2"), "a");
    }
}
