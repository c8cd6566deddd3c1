//! Rust text with comments and literals blanked out, so that a brace or a word found in it is code.
//!
//! Lines and columns stay where they were: every blanked character becomes a space, every newline stays. The rules
//! followed are those of the Rust reference, "Tokens": nested block comments, escapes, raw strings with any number of
//! hashes, byte and C strings, and character literals, which are told from lifetimes by their closing quote.

/// A function found in a file.
#[derive(Debug, PartialEq, Eq)]
pub(crate) struct Function {
    /// Its name.
    pub(crate) name: String,
    /// The line of its `fn`, from 1.
    pub(crate) line: usize,
    /// Lines from its `fn` to its closing brace, both counted.
    pub(crate) lines: usize,
}

/// The code of `source`, all else blanked.
pub(crate) fn masked(source: &str) -> String {
    let characters: Vec<char> = source.chars().collect();
    let mut out = String::with_capacity(source.len());
    let mut at = 0;
    while at < characters.len() {
        let rest = &characters[at..];
        let follows_word = at.checked_sub(1).is_some_and(|before| is_word(characters[before]));
        match blank_length(rest, follows_word) {
            0 => {
                out.push(rest[0]);
                at += 1;
            }
            length => {
                out.extend(rest[..length].iter().map(|&c| if c == '\n' { '\n' } else { ' ' }));
                at += length;
            }
        }
    }
    out
}

fn is_word(c: char) -> bool {
    c.is_alphanumeric() || c == '_'
}

/// How many characters from the start of `rest` are comment or literal; 0 when it starts with code.
fn blank_length(rest: &[char], follows_word: bool) -> usize {
    match rest {
        ['/', '/', ..] => rest.iter().position(|&c| c == '\n').unwrap_or(rest.len()),
        ['/', '*', ..] => block_comment_length(rest),
        ['"', ..] => quoted_length(rest, 0),
        ['\'', ..] => character_length(rest),
        ['r' | 'b' | 'c', ..] if !follows_word => prefixed_length(rest),
        _ => 0,
    }
}

fn block_comment_length(rest: &[char]) -> usize {
    let mut depth = 0_usize;
    let mut at = 0;
    while at < rest.len() {
        match &rest[at..] {
            ['/', '*', ..] => {
                depth += 1;
                at += 2;
            }
            ['*', '/', ..] => {
                depth -= 1;
                at += 2;
                if depth == 0 {
                    return at;
                }
            }
            _ => at += 1,
        }
    }
    rest.len()
}

/// Length of a literal with escapes whose opening quote stands at `open`.
fn quoted_length(rest: &[char], open: usize) -> usize {
    let quote = rest[open];
    let mut at = open + 1;
    while at < rest.len() {
        match rest[at] {
            '\\' => at += 2,
            c if c == quote => return at + 1,
            _ => at += 1,
        }
    }
    rest.len()
}

/// Length of a character literal; 0 for a lifetime or a label.
fn character_length(rest: &[char]) -> usize {
    match rest {
        ['\'', '\\', ..] => quoted_length(rest, 0),
        ['\'', _, '\'', ..] => 3,
        _ => 0,
    }
}

/// Length of a literal that starts with `r`, `b`, `c`, `br` or `cr`; 0 when those letters start a name.
fn prefixed_length(rest: &[char]) -> usize {
    let letters = rest.iter().take_while(|&&c| matches!(c, 'r' | 'b' | 'c')).count();
    let prefix: String = rest[..letters].iter().collect();
    match (prefix.as_str(), rest.get(letters)) {
        ("b" | "c", Some('"')) | ("b", Some('\'')) => quoted_length(rest, letters),
        ("r" | "br" | "cr", Some('"' | '#')) => raw_length(rest, letters),
        _ => 0,
    }
}

/// Length of a raw string whose hashes or quote stand at `open`; 0 for a raw identifier.
fn raw_length(rest: &[char], open: usize) -> usize {
    let hashes = rest[open..].iter().take_while(|&&c| c == '#').count();
    if rest.get(open + hashes) != Some(&'"') {
        return 0;
    }
    let mut at = open + hashes + 1;
    while at < rest.len() {
        let closes =
            rest[at] == '"' && rest[at + 1..].iter().take(hashes).filter(|&&c| c == '#').count() == hashes;
        if closes {
            return at + 1 + hashes;
        }
        at += 1;
    }
    rest.len()
}

