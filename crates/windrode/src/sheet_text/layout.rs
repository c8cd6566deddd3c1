//! Lines of at most a hundred columns: wrapping, hanging indents, tables.

use crate::words::Grid;

/// Columns of the terminal that are used.
pub(super) const WIDTH: usize = 100;

/// What has been written.
#[derive(Clone, Debug, Default)]
pub(super) struct Paper {
    lines: Vec<String>,
}

impl Paper {
    /// An empty line.
    pub(super) fn gap(&mut self) {
        self.lines.push(String::new());
    }
    /// Words from a column on.
    pub(super) fn words(&mut self, indent: usize, text: &str) {
        self.hung(&" ".repeat(indent), text);
    }
    /// Words after a lead; further lines stand under the first word.
    pub(super) fn hung(&mut self, lead: &str, text: &str) {
        let indent = columns(lead);
        for (at, line) in wrapped(text, WIDTH - indent).into_iter().enumerate() {
            let begin = if at == 0 { lead.to_owned() } else { " ".repeat(indent) };
            self.lines.push(format!("{begin}{line}").trim_end().to_owned());
        }
    }
    /// A title, set off.
    pub(super) fn heading(&mut self, title: &str) {
        self.gap();
        self.words(0, title);
        self.lines.push("-".repeat(columns(title).min(WIDTH)));
    }
    /// A titled list; nothing when it is empty.
    pub(super) fn list(&mut self, title: &str, items: &[String]) {
        if items.is_empty() {
            return;
        }
        self.heading(title);
        for item in items {
            self.hung("- ", item);
        }
    }
    /// A table, the first column to the left, the others to the right.
    pub(super) fn grid(&mut self, grid: &Grid) {
        self.heading(&grid.title);
        let widths: Vec<usize> = (0..grid.head.len())
            .map(|column| {
                let cells = grid.rows.iter().chain([&grid.head]);
                cells.filter_map(|row| row.get(column)).map(|cell| columns(cell)).max().unwrap_or(0)
            })
            .collect();
        let gaps = widths.len().saturating_sub(1).max(1);
        let room = WIDTH.saturating_sub(widths.iter().sum());
        let gap = (room / gaps).clamp(1, 3);
        for row in [&grid.head].into_iter().chain(&grid.rows) {
            self.row(row, &widths, gap);
        }
        self.words(0, &grid.note);
    }

    fn row(&mut self, cells: &[String], widths: &[usize], gap: usize) {
        let last = cells.len().saturating_sub(1);
        let mut line = String::new();
        for (column, (cell, width)) in cells.iter().zip(widths).enumerate() {
            let fill = " ".repeat(width.saturating_sub(columns(cell)));
            let between = if column == 0 { String::new() } else { " ".repeat(gap) };
            // The first column holds times or depths, the last remarks: both read from the left.
            let text_column = column == 0 || (column == last && widths.len() > 6);
            let cell = if text_column { format!("{cell}{fill}") } else { format!("{fill}{cell}") };
            line.push_str(&between);
            line.push_str(&cell);
        }
        // A table wider than the paper is broken like words rather than cut.
        if WIDTH < columns(line.trim_end()) {
            self.words(0, &line);
        } else {
            self.lines.push(line.trim_end().to_owned());
        }
    }
    /// All of it, ending with a line end.
    pub(super) fn finish(self) -> String {
        let mut out = self.lines.join("\n");
        out.push('\n');
        out
    }
}

/// Columns that text takes: marks over letters none, the wide letters of East Asia two (Unicode TR 11, by blocks).
pub(super) fn columns(text: &str) -> usize {
    text.chars()
        .map(|c| match c {
            '\u{0300}'..='\u{036F}' | '\u{200B}'..='\u{200D}' => 0,
            '\u{1100}'..='\u{115F}'
            | '\u{2E80}'..='\u{A4CF}'
            | '\u{AC00}'..='\u{D7A3}'
            | '\u{F900}'..='\u{FAFF}'
            | '\u{FE30}'..='\u{FE6F}'
            | '\u{FF00}'..='\u{FF60}'
            | '\u{1F300}'..='\u{1FAFF}'
            | '\u{20000}'..='\u{3FFFD}' => 2,
            _ => 1,
        })
        .sum()
}

/// Broken at spaces; a word longer than the line is broken where it must be.
fn wrapped(text: &str, most: usize) -> Vec<String> {
    let mut lines = Vec::new();
    let mut line = String::new();
    for word in text.split_whitespace() {
        if !line.is_empty() && columns(&line) + 1 + columns(word) <= most {
            line.push(' ');
            line.push_str(word);
            continue;
        }
        if !line.is_empty() {
            lines.push(std::mem::take(&mut line));
        }
        for c in word.chars() {
            if most < columns(&line) + columns(c.encode_utf8(&mut [0; 4])) {
                lines.push(std::mem::take(&mut line));
            }
            line.push(c);
        }
    }
    lines.push(line);
    lines
}
