//! The sheet as PDF on A4: one page when all fits, more rather than a lost word.
//!
//! Written in the base-14 Helvetica, which every reader has and no file need carry; [`helvetica`] says how text
//! beyond it is told. Measures are points of 1/72 inch, `y` down from the upper edge until the last moment.

mod flow;
mod ink;

use pdf_writer::{Finish, Name, Pdf, Rect, Ref, TextStr};
use windrode_domain::plan::sheet::Sheet;

use self::flow::{Flow, PAGE_HIGH, PAGE_WIDE, Row};
use crate::drawing::scene::Scene;
use crate::drawing::{Style, above, along_time, side};
use crate::helvetica::{self, Weight};
use crate::words::{self, Grid, Voice};

/// Sizes of letters, points.
const WORD: f64 = 19.0;
const CALL: f64 = 12.0;
const BODY: f64 = 8.2;
/// Between columns.
const GUTTER: f64 = 14.0;

/// How small a sheet may be made to keep it to one page.
#[derive(Clone, Copy)]
struct Size {
    /// The drawings, to their own; below the least of these their letters, of nine and a half points, would come
    /// under four.
    drawings: f64,
    /// The letters of the foot, points.
    fine: f64,
}

/// The sizes that are tried, the most legible first.
const SIZES: [Size; 6] = [
    Size { drawings: 1.0, fine: 7.0 },
    Size { drawings: 0.93, fine: 7.0 },
    Size { drawings: 0.87, fine: 6.7 },
    Size { drawings: 0.8, fine: 6.4 },
    Size { drawings: 0.74, fine: 6.0 },
    Size { drawings: 0.68, fine: 5.7 },
];

/// The file.
pub(crate) fn pdf(sheet: &Sheet, voice: &Voice) -> Vec<u8> {
    let whole = SIZES.iter().map(|&size| laid_out(sheet, voice, size)).find(Flow::is_one_page);
    let flow = whole.unwrap_or_else(|| laid_out(sheet, voice, SIZES[0]));
    let title = format!("{}: {}", words::plain(&sheet.head.boat), words::plain(&sheet.head.stay));
    file(flow, &title)
}

fn laid_out(sheet: &Sheet, voice: &Voice, size: Size) -> Flow {
    let mut flow = Flow::new();
    head(&mut flow, sheet, voice);
    why(&mut flow, sheet, voice);
    drawings(&mut flow, sheet, voice, size.drawings);
    foot(&mut flow, sheet, voice, size.fine);
    flow
}

fn head(flow: &mut Flow, sheet: &Sheet, voice: &Voice) {
    let span = sheet.head.span;
    let title = format!("{}: {}", words::plain(&sheet.head.boat), words::plain(&sheet.head.stay));
    flow.words(&title, 10.5, Weight::Bold);
    let when = format!(
        "{}, local time ({}). {}.",
        words::span_line(span, voice),
        voice.clock.zones_of(span.from(), span.to()),
        words::place_line(sheet)
    );
    flow.words(&when, BODY, Weight::Regular);
    flow.gap(3.0);
    flow.words(words::verdict(sheet.verdict), WORD, Weight::Bold);
    flow.words(&words::call(sheet, voice), CALL, Weight::Bold);
    flow.gap(2.0);
}

fn why(flow: &mut Flow, sheet: &Sheet, voice: &Voice) {
    let told = words::reasons(sheet, voice);
    if told.is_empty() {
        flow.words("Within every limit, and nothing stands out.", BODY, Weight::Regular);
    }
    for (index, reason) in told.iter().enumerate() {
        let when = reason.when.as_ref().map_or_else(String::new, |when| format!(" ({when})"));
        let mend = if reason.remedies.is_empty() {
            String::new()
        } else {
            format!(" {}", reason.remedies.join(" Or: "))
        };
        let text = format!("{}: {}{when}{mend}", reason.word, reason.text);
        flow.hung(&format!("{}.", index + 1), 14.0, &text, BODY);
    }
    flow.gap(2.0);
    for (label, fact) in words::facts(sheet, voice) {
        flow.hung(label, 50.0, &fact, BODY);
    }
    flow.gap(4.0);
}

fn drawings(flow: &mut Flow, sheet: &Sheet, voice: &Voice, shrink: f64) {
    let square = Style::new(360.0, 305.0, voice);
    let half = (flow.width() - GUTTER) / 2.0;
    let scale = (half / 360.0).min(0.6);
    flow.beside(&above(sheet, &square), &side(sheet, &square), scale * shrink);
    flow.gap(5.0);
    let long = along_time(sheet, &Style::new(720.0, 315.0, voice));
    let scale = (flow.width() / 720.0).min(0.62);
    flow.scene(&long, scale * shrink);
    flow.gap(5.0);
}

