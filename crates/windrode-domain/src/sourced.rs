//! Figures that carry who says so and how far that is to be trusted.
//!
//! Much of what is said of anchors is practice remembered, not measurement published. A figure that may show its
//! number must show this beside it.

/// How far a figure is to be trusted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Confidence {
    /// Nobody's figure: taken so that something can be said at all.
    Guess,
    /// Remembered practice; tests disagree with one another.
    Low,
    /// Remembered from a named publication, or measured by a few.
    Medium,
    /// Published and checked.
    High,
}

impl Confidence {
    /// The word itself.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Guess => "guess",
            Self::Low => "low",
            Self::Medium => "medium",
            Self::High => "high",
        }
    }
}

/// A figure with its source.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sourced<T> {
    /// The figure.
    pub value: T,
    /// Who says so.
    pub source: &'static str,
    /// How far that is to be trusted.
    pub confidence: Confidence,
}

impl<T> Sourced<T> {
    /// A figure with its source.
    pub const fn new(value: T, source: &'static str, confidence: Confidence) -> Self {
        Self { value, source, confidence }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_guess_is_worth_less_than_anything_said() {
        assert!(Confidence::Guess < Confidence::Low && Confidence::Low < Confidence::Medium);
        assert!(Confidence::Medium < Confidence::High);
    }
}
