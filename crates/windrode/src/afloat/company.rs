//! Who else is about: boats at anchor that are lived like her, and a ship that passes; all told by their transponders.

use rand_pcg::Pcg64;
use windrode_domain::simulate::ais_neighbour::{NeighbourNight, Transponder};
use windrode_domain::simulate::passing::Passage;
use windrode_domain::simulate::{Scenario, Truth};
use windrode_wire::ais::particulars::Particulars;

use crate::nights::{NightOf, generator, transponder_words};

/// Particulars are sent so often, s (ITU-R M.1371-5, annex 1: every 6 minutes).
const PARTICULARS_S: u32 = 360;

/// A boat at anchor near by.
#[derive(Clone, Debug)]
pub(super) struct Anchored {
    /// Her identity.
    pub(super) mmsi: u32,
    /// Her transponder.
    pub(super) transponder: Transponder,
    /// What she says that she is.
    pub(super) particulars: Particulars,
    /// Her night.
    pub(super) scenario: Scenario,
}

/// A ship on her way.
#[derive(Clone, Debug)]
pub(super) struct Passing {
    /// What she says that she is.
    pub(super) particulars: Particulars,
    /// Her passages.
    pub(super) passages: Vec<Passage>,
}

/// All of them, being lived.
#[derive(Debug)]
pub(super) struct Company {
    anchored: Vec<(Anchored, NeighbourNight, Pcg64)>,
    ship: Passing,
    /// What was true of the anchored at the end of the last second, in their order.
    truths: Vec<Truth>,
}

impl Company {
    /// Each with chance of her own; the first number is for the boat that they lie about.
    ///
    /// # Errors
    /// In words, why one of their nights cannot be lived.
    pub(super) fn new(anchored: Vec<Anchored>, ship: Passing, seed: u64) -> Result<Self, String> {
        let begun = (1..).zip(anchored).map(|(number, it)| {
            let mut rng = generator(NightOf { seed, number });
            NeighbourNight::new(it.scenario.clone(), it.transponder, it.mmsi, &mut rng)
                .map(|night| (it, night, rng))
                .map_err(|error| error.to_string())
        });
        Ok(Self { anchored: begun.collect::<Result<_, _>>()?, ship, truths: Vec::new() })
    }

    /// What was true of the anchored.
    #[cfg(test)]
    pub(super) fn truths(&self) -> &[Truth] {
        &self.truths
    }

    /// One second on; what they send is appended.
    pub(super) fn second(&mut self, out: &mut String) {
        self.truths.clear();
        for (index, (it, night, rng)) in (0..).zip(&mut self.anchored) {
            let (truth, report) = night.second(rng);
            // Not all in the same second.
            if (truth.second + 60 * index) % PARTICULARS_S == 1 {
                transponder_words::particulars(it.transponder, it.mmsi, &it.particulars, out);
            }
            if let Some(report) = report {
                transponder_words::position(it.transponder, &report, out);
            }
            self.truths.push(truth);
        }
        let Some(&Truth { second, at, .. }) = self.truths.first() else { return };
        for passage in &self.ship.passages {
            let Some(report) = passage.report(second, at) else { continue };
            if second.abs_diff(passage.from_s).is_multiple_of(PARTICULARS_S) {
                transponder_words::particulars(
                    Transponder::ClassA,
                    passage.mmsi,
                    &self.ship.particulars,
                    out,
                );
            }
            transponder_words::position(Transponder::ClassA, &report, out);
        }
    }
}