fn foot(flow: &mut Flow, sheet: &Sheet, voice: &Voice, fine: f64) {
    let half = (flow.width() - GUTTER) / 2.0;
    let mut left = Vec::new();
    match words::bow_table(sheet, voice) {
        Some(table) => left.extend(grid(&table, (half, fine))),
        None => left.extend(titled("For the bow", &["Cannot say what to veer.".to_owned()], (half, fine))),
    }
    let rules = words::rules(sheet, voice);
    if !rules.is_empty() {
        left.extend(titled("Rules of the trade beside this", &rules, (half, fine)));
    }
    left.extend(titled(
        "Sources, and what was assumed",
        &[words::sources_short(sheet, voice).join("; ")],
        (half, fine),
    ));
    let turns = words::turns(sheet, voice);
    let turns = if turns.is_empty() { "cannot say".to_owned() } else { turns.join("; ") };
    let mut right = titled("Tide turns", &[turns], (half, fine));
    right.extend(titled("Limits in force", &words::limits(sheet, voice), (half, fine)));
    right.extend(titled("Lights, sounds, cautions", &words::reminders_short(sheet), (half, fine)));
    flow.columns(left, right, half + GUTTER);
}

/// A title and its lines, broken to a width.
fn titled(title: &str, items: &[String], (width, fine): (f64, f64)) -> Vec<Row> {
    let mut rows = vec![Row::words(title, BODY, Weight::Bold)];
    for item in items {
        let lines = helvetica::wrapped(item, fine, Weight::Regular, width - 7.0);
        for (at, line) in lines.iter().enumerate() {
            let lead = if at == 0 { "•" } else { "" };
            rows.push(Row::hung(lead, 7.0, line, fine));
        }
    }
    rows.push(Row::space(3.0));
    rows
}

/// A table in even columns; the first to the left, the others to the right, set smaller where the width asks for it.
fn grid(grid: &Grid, (width, fine): (f64, f64)) -> Vec<Row> {
    let mut rows = vec![Row::words(&grid.title, BODY, Weight::Bold)];
    let first = 44.0;
    let each = (width - first) / (grid.head.len().saturating_sub(1).max(1)) as f64;
    let widest = grid
        .rows
        .iter()
        .flatten()
        .chain(&grid.head)
        .map(|cell| helvetica::width(cell, 1.0, Weight::Bold))
        .fold(0.0, f64::max);
    // Smaller than five points nobody reads: then cells are cut with an ellipsis, and the page of HTML has
    // them whole.
    let size = ((each - 4.0) / widest.max(1e-6)).clamp(5.0, fine);
    for (at, cells) in [&grid.head].into_iter().chain(&grid.rows).enumerate() {
        let weight = if at == 0 { Weight::Bold } else { Weight::Regular };
        let mut row = Row::space(size * 1.3);
        for (column, cell) in cells.iter().enumerate() {
            let room = if column == 0 { first } else { each };
            let cell = helvetica::fitted(cell, size, weight, room - 2.0);
            let right = first + each * column as f64 - helvetica::width(&cell, size, weight);
            row.add(if column == 0 { 0.0 } else { right }, &cell, size, weight);
        }
        rows.push(row);
    }
    for line in helvetica::wrapped(&grid.note, fine, Weight::Regular, width) {
        rows.push(Row::words(&line, fine, Weight::Regular));
    }
    rows.push(Row::space(3.0));
    rows
}

/// Pages, fonts, title, put together.
fn file(flow: Flow, title: &str) -> Vec<u8> {
    let pages = flow.pages();
    let (catalog, tree, info, regular, bold) =
        (Ref::new(1), Ref::new(2), Ref::new(3), Ref::new(4), Ref::new(5));
    let mut next = Ref::new(6);
    let refs: Vec<(Ref, Ref)> = pages.iter().map(|_| (next.bump(), next.bump())).collect();
    let mut pdf = Pdf::new();
    pdf.catalog(catalog).pages(tree).lang(TextStr("en"));
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_possible_wrap,
        reason = "a sheet has a few pages"
    )]
    let count = refs.len() as i32;
    pdf.pages(tree).kids(refs.iter().map(|(page, _)| *page)).count(count);
    pdf.document_info(info).title(TextStr(title));
    for (font, name) in [(regular, "Helvetica"), (bold, "Helvetica-Bold")] {
        pdf.type1_font(font).base_font(Name(name.as_bytes())).encoding_predefined(Name(b"WinAnsiEncoding"));
    }
    #[expect(clippy::cast_possible_truncation, reason = "the size of a page")]
    let paper = Rect::new(0.0, 0.0, PAGE_WIDE as f32, PAGE_HIGH as f32);
    for ((page_ref, content_ref), content) in refs.into_iter().zip(pages) {
        let mut page = pdf.page(page_ref);
        page.media_box(paper).parent(tree).contents(content_ref);
        page.resources().fonts().pair(ink::REGULAR, regular).pair(ink::BOLD, bold);
        page.finish();
        pdf.stream(content_ref, &content.finish());
    }
    pdf.finish()
}

