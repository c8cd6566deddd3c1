//! What the world outside says, file by file, and how near we come.

mod almanac;
mod magnetism;
mod room;
