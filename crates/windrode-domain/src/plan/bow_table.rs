//! The table for the bow: how much rode for a depth of water and a gust, when the plan's own water and wind do
//! not come.
//!
//! Level ground, head to wind, no stream; windage at its median, sheering as is her habit. The shank is allowed to
//! rise by [`UPLIFT_ALLOWED`]; never less than the trade's fair-weather scope.

use super::board::Board;
use super::choose;
use super::conditions::gust_load;
use super::riding;
use super::sheet::BowTable;
use crate::catenary::{Bed, Need, Stowed, shortest};
use crate::units::{Angle, Length, Speed};

/// Uplift that the table allows in the gust: five degrees cost a quarter of the holding by the harsher (naval) law.
pub const UPLIFT_ALLOWED: Angle = Angle::degrees(5.0);

/// Depths of water of the rows, m.
const DEPTHS_M: [f64; 6] = [3.0, 5.0, 8.0, 12.0, 16.0, 20.0];
/// Gusts of the columns, kn.
const GUSTS_KN: [f64; 4] = [15.0, 25.0, 35.0, 45.0];

/// The table; cells are empty where no length aboard does.
pub(super) fn bow_table(board: &Board<'_>) -> BowTable {
    let marks = board.inputs.gear.rode.marks.as_ref();
    let rode: Vec<Vec<Option<Length>>> = match &board.stowed {
        Ok(stowed) => DEPTHS_M.iter().map(|&depth_m| row(board, stowed, Length::metres(depth_m))).collect(),
        Err(_) => vec![vec![None; GUSTS_KN.len()]; DEPTHS_M.len()],
    };
    let marked = |cell: &Option<Length>| cell.and_then(|length| marks?.at(length));
    BowTable {
        depths: DEPTHS_M.map(Length::metres).to_vec(),
        gusts: GUSTS_KN.map(Speed::knots).to_vec(),
        marks: rode.iter().map(|row| row.iter().map(marked).collect()).collect(),
        rode,
        uplift_allowed: UPLIFT_ALLOWED,
    }
}

fn row(board: &Board<'_>, stowed: &Stowed, depth: Length) -> Vec<Option<Length>> {
    let height = depth + riding::lead_height(board.inputs);
    let fair = height * choose::fair_scope(board);
    let cell = |&gust_kn: &f64| {
        let load =
            gust_load(&board.exposed, board.inputs.exposure, Speed::knots(gust_kn))?.max(riding::LEAST_LOAD);
        let length = shortest(stowed, Need::Uplift(UPLIFT_ALLOWED), height, load, &Bed::LEVEL).ok()?;
        let whole = Length::metres((length.max(fair).as_metres() - 1e-6).ceil());
        (whole <= stowed.length()).then_some(whole)
    };
    GUSTS_KN.iter().map(cell).collect()
}
