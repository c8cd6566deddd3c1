//! `cargo xtask test`: all that the tests need, then all tests.

use anyhow::Result;

use crate::packages::{self, Package};
use crate::page;
use crate::shell;

/// What the tests call that cargo does not bring.
const NEEDED: &[Package] = &[Package {
    name: "poppler-utils",
    probe: &["pdftotext", "-v"],
    why: "reads the printed sheet back: its words and its number of pages",
}];

/// Installs, tests the whole workspace to its end, then checks the domain by itself: in a workspace build it is given
/// the features that other crates ask of its dependencies, among them a clock.
pub(crate) fn run() -> Result<()> {
    packages::ensure(NEEDED)?;
    packages::ensure(&page::NEEDED)?;
    shell::run(shell::cargo().args(["test", "--workspace", "--locked", "--no-fail-fast"]))?;
    shell::run(shell::cargo().args(["check", "-p", "windrode-domain", "--locked"]))?;
    shell::run(shell::cargo().args(["build", "-p", "windrode", "--locked"]))?;
    page::test()
}
