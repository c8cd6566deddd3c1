//! What happens, as it happens: one stream of server-sent events for each page that looks.
//!
//! A stream begins with how things stand. Who reads too slowly is shown how things stand again; who does not read at
//! all is let go. A tick every two seconds, which tells the boat's time, is the sign that the boat is there at all.

use std::collections::BTreeMap;
use std::convert::Infallible;
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

use axum::Extension;
use axum::body::{Body, Bytes};
use axum::extract::State;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use serde_json::{Value, json};
use tokio::sync::broadcast::error::RecvError;
use tokio::sync::mpsc::{Sender, channel};
use tokio_stream::StreamExt;
use tokio_stream::wrappers::ReceiverStream;

use super::asked::off;
use super::guard::Caller;
use super::refusal::Refusal;
use super::watch_room;
use super::{Server, Shared};
use crate::store::papers::Kind;

/// Between two signs of life.
const TICK: Duration = Duration::from_secs(2);
/// Pieces that may wait for a device beside what its connection holds.
const WAITING: usize = 16;
/// A device that takes nothing for so long is let go.
const TAKES_WITHIN: Duration = Duration::from_secs(30);
/// Streams at a time.
const MOST_STREAMS: usize = 200;
/// Streams of one device: tabs that were forgotten.
const MOST_OF_ONE: usize = 20;

/// Streams by device.
#[derive(Debug, Default)]
pub(crate) struct Streams {
    open: Mutex<BTreeMap<String, usize>>,
}

impl Streams {
    /// How many a device has open.
    pub(crate) fn of(&self, device: &str) -> usize {
        self.open.lock().unwrap_or_else(PoisonError::into_inner).get(device).copied().unwrap_or(0)
    }

    fn enter(self: &Arc<Self>, device: &str, most_of_one: usize) -> Option<Place> {
        let mut open = self.open.lock().unwrap_or_else(PoisonError::into_inner);
        let all: usize = open.values().sum();
        let own = open.get(device).copied().unwrap_or(0);
        if MOST_STREAMS <= all || most_of_one <= own {
            return None;
        }
        open.insert(device.to_owned(), own + 1);
        Some(Place { streams: Arc::clone(self), device: device.to_owned() })
    }
}

/// A stream's place among all; it is given back when the stream is gone.
struct Place {
    streams: Arc<Streams>,
    device: String,
}

impl Drop for Place {
    fn drop(&mut self) {
        let mut open = self.streams.open.lock().unwrap_or_else(PoisonError::into_inner);
        let left = open.get(&self.device).copied().unwrap_or(0).saturating_sub(1);
        if left == 0 {
            open.remove(&self.device);
        } else {
            open.insert(self.device.clone(), left);
        }
    }
}

/// The stream.
pub(crate) async fn live(
    State(server): State<Shared>,
    Extension(caller): Extension<Caller>,
) -> Result<Response, Refusal> {
    // The boat's own computer may show as many pages as there is room for.
    let most = if caller.device.is_some() { MOST_OF_ONE } else { MOST_STREAMS };
    let place = server.streams.enter(&caller.id(), most);
    let place = place.ok_or_else(|| {
        Refusal::new(StatusCode::TOO_MANY_REQUESTS, "too many pages look on already (close some)")
    })?;
    let (to, from) = channel::<Bytes>(WAITING);
    tokio::spawn(async move {
        let _place = place;
        told(&server, &caller, &to).await;
    });
    let body = Body::from_stream(ReceiverStream::new(from).map(Ok::<Bytes, Infallible>));
    let head = [
        (header::CONTENT_TYPE, "text/event-stream"),
        (header::CACHE_CONTROL, "no-store"),
        // What stands between must pass each piece on at once.
        (header::HeaderName::from_static("x-accel-buffering"), "no"),
    ];
    Ok((head, body).into_response())
}

fn piece(id: u64, name: &str, data: &str) -> Bytes {
    format!("id: {id}\nevent: {name}\ndata: {data}\n\n").into()
}

/// Gives a piece; `false` when the device is gone or takes nothing.
async fn give(to: &Sender<Bytes>, piece: Bytes) -> bool {
    matches!(tokio::time::timeout(TAKES_WITHIN, to.send(piece)).await, Ok(Ok(())))
}

async fn told(server: &Shared, caller: &Caller, to: &Sender<Bytes>) {
    let mut events = server.hub.listen();
    let mut stopping = server.stopping.subscribe();
    let mut ticks = tokio::time::interval(TICK);
    ticks.set_missed_tick_behavior(tokio::time::MissedTickBehavior::Delay);
    if !give(to, snapshot(server).await).await {
        return;
    }
    loop {
        let piece = tokio::select! {
            biased;
            () = until_stopped(&mut stopping) => return,
            event = events.recv() => match event {
                Ok(event) => {
                    if strikes_off(&event.name, &event.data, caller) {
                        return;
                    }
                    piece(event.id, &event.name, &event.data)
                }
                Err(RecvError::Lagged(_)) => snapshot(server).await,
                Err(RecvError::Closed) => return,
            },
            _ = ticks.tick() => tick(server),
            () = to.closed() => return,
        };
        if !give(to, piece).await {
            return;
        }
    }
}

async fn until_stopped(stopping: &mut tokio::sync::watch::Receiver<bool>) {
    // A server that is gone has stopped.
    let _ = stopping.wait_for(|stopping| *stopping).await;
}

fn tick(server: &Server) -> Bytes {
    let time = format!("{:.3}", server.clock.now());
    let data = json!({ "version": 1, "time": time, "speed": server.speed });
    piece(server.hub.next_number().saturating_sub(1), "tick", &data.to_string())
}

/// Whether an event tells that this very device was struck off.
fn strikes_off(name: &str, data: &str, caller: &Caller) -> bool {
    let Some(device) = caller.device.as_ref().filter(|_| name == "changed") else { return false };
    let told: Option<Value> = serde_json::from_str(data).ok();
    told.is_some_and(|told| {
        told["what"] == "devices" && told["revision"] == -1 && told["id"] == device.id.as_str()
    })
}

/// How things stand.
async fn snapshot(server: &Shared) -> Bytes {
    let id = server.hub.next_number().saturating_sub(1);
    let read = Arc::clone(server);
    let lists = off(move || {
        let list = |kind| -> Result<Value, Refusal> {
            let lines = read.papers.lines(kind)?;
            Ok(lines.iter().map(|line| json!({ "id": line.id, "revision": line.revision })).collect())
        };
        Ok((list(Kind::Vessel)?, list(Kind::Stay)?))
    });
    let (vessels, stays) = lists.await.unwrap_or((Value::Null, Value::Null));
    let data = json!({
        "version": 1,
        "time": format!("{:.3}", server.clock.now()),
        "speed": server.speed,
        "watch": watch_room::view(server),
        "vessels": vessels,
        "stays": stays,
    });
    piece(id, "snapshot", &data.to_string())
}
