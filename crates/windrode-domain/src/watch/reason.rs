//! Why the watch says what it says: each with its numbers. The words are made at the edge.

use crate::units::Length;

/// A reason. The code of each is part of the public contract.
#[derive(Clone, Debug, PartialEq)]
pub enum Reason {
    /// The bow lies where the rode lets it, give or take.
    LiesToHerRode {
        /// Metres beyond the rode's reach; negative inside.
        beyond: Length,
        /// One standard deviation.
        spread: Length,
    },
}

impl Reason {
    /// A word for programs, the same for ever.
    pub const fn code(&self) -> &'static str {
        match self {
            Self::LiesToHerRode { .. } => "lies_to_her_rode",
        }
    }
}
