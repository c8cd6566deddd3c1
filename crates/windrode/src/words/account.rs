//! The parts of a sheet as words that only need laying out: the terminal, the page and the print share them.

use windrode_domain::plan::ridden::NotRidden;
use windrode_domain::plan::sheet::{Finding, Instant, Riding, Sheet, TideTurn, Verdict};
use windrode_domain::uncertain::Origin;
use windrode_domain::units::Length;

use super::figures::{Toward, angle, bearing, compass_point, force, length, rode_length, speed};
use super::{
    Voice, band, chance, mark, mark_short, odds, part_line, plain, provenance_line, reason, remedy, tide_turn,
};
use crate::append::append;

/// One reason, ready to be laid out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Told {
    /// The word that it calls for.
    pub(crate) word: &'static str,
    /// The sentence.
    pub(crate) text: String,
    /// When it comes first.
    pub(crate) when: Option<String>,
    /// What would mend it.
    pub(crate) remedies: Vec<String>,
}

/// A table: a head and rows of as many cells.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Grid {
    /// What it is.
    pub(crate) title: String,
    /// Over the columns.
    pub(crate) head: Vec<String>,
    /// Cells by row.
    pub(crate) rows: Vec<Vec<String>>,
    /// What must be known to read it.
    pub(crate) note: String,
}

/// "20 kg scoop at 41°12.342'S 174°48.000'E".
pub(crate) fn place_line(sheet: &Sheet) -> String {
    format!("{} at {}", plain(&sheet.head.anchor), sheet.head.anchor_at)
}

/// The reasons, most urgent first.
pub(crate) fn reasons(sheet: &Sheet, voice: &Voice) -> Vec<Told> {
    let told = |finding: &Finding| Told {
        word: match finding.calls_for {
            Verdict::LiesWell => "worth knowing",
            Verdict::LiesWithCare => "with care",
            Verdict::CannotSay => "cannot say",
            Verdict::DoNotLieHere => "do not lie here",
        },
        text: reason(&finding.reason, voice),
        when: finding.at.map(|at| voice.clock.time(at)),
        remedies: finding.remedies.iter().map(|what| remedy(what, voice)).collect(),
    };
    sheet.findings.iter().map(told).collect()
}

/// What a skipper asks first, each with its answer or the words that there is none.
pub(crate) fn facts(sheet: &Sheet, voice: &Voice) -> Vec<(&'static str, String)> {
    let mut out = vec![
        ("Rode", rode_fact(sheet, voice)),
        ("Water", water_fact(sheet, voice)),
        ("Wind", wind_fact(sheet, voice)),
        ("Dragging", chance_fact(sheet, voice)),
        ("Gives first", weakest_fact(sheet, voice)),
        ("Room", room_fact(sheet, voice)),
        ("Dark", dark_fact(sheet, voice)),
    ];
    if let Some(gust) = sheet.proved_gust {
        out.insert(4, ("Set proved", format!("gusts of {} (measured)", speed(gust, Toward::Less, voice))));
    }
    out
}

fn rode_fact(sheet: &Sheet, voice: &Voice) -> String {
    let Some(veer) = &sheet.veer else { return "cannot say".to_owned() };
    let marks = veer.mark.as_ref().map_or_else(String::new, |at| format!(": {}", mark(at, voice)));
    format!(
        "{} of {} aboard{marks} ({}); ground to bow roller {} at the highest water",
        rode_length(veer.length, Toward::More, voice),
        rode_length(veer.aboard, Toward::Less, voice),
        veer.origin.word(),
        length(veer.greatest_height, Toward::More, voice)
    )
}

fn water_fact(sheet: &Sheet, voice: &Voice) -> String {
    let by_metres = |(a, _): &(Length, _), (b, _): &(Length, _)| a.as_metres().total_cmp(&b.as_metres());
    let least = known(sheet, |instant| instant.under_keel).min_by(by_metres);
    let greatest = known(sheet, |instant| instant.water).max_by(by_metres);
    let least = least.map_or_else(
        || "under the keel: cannot say".to_owned(),
        |(water, at)| {
            format!("least {} under the keel {}", length(water, Toward::Less, voice), voice.clock.time(at))
        },
    );
    let greatest = greatest.map_or_else(
        || "depth: cannot say".to_owned(),
        |(water, at)| {
            format!(
                "greatest depth {} at the anchor {}",
                length(water, Toward::More, voice),
                voice.clock.time(at)
            )
        },
    );
    let gap = gap_words(sheet, |instant| instant.under_keel.is_some());
    format!("{least}; {greatest}{gap}")
}

/// What is known at each instant, with its time.
fn known<'a, T>(
    sheet: &'a Sheet,
    figure: impl Fn(&'a Instant) -> Option<T> + 'a,
) -> impl Iterator<Item = (T, jiff::Timestamp)> + 'a {
    sheet.instants.iter().filter_map(move |instant| Some((figure(instant)?, instant.at)))
}

