//! A scene as SVG 1.1, alone in a file or inside a page.
//!
//! Colours are custom properties (`--wr-water` …), so that a page can light the same drawing for day, sun or night.

use super::scene::{Align, Broken, Frame, Ink, Item, Letters, Point, Scene, Stroke};
use crate::append::append;
use crate::helvetica::{self, Weight};

/// The drawing as a file of its own.
pub(crate) fn alone(scene: &Scene) -> String {
    format!("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n{}", element(scene, &style_sheet()))
}

/// The drawing inside a page that carries [`style_sheet`].
pub(crate) fn inside(scene: &Scene) -> String {
    element(scene, "")
}

/// The style that the drawings need, with the colours of day.
pub(crate) fn style_sheet() -> String {
    let mut css = String::from(":where(.windrode-drawing){");
    for ink in Ink::ALL {
        let [r, g, b] = ink.by_day();
        append(&mut css, format_args!("--wr-{}:#{r:02x}{g:02x}{b:02x};", ink.name()));
    }
    css.push_str("}\n.windrode-drawing{font-family:Helvetica,Arial,'Liberation Sans',sans-serif}\n");
    css.push_str(".windrode-drawing path{fill:none;stroke-linejoin:round}\n");
    css.push_str(
        ".windrode-drawing text{stroke:var(--wr-paper);stroke-width:2.5px;stroke-linejoin:round;paint-order:stroke}\n",
    );
    for ink in Ink::ALL {
        let name = ink.name();
        append(
            &mut css,
            format_args!(
                ".windrode-drawing .s-{name}{{stroke:var(--wr-{name})}}.windrode-drawing .f-{name}{{fill:var(--wr-{name})}}\n"
            ),
        );
    }
    for (name, broken) in
        [("dashed", Broken::Dashed), ("dotted", Broken::Dotted), ("dashdot", Broken::DashDot)]
    {
        let pattern: Vec<String> = broken.pattern().iter().map(f32::to_string).collect();
        append(
            &mut css,
            format_args!(".windrode-drawing .{name}{{stroke-dasharray:{}}}\n", pattern.join(" ")),
        );
    }
    css
}

/// Text made safe between tags and in attributes.
pub(crate) fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            c => out.push(c),
        }
    }
    out
}

fn element(scene: &Scene, style: &str) -> String {
    let mut out = String::new();
    let name = scene.name;
    append(
        &mut out,
        format_args!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"windrode-drawing\" viewBox=\"0 0 {} {}\" role=\"img\" \
             aria-labelledby=\"{name}-title {name}-desc\">\n",
            figure(scene.width),
            figure(scene.height)
        ),
    );
    append(&mut out, format_args!("<title id=\"{name}-title\">{}</title>\n", escaped(&scene.title)));
    append(&mut out, format_args!("<desc id=\"{name}-desc\">{}</desc>\n", escaped(&scene.description)));
    if !style.is_empty() {
        append(&mut out, format_args!("<style>\n{style}</style>\n"));
    }
    append(
        &mut out,
        format_args!(
            "<rect class=\"f-paper\" width=\"{}\" height=\"{}\"/>\n",
            figure(scene.width),
            figure(scene.height)
        ),
    );
    for item in &scene.items {
        draw(&mut out, item);
    }
    out.push_str("</svg>\n");
    out
}

fn draw(out: &mut String, item: &Item) {
    match item {
        Item::Line { points, closed, stroke } => {
            append(out, format_args!("<path {} d=\"{}\"/>\n", pen(*stroke), path(points, *closed)));
        }
        Item::Area { points, ink } => {
            append(out, format_args!("<path class=\"f-{}\" d=\"{}\"/>\n", ink.name(), path(points, true)));
        }
        Item::Dots { points, across, ink } => {
            let mut dots = String::new();
            for p in points {
                append(&mut dots, format_args!("M{} {}h0", figure(p.x), figure(p.y)));
            }
            append(
                out,
                format_args!(
                    "<path class=\"s-{}\" stroke-linecap=\"round\" stroke-width=\"{}\" d=\"{dots}\"/>\n",
                    ink.name(),
                    figure(*across)
                ),
            );
        }
        Item::Strokes { ends, stroke } => {
            let lines: String = ends.iter().map(|ends| path(ends, false)).collect();
            append(out, format_args!("<path {} d=\"{lines}\"/>\n", pen(*stroke)));
        }
        Item::Text(letters) => text(out, letters),
        Item::Window { frame, items } => window(out, frame, items),
    }
}

