//! Lines, areas, dots and letters on a sheet of paper, before anybody has said how they are shown.
//!
//! Points are in points of 1/72 inch (CSS pixels in SVG) from the upper left corner, `x` to the right, `y` down.

use crate::helvetica::{self, Weight};

/// A place on the paper.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Point {
    /// To the right.
    pub(crate) x: f64,
    /// Down.
    pub(crate) y: f64,
}

/// A place on the paper.
pub(crate) const fn point(x: f64, y: f64) -> Point {
    Point { x, y }
}

/// An upright rectangle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Frame {
    /// Left edge.
    pub(crate) left: f64,
    /// Upper edge.
    pub(crate) top: f64,
    /// Right edge.
    pub(crate) right: f64,
    /// Lower edge.
    pub(crate) bottom: f64,
}

impl Frame {
    /// How wide.
    pub(crate) const fn width(&self) -> f64 {
        self.right - self.left
    }
    /// How high.
    pub(crate) const fn height(&self) -> f64 {
        self.bottom - self.top
    }
    /// Its middle.
    pub(crate) const fn middle(&self) -> Point {
        point(f64::midpoint(self.left, self.right), f64::midpoint(self.top, self.bottom))
    }
    /// Whether a point lies in it.
    pub(crate) fn contains(&self, p: Point) -> bool {
        self.left <= p.x && p.x <= self.right && self.top <= p.y && p.y <= self.bottom
    }
    /// The area shared with another.
    pub(crate) fn overlap(&self, other: &Self) -> f64 {
        let width = self.right.min(other.right) - self.left.max(other.left);
        let height = self.bottom.min(other.bottom) - self.top.max(other.top);
        width.max(0.0) * height.max(0.0)
    }
    /// Smaller by a margin all round.
    pub(crate) const fn inset(&self, by: f64) -> Self {
        Self { left: self.left + by, top: self.top + by, right: self.right - by, bottom: self.bottom - by }
    }
    /// Its corners, closed.
    pub(crate) fn corners(&self) -> Vec<Point> {
        vec![
            point(self.left, self.top),
            point(self.right, self.top),
            point(self.right, self.bottom),
            point(self.left, self.bottom),
        ]
    }
}

/// What a line or area stands for; a backend chooses its colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(crate) enum Ink {
    /// Letters and the frame's strong lines.
    Text,
    /// Scales, hatching, helping lines.
    Quiet,
    /// The bottom.
    Ground,
    /// The water's surface and depth.
    Water,
    /// Chain, rope, anchor.
    Rode,
    /// The boat.
    Hull,
    /// Wind.
    Wind,
    /// Limits, dangers.
    Danger,
    /// Neighbours.
    Neighbour,
    /// Pale area of water.
    WaterWash,
    /// Pale area of ground.
    GroundWash,
    /// Pale area of dark hours.
    NightWash,
    /// Pale area of where she can lie.
    LieWash,
    /// The paper itself.
    Paper,
}

impl Ink {
    /// Every ink.
    pub(crate) const ALL: [Self; 14] = [
        Self::Text,
        Self::Quiet,
        Self::Ground,
        Self::Water,
        Self::Rode,
        Self::Hull,
        Self::Wind,
        Self::Danger,
        Self::Neighbour,
        Self::WaterWash,
        Self::GroundWash,
        Self::NightWash,
        Self::LieWash,
        Self::Paper,
    ];
    /// Its name in style sheets.
    pub(crate) const fn name(self) -> &'static str {
        match self {
            Self::Text => "text",
            Self::Quiet => "quiet",
            Self::Ground => "ground",
            Self::Water => "water",
            Self::Rode => "rode",
            Self::Hull => "hull",
            Self::Wind => "wind",
            Self::Danger => "danger",
            Self::Neighbour => "neighbour",
            Self::WaterWash => "water-wash",
            Self::GroundWash => "ground-wash",
            Self::NightWash => "night-wash",
            Self::LieWash => "lie-wash",
            Self::Paper => "paper",
        }
    }
    /// Its colour by day and on paper. Dark on pale: every line's contrast to the paper is above 4.5 to 1 (WCAG 2.2,
    /// 1.4.3), washes excepted, which only underlie lines and words.
    pub(crate) const fn by_day(self) -> [u8; 3] {
        match self {
            Self::Text | Self::Rode | Self::Hull => [0x1a, 0x1d, 0x21],
            Self::Quiet => [0x6a, 0x70, 0x76],
            Self::Ground => [0x6b, 0x4f, 0x2e],
            Self::Water => [0x1f, 0x5a, 0x86],
            Self::Wind => [0x2f, 0x5d, 0x3a],
            Self::Danger => [0xa3, 0x2a, 0x18],
            Self::Neighbour => [0x5a, 0x3d, 0x7a],
            Self::WaterWash => [0xe3, 0xee, 0xf5],
            Self::GroundWash => [0xef, 0xe6, 0xd8],
            Self::NightWash => [0xee, 0xee, 0xf2],
            Self::LieWash => [0xec, 0xec, 0xe6],
            Self::Paper => [0xff, 0xff, 0xff],
        }
    }
}

/// How a line is broken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Broken {
    /// Not at all.
    Solid,
    /// Into dashes.
    Dashed,
    /// Into dots.
    Dotted,
    /// Into dashes and dots.
    DashDot,
}

impl Broken {
    /// Lengths of ink and gap, in turn.
    pub(crate) const fn pattern(self) -> &'static [f32] {
        match self {
            Self::Solid => &[],
            Self::Dashed => &[6.0, 4.0],
            Self::Dotted => &[1.5, 3.0],
            Self::DashDot => &[9.0, 3.0, 2.0, 3.0],
        }
    }
}

