//! Soundings, all brought to the water's surface.

use windrode_domain::boat::SounderReads;
use windrode_domain::units::Length;
use windrode_domain::watch::observation::Seen;

use super::ages::{self, Recent};
use super::{Fitted, Hearing, Told, Want};
use crate::nmea0183::depth::{Dpt, Sounding};

/// Ranks: told from the surface, told with its offset, by the boat's own word, below the keel.
const DBS: u8 = 0;
const DPT: u8 = 1;
const DBT: u8 = 2;
const DBK: u8 = 3;

impl Fitted {
    pub(super) fn dbs(&mut self, sounding: &Sounding, hearing: &mut Hearing<'_>) {
        if let Some(depth) = sounding.depth {
            self.say_water(depth, DBS, hearing);
        }
    }

    /// By the offset where it is told and not nothing; nothing is what a sounder tells that nobody has set.
    pub(super) fn dpt(&mut self, dpt: &Dpt, hearing: &mut Hearing<'_>) -> Told {
        let Some(depth) = dpt.below_transducer else { return Ok(()) };
        match dpt.offset.filter(|offset| Length::ZERO != *offset) {
            Some(offset) => {
                self.one(hearing.source).offset = Some(Recent::new(offset, hearing.at));
                self.with_offset(depth, offset, DPT, hearing)
            }
            None => self.by_the_boats_word(depth, DPT, hearing),
        }
    }

    /// The same transducer as DPT's, where that has told its offset.
    pub(super) fn dbt(&mut self, sounding: &Sounding, hearing: &mut Hearing<'_>) -> Told {
        let Some(depth) = sounding.depth else { return Ok(()) };
        let offset =
            self.one(hearing.source).offset.and_then(|offset| offset.fresh(hearing.at, ages::OFFSET));
        match offset {
            Some(offset) => self.with_offset(depth, offset, DBT, hearing),
            None => self.by_the_boats_word(depth, DBT, hearing),
        }
    }

    pub(super) fn dbk(&mut self, sounding: &Sounding, hearing: &mut Hearing<'_>) -> Told {
        let Some(depth) = sounding.depth else { return Ok(()) };
        let draught = self.out.draught.ok_or(Want::Draught)?;
        self.say_water(depth + draught, DBK, hearing);
        Ok(())
    }

    /// A reading that comes without a word of what it is below.
    pub(super) fn reading(&mut self, depth: Length, hearing: &mut Hearing<'_>) -> Told {
        self.by_the_boats_word(depth, DBT, hearing)
    }

    fn with_offset(&mut self, depth: Length, offset: Length, rank: u8, hearing: &mut Hearing<'_>) -> Told {
        let above =
            if Length::ZERO < offset { offset } else { offset + self.out.draught.ok_or(Want::Draught)? };
        self.say_water(depth + above, rank, hearing);
        Ok(())
    }

    fn by_the_boats_word(&mut self, depth: Length, rank: u8, hearing: &mut Hearing<'_>) -> Told {
        let above = match self.out.sounder.ok_or(Want::SounderFitting)? {
            SounderReads::BelowSurface => Length::ZERO,
            SounderReads::BelowTransducer(below_surface) => below_surface,
            SounderReads::BelowKeel => self.out.draught.ok_or(Want::Draught)?,
        };
        self.say_water(depth + above, rank, hearing);
        Ok(())
    }

    fn say_water(&mut self, depth: Length, rank: u8, hearing: &mut Hearing<'_>) {
        if self.one(hearing.source).water.admits(rank, hearing.at) {
            hearing.say(Seen::Water { depth });
        }
    }
}
