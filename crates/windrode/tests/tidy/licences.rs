//! Every crate in the tree comes under a licence that lets a crew use, change and pass on the whole.
//!
//! An expression is read as SPDX has it (SPDX specification 2.3, annex D): `OR`, `AND`, `WITH` and brackets, `AND`
//! binding tighter; the old slash means `OR`.

use std::process::Command;

use crate::breaches::assert_none;
use crate::tree::{read, root};

/// Licences under which each crate may come. `deny.toml` holds the same list.
const ALLOWED: &[&str] = &[
    "0BSD",
    "Apache-2.0",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "BSL-1.0",
    "CC0-1.0",
    "CDLA-Permissive-2.0",
    "ISC",
    "MIT",
    "MPL-2.0",
    "Unicode-3.0",
    "Unlicense",
    "Zlib",
];

/// Exceptions that only widen the licence they stand by.
const EXCEPTIONS: &[&str] = &["LLVM-exception"];

/// Whether some choice that the expression leaves is allowed throughout; `None` when it cannot be read.
fn is_allowed(expression: &str) -> Option<bool> {
    let spaced = expression.replace('(', " ( ").replace(')', " ) ").replace('/', " OR ");
    let mut words: Vec<&str> = spaced.split_whitespace().rev().collect();
    let answer = either(&mut words)?;
    words.is_empty().then_some(answer)
}

/// `all { OR all }`, off the end of `words`.
fn either(words: &mut Vec<&str>) -> Option<bool> {
    let mut answer = all(words)?;
    while words.pop_if(|word| *word == "OR").is_some() {
        answer |= all(words)?;
    }
    Some(answer)
}

/// `single { AND single }`.
fn all(words: &mut Vec<&str>) -> Option<bool> {
    let mut answer = single(words)?;
    while words.pop_if(|word| *word == "AND").is_some() {
        answer &= single(words)?;
    }
    Some(answer)
}

/// `( either )`, or a licence with or without an exception.
fn single(words: &mut Vec<&str>) -> Option<bool> {
    let word = words.pop()?;
    if word == "(" {
        let answer = either(words)?;
        return (words.pop()? == ")").then_some(answer);
    }
    if [")", "OR", "AND", "WITH"].contains(&word) {
        return None;
    }
    let mut answer = ALLOWED.contains(&word);
    if words.pop_if(|word| *word == "WITH").is_some() {
        answer &= EXCEPTIONS.contains(&words.pop()?);
    }
    Some(answer)
}

/// The platform that cargo builds for here: only its crates are sure to have been fetched.
fn host() -> String {
    let version = Command::new(env!("CARGO")).arg("-vV").output().expect("cargo runs its own tests");
    let text = String::from_utf8_lossy(&version.stdout).into_owned();
    text.lines().find_map(|line| line.strip_prefix("host: ")).expect("cargo -vV names its host").to_owned()
}

/// Name and licence expression of every crate in the tree.
fn crates() -> Vec<(String, Option<String>)> {
    let asked = Command::new(env!("CARGO"))
        .args(["metadata", "--format-version", "1", "--locked", "--offline", "--filter-platform", &host()])
        .current_dir(root())
        .output()
        .expect("cargo runs its own tests");
    assert!(asked.status.success(), "cargo metadata: {}", String::from_utf8_lossy(&asked.stderr));
    let metadata: serde_json::Value =
        serde_json::from_slice(&asked.stdout).expect("cargo metadata prints JSON");
    let packages = metadata["packages"].as_array().expect("cargo metadata lists packages");
    let text = |value: &serde_json::Value| value.as_str().map(str::to_owned);
    packages
        .iter()
        .map(|package| (text(&package["name"]).unwrap_or_default(), text(&package["license"])))
        .collect()
}

#[test]
fn every_crate_comes_under_an_allowed_licence() {
    let crates = crates();
    assert!(crates.iter().any(|(name, _)| name == "windrode"), "the tree is ours");
    let refused = crates.iter().filter(|(_, licence)| licence.as_deref().and_then(is_allowed) != Some(true));
    let breaches: Vec<String> = refused.map(|(name, licence)| format!("{name}: {licence:?}")).collect();
    assert_none("a crate's licence is one of the list", &breaches);
}

#[test]
fn the_licence_tool_reads_the_same_list() {
    let deny: toml::Table = read("deny.toml").parse().expect("deny.toml is TOML");
    let listed: Vec<&str> =
        deny["licenses"]["allow"].as_array().into_iter().flatten().filter_map(toml::Value::as_str).collect();
    assert_eq!(listed, ALLOWED);
}

#[test]
fn a_choice_is_allowed_when_one_side_is() {
    assert_eq!(is_allowed("MIT OR GPL-3.0-only"), Some(true));
    assert_eq!(is_allowed("GPL-3.0-only/MIT"), Some(true));
    assert_eq!(is_allowed("GPL-3.0-only OR AGPL-3.0-only"), Some(false));
}

#[test]
fn a_sum_is_allowed_when_both_sides_are() {
    assert_eq!(is_allowed("(MIT OR Apache-2.0) AND Unicode-3.0"), Some(true));
    assert_eq!(is_allowed("MIT AND GPL-3.0-only"), Some(false));
    // AND binds tighter than OR.
    assert_eq!(is_allowed("MIT OR GPL-3.0-only AND GPL-2.0-only"), Some(true));
}

#[test]
fn an_exception_counts_only_when_it_is_listed() {
    assert_eq!(is_allowed("Apache-2.0 WITH LLVM-exception"), Some(true));
    assert_eq!(is_allowed("Apache-2.0 WITH Some-exception"), Some(false));
}

#[test]
fn what_cannot_be_read_is_not_allowed() {
    for broken in ["", "MIT OR", "(MIT", "MIT MIT", "AND MIT"] {
        assert_eq!(is_allowed(broken), None, "{broken:?}");
    }
}
