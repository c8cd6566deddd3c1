//! Least distance to anything named.

use windrode_domain::plan::sheet::{Instant, LeastRoom, Sheet};
use windrode_domain::units::Length;

use super::heading;
use super::panel::{Panel, Paper};
use super::water;
use crate::drawing::SMALL;
use crate::drawing::scene::{Align, Ink, Pen, point};
use crate::words::{Toward, Voice, clipped, length, length_figure, length_unit, plain};

/// Draws the panel.
pub(super) fn draw(pen: &mut Pen, paper: &Paper, panel: &Panel, sheet: &Sheet, voice: &Voice) {
    heading(pen, panel, &format!("Least distance, {}", length_unit(voice)));
    let named = !sheet.marks.is_empty();
    let can_be_said = sheet.instants.iter().any(|instant| instant.riding.is_some());
    if !named && can_be_said {
        let words = "nothing near her is named: this says nothing of what is there";
        let words = crate::helvetica::fitted(
            words,
            SMALL,
            crate::helvetica::Weight::Regular,
            panel.frame.width() - 8.0,
        );
        pen.text(panel.frame.middle(), &words, SMALL, Align::Middle);
        return;
    }
    let figure =
        |instant: &Instant| instant.least_room.as_ref().map(|least| length_figure(least.room, voice));
    let limits = [sheet.limits.room_refuse, care(sheet)];
    let (scale, mut labels) =
        water::against_limits(pen, paper, panel, (sheet, voice), (&figure, Ink::Neighbour), limits);
    if let Some((least, at)) = least(sheet) {
        let dot = point(paper.x(at), scale.at(length_figure(least.room, voice)));
        let words = format!(
            "{} {}, {}",
            length(least.room, Toward::Less, voice),
            voice.clock.time(at),
            clipped(&least.to, 22)
        );
        Panel::extreme(pen, &mut labels, dot, words);
    }
}

/// The limit of care: one length of hers where the crew set no other.
fn care(sheet: &Sheet) -> Length {
    sheet.limits.room_care_for(sheet.head.length_overall)
}

fn least(sheet: &Sheet) -> Option<(&LeastRoom, jiff::Timestamp)> {
    let known = sheet.instants.iter().filter_map(|instant| Some((instant.least_room.as_ref()?, instant.at)));
    known.min_by(|(a, _), (b, _)| a.room.as_metres().total_cmp(&b.room.as_metres()))
}

/// The panel in words.
pub(super) fn told(sheet: &Sheet, voice: &Voice) -> String {
    match least(sheet) {
        Some((least, at)) => format!(
            "Least distance {} to {} at {}; limits {} and {}.",
            length(least.room, Toward::Less, voice),
            plain(&least.to),
            voice.clock.time(at),
            length(sheet.limits.room_refuse, Toward::More, voice),
            length(care(sheet), Toward::More, voice)
        ),
        None if sheet.marks.is_empty() => "Nothing near her is named.".to_owned(),
        None => "The room cannot be said.".to_owned(),
    }
}
