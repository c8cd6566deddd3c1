//! Recorded nights: what was heard in a night, read from a file as it was heard then.
//!
//! A recording is a table (one line an instant, columns by name) or a log of sentences, either of them perhaps packed
//! by gzip. Which it is, its bytes say and not its name. What a recording does not hold stays unknown: nothing is put
//! between two lines, and nothing after the last.

pub(crate) mod gzip;
pub(crate) mod table;
pub(crate) mod table_times;
pub(crate) mod own_boat;
pub(crate) mod log;
pub(crate) mod vessels;
pub(crate) mod truth;

use std::fs::File;
use std::io::Read;
use std::path::Path;

/// Most bytes of a recording, unpacked: a month of sentences at 300 a minute, a gigabyte, is four times this; who has
/// more than a week cuts it by days.
pub(crate) const MOST_BYTES: u64 = 256_000_000;

/// What a recording is written in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Written {
    /// A table with a line of column names.
    Table,
    /// Sentences, one a line.
    Sentences,
}

/// Reads a recording whole, unpacked if it is packed.
///
/// # Errors
/// One problem: it cannot be read, is empty, is too large, or is broken where it is packed.
pub(crate) fn bytes_of(path: &Path) -> Result<Vec<u8>, String> {
    let shown = path.display();
    let file = File::open(path).map_err(|error| format!("{shown}: cannot be read: {error}"))?;
    if file.metadata().is_ok_and(|about| about.is_dir()) {
        return Err(format!("{shown}: is a directory (name a file)"));
    }
    let mut bytes = Vec::new();
    file.take(MOST_BYTES + 1)
        .read_to_end(&mut bytes)
        .map_err(|error| format!("{shown}: cannot be read: {error}"))?;
    if gzip::is_packed(&bytes) {
        bytes = gzip::unpacked(&bytes, MOST_BYTES).map_err(|error| format!("{shown}: {error}"))?;
    }
    if MOST_BYTES < bytes.len() as u64 {
        return Err(format!("{shown}: holds more than {MOST_BYTES} bytes (cut it by days)"));
    }
    if bytes.iter().all(u8::is_ascii_whitespace) {
        return Err(format!("{shown}: is empty"));
    }
    Ok(bytes)
}

/// What the bytes are written in: sentences begin with `$` or `!`, or with the `\` of a tag block; remarks by `#`.
pub(crate) fn written_in(bytes: &[u8]) -> Written {
    // The heads of real logs run to some twenty lines of remarks; a line of another kind before the first sentence (a
    // torn one, where recording began) is passed over.
    const LOOKED_AT: usize = 200;
    let mut lines =
        bytes.split(|&byte| byte == b'\n').map(<[u8]>::trim_ascii).filter(|line| !line.is_empty());
    let telling = lines.by_ref().take(LOOKED_AT).filter(|line| !line.starts_with(b"#"));
    let mut sentences = telling.filter(|line| looks_like_a_sentence(line));
    if sentences.next().is_some() { Written::Sentences } else { Written::Table }
}

fn looks_like_a_sentence(line: &[u8]) -> bool {
    let begins = matches!(line, [b'$' | b'!' | b'\\' | b'{', ..]);
    begins && 6 < line.len()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_log_is_told_from_a_table_by_its_bytes() {
        let log = b"# a remark\n# another\n\n$GPRMC,1,A*00\n";
        assert_eq!(written_in(log), Written::Sentences);
        assert_eq!(written_in(b"\\s:x,c:1*00\\!AIVDM,1*00\n"), Written::Sentences);
        assert_eq!(written_in(b"t_utc,lat,lon\n1,2,3\n"), Written::Table);
        assert_eq!(written_in(b"153,A*00\r\n$GPRMC,213950.00,A*7D\r\n"), Written::Sentences);
    }
}
