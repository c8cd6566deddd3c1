//! Running other programs from the root of the workspace, and saying so.

use std::ffi::OsStr;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use anyhow::{Context, Result, bail};

/// The folder that holds the workspace.
pub(crate) fn root() -> PathBuf {
    let own = Path::new(env!("CARGO_MANIFEST_DIR"));
    own.parent().unwrap_or(own).to_path_buf()
}

/// A program that will run from the root.
pub(crate) fn program(name: impl AsRef<OsStr>) -> Command {
    let mut command = Command::new(name);
    command.current_dir(root());
    command
}

/// The cargo that this errand was started with.
pub(crate) fn cargo() -> Command {
    program(std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into()))
}

/// Runs to the end, with output where ours goes; an error unless it succeeds.
pub(crate) fn run(command: &mut Command) -> Result<()> {
    let said = line(command);
    eprintln!("xtask: {said}");
    let status = command.status().with_context(|| format!("cannot start {said}"))?;
    if !status.success() {
        bail!("{said} ended with {status}");
    }
    Ok(())
}

/// Runs to the end and gives what it printed; an error unless it succeeds.
pub(crate) fn printed(command: &mut Command) -> Result<String> {
    let said = line(command);
    eprintln!("xtask: {said}");
    let output = command.stderr(Stdio::inherit()).output().with_context(|| format!("cannot start {said}"))?;
    if !output.status.success() {
        bail!("{said} ended with {}", output.status);
    }
    Ok(String::from_utf8(output.stdout)?)
}

/// Whether the program is there and answers these words with success; says nothing.
pub(crate) fn answers(words: &[&str]) -> bool {
    let Some((name, arguments)) = words.split_first() else { return false };
    let mut command = program(name);
    command.args(arguments).stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null());
    command.status().is_ok_and(|status| status.success())
}

/// The command as a person would type it.
fn line(command: &Command) -> String {
    let words = std::iter::once(command.get_program()).chain(command.get_args());
    words.map(OsStr::to_string_lossy).collect::<Vec<_>>().join(" ")
}
