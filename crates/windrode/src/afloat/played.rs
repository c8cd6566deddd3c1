//! The stay as it is played, second by second: what is true, and all that is said of it.

use jiff::{SignedDuration, Timestamp};
use rand_pcg::Pcg64;
use windrode_domain::simulate::voyage::{Lived, Voyage};
use windrode_domain::units::Length;
use windrode_domain::watch::observation::Observation;

use super::Now;
use super::bay::Bay;
use super::company::Company;
use super::instruments;
use crate::nights::{NightOf, generator};

/// A stay being played.
#[derive(Debug)]
pub(super) struct Play {
    voyage: Voyage,
    company: Company,
    rng: Pcg64,
    readings: Vec<Observation>,
    spread_m: f64,
    second: u32,
}

impl Play {
    /// At its beginning.
    ///
    /// # Errors
    /// In words, why it cannot be lived.
    pub(super) fn new(bay: Bay, seed: u64) -> Result<Self, String> {
        let mut rng = generator(NightOf { seed, number: 0 });
        let receiver = &bay.voyage.lying.sensors.receiver;
        let spread_m = receiver.slow.0.hypot(receiver.quick.0).hypot(receiver.white_m);
        Ok(Self {
            voyage: Voyage::new(bay.voyage, &mut rng).map_err(|error| error.to_string())?,
            company: Company::new(bay.anchored, bay.ship, seed)?,
            rng,
            readings: Vec::new(),
            spread_m,
            second: 0,
        })
    }

    /// When it begins.
    pub(super) const fn start(&self) -> Timestamp {
        self.voyage.start()
    }
    /// The instant that it has come to.
    pub(super) fn at(&self) -> Timestamp {
        let gone = SignedDuration::from_secs(self.second.into());
        self.start().checked_add(gone).unwrap_or(Timestamp::MAX)
    }
    /// Where it is before its first second.
    pub(super) fn now(&self) -> Now {
        Now {
            at: self.at(),
            phase: self.voyage.phase(),
            anchor: self.voyage.position(self.voyage.story().comes_from),
            rode_out: Length::ZERO,
            happened: Vec::new(),
        }
    }
    /// What was true of the neighbours.
    #[cfg(test)]
    pub(super) const fn company(&self) -> &Company {
        &self.company
    }

    /// One second on; what is said in it is appended.
    pub(super) fn second(&mut self, out: &mut String) -> Lived {
        self.second += 1;
        self.readings.clear();
        let lived = self.voyage.second(&mut self.rng, &mut self.readings);
        instruments::write(&self.readings, &lived.truth, self.spread_m, out);
        self.company.second(out);
        lived
    }
}

/// Notes where the play has come to.
pub(super) fn note(now: &mut Now, play: &Play, lived: &Lived, most: usize) {
    now.at = lived.truth.at;
    now.phase = lived.phase;
    now.anchor = play.voyage.position(lived.truth.anchor);
    now.rode_out = lived.rode_out;
    let room = most.saturating_sub(now.happened.len());
    now.happened.extend(lived.happened.iter().take(room).map(|&what| (lived.truth.at, what)));
}
