//! Which stay is watched: the one that is not over, one of the database, or one of a file.
//!
//! Whatever is wrong with a file, a watch that was being kept is taken up again: a supervisor that starts the program
//! at night must not be refused over a comma.

use std::path::{Path, PathBuf};

use jiff::tz::TimeZone;
use jiff::{SignedDuration, Timestamp};
use windrode_domain::plan;
use windrode_domain::watch::given::{Expected, Given};
use windrode_domain::watch::remembered::Remembered;
use windrode_wire::observe::FittedOut;

use crate::assemble::watch::ToldBeside;
use crate::assemble::{self, watch};
use crate::crew_units;
use crate::files::source::{Problem, Source};
use crate::files::vessel::{VesselFile, read_vessel};
use crate::files::{self, StayAboard};
use crate::store::stays::{Armed, StayRow};
use crate::store::{Store, Trouble};
use crate::words::{Clock, Voice};

/// Longest part of a stay's ID that comes from its name.
const LONGEST_SLUG: usize = 40;

/// What was asked for.
#[derive(Debug)]
pub(crate) struct Arming<'a> {
    /// An ID or a file.
    pub(crate) stay: Option<&'a str>,
    /// Another vessel.
    pub(crate) vessel: Option<&'a Path>,
    /// What the crew tell beside the stay.
    pub(crate) beside: ToldBeside,
}

/// A stay ready to be watched.
#[derive(Debug)]
pub(crate) struct Ready {
    /// The stay.
    pub(crate) row: StayRow,
    /// What its watch remembers; nothing for a watch that is taken now.
    pub(crate) remembered: Option<Remembered>,
    /// What the plan foretells, where the files say otherwise than before.
    pub(crate) expected: Option<Expected>,
    /// How she is fitted out.
    pub(crate) fitted_out: FittedOut,
    /// The crew's units and clock.
    pub(crate) voice: Voice,
    /// The watch's time does not run before this.
    pub(crate) not_before: Timestamp,
    /// What the crew must hear.
    pub(crate) troubles: Vec<Trouble>,
}

/// A stay read from files.
struct FromFiles {
    aboard: StayAboard,
    stay_text: String,
    vessel_text: String,
}

