//! From above: north up, the anchor in the middle, and where she can lie about it.
//!
//! Each dot is one four-hundredth of the stay, laid by Halton's sequence evenly over the ring that her hull can sweep
//! while her bow bears so; the dashed line is as far as any part of her comes. What lies beyond the paper is named at
//! its edge with its distance from the anchor. The hull is drawn to her length; its breadth, three tenths of that, is
//! only for the eye.

mod view;
mod lie;
mod things;

use windrode_domain::plan::sheet::{Instant, Sheet};
use windrode_domain::units::{Bearing, Speed};

use self::view::View;
use super::axes::nice_below;
use super::labels::{Label, Labels};
use super::scene::{Align, Frame, Ink, Pen, Point, Scene, point, solid};
use super::{HEADING, LETTER, SMALL, Style, moment};
use crate::append::append;
use crate::crew_units::LengthUnit;
use crate::helvetica::{self, Weight};
use crate::words::{Toward, Voice, bearing, clipped, length, plain, speed, stream};

/// Room for the heading above the map and for the words below it.
const HEAD: f64 = 20.0;
const FOOT: f64 = 42.0;

/// Lines of a key that are printed: more would leave too little of the map.
const KEY_LINES: usize = 9;
/// From one line below the map to the next.
const FOOT_LINE: f64 = SMALL * 1.28;

/// The drawing from above.
pub(crate) fn above(sheet: &Sheet, style: &Style) -> Scene {
    let mut lines = 0;
    loop {
        let (scene, wanted) = with_key(sheet, style, lines);
        // A smaller map may crowd more names out: once more, until all of the key has its lines.
        if wanted <= lines || lines == KEY_LINES {
            return scene;
        }
        lines = wanted.min(KEY_LINES);
    }
}

/// The drawing with so many lines for its key, and how many the key would fill.
fn with_key(sheet: &Sheet, style: &Style, lines: usize) -> (Scene, usize) {
    let bottom = style.height - FOOT - lines as f64 * FOOT_LINE;
    let frame = Frame { left: 1.0, top: HEAD, right: style.width - 1.0, bottom };
    let view = View::of(sheet, frame);
    let drawn = moment::drawn(sheet, style.moment);
    let mut map = Pen::default();
    let mut labels = Labels::new(frame.inset(3.0));
    map.area(frame.corners(), Ink::WaterWash);
    lie::shade(&mut map, &mut labels, &view, sheet);
    things::outlines(&mut map, &mut labels, &view, sheet);
    if !lie::known(sheet) {
        super::cannot_say(&mut map, frame, "cannot say where she lies", frame);
    }
    if let Some(instant) = drawn {
        lie::boat(&mut map, &mut labels, &view, sheet, instant);
    }
    lie::anchor(&mut map, &mut labels, &view);
    scale_bar(&mut map, &mut labels, &view, &style.voice);
    north(&mut map, &mut labels, frame);
    let mut key = Vec::new();
    if let Some(instant) = drawn {
        key.extend(winds(&mut map, &mut labels, frame, instant, &style.voice));
    }
    key.extend(things::names(&mut map, &mut labels, &view, sheet, &style.voice));
    lie::shares(&mut map, &mut labels, &view, sheet);

    let mut pen = Pen::default();
    let when = drawn.map_or_else(String::new, |instant| format!(", {}", style.voice.clock.time(instant.at)));
    pen.bold(point(0.0, HEADING), &format!("From above{when}"), HEADING, Align::Start);
    pen.items.push(super::scene::Item::Window { frame, items: map.items });
    pen.ring(frame.corners(), solid(Ink::Text, 1.0));
    let below = pen.caption(0.0, frame.bottom + LETTER + 3.0, style.width, &foot(sheet), SMALL);
    let wanted = write_key(&mut pen, below, style.width, &key, lines);
    let scene = Scene {
        name: "above",
        title: format!("From above{when}"),
        description: description(sheet, drawn, &style.voice),
        width: style.width,
        height: style.height,
        items: pen.items,
    };
    (scene, wanted)
}

