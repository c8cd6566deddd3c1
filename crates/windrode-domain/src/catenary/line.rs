//! A rode that can exist: segments of chain and rope in series, anchor first, with weights slid down it.

use crate::units::{Force, Length, WeightPerLength};

/// A uniform stretch of chain or rope.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Segment {
    /// Unstretched.
    pub length: Length,
    /// Weight in water; negative if it floats.
    pub weight: WeightPerLength,
    /// Axial stiffness `EA`: tension over relative stretch.
    pub stiffness: Force,
}

/// A weight hung at one place of the rode.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Kellet {
    /// Where, in unstretched rode from the anchor.
    pub from_anchor: Length,
    /// Its weight in water.
    pub weight: Force,
}

/// A rode from the anchor to the roller.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    segments: Vec<Segment>,
    kellets: Vec<Kellet>,
    /// Anchor first. Invariant: at least one; every length and stiffness positive; everything finite.
    pub(super) parts: Vec<Part>,
    /// Weight hung at the anchor itself, N.
    pub(super) at_anchor_n: f64,
    /// How many parts from the anchor up do not float: only these can rest on the ground.
    pub(super) foot: usize,
    /// Weight in water of all that is beyond those, N.
    pub(super) beyond_foot_n: f64,
    /// Weight in water of all of it, N.
    pub(super) total_n: f64,
    /// Stretch per newton of an even tension, m/N.
    pub(super) give_m_n: f64,
    /// Stiffness of the softest part, N.
    pub(super) softest_n: f64,
    pub(super) length_m: f64,
}

/// A uniform stretch between two joints or kellets.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Part {
    /// Unstretched rode from the anchor to its lower end, m.
    pub(super) from_m: f64,
    /// Unstretched, m.
    pub(super) length_m: f64,
    /// Weight in water, N/m.
    pub(super) weight_n_m: f64,
    /// `1 / EA`, 1/N.
    pub(super) give_1_n: f64,
    /// Weight hung at its upper end, N.
    pub(super) kellet_n: f64,
}

/// A rode that cannot be. Segments and kellets are counted from 1, anchor first.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum LineError {
    /// There is no segment.
    #[error("a rode needs at least one segment")]
    Empty,
    /// A segment's length is not a positive number.
    #[error("segment {segment}: a length of {} m is not a positive number", .length.as_metres())]
    SegmentLength {
        /// Which.
        segment: usize,
        /// As given.
        length: Length,
    },
    /// A segment's weight is no number.
    #[error("segment {segment}: a weight of {} N/m is not a number", .weight.as_newtons_per_metre())]
    SegmentWeight {
        /// Which.
        segment: usize,
        /// As given.
        weight: WeightPerLength,
    },
    /// A segment's stiffness is not a positive number.
    #[error("segment {segment}: a stiffness EA of {} N is not a positive number", .stiffness.as_newtons())]
    SegmentStiffness {
        /// Which.
        segment: usize,
        /// As given.
        stiffness: Force,
    },
    /// A kellet is not on the rode.
    #[error("kellet {kellet}: {} m from the anchor is not on the {} m of rode", .from_anchor.as_metres(), .length.as_metres())]
    KelletPlace {
        /// Which.
        kellet: usize,
        /// As given.
        from_anchor: Length,
        /// The rode's length.
        length: Length,
    },
    /// A kellet's weight is negative or no number: a buoy is not a kellet.
    #[error("kellet {kellet}: a weight of {} N is not a number from 0 up", .weight.as_newtons())]
    KelletWeight {
        /// Which.
        kellet: usize,
        /// As given.
        weight: Force,
    },
    /// More is to be veered than there is.
    #[error("{} m cannot be veered of the {} m there is", .asked.as_metres(), .stowed.as_metres())]
    MoreThanStowed {
        /// As asked.
        asked: Length,
        /// All there is.
        stowed: Length,
    },
}

