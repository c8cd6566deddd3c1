//! What can be asked: method, path, the role it wants, and who answers. The document of the API names the same.

use std::sync::Arc;

use axum::Router;
use axum::body::{Body, HttpBody, to_bytes};
use axum::extract::{Path as At, Request, State};
use axum::http::{HeaderValue, Method, StatusCode, Uri, header};
use axum::middleware::{Next, from_fn, from_fn_with_state};
use axum::response::{IntoResponse, Response};
use axum::routing::{MethodRouter, delete, get, post, put};

use super::guard::{self, Door};
use super::refusal::Refusal;
use super::{Shared, devices, documents, live, page, reckon, sheets, tls, watch_room};
use crate::recording::gzip;
use crate::store::papers::{Kind, Role};

/// One thing that can be asked.
pub(crate) struct Route {
    /// How.
    #[cfg_attr(not(test), expect(dead_code, reason = "the document is held against it"))]
    pub(crate) method: Method,
    /// Where.
    pub(crate) path: &'static str,
    /// The least role that may; nothing where nobody need be known.
    pub(crate) role: Option<Role>,
    answers: MethodRouter<Shared>,
}

fn route(method: Method, path: &'static str, role: Option<Role>, answers: MethodRouter<Shared>) -> Route {
    Route { method, path, role, answers }
}
fn looks(path: &'static str, answers: MethodRouter<Shared>) -> Route {
    route(Method::GET, path, Some(Role::Look), answers)
}
fn acts(method: Method, path: &'static str, answers: MethodRouter<Shared>) -> Route {
    route(method, path, Some(Role::Act), answers)
}
/// What changes nothing may be asked by who may look, though it brings a body.
fn reckons(path: &'static str, answers: MethodRouter<Shared>) -> Route {
    route(Method::POST, path, Some(Role::Look), answers)
}

/// Documents of one kind: the same paths for both.
macro_rules! documents {
    ($kind:expr, $all:literal, $one:literal, $file:literal) => {
        [
            looks($all, get(|State(server): State<Shared>| documents::list(server, $kind))),
            acts(
                Method::POST,
                $all,
                post(|State(server): State<Shared>, body| documents::post(server, $kind, body)),
            ),
            looks(
                $one,
                get(|State(server): State<Shared>, At(id): At<String>| documents::get(server, $kind, id)),
            ),
            acts(
                Method::PUT,
                $one,
                put(|State(server): State<Shared>, At(id): At<String>, body| {
                    documents::put(server, $kind, id, body)
                }),
            ),
            acts(
                Method::DELETE,
                $one,
                delete(|State(server): State<Shared>, At(id): At<String>| {
                    documents::delete(server, $kind, id)
                }),
            ),
            looks(
                $file,
                get(|State(server): State<Shared>, At(id): At<String>| documents::file(server, $kind, id)),
            ),
        ]
    };
}

/// All that can be asked.
pub(crate) fn table() -> Vec<Route> {
    let vessels =
        documents!(Kind::Vessel, "/api/v1/vessels", "/api/v1/vessels/{id}", "/api/v1/vessels/{id}/file.toml");
    let stays = documents!(Kind::Stay, "/api/v1/stays", "/api/v1/stays/{id}", "/api/v1/stays/{id}/file.toml");
    vessels
        .into_iter()
        .chain(stays)
        .chain(of_stays())
        .chain(of_watch())
        .chain(of_devices())
        .chain(of_reckoning())
        .collect()
}

fn of_stays() -> Vec<Route> {
    const ATTACHMENT: &str = "/api/v1/stays/{id}/attachments/{name}";
    vec![
        looks(ATTACHMENT, get(documents::get_attachment)),
        acts(Method::PUT, ATTACHMENT, put(documents::put_attachment)),
        acts(Method::DELETE, ATTACHMENT, delete(documents::delete_attachment)),
        looks("/api/v1/stays/{id}/sheet", get(sheets::sheet)),
        looks("/api/v1/stays/{id}/sheet.pdf", get(sheets::sheet_pdf)),
        looks("/api/v1/stays/{id}/sheet.html", get(sheets::sheet_html)),
        looks("/api/v1/stays/{id}/drawing.svg", get(sheets::drawing)),
        looks("/api/v1/stays/{id}/explain", get(sheets::explained)),
        looks("/api/v1/stays/{id}/moment", get(sheets::at_moment)),
        looks("/api/v1/stays/{id}/pictures", get(sheets::drawn)),
        acts(Method::POST, "/api/v1/stays/{id}/apply", post(sheets::apply)),
        reckons("/api/v1/try", post(sheets::tried)),
        looks("/api/v1/choices", get(documents::choices)),
    ]
}

