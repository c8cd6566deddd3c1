//! Vessels and stays as the crew wrote them, and what is attached to a stay.
//!
//! A document is text, in the form of `docs/files.md`; a page edits it as a form, which is the same tree of keys. What
//! comes in is read by the same reader as the command line's before it is kept, and what names a vessel or a file
//! names what is kept here: no path is opened.

use std::path::Path;

use axum::body::Body;
use axum::extract::{Path as At, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use serde::Deserialize;
use serde_json::{Map, Value, json};
use toml::Table;

use super::asked::{self, MOST_FILE_BYTES, off};
use super::refusal::{Json, Refusal};
use super::{Server, Shared};
use crate::arming;
use crate::assemble;
use crate::changes;
use crate::files::choices::{self, Offered};
use crate::files::shelf::{Attached, Shelf};
use crate::files::source::{LARGEST_FILE_BYTES, Problem, Source};
use crate::files::stay::{StayFile, read_stay};
use crate::files::vessel::{VesselFile, read_vessel};
use crate::files::{self, StayAboard};
use crate::sheet_json::time;
use crate::store::papers::{Document, Kind, Line, NotReplaced};

/// Documents of one kind that are kept at the most: a boat has lain in a thousand places in her life.
const MOST_DOCUMENTS: usize = 5000;
/// Files attached to one stay.
const MOST_ATTACHED: usize = 8;
/// The longest name of an attachment.
const LONGEST_NAME: usize = 100;
/// Longest part of an id that comes from a name.
const LONGEST_SLUG: usize = 40;

/// The words that fields take, each with what it means: those by which the documents are read.
pub(crate) async fn choices() -> Json {
    let mut fields = Map::new();
    for Offered { field, words } in choices::all() {
        let words = words.into_iter().map(|(word, says)| json!({ "word": word, "says": says }));
        fields.insert(field.to_owned(), words.collect());
    }
    Json(json!({ "version": 1, "choices": fields }))
}

/// What is sent to be kept.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Sent {
    text: Option<String>,
    form: Option<Map<String, Value>>,
    revision: Option<i64>,
}

impl Sent {
    /// The text of it, made of the form where that was sent: what the crew wrote beside its fields is kept.
    fn text(&self, before: Option<&str>) -> Result<String, Refusal> {
        let text = match (&self.text, &self.form) {
            (Some(text), None) => text.clone(),
            (None, Some(form)) => {
                let table = changes::toml_of(&Value::Object(form.clone()))
                    .map_err(|why| Refusal::unfit("form", why))?;
                let Some(toml::Value::Table(table)) = table else {
                    return Err(Refusal::unfit("form", "is no table of keys"));
                };
                match before.and_then(|text| changes::rewritten(text, &table)) {
                    Some(text) => text,
                    None => text_of(&table)?,
                }
            }
            (_, _) => return Err(Refusal::bad("wanted text or form, one of them")),
        };
        if LARGEST_FILE_BYTES < text.len() as u64 {
            let most = format!("a document has at most {LARGEST_FILE_BYTES} bytes");
            return Err(Refusal::new(StatusCode::PAYLOAD_TOO_LARGE, most));
        }
        Ok(text)
    }
}

/// A document's tree as text.
fn text_of(table: &Table) -> Result<String, Refusal> {
    toml::to_string(table).map_err(|error| Refusal::unfit("form", format!("cannot be written: {error}")))
}

/// A document's text as a source whose problems are known by its kind.
pub(crate) fn source(kind: Kind, text: String) -> Source {
    Source::of_text(Path::new(kind.word()), text)
}

/// A stay with everything that it names, as it is kept.
#[derive(Debug)]
pub(crate) struct Kept {
    /// The stay.
    pub(crate) stay: Document,
    /// Her vessel, where there is such a one.
    pub(crate) vessel: Option<Document>,
    /// What is attached.
    pub(crate) attached: Attached,
}

