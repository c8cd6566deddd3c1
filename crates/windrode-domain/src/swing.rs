//! Where the boat can lie about her anchor, and how much room that leaves.
//!
//! The anchor stands still; the bow lies down wind of it at the rode's reach; the hull trails on beyond the bow, more
//! or less in line with the rode, for she sheers. The wind wanders about its mean, and all of it turns with it:
//!
//! ```text
//! p(β) = R(β) [ (0, r) + R(δ) (v, u) ]        reach_low <= r <= reach_high
//!                                             |β - lie| <= spread,  |δ| <= sheer
//!                                             0 <= u <= length (aft of the bow),  |v| <= beam / 2
//! ```
//!
//! `R` turns clockwise. At one `β` the hull's places under every reach and sheer are covered by their convex hull,
//! drawn a hundredth of its length too large at the arcs; over `β` the search of `separation` never says too much. So
//! every distance here is a lower bound: of the hull's rectangle (no boat has square corners) and of the 90 % that
//! the caller's figures stand for.
//!
//! Left out: the turning itself, in which the chain's bight holds the bow off its mean for minutes; bowsprits and
//! dinghies, unless counted in the length. Source: geometry; the sheer of a yacht at anchor, up to 30° either side,
//! is an anchor maker's remark on common experience. Checked against `authorities/room`.

use crate::depth::WaterDepth;
use crate::position::Offset;
use crate::units::{Angle, Bearing, Length, Speed};
use separation::{Separation, Turning, Turns, arc, cross, dot, hull, least, turned};

pub mod neighbour;
pub(crate) mod separation;

/// How far a yacht's heading leaves the line to her anchor while she sheers, degrees either side: 20 to 30 is usual
/// (an anchor maker's remark, common practice); the greater counts.
pub const USUAL_SHEER_DEG: f64 = 30.0;

/// How far the cover of an arc may stand off it, as a fraction of its radius: 13 cm on a boat of 13 m.
const BULGE: f64 = 0.01;

/// Between two rays by which an outline is drawn, degrees: at 60 m their ends stand 2 m apart.
const RAY_DEG: f64 = 2.0;
/// How many of them go round.
const RAYS: i64 = 180;

/// What she hangs on, as far as it decides how she swings.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum RodeKind {
    /// Chain all the way, or nearly: she lies quiet, and turns late in a light wind.
    Chain,
    /// Rope with or without chain at the anchor: she ranges wide, and turns early.
    Rope,
}

/// How she lies at one instant, on the unfavourable side of what is uncertain (nine times in ten she lies within).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Berthing {
    /// Least horizontal distance from anchor to bow.
    pub reach_low: Length,
    /// Greatest horizontal distance from anchor to bow.
    pub reach_high: Length,
    /// Bearing of the bow from the anchor: down wind, where she is wind-rode.
    pub lie: Bearing,
    /// How far that bearing wanders either side.
    pub spread: Angle,
    /// How far the hull leaves that bearing either side; half a turn where no wind holds her.
    pub sheer: Angle,
    /// Length over all, with whatever stands out at the ends.
    pub length_overall: Length,
    /// Greatest beam.
    pub beam: Length,
    /// What she hangs on.
    pub rode: RodeKind,
    /// Mean wind; `None` when it cannot be said.
    pub wind: Option<Speed>,
    /// From the ground up to the bow roller, for guessing what others have veered.
    pub height: Length,
}

/// A berthing or a danger that cannot be.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum SwingError {
    /// A measure is not a number, or is less than nothing.
    #[error("{what} is {value}, which is not a number from 0 up")]
    NotAMeasure {
        /// Which.
        what: &'static str,
        /// What was said, in SI.
        value: f64,
    },
    /// The least reach is greater than the greatest.
    #[error("a least reach of {low} is more than the greatest reach of {high}")]
    ReachesCrossed {
        /// Least.
        low: Length,
        /// Greatest.
        high: Length,
    },
    /// A danger has too few points for its shape, or one that is not a place.
    #[error("{name} has {points} points, {wanted} or more are wanted, and each must be a place")]
    NoShape {
        /// Its name.
        name: String,
        /// How many it has.
        points: usize,
        /// How many it needs.
        wanted: usize,
    },
}

/// Something that stands still and that no part of her may touch.
#[derive(Clone, Debug, PartialEq)]
pub struct Danger {
    name: String,
    shape: DangerShape,
    /// Distance about the shape that belongs to it.
    margin: Length,
}

/// The shape of a danger, metres from the anchor.
#[derive(Clone, Debug, PartialEq)]
pub enum DangerShape {
    /// All within a radius of a point.
    Point {
        /// The point.
        at: Offset,
        /// The radius.
        radius: Length,
    },
    /// A line from point to point.
    Line(Vec<Offset>),
    /// An area with this border, closed from the last point to the first.
    Area(Vec<Offset>),
}

