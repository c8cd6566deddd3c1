//! Helvetica as every reader of PDF carries it: which characters it can write, and how wide they come.
//!
//! The fourteen base fonts need not be embedded but reach only the WinAnsi characters (PDF 32000-1:2008, annex D).
//! What lies outside is written another way that says the same (`≤` as "at most", `Ō` as `O`), and where there is no
//! other way as its Unicode number in brackets; nothing is dropped and nothing becomes a question mark. The drawings
//! measure their labels by the same table, Arial and Liberation Sans being made to these widths.

mod widths;

/// Light or heavy.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Weight {
    /// Helvetica.
    Regular,
    /// Helvetica-Bold.
    Bold,
}

/// What `0x80` to `0x9F` are in WinAnsi; the five gaps are no characters. Source: PDF 32000-1:2008, annex D.2.
const HIGH_CONTROLS: [Option<char>; 32] = [
    Some('€'),
    None,
    Some('‚'),
    Some('ƒ'),
    Some('„'),
    Some('…'),
    Some('†'),
    Some('‡'),
    Some('ˆ'),
    Some('‰'),
    Some('Š'),
    Some('‹'),
    Some('Œ'),
    None,
    Some('Ž'),
    None,
    None,
    Some('‘'),
    Some('’'),
    Some('“'),
    Some('”'),
    Some('•'),
    Some('–'),
    Some('—'),
    Some('˜'),
    Some('™'),
    Some('š'),
    Some('›'),
    Some('œ'),
    None,
    Some('ž'),
    Some('Ÿ'),
];

/// Other ways of writing what WinAnsi lacks.
const OTHER_WAYS: &[(&str, &str)] = &[
    ("at most ", "≤"),
    ("at least ", "≥"),
    ("about ", "≈"),
    ("-", "−‐‑⁃"),
    ("to", "→"),
    ("'", "′ʻʼ"),
    ("\"", "″"),
    (" ", "\u{2002}\u{2003}\u{2007}\u{2009}\u{200A}\u{202F}"),
    ("[]", "□"),
    ("A", "ĀĂĄǍẠẢ"),
    ("a", "āăąǎạả"),
    ("C", "ĆĈĊČ"),
    ("c", "ćĉċč"),
    ("D", "ĎĐ"),
    ("d", "ďđ"),
    ("E", "ĒĔĖĘĚẸẼ"),
    ("e", "ēĕėęěẹẽ"),
    ("G", "ĜĞĠĢ"),
    ("g", "ĝğġģ"),
    ("H", "ĤĦ"),
    ("h", "ĥħ"),
    ("I", "ĨĪĬĮİ"),
    ("i", "ĩīĭįı"),
    ("J", "Ĵ"),
    ("j", "ĵ"),
    ("K", "Ķ"),
    ("k", "ķĸ"),
    ("L", "ĹĻĽĿŁ"),
    ("l", "ĺļľŀł"),
    ("N", "ŃŅŇ"),
    ("n", "ńņň"),
    ("Ng", "Ŋ"),
    ("ng", "ŋ"),
    ("O", "ŌŎŐǑỌ"),
    ("o", "ōŏőǒọ"),
    ("R", "ŔŖŘ"),
    ("r", "ŕŗř"),
    ("S", "ŚŜŞȘ"),
    ("s", "śŝşș"),
    ("T", "ŢŤŦȚ"),
    ("t", "ţťŧț"),
    ("U", "ŨŪŬŮŰŲǓ"),
    ("u", "ũūŭůűųǔ"),
    ("W", "Ŵ"),
    ("w", "ŵ"),
    ("Y", "Ŷ"),
    ("y", "ŷ"),
    ("Z", "ŹŻ"),
    ("z", "źż"),
];

/// Text as WinAnsi codes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Written {
    /// The codes.
    pub(crate) codes: Vec<u8>,
    /// Whether every character stands as itself.
    pub(crate) verbatim: bool,
    /// Whether a character had to be given by its Unicode number.
    pub(crate) by_number: bool,
}

/// Writes text in WinAnsi.
pub(crate) fn written(text: &str) -> Written {
    let mut out = Written { codes: Vec::with_capacity(text.len()), verbatim: true, by_number: false };
    for c in text.chars() {
        if let Some(code) = code(c) {
            out.codes.push(code);
            continue;
        }
        out.verbatim = false;
        // A mark set over the letter before it goes the way of those in the table.
        if ('\u{0300}'..='\u{036F}').contains(&c) {
            continue;
        }
        if let Some((way, _)) = OTHER_WAYS.iter().find(|(_, letters)| letters.contains(c)) {
            out.codes.extend_from_slice(way.as_bytes());
        } else {
            out.by_number = true;
            out.codes.extend_from_slice(format!("[U+{:04X}]", u32::from(c)).as_bytes());
        }
    }
    out
}

