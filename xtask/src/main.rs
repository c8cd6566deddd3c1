//! The project's own errands.
fn main() {}
