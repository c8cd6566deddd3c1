//! One panel: a scale of values over the common scale of time.

use jiff::Timestamp;
use windrode_domain::plan::sheet::{Instant, Sheet};

use crate::drawing::SMALL;
use crate::drawing::axes::{Scale, ticks};
use crate::drawing::labels::{Label, Labels};
use crate::drawing::scene::{Align, Frame, Ink, Pen, Point, Stroke, point, solid};
use crate::helvetica::{self, Weight};

/// Where the panels stand and how time runs.
pub(super) struct Paper {
    /// Water, wind, room.
    pub(super) panels: [Panel; 3],
    /// Seconds since the beginning to points.
    pub(super) along: Scale,
    /// The beginning.
    pub(super) begin: Timestamp,
}

impl Paper {
    /// Where an instant falls.
    pub(super) fn x(&self, at: Timestamp) -> f64 {
        self.along.at(at.duration_since(self.begin).as_secs_f64())
    }
}

/// One panel's place.
pub(super) struct Panel {
    /// Its frame.
    pub(super) frame: Frame,
}

/// What is drawn of an instant, in the crew's unit; `None` where it cannot be said.
pub(super) type Figure<'a> = &'a dyn Fn(&Instant) -> Option<f64>;

/// What is no number cannot be said: its time is hatched, not drawn.
fn said(figure: Figure<'_>, instant: &Instant) -> Option<f64> {
    figure(instant).filter(|value| value.is_finite())
}

impl Panel {
    /// The scale from `low` to `high`, a little air above.
    pub(super) fn scale(&self, low: f64, high: f64) -> Scale {
        let air = (high - low).max(1e-6) * 0.18;
        Scale::new([low, high + air], [self.frame.bottom, self.frame.top])
    }
    /// Round figures on the left.
    pub(super) fn figures(&self, pen: &mut Pen, scale: Scale, low: f64, high: f64) {
        // A figure each thirty points of height.
        for value in ticks(low, high, (self.frame.height() / 30.0).max(1.0)) {
            let y = scale.at(value);
            pen.strokes(
                vec![[point(self.frame.left - 3.0, y), point(self.frame.left, y)]],
                solid(Ink::Text, 0.9),
            );
            // Adding zero turns a negative zero into zero.
            let told = ((value * 10.0).round() / 10.0 + 0.0).to_string();
            pen.text(point(self.frame.left - 5.0, y + 3.3), &told, SMALL, Align::End);
        }
    }
    /// A line through the instants at which the figure is known, in as many pieces as there are gaps.
    pub(super) fn series(
        pen: &mut Pen,
        labels: &mut Labels,
        places: impl Iterator<Item = Option<Point>>,
        stroke: Stroke,
    ) {
        let mut piece: Vec<Point> = Vec::new();
        for place in places.chain([None]) {
            if let Some(at) = place {
                piece.push(at);
            } else {
                labels.keep_off(&piece);
                pen.line(std::mem::take(&mut piece), stroke);
            }
        }
    }
    /// A level right across.
    pub(super) fn level(&self, pen: &mut Pen, y: f64, stroke: Stroke) {
        if self.frame.top <= y && y <= self.frame.bottom {
            pen.line(vec![point(self.frame.left, y), point(self.frame.right, y)], stroke);
        }
    }
    /// Words on a level, where along it they cover least.
    pub(super) fn on_level(&self, pen: &mut Pen, labels: &mut Labels, y: f64, words: &str, ink: Ink) {
        let words = helvetica::fitted(words, SMALL, Weight::Regular, self.frame.width() - 8.0);
        let wide = helvetica::width(&words, SMALL, Weight::Regular);
        let places = [0.0, 0.25, 0.5, 0.75, 1.0].map(|share| {
            let left = self.frame.left + 4.0 + share * (self.frame.width() - 8.0 - wide);
            point(left + wide / 2.0, y)
        });
        labels.write_along(pen, &places, &words, SMALL, ink);
    }
    /// What the broken lines of a panel mean, at the right of its heading.
    pub(super) fn legend(&self, pen: &mut Pen, entries: &[(&str, Stroke)]) {
        let mut right = self.frame.right;
        let base = self.frame.top - 5.0;
        for (words, stroke) in entries.iter().rev() {
            pen.letters(point(right, base), words, SMALL, Align::End, Weight::Regular, stroke.ink);
            right -= helvetica::width(words, SMALL, Weight::Regular) + 3.0;
            pen.line(vec![point(right - 16.0, base - 3.0), point(right, base - 3.0)], *stroke);
            right -= 24.0;
        }
    }
    /// A dot at the figure that matters most, with its words.
    pub(super) fn extreme(pen: &mut Pen, labels: &mut Labels, at: Point, words: String) {
        pen.area(crate::drawing::scene::circle(at, 3.4), Ink::Text);
        labels.keep_clear(Frame { left: at.x - 4.0, right: at.x + 4.0, top: at.y - 4.0, bottom: at.y + 4.0 });
        let label = Label {
            near: at,
            clear: 6.0,
            lines: vec![words],
            weight: Weight::Bold,
            size: SMALL,
            ink: Ink::Text,
            prefer_deg: &[0.0, 180.0],
        };
        labels.write(pen, &label);
    }
    /// Where the figure of each instant falls.
    pub(super) fn places(
        paper: &Paper,
        scale: Scale,
        sheet: &Sheet,
        figure: Figure<'_>,
    ) -> impl Iterator<Item = Option<Point>> {
        sheet.instants.iter().map(move |instant| {
            said(figure, instant).map(|value| point(paper.x(instant.at), scale.at(value)))
        })
    }
    /// Cross-hatching over the time in which the figure cannot be said.
    pub(super) fn gaps(&self, pen: &mut Pen, paper: &Paper, sheet: &Sheet, figure: Figure<'_>) -> Vec<Frame> {
        let mut gaps: Vec<[f64; 2]> = Vec::new();
        let mut known_until = Some(self.frame.left);
        for instant in &sheet.instants {
            let x = paper.x(instant.at);
            match (said(figure, instant), known_until) {
                (Some(_), Some(_)) => known_until = Some(x),
                (Some(_), None) => {
                    if let Some(gap) = gaps.last_mut() {
                        gap[1] = x;
                    }
                    known_until = Some(x);
                }
                (None, Some(from)) => {
                    gaps.push([from, self.frame.right]);
                    known_until = None;
                }
                (None, None) => {}
            }
        }
        if sheet.instants.is_empty() {
            gaps.push([self.frame.left, self.frame.right]);
        }
        gaps.into_iter().map(|[left, right]| self.gap(pen, Frame { left, right, ..self.frame })).collect()
    }

    fn gap(&self, pen: &mut Pen, frame: Frame) -> Frame {
        crate::drawing::cannot_say(pen, frame, "cannot say", self.frame);
        frame
    }
}
