//! The sheet on the terminal: at most a hundred columns of plain characters.
//!
//! The first screen is for a skipper who has never seen one: the word, what to do, why, and the few figures that
//! matter. What follows is for checking: hour by hour, the table for the bow, limits, sources, cautions.

mod layout;

use windrode_domain::plan::sheet::Sheet;

use self::layout::Paper;
use crate::words::{self, Voice};

/// The whole sheet.
pub(crate) fn sheet_text(sheet: &Sheet, voice: &Voice) -> String {
    let mut paper = Paper::default();
    first_screen(&mut paper, sheet, voice);
    detail(&mut paper, sheet, voice);
    paper.finish()
}

fn first_screen(paper: &mut Paper, sheet: &Sheet, voice: &Voice) {
    let span = sheet.head.span;
    paper.words(0, &format!("{}: {}", words::plain(&sheet.head.boat), words::plain(&sheet.head.stay)));
    let zones = voice.clock.zones_of(span.from(), span.to());
    paper.words(0, &format!("{}, local time ({zones})", words::span_line(span, voice)));
    paper.words(0, &words::place_line(sheet));
    paper.gap();
    paper.words(0, &words::verdict(sheet.verdict).to_uppercase());
    paper.gap();
    paper.words(0, &words::call(sheet, voice));
    paper.gap();
    paper.words(0, "Why");
    let told = words::reasons(sheet, voice);
    if told.is_empty() {
        paper.words(2, "Within every limit, and nothing stands out.");
    }
    for (index, reason) in told.iter().enumerate() {
        let when = reason.when.as_ref().map_or_else(String::new, |when| format!(" ({when})"));
        paper.hung(&format!("{:>2}. ", index + 1), &format!("{}: {}{when}", reason.word, reason.text));
        for mend in &reason.remedies {
            paper.hung("      - ", mend);
        }
    }
    paper.gap();
    for (label, fact) in words::facts(sheet, voice) {
        paper.hung(&format!("{label:<12} "), &fact);
    }
}

fn detail(paper: &mut Paper, sheet: &Sheet, voice: &Voice) {
    if sheet.parts.len() > 1 {
        paper.heading("In the line of load, weakest first");
        for part in &sheet.parts {
            paper.hung("- ", &words::part_line(part, voice));
        }
    }
    paper.heading("Tide turns");
    let turns = words::turns(sheet, voice);
    if turns.is_empty() {
        paper.words(0, "Cannot say.");
    } else {
        paper.words(0, &turns.join("; "));
    }
    let tables = [
        (words::hourly(sheet, voice), "Hour by hour", "Cannot say for any hour of the stay."),
        (words::bow_table(sheet, voice), "For the bow", "Cannot say what to veer."),
    ];
    for (table, title, unknown) in tables {
        if let Some(table) = table {
            paper.grid(&table);
        } else {
            paper.heading(title);
            paper.words(0, unknown);
        }
    }
    paper.list("Rules of the trade beside this", &words::rules(sheet, voice));
    paper.list("Limits in force", &words::limits(sheet, voice));
    paper.list("Where the figures come from", &words::sources(sheet, voice));
    paper.list("Lights, sounds, cautions", &words::reminders(sheet, voice));
}

#[cfg(test)]
mod tests {
    use super::layout::{WIDTH, columns};
    use super::*;
    use crate::sample::{american, forecast_ends, hostile, nothing_known, sheet, voice};

    // A regression guard on wording and layout, read through by hand; its figures are the invented sample's.
    #[test]
    fn the_sheet_reads_so() {
        insta::assert_snapshot!(sheet_text(&sheet(), &voice()));
    }

    #[test]
    fn the_sheet_of_which_nothing_is_known_reads_so() {
        insta::assert_snapshot!(sheet_text(&nothing_known(), &voice()));
    }

    #[test]
    fn a_crew_in_feet_and_pounds_reads_no_metre() {
        let text = sheet_text(&sheet(), &american());
        // What the crew or a source wrote stays as it was written.
        let ours = text.split("Where the figures come from").next().unwrap();
        for line in ours.lines().filter(|line| !line.contains("Windage")) {
            assert!(!line.contains(" m ") && !line.contains(" daN") && !line.contains("metre "), "{line}");
        }
        insta::assert_snapshot!(text);
    }

    #[test]
    fn a_forecast_that_ends_is_in_the_first_lines() {
        let text = sheet_text(&forecast_ends(), &voice());
        let first: Vec<&str> = text.lines().take(9).collect();
        assert!(first.iter().any(|line| line.contains("CANNOT SAY")), "{text}");
        assert!(first.iter().any(|line| line.contains("after Sun 03:00")), "{text}");
    }

    #[test]
    fn no_line_passes_a_hundred_columns_and_no_name_drives_the_terminal() {
        for sheet in [sheet(), hostile(), nothing_known(), forecast_ends()] {
            for voice in [voice(), american()] {
                let text = sheet_text(&sheet, &voice);
                for line in text.lines() {
                    assert!(columns(line) <= WIDTH, "{}: {line}", columns(line));
                    assert!(!line.contains(char::is_control) && !line.contains('\u{202e}'), "{line:?}");
                    assert_eq!(line, line.trim_end());
                }
            }
        }
    }
}
