//! Metres about the anchor to points on the paper.

use windrode_domain::plan::sheet::{Mark, Sheet};
use windrode_domain::position::Offset;
use windrode_domain::units::{Bearing, Length};

use crate::drawing::scene::{Frame, Point, point};

/// How the map lies on the paper: north up, the anchor in the middle.
#[derive(Clone, Copy, Debug)]
pub(super) struct View {
    /// The window.
    pub(super) frame: Frame,
    /// Scale.
    pub(super) points_per_metre: f64,
}

/// How many times her own reach the map may show at most: beyond, where she lies would be too small to read.
const WIDEST: f64 = 2.3;

impl View {
    /// So that all she can reach is in it, and what is near her.
    pub(super) fn of(sheet: &Sheet, frame: Frame) -> Self {
        let own_m = own_reach(sheet).as_metres() * 1.12;
        let near_m =
            sheet.marks.iter().map(|mark| far_enough_m(mark, own_m)).filter(|far| *far <= own_m * WIDEST);
        let half_m = near_m.fold(own_m, f64::max);
        let points_per_metre = frame.width().min(frame.height()) / 2.0 / half_m;
        Self { frame, points_per_metre }
    }
    /// Where an offset from the anchor falls.
    pub(super) fn place(&self, at: Offset) -> Point {
        let middle = self.frame.middle();
        point(middle.x + at.east_m * self.points_per_metre, middle.y - at.north_m * self.points_per_metre)
    }
    /// Where a distance along a bearing from the anchor falls.
    pub(super) fn along(&self, bearing_deg: f64, metres: f64) -> Point {
        self.place(Offset::along(Bearing::degrees(bearing_deg), Length::metres(metres)))
    }
    /// Metres as points.
    pub(super) fn points(&self, metres: f64) -> f64 {
        metres * self.points_per_metre
    }
}

/// As far from the anchor as any part of her comes, or a guess for an empty map: four of her lengths.
fn own_reach(sheet: &Sheet) -> Length {
    let loa = sheet.head.length_overall;
    let bow =
        sheet.density.sectors.iter().filter(|sector| 0.0 < sector.share).map(|sector| sector.reach_high);
    let ridden =
        sheet.instants.iter().filter_map(|instant| instant.riding.as_ref().map(|riding| riding.reach));
    let greatest = bow.chain(ridden).fold(Length::ZERO, Length::max);
    if greatest == Length::ZERO { 4.0 * loa } else { greatest + loa }
}

/// How far the map must reach for a mark to be seen for what it is.
fn far_enough_m(mark: &Mark, own_m: f64) -> f64 {
    let nearest = nearest(mark).as_metres();
    let body = mark.reach.map_or(0.0, Length::as_metres) + mark.length.map_or(0.0, Length::as_metres);
    nearest + (body * 0.6).min(own_m * 0.5) + own_m * 0.15
}

/// Distance from the anchor to the nearest point of a mark's outline, its radius off.
pub(super) fn nearest(mark: &Mark) -> Length {
    let points = mark.outline.iter().chain(&mark.swings_about);
    let to_points = points.map(|at| at.length().as_metres());
    let to_sides = mark.outline.windows(2).map(|ends| match ends {
        [a, b] => to_side_m(*a, *b),
        _ => f64::INFINITY,
    });
    let least_m = to_points.chain(to_sides).fold(f64::INFINITY, f64::min);
    Length::metres(least_m) - mark.radius
}

/// Distance in metres from the origin to the piece of line between two offsets.
fn to_side_m(a: Offset, b: Offset) -> f64 {
    let along = b - a;
    let square = along.east_m * along.east_m + along.north_m * along.north_m;
    if square <= 0.0 || square.is_nan() {
        return a.length().as_metres();
    }
    let share = (-(a.east_m * along.east_m + a.north_m * along.north_m) / square).clamp(0.0, 1.0);
    (a.east_m + share * along.east_m).hypot(a.north_m + share * along.north_m)
}

/// Where the ray from the middle of a frame on a bearing leaves it.
pub(super) fn edge(frame: Frame, bearing: Bearing) -> Point {
    let (sin, cos) = bearing.as_radians().sin_cos();
    let across = if sin.abs() < 1e-9 { f64::INFINITY } else { frame.width() / 2.0 / sin.abs() };
    let up = if cos.abs() < 1e-9 { f64::INFINITY } else { frame.height() / 2.0 / cos.abs() };
    let far = across.min(up);
    let middle = frame.middle();
    point(middle.x + sin * far, middle.y - cos * far)
}
