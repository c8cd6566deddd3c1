//! The findings: what is wrong, or worth knowing, each with its number, its time and what would mend it.
//!
//! Remedies are solved for by laying other lengths, shorter stays, stronger winds on the same board; a remedy that
//! would not do is not offered.

mod chance;
mod notes;
mod parts;
mod room;
mod unknowns;
mod water;

use super::board::Board;
use super::choose::Chosen;
use super::over_stay::OverStay;
use super::sheet::{Finding, MarkAt, PartLine, Remedy, Verdict};
use crate::parts::PartsError;
use crate::units::Length;

pub(super) use notes::{gust_of, proved_gust};

/// What the findings are made from.
#[derive(Clone, Copy)]
pub(super) struct Found<'a> {
    pub(super) board: &'a Board<'a>,
    pub(super) chosen: &'a Chosen,
    pub(super) over: Option<&'a OverStay>,
    pub(super) parts: &'a [PartLine],
    pub(super) no_parts: Option<PartsError>,
    pub(super) remedies: Remedies,
}

/// Whether remedies that take a search are sought.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Remedies {
    /// They are.
    Sought,
    /// They are left out: something is being tried, and the eye waits.
    NotSought,
}

/// What the chance of dragging calls for: it asks nothing of water and room, and takes longest to solve for.
pub(super) fn of_chance(found: Found<'_>) -> Vec<Finding> {
    chance::findings(found)
}

/// All findings, those of the chance among them, most urgent first, and the word that they make.
pub(super) fn findings(found: Found<'_>, of_chance: Vec<Finding>) -> (Verdict, Vec<Finding>) {
    let mut findings = unknowns::findings(found);
    findings.extend(of_chance);
    findings.extend(water::findings(found));
    findings.extend(room::findings(found));
    findings.extend(parts::findings(found));
    findings.extend(notes::findings(found));
    // Worst word first; within a word what comes first in time, and what has no time before all: it holds at once.
    findings.sort_by(|a, b| urgency(b.calls_for).cmp(&urgency(a.calls_for)).then(a.at.cmp(&b.at)));
    let verdict = findings.iter().map(|finding| finding.calls_for).max_by_key(|&word| urgency(word));
    (verdict.unwrap_or(Verdict::LiesWell), findings)
}

/// Rank of a word. A known refusal stands above ignorance: what is unknown cannot mend it.
const fn urgency(verdict: Verdict) -> u8 {
    match verdict {
        Verdict::LiesWell => 0,
        Verdict::LiesWithCare => 1,
        Verdict::CannotSay => 2,
        Verdict::DoNotLieHere => 3,
    }
}

impl Found<'_> {
    /// A length in the crew's marks.
    fn mark(self, length: Length) -> Option<MarkAt> {
        self.board.inputs.gear.rode.marks.as_ref().and_then(|marks| marks.at(length))
    }

    /// Veering to more than is planned.
    fn veer_to(self, length: Length) -> Remedy {
        let planned = self.chosen.laid.as_ref().map_or(Length::ZERO, |laid| laid.length);
        Remedy::VeerTo { length, more: length - planned, mark: self.mark(length) }
    }
}