/// What is said when a figure is known only for some of the stay.
fn gap_words(sheet: &Sheet, said: impl Fn(&Instant) -> bool) -> &'static str {
    let known = sheet.instants.iter().filter(|instant| said(instant)).count();
    if 0 < known && known < sheet.instants.len() { "; for some of the stay: cannot say" } else { "" }
}

fn wind_fact(sheet: &Sheet, voice: &Voice) -> String {
    let strongest = known(sheet, |instant| instant.riding.as_ref()).max_by(|(a, _), (b, _)| {
        a.wind.gust.as_metres_per_second().total_cmp(&b.wind.gust.as_metres_per_second())
    });
    let Some((riding, at)) = strongest else { return "cannot say".to_owned() };
    format!(
        "strongest gusts {} ({}) over a mean of {}{}, {}{}",
        speed(riding.wind.gust, Toward::More, voice),
        riding.wind.gust_origin.word(),
        speed(riding.wind.mean, Toward::More, voice),
        riding.wind.from.map_or_else(String::new, |from| format!(", from {}", bearing(from))),
        voice.clock.time(at),
        gap_words(sheet, |instant| instant.riding.is_some())
    )
}

fn chance_fact(sheet: &Sheet, voice: &Voice) -> String {
    let Some(stay) = sheet.chance else { return "cannot say".to_owned() };
    let set = stay
        .failing_to_set
        .map_or_else(String::new, |fails| format!(". Failing to set at all: {}", chance(fails)));
    format!("{}; most likely {}{set}", band(&stay.band), voice.clock.time(stay.worst))
}

fn weakest_fact(sheet: &Sheet, voice: &Voice) -> String {
    let Some(part) = sheet.parts.first() else { return "cannot say".to_owned() };
    // A margin is rounded down.
    let margin = (part.margin() * 10.0).floor() / 10.0;
    format!("{}; margin {margin:.1}", part_line(part, voice))
}

fn room_fact(sheet: &Sheet, voice: &Voice) -> String {
    let least = known(sheet, |instant| instant.least_room.as_ref())
        .min_by(|(a, _), (b, _)| a.room.as_metres().total_cmp(&b.room.as_metres()));
    match least {
        Some((least, at)) => format!(
            "least {} to {}, {}{}",
            length(least.room, Toward::Less, voice),
            plain(&least.to),
            voice.clock.time(at),
            gap_words(sheet, |instant| instant.least_room.is_some())
        ),
        None if sheet.marks.is_empty() => "nothing near her is named: cannot say".to_owned(),
        None => "cannot say".to_owned(),
    }
}

fn dark_fact(sheet: &Sheet, voice: &Voice) -> String {
    if sheet.dark.is_empty() {
        return "no dark hours in the stay".to_owned();
    }
    let spans: Vec<String> = sheet
        .dark
        .iter()
        .map(|dark| format!("{} to {}", voice.clock.time(dark.from()), voice.clock.time(dark.to())))
        .collect();
    spans.join("; ")
}

/// The limits in force, one line each.
pub(crate) fn limits(sheet: &Sheet, voice: &Voice) -> Vec<String> {
    let limits = &sheet.limits;
    let room_care = limits
        .room_care
        .map_or_else(|| "her own length".to_owned(), |room| length(room, Toward::More, voice));
    vec![
        format!(
            "Chance of dragging: do not lie here above {}, with care above {}.",
            odds(limits.chance_refuse),
            odds(limits.chance_care)
        ),
        format!(
            "Water under the keel: do not lie here below {}, with care below {}.",
            length(limits.under_keel_refuse, Toward::More, voice),
            length(limits.under_keel_care, Toward::More, voice)
        ),
        format!(
            "Room to anything: do not lie here below {}, with care below {room_care}.",
            length(limits.room_refuse, Toward::More, voice)
        ),
        format!(
            "A part's peak load: do not lie here above its working load, with care above {:.0} % of it.",
            limits.part_care_share * 100.0
        ),
        "All are judged with nine chances in ten on the safe side of what is uncertain.".to_owned(),
    ]
}

