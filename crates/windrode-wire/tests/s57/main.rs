//! The reader of charts: against GDAL on real ones, on charts made for the purpose, and on damaged ones.

mod damaged;
mod facts;
mod gdal;
mod made;

use std::io::Read;

/// A file of the authority.
#[expect(clippy::disallowed_methods, reason = "a test reads the authority")]
pub(crate) fn authority(name: &str) -> Vec<u8> {
    let path = format!("{}/../../authorities/enc/{name}", env!("CARGO_MANIFEST_DIR"));
    let bytes = std::fs::read(&path).unwrap_or_else(|error| panic!("{path}: {error}"));
    if std::path::Path::new(name).extension().is_none_or(|end| end != "gz") {
        return bytes;
    }
    let mut whole = Vec::new();
    flate2::read::GzDecoder::new(&*bytes).read_to_end(&mut whole).unwrap();
    whole
}

/// The updates of the harbour.
pub(crate) fn updates() -> Vec<Vec<u8>> {
    (1..=4).map(|number| authority(&format!("US5WA22M.{number:03}"))).collect()
}
