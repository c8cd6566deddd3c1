//! Wind and gusts, with the gust that the set has proved and the gust at which the holding band begins.

use jiff::Timestamp;
use windrode_domain::plan::sheet::{Instant, Sheet};
use windrode_domain::units::Speed;

use super::heading;
use super::panel::{Panel, Paper};
use crate::drawing::labels::Labels;
use crate::drawing::scene::{Broken, Ink, Pen, Stroke, broken, point, solid};
use crate::words::{Toward, Voice, speed, speed_figure, speed_unit};

/// Draws the panel.
pub(super) fn draw(pen: &mut Pen, paper: &Paper, panel: &Panel, sheet: &Sheet, voice: &Voice) {
    heading(pen, panel, &format!("Wind, {}", speed_unit(voice)));
    let gust = |instant: &Instant| instant.riding.map(|riding| speed_figure(riding.wind.gust, voice));
    let mean = |instant: &Instant| instant.riding.map(|riding| speed_figure(riding.wind.mean, voice));
    let lines = levels(sheet, voice);
    let known = sheet.instants.iter().filter_map(gust);
    let high = known.chain(lines.iter().map(|(value, ..)| *value)).fold(10.0, f64::max);
    // Room above for the words of the strongest gust.
    let scale = panel.scale(0.0, high * 1.12);
    panel.figures(pen, scale, 0.0, high);
    let mut labels = Labels::new(panel.frame.inset(1.0));
    for gap in panel.gaps(pen, paper, sheet, &gust) {
        labels.keep_clear(gap);
    }
    let (thin, heavy) = (solid(Ink::Wind, 1.0), solid(Ink::Wind, 2.2));
    panel.legend(pen, &[("mean", thin), ("gusts", heavy)]);
    Panel::series(pen, &mut labels, Panel::places(paper, scale, sheet, &mean), thin);
    Panel::series(pen, &mut labels, Panel::places(paper, scale, sheet, &gust), heavy);
    for (value, _, stroke) in &lines {
        let y = scale.at(*value);
        panel.level(pen, y, *stroke);
        labels.keep_off(&[point(panel.frame.left, y), point(panel.frame.right, y)]);
    }
    if let Some((strongest, at)) = strongest(sheet) {
        let dot = point(paper.x(at), scale.at(speed_figure(strongest, voice)));
        let words = format!("{} {}", speed(strongest, Toward::More, voice), voice.clock.time(at));
        Panel::extreme(pen, &mut labels, dot, words);
    }
    for (value, words, stroke) in &lines {
        panel.on_level(pen, &mut labels, scale.at(*value), words, stroke.ink);
    }
}

/// Gusts worth a line right across: figure, words, stroke.
fn levels(sheet: &Sheet, voice: &Voice) -> Vec<(f64, String, Stroke)> {
    let proved = sheet.proved_gust.map(|gust| {
        let words = format!("the set proved gusts of {}", speed(gust, Toward::Less, voice));
        (speed_figure(gust, voice), words, broken(Ink::Text, 1.1, Broken::DashDot))
    });
    let begins = sheet.band_begins_gust.map(|gust| {
        let words = format!("1 in 10 would drag in gusts of {}", speed(gust, Toward::Less, voice));
        (speed_figure(gust, voice), words, broken(Ink::Danger, 1.2, Broken::Dashed))
    });
    proved.into_iter().chain(begins).collect()
}

fn strongest(sheet: &Sheet) -> Option<(Speed, Timestamp)> {
    let known = sheet.instants.iter().filter_map(|instant| Some((instant.riding?.wind.gust, instant.at)));
    known.max_by(|(a, _), (b, _)| a.as_metres_per_second().total_cmp(&b.as_metres_per_second()))
}

/// The panel in words.
pub(super) fn told(sheet: &Sheet, voice: &Voice) -> String {
    let Some((gust, at)) = strongest(sheet) else { return "The wind cannot be said.".to_owned() };
    let known = sheet.instants.iter().filter(|instant| instant.riding.is_some()).count();
    let mut out = format!("Strongest gusts {} at {}", speed(gust, Toward::More, voice), voice.clock.time(at));
    for (_, words, _) in levels(sheet, voice) {
        out.push_str("; ");
        out.push_str(&words);
    }
    out.push('.');
    if known < sheet.instants.len() {
        out.push_str(" For some of the stay the wind cannot be said.");
    }
    out
}
