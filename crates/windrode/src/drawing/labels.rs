//! Finding room for words among words.

use super::scene::{Align, Frame, Ink, Pen, Point, point};
use crate::helvetica::{self, Weight};

/// What has been written already, and the paper there is.
#[derive(Clone, Debug)]
pub(super) struct Labels {
    bounds: Frame,
    taken: Vec<Frame>,
}

/// One or more lines of words that belong to a point.
#[derive(Clone, Debug)]
pub(super) struct Label<'a> {
    /// The point.
    pub(super) near: Point,
    /// How far from it at least.
    pub(super) clear: f64,
    /// The lines, the first in the weight given.
    pub(super) lines: Vec<String>,
    /// Weight of the first line.
    pub(super) weight: Weight,
    /// Their size.
    pub(super) size: f64,
    /// Their ink.
    pub(super) ink: Ink,
    /// Directions to try first, degrees clockwise from up the paper.
    pub(super) prefer_deg: &'a [f64],
}

/// Directions about a point in which a label is tried, degrees clockwise from up the paper.
const AROUND_DEG: [f64; 8] = [90.0, 270.0, 0.0, 180.0, 45.0, 135.0, 225.0, 315.0];

impl Labels {
    /// Nothing written yet.
    pub(super) const fn new(bounds: Frame) -> Self {
        Self { bounds, taken: Vec::new() }
    }
    /// Keeps words away from a place.
    pub(super) fn keep_clear(&mut self, place: Frame) {
        self.taken.push(place);
    }
    /// Keeps words off a line.
    pub(super) fn keep_off(&mut self, line: &[Point]) {
        for ends in line.windows(2) {
            let [a, b] = ends else { continue };
            let long = (b.x - a.x).hypot(b.y - a.y);
            // Squares of three points, four apart: no word slips through.
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "a length on paper, capped"
            )]
            let steps = (long / 4.0).ceil().clamp(1.0, 500.0) as usize;
            for step in 0..steps {
                let share = step as f64 / steps as f64;
                let (x, y) = (a.x + (b.x - a.x) * share, a.y + (b.y - a.y) * share);
                self.taken.push(Frame { left: x - 1.5, right: x + 1.5, top: y - 1.5, bottom: y + 1.5 });
            }
        }
    }
    /// Writes the label where it covers nothing, or as little as can be: words are never left out.
    pub(super) fn write(&mut self, pen: &mut Pen, label: &Label<'_>) {
        let (width, height) = size_of(label);
        let (_, place) = self.best(label, width, height);
        self.write_at(pen, label, place);
    }

    /// Writes the label where it covers nothing; where there is no such place it is not written, and whoever asked
    /// says it elsewhere.
    #[must_use]
    pub(super) fn write_if_free(&mut self, pen: &mut Pen, label: &Label<'_>) -> bool {
        let (width, height) = size_of(label);
        let (covered, place) = self.best(label, width, height);
        let beyond = width * height - place.overlap(&self.bounds);
        // A thousandth of a square point is rounding, not ink.
        let free = covered <= 0.0 && beyond < 1e-3;
        if free {
            self.write_at(pen, label, place);
        }
        free
    }

    fn write_at(&mut self, pen: &mut Pen, label: &Label<'_>, place: Frame) {
        for (at, line) in label.lines.iter().enumerate() {
            let base = place.top + label.size * (0.88 + 1.18 * at as f64);
            pen.letters(
                point(place.left, base),
                line,
                label.size,
                Align::Start,
                weight_of(label, at),
                label.ink,
            );
        }
        self.taken.push(place);
    }

    /// Writes one line of words just above or just below one of some points, where it covers least.
    pub(super) fn write_along(&mut self, pen: &mut Pen, places: &[Point], words: &str, size: f64, ink: Ink) {
        let wide = helvetica::width(words, size, Weight::Regular);
        let high = size * 1.18;
        let sides = places.iter().flat_map(|p| {
            [p.y - 2.0 - high, p.y + 2.0].map(|top| Frame {
                left: p.x - wide / 2.0,
                right: p.x + wide / 2.0,
                top,
                bottom: top + high,
            })
        });
        let covered = |place: &Frame| -> f64 {
            let beyond = place.width() * place.height() - place.overlap(&self.bounds);
            self.taken.iter().map(|taken| taken.overlap(place)).sum::<f64>() + beyond
        };
        let Some(best) = sides.min_by(|a, b| covered(a).total_cmp(&covered(b))) else { return };
        pen.letters(
            point(best.left, best.top + size * 0.88),
            words,
            size,
            Align::Start,
            Weight::Regular,
            ink,
        );
        self.taken.push(best);
    }

    /// The place that covers least, the nearest of them, and how much it covers.
    fn best(&self, label: &Label<'_>, width: f64, height: f64) -> (f64, Frame) {
        let rings = [0.0, 8.0, 18.0, 30.0, 44.0, 60.0];
        let mut best: Option<(f64, Frame)> = None;
        for further in rings {
            for direction in label.prefer_deg.iter().chain(&AROUND_DEG) {
                let place = self.within(beside(label, *direction, further, width, height));
                let covered: f64 = self.taken.iter().map(|taken| taken.overlap(&place)).sum();
                if covered <= 0.0 {
                    return (0.0, place);
                }
                if best.is_none_or(|(least, _)| covered < least) {
                    best = Some((covered, place));
                }
            }
        }
        best.unwrap_or_else(|| (f64::INFINITY, beside(label, 90.0, 0.0, width, height)))
    }

    /// Moved so that it lies on the paper.
    fn within(&self, place: Frame) -> Frame {
        let right = (self.bounds.left - place.left).max(0.0) - (place.right - self.bounds.right).max(0.0);
        let down = (self.bounds.top - place.top).max(0.0) - (place.bottom - self.bounds.bottom).max(0.0);
        Frame {
            left: place.left + right,
            right: place.right + right,
            top: place.top + down,
            bottom: place.bottom + down,
        }
    }
}

