//! Water under the keel, with the limits below which she does not lie, or lies with care.

use windrode_domain::plan::sheet::{Instant, Sheet};
use windrode_domain::units::Length;

use super::heading;
use super::panel::{Figure, Panel, Paper};
use crate::drawing::axes::Scale;
use crate::drawing::labels::Labels;
use crate::drawing::scene::{Broken, Ink, Pen, broken, point, solid};
use crate::words::{Toward, Voice, length, length_figure, length_unit};

/// Draws the panel.
pub(super) fn draw(pen: &mut Pen, paper: &Paper, panel: &Panel, sheet: &Sheet, voice: &Voice) {
    heading(pen, panel, &format!("Water under keel, {}", length_unit(voice)));
    let figure = |instant: &Instant| instant.under_keel.map(|water| length_figure(water, voice));
    let limits = [sheet.limits.under_keel_refuse, sheet.limits.under_keel_care];
    let (scale, mut labels) =
        against_limits(pen, paper, panel, (sheet, voice), (&figure, Ink::Water), limits);
    if let Some((water, at)) = least(sheet) {
        let dot = point(paper.x(at), scale.at(length_figure(water, voice)));
        let words = format!("{} {}", length(water, Toward::Less, voice), voice.clock.time(at));
        Panel::extreme(pen, &mut labels, dot, words);
    }
}

/// A length along time against the limits of refusal and care: its scale, and the labels' room that is left.
pub(super) fn against_limits(
    pen: &mut Pen,
    paper: &Paper,
    panel: &Panel,
    (sheet, voice): (&Sheet, &Voice),
    (figure, ink): (Figure<'_>, Ink),
    [refuse, care]: [Length; 2],
) -> (Scale, Labels) {
    let known: Vec<f64> = sheet.instants.iter().filter_map(figure).collect();
    let low = known.iter().copied().fold(0.0, f64::min);
    let high = known.iter().copied().fold(length_figure(care, voice) * 1.5, f64::max);
    let scale = panel.scale(low, high);
    panel.figures(pen, scale, low, high);
    let mut labels = Labels::new(panel.frame.inset(1.0));
    for gap in panel.gaps(pen, paper, sheet, figure) {
        labels.keep_clear(gap);
    }
    let places = Panel::places(paper, scale, sheet, figure);
    Panel::series(pen, &mut labels, places, solid(ink, 2.0));
    limits(pen, &mut labels, panel, scale, [refuse, care], voice);
    (scale, labels)
}

/// The two limits of a panel as lines, explained in its heading.
fn limits(
    pen: &mut Pen,
    labels: &mut Labels,
    panel: &Panel,
    scale: Scale,
    [refuse, care]: [Length; 2],
    voice: &Voice,
) {
    let strokes = [solid(Ink::Danger, 1.2), broken(Ink::Danger, 1.2, Broken::Dashed)];
    for (limit, stroke) in [refuse, care].into_iter().zip(strokes) {
        let y = scale.at(length_figure(limit, voice));
        panel.level(pen, y, stroke);
        labels.keep_off(&[point(panel.frame.left, y), point(panel.frame.right, y)]);
    }
    let words = [("not below", refuse), ("care below", care)]
        .map(|(words, limit)| format!("{words} {}", length(limit, Toward::More, voice)));
    let [refuse_words, care_words] = &words;
    let [refuse_stroke, care_stroke] = strokes;
    panel.legend(pen, &[(refuse_words, refuse_stroke), (care_words, care_stroke)]);
}

fn least(sheet: &Sheet) -> Option<(Length, jiff::Timestamp)> {
    let known =
        sheet.instants.iter().filter_map(|instant| instant.under_keel.map(|water| (water, instant.at)));
    known.min_by(|(a, _), (b, _)| a.as_metres().total_cmp(&b.as_metres()))
}

/// The panel in words.
pub(super) fn told(sheet: &Sheet, voice: &Voice) -> String {
    let known = sheet.instants.iter().filter(|instant| instant.under_keel.is_some()).count();
    let Some((water, at)) = least(sheet) else {
        return "The water under the keel cannot be said.".to_owned();
    };
    let gap = if known < sheet.instants.len() { " For some of the stay it cannot be said." } else { "" };
    format!(
        "Least water under the keel {} at {}; limits {} and {}.{gap}",
        length(water, Toward::Less, voice),
        voice.clock.time(at),
        length(sheet.limits.under_keel_refuse, Toward::More, voice),
        length(sheet.limits.under_keel_care, Toward::More, voice)
    )
}
