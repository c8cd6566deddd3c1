//! Programs of the system that an errand needs, and how they come aboard where apt is the way.

use anyhow::{Result, bail};

use crate::shell;

/// A program of the system, with the Debian package that holds it.
pub(crate) struct Package {
    /// Debian's name.
    pub(crate) name: &'static str,
    /// Words that succeed when it is there.
    pub(crate) probe: &'static [&'static str],
    /// What it is needed for.
    pub(crate) why: &'static str,
}

/// Sees that all are there; installs those that are not.
///
/// # Errors
/// When one is missing and there is no apt to bring it: says which, and why it is needed.
pub(crate) fn ensure(packages: &[Package]) -> Result<()> {
    let missing: Vec<&Package> = packages.iter().filter(|package| !shell::answers(package.probe)).collect();
    if missing.is_empty() {
        return Ok(());
    }
    let wanted: Vec<String> =
        missing.iter().map(|package| format!("  {} ({})", package.name, package.why)).collect();
    let wanted = wanted.join("\n");
    if !shell::answers(&["apt-get", "--version"]) {
        bail!(
            "these are missing, and there is no apt-get to install them; install what holds them here:\n{wanted}"
        );
    }
    eprintln!("xtask: installing\n{wanted}");
    apt_get(&["update"])?;
    let mut words = vec!["install", "-y", "--no-install-recommends"];
    words.extend(missing.iter().map(|package| package.name));
    apt_get(&words)?;
    let still: Vec<&str> = missing.iter().filter(|p| !shell::answers(p.probe)).map(|p| p.name).collect();
    if !still.is_empty() {
        bail!("apt-get has installed {}, which still does not answer", still.join(", "));
    }
    Ok(())
}

/// Runs apt-get, by sudo where we are not root.
fn apt_get(words: &[&str]) -> Result<()> {
    let is_root = shell::printed(shell::program("id").arg("-u"))?.trim() == "0";
    let mut command = if is_root { shell::program("env") } else { shell::program("sudo") };
    shell::run(command.arg("DEBIAN_FRONTEND=noninteractive").arg("apt-get").args(words))
}