impl Arming<'_> {
    /// Finds the stay.
    ///
    /// # Errors
    /// There is none, or its files cannot be used and none was being watched.
    pub(crate) fn arm(&self, store: &mut Store, now: Timestamp) -> Result<Ready, Vec<String>> {
        let armed = store.armed();
        let Some(asked) = self.stay else {
            let none =
                || vec!["--stay: no watch is to be taken up again (give a stay file or an ID)".to_owned()];
            return Ok(taken_up(armed.ok_or_else(none)?, now));
        };
        let path = PathBuf::from(asked);
        if !path.is_file() {
            return Self::by_id(asked, armed, store, now);
        }
        match (self.read(&path), armed) {
            (Ok(files), Some(armed)) if is_same(&armed.row, &files) => Ok(self.go_on(armed, &files, now)),
            (Ok(files), _) => self.take(files, store, now),
            (Err(problems), Some(armed)) => {
                let mut ready = taken_up(armed, now);
                let all: Vec<String> = problems.iter().map(ToString::to_string).collect();
                let text = format!(
                    "the stay file cannot be used, the watch goes on with what it had: {}",
                    all.join("; ")
                );
                ready.troubles.push(Trouble { code: "stay_file_unusable", text });
                Ok(ready)
            }
            (Err(problems), None) => Err(refused(&problems)),
        }
    }

    fn by_id(id: &str, armed: Option<Armed>, store: &Store, now: Timestamp) -> Result<Ready, Vec<String>> {
        match armed {
            Some(armed) if armed.row.id == id => return Ok(taken_up(armed, now)),
            // A supervisor whose stay file was moved away must not be refused either.
            Some(armed) if Path::new(id).extension().is_some() => {
                let mut ready = taken_up(armed, now);
                let text = format!("{id} is not there: the watch goes on with what it had");
                ready.troubles.push(Trouble { code: "stay_file_unusable", text });
                return Ok(ready);
            }
            _ => {}
        }
        let Some(mut row) = store.stay(id) else {
            let known = store.stay_ids().join(", ");
            let known = if known.is_empty() { String::new() } else { format!("; stays there: {known}") };
            return Err(vec![format!("--stay {id}: neither a file nor the ID of a stay{known}")]);
        };
        row.taken = now;
        row.given.from = now;
        Ok(ready(row, None, now))
    }

    fn read(&self, path: &Path) -> Result<FromFiles, Vec<Problem>> {
        let aboard = files::load_stay(path, self.vessel)?;
        let one = |problem| vec![problem];
        let vessel = self.vessel.unwrap_or(&aboard.stay.vessel.value);
        let stay_text = Source::load(path).map_err(one)?.text().to_owned();
        let vessel_text = Source::load(vessel).map_err(one)?.text().to_owned();
        Ok(FromFiles { aboard, stay_text, vessel_text })
    }

    /// The same stay, perhaps with a plan made anew.
    fn go_on(&self, armed: Armed, files: &FromFiles, now: Timestamp) -> Ready {
        let same = armed.row.stay_text.as_ref() == Some(&files.stay_text)
            && armed.row.vessel_text.as_ref() == Some(&files.vessel_text);
        let expected =
            if same { None } else { self.given(&files.aboard, now).ok().and_then(|given| given.expected) };
        Ready { expected, ..taken_up(armed, now) }
    }

    fn take(&self, files: FromFiles, store: &Store, now: Timestamp) -> Result<Ready, Vec<String>> {
        let given = self.given(&files.aboard, now).map_err(|problems| refused(&problems))?;
        let id = free_id(&base_id(&files.aboard), &store.stay_ids());
        let texts = Texts { stay: files.stay_text, vessel: files.vessel_text };
        Ok(newly(id, &files.aboard, texts, given))
    }

    fn given(&self, aboard: &StayAboard, now: Timestamp) -> Result<Given, Vec<Problem>> {
        let inputs = assemble::inputs(aboard)?;
        let sheet = plan::plan(&inputs);
        // What is told on the command line wins over the vessel's file.
        let battery_v = self.beside.battery_v.or(aboard.vessel.instruments.battery_least_v);
        Ok(watch::given(&inputs, &sheet, ToldBeside { battery_v, ..self.beside }, now))
    }
}

/// The documents that a stay was read from.
#[derive(Clone, Debug)]
pub(crate) struct Texts {
    /// The stay.
    pub(crate) stay: String,
    /// The vessel.
    pub(crate) vessel: String,
}

/// A watch that is taken now.
pub(crate) fn newly(id: String, aboard: &StayAboard, texts: Texts, given: Given) -> Ready {
    let taken = given.from;
    let row = StayRow {
        id,
        name: aboard.stay.name.clone(),
        boat: aboard.vessel.name.clone(),
        taken,
        zone: aboard.stay.zone.as_ref().and_then(|zone| zone.iana_name().map(str::to_owned)),
        stay_text: Some(texts.stay),
        vessel_text: Some(texts.vessel),
        given,
    };
    ready(row, None, taken)
}

fn refused(problems: &[Problem]) -> Vec<String> {
    problems.iter().map(ToString::to_string).collect()
}

/// A stay is the same when its name and its first day are, whatever else was changed in its file.
fn is_same(row: &StayRow, files: &FromFiles) -> bool {
    let base = base_id(&files.aboard);
    row.id == base
        || row
            .id
            .strip_prefix(&base)
            .is_some_and(|rest| rest.starts_with('-') && rest[1..].parse::<u32>().is_ok())
}