impl Server {
    /// A stay with everything that it names.
    ///
    /// # Errors
    /// There is no such stay, or the record cannot be read.
    pub(crate) fn kept(&self, id: &str) -> Result<Kept, Refusal> {
        let stay = self.papers.document(Kind::Stay, id)?.ok_or_else(|| Refusal::missing("such stay"))?;
        let vessel = match &stay.line.vessel {
            Some(vessel) => self.papers.document(Kind::Vessel, vessel)?,
            None => None,
        };
        Ok(Kept { attached: self.papers.attached(id)?, stay, vessel })
    }

    /// What a stay's text says, aboard of the vessel that it names.
    ///
    /// # Errors
    /// Every problem of both.
    pub(crate) fn aboard(&self, stay_text: &str, vessel_text: Option<&str>) -> Result<StayAboard, Refusal> {
        let stay = read_stay(&source(Kind::Stay, stay_text.to_owned()));
        let vessel = match (&stay, vessel_text) {
            (_, Some(text)) => Some(read_vessel(&source(Kind::Vessel, text.to_owned()))),
            (Ok(stay), None) => Some(self.vessel_of(stay)?),
            (Err(_), None) => None,
        };
        files::stay_aboard(stay, vessel).map_err(|problems| Refusal::of_problems(&problems))
    }

    /// The vessel that a stay names; a name that nobody has is a problem of the stay.
    ///
    /// # Errors
    /// The record cannot be read.
    pub(crate) fn vessel_of(&self, stay: &StayFile) -> Result<Result<VesselFile, Vec<Problem>>, Refusal> {
        let id = stay.vessel.value.to_string_lossy();
        if let Some(vessel) = self.papers.document(Kind::Vessel, &id)? {
            return Ok(read_vessel(&source(Kind::Vessel, vessel.text)));
        }
        let known: Vec<String> = self.papers.lines(Kind::Vessel)?.into_iter().map(|line| line.id).collect();
        let known = if known.is_empty() { "none is kept yet".to_owned() } else { known.join(", ") };
        let text = format!("there is no vessel called \"{id}\" here (there are: {known})");
        Ok(Err(vec![stay.vessel.problem(text)]))
    }
}

/// What a list shows of a document.
fn line_view(kind: Kind, line: &Line) -> Value {
    let mut view = json!({
        "id": line.id,
        "name": line.name,
        "revision": line.revision,
        "changed": format!("{:.3}", line.changed),
    });
    if kind == Kind::Stay {
        view["vessel"] = json!(line.vessel);
        view["from"] = json!(line.span.map(|(from, _)| time(from)));
        view["to"] = json!(line.span.map(|(_, to)| time(to)));
        view["verdict"] = json!(line.verdict);
    }
    view
}

/// The whole of a document.
fn view(server: &Server, kind: Kind, document: &Document) -> Result<Value, Refusal> {
    let mut view = line_view(kind, &document.line);
    view["version"] = json!(1);
    view["text"] = json!(document.text);
    view["form"] = document.text.parse::<Table>().map_or(Value::Null, |table| changes::form(&table));
    if kind == Kind::Stay {
        let attached = server.papers.attachment_names(&document.line.id)?;
        let file = |(name, bytes): (String, u64)| json!({ "name": name, "bytes": bytes });
        view["attachments"] = attached.into_iter().map(file).collect();
        view["watch"] = json!(server.watched(&document.line.id));
    }
    Ok(view)
}

/// All of a kind.
pub(crate) async fn list(server: Shared, kind: Kind) -> Result<Json, Refusal> {
    off(move || {
        let lines = server.papers.lines(kind)?;
        let with_watch = |line: &Line| {
            let mut view = line_view(kind, line);
            if kind == Kind::Stay {
                view["watch"] = json!(server.watched(&line.id));
            }
            view
        };
        let all: Vec<Value> = lines.iter().map(with_watch).collect();
        let name = if kind == Kind::Vessel { "vessels" } else { "stays" };
        Ok(Json(json!({ "version": 1, name: all })))
    })
    .await
}

/// One.
pub(crate) async fn get(server: Shared, kind: Kind, id: String) -> Result<Json, Refusal> {
    off(move || Ok(Json(view(&server, kind, &found(&server, kind, &id)?)?))).await
}