fn of_watch() -> Vec<Route> {
    vec![
        looks("/api/v1/watch", get(watch_room::get)),
        acts(Method::POST, "/api/v1/watch", post(watch_room::take)),
        acts(Method::POST, "/api/v1/watch/words", post(watch_room::words)),
        acts(Method::POST, "/api/v1/watch/hand", post(watch_room::hand)),
        acts(Method::POST, "/api/v1/watch/take", post(watch_room::take_over)),
        acts(Method::POST, "/api/v1/watch/give_up", post(watch_room::give_up)),
        looks("/api/v1/watch/hours", get(watch_room::hours)),
        looks("/api/v1/watch/track", get(watch_room::track)),
        looks("/api/v1/watch/alarms", get(watch_room::alarms)),
        looks("/api/v1/watch/neighbours", get(watch_room::neighbours)),
        looks("/api/v1/watch/density", get(watch_room::density)),
        looks("/api/v1/live", get(live::live)),
    ]
}

fn of_devices() -> Vec<Route> {
    vec![
        route(Method::GET, "/api/v1/me", None, get(devices::me)),
        route(Method::POST, "/api/v1/pair", None, post(devices::pair)),
        route(Method::GET, "/api/v1/openapi.json", None, get(openapi)),
        acts(Method::POST, "/api/v1/devices/codes", post(devices::make_code)),
        looks("/api/v1/devices", get(devices::list)),
        acts(Method::DELETE, "/api/v1/devices/{id}", delete(devices::strike_off)),
    ]
}

fn of_reckoning() -> Vec<Route> {
    vec![
        reckons("/api/v1/reckon/rode", post(reckon::rodes)),
        looks("/api/v1/reckon/tide", get(reckon::tide)),
        reckons("/api/v1/reckon/tide", post(reckon::own_tide)),
        looks("/api/v1/reckon/stations", get(reckon::stations)),
        reckons("/api/v1/reckon/wind", post(reckon::winds)),
        reckons("/api/v1/reckon/check", post(reckon::check)),
        reckons("/api/v1/reckon/replay", post(reckon::replay)),
        reckons("/api/v1/reckon/nights", post(reckon::nights)),
        reckons("/api/v1/reckon/calibration", post(reckon::calibration)),
    ]
}

/// The document of the API.
pub(crate) const OPENAPI: &str = include_str!("openapi.json");

async fn openapi() -> Response {
    super::refusal::written(OPENAPI.into())
}

/// Everything that is answered by one way in.
pub(crate) fn router(server: &Shared, door: Door) -> Router {
    let mut all = Router::new();
    for route in table() {
        let answers = match route.role {
            Some(role) => route.answers.layer(from_fn_with_state(role, guard::wants)),
            None => route.answers,
        };
        all = all.route(route.path, answers);
    }
    all.route("/ca", get(tls::page))
        .route("/ca.crt", get(tls::certificate))
        .route("/ca.mobileconfig", get(tls::profile))
        .fallback(get(page::file))
        .method_not_allowed_fallback(no_such_method)
        .layer(from_fn(refused_in_shape))
        .layer(from_fn(packed))
        .layer(from_fn_with_state((Arc::clone(server), door), guard::at_the_door))
        .with_state(Arc::clone(server))
}

async fn no_such_method(method: Method, uri: Uri) -> Refusal {
    let text = format!("{} takes no {method}", uri.path());
    Refusal::new(StatusCode::METHOD_NOT_ALLOWED, text)
}

