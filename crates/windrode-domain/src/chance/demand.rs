//! What a load at the bow does at the anchor: how much chain still lies, and how far the shank is lifted.

use crate::holding::{NAVAL_UPLIFT, SCOPE_UPLIFT, naval_uplift_factor, scope_uplift_factor};
use crate::units::{Angle, Force};

/// One row of a demand curve: how the rode lies under a load.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DemandNode {
    /// Horizontal load at the bow.
    pub bow: Force,
    /// Weight in water of the chain lying on the ground.
    pub chain_lying: Force,
    /// Uplift at the shank, above the ground.
    pub uplift: Angle,
}

/// How the rode lies under every load, straight between rows, for one depth and one length of rode.
///
/// Below the first row its chain and uplift are taken. Loads beyond the last row count as more than the ground holds:
/// let the table reach beyond what the gear can bear. Rows are added inside where the uplift passes a corner of
/// either uplift law, so that what uplift leaves is straight between rows too.
#[derive(Clone, Debug, PartialEq)]
pub struct DemandCurve {
    rows: Vec<Row>,
}

/// A row in the numbers of the inner loop.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Row {
    bow_n: f64,
    lying_n: f64,
    uplift_deg: f64,
    /// What uplift leaves by the harsher law, and what the milder leaves above that.
    harsh: f64,
    milder_by: f64,
}

/// A table that no rode follows.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum DemandError {
    /// Fewer than two rows.
    #[error("a demand curve needs two rows at least, not {0}")]
    TooFewRows(usize),
    /// A figure is negative, infinite or no number, or an uplift passes 90°.
    #[error("row {row} has {what} of {value}, which cannot be")]
    Impossible {
        /// Which row, from 0.
        row: usize,
        /// Which figure.
        what: &'static str,
        /// What was said: newtons or degrees.
        value: f64,
    },
    /// More load must not lay chain down nor lower the shank.
    #[error("row {row} turns back: bow loads must rise, chain lying must not, uplift must not fall")]
    TurnsBack {
        /// Which row, from 0.
        row: usize,
    },
}

impl DemandCurve {
    /// From rows in order of rising bow load.
    ///
    /// # Errors
    /// [`DemandError`] for the first row that cannot be.
    pub fn new(nodes: &[DemandNode]) -> Result<Self, DemandError> {
        let (Some(first), true) = (nodes.first(), 2 <= nodes.len()) else {
            return Err(DemandError::TooFewRows(nodes.len()));
        };
        for (row, node) in nodes.iter().enumerate() {
            let figures = [
                ("a bow load", node.bow.as_newtons(), f64::MAX),
                ("a weight of chain", node.chain_lying.as_newtons(), f64::MAX),
                ("an uplift", node.uplift.as_degrees(), 90.0),
            ];
            for (what, value, most) in figures {
                if !(0.0 <= value && value <= most) {
                    return Err(DemandError::Impossible { row, what, value });
                }
            }
        }
        for (row, pair) in nodes.windows(2).enumerate() {
            let [low, high] = pair else { continue };
            let onward =
                low.bow < high.bow && high.chain_lying <= low.chain_lying && low.uplift <= high.uplift;
            if !onward {
                return Err(DemandError::TurnsBack { row: row + 1 });
            }
        }
        let mut rows = vec![Row::of(0.0, first.chain_lying.as_newtons(), first.uplift.as_degrees())];
        for node in nodes {
            let next =
                Row::of(node.bow.as_newtons(), node.chain_lying.as_newtons(), node.uplift.as_degrees());
            append_with_corners(&mut rows, next);
        }
        Ok(Self { rows })
    }

    /// The bow load at which the ground gives: holding at no uplift, place between the uplift laws, friction.
    pub(super) fn critical_n(&self, holding_n: f64, u: f64, friction: f64) -> f64 {
        let spare =
            |row: &Row| holding_n * (row.harsh + u * row.milder_by) - (row.bow_n - friction * row.lying_n);
        self.crossing(spare)
    }

    /// The bow load that brings a load to the shank.
    pub(super) fn bow_for_shank_n(&self, shank_n: f64, friction: f64) -> f64 {
        self.crossing(|row| shank_n - (row.bow_n - friction * row.lying_n))
    }

    /// The bow load up to which the shank is lifted no further than this.
    pub(super) fn bow_for_uplift_n(&self, uplift: Angle) -> f64 {
        let limit_deg = uplift.as_degrees();
        let after = self.rows.partition_point(|row| row.uplift_deg <= limit_deg);
        match (after.checked_sub(1).and_then(|i| self.rows.get(i)), self.rows.get(after)) {
            (Some(low), Some(high)) => {
                let part = (limit_deg - low.uplift_deg) / (high.uplift_deg - low.uplift_deg);
                low.bow_n + (high.bow_n - low.bow_n) * part
            }
            (Some(last), None) => last.bow_n,
            (None, _) => 0.0,
        }
    }

    /// Where something that falls with the bow load, straight between rows, passes nothing: the last row if it never
    /// does, no load at all if it never was above.
    fn crossing(&self, spare: impl Fn(&Row) -> f64) -> f64 {
        let after = self.rows.partition_point(|row| 0.0 < spare(row));
        match (after.checked_sub(1).and_then(|i| self.rows.get(i)), self.rows.get(after)) {
            (Some(low), Some(high)) => {
                let (above, below) = (spare(low), spare(high));
                low.bow_n + (high.bow_n - low.bow_n) * above / (above - below)
            }
            (Some(last), None) => last.bow_n,
            (None, _) => 0.0,
        }
    }
}

