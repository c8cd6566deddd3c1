//! `cargo xtask vectors`: the programs in builders/ make the files in authorities/ and data/ again, and the tables
//! that stand in the crates.
//!
//! A builder writes its files when it is run from the root without arguments. One that needs something from outside
//! (a database too large to keep) asks for it in the usual manner and ends with code 2; it is named as not run.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, bail};

use crate::shell;
use crate::venv::{self, Venv};

/// What builders write to.
const MADE: &[&str] = &["authorities", "data", "crates"];

/// Ends a script that was not given what it asks for: the code of Python's argparse.
const WANTS_ARGUMENTS: i32 = 2;

/// Bytes of each file, by its path.
type Contents = BTreeMap<PathBuf, Vec<u8>>;

/// Runs every builder and leaves what it made.
pub(crate) fn rebuild() -> Result<()> {
    let venv = Venv::ready()?;
    let mut not_run = Vec::new();
    for script in venv::scripts()?.into_iter().filter(|script| !venv::is_bench(script)) {
        eprintln!("xtask: {script}");
        let status = venv.script(&script).status().with_context(|| format!("cannot start {script}"))?;
        match status.code() {
            Some(0) => {}
            Some(WANTS_ARGUMENTS) => not_run.push(script),
            _ => bail!("{script} ended with {status}"),
        }
    }
    for script in not_run {
        println!("not run, wants something from outside: {script}");
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

/// The lines of a text, less those that say when it was made; data that is no text is one line.
fn undated(bytes: &[u8]) -> Vec<&[u8]> {
    let lines = bytes.split(|&byte| byte == b'\n');
    lines.filter(|line| !line.starts_with(b"# when")).collect()
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
fn a_file_made_on_another_day_is_the_same_file() {
    assert_eq!(
        undated(b"# who scipy\n# when 2026-11-01\n1,2\n"),
        undated(b"# who scipy\n# when 2026-12-01\n1,2\n")
    );
    assert_ne!(undated(b"# when 2026-11-01\n1,2\n"), undated(b"# when 2026-11-01\n1,3\n"));
}