fn found(server: &Server, kind: Kind, id: &str) -> Result<Document, Refusal> {
    let missing = || Refusal::missing(&format!("such {}", kind.word()));
    server.papers.document(kind, id)?.ok_or_else(missing)
}

/// Its text, to be taken away.
pub(crate) async fn file(server: Shared, kind: Kind, id: String) -> Result<Response, Refusal> {
    off(move || {
        let text = found(&server, kind, &id)?.text;
        // An id is made of letters, digits and hyphens.
        let named = format!("attachment; filename=\"{id}.toml\"");
        let kind = "application/toml; charset=utf-8".to_owned();
        Ok(([(header::CONTENT_TYPE, kind), (header::CONTENT_DISPOSITION, named)], text).into_response())
    })
    .await
}

/// A document that can be kept, from what was sent.
fn document(server: &Server, kind: Kind, text: String, attached: &Attached) -> Result<Document, Refusal> {
    let changed = server.clock.now();
    let bare = |id: String, name: String| Line {
        id,
        name,
        revision: 0,
        changed,
        vessel: None,
        span: None,
        verdict: None,
    };
    let line = match kind {
        Kind::Vessel => {
            let vessel =
                read_vessel(&source(kind, text.clone())).map_err(|all| Refusal::of_problems(&all))?;
            bare(slug(&vessel.name), vessel.name)
        }
        Kind::Stay => {
            let aboard = server.aboard(&text, None)?;
            check(&aboard, attached)?;
            let stay = &aboard.stay;
            Line {
                vessel: Some(stay.vessel.value.to_string_lossy().into_owned()),
                span: Some((stay.span.from(), stay.span.to())),
                ..bare(arming::base_id(&aboard), stay.name.clone())
            }
        }
    };
    Ok(Document { line, text })
}

/// What a plan would refuse is refused here, but for files that may still be attached.
fn check(aboard: &StayAboard, attached: &Attached) -> Result<(), Refusal> {
    let Err(problems) = assemble::inputs_from(aboard, Shelf::Kept(attached)) else { return Ok(()) };
    let may_come = |problem: &Problem| {
        ["wind.forecast", "tide.constants"].contains(&problem.field.as_str())
            && problem.text.contains("is not attached")
    };
    let problems: Vec<Problem> = problems.into_iter().filter(|problem| !may_come(problem)).collect();
    if problems.is_empty() { Ok(()) } else { Err(Refusal::of_problems(&problems)) }
}

fn slug(name: &str) -> String {
    let plain = |c: char| if c.is_ascii_alphanumeric() { c.to_ascii_lowercase() } else { '-' };
    let plain: String = name.chars().map(plain).take(LONGEST_SLUG).collect();
    let words: Vec<&str> = plain.split('-').filter(|word| !word.is_empty()).collect();
    if words.is_empty() { "vessel".to_owned() } else { words.join("-") }
}

/// A new one.
pub(crate) async fn post(server: Shared, kind: Kind, body: Body) -> Result<Response, Refusal> {
    let sent: Sent = asked::json(body).await?;
    off(move || {
        if MOST_DOCUMENTS <= server.papers.lines(kind)?.len() {
            return Err(Refusal::busy(format!("{MOST_DOCUMENTS} are kept already (remove some)")));
        }
        let mut document = document(&server, kind, sent.text(None)?, &Attached::new())?;
        document.line = server.papers.insert(kind, document.clone())?;
        server.fit_out()?;
        server.tell_changed(kind.word(), &document.line.id, document.line.revision);
        Ok((StatusCode::CREATED, Json(view(&server, kind, &document)?)).into_response())
    })
    .await
}

/// One written over.
pub(crate) async fn put(server: Shared, kind: Kind, id: String, body: Body) -> Result<Json, Refusal> {
    let sent: Sent = asked::json(body).await?;
    off(move || {
        let revision =
            sent.revision.ok_or_else(|| Refusal::bad("revision: wanted, the one that was read last"))?;
        let before = found(&server, kind, &id)?;
        let text = sent.text(Some(&before.text))?;
        server.replace(kind, &id, revision, text)
    })
    .await
}