/// How the other body moves while she swings.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Case {
    /// It stands still.
    Still,
    /// Both lie to the same wind and turn with it together.
    InStep,
    /// Each may lie any way while the other lies another.
    OutOfStep,
}

/// The room that is left to one thing.
#[derive(Clone, Debug, PartialEq)]
pub struct Room {
    /// To what.
    pub to: String,
    /// The least distance from any part of the hull, at least; nothing where they can touch.
    pub least: Length,
    /// About where her hull then is, metres from the anchor.
    pub at: Offset,
    /// What was guessed.
    pub assumed: Vec<neighbour::Assumption>,
    /// How the other moves.
    pub case: Case,
}

/// All places where some part of the hull can be.
#[derive(Clone, Debug, PartialEq)]
pub struct Region {
    berthing: Berthing,
    corners: Vec<Turning>,
    turns: Turns,
    radius_m: f64,
}

/// Where she can be while the wind keeps within the spread.
///
/// # Validity
/// A wind that holds her. In light air she may lie any way and head any way: give a spread and a sheer of half a
/// turn, or take [`circle`].
///
/// # Errors
/// [`SwingError`] names the figure that cannot be.
pub fn sector(berthing: &Berthing) -> Result<Region, SwingError> {
    checked(berthing)?;
    let half = berthing.spread.as_radians().min(core::f64::consts::PI);
    Ok(region(berthing, half))
}

/// Where she can be when the wind may come from anywhere.
///
/// # Errors
/// [`SwingError`] names the figure that cannot be.
pub fn circle(berthing: &Berthing) -> Result<Region, SwingError> {
    checked(berthing)?;
    Ok(region(berthing, core::f64::consts::PI))
}

fn checked(b: &Berthing) -> Result<(), SwingError> {
    let measures = [
        ("the least reach", b.reach_low.as_metres()),
        ("the greatest reach", b.reach_high.as_metres()),
        ("the spread", b.spread.as_radians()),
        ("the sheer", b.sheer.as_radians()),
        ("the length over all", b.length_overall.as_metres()),
        ("the beam", b.beam.as_metres()),
        ("the height of the roller above the ground", b.height.as_metres()),
        ("the wind", b.wind.map_or(0.0, Speed::as_metres_per_second)),
        ("the lie", b.lie.as_degrees()),
    ];
    match measures.into_iter().find(|(_, value)| !(0.0 <= *value && value.is_finite())) {
        Some((what, value)) => Err(SwingError::NotAMeasure { what, value }),
        None if b.reach_high < b.reach_low => {
            Err(SwingError::ReachesCrossed { low: b.reach_low, high: b.reach_high })
        }
        None => Ok(()),
    }
}

fn region(berthing: &Berthing, half: f64) -> Region {
    let reaches_m = [berthing.reach_low.as_metres(), berthing.reach_high.as_metres()];
    let size_m = (berthing.length_overall.as_metres(), berthing.beam.as_metres());
    let cover = cover(reaches_m, size_m, berthing.sheer.as_radians());
    let radius_m = cover.iter().map(|p| p.length().as_metres()).fold(0.0, f64::max);
    let corners = cover.into_iter().map(|turning| Turning { fixed: Offset::ORIGIN, turning }).collect();
    let turns = Turns { centre: berthing.lie.as_radians(), half };
    Region { berthing: *berthing, corners, turns, radius_m }
}

/// Corners of a convex cover of the hull under every reach and sheer, when it lies to the north of the anchor. Size
/// is length and beam.
pub(crate) fn cover(reaches_m: [f64; 2], (length_m, beam_m): (f64, f64), sheer: f64) -> Vec<Offset> {
    let sheers = arc(sheer.min(core::f64::consts::PI), BULGE);
    let mut points = Vec::with_capacity(64);
    for reach_m in reaches_m {
        let bow = Offset { east_m: 0.0, north_m: reach_m };
        for (side, aft_m) in [(-0.5, 0.0), (0.5, 0.0), (-0.5, length_m), (0.5, length_m)] {
            let corner = Offset { east_m: side * beam_m, north_m: aft_m };
            points.extend(sheers.iter().map(|turn| bow + turned(corner, *turn)));
        }
    }
    hull(points)
}

impl Region {
    /// The greatest distance of any part of her from the anchor.
    pub fn radius(&self) -> Length {
        Length::metres(self.radius_m)
    }

    /// The corners of all she can cover while the bow bears so from the anchor, metres from the anchor.
    pub fn hull_at(&self, lie: Bearing) -> Vec<Offset> {
        let sin_cos = lie.as_radians().sin_cos();
        self.corners.iter().map(|corner| turned(corner.turning, sin_cos)).collect()
    }

