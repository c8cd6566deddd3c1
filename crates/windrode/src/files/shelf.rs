//! Where what a document names is looked for: beside it on disk, or among what is kept with it.

use std::borrow::Cow;
use std::collections::BTreeMap;
use std::io::Read;
use std::path::Path;
use std::sync::Arc;

/// Bytes by name, as they are kept with a stay.
pub(crate) type Attached = BTreeMap<String, Arc<[u8]>>;

/// Where to look.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Shelf<'a> {
    /// On disk: the name is a path.
    Disk,
    /// Among these and nowhere else: a name is never opened as a path.
    Kept(&'a Attached),
}

impl<'a> Shelf<'a> {
    /// What is called so; no more than `most` bytes and one to know that there is more.
    ///
    /// # Errors
    /// Why it cannot be had, in words that follow its name.
    pub(crate) fn bytes(self, path: &Path, most: u64) -> Result<Cow<'a, [u8]>, String> {
        match self {
            Self::Disk => {
                let mut bytes = Vec::new();
                let read =
                    std::fs::File::open(path).and_then(|file| file.take(most + 1).read_to_end(&mut bytes));
                read.map_err(|error| format!("cannot be read: {error}"))?;
                Ok(Cow::Owned(bytes))
            }
            Self::Kept(attached) => {
                let kept = path.to_str().and_then(|name| attached.get(name));
                let names = || attached.keys().cloned().collect::<Vec<_>>().join(", ");
                let kept = kept.ok_or_else(|| {
                    let there = if attached.is_empty() { "nothing is".to_owned() } else { names() };
                    format!("is not attached to this stay (attached: {there})")
                })?;
                Ok(Cow::Borrowed(kept))
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_kept_is_found_by_its_name_and_no_path_is_opened() {
        let attached = Attached::from([("wind.csv".to_owned(), Arc::from(&b"x"[..]))]);
        let shelf = Shelf::Kept(&attached);
        assert_eq!(shelf.bytes(Path::new("wind.csv"), 10).as_deref(), Ok(&b"x"[..]));
        let here = concat!(env!("CARGO_MANIFEST_DIR"), "/Cargo.toml");
        assert!(Shelf::Disk.bytes(Path::new(here), 10_000).is_ok());
        assert!(shelf.bytes(Path::new(here), 10_000).unwrap_err().contains("wind.csv"));
    }
}
