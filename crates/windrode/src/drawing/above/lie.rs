//! Where she can lie: dots by share of the stay, the line of her greatest reach, and herself at the moment drawn.

use windrode_domain::plan::sheet::{Instant, SectorShare, Sheet};
use windrode_domain::position::Offset;
use windrode_domain::units::Length;

use super::view::View;
use crate::drawing::LETTER;
use crate::drawing::labels::{Label, Labels};
use crate::drawing::scene::{Broken, Frame, Ink, Pen, Point, broken, point, solid};
use crate::helvetica::Weight;

/// How many dots the whole stay is worth.
const DOTS: f64 = 400.0;

/// Whether anything is known of where she lies.
pub(super) fn known(sheet: &Sheet) -> bool {
    sheet.density.sectors.iter().any(|sector| 0.0 < sector.share)
}

/// One sector with its bearings in degrees: sector `i` of `n` reaches from `i` to `i + 1` times `360/n`.
struct Wedge<'a> {
    from_deg: f64,
    to_deg: f64,
    sector: &'a SectorShare,
}

fn wedges(sheet: &Sheet) -> Vec<Wedge<'_>> {
    let step_deg = 360.0 / sheet.density.sectors.len().max(1) as f64;
    sheet
        .density
        .sectors
        .iter()
        .enumerate()
        .map(|(at, sector)| Wedge {
            from_deg: at as f64 * step_deg,
            to_deg: (at + 1) as f64 * step_deg,
            sector,
        })
        .collect()
}

/// Wash, dots and the dashed line of greatest reach.
pub(super) fn shade(pen: &mut Pen, labels: &mut Labels, view: &View, sheet: &Sheet) {
    let loa = sheet.head.length_overall;
    let wedges = wedges(sheet);
    let lying: Vec<&Wedge<'_>> = wedges.iter().filter(|wedge| 0.0 < wedge.sector.share).collect();
    for wedge in &lying {
        let piece = ring_piece(view, wedge, loa);
        // The middle of the ring, from near to far: names belong outside it.
        labels.keep_off(piece.get(..2).unwrap_or_default());
        pen.area(piece, Ink::LieWash);
    }
    let mut dots = Vec::new();
    let mut owed = 0.0;
    for wedge in &lying {
        // What a sector is owed and does not fill goes over to the next, so that the dots add up.
        owed += wedge.sector.share * DOTS;
        while 0.5 <= owed {
            dots.push(dot(view, wedge, loa, dots.len() + 1));
            owed -= 1.0;
        }
    }
    pen.dots(dots, 2.3, Ink::Hull);
    for run in runs(&wedges) {
        let far: Vec<Point> = run
            .iter()
            .flat_map(|wedge| {
                let far = (wedge.sector.reach_high + loa).as_metres();
                [view.along(wedge.from_deg, far), view.along(wedge.to_deg, far)]
            })
            .collect();
        labels.keep_off(&far);
        pen.line(far, broken(Ink::Hull, 1.0, Broken::Dashed));
    }
}

/// The piece of ring that her whole hull can sweep.
fn ring_piece(view: &View, wedge: &Wedge<'_>, loa: Length) -> Vec<Point> {
    let (near, far) = (wedge.sector.reach_low.as_metres(), (wedge.sector.reach_high + loa).as_metres());
    vec![
        view.along(wedge.from_deg, near),
        view.along(wedge.from_deg, far),
        view.along(wedge.to_deg, far),
        view.along(wedge.to_deg, near),
    ]
}

/// The `n`th dot, evenly by area.
fn dot(view: &View, wedge: &Wedge<'_>, loa: Length, n: usize) -> Point {
    let (near, far) = (wedge.sector.reach_low.as_metres(), (wedge.sector.reach_high + loa).as_metres());
    let (across, out) = (halton(n, 2), halton(n, 3));
    let metres = (near * near + out * (far * far - near * near)).sqrt();
    view.along(wedge.from_deg + across * (wedge.to_deg - wedge.from_deg), metres)
}

/// Halton's sequence, in `(0, 1)`: J. H. Halton, Numerische Mathematik 2 (1960).
fn halton(mut n: usize, base: usize) -> f64 {
    let (mut value, mut share) = (0.0, 1.0);
    while 0 < n {
        share /= base as f64;
        value += share * (n % base) as f64;
        n /= base;
    }
    value
}

/// Sectors in which she lies, joined where they touch, across north too.
fn runs<'a>(wedges: &'a [Wedge<'a>]) -> Vec<Vec<&'a Wedge<'a>>> {
    let lies = |wedge: &Wedge<'_>| 0.0 < wedge.sector.share;
    let begin = wedges.iter().position(|wedge| !lies(wedge)).unwrap_or(0);
    let mut runs: Vec<Vec<&Wedge<'_>>> = vec![Vec::new()];
    for wedge in wedges.iter().cycle().skip(begin).take(wedges.len()) {
        match (lies(wedge), runs.last_mut()) {
            (true, Some(run)) => run.push(wedge),
            (false, Some(run)) if !run.is_empty() => runs.push(Vec::new()),
            _ => {}
        }
    }
    runs.retain(|run| !run.is_empty());
    runs
}

