//! `cargo xtask vectors`: the programs in builders/ make the files in authorities/ and data/ again, and the tables
//! that stand in the crates.
//!
//! Which builders there are, and with which words each is run, stands in the table of `builders/README.md`: a builder
//! that needs something too large to keep is marked there as run by hand, and is named as not run.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, bail};

use crate::shell;
use crate::venv::Venv;

/// What builders write to.
const MADE: &[&str] = &["authorities", "data", "crates"];

/// Where the builders are listed.
const LIST: &str = "builders/README.md";

/// In place of arguments: needs something that is not kept here.
const BY_HAND: &str = "by hand";

/// Bytes of each file, by its path.
type Contents = BTreeMap<PathBuf, Vec<u8>>;

/// One row of the list.
#[derive(Debug, PartialEq)]
struct Builder {
    /// The script's name in builders/.
    script: String,
    /// The words that it is run with; `None` when it is run by hand.
    arguments: Option<Vec<String>>,
}

/// Reads a row of the form "| `catenary_scipy.py` | `words` or by hand or nothing | what it makes |".
fn builder(row: &str) -> Option<Builder> {
    let mut cells = row.strip_prefix('|')?.split('|').map(|cell| cell.trim().trim_matches('`'));
    let script = cells.next().filter(|name| Path::new(name).extension().is_some_and(|ext| ext == "py"))?;
    let words = cells.next()?;
    let arguments = (words != BY_HAND).then(|| words.split_whitespace().map(str::to_owned).collect());
    Some(Builder { script: script.to_owned(), arguments })
}

/// Runs every builder and leaves what it made.
pub(crate) fn rebuild() -> Result<()> {
    let list = fs::read_to_string(shell::root().join(LIST)).context(LIST)?;
    let builders: Vec<Builder> = list.lines().filter_map(builder).collect();
    if builders.is_empty() {
        bail!("{LIST} lists no builder");
    }
    let venv = Venv::ready()?;
    for Builder { script, arguments } in builders {
        match arguments {
            Some(words) => shell::run(venv.script(&format!("builders/{script}")).args(words))?,
            None => println!("not run, needs what is not kept here: {script}"),
        }
    }
    Ok(())
}

/// Runs every builder, puts everything back as it stood, and fails if anything came out otherwise.
pub(crate) fn check() -> Result<()> {
    let before = contents()?;
    let rebuilt = rebuild();
    let after = contents()?;
    restore(&before, &after)?;
    rebuilt?;
    let paths = before.keys().chain(after.keys().filter(|path| !before.contains_key(*path)));
    let differing: Vec<String> = paths
        .filter(|path| {
            before.get(*path).map(|bytes| undated(bytes)) != after.get(*path).map(|bytes| undated(bytes))
        })
        .map(|path| format!("  {}", path.display()))
        .collect();
    if !differing.is_empty() {
        bail!("these files are not what their builders make:\n{}", differing.join("\n"));
    }
    println!("every file stands as its builder makes it");
    Ok(())
}

/// A text without the day on which it was made: less its `# when` lines, and less the value of a JSON `"when"`. What
/// is no text stays whole.
fn undated(bytes: &[u8]) -> Vec<u8> {
    let Ok(text) = std::str::from_utf8(bytes) else { return bytes.to_vec() };
    let lines = text.split('\n').filter(|line| !line.starts_with("# when")).map(without_when);
    lines.collect::<Vec<_>>().join("\n").into_bytes()
}

fn without_when(line: &str) -> String {
    let Some((before, after)) = line.split_once("\"when\":") else { return line.to_owned() };
    let value_end = after.match_indices('"').nth(1).map_or(0, |(at, _)| at + 1);
    format!("{before}{}", &after[value_end..])
}

fn contents() -> Result<Contents> {
    let mut found = Contents::new();
    for folder in MADE {
        collect(&shell::root().join(folder), &mut found)?;
    }
    Ok(found)
}

fn collect(folder: &Path, found: &mut Contents) -> Result<()> {
    if !folder.is_dir() {
        return Ok(());
    }
    for entry in fs::read_dir(folder)? {
        let path = entry?.path();
        if path.is_dir() {
            collect(&path, found)?;
        } else {
            let bytes = fs::read(&path).with_context(|| path.display().to_string())?;
            found.insert(path, bytes);
        }
    }
    Ok(())
}

/// Writes `before` over `after` wherever they differ.
fn restore(before: &Contents, after: &Contents) -> Result<()> {
    for (path, bytes) in before {
        if after.get(path) != Some(bytes) {
            fs::write(path, bytes)?;
        }
    }
    for path in after.keys().filter(|path| !before.contains_key(*path)) {
        fs::remove_file(path)?;
    }
    Ok(())
}

#[test]
fn a_row_of_the_list_names_a_builder_and_its_words() {
    let read = |row| builder(row).map(|builder| (builder.script, builder.arguments));
    let words = |words: &[&str]| Some(words.iter().map(|word| (*word).to_owned()).collect::<Vec<_>>());
    assert_eq!(read("| `a.py` | `b c` | d |"), Some(("a.py".to_owned(), words(&["b", "c"]))));
    assert_eq!(read("| `a.py` | | d |"), Some(("a.py".to_owned(), words(&[]))));
    assert_eq!(read("| `a.py` | by hand | d |"), Some(("a.py".to_owned(), None)));
    assert_eq!(read("| program | run with | makes |"), None);
    assert_eq!(read("a.py makes d"), None);
}

#[test]
fn a_file_made_on_another_day_is_the_same_file() {
    let same = |one: &str, other: &str| undated(one.as_bytes()) == undated(other.as_bytes());
    assert!(same("# who scipy\n# when 2026-11-01\n1,2\n", "# who scipy\n# when 2026-12-01\n1,2\n"));
    assert!(!same("# when 2026-11-01\n1,2\n", "# when 2026-11-01\n1,3\n"));
    assert!(same(r#"{"when": "2026-11-01", "x": 1}"#, r#"{"when": "2026-12-01", "x": 1}"#));
    assert!(!same(r#"{"when":"2026-11-01","x":1}"#, r#"{"when":"2026-11-01","x":2}"#));
}
