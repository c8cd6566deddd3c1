//! Reading a TOML document key by key, collecting every problem.
//!
//! A [`Section`] is a table; asking it for a key gives a [`Field`], present or not, which is then read as what it
//! should be. A field that is absent or wrong reads as `None`; a wrong one, or an absent one that was wanted, has
//! left its problem behind. When a section is done, keys that nobody asked for are refused with the nearest that
//! was. So every key is asked for unconditionally, first, and what follows from the values comes after.
//!
//! ```text
//! read(source, |file| Some(Boat { name: file.want("name", "her name").text()?, … })) ──> Boat | every problem
//! ```

mod field;

use std::cell::RefCell;
use std::ops::Range;
use std::sync::Arc;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

pub(crate) use self::field::{Field, Within};
use super::source::{Problem, Site, Source};

/// Problems of one file that are told at most; a file with more is not a file of ours.
const MOST_PROBLEMS: usize = 100;

/// A file being read.
#[derive(Debug)]
pub(crate) struct Reading<'a> {
    source: &'a Source,
    found: RefCell<Vec<Found>>,
}

/// A problem, and whether it is only that something is absent.
#[derive(Debug)]
struct Found {
    problem: Problem,
    absence: bool,
}

/// A table of the file being read.
#[derive(Debug)]
pub(crate) struct Section<'a> {
    reading: &'a Reading<'a>,
    table: &'a DeTable<'a>,
    span: Range<usize>,
    field: String,
    asked: RefCell<Vec<&'static str>>,
}