    /// The border of all she can cover, for a drawing: metres from the anchor, clockwise, first along its outer side
    /// and back along its inner one, which is left out where she covers the anchor from every side.
    ///
    /// # Accuracy
    /// Rays of [`RAY_DEG`]: a corner between two rays is cut by less than a hundredth of its distance. For distances
    /// take [`Self::room_to_danger`].
    pub fn outline(&self) -> Vec<Offset> {
        let steps = RAYS;
        let cover: Vec<Option<(f64, f64)>> = (0..steps).map(|step| self.ray(step as f64 * RAY_DEG)).collect();
        #[expect(clippy::cast_possible_truncation, reason = "half a turn at the most, in rays")]
        let half_steps = ((self.turns.half.to_degrees() / RAY_DEG).round() as i64).min(steps / 2);
        let along = |step: i64| {
            let rays = (step - half_steps..=step + half_steps)
                .filter_map(|k| cover.get(usize::try_from(k.rem_euclid(steps)).ok()?).copied().flatten());
            rays.reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)))
        };
        let at = |step: i64, metres: f64| {
            let bearing = Bearing::degrees(self.turns.centre.to_degrees() + step as f64 * RAY_DEG);
            Offset::along(bearing, Length::metres(metres))
        };
        let reached: Vec<(i64, (f64, f64))> =
            (-steps / 2..=steps / 2).filter_map(|step| Some((step, along(step)?))).collect();
        let outer = reached.iter().map(|&(step, (_, far))| at(step, far));
        let holds_anchor = reached.iter().all(|&(_, (near, _))| near <= 0.0);
        let inner = reached.iter().rev().filter(|_| !holds_anchor).map(|&(step, (near, _))| at(step, near));
        outer.chain(inner).collect()
    }

    /// How near and how far a ray from the anchor, so many degrees clockwise from the lie, goes through her cover.
    fn ray(&self, off_deg: f64) -> Option<(f64, f64)> {
        let (sin, cos) = off_deg.to_radians().sin_cos();
        let ray = Offset { east_m: sin, north_m: cos };
        let corners: Vec<Offset> = self.corners.iter().map(|corner| corner.turning).collect();
        let ends = corners.iter().skip(1).chain(corners.first());
        let mut met: Option<(f64, f64)> = holds(&corners, Offset::ORIGIN).then_some((0.0, 0.0));
        for (from, to) in corners.iter().zip(ends) {
            let (a, b) = (cross(ray, *from), cross(ray, *to));
            if (a < 0.0) == (b < 0.0) {
                continue;
            }
            let share = a / (a - b);
            let along_m = dot(ray, *from) * (1.0 - share) + dot(ray, *to) * share;
            if 0.0 <= along_m {
                met =
                    Some(met.map_or((along_m, along_m), |(near, far)| (near.min(along_m), far.max(along_m))));
            }
        }
        met
    }

    /// The least distance from any part of her to a danger.
    pub fn room_to_danger(&self, danger: &Danger) -> Room {
        let (found, about) = match &danger.shape {
            DangerShape::Point { at, radius } => {
                let spot = [Turning::fixed(*at)];
                (least(&self.corners, &spot, self.turns, f64::INFINITY), *radius + danger.margin)
            }
            DangerShape::Line(points) => {
                (self.least_to_edges(points.windows(2).map(|edge| [edge[0], edge[1]])), danger.margin)
            }
            DangerShape::Area(border) => (self.least_to_area(border), danger.margin),
        };
        let found =
            found.map(|found| Separation { least_m: (found.least_m - about.as_metres()).max(0.0), ..found });
        room(danger.name.clone(), found, Case::Still)
    }

    /// The least water over all she can reach, on ground that rises evenly towards `uphill`: `h - tan(slope) d`,
    /// `d` how far she reaches that way. Downhill of the anchor all of her may lie in more water than the
    /// anchor does.
    ///
    /// # Validity
    /// Slopes within a right angle of the level, either way.
    pub fn least_depth(&self, at_anchor: WaterDepth, slope: Angle, uphill: Bearing) -> WaterDepth {
        let tangent = slope.as_radians().tan();
        // Ground that falls one way rises the other.
        let uphill = if tangent < 0.0 { uphill.reversed() } else { uphill };
        WaterDepth(at_anchor.0 - Length::metres(tangent.abs() * self.reach_towards_m(uphill)))
    }

    /// The least water under a keel of this draught over all she can reach; negative where she would ground.
    pub fn least_under_keel(
        &self,
        at_anchor: WaterDepth,
        slope: Angle,
        uphill: Bearing,
        draught: Length,
    ) -> Length {
        self.least_depth(at_anchor, slope, uphill).0 - draught
    }

    /// How far from the anchor any part of her can be, counted along a bearing; negative if all of her lies the other
    /// way.
    fn reach_towards_m(&self, bearing: Bearing) -> f64 {
        let along = turned(Offset::along(bearing, Length::metres(1.0)), (-self.turns.centre).sin_cos());
        let reach = |corner: &Turning| {
            let off = cross(along, corner.turning).atan2(dot(along, corner.turning)).abs();
            corner.turning.length().as_metres() * (off - self.turns.half).max(0.0).cos()
        };
        self.corners.iter().map(reach).fold(f64::NEG_INFINITY, f64::max)
    }

    fn least_to_area(&self, border: &[Offset]) -> Option<Separation> {
        let ends = border.iter().skip(1).chain(border.first());
        let found = self.least_to_edges(border.iter().zip(ends).map(|(from, to)| [*from, *to]));
        // Where she crosses no edge she lies wholly within the area or wholly without it.
        let somewhere = self.hull_at(Bearing::degrees(self.turns.centre.to_degrees()));
        match somewhere.first() {
            Some(spot) if holds(border, *spot) => Some(Separation { least_m: 0.0, near: *spot }),
            _ => found,
        }
    }

    fn least_to_edges(&self, edges: impl Iterator<Item = [Offset; 2]>) -> Option<Separation> {
        // No part of her is nearer to an edge than the edge to the anchor, less her greatest distance from it.
        let coarse_m = |[from, to]: [Offset; 2]| nearest_to_origin_m(from, to) - self.radius_m;
        let mut edges: Vec<_> = edges.map(|edge| (coarse_m(edge), edge)).collect();
        let nearest = edges.iter().enumerate().min_by(|(_, a), (_, b)| a.0.total_cmp(&b.0)).map(|(k, _)| k);
        edges.swap(0, nearest?);
        let mut best: Option<Separation> = None;
        for (coarse_m, [from, to]) in edges {
            let within_m = best.map_or(f64::INFINITY, |best| best.least_m);
            if coarse_m < within_m {
                let edge = [Turning::fixed(from), Turning::fixed(to)];
                best = least(&self.corners, &edge, self.turns, within_m).or(best);
            }
        }
        best
    }
}

