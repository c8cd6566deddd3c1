//! A text file with its lines, and problems that say where in it they stand.

use std::fmt;
use std::io::Read;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// The largest file that is read, bytes. A stay with ten thousand lines of wind is half of it.
pub(crate) const LARGEST_FILE_BYTES: u64 = 1_000_000;

/// A place in a text file, both counted from 1; columns in characters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(crate) struct Place {
    /// Line.
    pub(crate) line: usize,
    /// Column.
    pub(crate) column: usize,
}

/// Something wrong with a file: where, with which field, what, and in brackets what would mend it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Problem {
    /// The file, as it was named.
    pub(crate) file: Arc<str>,
    /// Where in it; `None` for the whole of it.
    pub(crate) place: Option<Place>,
    /// The field, as a path of keys, tables of a list counted from 1; empty for the whole file.
    pub(crate) field: String,
    /// What is wrong, and its mend.
    pub(crate) text: String,
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:", self.file)?;
        if let Some(Place { line, column }) = self.place {
            write!(f, "{line}:{column}:")?;
        }
        if !self.field.is_empty() {
            write!(f, " {}:", self.field)?;
        }
        write!(f, " {}", self.text)
    }
}

/// Where a value was read: enough to report a problem with it later.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Site {
    /// The file, as it was named.
    pub(crate) file: Arc<str>,
    /// Where in it.
    pub(crate) place: Place,
    /// The field.
    pub(crate) field: String,
}

impl Site {
    /// A problem with what was read here.
    pub(crate) fn problem(&self, text: impl Into<String>) -> Problem {
        Problem {
            file: Arc::clone(&self.file),
            place: Some(self.place),
            field: self.field.clone(),
            text: text.into(),
        }
    }
}

/// A value and where it was read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Located<T> {
    /// The value.
    pub(crate) value: T,
    /// Where it was read.
    pub(crate) site: Site,
}

impl<T> Located<T> {
    /// A problem with it.
    pub(crate) fn problem(&self, text: impl Into<String>) -> Problem {
        self.site.problem(text)
    }
}

/// A text file held whole.
#[derive(Debug)]
pub(crate) struct Source {
    file: Arc<str>,
    directory: PathBuf,
    text: String,
    line_starts: Vec<usize>,
}

impl Source {
    /// A text that is already in hand, under the name of its file.
    pub(crate) fn of_text(path: &Path, text: String) -> Self {
        let line_starts =
            std::iter::once(0).chain(text.match_indices('\n').map(|(end, _)| end + 1)).collect();
        Self {
            file: path.display().to_string().into(),
            directory: path.parent().map(Path::to_path_buf).unwrap_or_default(),
            text,
            line_starts,
        }
    }

    /// Reads a file.
    ///
    /// # Errors
    /// One [`Problem`] for a file that cannot be opened, is too large, is empty, or is no UTF-8.
    pub(crate) fn load(path: &Path) -> Result<Self, Problem> {
        let bytes = bytes_of(path)?;
        match String::from_utf8(bytes) {
            Ok(text) if text.trim().is_empty() => Err(whole(path, "is empty")),
            Ok(text) => Ok(Self::of_text(path, text)),
            Err(error) => {
                let good = error.utf8_error().valid_up_to();
                let head =
                    String::from_utf8_lossy(error.as_bytes().get(..good).unwrap_or_default()).into_owned();
                let place = Self::of_text(path, head).place(good);
                let text = "is not UTF-8 text from here on (save it as UTF-8)";
                Err(Problem { place: Some(place), ..whole(path, text) })
            }
        }
    }

    /// The text.
    pub(crate) fn text(&self) -> &str {
        &self.text
    }
    /// The file, as it was named.
    pub(crate) const fn file(&self) -> &Arc<str> {
        &self.file
    }
    /// A path that stands in the file, taken from the file's own directory.
    pub(crate) fn beside(&self, path: &str) -> PathBuf {
        self.directory.join(path)
    }

