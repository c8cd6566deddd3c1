//! From the side: the ground, the water, and the rode as it truly hangs at the moments worth seeing.
//!
//! Along the paper are metres from the anchor towards the boat, up the paper heights above the anchor. Where the
//! water is shallow for the length of the rode, heights are drawn larger by a round factor that is stated; angles are
//! then steeper on paper than in the water, so they are told in figures.

mod water;
mod vessel;

use jiff::Timestamp;
use windrode_domain::plan::sheet::{Instant, RodeCurve, Sheet};
use windrode_domain::units::{Angle, Length};

use super::axes::Scale;
use super::hatch::hatch;
use super::labels::{Label, Labels};
use super::scene::{Align, Broken, Frame, Ink, Item, Pen, Point, Scene, broken, point, solid};
use super::{HEADING, LETTER, SMALL, Style};
use crate::append::append;
use crate::helvetica::Weight;
use crate::words::{Toward, Voice, angle, clipped, force, length};

/// Room for the heading above, the words below, and the levels of the water on the left.
const HEAD: f64 = 20.0;
const FOOT: f64 = 58.0;

/// How much larger than lengths heights may be drawn.
const EXAGGERATIONS: [f64; 8] = [1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0];

/// Metres along and up to points on the paper.
struct Profile {
    frame: Frame,
    along: Scale,
    up: Scale,
    slope: f64,
    exaggeration: f64,
}

impl Profile {
    fn of(sheet: &Sheet, frame: Frame) -> Self {
        let loa = sheet.head.length_overall.as_metres();
        let points = || sheet.curves.iter().flat_map(|curve| &curve.points);
        let far = points().map(|p| p.x.as_metres()).fold(3.0 * loa, f64::max) + loa * 1.12;
        let slope = sheet.ground_slope.as_radians().tan();
        let top = water::highest(sheet).map_or(0.0, |(level, _)| level.as_metres());
        let high = points().map(|p| p.z.as_metres()).fold(top, f64::max)
            + sheet.head.roller_height.as_metres()
            + 0.8;
        let low = (slope * far).min(0.0) - 0.14 * high;
        let left = -0.05 * far;
        let even = frame.width() / (far - left);
        let room = frame.height() / (high - low) / even;
        let exaggeration = EXAGGERATIONS.into_iter().rev().find(|factor| *factor <= room).unwrap_or(1.0);
        // Where even an even scale does not fit, lengths give way.
        let metre_up = (even * exaggeration).min(frame.height() / (high - low));
        let metre_along = metre_up / exaggeration;
        Self {
            frame,
            along: Scale::new([left, left + 1.0], [frame.left, frame.left + metre_along]),
            up: Scale::new([low, low + 1.0], [frame.bottom, frame.bottom - metre_up]),
            slope,
            exaggeration,
        }
    }
    fn place(&self, x: Length, z: Length) -> Point {
        point(self.along.at(x.as_metres()), self.up.at(z.as_metres()))
    }
    fn level(&self, z: Length) -> f64 {
        self.up.at(z.as_metres())
    }
}

/// The drawing from the side.
pub(crate) fn side(sheet: &Sheet, style: &Style) -> Scene {
    let frame = Frame { left: 1.0, top: HEAD, right: style.width - 1.0, bottom: style.height - FOOT };
    let profile = Profile::of(sheet, frame);
    let shown = shown(sheet, style.moment);
    let mut map = Pen::default();
    let mut labels = Labels::new(frame.inset(3.0));
    water::body(&mut map, &profile, sheet, shown);
    ground(&mut map, &mut labels, &profile);
    for curve in &sheet.curves {
        labels.keep_off(&points_of(&profile, curve));
    }
    water::levels(&mut map, &mut labels, &profile, sheet, shown, &style.voice);
    for curve in sheet.curves.iter().filter(|curve| !shown.is_some_and(|shown| std::ptr::eq(*curve, shown))) {
        lesser(&mut map, &mut labels, &profile, curve);
    }
    if sheet.curves.is_empty() {
        super::cannot_say(&mut map, frame, "cannot say how the rode lies", frame);
    }
    if let Some(curve) = shown {
        vessel::draw(&mut map, &mut labels, &profile, sheet, curve);
        rode(&mut map, &mut labels, &profile, curve);
        foot_of_rode(&mut map, &mut labels, &profile, curve, &style.voice);
    }

    let mut pen = Pen::default();
    let when = shown.map_or_else(String::new, |curve| format!(", {}", style.voice.clock.time(curve.at)));
    pen.bold(point(0.0, HEADING), &format!("From the side{when}"), HEADING, Align::Start);
    pen.items.push(Item::Window { frame, items: map.items });
    pen.ring(frame.corners(), solid(Ink::Text, 1.0));
    let words = told(sheet, shown, &profile, &style.voice);
    pen.caption(0.0, frame.bottom + LETTER + 3.0, style.width, &words, SMALL);
    Scene {
        name: "side",
        title: format!("From the side{when}"),
        description: words,
        width: style.width,
        height: style.height,
        items: pen.items,
    }
}

