//! Windrode: the whole job of lying at anchor, in one on-board program.
fn main() {}
