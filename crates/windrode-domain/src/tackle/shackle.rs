//! Bow shackles: the working load limit that their size is forged for.
//!
//! Source: US Federal Specification RR-C-271, type IVA, grade A, whose working load limits stand a sixfold breaking
//! load (from memory). The specification is in inches; the chandler's metric name of each size stands beside it, the
//! pin taken into account by the trade's rule of one size above the chain. A shackle without its mark is not one of
//! these: most small stainless ones state less.

use super::makers_figures::{is_size, millimetres, neighbours_of};
use super::{Connector, Joins};
use crate::uncertain::Origin;
use crate::units::{Force, GRAVITY_M_S2, Length};

/// One size of shackle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ShackleSize {
    /// The chandler's metric name, mm.
    pub nominal_mm: f64,
    /// Diameter of the bow, inches.
    pub bow_in: f64,
    /// Working load limit, metric tonnes.
    pub working_t: f64,
}

/// RR-C-271 type IVA grade A as remembered.
#[rustfmt::skip]
pub const SHACKLES: [ShackleSize; 7] = [
    ShackleSize { nominal_mm:  6.0, bow_in: 1.0 / 4.0,  working_t: 0.5 },
    ShackleSize { nominal_mm:  8.0, bow_in: 5.0 / 16.0, working_t: 0.75 },
    ShackleSize { nominal_mm: 10.0, bow_in: 3.0 / 8.0,  working_t: 1.0 },
    ShackleSize { nominal_mm: 11.0, bow_in: 7.0 / 16.0, working_t: 1.5 },
    ShackleSize { nominal_mm: 13.0, bow_in: 1.0 / 2.0,  working_t: 2.0 },
    ShackleSize { nominal_mm: 16.0, bow_in: 5.0 / 8.0,  working_t: 3.25 },
    ShackleSize { nominal_mm: 19.0, bow_in: 3.0 / 4.0,  working_t: 4.75 },
];

/// Breaking load over working load limit that the specification asks for.
pub const SHACKLE_SAFETY_FACTOR: f64 = 6.0;

/// A shackle that the table does not hold.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[error(
    "no table here holds a shackle of {}; the nearest sizes are {}, or give its working load and breaking load",
    millimetres(*size),
    nearest.iter().map(|&size| millimetres(size)).collect::<Vec<_>>().join(" and ")
)]
pub struct UnknownShackle {
    /// The size asked for.
    pub size: Length,
    /// The nearest sizes that the table holds, smaller first.
    pub nearest: Vec<Length>,
}

impl Connector {
    /// A forged bow shackle of a size by its metric name.
    ///
    /// # Errors
    /// [`UnknownShackle`] names the nearest sizes; nothing is interpolated.
    pub fn shackle(name: String, joins: Joins, size: Length) -> Result<Self, UnknownShackle> {
        let row =
            SHACKLES.iter().find(|row| is_size(row.nominal_mm, size)).ok_or_else(|| UnknownShackle {
                size,
                nearest: neighbours_of(size.as_metres() * 1000.0, SHACKLES.iter().map(|row| row.nominal_mm)),
            })?;
        let working_load = Force::newtons(row.working_t * 1000.0 * GRAVITY_M_S2);
        Ok(Self {
            name,
            joins,
            breaking_load: working_load * SHACKLE_SAFETY_FACTOR,
            working_load,
            origin: Origin::Assumed,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shackle(size_mm: f64) -> Result<Connector, UnknownShackle> {
        Connector::shackle("anchor shackle".to_owned(), Joins::AnchorToRode, Length::metres(size_mm / 1000.0))
    }

    // RR-C-271 type IVA grade A, from memory: 3/8 in carries 1 t with a safety factor of 6.
    #[test]
    fn a_three_eighths_shackle_carries_a_tonne() {
        let shackle = shackle(10.0).unwrap();
        assert!((shackle.working_load.as_newtons() - 9806.65).abs() < 1e-9);
        assert!((shackle.breaking_load.as_newtons() - 58_839.9).abs() < 1e-6);
    }

    #[test]
    fn every_metric_name_is_its_inch_size_to_half_a_millimetre() {
        for row in &SHACKLES {
            // 12.7 is called 13 and 9.5 is called 10: half a millimetre either way.
            assert!((row.nominal_mm - row.bow_in * 25.4).abs() < 0.5, "{} mm", row.nominal_mm);
        }
    }

    #[test]
    fn working_load_goes_roughly_with_the_square_of_the_bow() {
        for row in &SHACKLES {
            let per_square = row.working_t / (row.bow_in * row.bow_in);
            // 7.1 to 8.5 t a square inch over the whole table.
            assert!((7.0..8.6).contains(&per_square), "{} in: {per_square}", row.bow_in);
        }
    }

    #[test]
    fn a_size_that_is_not_made_is_refused_with_its_neighbours() {
        assert_eq!(
            shackle(12.0).unwrap_err().to_string(),
            "no table here holds a shackle of 12 mm; the nearest sizes are 11 mm and 13 mm, or give its working load \
             and breaking load"
        );
    }
}
