//! How far a chart can be trusted: its zones of confidence.
//!
//! A chart divides its waters by what surveys stand behind it. Each zone promises how far a depth and its place may be
//! off, and whether the whole bottom was searched. Away from the two best, a danger may lie uncharted between
//! soundings. Where a chart names no zone, or one that is not assessed, it promises nothing.
//!
//! ```text
//! zone   place          depth d                whole bottom searched
//! A1     5 m + 5 % d    0.50 m + 1 % d         yes
//! A2     20 m           1.00 m + 2 % d         yes
//! B      50 m           1.00 m + 2 % d         no
//! C      500 m          2.00 m + 5 % d         no
//! D      worse than C   worse than C           no
//! U      not assessed
//! ```
//!
//! Source: IHO S-57 edition 3.1, appendix A, attribute CATZOC and its table of zones of confidence; figures from
//! memory of that table, high confidence.

use core::fmt;

/// A zone of confidence: `CATZOC`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Zone {
    /// A1.
    A1,
    /// A2.
    A2,
    /// B.
    B,
    /// C.
    C,
    /// D: large departures to be expected.
    D,
    /// U: not assessed.
    Unassessed,
    /// A code that is not listed; it promises nothing.
    Unlisted(u16),
}

/// A part that is the same at any depth, and a share of the depth.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Within {
    /// m.
    pub fixed_m: f64,
    /// m for each m of depth.
    pub share: f64,
}

impl Within {
    /// At a depth, m. A drying height counts by its amount.
    pub fn at_m(self, depth_m: f64) -> f64 {
        self.fixed_m + self.share * depth_m.abs()
    }
}

impl Zone {
    /// From the code of `CATZOC`.
    pub const fn from_code(code: u16) -> Self {
        match code {
            1 => Self::A1,
            2 => Self::A2,
            3 => Self::B,
            4 => Self::C,
            5 => Self::D,
            6 => Self::Unassessed,
            other => Self::Unlisted(other),
        }
    }

    /// Its letter.
    pub const fn letter(self) -> &'static str {
        match self {
            Self::A1 => "A1",
            Self::A2 => "A2",
            Self::B => "B",
            Self::C => "C",
            Self::D => "D",
            Self::Unassessed => "U",
            Self::Unlisted(_) => "?",
        }
    }

    /// How far a place may be off; `None`: nothing is promised.
    pub const fn place(self) -> Option<Within> {
        match self {
            Self::A1 => Some(Within { fixed_m: 5.0, share: 0.05 }),
            Self::A2 => Some(Within { fixed_m: 20.0, share: 0.0 }),
            Self::B => Some(Within { fixed_m: 50.0, share: 0.0 }),
            Self::C => Some(Within { fixed_m: 500.0, share: 0.0 }),
            Self::D | Self::Unassessed | Self::Unlisted(_) => None,
        }
    }

    /// How far a depth may be off; `None`: nothing is promised.
    pub const fn depth(self) -> Option<Within> {
        match self {
            Self::A1 => Some(Within { fixed_m: 0.5, share: 0.01 }),
            Self::A2 | Self::B => Some(Within { fixed_m: 1.0, share: 0.02 }),
            Self::C => Some(Within { fixed_m: 2.0, share: 0.05 }),
            Self::D | Self::Unassessed | Self::Unlisted(_) => None,
        }
    }

    /// Whether the whole bottom was searched, so that no danger lies between the soundings.
    pub const fn is_searched(self) -> bool {
        matches!(self, Self::A1 | Self::A2)
    }

    /// The less trustworthy of two.
    #[must_use]
    pub fn or_worse(self, other: Self) -> Self {
        if self.rank() < other.rank() { other } else { self }
    }

    /// From the best to what promises nothing.
    const fn rank(self) -> u8 {
        match self {
            Self::A1 => 0,
            Self::A2 => 1,
            Self::B => 2,
            Self::C => 3,
            Self::D => 4,
            Self::Unassessed => 5,
            Self::Unlisted(_) => 6,
        }
    }
}

impl fmt::Display for Zone {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match (self, self.place(), self.depth()) {
            (Self::Unassessed, _, _) => write!(f, "U: not assessed; nothing is promised"),
            (Self::Unlisted(code), _, _) => write!(f, "zone of unlisted code {code}; nothing is promised"),
            (_, Some(place), Some(depth)) => {
                write!(f, "{}: places within {:.0} m", self.letter(), place.fixed_m)?;
                if 0.0 < place.share {
                    write!(f, " + {:.0} % of depth", 100.0 * place.share)?;
                }
                write!(f, ", depths within {:.1} m + {:.0} %; ", depth.fixed_m, 100.0 * depth.share)?;
                f.write_str(if self.is_searched() {
                    "the whole bottom was searched"
                } else {
                    "uncharted dangers may lie between the soundings"
                })
            }
            _ => write!(
                f,
                "{}: worse than C; large errors and uncharted dangers are to be expected",
                self.letter()
            ),
        }
    }
}