impl Row {
    fn of(bow_n: f64, lying_n: f64, uplift_deg: f64) -> Self {
        let uplift = Angle::degrees(uplift_deg);
        let harsh = naval_uplift_factor(uplift);
        Self { bow_n, lying_n, uplift_deg, harsh, milder_by: scope_uplift_factor(uplift) - harsh }
    }
}

/// Adds a row, and before it one for every corner of the uplift laws between the last row and it.
fn append_with_corners(rows: &mut Vec<Row>, next: Row) {
    let Some(&last) = rows.last() else {
        rows.push(next);
        return;
    };
    if next.bow_n <= last.bow_n {
        return;
    }
    let mut corners: Vec<f64> =
        NAVAL_UPLIFT.iter().chain(&SCOPE_UPLIFT).map(|&(corner_deg, _)| corner_deg).collect();
    corners.sort_by(f64::total_cmp);
    for corner_deg in corners {
        if last.uplift_deg < corner_deg && corner_deg < next.uplift_deg {
            let part = (corner_deg - last.uplift_deg) / (next.uplift_deg - last.uplift_deg);
            let between = |from: f64, to: f64| from + (to - from) * part;
            rows.push(Row::of(
                between(last.bow_n, next.bow_n),
                between(last.lying_n, next.lying_n),
                corner_deg,
            ));
        }
    }
    rows.push(next);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::holding::uplift_factor;

    fn node(bow_n: f64, lying_n: f64, uplift_deg: f64) -> DemandNode {
        DemandNode {
            bow: Force::newtons(bow_n),
            chain_lying: Force::newtons(lying_n),
            uplift: Angle::degrees(uplift_deg),
        }
    }

    fn curve() -> DemandCurve {
        let nodes = [
            node(200.0, 500.0, 0.0),
            node(2000.0, 0.0, 0.0),
            node(8000.0, 0.0, 13.0),
            node(60_000.0, 0.0, 48.0),
        ];
        DemandCurve::new(&nodes).unwrap()
    }

    // Solved by walking the bow load up in newtons and comparing both sides of the definition.
    #[test]
    fn the_critical_load_is_where_both_sides_of_the_definition_meet() {
        let curve = curve();
        let between = |bow: f64, table: [(f64, f64); 5]| {
            let i = (1..4).find(|&i| bow <= table[i].0).unwrap_or(4);
            let ((x0, y0), (x1, y1)) = (table[i - 1], table[i]);
            y0 + (y1 - y0) * (bow - x0) / (x1 - x0)
        };
        let lying = [(0.0, 500.0), (200.0, 500.0), (2000.0, 0.0), (8000.0, 0.0), (60_000.0, 0.0)];
        let lifted = [(0.0, 0.0), (200.0, 0.0), (2000.0, 0.0), (8000.0, 13.0), (60_000.0, 48.0)];
        for holding in [50.0, 900.0, 3000.0, 7000.0, 30_000.0] {
            for u in [0.0, 0.3, 1.0] {
                let gives = (1..60_000).map(f64::from).find(|&bow| {
                    let shank = bow - 0.8 * between(bow, lying);
                    holding * uplift_factor(Angle::degrees(between(bow, lifted)), u) < shank
                });
                let found = curve.critical_n(holding, u, 0.8);
                // The walk goes by whole newtons.
                assert!((found - gives.unwrap()).abs() <= 1.0, "{holding} {u}: {found} {gives:?}");
            }
        }
    }

    #[test]
    fn loads_beyond_the_table_count_as_too_much() {
        assert!((curve().critical_n(1e9, 1.0, 0.8) - 60_000.0).abs() < 60_000.0);
        let flat = DemandCurve::new(&[node(0.0, 0.0, 0.0), node(5000.0, 0.0, 0.0)]).unwrap();
        assert!((flat.critical_n(1e9, 1.0, 0.8) - 5000.0).abs() < 1e-9);
    }

    #[test]
    fn the_shank_is_lifted_no_further_than_this_up_to_a_load() {
        assert!((curve().bow_for_uplift_n(Angle::degrees(0.0)) - 2000.0).abs() < 1e-9);
        assert!((curve().bow_for_uplift_n(Angle::degrees(6.5)) - 5000.0).abs() < 1e-6);
        assert!((curve().bow_for_uplift_n(Angle::degrees(60.0)) - 60_000.0).abs() < 1e-9);
    }

    #[test]
    fn friction_keeps_its_part_from_the_shank() {
        assert!((curve().bow_for_shank_n(0.0, 0.5) - 337.5).abs() < 200.0);
        assert!((curve().bow_for_shank_n(3000.0, 0.5) - 3000.0).abs() < 1e-9);
    }

    #[test]
    fn a_table_that_turns_back_is_refused() {
        assert!(matches!(DemandCurve::new(&[node(1.0, 0.0, 0.0)]), Err(DemandError::TooFewRows(1))));
        let turns = |a, b| matches!(DemandCurve::new(&[a, b]), Err(DemandError::TurnsBack { row: 1 }));
        assert!(turns(node(2.0, 0.0, 0.0), node(1.0, 0.0, 0.0)));
        assert!(turns(node(1.0, 0.0, 0.0), node(2.0, 9.0, 0.0)));
        assert!(turns(node(1.0, 0.0, 5.0), node(2.0, 0.0, 4.0)));
        let odd = [node(1.0, 0.0, 0.0), node(f64::NAN, 0.0, 0.0)];
        assert!(matches!(DemandCurve::new(&odd), Err(DemandError::Impossible { row: 1, .. })));
    }
}
