//! Water and room over the whole stay, with the rode as laid.

use core::ops::Range;

use jiff::Timestamp;

use super::Hands;
use super::board::Board;
use super::laid::Laid;
use super::sheet::LeastRoom;
use crate::swing::Room;
use crate::units::Length;

/// The least room to one thing over the stay.
#[derive(Clone, Debug, PartialEq)]
pub struct LeastRoomTo {
    /// The room, where it is least.
    pub room: Room,
    /// When it first is.
    pub at: Timestamp,
    /// The instant's place among all.
    pub index: usize,
}

/// Water and room at every instant.
#[derive(Clone, Debug, PartialEq)]
pub struct OverStay {
    /// Least water under the keel, on the unfavourable side; `None` where it cannot be said.
    pub under_keel: Vec<Option<Length>>,
    /// The thing that is nearest.
    pub nearest: Vec<Option<LeastRoom>>,
    /// Least room to each thing over the stay.
    pub least: Vec<LeastRoomTo>,
}

impl OverStay {
    /// Works it out, the two halves of the stay by two hands.
    pub fn of(board: &Board<'_>, laid: &Laid, hands: &impl Hands) -> Self {
        let all = board.conditions.len();
        let (mut over, then) =
            hands.both(|| Self::within(board, laid, 0..all / 2), || Self::within(board, laid, all / 2..all));
        over.under_keel.extend(then.under_keel);
        over.nearest.extend(then.nearest);
        for least in then.least {
            over.take(least);
        }
        over
    }

    fn within(board: &Board<'_>, laid: &Laid, indices: Range<usize>) -> Self {
        let mut over = Self { under_keel: Vec::new(), nearest: Vec::new(), least: Vec::new() };
        let conditions = board.conditions.get(indices.clone()).unwrap_or(&[]);
        for (index, conditions) in indices.zip(conditions) {
            over.under_keel.push(laid.under_keel(board, index));
            let rooms = laid.rooms(board, index);
            let nearest = rooms.iter().min_by(|a, b| a.least.as_metres().total_cmp(&b.least.as_metres()));
            over.nearest.push(nearest.map(|room| LeastRoom { to: room.to.clone(), room: room.least }));
            for room in rooms {
                over.take(LeastRoomTo { room, at: conditions.at, index });
            }
        }
        over
    }

    fn take(&mut self, new: LeastRoomTo) {
        match self.least.iter_mut().find(|known| known.room.to == new.room.to) {
            Some(known) if new.room.least < known.room.least => *known = new,
            Some(_) => {}
            None => self.least.push(new),
        }
    }

    /// The least water under the keel over the stay and its place; `None` where none can be said.
    pub fn least_under_keel(&self) -> Option<(usize, Length)> {
        let known = self.under_keel.iter().enumerate().filter_map(|(index, keel)| Some((index, (*keel)?)));
        known.min_by(|a, b| a.1.as_metres().total_cmp(&b.1.as_metres()))
    }
}
