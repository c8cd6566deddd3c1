//! Rules about source files, whatever they say.

use crate::breaches::assert_none;
use crate::masking::{functions, has_word, masked};
use crate::tree::{Text, files, rust_texts, stem_of, texts};

/// Names of drawers and agents: they say that a file holds code, not which.
const DRAWERS: &[&str] = &[
    "util", "utils", "helper", "helpers", "common", "misc", "type", "types", "manager", "managers",
    "service", "services",
];

/// A function fits a screen.
const LONGEST_FUNCTION: usize = 70;

/// Path, function and reason of each function that may be longer. This list may only shrink.
const LONG_FUNCTIONS: &[(&str, &str, &str)] = &[];

/// The widest line that two files side by side leave room for.
const WIDEST_LINE: usize = 120;

/// Macros that belong to the work, not to its result.
const TOOLS: &[&str] = &["dbg!", "todo!", "unimplemented!"];

/// Marks of work left undone, in pieces so that this file does not hold them.
const MARKS: &[&str] = &[concat!("TO", "DO"), concat!("FIX", "ME"), concat!("XX", "X")];

/// Folders that exist on the machine of whoever built the project, in pieces for the same reason.
const MACHINE_FOLDERS: &[&str] =
    &[concat!("/wo", "rk/"), concat!("/tm", "p/"), concat!("/ro", "ot/"), concat!("/ho", "me/")];

/// What the domain and the wire do not touch. The compiler and clippy hold most of it; this is the second fence.
const WORLD: &[&str] = &[
    "println!",
    "print!",
    "eprintln!",
    "eprint!",
    "std::fs",
    "std::net",
    "std::env",
    "std::process",
    "std::thread",
    "SystemTime",
    "Instant::now",
    "Timestamp::now",
    "ZonedDateTime::now",
    "TimeZone::system",
    "RandomState",
];

/// Every line of every text for which `wrong` holds, named by file and line.
fn lines_where(texts: &[Text], wrong: impl Fn(&str) -> bool) -> Vec<String> {
    let breaches = |text: &Text| {
        let lines = text.text.lines().enumerate();
        let wrong = lines.filter(|(_, line)| wrong(line));
        wrong
            .map(|(number, line)| format!("{}:{}: {}", text.path, number + 1, line.trim()))
            .collect::<Vec<_>>()
    };
    texts.iter().flat_map(breaches).collect()
}

/// The Rust files with comments and literals blanked.
fn rust_code() -> Vec<Text> {
    rust_texts().into_iter().map(|text| Text { text: masked(&text.text), path: text.path }).collect()
}

/// Whether the line names a folder of `MACHINE_FOLDERS` from the root of a file system.
fn names_a_machine_folder(line: &str) -> bool {
    MACHINE_FOLDERS.iter().any(|folder| {
        let mut places = line.match_indices(folder).map(|(at, _)| line[..at].chars().next_back());
        places.any(|before| !before.is_some_and(|c| c.is_alphanumeric() || "._-})/".contains(c)))
    })
}

/// Functions above the limit, as path and function.
fn long_functions() -> Vec<(String, String, usize)> {
    let long = |text: Text| {
        let functions =
            functions(&text.text).into_iter().filter(|function| LONGEST_FUNCTION < function.lines);
        functions.map(move |function| (text.path.clone(), function.name, function.lines)).collect::<Vec<_>>()
    };
    rust_texts().into_iter().flat_map(long).collect()
}

#[test]
fn no_file_or_folder_is_a_drawer() {
    let is_drawer = |path: &&String| path.split('/').any(|part| DRAWERS.contains(&stem_of(part)));
    let breaches: Vec<String> = files().iter().filter(is_drawer).cloned().collect();
    assert_none("a file is named after its subject", &breaches);
}

#[test]
fn no_folder_keeps_its_own_file_inside() {
    let breaches: Vec<String> = files().into_iter().filter(|path| path.ends_with("/mod.rs")).collect();
    assert_none("a folder's own file stands beside it", &breaches);
}

