//! Along time: water under the keel, wind, and the least distance to anything, over one axis of local hours.
//!
//! Dark hours are washed and hatched; turns of the tide and of the wind are marked; the moment of the other two
//! drawings is the upright line. Where a figure cannot be said its panel is hatched crosswise and says so: a gap is
//! never an empty, calm piece of paper.

mod panel;
mod water;
mod wind;
mod room;
mod marks;

use windrode_domain::plan::sheet::Sheet;

use self::panel::{Panel, Paper};
use super::axes::{self, Scale};
use super::hatch::hatch;
use super::scene::{Align, Broken, Frame, Ink, Pen, Scene, broken, point, solid};
use super::{HEADING, LETTER, SMALL, Style, moment};

/// Room for the scales' figures on the left.
const LEFT: f64 = 30.0;
/// Room for the heading and the strip of tide turns above.
const HEAD: f64 = 60.0;
/// Room for hours and days below.
const FOOT: f64 = 30.0;
/// Between two panels: a heading's line.
const BETWEEN: f64 = 20.0;
/// The strip of wind arrows between wind and room.
const ARROWS: f64 = 30.0;

/// The drawing along time.
pub(crate) fn along_time(sheet: &Sheet, style: &Style) -> Scene {
    let paper = paper(sheet, style);
    let mut pen = Pen::default();
    pen.bold(point(0.0, HEADING), "Along time", HEADING, Align::Start);
    let zone = style.voice.clock.zones_of(sheet.head.span.from(), sheet.head.span.to());
    pen.text(point(style.width, HEADING), &format!("local time, {zone}"), SMALL, Align::End);
    for panel in &paper.panels {
        night(&mut pen, &paper, panel, sheet);
    }
    hours(&mut pen, &paper, sheet, style);
    marks::tide_turns(&mut pen, &paper, sheet, &style.voice);
    now(&mut pen, &paper, sheet, style);
    let [water_panel, wind_panel, room_panel] = &paper.panels;
    water::draw(&mut pen, &paper, water_panel, sheet, &style.voice);
    wind::draw(&mut pen, &paper, wind_panel, sheet, &style.voice);
    marks::wind_arrows(&mut pen, &paper, wind_panel, sheet);
    room::draw(&mut pen, &paper, room_panel, sheet, &style.voice);
    for panel in &paper.panels {
        pen.ring(panel.frame.corners(), solid(Ink::Text, 0.9));
    }
    Scene {
        name: "along-time",
        title: "Along time".to_owned(),
        description: description(sheet, style),
        width: style.width,
        height: style.height,
        items: pen.items,
    }
}

/// Three panels one above the other, over one scale of time.
fn paper(sheet: &Sheet, style: &Style) -> Paper {
    let span = sheet.head.span;
    let high = style.height - HEAD - FOOT - 2.0 * BETWEEN - ARROWS;
    let shares = [0.3, 0.42, 0.28];
    let mut top = HEAD;
    let panels = [0, 1, 2].map(|at| {
        let height = high * shares[at];
        let frame = Frame { left: LEFT, top, right: style.width - 2.0, bottom: top + height };
        top += height + BETWEEN + if at == 1 { ARROWS } else { 0.0 };
        Panel { frame }
    });
    Paper {
        panels,
        along: Scale::new([0.0, span.duration().as_secs_f64()], [LEFT, style.width - 2.0]),
        begin: span.from(),
    }
}

/// Dark hours: a wash and level hatching.
fn night(pen: &mut Pen, paper: &Paper, panel: &Panel, sheet: &Sheet) {
    for dark in &sheet.dark {
        let left = paper.x(dark.from()).max(panel.frame.left);
        let right = paper.x(dark.to()).min(panel.frame.right);
        if left < right {
            let area = Frame { left, right, ..panel.frame }.corners();
            pen.area(area.clone(), Ink::NightWash);
            pen.strokes(hatch(&area, 5.0, -60.0), solid(Ink::Quiet, 0.25));
        }
    }
}