impl Line {
    /// A rode of segments, anchor first, and kellets in any order.
    ///
    /// # Errors
    /// [`LineError`] for the first thing that cannot be: no segment; a length or stiffness that is not positive and
    /// finite; a kellet off the rode or lighter than water.
    pub fn new(segments: Vec<Segment>, kellets: Vec<Kellet>) -> Result<Self, LineError> {
        let length_m = checked_length_m(&segments)?;
        for (index, kellet) in kellets.iter().enumerate() {
            check_kellet(index + 1, kellet, length_m)?;
        }
        let parts = split(&segments, &kellets);
        let at_anchor_n =
            kellets.iter().filter(|k| k.from_anchor.as_metres() <= 0.0).map(|k| k.weight.as_newtons()).sum();
        let foot = parts.iter().take_while(|part| 0.0 <= part.weight_n_m).count();
        let weigh = |parts: &[Part]| -> f64 {
            parts.iter().map(|part| part.weight_n_m * part.length_m + part.kellet_n).sum()
        };
        Ok(Self {
            at_anchor_n,
            foot,
            beyond_foot_n: weigh(parts.get(foot..).unwrap_or_default()),
            total_n: weigh(&parts) + at_anchor_n,
            give_m_n: parts.iter().map(|part| part.length_m * part.give_1_n).sum(),
            softest_n: segments.iter().map(|s| s.stiffness.as_newtons()).fold(f64::INFINITY, f64::min),
            length_m,
            parts,
            segments,
            kellets,
        })
    }

    /// Its segments, anchor first.
    pub fn segments(&self) -> &[Segment] {
        &self.segments
    }
    /// Its kellets, as given.
    pub fn kellets(&self) -> &[Kellet] {
        &self.kellets
    }
    /// Its unstretched length.
    pub const fn length(&self) -> Length {
        Length::metres(self.length_m)
    }
    /// Weight in water of all of it, kellets too.
    pub const fn weight(&self) -> Force {
        Force::newtons(self.total_n)
    }

    /// Weight in water of its first metres from the anchor, none for what floats; kellets left out.
    pub fn weight_of_first(&self, length: Length) -> Force {
        let (mut left_m, mut weight_n) = (length.as_metres(), 0.0);
        for segment in &self.segments {
            let taken_m = segment.length.as_metres().min(left_m);
            weight_n += taken_m * segment.weight.as_newtons_per_metre().max(0.0);
            left_m -= taken_m;
        }
        Force::newtons(weight_n)
    }

    /// The first `length` of it from the anchor, as when so much is veered; kellets beyond are still aboard.
    ///
    /// # Errors
    /// [`LineError::MoreThanStowed`] if there is not so much; [`LineError::Empty`] unless it is positive.
    pub fn first(&self, length: Length) -> Result<Self, LineError> {
        if !(0.0 < length.as_metres()) {
            return Err(LineError::Empty);
        }
        if !(length.as_metres() <= self.length_m) {
            return Err(LineError::MoreThanStowed { asked: length, stowed: self.length() });
        }
        let mut left_m = length.as_metres();
        let mut segments = Vec::with_capacity(self.segments.len());
        for segment in &self.segments {
            let taken_m = segment.length.as_metres().min(left_m);
            if 0.0 < taken_m {
                segments.push(Segment { length: Length::metres(taken_m), ..*segment });
            }
            left_m -= taken_m;
        }
        // The sum of the cut segments can fall short of the asked length by rounding; a kellet at the very end
        // stays on.
        let cut_m: f64 = segments.iter().map(|s| s.length.as_metres()).sum();
        let kellets = self.kellets.iter().filter(|k| k.from_anchor <= length);
        let kellets = kellets.map(|k| Kellet { from_anchor: k.from_anchor.min(Length::metres(cut_m)), ..*k });
        Self::new(segments, kellets.collect())
    }
}

fn checked_length_m(segments: &[Segment]) -> Result<f64, LineError> {
    if segments.is_empty() {
        return Err(LineError::Empty);
    }
    for (index, &Segment { length, weight, stiffness }) in segments.iter().enumerate() {
        let segment = index + 1;
        if !(0.0 < length.as_metres() && length.is_finite()) {
            return Err(LineError::SegmentLength { segment, length });
        }
        if !weight.is_finite() {
            return Err(LineError::SegmentWeight { segment, weight });
        }
        if !(0.0 < stiffness.as_newtons() && stiffness.is_finite()) {
            return Err(LineError::SegmentStiffness { segment, stiffness });
        }
    }
    Ok(segments.iter().map(|s| s.length.as_metres()).sum())
}

fn check_kellet(number: usize, kellet: &Kellet, length_m: f64) -> Result<(), LineError> {
    let &Kellet { from_anchor, weight } = kellet;
    if !(0.0 <= from_anchor.as_metres() && from_anchor.as_metres() <= length_m) {
        return Err(LineError::KelletPlace { kellet: number, from_anchor, length: Length::metres(length_m) });
    }
    if !(0.0 <= weight.as_newtons() && weight.is_finite()) {
        return Err(LineError::KelletWeight { kellet: number, weight });
    }
    Ok(())
}

