//! Letters and scenes in the operators of a PDF page (PDF 32000-1:2008, annex A).

use pdf_writer::types::{LineCapStyle, LineJoinStyle, TextRenderingMode};
use pdf_writer::{Content, Name, Str};

use super::flow::PAGE_HIGH;
use crate::drawing::scene::{Frame, Ink, Item, Letters, Point, Scene, Stroke};
use crate::helvetica::{self, Weight};

/// Names of the two fonts on every page.
pub(super) const REGULAR: Name<'static> = Name(b"R");
/// The heavy one.
pub(super) const BOLD: Name<'static> = Name(b"B");

/// A scene with its upper left corner at a place, drawn smaller or larger; says whether a letter had to be told by
/// number.
pub(super) fn scene(page: &mut Content, scene: &Scene, left: f64, top: f64, scale: f64) -> bool {
    page.save_state();
    page.transform([small(scale), 0.0, 0.0, small(scale), small(left), small(PAGE_HIGH - top)]);
    page.set_line_join(LineJoinStyle::RoundJoin);
    let by_number = items(page, &scene.items);
    page.restore_state();
    by_number
}

/// A line of letters, its base line at `y` down the page; says whether a letter had to be told by number.
pub(super) fn letters(page: &mut Content, text: &str, x: f64, y: f64, size: f64, weight: Weight) -> bool {
    let written = helvetica::written(text);
    fill(page, Ink::Text);
    page.begin_text();
    page.set_font(font(weight), small(size));
    page.next_line(small(x), small(PAGE_HIGH - y));
    page.show(Str(&written.codes));
    page.end_text();
    written.by_number
}

fn items(page: &mut Content, items: &[Item]) -> bool {
    let mut by_number = false;
    for one in items {
        by_number |= item(page, one);
    }
    by_number
}

fn item(page: &mut Content, one: &Item) -> bool {
    match one {
        Item::Line { points, closed, stroke } => {
            pen(page, *stroke);
            path(page, points, *closed);
            page.stroke();
        }
        Item::Area { points, ink } => {
            fill(page, *ink);
            path(page, points, true);
            page.fill_nonzero();
        }
        Item::Dots { points, across, ink } => dots(page, points, *across, *ink),
        Item::Strokes { ends, stroke } => {
            pen(page, *stroke);
            for ends in ends {
                path(page, ends, false);
            }
            page.stroke();
        }
        Item::Text(letters) => return words(page, letters),
        Item::Window { frame, items: within } => return window(page, frame, within),
    }
    false
}

/// Lines of no length with round ends.
fn dots(page: &mut Content, points: &[Point], across: f64, ink: Ink) {
    page.save_state();
    let [r, g, b] = colour(ink);
    page.set_stroke_rgb(r, g, b).set_line_width(small(across)).set_line_cap(LineCapStyle::RoundCap);
    page.set_dash_pattern([], 0.0);
    for p in points {
        page.move_to(small(p.x), small(-p.y)).line_to(small(p.x), small(-p.y));
    }
    page.stroke();
    page.restore_state();
}

fn window(page: &mut Content, frame: &Frame, within: &[Item]) -> bool {
    page.save_state();
    page.rect(small(frame.left), small(-frame.bottom), small(frame.width()), small(frame.height()));
    page.clip_nonzero().end_path();
    let by_number = items(page, within);
    page.restore_state();
    by_number
}

/// Letters of a drawing: first their rim of paper, then themselves.
fn words(page: &mut Content, letters: &Letters) -> bool {
    let written = helvetica::written(&letters.text);
    let [r, g, b] = colour(Ink::Paper);
    page.set_stroke_rgb(r, g, b).set_line_width(2.5).set_dash_pattern([], 0.0);
    fill(page, letters.ink);
    for mode in [TextRenderingMode::Stroke, TextRenderingMode::Fill] {
        page.begin_text();
        page.set_text_rendering_mode(mode);
        page.set_font(font(letters.weight), small(letters.size));
        page.next_line(small(letters.left()), small(-letters.at.y));
        page.show(Str(&written.codes));
        page.end_text();
    }
    written.by_number
}

fn path(page: &mut Content, points: &[Point], closed: bool) {
    for (at, p) in points.iter().enumerate() {
        if at == 0 {
            page.move_to(small(p.x), small(-p.y));
        } else {
            page.line_to(small(p.x), small(-p.y));
        }
    }
    if closed && !points.is_empty() {
        page.close_path();
    }
}

fn pen(page: &mut Content, stroke: Stroke) {
    let [r, g, b] = colour(stroke.ink);
    page.set_stroke_rgb(r, g, b).set_line_width(small(stroke.width));
    page.set_dash_pattern(stroke.broken.pattern().iter().copied(), 0.0);
}

fn fill(page: &mut Content, ink: Ink) {
    let [r, g, b] = colour(ink);
    page.set_fill_rgb(r, g, b);
}

fn colour(ink: Ink) -> [f32; 3] {
    ink.by_day().map(|part| f32::from(part) / 255.0)
}

const fn font(weight: Weight) -> Name<'static> {
    match weight {
        Weight::Regular => REGULAR,
        Weight::Bold => BOLD,
    }
}

/// A page's figures need no more than single precision: a thousandth of a point.
#[expect(clippy::cast_possible_truncation, reason = "a page is less than a thousand points")]
fn small(value: f64) -> f32 {
    ((value * 1000.0).round() / 1000.0) as f32
}
