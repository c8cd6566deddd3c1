//! The three drawings of a stay: from above, from the side, along time; one moment in all three.
//!
//! They are drawn once, as a [`scene::Scene`] of lines and letters, and shown twice: as SVG and inside the PDF. The
//! hand is that of the chart table: thin dark lines on paper, a wash for water and for dark hours, dots for where she
//! lies, and words beside the lines. Nothing is told by colour alone: line kinds, hatching and labels say it again.

pub(crate) mod scene;
pub(crate) mod svg;
mod hatch;
mod labels;
mod axes;
mod moment;
mod above;
mod side;
mod along_time;

use jiff::Timestamp;
use windrode_domain::plan::sheet::Sheet;

pub(crate) use self::above::above;
pub(crate) use self::along_time::along_time;
pub(crate) use self::side::side;
use crate::helvetica;
use crate::words::Voice;

/// How large to draw, for whom, and at which moment.
#[derive(Clone, Debug)]
pub(crate) struct Style {
    /// Width in points (CSS pixels in SVG).
    pub(crate) width: f64,
    /// Height in points.
    pub(crate) height: f64,
    /// The crew's units and clock.
    pub(crate) voice: Voice,
    /// The moment drawn; the stay's worst when `None`.
    pub(crate) moment: Option<Timestamp>,
}

impl Style {
    /// The sizes at which the drawings were made to be read: a phone's width, or a printed page's.
    pub(crate) fn new(width: f64, height: f64, voice: &Voice) -> Self {
        Self { width, height, voice: voice.clone(), moment: None }
    }
}

/// Which of the three.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Which {
    /// From above.
    Above,
    /// From the side.
    Side,
    /// Along time.
    AlongTime,
}

impl Which {
    /// All three.
    pub(crate) const ALL: [Self; 3] = [Self::Above, Self::Side, Self::AlongTime];

    /// As files and requests call it.
    pub(crate) const fn name(self) -> &'static str {
        match self {
            Self::Above => "above",
            Self::Side => "side",
            Self::AlongTime => "along-time",
        }
    }

    /// At the size of a page, at the stay's worst moment.
    pub(crate) fn drawn(self, sheet: &Sheet, voice: &Voice) -> scene::Scene {
        match self {
            Self::Above => above(sheet, &Style::new(360.0, 400.0, voice)),
            Self::Side => side(sheet, &Style::new(360.0, 330.0, voice)),
            Self::AlongTime => along_time(sheet, &Style::new(720.0, 390.0, voice)),
        }
    }
}

/// Cross-hatching with words in its middle, where something cannot be said: never an empty, calm piece of paper.
fn cannot_say(pen: &mut scene::Pen, frame: scene::Frame, words: &str, within: scene::Frame) {
    let ring = frame.corners();
    for lean_deg in [45.0, -45.0] {
        pen.strokes(hatch::hatch(&ring, 7.0, lean_deg), scene::solid(scene::Ink::Danger, 0.5));
    }
    let half = helvetica::width(words, SMALL, helvetica::Weight::Bold) / 2.0;
    let middle = frame.middle();
    let x = middle.x.max(within.left + half + 2.0).min(within.right - half - 2.0);
    pen.letters(
        scene::point(x, middle.y + 3.0),
        words,
        SMALL,
        scene::Align::Middle,
        helvetica::Weight::Bold,
        scene::Ink::Danger,
    );
}

/// Size of ordinary letters, points. The height of 8-point print is kept when a page shrinks the drawing to three
/// quarters.
const LETTER: f64 = 11.0;
/// Size of headings, points.
const HEADING: f64 = 13.0;
/// Size of the least letters, points.
const SMALL: f64 = 9.5;

#[cfg(test)]
fn assert_words_on_paper(scene: &scene::Scene) {
    fn check(scene: &scene::Scene, items: &[scene::Item]) {
        for item in items {
            match item {
                scene::Item::Text(letters) => {
                    // Half a point is the rounding of placed figures and less than a letter's own side bearing.
                    let (left, right) = (letters.left(), letters.left() + letters.width());
                    let inside = -0.5 <= left && right <= scene.width + 0.5;
                    let upright = letters.size * 0.7 <= letters.at.y && letters.at.y <= scene.height;
                    assert!(inside && upright, "{}: {letters:?} reaches {left} to {right}", scene.name);
                }
                scene::Item::Window { items, .. } => check(scene, items),
                _ => {}
            }
        }
    }
    check(scene, &scene.items);
}