/// How wide text comes at a size, in the size's unit, as [`written`] writes it.
pub(crate) fn width(text: &str, size: f64, weight: Weight) -> f64 {
    let table = match weight {
        Weight::Regular => &widths::REGULAR,
        Weight::Bold => &widths::BOLD,
    };
    let thousandths: u32 = written(text)
        .codes
        .iter()
        .filter_map(|code| table.get(usize::from(code.checked_sub(32)?)))
        .map(|advance| u32::from(*advance))
        .sum();
    f64::from(thousandths) * size / 1000.0
}

/// Text broken at spaces into lines no wider than `most`; a word that is wider alone is broken where it must be.
pub(crate) fn wrapped(text: &str, size: f64, weight: Weight, most: f64) -> Vec<String> {
    let mut lines = Vec::new();
    let mut line = String::new();
    for word in text.split(' ') {
        let longer = if line.is_empty() { word.to_owned() } else { format!("{line} {word}") };
        if width(&longer, size, weight) <= most {
            line = longer;
            continue;
        }
        if !line.is_empty() {
            lines.push(std::mem::take(&mut line));
        }
        for c in word.chars() {
            if !line.is_empty() && most < width(&format!("{line}{c}"), size, weight) {
                lines.push(std::mem::take(&mut line));
            }
            line.push(c);
        }
    }
    lines.push(line);
    lines
}

/// The longest beginning of a text that fits, with an ellipsis where it was cut.
pub(crate) fn fitted(text: &str, size: f64, weight: Weight, most: f64) -> String {
    if width(text, size, weight) <= most {
        return text.to_owned();
    }
    let mut kept = String::new();
    for c in text.chars() {
        if most < width(&format!("{kept}{c}…"), size, weight) {
            break;
        }
        kept.push(c);
    }
    format!("{}…", kept.trim_end())
}

/// The WinAnsi code of a character.
fn code(c: char) -> Option<u8> {
    match c {
        ' '..='~' | '\u{A0}'..='ÿ' => u8::try_from(u32::from(c)).ok(),
        _ => {
            let at = HIGH_CONTROLS.iter().position(|high| *high == Some(c))?;
            u8::try_from(at + 0x80).ok()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Width of a glyph by its name, from the authority's own file.
    fn of_afm(face: &str, glyph: &str) -> u16 {
        let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../../authorities/afm");
        let text = std::fs::read(format!("{folder}/{face}.afm")).unwrap();
        let text: String = text.iter().map(|byte| char::from(*byte)).collect();
        let line = text.lines().find(|line| line.contains(&format!("; N {glyph} ;"))).unwrap();
        line.split("WX ").nth(1).unwrap().split(' ').next().unwrap().parse().unwrap()
    }

    // Source: Adobe Core 14 AFM, version 002.000, in authorities/afm.
    #[test]
    fn widths_are_those_of_the_core_fonts() {
        let glyphs = [
            ("A", "A"),
            ("W", "W"),
            ("m", "m"),
            ("space", " "),
            ("quotesingle", "'"),
            ("degree", "°"),
            ("eacute", "é"),
            ("Euro", "€"),
            ("quoteright", "’"),
            ("endash", "–"),
            ("zcaron", "ž"),
            ("onehalf", "½"),
            ("twosuperior", "²"),
            ("mu", "µ"),
            ("germandbls", "ß"),
            ("bullet", "•"),
            ("multiply", "×"),
        ];
        for (name, text) in glyphs {
            for (face, weight) in [("Helvetica", Weight::Regular), ("Helvetica-Bold", Weight::Bold)] {
                let told = width(text, 1000.0, weight);
                assert!((told - f64::from(of_afm(face, name))).abs() < 1e-9, "{face} {name}: {told}");
            }
        }
    }

    #[test]
    fn what_the_font_lacks_is_written_another_way_and_never_as_a_question_mark() {
        let told = |text: &str| String::from_utf8(written(text).codes).unwrap();
        assert_eq!(told("≤ 5 m"), "at most  5 m");
        assert_eq!(told("Ōtara, Łeba, Piña".trim_end_matches("Piña")), "Otara, Leba, ");
        assert_eq!(told("港"), "[U+6E2F]");
        assert!(written("港").by_number && !written("Ōtara").by_number && written("Piña").verbatim);
    }

    #[test]
    fn every_line_fits_and_no_letter_is_lost() {
        let text =
            "Kittiwake of the long name that never ends Aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa b";
        let lines = wrapped(text, 10.0, Weight::Regular, 90.0);
        assert!(lines.iter().all(|line| width(line, 10.0, Weight::Regular) <= 90.0));
        let kept: String = lines.concat().replace(' ', "");
        assert_eq!(kept, text.replace(' ', ""));
    }
}
