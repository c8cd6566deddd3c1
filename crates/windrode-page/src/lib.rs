//! The page as its build left it: a table of files, packed, and nothing else.
//!
//! The build script runs npm and esbuild over `web/` and writes the table. Nothing is read at run time: a boat's
//! computer needs neither.

/// One file of the page.
#[derive(Clone, Copy, Debug)]
pub struct File {
    /// From the root of the origin, without the slash: `index.html`.
    pub path: &'static str,
    /// What it is.
    pub mime: &'static str,
    /// The same while its content is the same, in the quotes of HTTP (RFC 9110 §8.8.3).
    pub etag: &'static str,
    /// Packed by gzip (RFC 1952).
    pub gz: &'static [u8],
    /// Its name holds the hash of its content: it may be kept for ever.
    pub immutable: bool,
}

include!(concat!(env!("OUT_DIR"), "/files.rs"));

/// The file of a path.
#[must_use]
pub fn file(path: &str) -> Option<&'static File> {
    FILES.iter().find(|file| file.path == path)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_page_is_whole() {
        for path in ["index.html", "service-worker.js", "manifest.webmanifest", "mark.svg"] {
            assert!(file(path).is_some_and(|file| !file.immutable), "{path}");
        }
        for mime in ["text/javascript; charset=utf-8", "text/css; charset=utf-8"] {
            assert!(FILES.iter().any(|file| file.immutable && file.mime == mime), "{mime}");
        }
    }

    #[test]
    fn the_first_load_is_below_300_kb() {
        // The aim set for a phone on a boat's network; the service worker comes after the page.
        let first: usize =
            FILES.iter().filter(|file| file.path != "service-worker.js").map(|file| file.gz.len()).sum();
        assert!(first < 300_000, "{first} bytes");
    }
}
