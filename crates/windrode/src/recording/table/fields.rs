//! A line of a table cut into its fields, each with where it stands.

/// A field: its text without blanks or quotes about it, and the column of its first character, from 1.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Cell<'a> {
    /// The text.
    pub(super) text: &'a str,
    /// Where it begins.
    pub(super) column: usize,
}

impl Cell<'_> {
    /// The text in quotes, short enough for a line of a message.
    pub(super) fn shown(self) -> String {
        const MOST: usize = 40;
        let plain: String =
            self.text.chars().map(|c| if c.is_control() { ' ' } else { c }).take(MOST).collect();
        let more = if MOST < self.text.chars().count() { "…" } else { "" };
        format!("\"{plain}{more}\"")
    }
}

/// Cuts a line at its commas; what stands in double quotes is one field, whatever is in it.
pub(super) fn cells(line: &str) -> Vec<Cell<'_>> {
    let mut cells = Vec::new();
    let (mut start, mut column, mut quoted) = (0, 1, false);
    let mut begins = 1;
    for (offset, character) in line.char_indices() {
        match character {
            '"' => quoted = !quoted,
            ',' if !quoted => {
                cells.push(cell(line.get(start..offset).unwrap_or_default(), begins));
                start = offset + 1;
                begins = column + 1;
            }
            _ => {}
        }
        column += 1;
    }
    cells.push(cell(line.get(start..).unwrap_or_default(), begins));
    cells
}

fn cell(written: &str, begins: usize) -> Cell<'_> {
    let trimmed = written.trim();
    let blanks = written.chars().take_while(|c| c.is_whitespace()).count();
    let unquoted = trimmed.strip_prefix('"').and_then(|text| text.strip_suffix('"'));
    Cell { text: unquoted.map_or(trimmed, str::trim), column: begins + blanks }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_is_cut_at_the_commas_that_are_not_in_quotes() {
        let texts: Vec<(&str, usize)> =
            cells("0, a ,\"b, c\",,°x").iter().map(|cell| (cell.text, cell.column)).collect();
        assert_eq!(texts, [("0", 1), ("a", 4), ("b, c", 7), ("", 14), ("°x", 15)]);
    }
}