/// "stay-2026-08-14-corrant-bay".
pub(crate) fn base_id(aboard: &StayAboard) -> String {
    let zone = aboard.stay.zone.clone().unwrap_or(TimeZone::UTC);
    let day = aboard.stay.span.from().to_zoned_datetime(zone).strftime("%Y-%m-%d").to_string();
    let plain = |c: char| if c.is_ascii_alphanumeric() { c.to_ascii_lowercase() } else { '-' };
    let name: String = aboard.stay.name.chars().map(plain).take(LONGEST_SLUG).collect();
    let words: Vec<&str> = name.split('-').filter(|word| !word.is_empty()).collect();
    format!("stay-{day}-{}", words.join("-")).trim_end_matches('-').to_owned()
}

/// The first of `base`, `base-2`, `base-3`… that is not taken.
pub(crate) fn free_id(base: &str, taken: &[String]) -> String {
    let mut id = base.to_owned();
    let mut number = 2;
    while taken.contains(&id) {
        id = format!("{base}-{number}");
        number += 1;
    }
    id
}

/// A computer without a clock of its own wakes hours or years behind: the watch's time then runs on from what it
/// recorded last, so that its estimate and its tide stay where they were, until the clock is set.
pub(crate) fn taken_up(armed: Armed, now: Timestamp) -> Ready {
    let ahead = armed.remembered.as_ref().map_or(SignedDuration::ZERO, |it| it.at.duration_since(now));
    let mut ready = ready(armed.row, armed.remembered, now);
    if ahead.is_positive() {
        let text = format!(
            "the computer's clock stands {} before what the watch recorded last: the watch runs on from there \
             until the clock is set right",
            if ahead < SignedDuration::from_hours(2) {
                format!("{} s", ahead.as_secs())
            } else {
                format!("{} h", ahead.as_hours())
            }
        );
        ready.troubles.push(Trouble { code: "clock_set_back", text });
    }
    ready
}

fn ready(row: StayRow, remembered: Option<Remembered>, now: Timestamp) -> Ready {
    let vessel = row
        .vessel_text
        .as_ref()
        .and_then(|text| read_vessel(&Source::of_text(Path::new("vessel of the stay"), text.clone())).ok());
    let zone = row.zone.as_deref().and_then(|name| TimeZone::get(name).ok()).unwrap_or(TimeZone::UTC);
    let units = vessel.as_ref().map_or(crew_units::USUAL, |vessel| vessel.crew);
    let mut troubles = Vec::new();
    if vessel.is_none() {
        let text =
            "the vessel of the stay cannot be read any more: soundings below the keel are not understood";
        troubles.push(Trouble { code: "vessel_unreadable", text: text.to_owned() });
    }
    Ready {
        not_before: remembered.as_ref().map_or(now, |it| it.at.max(now)),
        fitted_out: vessel.as_ref().map_or(FittedOut::UNKNOWN, VesselFile::fitted_out),
        voice: Voice { units, clock: Clock::new(zone) },
        row,
        remembered,
        expected: None,
        troubles,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_that_is_taken_is_numbered() {
        let taken = ["stay-2026-08-14-a".to_owned(), "stay-2026-08-14-a-2".to_owned()];
        assert_eq!(free_id("stay-2026-08-14-a", &taken), "stay-2026-08-14-a-3");
        assert_eq!(free_id("stay-2026-08-15-a", &taken), "stay-2026-08-15-a");
    }

    #[test]
    fn an_id_is_short_and_plain() {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/stays/corrant-bay.toml");
        let mut aboard = files::load_stay(&path, None).expect("the example reads");
        assert_eq!(base_id(&aboard), "stay-2026-08-14-corrant-bay");
        aboard.stay.name =
            "  Baía d'Água / 2nd night, behind the very long breakwater of the old town".to_owned();
        let id = base_id(&aboard);
        assert!(id.len() <= "stay-2026-08-14-".len() + LONGEST_SLUG);
        assert!(id.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-'), "{id}");
    }
}