fn size_of(label: &Label<'_>) -> (f64, f64) {
    let wide = |(at, line): (usize, &String)| helvetica::width(line, label.size, weight_of(label, at));
    let width = label.lines.iter().enumerate().map(wide).fold(0.0, f64::max);
    (width, label.size * 1.18 * label.lines.len() as f64)
}

fn weight_of(label: &Label<'_>, line: usize) -> Weight {
    if line == 0 { label.weight } else { Weight::Regular }
}

/// The rectangle beside a point in a direction.
fn beside(label: &Label<'_>, direction_deg: f64, further: f64, width: f64, height: f64) -> Frame {
    let (sin, cos) = direction_deg.to_radians().sin_cos();
    let away = label.clear + further;
    let middle = point(label.near.x + sin * (away + width / 2.0), label.near.y - cos * (away + height / 2.0));
    Frame {
        left: middle.x - width / 2.0,
        right: middle.x + width / 2.0,
        top: middle.y - height / 2.0,
        bottom: middle.y + height / 2.0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn labels_of_one_point_do_not_cover_each_other() {
        let bounds = Frame { left: 0.0, top: 0.0, right: 400.0, bottom: 300.0 };
        let mut labels = Labels::new(bounds);
        let mut pen = Pen::default();
        let label = Label {
            near: point(200.0, 150.0),
            clear: 4.0,
            lines: vec!["Kittiwake".to_owned(), "12 m".to_owned()],
            weight: Weight::Bold,
            size: 11.0,
            ink: Ink::Text,
            prefer_deg: &[],
        };
        for _ in 0..6 {
            labels.write(&mut pen, &label);
        }
        for (at, one) in labels.taken.iter().enumerate() {
            assert!(bounds.contains(one.middle()));
            assert!(labels.taken.iter().skip(at + 1).all(|other| one.overlap(other) <= 0.0));
        }
    }
}
