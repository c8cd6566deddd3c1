//! Where the anchor truly lay: a table `t_utc,anchor_lat,anchor_lon` beside a recording, and what the watch made of it.
//!
//! Between two lines the anchor goes straight. It *drags* from the instant when it has gone more than three metres from
//! where it lay first: an anchor that sets itself on a pull astern moves less (common practice, no source).

use jiff::Timestamp;
use windrode_domain::position::Position;

use super::table;

/// Metres that an anchor may go without being said to drag.
pub(crate) const DRAG_BEGINS_M: f64 = 3.0;

/// Where the anchor lay.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct AnchorTruth {
    /// In order of time; not empty.
    lay: Vec<(Timestamp, Position)>,
}

impl AnchorTruth {
    /// Reads the table.
    ///
    /// # Errors
    /// Every problem at once.
    pub(crate) fn read(name: &str, bytes: &[u8]) -> Result<Self, Vec<String>> {
        let mut table = table::read_with(name, bytes, ["t_utc", "anchor_lat", "anchor_lon"])?;
        table.put_in_order();
        let lay: Vec<_> = table.rows.iter().filter_map(|row| Some((row.at, row.place?))).collect();
        if lay.is_empty() {
            return Err(vec![format!("{name}: no line says where the anchor lay")]);
        }
        Ok(Self { lay })
    }

    /// Metres that the anchor had gone by an instant; before the first line none, after the last what that says.
    pub(crate) fn gone_m(&self, at: Timestamp) -> f64 {
        let Some(&(_, first)) = self.lay.first() else { return 0.0 };
        let after = self.lay.partition_point(|&(when, _)| when <= at);
        let before = after.checked_sub(1).and_then(|index| self.lay.get(index));
        let offset = |place: Position| first.offset_of(place);
        match (before, self.lay.get(after)) {
            (None, _) => 0.0,
            (Some(&(_, place)), None) => offset(place).length().as_metres(),
            (Some(&(from, a)), Some(&(to, b))) => {
                let share = at.duration_since(from).as_secs_f64() / to.duration_since(from).as_secs_f64();
                let (a, b) = (offset(a), offset(b));
                let (east_m, north_m) =
                    (a.east_m + share * (b.east_m - a.east_m), a.north_m + share * (b.north_m - a.north_m));
                east_m.hypot(north_m)
            }
        }
    }

    /// When the anchor began to drag, if it did: between two lines, where the straight way passes the three metres.
    pub(crate) fn drag_began(&self) -> Option<Timestamp> {
        let passed = self.lay.iter().position(|&(at, _)| DRAG_BEGINS_M < self.gone_m(at))?;
        let &(to, _) = self.lay.get(passed)?;
        let from = passed.checked_sub(1).and_then(|index| self.lay.get(index)).map_or(to, |&(from, _)| from);
        // Halved to a millisecond: the span of two lines is a day at most 2^27 of them.
        let (mut low_ms, mut high_ms) = (from.as_millisecond(), to.as_millisecond());
        while low_ms + 1 < high_ms {
            let middle_ms = low_ms + (high_ms - low_ms) / 2;
            let middle = Timestamp::from_millisecond(middle_ms).ok()?;
            if DRAG_BEGINS_M < self.gone_m(middle) { high_ms = middle_ms } else { low_ms = middle_ms }
        }
        Timestamp::from_millisecond(high_ms).ok()
    }

    /// The farthest that it went.
    pub(crate) fn farthest_m(&self) -> f64 {
        self.lay.iter().map(|&(at, _)| self.gone_m(at)).fold(0.0, f64::max)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn truth(lines: &str) -> AnchorTruth {
        AnchorTruth::read("t.csv", format!("t_utc,anchor_lat,anchor_lon\n{lines}").as_bytes()).unwrap()
    }

    // A minute of latitude at 50° is 1853.9 m (WGS 84): 0.001° is 111.2 m.
    #[test]
    fn the_anchor_goes_straight_between_two_lines() {
        let truth = truth("0,50,-5\n100,50,-5\n200,50.001,-5\n");
        let gone = |second: i64| truth.gone_m(Timestamp::from_second(second).unwrap());
        assert!(gone(-5) < 1e-9 && gone(100) < 1e-6);
        assert!((gone(150) - 55.6).abs() < 0.1 && (gone(900) - 111.2).abs() < 0.1);
        assert!((truth.farthest_m() - 111.2).abs() < 0.1);
        let began = truth.drag_began().unwrap();
        // 3 m of 111.2 m in 100 s.
        let wanted_s = 100.0 + 100.0 * 3.0 / 111.2;
        assert!((began.as_millisecond() as f64 / 1000.0 - wanted_s).abs() < 0.01, "{began}");
    }

    #[test]
    fn an_anchor_that_sets_itself_by_a_metre_or_two_does_not_drag() {
        assert_eq!(truth("0,50,-5\n60,50.00002,-5\n").drag_began(), None);
    }

    #[test]
    fn a_table_without_the_anchor_is_refused() {
        let found = AnchorTruth::read("t.csv", b"t_utc,lat,lon\n0,1,2\n").unwrap_err();
        assert_eq!(found.len(), 2, "{found:?}");
    }
}
