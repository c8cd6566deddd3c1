//! Names that people or charts wrote, made harmless to show.
//!
//! A control character could drive a terminal, a direction mark could turn a name about, neither may stand in XML.
//! They are shown as their Unicode numbers, never dropped; line ends and tabs become spaces.

use crate::append::append;
use std::borrow::Cow;

/// The text with nothing in it that acts instead of showing.
pub(crate) fn plain(text: &str) -> Cow<'_, str> {
    if !text.contains(acts) {
        return Cow::Borrowed(text);
    }
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '\n' | '\r' | '\t' | '\u{2028}' | '\u{2029}' => out.push(' '),
            c if acts(c) => append(&mut out, format_args!("[U+{:04X}]", u32::from(c))),
            c => out.push(c),
        }
    }
    Cow::Owned(out)
}

/// Control characters, line ends, marks of direction, and the two code points that XML refuses.
fn acts(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{200E}' | '\u{200F}' | '\u{061C}' | '\u{2028}'..='\u{202E}' | '\u{2066}'..='\u{2069}')
        || matches!(c, '\u{FEFF}' | '\u{FFFE}' | '\u{FFFF}')
}

/// The first characters of a name, with an ellipsis where it was cut.
pub(crate) fn clipped(text: &str, most: usize) -> String {
    let text = plain(text);
    if text.chars().count() <= most {
        return text.into_owned();
    }
    let kept: String = text.chars().take(most.saturating_sub(1)).collect();
    format!("{}…", kept.trim_end())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_cannot_drive_the_terminal() {
        assert_eq!(plain("Red\u{1b}[2JBuoy\u{202e}"), "Red[U+001B][2JBuoy[U+202E]");
        assert_eq!(plain("two\nlines"), "two lines");
        assert!(matches!(plain("Kōwhai <b>&"), Cow::Borrowed(_)));
    }

    #[test]
    fn a_name_that_is_cut_says_so() {
        assert_eq!(clipped("Kittiwake", 9), "Kittiwake");
        assert_eq!(clipped("Kittiwake of Skerry", 10), "Kittiwake…");
    }
}
