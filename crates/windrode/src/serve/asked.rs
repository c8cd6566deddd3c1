//! What a request brings: its body within a bound and within a time, its query, its JSON.

use std::time::Duration;

use axum::body::{Body, Bytes, to_bytes};
use axum::http::StatusCode;
use serde::de::DeserializeOwned;

use super::refusal::Refusal;

/// A document, or a handful of changes.
pub(crate) const MOST_JSON_BYTES: usize = 2_500_000;
/// A forecast of a region, or a night's log packed.
pub(crate) const MOST_FILE_BYTES: usize = 20_000_000;
/// How long a body may take to come.
const BODY_WITHIN: Duration = Duration::from_mins(1);

/// The whole body.
///
/// # Errors
/// It is larger than that, breaks off, or does not come.
pub(crate) async fn whole(body: Body, most: usize) -> Result<Bytes, Refusal> {
    match tokio::time::timeout(BODY_WITHIN, to_bytes(body, most)).await {
        Ok(Ok(bytes)) => Ok(bytes),
        Ok(Err(error)) if is_too_large(&error) => Err(Refusal::new(
            StatusCode::PAYLOAD_TOO_LARGE,
            format!("the body has more than {most} bytes, which is all that is taken here"),
        )),
        Ok(Err(error)) => Err(Refusal::bad(format!("the body broke off: {error}"))),
        Err(_) => Err(Refusal::new(StatusCode::REQUEST_TIMEOUT, "the body did not come in time")),
    }
}

fn is_too_large(error: &axum::Error) -> bool {
    let mut cause: Option<&(dyn std::error::Error + 'static)> = Some(error);
    while let Some(error) = cause {
        // The type behind it is not ours to name.
        if error.to_string().contains("length limit exceeded") {
            return true;
        }
        cause = error.source();
    }
    false
}

/// The body as JSON of a shape.
///
/// # Errors
/// It is not.
pub(crate) async fn json<T: DeserializeOwned>(body: Body) -> Result<T, Refusal> {
    let bytes = whole(body, MOST_JSON_BYTES).await?;
    serde_json::from_slice(&bytes)
        .map_err(|error| Refusal::bad(format!("the body is not as wanted: {error}")))
}

/// Work that may take its time, off the threads that serve.
///
/// # Errors
/// It failed by itself.
pub(crate) async fn off<T: Send + 'static>(
    work: impl FnOnce() -> Result<T, Refusal> + Send + 'static,
) -> Result<T, Refusal> {
    match tokio::task::spawn_blocking(work).await {
        Ok(done) => done,
        Err(_) => {
            Err(Refusal::ours("this could not be worked out, which is our own fault: nothing was changed"))
        }
    }
}
