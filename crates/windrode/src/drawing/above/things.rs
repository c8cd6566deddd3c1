//! Dangers and neighbours: outlines, names, how near they come.

use windrode_domain::plan::sheet::{Mark, Sheet};
use windrode_domain::position::Offset;
use windrode_domain::units::Length;

use super::lie::mark_anchor;
use super::view::{self, View};
use crate::append::append;
use crate::drawing::LETTER;
use crate::drawing::hatch::hatch;
use crate::drawing::labels::{Label, Labels};
use crate::drawing::scene::{Broken, Frame, Ink, Pen, Point, broken, circle, point, solid};
use crate::helvetica::{self, Weight};
use crate::words::{Toward, Voice, bearing, clipped, length, plain};

/// Draws all of them, without words.
pub(super) fn outlines(pen: &mut Pen, labels: &mut Labels, view: &View, sheet: &Sheet) {
    for mark in &sheet.marks {
        let line: Vec<Point> = mark.outline.iter().map(|at| view.place(*at)).collect();
        labels.keep_off(&line);
        for p in mark.swings_about.map(|at| view.place(at)).iter().chain(&line) {
            labels.keep_clear(Frame { left: p.x - 6.0, right: p.x + 6.0, top: p.y - 6.0, bottom: p.y + 6.0 });
        }
        match mark.swings_about {
            Some(about) => neighbour(pen, labels, view, mark, about),
            None => danger(pen, view, mark),
        }
    }
}

/// His anchor, and as far as any part of him comes.
fn neighbour(pen: &mut Pen, labels: &mut Labels, view: &View, mark: &Mark, about: Offset) {
    let at = view.place(about);
    mark_anchor(pen, at, 0.75, Ink::Neighbour);
    if let (Some(reach), Some(long)) = (mark.reach, mark.length) {
        let kind = if mark.assumed.is_empty() { Broken::Dashed } else { Broken::DashDot };
        let radius = view.points((reach + long).as_metres());
        let ring = circle(at, radius);
        labels.keep_off(&ring);
        pen.ring(ring, broken(Ink::Neighbour, 1.2, kind));
    }
}

/// Hatched if it has an area, crossed if it is a point, a strong line if it is a line.
fn danger(pen: &mut Pen, view: &View, mark: &Mark) {
    let points: Vec<Point> = mark.outline.iter().map(|at| view.place(*at)).collect();
    let radius = view.points(mark.radius.as_metres());
    let closed = 3 < points.len() && mark.outline.first() == mark.outline.last();
    if let [only] = points.as_slice() {
        let ring = circle(*only, radius.max(3.0));
        pen.strokes(hatch(&ring, 4.0, 45.0), solid(Ink::Danger, 0.8));
        pen.ring(ring, solid(Ink::Danger, 1.4));
        return;
    }
    if closed {
        pen.strokes(hatch(&points, 6.0, 45.0), solid(Ink::Danger, 0.7));
    }
    pen.line(points.clone(), solid(Ink::Danger, 1.6));
    if 0.0 < radius {
        for p in &points {
            pen.ring(circle(*p, radius), broken(Ink::Danger, 0.8, Broken::Dotted));
        }
        for ends in points.windows(2) {
            if let [a, b] = ends {
                pen.strokes(sides(*a, *b, radius), broken(Ink::Danger, 0.8, Broken::Dotted));
            }
        }
    }
}

/// The two lines `radius` to either side of a line.
fn sides(a: Point, b: Point, radius: f64) -> Vec<[Point; 2]> {
    let long = (b.x - a.x).hypot(b.y - a.y);
    if long <= 0.0 || long.is_nan() {
        return Vec::new();
    }
    let (aside_x, aside_y) = ((b.y - a.y) / long * radius, -(b.x - a.x) / long * radius);
    [1.0, -1.0]
        .map(|side| {
            [
                point(a.x + side * aside_x, a.y + side * aside_y),
                point(b.x + side * aside_x, b.y + side * aside_y),
            ]
        })
        .to_vec()
}

/// Longest name on the map, letters: longer ones are cut there and stand whole in the list of reasons and in the
/// description.
const LONGEST_NAME: usize = 24;