/// Depth by gust, in metres and marks; `None` when there is nothing to show.
pub(crate) fn bow_table(sheet: &Sheet, voice: &Voice) -> Option<Grid> {
    let table = &sheet.bow_table;
    if table.depths.is_empty() || table.gusts.is_empty() {
        return None;
    }
    let head = std::iter::once("Depth now".to_owned())
        .chain(table.gusts.iter().map(|gust| format!("gusts {}", speed(*gust, Toward::Nearest, voice))))
        .collect();
    let cell = |row: usize, column: usize| {
        let rode = table.rode.get(row).and_then(|cells| cells.get(column)).copied().flatten();
        let Some(rode) = rode else { return "none does".to_owned() };
        let told = rode_length(rode, Toward::More, voice);
        let at = table.marks.get(row).and_then(|cells| cells.get(column)).and_then(Option::as_ref);
        at.map_or_else(|| told.clone(), |at| format!("{told}, {}", mark_short(at, voice)))
    };
    let rows = table.depths.iter().enumerate().map(|(row, depth)| {
        std::iter::once(length(*depth, Toward::More, voice).replace(".0 ", " "))
            .chain((0..table.gusts.len()).map(|column| cell(row, column)))
            .collect()
    });
    Some(Grid {
        title: "For the bow: rode to veer".to_owned(),
        head,
        rows: rows.collect(),
        note: format!(
            "By the depth of water at the anchor now and the gusts to come; the shank is lifted no more than {}. \
             \"None does\": no length aboard.",
            angle(table.uplift_allowed, Toward::More)
        ),
    })
}

/// The rules of the trade beside the physics.
pub(crate) fn rules(sheet: &Sheet, voice: &Voice) -> Vec<String> {
    sheet
        .rules
        .iter()
        .map(|beside| {
            format!(
                "{}: {}. Here {}.",
                plain(&beside.rule),
                rode_length(beside.by_rule, Toward::More, voice),
                plain(&beside.parts).trim_end_matches('.')
            )
        })
        .collect()
}

/// What to show, sound and mind, with the rule and the times.
pub(crate) fn reminders(sheet: &Sheet, voice: &Voice) -> Vec<String> {
    sheet
        .reminders
        .iter()
        .map(|reminder| {
            let mut out = plain(&reminder.text).into_owned();
            let spans: Vec<String> = reminder
                .spans
                .iter()
                .map(|span| format!("{} to {}", voice.clock.time(span.from()), voice.clock.time(span.to())))
                .collect();
            if !spans.is_empty() {
                append(&mut out, format_args!(" {}.", spans.join("; ")));
            }
            if let Some(rule) = &reminder.rule {
                append(&mut out, format_args!(" ({})", plain(rule)));
            }
            out
        })
        .collect()
}

/// The same for the printed page, where room is dear: the rules in one paragraph, the cautions in another. The hours
/// of the lights are those that the page calls dark.
pub(crate) fn reminders_short(sheet: &Sheet) -> Vec<String> {
    let (rules, cautions): (Vec<_>, Vec<_>) =
        sheet.reminders.iter().partition(|reminder| reminder.rule.is_some());
    let rule = |reminder: &&windrode_domain::plan::sheet::Reminder| {
        let text = plain(&reminder.text);
        let rule = reminder.rule.as_deref().map(plain).unwrap_or_default();
        format!("{} ({rule}).", text.trim_end_matches('.'))
    };
    let rules: Vec<String> = rules.iter().map(rule).collect();
    let cautions: Vec<String> = cautions.iter().map(|reminder| plain(&reminder.text).into_owned()).collect();
    [rules.join(" "), cautions.join(" ")].into_iter().filter(|text| !text.is_empty()).collect()
}

/// Where the figures come from: tide, wind, then each.
pub(crate) fn sources(sheet: &Sheet, voice: &Voice) -> Vec<String> {
    let mut out = tide_and_wind(sheet, voice);
    out.extend(sheet.table_load.map(|load| {
        let load = force(load, Toward::More, voice);
        format!("Second opinion on the load: published design table, {load} at the worst gust")
    }));
    out.push(peaks(sheet, voice));
    out.extend(sheet.provenance.iter().map(provenance_line));
    out
}

/// What stands behind the peaks: the ride, with the balance of energy beside it.
fn peaks(sheet: &Sheet, voice: &Voice) -> String {
    match sheet.ridden {
        Ok(it) => format!(
            "Peaks: computed by riding three hours of the hardest instant in time, {} for ten minutes like those of {} (by the \
             balance of energy {})",
            force(it.by_ride, Toward::More, voice),
            voice.clock.time(it.at),
            force(it.by_balance, Toward::More, voice)
        ),
        Err(NotRidden::NotWindRode) => {
            "Peaks: computed by the balance of energy; at the worst instant she does not lie to the wind, and is not ridden in \
             time"
                .to_owned()
        }
        Err(NotRidden::Unknown | NotRidden::Refused) => {
            "Peaks: computed by the balance of energy; she could not be ridden in time".to_owned()
        }
    }
}

fn tide_and_wind(sheet: &Sheet, voice: &Voice) -> Vec<String> {
    let head = &sheet.head;
    let issued = head
        .wind_issued
        .map_or_else(|| "not said when made".to_owned(), |at| format!("made {}", voice.clock.date_time(at)));
    vec![
        format!("Tide: {}; heights above {}", plain(&head.tide_source), plain(&head.datum)),
        format!("Wind: {}; {issued}", plain(&head.wind_source)),
    ]
}