/// The curve of the moment asked for, else the first, which is the worst.
fn shown(sheet: &Sheet, asked: Option<Timestamp>) -> Option<&RodeCurve> {
    match asked {
        Some(at) => sheet.curves.iter().min_by_key(|curve| curve.at.duration_since(at).unsigned_abs()),
        None => sheet.curves.first(),
    }
}

fn ground(pen: &mut Pen, labels: &mut Labels, profile: &Profile) {
    let frame = profile.frame;
    let at = |x: f64| point(x, profile.up.at(profile.slope * inverse(profile, x)));
    let (left, right) = (at(frame.left), at(frame.right));
    let body = vec![left, right, point(frame.right, frame.bottom), point(frame.left, frame.bottom)];
    pen.area(body.clone(), Ink::GroundWash);
    pen.strokes(hatch(&body, 7.0, -45.0), solid(Ink::Ground, 0.5));
    pen.line(vec![left, right], solid(Ink::Ground, 1.6));
    labels.keep_off(&[left, right]);
}

/// Metres along at a place on the paper.
fn inverse(profile: &Profile, x: f64) -> f64 {
    (x - profile.along.at(0.0)) / (profile.along.at(1.0) - profile.along.at(0.0))
}

fn points_of(profile: &Profile, curve: &RodeCurve) -> Vec<Point> {
    curve.points.iter().map(|p| profile.place(p.x, p.z)).collect()
}

/// Another moment's rode, thin and dashed, with its caption.
fn lesser(pen: &mut Pen, labels: &mut Labels, profile: &Profile, curve: &RodeCurve) {
    let points = points_of(profile, curve);
    if let Some(near) = points.get(points.len() * 9 / 10).copied() {
        labels.write(
            pen,
            &Label {
                near,
                clear: 5.0,
                lines: vec![curve.caption.to_owned()],
                weight: Weight::Regular,
                size: SMALL,
                ink: Ink::Text,
                prefer_deg: &[125.0, 250.0],
            },
        );
    }
    pen.line(points, broken(Ink::Rode, 1.0, Broken::Dashed));
}

/// The rode of the moment with the crew's marks and the snubber beside it.
fn rode(pen: &mut Pen, labels: &mut Labels, profile: &Profile, curve: &RodeCurve) {
    pen.line(points_of(profile, curve), solid(Ink::Rode, 2.2));
    for mark in &curve.marks {
        let p = profile.place(mark.place.x, mark.place.z);
        pen.area(super::scene::circle(p, 3.6), Ink::Paper);
        pen.ring(super::scene::circle(p, 3.6), solid(Ink::Rode, 1.6));
        let label = Label {
            near: p,
            clear: 6.0,
            lines: vec![clipped(&mark.looks, 16)],
            weight: Weight::Regular,
            size: SMALL,
            ink: Ink::Text,
            prefer_deg: &[0.0, 330.0, 180.0],
        };
        labels.write(pen, &label);
    }
    let Some(from) = curve.snubber_from else { return };
    let line: Vec<Point> = curve
        .points
        .iter()
        .filter(|p| from.x <= p.x)
        .map(|p| profile.place(p.x, p.z))
        .map(|p| point(p.x, p.y + 3.0))
        .collect();
    let near = line.get(line.len() / 2).copied().unwrap_or_else(|| profile.place(from.x, from.z));
    pen.line(line, solid(Ink::Rode, 1.2));
    let label = Label {
        near,
        clear: 5.0,
        lines: vec!["snubber".to_owned()],
        weight: Weight::Regular,
        size: SMALL,
        ink: Ink::Text,
        prefer_deg: &[150.0, 300.0],
    };
    labels.write(pen, &label);
}

/// How high above the ground a rode may be and still be drawn as lying on it: less than a line's breadth.
const LYING: Length = Length::metres(0.02);

/// How much of the rode lies on the ground, along it.
fn grounded(curve: &RodeCurve, slope: f64) -> Length {
    let lies = |p: &windrode_domain::plan::sheet::CurvePoint| p.z - p.x * slope < LYING;
    let mut total = Length::ZERO;
    for ends in curve.points.windows(2) {
        if let [a, b] = ends {
            if !(lies(a) && lies(b)) {
                break;
            }
            total += Length::metres((b.x - a.x).as_metres().hypot((b.z - a.z).as_metres()));
        }
    }
    total
}

