//! What a rule says when it is broken: every breach at once, one a line.

/// Passes when nothing breaks the rule; otherwise names it and all that does.
#[track_caller]
pub(crate) fn assert_none(rule: &str, breaches: &[String]) {
    assert!(breaches.is_empty(), "{rule}:\n  {}", breaches.join("\n  "));
}