/// How a line is drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Stroke {
    /// For what.
    pub(crate) ink: Ink,
    /// How thick.
    pub(crate) width: f64,
    /// How broken.
    pub(crate) broken: Broken,
}

/// An unbroken line.
pub(crate) const fn solid(ink: Ink, width: f64) -> Stroke {
    Stroke { ink, width, broken: Broken::Solid }
}

/// A broken line.
pub(crate) const fn broken(ink: Ink, width: f64, broken: Broken) -> Stroke {
    Stroke { ink, width, broken }
}

/// Which part of a text stands at its point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Align {
    /// Its beginning.
    Start,
    /// Its middle.
    Middle,
    /// Its end.
    End,
}

/// One line of letters.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Letters {
    /// Where, on the base line.
    pub(crate) at: Point,
    /// What.
    pub(crate) text: String,
    /// How large.
    pub(crate) size: f64,
    /// How heavy.
    pub(crate) weight: Weight,
    /// In which ink.
    pub(crate) ink: Ink,
    /// How it stands to its point.
    pub(crate) align: Align,
}

impl Letters {
    /// How wide they come.
    pub(crate) fn width(&self) -> f64 {
        helvetica::width(&self.text, self.size, self.weight)
    }
    /// The left end of the line.
    pub(crate) fn left(&self) -> f64 {
        match self.align {
            Align::Start => self.at.x,
            Align::Middle => self.at.x - self.width() / 2.0,
            Align::End => self.at.x - self.width(),
        }
    }
}

/// One thing drawn.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Item {
    /// A line.
    Line {
        /// Through these.
        points: Vec<Point>,
        /// Back to the first.
        closed: bool,
        /// How.
        stroke: Stroke,
    },
    /// An area.
    Area {
        /// Within these.
        points: Vec<Point>,
        /// Filled so.
        ink: Ink,
    },
    /// Dots of one kind.
    Dots {
        /// At these.
        points: Vec<Point>,
        /// So large across.
        across: f64,
        /// In this ink.
        ink: Ink,
    },
    /// Separate short lines of one kind: hatching, ticks.
    Strokes {
        /// From and to.
        ends: Vec<[Point; 2]>,
        /// How.
        stroke: Stroke,
    },
    /// Letters, with a rim of paper about them so that lines do not run through.
    Text(Letters),
    /// Things seen only within a window.
    Window {
        /// The window.
        frame: Frame,
        /// The things.
        items: Vec<Item>,
    },
}

/// One drawing.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Scene {
    /// A word that is the drawing's own in a page of several.
    pub(crate) name: &'static str,
    /// What it is.
    pub(crate) title: String,
    /// What it shows, in words, for those who do not see it.
    pub(crate) description: String,
    /// How wide.
    pub(crate) width: f64,
    /// How high.
    pub(crate) height: f64,
    /// What is drawn, in order.
    pub(crate) items: Vec<Item>,
}

/// Collects items with few words.
#[derive(Clone, Debug, Default)]
pub(crate) struct Pen {
    /// What has been drawn.
    pub(crate) items: Vec<Item>,
}

impl Pen {
    /// An open line.
    pub(crate) fn line(&mut self, points: Vec<Point>, stroke: Stroke) {
        if points.len() > 1 {
            self.items.push(Item::Line { points, closed: false, stroke });
        }
    }
    /// A closed line.
    pub(crate) fn ring(&mut self, points: Vec<Point>, stroke: Stroke) {
        self.items.push(Item::Line { points, closed: true, stroke });
    }
    /// A filled area.
    pub(crate) fn area(&mut self, points: Vec<Point>, ink: Ink) {
        self.items.push(Item::Area { points, ink });
    }
    /// Dots.
    pub(crate) fn dots(&mut self, points: Vec<Point>, across: f64, ink: Ink) {
        if !points.is_empty() {
            self.items.push(Item::Dots { points, across, ink });
        }
    }
    /// Separate short lines.
    pub(crate) fn strokes(&mut self, ends: Vec<[Point; 2]>, stroke: Stroke) {
        if !ends.is_empty() {
            self.items.push(Item::Strokes { ends, stroke });
        }
    }
    /// Ordinary letters.
    pub(crate) fn text(&mut self, at: Point, text: &str, size: f64, align: Align) {
        self.letters(at, text, size, align, Weight::Regular, Ink::Text);
    }
    /// Heavy letters.
    pub(crate) fn bold(&mut self, at: Point, text: &str, size: f64, align: Align) {
        self.letters(at, text, size, align, Weight::Bold, Ink::Text);
    }
    /// Letters of any kind.
    pub(crate) fn letters(
        &mut self,
        at: Point,
        text: &str,
        size: f64,
        align: Align,
        weight: Weight,
        ink: Ink,
    ) {
        self.items.push(Item::Text(Letters { at, text: text.to_owned(), size, weight, ink, align }));
    }
    /// Words under a drawing, broken to its width from the line at `top`; says where the next line would stand.
    pub(crate) fn caption(&mut self, left: f64, top: f64, width: f64, text: &str, size: f64) -> f64 {
        let mut y = top;
        for line in helvetica::wrapped(text, size, Weight::Regular, width) {
            self.text(point(left, y), &line, size, Align::Start);
            y += size * 1.28;
        }
        y
    }
}

/// Points round a circle, enough that no chord leaves it by a tenth of a point at the sizes drawn here.
pub(crate) fn circle(centre: Point, radius: f64) -> Vec<Point> {
    (0..90)
        .map(|step| {
            let (sin, cos) = (f64::from(step) * 4.0).to_radians().sin_cos();
            point(centre.x + radius * sin, centre.y - radius * cos)
        })
        .collect()
}