/// What stands for what, as far as there are lines for it, and how many lines it would fill.
fn write_key(pen: &mut Pen, below: f64, width: f64, key: &[String], lines: usize) -> usize {
    let all = helvetica::wrapped(&key.join("; "), SMALL, Weight::Regular, width);
    let fits = if all.len() <= lines { all.len() } else { lines.saturating_sub(1) };
    let mut y = below;
    for line in all.iter().take(fits) {
        pen.text(point(0.0, y), line, SMALL, Align::Start);
        y += FOOT_LINE;
    }
    if fits < all.len() && 0 < lines {
        pen.text(
            point(0.0, y),
            "More lie here than are named: see what is told of room.",
            SMALL,
            Align::Start,
        );
    }
    if key.is_empty() { 0 } else { all.len() }
}

fn foot(sheet: &Sheet) -> String {
    if !lie::known(sheet) {
        return "North up. Cannot say where she lies: wind or water is unknown.".to_owned();
    }
    let unknown = sheet.instants.iter().filter(|instant| instant.riding.is_none()).count();
    let gap = if unknown == 0 {
        String::new()
    } else {
        let share = unknown as f64 / sheet.instants.len() as f64;
        format!(" For {:.0} % of the stay it cannot be said where.", (share * 100.0).ceil())
    };
    let lost: Vec<String> = sheet
        .marks
        .iter()
        .filter(|mark| !things::has_place(mark))
        .map(|mark| clipped(&mark.name, 20))
        .collect();
    let lost = if lost.is_empty() {
        String::new()
    } else {
        format!(" Not drawn, place unknown: {}.", lost.join(", "))
    };
    format!(
        "North up. Each dot: she lies there 1/400 of the time.{gap} Dashed: as far as any part of a boat comes. \
         Distances are the least of the stay.{lost}"
    )
}

/// A round length in the crew's unit, low on the left.
fn scale_bar(pen: &mut Pen, labels: &mut Labels, view: &View, voice: &Voice) {
    let unit_m = match voice.units.length {
        LengthUnit::Metres => 1.0,
        LengthUnit::Feet => windrode_domain::units::FOOT_M,
        LengthUnit::Fathoms => windrode_domain::units::FOOT_M * 6.0,
    };
    let most_m = view.frame.width() * 0.3 / view.points_per_metre;
    let long_m = nice_below(most_m / unit_m) * unit_m;
    let (x, y) = (view.frame.left + 10.0, view.frame.bottom - 9.0);
    let across = long_m * view.points_per_metre;
    pen.line(
        vec![point(x, y - 5.0), point(x, y), point(x + across, y), point(x + across, y - 5.0)],
        solid(Ink::Text, 1.2),
    );
    let told =
        length(windrode_domain::units::Length::metres(long_m), Toward::Nearest, voice).replace(".0 ", " ");
    pen.text(point(x + across / 2.0, y - 4.0), &told, SMALL, Align::Middle);
    labels.keep_clear(Frame { left: x - 4.0, top: y - 15.0, right: x + across + 4.0, bottom: y + 4.0 });
}

fn north(pen: &mut Pen, labels: &mut Labels, frame: Frame) {
    let (x, y) = (frame.right - 14.0, frame.top + 8.0);
    pen.line(vec![point(x, y + 34.0), point(x, y + 12.0)], solid(Ink::Text, 1.2));
    pen.area(vec![point(x, y + 9.0), point(x - 3.5, y + 18.0), point(x + 3.5, y + 18.0)], Ink::Text);
    pen.bold(point(x, y + 6.0), "N", LETTER, Align::Middle);
    labels.keep_clear(Frame { left: x - 9.0, top: y - 4.0, right: x + 9.0, bottom: y + 36.0 });
}

/// Streams below this are not drawn: a tenth of a knot turns nobody and its direction is not known.
const LEAST_STREAM: Speed = Speed::knots(0.1);

/// Arrows that fly with the wind and with the stream, at the edge where each comes from.
/// What finds no room beside its arrow is given back.
fn winds(pen: &mut Pen, labels: &mut Labels, frame: Frame, instant: &Instant, voice: &Voice) -> Vec<String> {
    let mut unsaid = Vec::new();
    let Some(riding) = &instant.riding else { return unsaid };
    if let Some(from) = riding.wind.from {
        let told = format!("wind {}", speed(riding.wind.mean, Toward::More, voice));
        let gusts = format!("gusts {}", speed(riding.wind.gust, Toward::More, voice));
        unsaid.extend(arrow(pen, labels, frame, from, Ink::Wind, vec![told, gusts]));
    }
    if let (Some(towards), true) = (riding.stream.towards, LEAST_STREAM <= riding.stream.speed) {
        let told = format!("stream {}", stream(riding.stream.speed, voice));
        unsaid.extend(arrow(pen, labels, frame, towards.reversed(), Ink::Water, vec![told]));
    }
    unsaid
}

