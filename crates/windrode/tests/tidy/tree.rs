//! The repository's own files: all that is under its root, less what is built, fetched or kept by git.

use std::fs;
use std::path::{Path, PathBuf};

/// Folders that hold nothing of ours.
const NOT_OURS: &[&str] = &["target", "node_modules", ".git", "__pycache__"];

/// A text file of the repository.
pub(crate) struct Text {
    /// Path from the root, with forward slashes.
    pub(crate) path: String,
    /// All that stands in it.
    pub(crate) text: String,
}

impl Text {
    /// Whether its name ends in a dot and one of these.
    pub(crate) fn has_extension(&self, extensions: &[&str]) -> bool {
        extensions.contains(&extension_of(&self.path))
    }
}

/// `docs/glossary.md` gives `md`.
pub(crate) fn extension_of(path: &str) -> &str {
    Path::new(path).extension().and_then(|extension| extension.to_str()).unwrap_or_default()
}

/// `docs/glossary.md` gives `glossary`.
pub(crate) fn stem_of(path: &str) -> &str {
    Path::new(path).file_stem().and_then(|stem| stem.to_str()).unwrap_or_default()
}

/// The folder that holds the workspace.
pub(crate) fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../..")
        .canonicalize()
        .expect("the workspace is two folders up")
}

/// Every file, as a sorted list of paths from the root.
pub(crate) fn files() -> Vec<String> {
    let root = root();
    let mut found = Vec::new();
    collect(&root, &root, &mut found);
    found.sort();
    found
}

fn collect(root: &Path, folder: &Path, found: &mut Vec<String>) {
    for entry in fs::read_dir(folder).expect("a folder of the repository can be read") {
        let path = entry.expect("an entry of the repository can be read").path();
        let name = path.file_name().and_then(|name| name.to_str()).unwrap_or_default();
        if NOT_OURS.contains(&name) {
            continue;
        }
        if path.is_dir() {
            collect(root, &path, found);
        } else {
            let inside = path.strip_prefix(root).expect("the walk starts at the root");
            found.push(inside.to_string_lossy().replace('\\', "/"));
        }
    }
}

/// Every file that is text; what is not UTF-8 is data and has no lines.
pub(crate) fn texts() -> Vec<Text> {
    let root = root();
    files()
        .into_iter()
        .filter_map(|path| {
            let bytes = fs::read(root.join(&path)).expect("a file of the repository can be read");
            String::from_utf8(bytes).ok().map(|text| Text { path, text })
        })
        .collect()
}

/// Every Rust file.
pub(crate) fn rust_texts() -> Vec<Text> {
    texts().into_iter().filter(|text| text.has_extension(&["rs"])).collect()
}

/// One text file that the repository must have.
pub(crate) fn read(path: &str) -> String {
    fs::read_to_string(root().join(path)).unwrap_or_else(|error| panic!("{path}: {error}"))
}