/// A refusal that the library made (a query that does not read, a path with no letters in it) has the shape of ours.
async fn refused_in_shape(request: Request, next: Next) -> Response {
    let answer = next.run(request).await;
    let status = answer.status();
    let json = answer.headers().get(header::CONTENT_TYPE).is_some_and(|kind| kind == "application/json");
    if json || !(status.is_client_error() || status.is_server_error()) {
        return answer;
    }
    let bytes = to_bytes(answer.into_body(), 10_000).await.unwrap_or_default();
    let text = String::from_utf8_lossy(&bytes).into_owned();
    let status = if status == StatusCode::BAD_REQUEST { StatusCode::UNPROCESSABLE_ENTITY } else { status };
    Refusal::new(status, if text.is_empty() { status.to_string() } else { text }).into_response()
}

/// Answers larger than this are packed for who can unpack: a packet holds less.
const PACKED_FROM_BYTES: usize = 2000;

/// A sheet of two days is a quarter of a megabyte, a tenth of it packed.
async fn packed(request: Request, next: Next) -> Response {
    let accepted = request.headers().get(header::ACCEPT_ENCODING).and_then(|value| value.to_str().ok());
    let takes = accepted.is_some_and(page::takes_gzip);
    let answer = next.run(request).await;
    let size = answer.body().size_hint().exact().and_then(|size| usize::try_from(size).ok());
    let json = answer.headers().get(header::CONTENT_TYPE).is_some_and(|kind| kind == "application/json");
    let Some(size) = size.filter(|&size| takes && json && PACKED_FROM_BYTES < size) else { return answer };
    let (mut parts, body) = answer.into_parts();
    // The size is known, so that the body is in memory already.
    let Ok(bytes) = to_bytes(body, size).await else {
        return Refusal::ours("the answer broke off").into_response();
    };
    parts.headers.insert(header::CONTENT_ENCODING, HeaderValue::from_static("gzip"));
    parts.headers.insert(header::VARY, HeaderValue::from_static("accept-encoding"));
    parts.headers.remove(header::CONTENT_LENGTH);
    Response::from_parts(parts, Body::from(gzip::packed_fast(&bytes)))
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use serde_json::Value;

    use super::*;

    fn document() -> Value {
        serde_json::from_str(OPENAPI).expect("a document")
    }

    #[test]
    fn the_document_names_what_is_answered_and_nothing_else() {
        let word = |role: Option<Role>| role.map_or("none", Role::word).to_owned();
        let answered: BTreeSet<(String, String, String)> = table()
            .into_iter()
            .map(|route| (route.path.to_owned(), route.method.as_str().to_lowercase(), word(route.role)))
            .collect();
        let document = document();
        let paths = document["paths"].as_object().expect("paths");
        let named: BTreeSet<(String, String, String)> = paths
            .iter()
            .flat_map(|(path, methods)| methods.as_object().into_iter().flatten().map(move |it| (path, it)))
            .map(|(path, (method, operation))| {
                (path.clone(), method.clone(), operation["x-role"].as_str().unwrap_or_default().to_owned())
            })
            .collect();
        assert_eq!(answered, named);
    }

    #[test]
    fn every_reference_of_the_document_leads_somewhere() {
        let document = document();
        let mut open = vec![&document];
        let mut seen = 0;
        while let Some(value) = open.pop() {
            match value {
                Value::Object(fields) => {
                    if let Some(Value::String(to)) = fields.get("$ref") {
                        let pointer = to.strip_prefix('#').expect("within the document");
                        assert!(document.pointer(pointer).is_some(), "{to}");
                        seen += 1;
                    }
                    open.extend(fields.values());
                }
                Value::Array(list) => open.extend(list),
                _ => {}
            }
        }
        assert!(100 < seen);
    }

    #[test]
    fn what_changes_anything_wants_the_role_to_act() {
        for route in table() {
            let keeps_nothing = route.path.contains("/reckon/") || route.path == "/api/v1/try";
            if route.method != Method::GET && !keeps_nothing && route.path != "/api/v1/pair" {
                assert_eq!(route.role, Some(Role::Act), "{} {}", route.method, route.path);
            }
        }
    }
}
