//! What the program costs from start to exit: time on the wall, and the most memory it ever held.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, ExitStatus, Stdio};
use std::time::{Duration, Instant};

use anyhow::{Context, Result, bail, ensure};

use crate::packages::{self, Package};
use crate::shell;

/// The demonstration stay of 48 hours: what a crew's plan costs.
pub(crate) const DEMO: &[&str] =
    &["plan", concat!(env!("CARGO_MANIFEST_DIR"), "/../examples/stays/corrant-bay.toml"), "--json"];

/// Enough that the median does not hang on a neighbour's burst of work.
const RUNS: usize = 21;

/// The kernel's own figure of peak memory, without a line of unsafe code.
const NEEDED: &[Package] = &[Package {
    name: "time",
    probe: &["/usr/bin/time", "--version"],
    why: "asks the kernel for the most memory that the program held",
}];

/// What it costs.
pub(crate) struct Cost {
    /// Median time from start to exit.
    pub(crate) median: Duration,
    /// Longest of the runs.
    pub(crate) slowest: Duration,
    /// How many runs.
    pub(crate) runs: usize,
    /// Most memory resident at any moment, MB of 10⁶ bytes.
    pub(crate) peak_mb: f64,
}

/// Builds the program as a crew would and runs its demonstration again and again.
pub(crate) fn measure() -> Result<Cost> {
    packages::ensure(NEEDED)?;
    shell::run(shell::cargo().args(["build", "--release", "--locked", "--package", "windrode"]))?;
    let folder = shell::root().join("target").join("demo-cost");
    fs::create_dir_all(&folder)?;
    let program = shell::root().join("target").join("release").join("windrode");
    let mut times = (0..RUNS).map(|_| wall_time(&program, &folder)).collect::<Result<Vec<Duration>>>()?;
    times.sort();
    let slowest = *times.last().context("at least one run")?;
    Ok(Cost { median: times[RUNS / 2], slowest, runs: RUNS, peak_mb: peak_mb(&program, &folder)? })
}

/// From start to exit of one run, its output thrown away.
fn wall_time(program: &Path, folder: &Path) -> Result<Duration> {
    let mut command = quiet(program.to_path_buf(), folder);
    let start = Instant::now();
    let status = command.args(DEMO).status().context("cannot start the program")?;
    let taken = start.elapsed();
    ensure_answered(status)?;
    Ok(taken)
}

/// Peak resident memory of one run.
fn peak_mb(program: &Path, folder: &Path) -> Result<f64> {
    let report = folder.join("peak-kib");
    let mut command = quiet(PathBuf::from("/usr/bin/time"), folder);
    let status = command.args(["-q", "-f", "%M", "-o"]).arg(&report).arg(program).args(DEMO).status()?;
    ensure_answered(status)?;
    let kibibytes: f64 =
        fs::read_to_string(&report)?.trim().parse().context("the kernel's figure is a number")?;
    ensure!(0.0 < kibibytes, "the kernel says that the program held no memory");
    Ok(kibibytes * 1024.0 / 1e6)
}

fn quiet(program: PathBuf, folder: &Path) -> Command {
    let mut command = Command::new(program);
    command.current_dir(folder).stdin(Stdio::null()).stdout(Stdio::null());
    command
}

/// A plan that ends with a warning (code 1) is a plan all the same.
fn ensure_answered(status: ExitStatus) -> Result<()> {
    match status.code() {
        Some(0 | 1) => Ok(()),
        _ => bail!("windrode {} ended with {status}", DEMO.join(" ")),
    }
}