/// Every function with a body, in the order of the file; functions within functions too.
pub(crate) fn functions(source: &str) -> Vec<Function> {
    let code: Vec<char> = masked(source).chars().collect();
    (0..code.len()).filter_map(|at| function_at(&code, at)).collect()
}

/// The function whose `fn` stands at `at`, if one does and it has a body.
fn function_at(code: &[char], at: usize) -> Option<Function> {
    let before = at.checked_sub(1).map(|before| code[before]);
    if !code[at..].starts_with(&['f', 'n', ' ']) || before.is_some_and(is_word) {
        return None;
    }
    let name: String = code[at + 3..].iter().take_while(|&&c| is_word(c) || c == '$').collect();
    if name.is_empty() {
        return None;
    }
    let end = body_end(code, at)?;
    let newlines = |range: &[char]| range.iter().filter(|&&c| c == '\n').count();
    Some(Function { name, line: 1 + newlines(&code[..at]), lines: 1 + newlines(&code[at..end]) })
}

/// Where the body that follows a signature at `start` closes; `None` for a signature alone.
fn body_end(code: &[char], start: usize) -> Option<usize> {
    let mut brackets = 0_i32;
    let mut braces = 0_i32;
    for (offset, &c) in code[start..].iter().enumerate() {
        match c {
            '(' | '[' => brackets += 1,
            ')' | ']' => brackets -= 1,
            ';' if brackets == 0 && braces == 0 => return None,
            '{' => braces += 1,
            '}' => {
                braces -= 1;
                if braces == 0 && brackets == 0 {
                    return Some(start + offset);
                }
            }
            _ => {}
        }
    }
    None
}

/// Whether `word` stands in `text` by itself, not as part of a longer word.
pub(crate) fn has_word(text: &str, word: &str) -> bool {
    text.match_indices(word).any(|(at, _)| {
        let before = text[..at].chars().next_back();
        let after = text[at + word.len()..].chars().next();
        let goes_on = word.ends_with(is_word) && after.is_some_and(is_word);
        !(before.is_some_and(is_word) || goes_on)
    })
}

/// Blanks all between the two letters, and keeps every column.
#[track_caller]
fn check_only_a_and_b_are_code(source: &str) {
    let code = masked(source);
    assert_eq!(code.split_whitespace().collect::<Vec<_>>(), ["a", "b"], "{source}");
    assert_eq!(code.chars().count(), source.chars().count(), "{source}");
}

#[test]
fn a_brace_in_a_comment_or_a_literal_is_no_code() {
    check_only_a_and_b_are_code("a // {\nb");
    check_only_a_and_b_are_code("a /* { /* } */ { */ b");
    check_only_a_and_b_are_code(r#"a "{ \" {" b"#);
    check_only_a_and_b_are_code("a r#\"{ \" {\"# b");
    check_only_a_and_b_are_code("a br\"{\\\" b");
    check_only_a_and_b_are_code(r"a b'{' '\'' b");
    check_only_a_and_b_are_code(r"a '{' '\u{7b}' b");
}

#[test]
fn a_lifetime_a_raw_name_and_a_name_that_ends_in_r_are_code() {
    for code in ["fn f<'a>(x: &'a str) {}", "r#fn + 'outer: b", "mirror + cube"] {
        assert_eq!(masked(code), code);
    }
}

#[test]
fn a_function_is_as_long_as_from_its_fn_to_its_brace() {
    let source =
        "struct A;\n\nfn f(x: [u8; 3])\nwhere\n    u8: Copy,\n{\n    let _ = '}';\n    fn g() {}\n}\n";
    let found = functions(source);
    assert_eq!(
        found,
        [
            Function { name: "f".to_owned(), line: 3, lines: 7 },
            Function { name: "g".to_owned(), line: 8, lines: 1 }
        ]
    );
}

#[test]
fn a_signature_alone_and_a_pointer_to_a_function_are_no_functions() {
    assert_eq!(functions("trait T { fn f(&self) -> [u8; 2]; }\ntype P = fn(u8) -> u8;"), []);
}

#[test]
fn a_function_made_by_a_macro_is_a_function() {
    let lengths: Vec<usize> =
        functions("macro_rules! m { ($n:ident) => {\nfn $n() {\n}\n} }").iter().map(|f| f.lines).collect();
    assert_eq!(lengths, [2]);
}

#[test]
fn a_word_within_a_word_is_not_that_word() {
    assert!(has_word("print!(1)", "print!"));
    assert!(!has_word("println!(1)", "print!"));
    assert!(!has_word("sprint!(1)", "print!"));
}
