//! Formatted text at the end of a string.

use std::fmt::{Arguments, Write};

/// Appends without a string of its own in between.
pub(crate) fn append(out: &mut String, what: Arguments<'_>) {
    out.write_fmt(what).expect("writing to a string does not fail");
}