/// An arrow just within the edge on the side that something comes from, pointing to the middle; the wind's is
/// feathered, the stream's has a wavy shaft, so that neither needs its colour.
/// The words are given back where there is no room for them.
fn arrow(
    pen: &mut Pen,
    labels: &mut Labels,
    frame: Frame,
    from: Bearing,
    ink: Ink,
    lines: Vec<String>,
) -> Option<String> {
    let (sin, cos) = from.as_radians().sin_cos();
    let inner = frame.inset(14.0);
    let tail = view::edge(inner, from);
    let along =
        |far: f64, aside: f64| point(tail.x - sin * far + cos * aside, tail.y + cos * far + sin * aside);
    let shaft: Vec<Point> = if ink == Ink::Wind {
        vec![along(0.0, 0.0), along(26.0, 0.0)]
    } else {
        (0..=13).map(|step| along(f64::from(step) * 2.0, 2.0 * (f64::from(step) * 1.45).sin())).collect()
    };
    pen.line(shaft, solid(ink, 2.0));
    pen.area(vec![along(36.0, 0.0), along(24.0, -5.0), along(24.0, 5.0)], ink);
    if ink == Ink::Wind {
        let feathers = [0.0, 5.0].map(|far| [along(far, 0.0), along(far - 6.0, 6.0)]);
        pen.strokes(feathers.to_vec(), solid(ink, 1.6));
    }
    let ends = [along(0.0, 0.0), along(36.0, 0.0)];
    labels.keep_clear(Frame {
        left: ends[0].x.min(ends[1].x) - 6.0,
        right: ends[0].x.max(ends[1].x) + 6.0,
        top: ends[0].y.min(ends[1].y) - 6.0,
        bottom: ends[0].y.max(ends[1].y) + 6.0,
    });
    let said = lines.join(", ");
    let label = Label {
        near: along(16.0, 0.0),
        clear: 10.0,
        lines,
        weight: Weight::Bold,
        size: LETTER,
        ink,
        prefer_deg: &[],
    };
    (!labels.write_if_free(pen, &label)).then_some(said)
}