/// A nested `svg` clips to its own frame and needs no identifier.
fn window(out: &mut String, frame: &Frame, items: &[Item]) {
    let (x, y) = (figure(frame.left), figure(frame.top));
    let (width, height) = (figure(frame.width()), figure(frame.height()));
    append(
        out,
        format_args!(
            "<svg x=\"{x}\" y=\"{y}\" width=\"{width}\" height=\"{height}\" viewBox=\"{x} {y} {width} {height}\" overflow=\"hidden\">\n"
        ),
    );
    for item in items {
        draw(out, item);
    }
    out.push_str("</svg>\n");
}

fn text(out: &mut String, letters: &Letters) {
    let anchor = match letters.align {
        Align::Start => "",
        Align::Middle => " text-anchor=\"middle\"",
        Align::End => " text-anchor=\"end\"",
    };
    let weight = match letters.weight {
        Weight::Regular => "",
        Weight::Bold => " font-weight=\"bold\"",
    };
    // Room was found by Helvetica's widths; another face is held to them, unless it has letters that Helvetica lacks.
    let held = if helvetica::written(&letters.text).verbatim {
        format!(" textLength=\"{}\" lengthAdjust=\"spacingAndGlyphs\"", figure(letters.width()))
    } else {
        String::new()
    };
    append(
        out,
        format_args!(
            "<text class=\"f-{}\" x=\"{}\" y=\"{}\" font-size=\"{}\"{anchor}{weight}{held}>{}</text>\n",
            letters.ink.name(),
            figure(letters.at.x),
            figure(letters.at.y),
            figure(letters.size),
            escaped(&letters.text)
        ),
    );
}

fn pen(stroke: Stroke) -> String {
    let broken = match stroke.broken {
        Broken::Solid => "",
        Broken::Dashed => " dashed",
        Broken::Dotted => " dotted",
        Broken::DashDot => " dashdot",
    };
    format!("class=\"s-{}{broken}\" stroke-width=\"{}\"", stroke.ink.name(), figure(stroke.width))
}

fn path(points: &[Point], closed: bool) -> String {
    let mut d = String::new();
    for (at, p) in points.iter().enumerate() {
        let verb = if at == 0 { 'M' } else { 'L' };
        append(&mut d, format_args!("{verb}{} {}", figure(p.x), figure(p.y)));
    }
    if closed {
        d.push('Z');
    }
    d
}

/// To a hundredth of a point, without idle zeros.
fn figure(value: f64) -> String {
    // Adding zero turns a negative zero into zero.
    let hundredths = (value * 100.0).round() / 100.0 + 0.0;
    hundredths.to_string()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::{Style, above, along_time, side};
    use crate::sample::{american, forecast_ends, hostile, nothing_known, sheet, voice};

    #[test]
    fn every_drawing_is_well_formed_whatever_people_call_things() {
        for sheet in [sheet(), hostile(), nothing_known(), forecast_ends()] {
            for voice in [voice(), american()] {
                let style = Style::new(360.0, 380.0, &voice);
                for scene in [above(&sheet, &style), side(&sheet, &style), along_time(&sheet, &style)] {
                    let text = alone(&scene);
                    let document =
                        roxmltree::Document::parse(&text).unwrap_or_else(|error| panic!("{error}\n{text}"));
                    assert!(document.descendants().any(|node| node.has_tag_name("desc")));
                    assert!(!text.contains("NaN") && !text.contains("inf"), "{}", scene.name);
                }
            }
        }
    }

    #[test]
    fn the_same_sheet_gives_the_same_bytes() {
        let style = Style::new(360.0, 380.0, &voice());
        assert_eq!(alone(&above(&sheet(), &style)), alone(&above(&sheet(), &style)));
    }
}
