//! The sheet as one page of HTML for paper and for a phone: no script, no request to anywhere.
//!
//! On A4 it is one sheet; at the width of a phone the drawings stand under each other and the drawing along time is
//! the narrow one. Both widths of that drawing are in the page, and the style shows one.

use windrode_domain::plan::sheet::{Sheet, Verdict};

use crate::append::append;
use crate::drawing::svg::{escaped, inside, style_sheet};
use crate::drawing::{Style, above, along_time, side};
use crate::words::{self, Grid, Voice};

/// Layout, and the marks of the four words: a border whose kind differs for each, so that no word hangs on a colour.
const LAYOUT: &str = "
*{box-sizing:border-box}
body{margin:0 auto;padding:14px;max-width:900px;font:15px/1.4 Helvetica,Arial,'Liberation Sans',sans-serif;
color:#1a1d21;background:#fff;overflow-wrap:anywhere}
header p,h1,h2{margin:0}
h1{font-size:19px}
h2{font-size:14px;margin:14px 0 4px;border-bottom:1px solid #1a1d21}
.word{font-size:28px;font-weight:bold;margin:12px 0 4px;padding:2px 10px;border:3px solid #1a1d21;display:inline-block}
.lies-with-care{border-style:dashed}
.cannot-say{border-style:dotted}
.do-not-lie-here{border-style:double;border-width:7px}
.call{font-size:21px;line-height:1.3;font-weight:bold;margin:4px 0 8px}
ol,ul{margin:4px 0;padding-left:22px}
li{margin:2px 0}
.when{white-space:nowrap;font-weight:bold}
.drawings{display:grid;grid-template-columns:minmax(0,1fr) minmax(0,1fr);gap:12px;align-items:start;margin-top:12px}
.drawings>div{min-width:0}
.drawings svg{display:block;width:100%;height:auto}
.wide,.narrow{grid-column:1/-1}
.narrow{display:none}
dl{display:grid;grid-template-columns:auto 1fr;gap:2px 12px;margin:6px 0}
dt{font-weight:bold}
dd{margin:0}
.scroll{overflow-x:auto}
table{border-collapse:collapse;font-size:13px;overflow-wrap:normal}
th,td{border:1px solid #6a7076;padding:2px 7px;text-align:right;white-space:nowrap}
th:first-child,td:first-child{text-align:left}
.small p,p.small{margin:3px 0}
.small{font-size:13px}
.foot{display:grid;grid-template-columns:minmax(0,1fr);gap:0 18px}
.on-paper{display:none}
@media (max-width:600px){
.drawings{grid-template-columns:minmax(0,1fr)}
.wide{display:none}.narrow{display:block}
.call{font-size:18px}
dl{grid-template-columns:1fr}
dd{margin-bottom:4px}
}
@media print{
@page{size:A4;margin:8mm}
body{padding:0;max-width:none;font-size:7.9pt;line-height:1.18}
h1{font-size:11pt}h2{font-size:8.4pt;margin:3pt 0 1pt}
.word{font-size:15pt;margin:3pt 0 2pt}
.call{font-size:11.5pt;margin:2pt 0}
ol,ul{margin:1pt 0}li{margin:0}
dl{margin:2pt 0;gap:0 8pt}
.drawings{gap:5pt 10pt;margin-top:4pt;grid-template-columns:53mm 53mm;justify-content:center}
.wide{justify-self:center;width:114mm}
.wide{display:block}.narrow{display:none}
.small{font-size:7pt;line-height:1.15}table{font-size:6.1pt}
th,td{padding:0 2.5pt}
.foot{grid-template-columns:minmax(0,1.35fr) minmax(0,1fr)}
.on-screen{display:none}.on-paper{display:block}
.scroll{overflow:visible}
.list ul{columns:2;column-gap:14pt}.foot .list ul{columns:1}
.drawings,li,tr{break-inside:avoid}
}
";

/// The page.
pub(crate) fn html(sheet: &Sheet, voice: &Voice) -> String {
    let title = escaped(&format!("{}: {}", words::plain(&sheet.head.boat), words::plain(&sheet.head.stay)));
    let mut out = String::new();
    append(
        &mut out,
        format_args!(
            "<!DOCTYPE html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"/>\n\
             <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>\n\
             <title>{title}</title>\n<style>{LAYOUT}{}</style></head>\n<body>\n",
            style_sheet()
        ),
    );
    head(&mut out, &title, sheet, voice);
    why(&mut out, sheet, voice);
    facts(&mut out, sheet, voice);
    drawings(&mut out, sheet, voice);
    foot(&mut out, sheet, voice);
    out.push_str("</body></html>\n");
    out
}

fn head(out: &mut String, title: &str, sheet: &Sheet, voice: &Voice) {
    let span = sheet.head.span;
    let class = match sheet.verdict {
        Verdict::LiesWell => "lies-well",
        Verdict::LiesWithCare => "lies-with-care",
        Verdict::CannotSay => "cannot-say",
        Verdict::DoNotLieHere => "do-not-lie-here",
    };
    append(
        out,
        format_args!(
            "<header><h1>{title}</h1>\n<p class=\"small\">{}, local time ({}). {}.</p></header>\n\
             <main><p class=\"word {class}\">{}</p>\n<p class=\"call\">{}</p>\n",
            escaped(&words::span_line(span, voice)),
            escaped(&voice.clock.zones_of(span.from(), span.to())),
            escaped(&words::place_line(sheet)),
            words::verdict(sheet.verdict),
            escaped(&words::call(sheet, voice))
        ),
    );
}

fn why(out: &mut String, sheet: &Sheet, voice: &Voice) {
    out.push_str("<h2>Why</h2>\n");
    let told = words::reasons(sheet, voice);
    if told.is_empty() {
        out.push_str("<p>Within every limit, and nothing stands out.</p>\n");
        return;
    }
    out.push_str("<ol>\n");
    for reason in told {
        let when = reason
            .when
            .map_or_else(String::new, |when| format!(" <span class=\"when\">{}</span>", escaped(&when)));
        append(out, format_args!("<li><b>{}:</b> {}{when}", reason.word, escaped(&reason.text)));
        if !reason.remedies.is_empty() {
            append(out, format_args!(" <i>{}</i>", escaped(&reason.remedies.join(" Or: "))));
        }
        out.push_str("</li>\n");
    }
    out.push_str("</ol>\n");
}

fn facts(out: &mut String, sheet: &Sheet, voice: &Voice) {
    out.push_str("<dl>\n");
    for (label, fact) in words::facts(sheet, voice) {
        append(out, format_args!("<dt>{label}</dt><dd>{}</dd>\n", escaped(&fact)));
    }
    out.push_str("</dl>\n");
}

fn drawings(out: &mut String, sheet: &Sheet, voice: &Voice) {
    let square = Style::new(360.0, 360.0, voice);
    let wide = along_time(sheet, &Style::new(720.0, 390.0, voice));
    // Its own name, for the same page holds the wide one.
    let narrow = crate::drawing::scene::Scene {
        name: "along-time-narrow",
        ..along_time(sheet, &Style::new(360.0, 460.0, voice))
    };
    append(
        out,
        format_args!(
            "<div class=\"drawings\"><div>{}</div><div>{}</div><div class=\"wide\">{}</div><div class=\"narrow\">{}</div></div>\n",
            inside(&above(sheet, &square)),
            inside(&side(sheet, &square)),
            inside(&wide),
            inside(&narrow)
        ),
    );
}

fn foot(out: &mut String, sheet: &Sheet, voice: &Voice) {
    out.push_str("<div class=\"foot\"><div class=\"bow\">\n");
    match words::bow_table(sheet, voice) {
        Some(table) => grid(out, &table),
        None => out.push_str("<h2>For the bow</h2><p class=\"small\">Cannot say what to veer.</p>\n"),
    }
    list(out, "Rules of the trade beside this", "", &words::rules(sheet, voice));
    out.push_str("</div><div>\n");
    let turns = words::turns(sheet, voice);
    let turns = if turns.is_empty() { "cannot say".to_owned() } else { turns.join("; ") };
    append(out, format_args!("<h2>Tide turns</h2><p class=\"small\">{}</p>\n", escaped(&turns)));
    list(out, "Limits in force", "", &words::limits(sheet, voice));
    out.push_str("</div></div>\n");
    list(out, "Lights, sounds, cautions", "", &words::reminders(sheet, voice));
    list(out, "Where the figures come from", " on-screen", &words::sources(sheet, voice));
    list(out, "Sources, and what was assumed", " on-paper", &words::sources_short(sheet, voice));
    out.push_str("</main>\n");
}

fn grid(out: &mut String, grid: &Grid) {
    append(out, format_args!("<h2>{}</h2>\n<div class=\"scroll\"><table><thead><tr>", escaped(&grid.title)));
    for cell in &grid.head {
        append(out, format_args!("<th scope=\"col\">{}</th>", escaped(cell)));
    }
    out.push_str("</tr></thead><tbody>\n");
    for row in &grid.rows {
        out.push_str("<tr>");
        for cell in row {
            append(out, format_args!("<td>{}</td>", escaped(cell)));
        }
        out.push_str("</tr>\n");
    }
    append(out, format_args!("</tbody></table></div>\n<p class=\"small\">{}</p>\n", escaped(&grid.note)));
}

/// A titled list; `place` is empty, or the class of what is shown only on screen or only on paper.
fn list(out: &mut String, title: &str, place: &str, items: &[String]) {
    if items.is_empty() {
        return;
    }
    append(out, format_args!("<section class=\"list{place}\"><h2>{title}</h2>\n<ul class=\"small\">\n"));
    for item in items {
        append(out, format_args!("<li>{}</li>\n", escaped(item)));
    }
    out.push_str("</ul></section>\n");
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sample::{american, forecast_ends, hostile, nothing_known, sheet, voice};

    /// The page is written so that it is XML too, but for its first line.
    fn parsed(page: &str) -> roxmltree::Document<'_> {
        let body = page.strip_prefix("<!DOCTYPE html>\n").unwrap();
        roxmltree::Document::parse(body).unwrap_or_else(|error| panic!("{error}"))
    }

    #[test]
    fn the_page_is_well_formed_whatever_people_call_things() {
        for sheet in [sheet(), hostile(), nothing_known(), forecast_ends()] {
            for voice in [voice(), american()] {
                let page = html(&sheet, &voice);
                let document = parsed(&page);
                assert_eq!(document.descendants().filter(|node| node.has_tag_name("script")).count(), 0);
                let drawings =
                    document.descendants().filter(|node| node.attribute("class") == Some("windrode-drawing"));
                assert_eq!(drawings.count(), 4);
            }
        }
    }

    #[test]
    fn no_identifier_stands_twice_in_the_page() {
        let page = html(&sheet(), &voice());
        let document = parsed(&page);
        let mut ids: Vec<_> = document.descendants().filter_map(|node| node.attribute("id")).collect();
        let all = ids.len();
        ids.sort_unstable();
        ids.dedup();
        assert_eq!(ids.len(), all);
    }

    #[test]
    fn the_page_asks_nobody_for_anything() {
        let page = html(&hostile(), &voice());
        let foreign = page.replace("xmlns=\"http://www.w3.org/2000/svg\"", "");
        assert!(!foreign.contains("http") && !foreign.contains("src=") && !foreign.contains("url("));
    }
}
