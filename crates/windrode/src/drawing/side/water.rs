//! The water from the side: highest, lowest, and at the moment drawn.

use jiff::Timestamp;
use windrode_domain::plan::sheet::{RodeCurve, Sheet};
use windrode_domain::units::Length;

use super::{Profile, instant_at};
use crate::drawing::SMALL;
use crate::drawing::labels::Labels;
use crate::drawing::scene::{Broken, Ink, Pen, Stroke, broken, point, solid};
use crate::helvetica::{self, Weight};
use crate::words::{Toward, Voice, length};

/// The highest water at the anchor, and when.
pub(super) fn highest(sheet: &Sheet) -> Option<(Length, Timestamp)> {
    levels_told(sheet).max_by(|(a, _), (b, _)| a.as_metres().total_cmp(&b.as_metres()))
}

/// The lowest water at the anchor, and when.
fn lowest(sheet: &Sheet) -> Option<(Length, Timestamp)> {
    levels_told(sheet).min_by(|(a, _), (b, _)| a.as_metres().total_cmp(&b.as_metres()))
}

fn levels_told(sheet: &Sheet) -> impl Iterator<Item = (Length, Timestamp)> {
    sheet.instants.iter().filter_map(|instant| instant.water.map(|water| (water, instant.at)))
}

/// The level of the moment drawn.
fn level_of(sheet: &Sheet, shown: Option<&RodeCurve>) -> Option<Length> {
    let curve = shown?;
    instant_at(sheet, curve.at).and_then(|instant| instant.water).or(Some(curve.water))
}

/// A wash up to the level of the moment, or to the lowest when no moment is drawn.
pub(super) fn body(pen: &mut Pen, profile: &Profile, sheet: &Sheet, shown: Option<&RodeCurve>) {
    let level = level_of(sheet, shown).or_else(|| lowest(sheet).map(|(level, _)| level));
    if let Some(level) = level {
        let frame = profile.frame;
        let y = profile.level(level).max(frame.top);
        pen.area(
            vec![
                point(frame.left, y),
                point(frame.right, y),
                point(frame.right, frame.bottom),
                point(frame.left, frame.bottom),
            ],
            Ink::WaterWash,
        );
    }
}

/// The levels as lines, each with its depth at the anchor and its time.
pub(super) fn levels(
    pen: &mut Pen,
    labels: &mut Labels,
    profile: &Profile,
    sheet: &Sheet,
    shown: Option<&RodeCurve>,
    voice: &Voice,
) {
    let frame = profile.frame;
    let told = |word: &str, level: Length, toward: Toward, at: Timestamp| {
        format!("{word} {} {}", length(level, toward, voice), voice.clock.time(at))
    };
    let mut lines: Vec<(Length, String, Stroke)> = Vec::new();
    if let Some((level, at)) = highest(sheet) {
        lines.push((
            level,
            told("highest", level, Toward::More, at),
            broken(Ink::Water, 1.2, Broken::Dashed),
        ));
    }
    if let Some((level, at)) = lowest(sheet) {
        lines.push((level, told("lowest", level, Toward::Less, at), broken(Ink::Water, 1.2, Broken::Dotted)));
    }
    if let (Some(level), Some(curve)) = (level_of(sheet, shown), shown) {
        lines.push((level, told("drawn", level, Toward::Nearest, curve.at), solid(Ink::Water, 1.8)));
    }
    for (level, _, stroke) in &lines {
        let y = profile.level(*level);
        pen.line(vec![point(frame.left, y), point(frame.right, y)], *stroke);
        labels.keep_off(&[point(frame.left, y), point(frame.right, y)]);
    }
    for (level, words, _) in &lines {
        let half = helvetica::width(words, SMALL, Weight::Regular) / 2.0;
        // Along the left, where the rode is deep below.
        let places = [0.0, 0.12, 0.24, 0.36]
            .map(|share| point(frame.left + 5.0 + half + share * frame.width(), profile.level(*level)));
        labels.write_along(pen, &places, words, SMALL, Ink::Water);
    }
}
