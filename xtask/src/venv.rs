//! Python with the reference libraries, apart from the system's own.

use std::path::PathBuf;
use std::process::Command;

use anyhow::Result;

use crate::packages::{self, Package};
use crate::shell;

/// What makes the environment.
const PYTHON: &[Package] = &[
    Package { name: "python3", probe: &["python3", "--version"], why: "runs the programs in builders/" },
    Package {
        name: "python3-venv",
        probe: &["python3", "-c", "import ensurepip, venv"],
        why: "keeps the reference libraries apart from the system's",
    },
];

/// The reference libraries, each at the version that made the files in authorities/.
const REQUIREMENTS: &str = "builders/requirements.txt";

/// An environment that holds the reference libraries.
pub(crate) struct Venv {
    python: PathBuf,
}

impl Venv {
    /// Makes it below target/, or takes the one that is there, and brings it up to the requirements.
    pub(crate) fn ready() -> Result<Self> {
        packages::ensure(PYTHON)?;
        let folder = shell::root().join("target").join("venv");
        let venv = Self { python: folder.join("bin").join("python") };
        if !venv.python.is_file() {
            shell::run(shell::program("python3").args(["-m", "venv"]).arg(&folder))?;
        }
        let pip =
            ["-m", "pip", "install", "--quiet", "--disable-pip-version-check", "--requirement", REQUIREMENTS];
        shell::run(shell::program(&venv.python).args(pip))?;
        Ok(venv)
    }

    /// This script, run from the root.
    pub(crate) fn script(&self, path: &str) -> Command {
        let mut command = shell::program(&self.python);
        command.arg(path);
        command
    }
}

/// The Python files directly in builders/, sorted, as paths from the root.
pub(crate) fn scripts() -> Result<Vec<String>> {
    let mut found = Vec::new();
    for entry in std::fs::read_dir(shell::root().join("builders"))? {
        let name = entry?.file_name().to_string_lossy().into_owned();
        if std::path::Path::new(&name).extension().is_some_and(|extension| extension == "py") {
            found.push(format!("builders/{name}"));
        }
    }
    found.sort();
    Ok(found)
}

/// What a script that only measures is called.
pub(crate) fn is_bench(script: &str) -> bool {
    script.ends_with("_bench.py")
}