/// Where tide and wind come from, and each figure that was assumed: what a page has room for.
pub(crate) fn sources_short(sheet: &Sheet, voice: &Voice) -> Vec<String> {
    let assumed = sheet.provenance.iter().filter(|item| item.origin == Origin::Assumed).map(provenance_line);
    tide_and_wind(sheet, voice).into_iter().chain(assumed).collect()
}

/// The stay by the hour, with the instants that matter marked; `None` when no figure of any is known.
pub(crate) fn hourly(sheet: &Sheet, voice: &Voice) -> Option<Grid> {
    if sheet.instants.iter().all(|instant| instant.tide.is_none() && instant.riding.is_none()) {
        return None;
    }
    let head =
        ["Time", "Tide", "Keel", "From", "Mean", "Gust", "At the bow", "Heads", "Reach", "Lift", "Room", ""];
    Some(Grid {
        title: "Hour by hour".to_owned(),
        head: head.map(str::to_owned).to_vec(),
        rows: shown_instants(sheet, voice).map(|(instant, remark)| hour_row(instant, &remark, voice)).collect(),
        note: "Keel: least water under it over all she can reach. At the bow: peak load, nine cases in ten below. \
               Lift: of the shank above the ground. Room: least to anything named. A dash: cannot say."
            .to_owned(),
    })
}

/// Full hours, at most some thirty of them, and every instant with a remark.
fn shown_instants<'a>(sheet: &'a Sheet, voice: &'a Voice) -> impl Iterator<Item = (&'a Instant, String)> {
    let long_h = sheet.head.span.duration().as_secs_f64() / 3600.0;
    let every_h =
        [1_i8, 2, 3, 6, 12].into_iter().find(|every| long_h / f64::from(*every) <= 32.0).unwrap_or(24);
    sheet.instants.iter().enumerate().filter_map(move |(index, instant)| {
        let remark = remark(sheet, instant);
        let zoned = voice.clock.zoned(instant.at);
        let full = zoned.minute() == 0 && zoned.hour() % every_h == 0;
        let end = index == 0 || index + 1 == sheet.instants.len();
        (full || end || !remark.is_empty()).then_some((instant, remark))
    })
}

/// What makes an instant worth a line of its own.
fn remark(sheet: &Sheet, instant: &Instant) -> String {
    let nearest = |at: jiff::Timestamp| {
        let near = sheet.instants.iter().min_by_key(|other| other.at.duration_since(at).unsigned_abs());
        near.is_some_and(|near| near.at == instant.at)
    };
    let mut out = Vec::new();
    if sheet.chance.is_some_and(|stay| nearest(stay.worst)) {
        out.push("worst");
    }
    let turn = |turn: &&TideTurn| nearest(turn.at);
    if let Some(turn) = sheet.turns.iter().find(turn) {
        out.push(if turn.high { "HW" } else { "LW" });
    }
    if instant.dark {
        // Dark alone does not make an instant worth showing.
        if !out.is_empty() {
            out.push("dark");
        }
    }
    out.join(", ")
}

fn hour_row(instant: &Instant, remark: &str, voice: &Voice) -> Vec<String> {
    let dash = || "–".to_owned();
    let water = |value: Option<Length>| value.map_or_else(dash, |it| length(it, Toward::Less, voice));
    let riding = |words: &dyn Fn(&Riding) -> String| instant.riding.as_ref().map_or_else(dash, words);
    let remark = if remark.is_empty() && instant.dark { "dark" } else { remark };
    vec![
        voice.clock.time(instant.at),
        water(instant.tide),
        water(instant.under_keel),
        riding(&|it| it.wind.from.map_or_else(|| "calm".to_owned(), |from| compass_point(from).to_owned())),
        riding(&|it| speed(it.wind.mean, Toward::More, voice)),
        riding(&|it| speed(it.wind.gust, Toward::More, voice)),
        riding(&|it| force(it.load_p90.peak, Toward::More, voice)),
        riding(&|it| it.heading.map_or_else(|| "any".to_owned(), |heading| heading.to_string())),
        riding(&|it| length(it.reach, Toward::More, voice)),
        riding(&|it| angle(it.uplift, Toward::More)),
        instant.least_room.as_ref().map_or_else(dash, |least| length(least.room, Toward::Less, voice)),
        remark.to_owned(),
    ]
}

/// Highs and lows of the stay.
pub(crate) fn turns(sheet: &Sheet, voice: &Voice) -> Vec<String> {
    sheet.turns.iter().map(|turn| tide_turn(turn, voice)).collect()
}