/// Reads a whole file by a function of its root table.
///
/// # Errors
/// Every problem found, in the order of the file: what is no TOML, and with it what else could still be read.
pub(crate) fn read<T>(
    source: &Source,
    read_root: impl FnOnce(&Section<'_>) -> Option<T>,
) -> Result<T, Vec<Problem>> {
    let (document, syntax) = DeTable::parse_recoverable(source.text());
    let reading = Reading { source, found: RefCell::default() };
    for error in &syntax {
        reading.refuse_syntax(error);
    }
    let span = document.span().start..document.span().start;
    let read = reading.section(document.get_ref(), span, String::new(), read_root);
    let problems = reading.problems(!syntax.is_empty());
    match read {
        Some(value) if problems.is_empty() => Ok(value),
        None if problems.is_empty() => Err(vec![
            source.problem("could not be read, and the reader does not know why: this is our own fault"),
        ]),
        _ => Err(problems),
    }
}

impl<'a> Reading<'a> {
    fn site(&self, offset: usize, field: &str) -> Site {
        Site {
            file: Arc::clone(self.source.file()),
            place: self.source.place(offset),
            field: field.to_owned(),
        }
    }

    fn refuse(&self, offset: usize, field: &str, text: impl Into<String>) {
        let problem = self.site(offset, field).problem(text);
        self.found.borrow_mut().push(Found { problem, absence: false });
    }

    fn refuse_absence(&self, offset: usize, field: &str, text: impl Into<String>) {
        let problem = self.site(offset, field).problem(text);
        self.found.borrow_mut().push(Found { problem, absence: true });
    }

    fn refuse_syntax(&self, error: &toml::de::Error) {
        let text = error.message().replace('\n', ", ");
        match error.span() {
            Some(span) => self.refuse(span.start, "", format!("not TOML: {text}")),
            None => self
                .found
                .borrow_mut()
                .push(Found { problem: self.source.problem(format!("not TOML: {text}")), absence: false }),
        }
    }

    fn section<T>(
        &'a self,
        table: &'a DeTable<'a>,
        span: Range<usize>,
        field: String,
        read: impl FnOnce(&Section<'a>) -> T,
    ) -> T {
        let section = Section { reading: self, table, span, field, asked: RefCell::default() };
        let value = read(&section);
        section.refuse_unasked();
        value
    }

    /// The problems in the order of the file. What is absent from a file that is not TOML may only be unread, so
    /// absences are then left out.
    fn problems(self, broken: bool) -> Vec<Problem> {
        let found = self.found.into_inner().into_iter().filter(|found| !(broken && found.absence));
        let mut problems: Vec<Problem> = found.map(|found| found.problem).collect();
        problems.sort_by_key(|problem| problem.place);
        problems.dedup();
        if MOST_PROBLEMS < problems.len() {
            let more = problems.len() - MOST_PROBLEMS;
            problems.truncate(MOST_PROBLEMS);
            problems.push(self.source.problem(format!("has {more} more problems")));
        }
        problems
    }
}

impl<'a> Section<'a> {
    /// A key that must be there; `meaning` says what is missing and how to write it.
    pub(crate) fn want(&self, key: &'static str, meaning: &str) -> Field<'a> {
        let field = self.may(key);
        if field.is_absent() {
            let text = format!("is missing (give {meaning})");
            self.reading.refuse_absence(self.span.start, &self.path_of(key), text);
        }
        field
    }

    /// A key that may be there.
    pub(crate) fn may(&self, key: &'static str) -> Field<'a> {
        self.asked.borrow_mut().push(key);
        let found = self.table.get(key);
        Field::new(self.reading, self.path_of(key), found)
    }

    /// A list of tables that must be there and not empty, each read by a function.
    pub(crate) fn want_sections<T>(
        &self,
        key: &'static str,
        meaning: &str,
        read: impl Fn(&Section<'a>) -> Option<T>,
    ) -> Vec<T> {
        self.want(key, meaning).sections(read)
    }

    /// A problem that was found elsewhere, with a value of this file.
    pub(crate) fn report(&self, problem: Problem) {
        self.reading.found.borrow_mut().push(Found { problem, absence: false });
    }

    /// A problem with the section itself.
    pub(crate) fn refuse(&self, text: impl Into<String>) {
        self.reading.refuse(self.span.start, &self.field, text);
    }

    /// A path that stands in the file, taken from the file's own directory.
    pub(crate) fn beside(&self, path: &str) -> std::path::PathBuf {
        self.reading.source.beside(path)
    }

    /// Refuses more than one of several keys that exclude one another; says whether exactly one is there.
    pub(crate) fn one_of(&self, keys: &[&'static str]) -> bool {
        let there: Vec<&str> = keys.iter().copied().filter(|key| self.table.contains_key(*key)).collect();
        if 1 < there.len() {
            self.refuse(format!("has {} together (keep one of them)", there.join(" and ")));
        }
        there.len() == 1
    }

    /// Refuses keys that have no meaning beside what the section is, so that they are not silently ignored.
    pub(crate) fn refuse_beside(&self, what: &str, keys: &[&str]) {
        for key in keys.iter().filter(|key| self.table.contains_key(**key)) {
            self.refuse(format!("has {key}, which means nothing for {what} (leave it out)"));
        }
    }

    /// Where its keys stand, those of its tables, and the tables of its lists: for problems found once it is read.
    pub(crate) fn sites(&self) -> Vec<Site> {
        let mut sites = Vec::new();
        for (key, value) in self.table {
            let path = self.path_of(key.get_ref());
            sites.push(self.reading.site(key.span().start, &path));
            match value.get_ref() {
                DeValue::Table(table) => sites.extend(table.keys().map(|inner| {
                    self.reading.site(inner.span().start, &format!("{path}.{}", inner.get_ref()))
                })),
                DeValue::Array(items) => sites.extend(items.iter().enumerate().map(|(index, item)| {
                    self.reading.site(item.span().start, &format!("{path}[{}]", index + 1))
                })),
                _ => {}
            }
        }
        sites
    }

    /// Whether any of the keys is there.
    pub(crate) fn has_any(&self, keys: &[&str]) -> bool {
        keys.iter().any(|key| self.table.contains_key(*key))
    }

    fn path_of(&self, key: &str) -> String {
        if self.field.is_empty() { key.to_owned() } else { format!("{}.{key}", self.field) }
    }

    fn refuse_unasked(&self) {
        let asked = self.asked.borrow();
        for (key, _) in self.table {
            let name: &str = key.get_ref();
            if !asked.contains(&name) {
                let text = format!("is not a key here ({})", nearest(name, &asked));
                self.reading.refuse(key.span().start, &self.path_of(&shown(name)), text);
            }
        }
    }
}

/// The nearest of the known words, or all of them when none is near.
pub(crate) fn nearest(word: &str, known: &[&str]) -> String {
    // Jaro-Winkler: "lenght" for "length" scores 0.97; "depth" for "length" 0.70, which is no misspelling.
    const NEAR: f64 = 0.75;
    let scored = known.iter().map(|candidate| (strsim::jaro_winkler(word, candidate), candidate));
    match scored.max_by(|(a, _), (b, _)| a.total_cmp(b)) {
        Some((score, best)) if NEAR <= score => format!("the nearest known is \"{best}\""),
        _ => format!("known are {}", known.join(", ")),
    }
}

/// A text from the file made fit to print: on one line, not too long, without control characters.
fn shown(text: &str) -> String {
    // Longer than any value of ours, short enough for a line.
    const MOST: usize = 60;
    let mut plain: String = text.chars().map(|c| if c.is_control() { ' ' } else { c }).take(MOST).collect();
    if MOST < text.chars().count() {
        plain.push('…');
    }
    plain
}

/// What kind of thing a value is, with its article.
fn kind_of(value: &Spanned<DeValue<'_>>) -> &'static str {
    match value.get_ref() {
        DeValue::String(_) => "a text",
        DeValue::Integer(_) | DeValue::Float(_) => "a number",
        DeValue::Boolean(_) => "true or false",
        DeValue::Datetime(_) => "a time",
        DeValue::Array(_) => "a list",
        DeValue::Table(_) => "a table",
    }
}

#[cfg(test)]
mod tests {
    use std::path::Path;

    use windrode_domain::units::Length;

    use super::*;

    fn problems(text: &str) -> Vec<String> {
        let source = Source::of_text(Path::new("x.toml"), text.to_owned());
        let read = read(&source, |file| {
            let name = file.want("name", "her name").text();
            let length = file.want("length", "her length, as \"12 m\"").length(Within::new(1.0, 100.0));
            let share = file.may("share").share(Within::new(0.0, 1.0));
            let _ = (name?, share);
            length
        });
        match read {
            Ok(Length { .. }) => vec![],
            Err(problems) => problems.iter().map(ToString::to_string).collect(),
        }
    }

    #[test]
    fn a_sound_file_has_no_problem() {
        assert_eq!(problems("name = \"Kestrel\"\nlength = 12"), Vec::<String>::new());
        assert_eq!(problems("name = \"Kestrel\"\nlength = \"40 ft\"\nshare = \"5 %\""), Vec::<String>::new());
    }

    #[test]
    fn every_problem_is_told_at_once_where_it_stands() {
        assert_eq!(
            problems("nmae = 'x'\nlength = \"12 kg\"\nshare = nan\ndepth = 3"),
            [
                "x.toml:1:1: name: is missing (give her name)",
                "x.toml:1:1: nmae: is not a key here (the nearest known is \"name\")",
                "x.toml:2:10: length: \"12 kg\" is a mass, not a length (write it as \"7.5 m\")",
                "x.toml:3:9: share: nan is not a finite number (write a share or ratio as \"5 %\", or leave it out if \
                 it is not known)",
                "x.toml:4:1: depth: is not a key here (known are name, length, share)",
            ]
        );
    }

    #[test]
    fn numbers_that_are_none_are_refused_by_field() {
        for text in ["inf", "-inf", "+nan", "1e999"] {
            let found = problems(&format!("name = \"K\"\nlength = {text}"));
            assert_eq!(found.len(), 1, "{found:?}");
            assert!(
                found[0].starts_with("x.toml:2:10: length: ") && found[0].contains("finite"),
                "{found:?}"
            );
        }
    }

    #[test]
    fn a_number_out_of_range_is_refused_with_the_range() {
        assert_eq!(
            problems("name = \"K\"\nlength = 0"),
            ["x.toml:2:10: length: 0 m is not between 1 and 100 m (check the figure and its unit)"]
        );
    }

    #[test]
    fn a_wrong_type_is_named() {
        assert_eq!(
            problems("name = 3\nlength = [1]"),
            [
                "x.toml:1:8: name: is a number, not a text (write it in quotes)",
                "x.toml:2:10: length: is a list, not a length (write it as \"7.5 m\")",
            ]
        );
    }

    #[test]
    fn broken_toml_is_told_with_what_else_can_be_read() {
        let found = problems("name = \nlength = \"12 kg\"\nlength = 3");
        assert!(
            found.iter().any(|line| line.starts_with("x.toml:1:") && line.contains("not TOML")),
            "{found:?}"
        );
        assert!(
            found.iter().any(|line| line.starts_with("x.toml:3:") && line.contains("duplicate")),
            "{found:?}"
        );
        assert!(!found.iter().any(|line| line.contains("missing")), "{found:?}");
    }

    #[test]
    fn a_flood_of_problems_is_cut_short_and_says_so() {
        let flood: Vec<String> = (0..500).map(|n| format!("k{n} = 1")).collect();
        let found = problems(&flood.join("\n"));
        assert_eq!(found.len(), MOST_PROBLEMS + 1);
        assert!(found.last().unwrap().contains("more problems"));
    }

    #[test]
    fn what_could_upset_a_terminal_is_not_repeated() {
        let found = problems("\"a\\u001b[2J\" = 1");
        assert!(found.iter().all(|line| !line.contains('\u{1b}')), "{found:?}");
    }
}
