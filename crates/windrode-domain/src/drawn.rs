//! Chance that was drawn beforehand: words of a generator, handed in, and told again from the beginning each time.
//!
//! The domain has no generator of its own. Where a judgement needs a stretch of gusts it is given the words to make
//! them of; the same words for every length of rode, every boat and every wind that is tried, so that what differs
//! between two plans is what was changed and never the luck of the draw.

use core::convert::Infallible;
use std::sync::Arc;

use rand::rand_core::TryRng;

/// Words drawn beforehand. Told again from the first when they are at their end.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Drawn(Arc<[u64]>);

impl Drawn {
    /// These words; `None` without any.
    pub fn new(words: impl Into<Arc<[u64]>>) -> Option<Self> {
        let words = words.into();
        (!words.is_empty()).then_some(Self(words))
    }
    /// From the first word on.
    pub fn told(&self) -> Told<'_> {
        Told { words: &self.0, next: 0 }
    }
}

/// The words, one after the other.
#[derive(Clone, Debug)]
pub struct Told<'a> {
    words: &'a [u64],
    next: usize,
}

impl TryRng for Told<'_> {
    type Error = Infallible;

    fn try_next_u32(&mut self) -> Result<u32, Infallible> {
        // The upper half: the lower digits of some generators are the poorer ones.
        self.try_next_u64().map(|word| (word >> 32) as u32)
    }
    fn try_next_u64(&mut self) -> Result<u64, Infallible> {
        let word = self.words[self.next];
        self.next = (self.next + 1) % self.words.len();
        Ok(word)
    }
    fn try_fill_bytes(&mut self, to: &mut [u8]) -> Result<(), Infallible> {
        for bytes in to.chunks_mut(8) {
            let word = self.try_next_u64()?.to_le_bytes();
            bytes.copy_from_slice(&word[..bytes.len()]);
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use rand::Rng;

    use super::*;

    #[test]
    fn the_same_words_are_told_each_time_and_again_at_their_end() {
        let drawn = Drawn::new([1_u64, 2, 3]).expect("words");
        for _ in 0..2 {
            let mut told = drawn.told();
            assert_eq!([(); 4].map(|()| told.next_u64()), [1, 2, 3, 1]);
        }
        assert_eq!(Drawn::new([]), None);
    }
}