/// A drawing's size on paper.
fn size_of(scene: &Scene, scale: f64) -> (f64, f64) {
    (scene.width * scale, scene.height * scale)
}

#[cfg(test)]
mod tests {
    use std::path::PathBuf;
    use std::process::Command;

    use super::*;
    use crate::sample::{american, forecast_ends, hostile, nothing_known, sheet, voice};

    /// What poppler's pdftotext, a reader from outside the project, finds in the file, page by page.
    fn read_by_poppler(bytes: &[u8], name: &str) -> Vec<String> {
        let path: PathBuf = std::env::temp_dir().join(format!("windrode-{}-{name}.pdf", std::process::id()));
        std::fs::write(&path, bytes).unwrap();
        let read = Command::new("pdftotext").args(["-enc", "UTF-8", "-layout"]).arg(&path).arg("-").output();
        std::fs::remove_file(&path).unwrap();
        let read = read.unwrap_or_else(|error| {
            panic!("pdftotext does not start ({error}): install Debian's poppler-utils, as `cargo xtask test` does")
        });
        assert!(read.status.success(), "{}", String::from_utf8_lossy(&read.stderr));
        assert!(read.stderr.is_empty(), "{}", String::from_utf8_lossy(&read.stderr));
        let text = String::from_utf8(read.stdout).unwrap();
        // A form feed ends each page.
        text.split_terminator('\u{c}').map(str::to_owned).collect()
    }

    fn squeezed(text: &str) -> String {
        text.split_whitespace().collect::<Vec<_>>().join(" ")
    }

    #[test]
    fn the_sheet_is_one_page_that_another_reader_reads() {
        let pages = read_by_poppler(&pdf(&sheet(), &voice()), "usual");
        assert_eq!(pages.len(), 1);
        let text = squeezed(&pages.concat());
        for words in [
            "lies with care",
            "Veer 42 metres, to the fourth red and two metres",
            "From above, Sat 13:00",
            "From the side, Sat 13:00",
            "Along time",
            "Kittiwake",
            "5th red +2 m",
            "1 in 100",
            "Limits in force",
            "a proper look-out",
            "14 m²",
        ] {
            assert!(text.contains(words), "{words}: {text}");
        }
    }

    #[test]
    fn no_character_becomes_a_question_mark_and_no_word_is_lost() {
        let mut sheet = hostile();
        sheet.head.stay = "Sv. Đurđ − 港 ≤ Ōtara".to_owned();
        sheet.reminders.extend((0..80).map(|n| windrode_domain::plan::sheet::Reminder {
            text: format!("Local rule number {n} of a harbour that has many of them, each told at length."),
            rule: None,
            spans: vec![],
        }));
        let pages = read_by_poppler(&pdf(&sheet, &american()), "hostile");
        assert!(1 < pages.len());
        let text = squeezed(&pages.concat());
        assert!(!text.contains('?'));
        assert!(text.contains("Sv. Durd - [U+6E2F] at most Otara"), "{text}");
        assert!((0..80).all(|n| text.contains(&format!("Local rule number {n} of"))));
        assert!(text.contains("by their Unicode numbers"));
    }

    #[test]
    fn what_cannot_be_said_is_printed_so() {
        for (sheet, name) in [(nothing_known(), "nothing"), (forecast_ends(), "ends")] {
            let text = squeezed(&read_by_poppler(&pdf(&sheet, &voice()), name).concat());
            assert!(text.contains("cannot say") && text.contains("Do not count on this berth"));
        }
    }

    #[test]
    fn the_same_sheet_gives_the_same_bytes() {
        assert_eq!(pdf(&sheet(), &voice()), pdf(&sheet(), &voice()));
    }
}
