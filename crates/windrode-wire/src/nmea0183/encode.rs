//! Sentences written.