#[test]
fn every_function_fits_a_screen() {
    let listed =
        |path: &str, name: &str| LONG_FUNCTIONS.iter().any(|entry| (entry.0, entry.1) == (path, name));
    let unlisted = long_functions().into_iter().filter(|(path, name, _)| !listed(path, name));
    let breaches: Vec<String> =
        unlisted.map(|(path, name, lines)| format!("{path}: {name}, {lines} lines")).collect();
    assert_none("no function is above 70 lines, unless listed with its reason", &breaches);
}

#[test]
fn every_long_function_that_is_listed_is_still_long() {
    let long = long_functions();
    let still = |path: &str, name: &str| {
        long.iter().any(|found| (found.0.as_str(), found.1.as_str()) == (path, name))
    };
    let shrunk = LONG_FUNCTIONS.iter().filter(|(path, name, reason)| !still(path, name) || reason.is_empty());
    let breaches: Vec<String> = shrunk.map(|(path, name, _)| format!("{path}: {name}")).collect();
    assert_none("an entry of LONG_FUNCTIONS is needed and has a reason", &breaches);
}

#[test]
fn every_rust_file_opens_with_what_it_is_about() {
    let opens = |text: &Text| text.text.trim_start().starts_with("//!");
    let breaches: Vec<String> =
        rust_texts().into_iter().filter(|text| !opens(text)).map(|text| text.path).collect();
    assert_none("the first line of a Rust file is `//!`", &breaches);
}

#[test]
fn no_line_is_wider_than_a_hundred_and_twenty_columns() {
    // A line that holds a text is as wide as the text wants: cut in two it could no longer be searched for.
    let breaches =
        lines_where(&rust_texts(), |line| WIDEST_LINE < line.chars().count() && !line.contains('"'));
    assert_none("a line of Rust without a text in it has at most 120 columns", &breaches);
}

#[test]
fn no_tool_is_left_in_the_work() {
    let breaches = lines_where(&rust_code(), |line| TOOLS.iter().any(|tool| has_word(line, tool)));
    assert_none("no macro of the workbench stays", &breaches);
}

#[test]
fn no_work_is_marked_as_undone() {
    let sources: Vec<Text> =
        texts().into_iter().filter(|text| text.has_extension(&["rs", "ts", "py"])).collect();
    let breaches = lines_where(&sources, |line| MARKS.iter().any(|mark| has_word(line, mark)));
    assert_none("what is not done is not hinted at in a comment", &breaches);
}

#[test]
fn no_test_is_passed_over() {
    let breaches = lines_where(&rust_code(), |line| line.contains("#[ignore"));
    assert_none("every test runs every time", &breaches);
}

#[test]
fn no_lint_is_silenced_without_a_reason() {
    let silences = |line: &str| line.contains("[allow(") || line.contains(", allow(");
    let breaches = lines_where(&rust_code(), |line| silences(line) && !has_word(line, "reason"));
    assert_none("a lint is expected, with a reason, not allowed", &breaches);
}

#[test]
fn the_domain_and_the_wire_touch_nothing_outside_themselves() {
    let inner = |text: &Text| {
        text.path.starts_with("crates/windrode-domain/src/")
            || text.path.starts_with("crates/windrode-wire/src/")
    };
    let code: Vec<Text> = rust_code().into_iter().filter(inner).collect();
    let breaches = lines_where(&code, |line| WORLD.iter().any(|path| has_word(line, path)));
    assert_none("no I/O, no clock, no chance of its own", &breaches);
}

#[test]
fn no_line_knows_the_machine_it_was_written_on() {
    let breaches = lines_where(&texts(), names_a_machine_folder);
    assert_none("no path starts at the root of somebody's machine", &breaches);
}

#[test]
fn nothing_reaches_outside_the_repository() {
    let outside = concat!("../", "shared");
    let breaches = lines_where(&texts(), |line| line.contains(outside));
    assert_none("a fresh clone has all it needs", &breaches);
}

#[test]
fn a_path_from_the_root_is_told_from_one_within_the_project() {
    let folder = MACHINE_FOLDERS[0];
    assert!(names_a_machine_folder(&format!("see {folder}notes")));
    assert!(names_a_machine_folder(&format!("\"{folder}notes\"")));
    assert!(!names_a_machine_folder(&format!("..{folder}notes")));
    assert!(!names_a_machine_folder(&format!("net{folder}notes")));
}
