//! The page's own tests: its types, its arithmetic, and the real program in a real browser.

use anyhow::Result;

use crate::packages::Package;
use crate::shell;

/// What they call that neither cargo nor npm brings.
pub(crate) const NEEDED: [Package; 3] = [
    Package { name: "nodejs", probe: &["node", "--version"], why: "builds the page and runs its tests" },
    Package { name: "npm", probe: &["npm", "--version"], why: "brings what the page is built with" },
    Package { name: "chromium", probe: &["chromium", "--version"], why: "looks at the page as a crew would" },
];

/// Checks the types, runs the tests without a browser, then those in one. The program has been built by then.
pub(crate) fn test() -> Result<()> {
    for errand in ["check", "test", "browser"] {
        let mut npm = shell::program("npm");
        shell::run(npm.args(["run", "--silent", errand]).current_dir(shell::root().join("web")))?;
    }
    Ok(())
}