/// The anchor, the rode's lift, and a bracket under what lies on the ground.
fn foot_of_rode(pen: &mut Pen, labels: &mut Labels, profile: &Profile, curve: &RodeCurve, voice: &Voice) {
    let at = profile.place(Length::ZERO, Length::ZERO);
    pen.strokes(
        vec![
            [point(at.x - 12.0, at.y - 3.0), at],
            [point(at.x - 12.0, at.y - 3.0), point(at.x - 8.0, at.y + 8.0)],
        ],
        solid(Ink::Rode, 2.4),
    );
    labels.keep_clear(Frame { left: at.x - 14.0, right: at.x + 4.0, top: at.y - 6.0, bottom: at.y + 9.0 });
    let lift = lift_words(curve.uplift);
    let label = Label {
        near: at,
        clear: 14.0,
        lines: vec![lift],
        weight: Weight::Regular,
        size: SMALL,
        ink: Ink::Text,
        prefer_deg: &[135.0, 150.0],
    };
    labels.write(pen, &label);
    let lying = grounded(curve, profile.slope);
    if lying <= Length::ZERO {
        return;
    }
    let y = at.y + 9.0;
    let end = profile.place(lying, Length::ZERO).x;
    pen.line(
        vec![point(at.x, y - 4.0), point(at.x, y), point(end, y), point(end, y - 4.0)],
        solid(Ink::Rode, 1.0),
    );
    let label = Label {
        near: point(f64::midpoint(at.x, end), y),
        clear: 3.0,
        lines: vec![format!("{} on the ground", length(lying, Toward::Less, voice))],
        weight: Weight::Regular,
        size: SMALL,
        ink: Ink::Text,
        prefer_deg: &[180.0],
    };
    labels.write(pen, &label);
}

fn lift_words(uplift: Angle) -> String {
    // A tenth of a degree is what is told; less is level.
    if uplift.as_degrees() < 0.05 {
        "pull level with the ground".to_owned()
    } else {
        format!("pull {} above the ground", angle(uplift, Toward::More))
    }
}

/// What the drawing shows, in words, under it.
fn told(sheet: &Sheet, shown: Option<&RodeCurve>, profile: &Profile, voice: &Voice) -> String {
    let scale = if profile.exaggeration > 1.0 {
        format!("Heights are drawn {} times as large as lengths.", profile.exaggeration)
    } else {
        "Heights and lengths are drawn alike.".to_owned()
    };
    let Some(curve) = shown else {
        return format!("Cannot say how the rode lies: wind, water or rode is unknown. {scale}");
    };
    let lying = grounded(curve, profile.slope);
    let on_ground = if lying <= Length::ZERO {
        "no rode lies on the ground".to_owned()
    } else {
        format!("{} of rode lies on the ground", length(lying, Toward::Less, voice))
    };
    let mut out = format!(
        "Heavy line, {}: {} at the bow, {}, {on_ground}.",
        curve.caption,
        force(curve.load, Toward::More, voice),
        lift_words(curve.uplift),
    );
    let others: Vec<String> = sheet
        .curves
        .iter()
        .filter(|other| !std::ptr::eq(*other, curve))
        .map(|other| format!("{} ({})", other.caption, voice.clock.time(other.at)))
        .collect();
    if !others.is_empty() {
        append(&mut out, format_args!(" Dashed: {}.", others.join(", ")));
    }
    format!("{out} {scale}")
}

/// The instant nearest to a time.
fn instant_at(sheet: &Sheet, at: Timestamp) -> Option<&Instant> {
    sheet.instants.iter().min_by_key(|instant| instant.at.duration_since(at).unsigned_abs())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sample::{american, hostile, nothing_known, sheet, voice};

    #[test]
    fn all_words_stay_on_the_paper() {
        for sheet in [sheet(), hostile(), nothing_known()] {
            super::super::assert_words_on_paper(&side(&sheet, &Style::new(360.0, 360.0, &voice())));
        }
    }

    #[test]
    fn the_foot_says_load_lift_and_what_lies() {
        let scene = side(&sheet(), &Style::new(360.0, 360.0, &american()));
        // 5532 N over 4.448 N/lbf is 1243.6 lbf.
        assert!(scene.description.contains("1244 lbf at the bow"), "{}", scene.description);
        assert!(scene.description.contains("pull 3.2° above the ground, no rode lies on the ground"));
        assert!(scene.description.contains("times as large as lengths"));
    }

    #[test]
    fn nothing_known_is_said_and_not_drawn() {
        let scene = side(&nothing_known(), &Style::new(360.0, 360.0, &voice()));
        assert!(scene.description.starts_with("Cannot say how the rode lies"));
    }

    #[test]
    fn what_lies_on_the_ground_is_measured_along_it() {
        let slack = &sheet().curves[1];
        // The sample's slack rode lies to 27 m from the anchor; points are half a metre apart.
        assert!((grounded(slack, sheet().ground_slope.as_radians().tan()).as_metres() - 27.0).abs() < 1.5);
    }
}
