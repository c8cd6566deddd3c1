//! The page and its files, which the program carries.
//!
//! Every file is kept packed and sent so; who cannot unpack gets it unpacked. What is not a file of the page and no
//! part of the API is the page itself, so that each of its own addresses can be opened and shared.

use axum::http::{HeaderMap, HeaderValue, StatusCode, Uri, header};
use axum::response::{IntoResponse, Response};
use windrode_page::File;

use super::refusal::Refusal;
use crate::recording::gzip;

/// The largest file that is unpacked for a client.
const MOST_BYTES: u64 = 20_000_000;

/// A file of the page, or the page.
pub(crate) async fn file(headers: HeaderMap, uri: Uri) -> Response {
    let path = uri.path();
    if path.starts_with("/api/") {
        return Refusal::missing("such address").into_response();
    }
    let named = windrode_page::file(path.trim_start_matches('/'));
    let page = || windrode_page::file("index.html");
    // A file that is asked for by its ending and is not there is not the page.
    let last = path.rsplit('/').next().unwrap_or_default();
    match named.or_else(|| if last.contains('.') { None } else { page() }) {
        Some(file) => answer(file, &headers),
        None => Refusal::missing("such file").into_response(),
    }
}

fn answer(file: &File, headers: &HeaderMap) -> Response {
    let cache = if file.immutable { "public, max-age=31536000, immutable" } else { "no-cache" };
    let told = |name| headers.get(name).and_then(|value| value.to_str().ok()).unwrap_or_default();
    let head = [
        (header::CONTENT_TYPE, file.mime),
        (header::ETAG, file.etag),
        (header::CACHE_CONTROL, cache),
        (header::VARY, "accept-encoding"),
    ];
    if told(header::IF_NONE_MATCH).split(',').any(|tag| tag.trim() == file.etag) {
        return (StatusCode::NOT_MODIFIED, head).into_response();
    }
    if takes_gzip(told(header::ACCEPT_ENCODING)) {
        let mut answer = (head, file.gz).into_response();
        answer.headers_mut().insert(header::CONTENT_ENCODING, HeaderValue::from_static("gzip"));
        return answer;
    }
    match gzip::unpacked(file.gz, MOST_BYTES) {
        Ok(bytes) => (head, bytes).into_response(),
        Err(why) => Refusal::ours(why).into_response(),
    }
}

/// Whether a client takes gzip (RFC 9110 §12.5.3): named and not with a weight of nothing.
pub(super) fn takes_gzip(accepted: &str) -> bool {
    accepted.split(',').any(|coding| {
        let (name, weight) = coding.split_once(';').unwrap_or((coding, ""));
        let weight = weight.trim().strip_prefix("q=").map_or(1.0, |q| q.trim().parse().unwrap_or(0.0));
        ["gzip", "*"].contains(&name.trim()) && 0.0 < weight
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn gzip_is_sent_to_who_takes_it() {
        for accepted in ["gzip", "br, gzip;q=0.5", "*", "deflate,gzip"] {
            assert!(takes_gzip(accepted), "{accepted}");
        }
        for accepted in ["", "br", "gzip;q=0", "identity"] {
            assert!(!takes_gzip(accepted), "{accepted}");
        }
    }
}
