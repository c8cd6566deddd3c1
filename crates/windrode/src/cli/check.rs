//! `windrode check`: reads vessel and stay files and says what is wrong with them, or what it understood.

pub(crate) mod understood;

use std::io::Write;
use std::path::{Path, PathBuf};

use serde::Serialize;

use super::{Ending, Failure};
use crate::files::source::{Problem, Source};
use crate::files::{self, FileKind};

/// Reads a vessel or stay file and says what is wrong with it, or in one paragraph what it understood
///
/// Every problem is told at once, with its line and column; a stay's vessel file is read with it.
#[derive(clap::Args)]
pub(super) struct Arguments {
    /// Vessel or stay files.
    #[arg(required = true)]
    files: Vec<PathBuf>,
    /// One JSON object a file, on a line of its own, in place of text.
    #[arg(long)]
    json: bool,
}

/// What one file came to.
struct Checked {
    kind: Option<FileKind>,
    outcome: Result<String, Vec<Problem>>,
}

/// The shape of `--json`.
#[derive(Serialize)]
struct CheckedView {
    version: u32,
    kind: Option<&'static str>,
    problems: Vec<ProblemView>,
}

#[derive(Serialize)]
struct ProblemView {
    file: String,
    line: Option<usize>,
    column: Option<usize>,
    field: String,
    text: String,
}

/// Runs the command.
pub(super) fn run(arguments: &Arguments, out: &mut impl Write) -> Result<Ending, Failure> {
    let mut refused = Vec::new();
    let mut sound = true;
    for path in &arguments.files {
        let checked = check(path);
        sound &= checked.outcome.is_ok();
        if arguments.json {
            writeln!(out, "{}", serde_json::to_string(&CheckedView::from(&checked))?)?;
            continue;
        }
        match checked.outcome {
            Ok(understood) => writeln!(out, "{understood}")?,
            Err(problems) => refused.extend(problems.iter().map(ToString::to_string)),
        }
    }
    out.flush()?;
    if sound { Ok(Ending::Done) } else { Err(Failure::BadInput(refused)) }
}

fn check(path: &Path) -> Checked {
    let source = match Source::load(path) {
        Ok(source) => source,
        Err(problem) => return Checked { kind: None, outcome: Err(vec![problem]) },
    };
    let kind = files::kind_of(&source);
    let outcome = match kind {
        Some(FileKind::Vessel) => files::load_vessel(path).map(|vessel| understood::vessel(&vessel)),
        Some(FileKind::Stay) => files::load_stay(path, None).map(|aboard| understood::stay(&aboard)),
        None => Err(vec![
            source.problem("is neither a vessel nor a stay file (it has neither [vessel] nor [stay])"),
        ]),
    };
    Checked { kind, outcome }
}

impl From<&Checked> for CheckedView {
    fn from(checked: &Checked) -> Self {
        let problems = checked.outcome.as_ref().err().into_iter().flatten();
        Self {
            version: 1,
            kind: checked.kind.map(|kind| match kind {
                FileKind::Vessel => "vessel",
                FileKind::Stay => "stay",
            }),
            problems: problems.map(ProblemView::from).collect(),
        }
    }
}

impl From<&Problem> for ProblemView {
    fn from(problem: &Problem) -> Self {
        Self {
            file: problem.file.to_string(),
            line: problem.place.map(|place| place.line),
            column: problem.place.map(|place| place.column),
            field: problem.field.clone(),
            text: problem.text.clone(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn example(name: &str) -> PathBuf {
        Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples").join(name)
    }

    fn ran(files: Vec<PathBuf>, json: bool) -> (String, Result<Ending, Failure>) {
        let mut out = Vec::new();
        let ended = run(&Arguments { files, json }, &mut out);
        (String::from_utf8(out).unwrap(), ended)
    }

    #[test]
    fn a_sound_file_is_told_in_a_paragraph() {
        let (text, ended) = ran(vec![example("vessels/sailing-monohull.toml")], false);
        assert!(matches!(ended, Ok(Ending::Done)));
        assert!(text.contains("13.0 m over all"), "{text}");
    }

    #[test]
    fn a_problem_is_a_line_of_bad_input() {
        let (text, ended) = ran(vec![example("no-such-file.toml")], false);
        assert_eq!(text, "");
        assert!(matches!(ended, Err(Failure::BadInput(problems)) if problems.len() == 1));
    }

    #[test]
    fn json_says_the_kind_and_every_problem() {
        let (text, ended) = ran(vec![example("stays/corrant-bay.toml"), example("no-such-file.toml")], true);
        assert!(matches!(ended, Err(Failure::BadInput(problems)) if problems.is_empty()));
        let lines: Vec<serde_json::Value> =
            text.lines().map(|line| serde_json::from_str(line).unwrap()).collect();
        assert_eq!(lines[0], serde_json::json!({ "version": 1, "kind": "stay", "problems": [] }));
        assert_eq!(lines[1]["kind"], serde_json::Value::Null);
        assert_eq!(lines[1]["problems"][0]["line"], serde_json::Value::Null);
    }
}