/// Hours along the foot, and a thin line up at each new day.
fn hours(pen: &mut Pen, paper: &Paper, sheet: &Sheet, style: &Style) {
    let [first, _, last] = &paper.panels;
    // An hour's two figures need their own width and as much again about them.
    let most = (style.width - LEFT) / 34.0;
    let mut day_ends = 0.0;
    for tick in axes::hours(sheet.head.span, &style.voice.clock, most) {
        let x = paper.x(tick.at);
        let base = last.frame.bottom;
        pen.strokes(vec![[point(x, base), point(x, base + 4.0)]], solid(Ink::Text, 0.9));
        // Two figures reach about five points to either side.
        pen.text(point(x.min(style.width - 6.0), base + 14.0), &tick.hour, SMALL, Align::Middle);
        let Some(day) = tick.day else { continue };
        let wide = crate::helvetica::width(&day, SMALL, crate::helvetica::Weight::Bold);
        let left = (x - 6.0).max(LEFT).min(style.width - wide);
        if tick.hour == "00" {
            let ends =
                paper.panels.iter().map(|panel| [point(x, panel.frame.top), point(x, panel.frame.bottom)]);
            pen.strokes(ends.collect(), solid(Ink::Quiet, 0.6));
        }
        if day_ends < left {
            pen.bold(point(left, base + 26.0), &day, SMALL, Align::Start);
            day_ends = left + wide + 6.0;
        }
    }
    for dark in &sheet.dark {
        let (left, right) = (paper.x(dark.from()).max(LEFT), paper.x(dark.to()).min(style.width - 2.0));
        if 30.0 < right - left {
            let at = point(f64::midpoint(left, right), first.frame.top + 9.0);
            pen.letters(at, "dark", SMALL, Align::Middle, crate::helvetica::Weight::Regular, Ink::Quiet);
        }
    }
}

/// The moment of the other two drawings.
fn now(pen: &mut Pen, paper: &Paper, sheet: &Sheet, style: &Style) {
    let Some(instant) = moment::drawn(sheet, style.moment) else { return };
    let [first, _, last] = &paper.panels;
    let x = paper.x(instant.at);
    pen.line(
        vec![point(x, first.frame.top), point(x, last.frame.bottom + 3.0)],
        broken(Ink::Text, 1.2, Broken::Dotted),
    );
    let top = first.frame.top;
    pen.area(vec![point(x, top + 7.0), point(x - 4.5, top), point(x + 4.5, top)], Ink::Text);
}

/// All that is drawn, in words.
fn description(sheet: &Sheet, style: &Style) -> String {
    let voice = &style.voice;
    let mut out = vec![water::told(sheet, voice), wind::told(sheet, voice), room::told(sheet, voice)];
    out.extend(moment::drawn(sheet, style.moment).map(|instant| {
        format!("The upright line is the moment of the other drawings, {}.", voice.clock.time(instant.at))
    }));
    out.join(" ")
}

/// Where a heading of a panel stands.
fn heading(pen: &mut Pen, panel: &Panel, text: &str) {
    pen.bold(point(panel.frame.left, panel.frame.top - 5.0), text, LETTER, Align::Start);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::scene::Item;
    use crate::sample::{american, forecast_ends, hostile, nothing_known, sheet, voice};

    fn words(scene: &Scene) -> String {
        let texts = scene.items.iter().filter_map(|item| match item {
            Item::Text(letters) => Some(letters.text.as_str()),
            _ => None,
        });
        texts.collect::<Vec<_>>().join("\n")
    }

    #[test]
    fn a_gap_says_that_it_cannot_say() {
        let wide = Style::new(720.0, 380.0, &voice());
        assert!(!words(&along_time(&sheet(), &wide)).contains("cannot say"));
        let gap = words(&along_time(&forecast_ends(), &wide));
        // Wind and room; the water is known to the end.
        assert_eq!(gap.matches("cannot say").count(), 2, "{gap}");
        assert_eq!(words(&along_time(&nothing_known(), &wide)).matches("cannot say").count(), 3);
        let mut broken = sheet();
        broken.instants[100].under_keel = Some(windrode_domain::units::Length::metres(f64::NAN));
        assert_eq!(words(&along_time(&broken, &wide)).matches("cannot say").count(), 1);
    }

    #[test]
    fn all_words_stay_on_the_paper() {
        for sheet in [sheet(), hostile(), nothing_known(), forecast_ends()] {
            for (width, height) in [(720.0, 380.0), (360.0, 460.0)] {
                for voice in [voice(), american()] {
                    super::super::assert_words_on_paper(&along_time(
                        &sheet,
                        &Style::new(width, height, &voice),
                    ));
                }
            }
        }
    }

    #[test]
    fn the_gusts_that_the_set_proved_and_the_band_begins_at_are_written() {
        let told = words(&along_time(&sheet(), &Style::new(720.0, 380.0, &voice())));
        assert!(
            told.contains("set proved gusts of 34 kn") && told.contains("would drag in gusts of 43 kn"),
            "{told}"
        );
    }
}
