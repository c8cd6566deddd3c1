//! What is answered to a request that cannot be granted: every problem at once, and nothing changed.

use axum::body::Bytes;
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};
use serde_json::{Value, json};

use crate::files::source::Problem;

/// A refusal.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Refusal {
    status: StatusCode,
    problems: Vec<Value>,
    revision: Option<i64>,
}

impl Refusal {
    /// Of the request as a whole.
    pub(crate) fn new(status: StatusCode, text: impl Into<String>) -> Self {
        Self::at(status, "", text)
    }

    /// Of a field of the request.
    pub(crate) fn at(status: StatusCode, field: &str, text: impl Into<String>) -> Self {
        Self { status, problems: vec![problem("request", field, &text.into())], revision: None }
    }

    /// What was asked cannot be read.
    pub(crate) fn bad(text: impl Into<String>) -> Self {
        Self::new(StatusCode::BAD_REQUEST, text)
    }
    /// It reads, and cannot be done.
    pub(crate) fn unfit(field: &str, text: impl Into<String>) -> Self {
        Self::at(StatusCode::UNPROCESSABLE_ENTITY, field, text)
    }
    /// There is no such thing.
    pub(crate) fn missing(what: &str) -> Self {
        Self::new(StatusCode::NOT_FOUND, format!("there is no {what}"))
    }
    /// Somebody else was first.
    pub(crate) fn changed(revision: i64) -> Self {
        let text = format!("has been changed meanwhile: its revision is {revision} (read it again)");
        Self { revision: Some(revision), ..Self::at(StatusCode::CONFLICT, "revision", text) }
    }
    /// Not now.
    pub(crate) fn busy(text: impl Into<String>) -> Self {
        Self::new(StatusCode::SERVICE_UNAVAILABLE, text)
    }
    /// Something of ours failed.
    pub(crate) fn ours(text: impl Into<String>) -> Self {
        Self::new(StatusCode::INTERNAL_SERVER_ERROR, text)
    }

    /// Problems of documents, or of what was given in their stead.
    pub(crate) fn of_problems(problems: &[Problem]) -> Self {
        Self {
            status: StatusCode::UNPROCESSABLE_ENTITY,
            problems: problems.iter().map(of_document).collect(),
            revision: None,
        }
    }

    /// Several problems of the request.
    pub(crate) fn of_texts(texts: &[String]) -> Self {
        Self {
            status: StatusCode::UNPROCESSABLE_ENTITY,
            problems: texts.iter().map(|text| problem("request", "", text)).collect(),
            revision: None,
        }
    }
}

fn problem(document: &str, field: &str, text: &str) -> Value {
    json!({ "document": document, "field": field, "line": null, "column": null, "text": text })
}

/// A problem of a document; what is not a document of ours is the request's.
pub(crate) fn of_document(problem: &Problem) -> Value {
    let document = match &*problem.file {
        "vessel" => "vessel",
        "stay" => "stay",
        _ => "request",
    };
    json!({
        "document": document,
        "field": problem.field,
        "line": problem.place.map(|place| place.line),
        "column": problem.place.map(|place| place.column),
        "text": problem.text,
    })
}

impl IntoResponse for Refusal {
    fn into_response(self) -> Response {
        let mut body = json!({ "version": 1, "problems": self.problems });
        if let Some(revision) = self.revision {
            body["revision"] = json!(revision);
        }
        (self.status, Json(body)).into_response()
    }
}

impl From<rusqlite::Error> for Refusal {
    fn from(error: rusqlite::Error) -> Self {
        Self::busy(format!("the record on disk cannot be used now: {error}"))
    }
}

/// A JSON answer.
#[derive(Clone, Debug)]
pub(crate) struct Json(pub(crate) Value);

impl IntoResponse for Json {
    fn into_response(self) -> Response {
        written(self.0.to_string().into())
    }
}

/// A JSON answer that is written already.
pub(crate) fn written(body: Bytes) -> Response {
    let kind = HeaderValue::from_static("application/json");
    ([(header::CONTENT_TYPE, kind)], body).into_response()
}
