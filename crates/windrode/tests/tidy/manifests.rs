//! Rules about what depends on what: inward only, and at the core on next to nothing.

use std::collections::{BTreeMap, BTreeSet};

use crate::breaches::assert_none;
use crate::tree::{files, read};

/// The only crates that the domain may use: geodesics, instants without a clock, chance as an argument,
/// distributions, error enums. The reasons are in `docs/decisions/0005-what-the-domain-may-depend-on.md` and
/// `0010-chance-is-an-argument.md`.
const DOMAIN_MAY_USE: &[&str] = &["geographiclib-rs", "jiff", "rand", "rand_distr", "statrs", "thiserror"];

/// The only crates that the wire may use: the readers of three formats, instants, error enums, and the domain.
const WIRE_MAY_USE: &[&str] = &["csv", "grib", "jiff", "serde", "serde_json", "thiserror", "windrode-domain"];

/// Members of the workspace, from the innermost outward; each may use those before it.
const INWARD: &[&str] = &["windrode-domain", "windrode-wire", "windrode"];

/// The member that only runs the project's errands.
const ERRANDS: &str = "xtask";

fn manifest(path: &str) -> toml::Table {
    read(path).parse().unwrap_or_else(|error| panic!("{path}: {error}"))
}

fn manifest_of(member: &str) -> toml::Table {
    manifest(&format!("crates/{member}/Cargo.toml"))
}

/// The names under one heading of a manifest.
fn names(manifest: &toml::Table, heading: &str) -> BTreeSet<String> {
    let table = manifest.get(heading).and_then(toml::Value::as_table);
    table.map(|table| table.keys().cloned().collect()).unwrap_or_default()
}

/// Breaches of "this member depends on nothing outside the list".
fn strangers(member: &str, allowed: &[&str]) -> Vec<String> {
    let manifest = manifest_of(member);
    let used = names(&manifest, "dependencies");
    let strangers = used.iter().filter(|name| !allowed.contains(&name.as_str()));
    let mut breaches: Vec<String> = strangers.map(|name| format!("{member} uses {name}")).collect();
    let whole_headings = ["build-dependencies", "target", "features"];
    breaches.extend(
        whole_headings.iter().filter(|h| manifest.contains_key(**h)).map(|h| format!("{member} has [{h}]")),
    );
    breaches
}

/// Every member's manifest, by the member's name. What is a workspace of its own (the fuzz targets) is no member.
fn members() -> BTreeMap<String, toml::Table> {
    let manifests = files().into_iter().filter(|path| path.ends_with("/Cargo.toml"));
    let name = |table: &toml::Table| table["package"]["name"].as_str().unwrap_or_default().to_owned();
    let members = manifests.map(|path| manifest(&path)).filter(|table| !table.contains_key("workspace"));
    members.map(|table| (name(&table), table)).collect()
}

#[test]
fn the_domain_depends_on_nothing_outside_its_list() {
    assert_none(
        "docs/decisions/0005 names what the domain may use",
        &strangers("windrode-domain", DOMAIN_MAY_USE),
    );
}

#[test]
fn the_wire_depends_on_nothing_outside_its_list() {
    assert_none("the wire uses readers and the domain", &strangers("windrode-wire", WIRE_MAY_USE));
}

#[test]
fn the_domain_has_no_clock_to_read() {
    let workspace = manifest("Cargo.toml");
    let jiff = &workspace["workspace"]["dependencies"]["jiff"];
    assert_eq!(jiff["default-features"].as_bool(), Some(false), "jiff's default features bring a clock");
    let features: Vec<&str> =
        jiff["features"].as_array().into_iter().flatten().filter_map(toml::Value::as_str).collect();
    assert_eq!(features, ["alloc"], "the binary adds what needs a system");
    for member in ["windrode-domain", "windrode-wire"] {
        let own = &manifest_of(member)["dependencies"]["jiff"];
        let plain: toml::Table = toml::toml! { workspace = true };
        assert_eq!(own.as_table(), Some(&plain), "{member} takes jiff as the workspace has it");
    }
}

#[test]
fn dependencies_point_inward() {
    let mut breaches = Vec::new();
    for (member, manifest) in members() {
        let rank = INWARD.iter().position(|name| *name == member);
        let used = names(&manifest, "dependencies").into_iter().chain(names(&manifest, "dev-dependencies"));
        for name in used {
            let outward = match (rank, INWARD.iter().position(|other| *other == name)) {
                (Some(own), Some(other)) => own <= other,
                _ => name == ERRANDS,
            };
            if outward {
                breaches.push(format!("{member} uses {name}"));
            }
        }
    }
    assert_none("windrode uses windrode-wire uses windrode-domain, never the other way", &breaches);
}

#[test]
fn every_member_keeps_the_workspace_lints() {
    let keeps = |table: &toml::Table| {
        table.get("lints").and_then(|lints| lints.get("workspace")).and_then(toml::Value::as_bool)
            == Some(true)
    };
    let breaches: Vec<String> =
        members().into_iter().filter(|(_, t)| !keeps(t)).map(|(name, _)| name).collect();
    assert_none("[lints] workspace = true", &breaches);
}

#[test]
fn unsafe_code_is_forbidden_everywhere() {
    assert_eq!(manifest("Cargo.toml")["workspace"]["lints"]["rust"]["unsafe_code"].as_str(), Some("forbid"));
}
