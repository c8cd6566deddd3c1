//! The word, the one sentence that says what to do, and the lines that need no table.

use windrode_domain::parts::PartKind;
use windrode_domain::plan::sheet::{PartLine, Provenance, Sheet, TideTurn, Veer, Verdict};
use windrode_domain::span::Span;

use super::figures::{Toward, force, length, rode_length_long};
use super::{Voice, mark, plain, reason, remedy};
use crate::append::append;

/// The verdict in its own words.
pub(crate) const fn verdict(word: Verdict) -> &'static str {
    match word {
        Verdict::LiesWell => "lies well",
        Verdict::LiesWithCare => "lies with care",
        Verdict::CannotSay => "cannot say",
        Verdict::DoNotLieHere => "do not lie here",
    }
}

/// What to do, in one sentence where the berth may be lain in, and with its first reason where not.
pub(crate) fn call(sheet: &Sheet, voice: &Voice) -> String {
    match sheet.verdict {
        Verdict::LiesWell | Verdict::LiesWithCare => sheet
            .veer
            .as_ref()
            .map_or_else(|| "The rode to veer cannot be said.".to_owned(), |it| veer(it, voice)),
        Verdict::DoNotLieHere => refusal("Do not lie here.", sheet, voice),
        Verdict::CannotSay => refusal("Do not count on this berth.", sheet, voice),
    }
}

/// "Veer 45 metres, to the fourth red, and two metres, and make fast the 8 m snubber."
fn veer(it: &Veer, voice: &Voice) -> String {
    let mut out = format!("Veer {}", rode_length_long(it.length, Toward::More, voice));
    if let Some(at) = &it.mark {
        append(&mut out, format_args!(", to {}", mark(at, voice).replace(", and ", " and ")));
    }
    if let Some(snubber) = it.snubber {
        append(
            &mut out,
            format_args!(
                ", and make fast the {} snubber",
                length(snubber, Toward::Nearest, voice).replace(".0 ", " ")
            ),
        );
    }
    if let Some(bight) = it.slack_bight {
        append(
            &mut out,
            format_args!(
                " with {} of chain slack below its hook",
                length(bight, Toward::More, voice).replace(".0 ", " ")
            ),
        );
    }
    out.push('.');
    out
}

/// The word, the first reason that calls for it, and the first remedy.
fn refusal(word: &str, sheet: &Sheet, voice: &Voice) -> String {
    let first = sheet.findings.iter().find(|finding| finding.calls_for == sheet.verdict);
    let Some(finding) = first else { return word.to_owned() };
    let mend = finding.remedies.first().map_or_else(String::new, |what| format!(" {}", remedy(what, voice)));
    format!("{word} {}{mend}", reason(&finding.reason, voice))
}

/// "Fri 27 Nov 2026 18:00 to Sun 29 Nov 2026 18:00".
pub(crate) fn span_line(span: Span, voice: &Voice) -> String {
    format!("{} to {}", voice.clock.date_time(span.from()), voice.clock.date_time(span.to()))
}

/// "Anchor shackle: up to 4.1 kN at Sat 03:10; may carry 9.8 kN, gives at 39.2 kN (given)".
pub(crate) fn part_line(part: &PartLine, voice: &Voice) -> String {
    let gives_at = force(part.gives_at, Toward::Less, voice);
    let bears = match part.kind {
        PartKind::Ground => format!("holds at least {gives_at} in nine cases of ten"),
        PartKind::Connector | PartKind::Stretch | PartKind::Snubber | PartKind::StrongPoint => {
            format!("may carry {}, gives at {gives_at}", force(part.may_carry, Toward::Less, voice))
        }
    };
    format!(
        "{}: up to {} at {}; {bears} ({})",
        plain(&part.name),
        force(part.load, Toward::More, voice),
        voice.clock.time(part.at),
        part.origin.word()
    )
}

/// "high water Sat 03:10, 4.2 m": lows rounded down, highs up.
pub(crate) fn tide_turn(turn: &TideTurn, voice: &Voice) -> String {
    let (kind, toward) = if turn.high { ("high", Toward::More) } else { ("low", Toward::Less) };
    format!("{} {kind} {}", voice.clock.time(turn.at), length(turn.height, toward, voice))
}

/// "Windage: 14 m² (assumed; by kind and length)".
pub(crate) fn provenance_line(item: &Provenance) -> String {
    let source = plain(&item.source);
    let joined = if source.is_empty() { String::new() } else { format!("; {source}") };
    format!("{}: {} ({}{joined})", plain(&item.what), plain(&item.value), item.origin.word())
}
