//! Turns of the tide above the panels, the wind's direction and its turns between them.

use jiff::Timestamp;
use windrode_domain::plan::sheet::Sheet;
use windrode_domain::units::Bearing;

use super::BETWEEN;
use super::panel::{Panel, Paper};
use crate::drawing::SMALL;
use crate::drawing::scene::{Align, Broken, Ink, Pen, broken, point, solid};
use crate::helvetica::{self, Weight};
use crate::words::{Toward, Voice, compass_point, length};

/// Dotted uprights, with hour and height above: high waters in one row, low waters in the row below it.
pub(super) fn tide_turns(pen: &mut Pen, paper: &Paper, sheet: &Sheet, voice: &Voice) {
    let [water, wind, room] = &paper.panels;
    let rows = water.frame.top - BETWEEN;
    let mut written_to = [f64::NEG_INFINITY; 2];
    for turn in &sheet.turns {
        let x = paper.x(turn.at);
        let uprights =
            [water, wind, room].map(|panel| [point(x, panel.frame.top), point(x, panel.frame.bottom)]);
        pen.strokes(uprights.to_vec(), broken(Ink::Water, 0.6, Broken::Dotted));
        let (word, toward, row) = if turn.high { ("HW", Toward::More, 0) } else { ("LW", Toward::Less, 1) };
        let text = format!("{word} {} {}", voice.clock.hour(turn.at), length(turn.height, toward, voice));
        let half = helvetica::width(&text, SMALL, Weight::Regular) / 2.0;
        let middle = x.clamp(half, water.frame.right - half);
        // What finds no room here stands in the list of turns.
        if written_to[row] + 4.0 <= middle - half {
            let base = rows - if row == 0 { 11.0 } else { 0.0 };
            pen.letters(point(middle, base), &text, SMALL, Align::Middle, Weight::Regular, Ink::Water);
            written_to[row] = middle + half;
        }
    }
}

/// Points between two arrows.
const APART: f64 = 36.0;
/// A turn of the wind worth a mark: an eighth of the compass.
const SHIFT_DEG: f64 = 45.0;

/// Arrows that fly with the wind, north up, each with the point it comes from; and a mark at each turn.
pub(super) fn wind_arrows(pen: &mut Pen, paper: &Paper, panel: &Panel, sheet: &Sheet) {
    let y = panel.frame.bottom + 11.0;
    let mut next = panel.frame.left + APART / 2.0;
    for instant in &sheet.instants {
        let x = paper.x(instant.at);
        let Some(from) = instant.riding.and_then(|riding| riding.wind.from) else { continue };
        if x < next || panel.frame.right - 8.0 < x {
            continue;
        }
        next = x + APART;
        let (sin, cos) = from.as_radians().sin_cos();
        let along = |far: f64, aside: f64| point(x - sin * far + cos * aside, y + cos * far + sin * aside);
        pen.line(vec![along(-7.0, 0.0), along(3.0, 0.0)], solid(Ink::Wind, 1.4));
        pen.area(vec![along(8.0, 0.0), along(1.5, -3.2), along(1.5, 3.2)], Ink::Wind);
        pen.text(point(x, y + 18.0), compass_point(from), SMALL - 1.0, Align::Middle);
    }
    let mut written_to = f64::NEG_INFINITY;
    for at in shifts(sheet) {
        let x = paper.x(at);
        let upright = vec![point(x, panel.frame.top), point(x, panel.frame.bottom)];
        pen.line(upright, broken(Ink::Wind, 1.3, Broken::DashDot));
        let half = helvetica::width("turns", SMALL, Weight::Regular) / 2.0;
        let middle = x.clamp(panel.frame.left + half, panel.frame.right - half);
        if written_to < middle - half {
            let foot = point(middle, panel.frame.bottom - 4.0);
            pen.letters(foot, "turns", SMALL, Align::Middle, Weight::Regular, Ink::Wind);
            written_to = middle + half;
        }
    }
}

/// When the wind has turned by an eighth of the compass from where it was last marked.
fn shifts(sheet: &Sheet) -> Vec<Timestamp> {
    let mut marked: Option<Bearing> = None;
    let mut out = Vec::new();
    for instant in &sheet.instants {
        let Some(from) = instant.riding.and_then(|riding| riding.wind.from) else { continue };
        match marked {
            None => marked = Some(from),
            Some(was) if SHIFT_DEG <= was.to(from).as_degrees().abs() => {
                out.push(instant.at);
                marked = Some(from);
            }
            Some(_) => {}
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sample::{nothing_known, sheet};

    #[test]
    fn a_turn_of_128_degrees_is_marked_at_each_eighth() {
        assert_eq!(shifts(&sheet()).len(), 2);
        assert!(shifts(&nothing_known()).is_empty());
    }
}
