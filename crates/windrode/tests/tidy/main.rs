//! The habits of the house, held as facts: each test reads the repository itself and names what breaks the rule.
//!
//! The rules and their reasons stand in `STYLE.md` and `ARCHITECTURE.md`. Nothing here needs the network, a clock or
//! a program other than cargo.

mod breaches;
mod documents;
mod licences;
mod manifests;
mod masking;
mod sources;
mod tree;