/// How much of the stay each lobe is worth, written outside it.
pub(super) fn shares(pen: &mut Pen, labels: &mut Labels, view: &View, sheet: &Sheet) {
    let wedges = wedges(sheet);
    let runs = runs(&wedges);
    // All of the stay in one run says nothing that the dots do not.
    if runs.len() < 2 {
        return;
    }
    for run in runs {
        let share: f64 = run.iter().map(|wedge| wedge.sector.share).sum();
        let Some(middle) = run.get(run.len() / 2) else { continue };
        let near = view.along(middle.from_deg, middle.sector.reach_low.as_metres() * 0.8);
        // Where there is no room for it the dots say it alone.
        let _ = labels.write_if_free(
            pen,
            &Label {
                near,
                clear: 2.0,
                lines: vec![format!("{:.0} %", (share * 100.0).ceil())],
                weight: Weight::Regular,
                size: LETTER,
                ink: Ink::Text,
                prefer_deg: &[],
            },
        );
    }
}

/// Her outline, bow at the origin and stern at one; half her breadth aside.
const HULL: [(f64, f64); 8] = [
    (0.0, 0.0),
    (0.08, 0.045),
    (0.2, 0.095),
    (0.36, 0.135),
    (0.55, 0.15),
    (0.75, 0.142),
    (0.92, 0.118),
    (1.0, 0.1),
];

/// Herself and her rode at the moment drawn; nothing when her heading cannot be said.
pub(super) fn boat(pen: &mut Pen, labels: &mut Labels, view: &View, sheet: &Sheet, instant: &Instant) {
    let Some(riding) = &instant.riding else { return };
    let Some(heading) = riding.heading else { return };
    let back = heading.reversed();
    let loa = sheet.head.length_overall.as_metres();
    let bow = Offset::along(back, riding.reach);
    let (sin, cos) = back.as_radians().sin_cos();
    let on_hull = |along: f64, aside: f64| {
        view.place(Offset {
            east_m: bow.east_m + loa * (along * sin + aside * cos),
            north_m: bow.north_m + loa * (along * cos - aside * sin),
        })
    };
    let spread: Vec<Point> = (-8..=8)
        .map(|step| {
            let off = f64::from(step) / 8.0 * riding.heading_spread.as_degrees();
            view.along(back.as_degrees() + off, riding.reach.as_metres())
        })
        .collect();
    pen.line(spread, solid(Ink::Hull, 0.8));
    pen.line(vec![view.place(Offset::ORIGIN), view.place(bow)], broken(Ink::Rode, 1.4, Broken::Dotted));
    let outline: Vec<Point> = HULL
        .iter()
        .map(|(along, aside)| on_hull(*along, *aside))
        .chain(HULL.iter().rev().map(|(along, aside)| on_hull(*along, -aside)))
        .collect();
    pen.ring(outline.clone(), solid(Ink::Paper, 7.0));
    pen.area(outline.clone(), Ink::Paper);
    pen.ring(outline.clone(), solid(Ink::Hull, 2.0));
    pen.line(vec![on_hull(0.25, 0.0), on_hull(0.85, 0.0)], solid(Ink::Hull, 0.8));
    labels.keep_clear(around(&outline));
}

/// The anchor: ring, shank, arms.
pub(super) fn anchor(pen: &mut Pen, labels: &mut Labels, view: &View) {
    let at = view.place(Offset::ORIGIN);
    mark_anchor(pen, at, 1.0, Ink::Rode);
    labels.keep_clear(Frame { left: at.x - 8.0, right: at.x + 8.0, top: at.y - 10.0, bottom: at.y + 10.0 });
}

/// An anchor's sign, `scale` times its usual size.
pub(super) fn mark_anchor(pen: &mut Pen, at: Point, scale: f64, ink: Ink) {
    let by = |x: f64, y: f64| point(at.x + x * scale, at.y + y * scale);
    pen.strokes(
        vec![[by(0.0, -7.0), by(0.0, 7.0)], [by(-3.5, -4.0), by(3.5, -4.0)]],
        solid(ink, 1.8 * scale),
    );
    let arms = (-6..=6).map(|step| {
        let (sin, cos) = (f64::from(step) * 12.0_f64).to_radians().sin_cos();
        by(6.5 * sin, 0.5 + 6.5 * cos)
    });
    pen.line(arms.collect(), solid(ink, 1.8 * scale));
}

/// The upright rectangle about some points.
fn around(points: &[Point]) -> Frame {
    let fold = |pick: fn(&Point) -> f64, with: fn(f64, f64) -> f64, start: f64| {
        points.iter().map(pick).fold(start, with)
    };
    Frame {
        left: fold(|p| p.x, f64::min, f64::INFINITY),
        right: fold(|p| p.x, f64::max, f64::NEG_INFINITY),
        top: fold(|p| p.y, f64::min, f64::INFINITY),
        bottom: fold(|p| p.y, f64::max, f64::NEG_INFINITY),
    }
}
