//! How she is moored: one anchor, or more lines than one.
//!
//! What this crate judges is a single anchor. With two lines the load goes where the lines are tighter, which depends
//! on a metre of length here or there, on the stretch of each, on which way she sheers; the ground between tandem
//! anchors is ploughed by the first; a stern line holds her across wind and stream. Those are named here with the
//! reason why nothing is said of them; none is ever taken for a single anchor.

use crate::units::{Angle, Force, Length};

/// How she is moored.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Arrangement {
    /// One anchor ahead.
    SingleAnchor,
    /// Two anchors ahead, their rodes spread by an angle.
    TwoAnchorsForward {
        /// Angle between the rodes, if it is known.
        between: Option<Angle>,
    },
    /// A second anchor on the first one's rode.
    Tandem {
        /// Rode between the two, if it is known.
        apart: Option<Length>,
    },
    /// An anchor ahead and a line from the stern to the shore.
    SternLine,
    /// Anchors ahead and astern, or between two moorings.
    ForeAndAft,
    /// Two anchors from the bow, up and down the stream; she swings between them.
    Bahamian,
}

/// Why nothing is said of an arrangement.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum CannotSay {
    /// Two anchors ahead.
    #[error(
        "two anchors{}: how they share depends on lengths and sheer not known; each may bear all of it{}",
        between.map_or(String::new(), |angle| format!(" with {:.0}° between", angle.as_degrees())),
        if between.is_some_and(|angle| 120.0 < angle.as_degrees()) {
            ", and more than all when she lies between them"
        } else {
            ""
        }
    )]
    Sharing {
        /// Angle between the rodes, if it is known.
        between: Option<Angle>,
    },
    /// Two anchors in line.
    #[error(
        "two anchors in line{}: the first may keep the second from setting, or lift it; no source says how they add",
        apart.map_or(String::new(), |apart| format!(", {apart} apart"))
    )]
    InLine {
        /// Rode between the two, if it is known.
        apart: Option<Length>,
    },
    /// A line to the shore.
    #[error(
        "a stern line holds her across wind and stream: the load abeam is several times that ahead, and is not judged here"
    )]
    HeldAcross,
    /// Fore and aft.
    #[error(
        "moored fore and aft she cannot turn to the wind: the load abeam is several times that ahead, and is not judged here"
    )]
    CannotTurn,
    /// Two anchors up and down the stream.
    #[error(
        "between two anchors each is pulled aside as she swings, and the rodes twist: no single holding or circle describes it"
    )]
    PulledAside,
}

impl Arrangement {
    /// Its name in words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::SingleAnchor => "a single anchor",
            Self::TwoAnchorsForward { .. } => "two anchors forward",
            Self::Tandem { .. } => "anchors in tandem",
            Self::SternLine => "a line from the stern to the shore",
            Self::ForeAndAft => "moored fore and aft",
            Self::Bahamian => "two anchors up and down the stream",
        }
    }

    /// Nothing for a single anchor, which is judged; the reason why not for any other.
    ///
    /// # Errors
    /// [`CannotSay`] for all but the single anchor.
    pub const fn judged(self) -> Result<(), CannotSay> {
        match self {
            Self::SingleAnchor => Ok(()),
            Self::TwoAnchorsForward { between } => Err(CannotSay::Sharing { between }),
            Self::Tandem { apart } => Err(CannotSay::InLine { apart }),
            Self::SternLine => Err(CannotSay::HeldAcross),
            Self::ForeAndAft => Err(CannotSay::CannotTurn),
            Self::Bahamian => Err(CannotSay::PulledAside),
        }
    }
}

/// What each of two equal rodes ahead bears when she lies midway between them: `H / (2 cos(between / 2))`; `None`
/// from 180° on. For the crew's understanding only: midway is where she seldom lies.
pub fn share_midway(load: Force, between: Angle) -> Option<Force> {
    let half = between.abs() / 2.0;
    (half.as_degrees() < 90.0).then(|| load / (2.0 * half.as_radians().cos()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_a_single_anchor_is_judged_and_every_other_says_why_not() {
        assert_eq!(Arrangement::SingleAnchor.judged(), Ok(()));
        let others = [
            Arrangement::TwoAnchorsForward { between: Some(Angle::degrees(40.0)) },
            Arrangement::Tandem { apart: Some(Length::metres(6.0)) },
            Arrangement::SternLine,
            Arrangement::ForeAndAft,
            Arrangement::Bahamian,
        ];
        let reasons: Vec<_> = others.iter().map(|other| other.judged().unwrap_err().to_string()).collect();
        assert!(reasons.iter().all(|reason| 40 < reason.len()));
        assert!(reasons[0].contains("40°") && reasons[1].contains("6.00 m"));
    }

    // Any book of statics: two lines at 120° bear the whole load each.
    #[test]
    fn two_rodes_at_a_hundred_and_twenty_degrees_bear_the_whole_load_each() {
        let load = Force::newtons(1000.0);
        let each = share_midway(load, Angle::degrees(120.0)).unwrap();
        assert!((each.as_newtons() - 1000.0).abs() < 1e-9);
        assert!((share_midway(load, Angle::ZERO).unwrap().as_newtons() - 500.0).abs() < 1e-9);
        assert!(share_midway(load, Angle::degrees(180.0)).is_none());
    }
}
