//! The boat from the side: her length, draught and bow roller are hers; the shape between is only for the eye.

use windrode_domain::plan::sheet::{CurvePoint, RodeCurve, Sheet};
use windrode_domain::units::Length;

use super::Profile;
use crate::drawing::labels::Labels;
use crate::drawing::scene::{Frame, Ink, Pen, Point, solid};

/// Her profile from the bow aft: shares of her length, then of the roller's height (above) or of the draught (below).
const PROFILE: [(f64, f64); 20] = [
    (0.0, 1.0),
    (0.2, 0.9),
    (0.45, 0.82),
    (0.75, 0.8),
    (1.0, 0.86),
    (0.985, 0.4),
    (0.95, 0.0),
    (0.9, -0.1),
    (0.8, -0.2),
    (0.66, -0.26),
    (0.6, -0.3),
    (0.575, -1.0),
    (0.44, -1.0),
    (0.41, -0.32),
    (0.3, -0.27),
    (0.18, -0.18),
    (0.1, -0.08),
    (0.06, 0.0),
    (0.035, 0.3),
    (0.015, 0.7),
];

/// Draws her at the end of the rode.
pub(super) fn draw(pen: &mut Pen, labels: &mut Labels, profile: &Profile, sheet: &Sheet, curve: &RodeCurve) {
    let Some(bow) = curve.points.last() else { return };
    let outline = outline(profile, sheet, *bow, curve.water);
    pen.area(outline.clone(), Ink::Paper);
    pen.ring(outline.clone(), solid(Ink::Hull, 1.8));
    let fold = |pick: fn(&Point) -> f64, with: fn(f64, f64) -> f64, start: f64| {
        outline.iter().map(pick).fold(start, with)
    };
    labels.keep_clear(Frame {
        left: fold(|p| p.x, f64::min, f64::INFINITY),
        right: fold(|p| p.x, f64::max, f64::NEG_INFINITY),
        top: fold(|p| p.y, f64::min, f64::INFINITY),
        bottom: fold(|p| p.y, f64::max, f64::NEG_INFINITY),
    });
}

fn outline(profile: &Profile, sheet: &Sheet, bow: CurvePoint, water: Length) -> Vec<Point> {
    PROFILE
        .iter()
        .map(|(along, up)| {
            let height = if 0.0 < *up { sheet.head.roller_height * *up } else { sheet.head.draught * *up };
            profile.place(bow.x + sheet.head.length_overall * *along, water + height)
        })
        .collect()
}