impl Server {
    /// Writes a document over, if it is still what its writer saw.
    ///
    /// # Errors
    /// It is not, or the text cannot be kept.
    pub(crate) fn replace(&self, kind: Kind, id: &str, revision: i64, text: String) -> Result<Json, Refusal> {
        let before = found(self, kind, id)?;
        if before.line.revision != revision {
            return Err(Refusal::changed(before.line.revision));
        }
        let attached = match kind {
            Kind::Stay => self.papers.attached(id)?,
            Kind::Vessel => Attached::new(),
        };
        let mut document = document(self, kind, text, &attached)?;
        id.clone_into(&mut document.line.id);
        document.line.revision = revision;
        document.line = match self.papers.replace(kind, document.clone())? {
            Ok(line) => line,
            Err(not) => return Err(refused(not)),
        };
        self.fit_out()?;
        self.tell_changed(kind.word(), id, document.line.revision);
        Ok(Json(view(self, kind, &document)?))
    }
}

fn refused(not: NotReplaced) -> Refusal {
    match not {
        NotReplaced::Missing => Refusal::missing("such document"),
        NotReplaced::Changed(revision) => Refusal::changed(revision),
        NotReplaced::Named(by) => Refusal::new(
            StatusCode::CONFLICT,
            format!("these stays name her: {} (let them name another, or remove them)", by.join(", ")),
        ),
    }
}

/// One removed.
pub(crate) async fn delete(server: Shared, kind: Kind, id: String) -> Result<Json, Refusal> {
    off(move || {
        if kind == Kind::Stay && server.watched(&id) == "kept" {
            return Err(Refusal::new(StatusCode::CONFLICT, "her watch is being kept (end it first)"));
        }
        server.papers.remove(kind, &id)?.map_err(refused)?;
        server.tell_changed(kind.word(), &id, 0);
        Ok(Json(json!({ "version": 1, "id": id })))
    })
    .await
}

/// Bytes attached to a stay.
pub(crate) async fn put_attachment(
    State(server): State<Shared>,
    At((id, name)): At<(String, String)>,
    body: Body,
) -> Result<Json, Refusal> {
    let plain = |c: char| c.is_ascii_alphanumeric() || "._- ".contains(c);
    if name.is_empty() || LONGEST_NAME < name.len() || !name.chars().all(plain) || name.starts_with('.') {
        return Err(Refusal::unfit("name", "wanted letters, digits, dots, hyphens and spaces, 100 at most"));
    }
    let bytes = asked::whole(body, MOST_FILE_BYTES).await?;
    off(move || {
        let there = server.papers.attachment_names(&id)?;
        if MOST_ATTACHED <= there.len() && there.iter().all(|(known, _)| *known != name) {
            return Err(Refusal::busy(format!("{MOST_ATTACHED} files are attached already (remove one)")));
        }
        let revision = server.papers.attach(&id, &name, Some(&bytes), server.clock.now())?;
        let revision = revision.ok_or_else(|| Refusal::missing("such stay"))?;
        server.tell_changed("stay", &id, revision);
        Ok(Json(json!({ "version": 1, "id": id, "name": name, "bytes": bytes.len(), "revision": revision })))
    })
    .await
}

/// What is attached under a name.
pub(crate) async fn get_attachment(
    State(server): State<Shared>,
    At((id, name)): At<(String, String)>,
) -> Result<Response, Refusal> {
    off(move || {
        let bytes =
            server.papers.attachment(&id, &name)?.ok_or_else(|| Refusal::missing("such attachment"))?;
        let head =
            [(header::CONTENT_TYPE, "application/octet-stream"), (header::CONTENT_DISPOSITION, "attachment")];
        Ok((head, bytes).into_response())
    })
    .await
}

/// Takes an attachment off.
pub(crate) async fn delete_attachment(
    State(server): State<Shared>,
    At((id, name)): At<(String, String)>,
) -> Result<Json, Refusal> {
    off(move || {
        let revision = server.papers.attach(&id, &name, None, server.clock.now())?;
        let revision = revision.ok_or_else(|| Refusal::missing("such attachment"))?;
        server.tell_changed("stay", &id, revision);
        Ok(Json(json!({ "version": 1, "id": id, "name": name, "revision": revision })))
    })
    .await
}