/// Names and least room, beside each; at the edge for what lies beyond the paper. The nearest come first; where there
/// is no room for a name a number stands for it, and what the numbers mean is given back.
pub(super) fn names(
    pen: &mut Pen,
    labels: &mut Labels,
    view: &View,
    sheet: &Sheet,
    voice: &Voice,
) -> Vec<String> {
    let mut marks: Vec<&Mark> = sheet.marks.iter().filter(|mark| has_place(mark)).collect();
    marks.sort_by(|a, b| view::nearest(a).as_metres().total_cmp(&view::nearest(b).as_metres()));
    let mut key = Vec::new();
    for mark in marks {
        let named = Named::of(mark, view, voice);
        if named.beyond {
            pointer(pen, named.near, nearest_point(mark).bearing().as_radians());
        }
        let (name, rest) = named.lines.split_first().map_or(("", &[][..]), |(name, rest)| (name, rest));
        if labels.write_if_free(pen, &named.label(named.lines.clone())) {
            continue;
        }
        let number = key.len() + 1;
        // A number that has no room either is found by its distance and bearing.
        let _ = labels.write_if_free(pen, &named.label(vec![number.to_string()]));
        let towards = bearing(nearest_point(mark).bearing());
        let far = length(view::nearest(mark), Toward::Less, voice);
        key.push(format!("{number}: {name}, {far} {towards}, {}", rest.join(", ")));
    }
    key
}

/// What is written of a mark, and where.
struct Named {
    near: Point,
    beyond: bool,
    lines: Vec<String>,
    ink: Ink,
    prefer_deg: [f64; 3],
}

impl Named {
    fn of(mark: &Mark, view: &View, voice: &Voice) -> Self {
        let inner = view.frame.inset(2.0);
        let seen = anchor_point(mark, view).filter(|at| inner.contains(*at));
        let name =
            helvetica::fitted(&clipped(&mark.name, LONGEST_NAME), LETTER, Weight::Bold, inner.width() * 0.5);
        let towards = nearest_point(mark).bearing();
        let (near, mut lines) = if let Some(at) = seen {
            (at, vec![name, least(mark, voice)])
        } else {
            let far = length(view::nearest(mark), Toward::Less, voice);
            (view::edge(inner.inset(4.0), towards), vec![name, format!("{far} from the anchor")])
        };
        if !mark.assumed.is_empty() {
            lines.push("(guessed)".to_owned());
        }
        // Away from where she lies; at the edge, back onto the paper.
        let outwards = towards.as_degrees() + if seen.is_some() { 0.0 } else { 180.0 };
        Self {
            near,
            beyond: seen.is_none(),
            lines,
            ink: if mark.swings_about.is_some() { Ink::Neighbour } else { Ink::Danger },
            prefer_deg: [outwards, outwards + 45.0, outwards - 45.0],
        }
    }

    fn label(&self, lines: Vec<String>) -> Label<'_> {
        Label {
            near: self.near,
            clear: 8.0,
            lines,
            weight: Weight::Bold,
            size: LETTER - 1.0,
            ink: self.ink,
            prefer_deg: &self.prefer_deg,
        }
    }
}

/// A small triangle at the edge, pointing outwards.
fn pointer(pen: &mut Pen, at: Point, bearing_rad: f64) {
    let (sin, cos) = bearing_rad.sin_cos();
    let by = |out: f64, aside: f64| point(at.x + sin * out + cos * aside, at.y - cos * out + sin * aside);
    pen.area(vec![by(5.0, 0.0), by(-3.0, -4.0), by(-3.0, 4.0)], Ink::Danger);
}

/// Where a mark's name belongs: its anchor, or the point of its outline nearest to ours.
fn anchor_point(mark: &Mark, view: &View) -> Option<Point> {
    has_place(mark).then(|| view.place(mark.swings_about.unwrap_or_else(|| nearest_point(mark))))
}

/// Whether it is known where a mark is.
pub(super) fn has_place(mark: &Mark) -> bool {
    !mark.outline.is_empty() || mark.swings_about.is_some()
}

fn nearest_point(mark: &Mark) -> Offset {
    let points = mark.outline.iter().chain(&mark.swings_about);
    points
        .min_by(|a, b| a.length().as_metres().total_cmp(&b.length().as_metres()))
        .copied()
        .unwrap_or(Offset::ORIGIN)
}

fn least(mark: &Mark, voice: &Voice) -> String {
    match mark.least {
        Some((room, _)) if room < Length::ZERO => {
            format!("overlaps by {}", length(-room, Toward::More, voice))
        }
        Some((room, _)) => format!("least {}", length(room, Toward::Less, voice)),
        None => "room: cannot say".to_owned(),
    }
}

/// A mark in words, for the description.
pub(super) fn told(mark: &Mark, voice: &Voice) -> String {
    let mut out = format!("{}: {}", plain(&mark.name), least(mark, voice));
    if let Some((_, at)) = mark.least {
        append(&mut out, format_args!(" at {}", voice.clock.time(at)));
    }
    if !mark.assumed.is_empty() {
        let guessed: Vec<_> = mark.assumed.iter().map(|what| plain(what)).collect();
        append(&mut out, format_args!(", guessed: {}", guessed.join(", ")));
    }
    out
}
