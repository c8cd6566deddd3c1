//! A file of its own for each test, gone with it.

use std::io::Write;

/// The file's path.
pub(crate) struct Scratch(pub(crate) std::path::PathBuf);

impl Scratch {
    /// A file of this name, its own for each process, with these bytes in it.
    pub(crate) fn holding(name: &str, bytes: impl AsRef<[u8]>) -> Self {
        let path = std::env::temp_dir().join(format!("windrode-{}-{name}", std::process::id()));
        std::fs::File::create(&path).unwrap().write_all(bytes.as_ref()).unwrap();
        Self(path)
    }
    /// Where it is.
    pub(crate) fn path(&self) -> &str {
        self.0.to_str().unwrap()
    }
}

impl Drop for Scratch {
    fn drop(&mut self) {
        // Nothing is lost if it is already gone.
        let _ = std::fs::remove_file(&self.0);
    }
}
