//! What the maker states of a stretch wins, figure by figure, over what a table or a formula says of its kind.
//!
//! A table knows a kind; the maker knows the piece. Whatever he states is taken; for the rest the kind stands in, and
//! where the kind cannot say either, the stretch is refused and the missing figure named.

use super::{Stretch, Stuff};
use crate::uncertain::Origin;
use crate::units::{Force, Length, MassPerLength, WeightPerLength};

/// What the maker states of a stretch of chain or rope; `None` where he says nothing.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct MakersFigures {
    /// Mass of a metre, in air.
    pub mass: Option<MassPerLength>,
    /// Weight of a metre in sea water; negative if it floats.
    pub weight: Option<WeightPerLength>,
    /// Least breaking load, new, dry, unknotted.
    pub breaking_load: Option<Force>,
    /// Load that it may carry day after day.
    pub working_load: Option<Force>,
    /// Axial stiffness `EA`.
    pub stiffness: Option<Force>,
}

/// What a table or formula says of a kind of chain or rope.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct KindFigures {
    pub(super) mass: Option<MassPerLength>,
    pub(super) breaking_load: Option<Force>,
    /// `EA` over the breaking load, where the kind's stiffness goes with its strength.
    pub(super) stiffness: Stiffness,
    pub(super) origin: Origin,
}

/// How a kind's stiffness is known.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Stiffness {
    /// So much.
    Known(Force),
    /// So many times the breaking load.
    TimesBreakingLoad(f64),
    /// Not at all.
    Unknown,
}

/// A stretch that cannot be made up from what is known of it.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum StretchError {
    /// Length, size or a maker's figure is not a positive number.
    #[error("{what} is {value}, which is not a positive number")]
    NotPositive {
        /// Which figure.
        what: &'static str,
        /// Its value in SI.
        value: f64,
    },
    /// The working load is above the breaking load.
    #[error("a working load of {working} is more than the breaking load of {breaking}")]
    WorkingAboveBreaking {
        /// Working load.
        working: Force,
        /// Breaking load.
        breaking: Force,
    },
    /// No table holds the size, and the maker's figures do not fill the gap.
    #[error(
        "no table here holds {kind} of {}; {}, or give {missing} from its maker",
        millimetres(*size),
        nearest_sizes(nearest)
    )]
    NotInTable {
        /// What kind of stuff, with its standard or fibre.
        kind: &'static str,
        /// The size asked for.
        size: Length,
        /// The nearest sizes that the table holds, smaller first.
        nearest: Vec<Length>,
        /// What the maker would have to state.
        missing: &'static str,
    },
    /// The kind has no table at all.
    #[error("{kind} has no table here: give {missing} from its maker")]
    NoTable {
        /// What kind of stuff.
        kind: &'static str,
        /// What the maker would have to state.
        missing: &'static str,
    },
}

/// A nominal size as the trade says it.
pub(super) fn millimetres(size: Length) -> String {
    let tenths = (size.as_metres() * 10_000.0).round() / 10.0;
    format!("{tenths} mm")
}

fn nearest_sizes(nearest: &[Length]) -> String {
    let names: Vec<String> = nearest.iter().map(|&size| millimetres(size)).collect();
    format!("the nearest sizes are {}", names.join(" and "))
}

/// The sizes of a table next below and next above one that it does not hold.
pub(super) fn neighbours_of(size_mm: f64, sizes_mm: impl Iterator<Item = f64>) -> Vec<Length> {
    let (mut below, mut above) = (None::<f64>, None::<f64>);
    for listed in sizes_mm {
        if listed < size_mm {
            below = Some(below.map_or(listed, |other| other.max(listed)));
        } else {
            above = Some(above.map_or(listed, |other| other.min(listed)));
        }
    }
    [below, above].into_iter().flatten().map(|mm| Length::metres(mm / 1000.0)).collect()
}

/// Whether two nominal sizes are the same: to half a tenth of a millimetre, what a label is rounded to.
pub(super) fn is_size(listed_mm: f64, size: Length) -> bool {
    (listed_mm - size.as_metres() * 1000.0).abs() < 0.05
}

impl MakersFigures {
    /// Refuses figures that no chain or rope has.
    pub(super) fn checked(self, length: Length, size: Length) -> Result<Self, StretchError> {
        let figures = [
            ("length", Some(length.as_metres())),
            ("size", Some(size.as_metres())),
            ("mass of a metre", self.mass.map(MassPerLength::as_kilograms_per_metre)),
            ("breaking load", self.breaking_load.map(Force::as_newtons)),
            ("working load", self.working_load.map(Force::as_newtons)),
            ("stiffness", self.stiffness.map(Force::as_newtons)),
        ];
        for (what, value) in figures {
            if let Some(value) = value.filter(|value| !(0.0 < *value && value.is_finite())) {
                return Err(StretchError::NotPositive { what, value });
            }
        }
        match self.weight.map(WeightPerLength::as_newtons_per_metre).filter(|weight| !weight.is_finite()) {
            Some(value) => Err(StretchError::NotPositive { what: "weight in water", value }),
            None => Ok(self),
        }
    }

    /// Fills what the maker does not say from the kind; `None` when mass, strength or stiffness stay unknown.
    ///
    /// `working_share` is the part of the strength left that the kind may carry day after day.
    pub(super) fn complete(self, kind: KindFigures, piece: Piece) -> Option<Result<Stretch, StretchError>> {
        let mass = self.mass.or(kind.mass)?;
        let breaking_load = self.breaking_load.or(kind.breaking_load)?;
        let stiffness = self.stiffness.or(match kind.stiffness {
            Stiffness::Known(stiffness) => Some(stiffness),
            Stiffness::TimesBreakingLoad(times) => Some(breaking_load * times),
            Stiffness::Unknown => None,
        })?;
        let weight = self.weight.or_else(|| Stretch::weight_in_water(piece.stuff, mass))?;
        let working_load =
            self.working_load.unwrap_or(breaking_load * (piece.strength_left * piece.working_share));
        if breaking_load < working_load {
            return Some(Err(StretchError::WorkingAboveBreaking {
                working: working_load,
                breaking: breaking_load,
            }));
        }
        Some(Ok(Stretch {
            name: piece.name,
            stuff: piece.stuff,
            length: piece.length,
            mass,
            weight,
            breaking_load,
            strength_left: piece.strength_left,
            working_load,
            stiffness,
            // The word stands beside the strength wherever it is shown.
            origin: if self.breaking_load.is_some() { Origin::Given } else { kind.origin },
        }))
    }
}

/// What is known of one stretch apart from its figures.
pub(super) struct Piece {
    pub(super) name: String,
    pub(super) stuff: Stuff,
    pub(super) length: Length,
    pub(super) strength_left: f64,
    pub(super) working_share: f64,
}
