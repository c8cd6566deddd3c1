//! From bytes as they come to whole lines.
//!
//! A feed hands over bytes in pieces that end anywhere. A line ends with CR, LF or both; empty lines are
//! none. A line longer than the limit ([`LINE_BYTES_MAX`] for sentences) is dropped up to its end and told
//! once. Nothing else is kept, so the memory of a feed is that of one line.

use super::refusal::Refusal;

/// The longest line that is kept, bytes. IEC 61162-1 allows 82 for a sentence; TAG blocks, loggers' prefixes
/// and makers' own sentences run longer, and a kilobyte holds all that were seen.
pub const LINE_BYTES_MAX: usize = 1024;

/// Gathers bytes into lines.
#[derive(Clone, Debug)]
pub struct Lines {
    begun: Vec<u8>,
    overrun: bool,
    limit: usize,
}

impl Default for Lines {
    fn default() -> Self {
        Self::new()
    }
}

impl Lines {
    /// Of sentences; nothing heard yet.
    pub const fn new() -> Self {
        Self::up_to(LINE_BYTES_MAX)
    }

    /// Of lines up to so many bytes.
    pub const fn up_to(limit: usize) -> Self {
        Self { begun: Vec::new(), overrun: false, limit }
    }

    /// Takes the bytes that came, and hands over each line that they end, without its ending; a line that was
    /// too long is handed over as the refusal.
    pub fn push(&mut self, bytes: &[u8], mut line: impl FnMut(Result<&[u8], Refusal>)) {
        let mut rest = bytes;
        while let Some(end) = rest.iter().position(|&byte| byte == b'\n' || byte == b'\r') {
            let (head, tail) = rest.split_at(end);
            rest = tail.get(1..).unwrap_or(&[]);
            if self.begun.is_empty() && !self.overrun && head.len() <= self.limit {
                if !head.is_empty() {
                    line(Ok(head));
                }
            } else {
                self.keep(head);
                self.end(&mut line);
            }
        }
        self.keep(rest);
    }

    /// The feed is at its end: hands over what was begun.
    pub fn finish(&mut self, mut line: impl FnMut(Result<&[u8], Refusal>)) {
        self.end(&mut line);
    }

    fn keep(&mut self, bytes: &[u8]) {
        self.overrun |= self.limit < self.begun.len() + bytes.len();
        if self.overrun {
            self.begun.clear();
        } else {
            self.begun.extend_from_slice(bytes);
        }
    }

    fn end(&mut self, line: &mut impl FnMut(Result<&[u8], Refusal>)) {
        if self.overrun {
            line(Err(Refusal::TooLong { limit: self.limit }));
        } else if !self.begun.is_empty() {
            line(Ok(&self.begun));
        }
        self.begun.clear();
        self.overrun = false;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn gather<'a>(pieces: impl Iterator<Item = &'a [u8]>) -> Vec<Result<Vec<u8>, Refusal>> {
        let mut lines = Lines::new();
        let mut got = Vec::new();
        for piece in pieces {
            lines.push(piece, |line| got.push(line.map(<[u8]>::to_vec)));
            assert!(lines.begun.capacity() <= 2 * LINE_BYTES_MAX);
        }
        lines.finish(|line| got.push(line.map(<[u8]>::to_vec)));
        got
    }

    #[test]
    fn either_ending_ends_a_line_and_both_together_end_one() {
        let got = gather([&b"a\r\nb\nc\rd"[..]].into_iter());
        let expected: Vec<_> = [&b"a"[..], b"b", b"c", b"d"].iter().map(|line| Ok(line.to_vec())).collect();
        assert_eq!(got, expected);
    }

    #[test]
    fn a_line_without_end_is_told_once_and_the_next_is_read() {
        let mut bytes = vec![b'x'; 5000];
        bytes.extend_from_slice(b"\nnext\n");
        for size in [1, 7, 1024, 6000] {
            let got = gather(bytes.chunks(size));
            assert_eq!(got, [Err(Refusal::TooLong { limit: LINE_BYTES_MAX }), Ok(b"next".to_vec())]);
        }
    }

    proptest! {
        #[test]
        fn where_the_pieces_end_makes_no_difference(
            bytes in proptest::collection::vec(prop_oneof![Just(b'\n'), Just(b'\r'), any::<u8>()], 0..3000),
            size in 1_usize..1500,
        ) {
            prop_assert_eq!(gather([&bytes[..]].into_iter()), gather(bytes.chunks(size)));
        }
    }
}