/// Cuts the segments at the kellets, anchor first.
fn split(segments: &[Segment], kellets: &[Kellet]) -> Vec<Part> {
    let mut hung: Vec<(f64, f64)> = kellets
        .iter()
        .map(|k| (k.from_anchor.as_metres(), k.weight.as_newtons()))
        .filter(|&(from_m, weight_n)| 0.0 < from_m && 0.0 < weight_n)
        .collect();
    hung.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut hung = hung.into_iter().peekable();
    let mut parts: Vec<Part> = Vec::with_capacity(segments.len() + kellets.len());
    let mut at_m = 0.0;
    for (index, segment) in segments.iter().enumerate() {
        let end_m = at_m + segment.length.as_metres();
        let last = index + 1 == segments.len();
        let mut from_m = at_m;
        let mut cut = |to_m: f64, kellet_n: f64| {
            if from_m < to_m {
                let weight_n_m = segment.weight.as_newtons_per_metre();
                let give_1_n = segment.stiffness.as_newtons().recip();
                parts.push(Part { from_m, length_m: to_m - from_m, weight_n_m, give_1_n, kellet_n });
                from_m = to_m;
            } else if let Some(below) = parts.last_mut() {
                below.kellet_n += kellet_n;
            }
        };
        while let Some((place_m, weight_n)) = hung.next_if(|&(place_m, _)| place_m <= end_m || last) {
            cut(place_m.min(end_m), weight_n);
        }
        cut(end_m, 0.0);
        at_m = end_m;
    }
    parts
}

#[cfg(test)]
mod tests {
    use super::*;

    fn chain(length_m: f64) -> Segment {
        Segment {
            length: Length::metres(length_m),
            weight: WeightPerLength::newtons_per_metre(19.0),
            stiffness: Force::newtons(8.5e6),
        }
    }

    fn kellet(from_m: f64, weight_n: f64) -> Kellet {
        Kellet { from_anchor: Length::metres(from_m), weight: Force::newtons(weight_n) }
    }

    #[test]
    fn kellets_cut_the_rode_and_those_at_one_place_add_up() {
        let hung = vec![
            kellet(20.0, 50.0),
            kellet(5.0, 10.0),
            kellet(5.0, 20.0),
            kellet(0.0, 7.0),
            kellet(30.0, 3.0),
        ];
        let line = Line::new(vec![chain(20.0), chain(10.0)], hung).unwrap();
        let parts: Vec<_> = line.parts.iter().map(|p| (p.from_m, p.length_m, p.kellet_n)).collect();
        assert_eq!(parts, [(0.0, 5.0, 30.0), (5.0, 15.0, 50.0), (20.0, 10.0, 3.0)]);
        assert!((line.weight().as_newtons() - (30.0 * 19.0 + 90.0)).abs() < 1e-9);
    }

    #[test]
    fn what_is_still_aboard_carries_no_kellet() {
        let line =
            Line::new(vec![chain(20.0), chain(10.0)], vec![kellet(5.0, 10.0), kellet(25.0, 10.0)]).unwrap();
        let veered = line.first(Length::metres(22.0)).unwrap();
        assert_eq!((veered.segments().len(), veered.kellets().len()), (2, 1));
        assert!((veered.length().as_metres() - 22.0).abs() < 1e-12);
        assert!(matches!(line.first(Length::metres(30.1)), Err(LineError::MoreThanStowed { .. })));
        assert!(matches!(line.first(Length::metres(f64::NAN)), Err(LineError::Empty)));
    }

    #[test]
    fn a_rode_that_cannot_be_is_refused_by_name() {
        let none = vec![];
        assert_eq!(Line::new(vec![], none), Err(LineError::Empty));
        for bad in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            let length = Length::metres(bad);
            assert!(matches!(
                Line::new(vec![chain(1.0), Segment { length, ..chain(1.0) }], vec![]),
                Err(LineError::SegmentLength { segment: 2, .. })
            ));
            let stiffness = Force::newtons(bad);
            assert!(matches!(
                Line::new(vec![Segment { stiffness, ..chain(1.0) }], vec![]),
                Err(LineError::SegmentStiffness { segment: 1, .. })
            ));
        }
        assert!(matches!(
            Line::new(vec![chain(9.0)], vec![kellet(9.1, 1.0)]),
            Err(LineError::KelletPlace { .. })
        ));
        assert!(matches!(
            Line::new(vec![chain(9.0)], vec![kellet(9.0, -1.0)]),
            Err(LineError::KelletWeight { .. })
        ));
    }
}
