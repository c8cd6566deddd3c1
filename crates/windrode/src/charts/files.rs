//! Charts from their files, with the updates that lie beside them.
//!
//! Updates are found by name: `US5MA1BO.001` and so on belong to `US5MA1BO.000`, or to the chart that calls itself so
//! within. They are applied by their own numbers, all or none: one that is missing refuses the chart.

use std::borrow::Cow;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use windrode_wire::s57::refusal::ChartError;
use windrode_wire::s57::{Chart, MOST_BYTES};

use crate::files::shelf::Shelf;

/// Reads charts.
///
/// # Errors
/// One problem for each chart that is refused, the file named in it, and for a folder that holds no update of any.
pub(crate) fn read(charts: &[PathBuf], updates: Option<&Path>) -> Result<Vec<Chart>, Vec<String>> {
    let folder = match updates {
        Some(folder) => listed(folder).map_err(|problem| vec![problem])?,
        None => BTreeMap::new(),
    };
    let (mut read, mut problems) = (Vec::new(), Vec::new());
    let mut found = false;
    for path in charts {
        match one(path, &folder, &mut found) {
            Ok(chart) => read.push(chart),
            Err(problem) => problems.push(problem),
        }
    }
    if let Some(folder) = updates.filter(|_| !found && problems.is_empty()) {
        problems.push(format!(
            "--updates: {} holds no update of what is given (a chart NAME.000 has updates NAME.001, NAME.002, …)",
            folder.display()
        ));
    }
    if problems.is_empty() { Ok(read) } else { Err(problems) }
}

fn one(path: &Path, folder: &BTreeMap<String, Vec<PathBuf>>, found: &mut bool) -> Result<Chart, String> {
    let refused = |refusal: ChartError| format!("{}: {refusal}", path.display());
    let base = bytes(path)?;
    let within = Chart::name_in(&base).map_err(refused)?;
    let own = folder.get(&stem(path)).or_else(|| folder.get(&within));
    *found |= own.is_some();
    let updates = own.into_iter().flatten().map(|path| bytes(path)).collect::<Result<Vec<_>, _>>()?;
    let updates: Vec<&[u8]> = updates.iter().map(Vec::as_slice).collect();
    Chart::read(&base, &updates).map_err(refused)
}

fn bytes(path: &Path) -> Result<Vec<u8>, String> {
    let bytes = Shelf::Disk.bytes(path, MOST_BYTES as u64);
    bytes.map(Cow::into_owned).map_err(|why| format!("{}: {why}", path.display()))
}

/// The name of a chart in capitals, without its number.
fn stem(path: &Path) -> String {
    path.file_stem().unwrap_or_default().to_string_lossy().to_ascii_uppercase()
}

/// The number behind a name, if it is one of an update.
fn update_number(path: &Path) -> Option<u32> {
    let number = path.extension()?.to_str()?;
    let is_number = number.len() == 3 && number.bytes().all(|byte| byte.is_ascii_digit());
    number.parse().ok().filter(|number| is_number && *number != 0)
}

/// The updates of a folder by the chart's name, in order.
fn listed(folder: &Path) -> Result<BTreeMap<String, Vec<PathBuf>>, String> {
    let unread = |error: std::io::Error| format!("--updates: {}: cannot be read: {error}", folder.display());
    let mut found = BTreeMap::<String, BTreeMap<u32, PathBuf>>::new();
    for entry in std::fs::read_dir(folder).map_err(unread)? {
        let path = entry.map_err(unread)?.path();
        let Some(number) = update_number(&path) else { continue };
        if let Some(other) = found.entry(stem(&path)).or_default().insert(number, path.clone()) {
            return Err(format!(
                "--updates: {} and {} are the same update; keep one",
                path.display(),
                other.display()
            ));
        }
    }
    Ok(found.into_iter().map(|(name, updates)| (name, updates.into_values().collect())).collect())
}