fn room(to: String, found: Option<Separation>, case: Case) -> Room {
    // Nothing found happens only where no number compares: that is no room.
    let (least_m, at) = found.map_or((0.0, Offset::ORIGIN), |found| (found.least_m, found.near));
    Room { to, least: Length::metres(least_m), at, assumed: Vec::new(), case }
}

impl Danger {
    /// A danger with a shape that can be.
    ///
    /// # Errors
    /// [`SwingError::NoShape`] or [`SwingError::NotAMeasure`].
    pub fn new(name: String, shape: DangerShape) -> Result<Self, SwingError> {
        let (points, wanted): (&[Offset], usize) = match &shape {
            DangerShape::Point { at, radius } => {
                let value = radius.as_metres();
                if !(0.0 <= value && value.is_finite()) {
                    return Err(SwingError::NotAMeasure { what: "the radius", value });
                }
                (core::slice::from_ref(at), 1)
            }
            DangerShape::Line(points) => (points, 2),
            DangerShape::Area(border) => (border, 3),
        };
        if points.len() < wanted || !points.iter().all(|p| p.length().is_finite()) {
            return Err(SwingError::NoShape { name, points: points.len(), wanted });
        }
        Ok(Self { name, shape, margin: Length::ZERO })
    }

    /// The same with all within a distance of its shape belonging to it.
    ///
    /// # Errors
    /// [`SwingError::NotAMeasure`] unless the distance is a number from nought up.
    pub fn with_margin(self, margin: Length) -> Result<Self, SwingError> {
        let value = margin.as_metres();
        if 0.0 <= value && value.is_finite() {
            Ok(Self { margin, ..self })
        } else {
            Err(SwingError::NotAMeasure { what: "the distance about it", value })
        }
    }

    /// Its name.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Its shape.
    pub const fn shape(&self) -> &DangerShape {
        &self.shape
    }
}

fn nearest_to_origin_m(from: Offset, to: Offset) -> f64 {
    let edge = to - from;
    let squared = dot(edge, edge);
    let t = if squared > 0.0 { (-dot(from, edge) / squared).clamp(0.0, 1.0) } else { 0.0 };
    (from + separation::scaled(edge, t)).length().as_metres()
}

/// Whether a point lies within a border: a ray from it crosses the border an odd number of times.
fn holds(border: &[Offset], p: Offset) -> bool {
    let ends = border.iter().skip(1).chain(border.first());
    let crossed = |(a, b): (&Offset, &Offset)| {
        (a.north_m <= p.north_m) != (b.north_m <= p.north_m)
            && p.east_m < a.east_m + (b.east_m - a.east_m) * (p.north_m - a.north_m) / (b.north_m - a.north_m)
    };
    border.iter().zip(ends).filter(|edge| crossed(*edge)).count() % 2 == 1
}

#[cfg(test)]
mod tests;