    /// Line and column of a byte of the text.
    pub(crate) fn place(&self, offset: usize) -> Place {
        let line = self.line_starts.partition_point(|&start| start <= offset);
        let start = self.line_starts.get(line.saturating_sub(1)).copied().unwrap_or(0);
        let before = self.text.get(start..offset).unwrap_or_default();
        Place { line, column: before.chars().count() + 1 }
    }

    /// A problem with the whole file.
    pub(crate) fn problem(&self, text: impl Into<String>) -> Problem {
        Problem { file: Arc::clone(&self.file), place: None, field: String::new(), text: text.into() }
    }
}

fn whole(path: &Path, text: impl Into<String>) -> Problem {
    Problem { file: path.display().to_string().into(), place: None, field: String::new(), text: text.into() }
}

fn bytes_of(path: &Path) -> Result<Vec<u8>, Problem> {
    let cannot = |error: std::io::Error| whole(path, format!("cannot be read: {error}"));
    let file = std::fs::File::open(path).map_err(cannot)?;
    let about = file.metadata().map_err(cannot)?;
    if about.is_dir() {
        return Err(whole(path, "is a directory (name a file)"));
    }
    if LARGEST_FILE_BYTES < about.len() {
        return Err(too_large(path, &format!("{} bytes", about.len())));
    }
    // A device or a pipe states no size: read no more than the limit, and one byte to know.
    let mut bytes = Vec::new();
    file.take(LARGEST_FILE_BYTES + 1).read_to_end(&mut bytes).map_err(cannot)?;
    if LARGEST_FILE_BYTES < bytes.len() as u64 {
        return Err(too_large(path, "more bytes than that"));
    }
    Ok(bytes)
}

fn too_large(path: &Path, size: &str) -> Problem {
    whole(
        path,
        format!(
            "holds {size}; a vessel or stay file has at most {LARGEST_FILE_BYTES} (is it the right file?)"
        ),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    fn source(text: &str) -> Source {
        Source::of_text(Path::new("a/b.toml"), text.to_owned())
    }

    fn written(name: &str, bytes: &[u8]) -> PathBuf {
        let path = std::env::temp_dir().join(format!("windrode-source-{}-{name}", std::process::id()));
        std::fs::write(&path, bytes).unwrap();
        path
    }

    #[test]
    fn columns_count_characters_not_bytes() {
        let source = source("a = 1\nb = \"41°12'S\" x");
        let offset = source.text().find('x').unwrap();
        assert_eq!(source.place(offset), Place { line: 2, column: 15 });
        assert_eq!(source.place(0), Place { line: 1, column: 1 });
    }

    #[test]
    fn paths_in_a_file_start_from_its_directory() {
        assert_eq!(source("").beside("c.toml"), Path::new("a/c.toml"));
    }

    #[test]
    fn a_hundred_megabytes_are_refused_unread() {
        let path = written("large", b"");
        std::fs::File::options().write(true).open(&path).unwrap().set_len(104_857_600).unwrap();
        let problem = Source::load(&path).unwrap_err();
        std::fs::remove_file(&path).unwrap();
        assert_eq!(
            problem.text,
            "holds 104857600 bytes; a vessel or stay file has at most 1000000 (is it the right file?)"
        );
    }

    #[test]
    fn empty_missing_and_foreign_files_are_refused() {
        let empty = written("empty", b" \n");
        assert_eq!(Source::load(&empty).unwrap_err().text, "is empty");
        std::fs::remove_file(&empty).unwrap();
        assert!(Source::load(&empty).unwrap_err().text.starts_with("cannot be read"));
        let latin = written("latin", b"a = 1\nb = \"41\xb012\"");
        let problem = Source::load(&latin).unwrap_err();
        std::fs::remove_file(&latin).unwrap();
        assert_eq!(problem.place, Some(Place { line: 2, column: 8 }));
        assert!(Source::load(&std::env::temp_dir()).unwrap_err().text.contains("directory"));
    }
}