/// All that is drawn, in words.
fn description(sheet: &Sheet, drawn: Option<&Instant>, voice: &Voice) -> String {
    let mut out = format!("North up, about the anchor of {}.", plain(&sheet.head.boat));
    match drawn.and_then(|instant| instant.riding.as_ref()) {
        Some(riding) => {
            let heading = riding.heading.map_or_else(
                || "her heading cannot be said".to_owned(),
                |heading| format!("she heads {}", bearing(heading)),
            );
            append(
                &mut out,
                format_args!(
                    " Then {heading}; her bow is {} from the anchor. Wind {} gusting {}{}.",
                    length(riding.reach, Toward::More, voice),
                    speed(riding.wind.mean, Toward::More, voice),
                    speed(riding.wind.gust, Toward::More, voice),
                    riding.wind.from.map_or_else(String::new, |from| format!(" from {}", bearing(from))),
                ),
            );
        }
        None => out.push_str(" Where she lies cannot be said."),
    }
    for mark in &sheet.marks {
        append(&mut out, format_args!(" {}.", things::told(mark, voice)));
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use windrode_domain::plan::sheet::Mark;
    use windrode_domain::position::Offset;
    use windrode_domain::units::Length;

    use crate::drawing::scene::{Item, Letters};
    use crate::sample::{hostile, nothing_known, sheet, voice};

    fn words(items: &[Item]) -> Vec<String> {
        let mut out = Vec::new();
        for item in items {
            match item {
                Item::Text(letters) => out.push(letters.text.clone()),
                Item::Window { items, .. } => out.extend(words(items)),
                _ => {}
            }
        }
        out
    }

    #[test]
    fn what_was_guessed_of_a_neighbour_is_marked() {
        let scene = above(&sheet(), &Style::new(360.0, 400.0, &voice()));
        assert!(words(&scene.items).iter().any(|text| text.contains("guessed")));
    }

    #[test]
    fn what_lies_beyond_the_paper_is_named_at_its_edge() {
        let scene = above(&sheet(), &Style::new(360.0, 400.0, &voice()));
        assert!(words(&scene.items).iter().any(|text| text.contains("Ferry pier")));
        assert!(scene.description.contains("Ferry pier"));
    }

    #[test]
    fn all_words_stay_on_the_paper() {
        for sheet in [sheet(), hostile(), nothing_known()] {
            let scene = above(&sheet, &Style::new(360.0, 400.0, &voice()));
            super::super::assert_words_on_paper(&scene);
        }
    }

    /// Boats all round her, some within each other's circles, by a sequence that fills a square evenly.
    fn crowd(many: u32) -> Sheet {
        let mut sheet = sheet();
        let pattern =
            sheet.marks.iter().find(|mark| mark.swings_about.is_some()).cloned().expect("a neighbour");
        for k in 0..many {
            let spread = |step: f64| ((f64::from(k) + 1.0) * step).fract() * 300.0 - 150.0;
            let at = Offset { east_m: spread(0.754_877_666), north_m: spread(0.569_840_291) };
            sheet.marks.push(Mark {
                name: format!("a boat of the crowd {k}"),
                swings_about: Some(at),
                outline: vec![],
                reach: Some(Length::metres(15.0 + f64::from(k % 5) * 4.0)),
                ..pattern.clone()
            });
        }
        sheet
    }

    fn boxes(items: &[Item]) -> Vec<(String, Frame)> {
        let of = |letters: &Letters| {
            let width = helvetica::width(&letters.text, letters.size, letters.weight);
            let left = match letters.align {
                Align::Start => letters.at.x,
                Align::Middle => letters.at.x - width / 2.0,
                Align::End => letters.at.x - width,
            };
            // From the top of the capitals to the foot of the descenders of Helvetica.
            let (top, bottom) = (letters.at.y - 0.72 * letters.size, letters.at.y + 0.2 * letters.size);
            (letters.text.clone(), Frame { left, right: left + width, top, bottom })
        };
        items
            .iter()
            .flat_map(|item| match item {
                Item::Text(letters) => vec![of(letters)],
                Item::Window { items, .. } => boxes(items),
                _ => Vec::new(),
            })
            .collect()
    }

    #[test]
    fn no_word_covers_another_or_the_line_of_a_neighbour_s_circle_however_many_they_are() {
        for many in [0, 5, 12, 40] {
            let sheet = crowd(many);
            let style = Style::new(360.0, 400.0, &voice());
            let scene = above(&sheet, &style);
            let boxes = boxes(&scene.items);
            for (index, (text, one)) in boxes.iter().enumerate() {
                for (other_text, other) in boxes.iter().skip(index + 1) {
                    assert!(one.overlap(other) <= 0.0, "{many}: {text:?} and {other_text:?}");
                }
            }
            let window = scene.items.iter().find_map(|item| match item {
                Item::Window { frame, items } => Some((*frame, items)),
                _ => None,
            });
            let (frame, items) = window.expect("the map");
            let view = View::of(&sheet, frame);
            for (text, one) in self::boxes(items) {
                for mark in &sheet.marks {
                    let (Some(about), Some(reach), Some(long)) = (mark.swings_about, mark.reach, mark.length)
                    else {
                        continue;
                    };
                    let (at, radius) = (view.place(about), view.points((reach + long).as_metres()));
                    let corner = |x: f64, y: f64| (x - at.x).hypot(y - at.y);
                    let nearest = corner(at.x.clamp(one.left, one.right), at.y.clamp(one.top, one.bottom));
                    let farthest = [
                        (one.left, one.top),
                        (one.right, one.top),
                        (one.left, one.bottom),
                        (one.right, one.bottom),
                    ]
                    .map(|(x, y)| corner(x, y))
                    .into_iter()
                    .fold(0.0, f64::max);
                    assert!(radius <= nearest || farthest <= radius, "{many}: {text:?} on {}", mark.name);
                }
            }
        }
    }

    #[test]
    fn nothing_known_is_said_and_not_drawn() {
        let scene = above(&nothing_known(), &Style::new(360.0, 400.0, &voice()));
        assert!(words(&scene.items).iter().any(|text| text.contains("cannot say where she lies")));
    }
}
