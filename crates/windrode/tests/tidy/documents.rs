//! Rules about the standing documents: they say what is so.

use std::collections::BTreeSet;

use crate::breaches::assert_none;
use crate::masking::has_word;
use crate::tree::{Text, extension_of, files, read, root, stem_of, texts};

/// What the first paragraph of the README tells a stranger: who, of what, and the whole job.
const JOB: &[&str] =
    &["crew", "8 to 20 m", "anchor", "berth", "rode", "set", "watch", "drag", "weigh", "night", "decide"];

/// What the README tells of every outside file: who says so, how it was asked, when, and under which licence.
const PROVENANCE: &[&str] = &["who", "how", "when", "licence"];

/// Modules that ARCHITECTURE.md names, as crate and path: in each section headed by a crate, the first word of every
/// line of its map that starts at the margin.
fn named_modules() -> Vec<(String, String)> {
    let mut named = Vec::new();
    let mut section = None;
    let mut in_map = false;
    for line in read("ARCHITECTURE.md").lines() {
        if line.starts_with('#') && !in_map {
            section =
                line.strip_prefix("### `crates/").and_then(|rest| rest.strip_suffix('`')).map(str::to_owned);
        } else if line.starts_with("```") {
            in_map = !in_map;
        } else if let (true, Some(member)) = (in_map, &section) {
            let at_margin = !line.starts_with(' ');
            let module = line.split_whitespace().next().filter(|_| at_margin);
            named.extend(module.map(|module| (member.clone(), module.to_owned())));
        }
    }
    named
}

/// Modules at the top of the three crates, as crate and name.
fn top_modules() -> Vec<(String, String)> {
    let crate_roots = ["lib", "main"];
    files()
        .iter()
        .filter_map(|path| path.strip_prefix("crates/")?.split_once("/src/"))
        .filter(|(_, inside)| extension_of(inside) == "rs" && !inside.contains('/'))
        .map(|(member, inside)| (member.to_owned(), stem_of(inside).to_owned()))
        .filter(|(_, module)| !crate_roots.contains(&module.as_str()))
        .collect()
}

/// The first paragraph below the title, as one line in small letters.
fn first_paragraph(document: &str) -> String {
    let body = document.lines().skip_while(|line| line.is_empty() || line.starts_with('#'));
    body.take_while(|line| !line.is_empty()).collect::<Vec<_>>().join(" ").to_lowercase()
}

/// Folders of outside truth, the top one first.
fn authority_folders() -> BTreeSet<String> {
    let inside = files().into_iter().filter(|path| path.starts_with("authorities/"));
    inside.filter_map(|path| path.rsplit_once('/').map(|(folder, _)| folder.to_owned())).collect()
}

/// What the README of one folder of outside truth leaves out.
fn unsaid(folder: &str) -> Vec<String> {
    let readme_path = format!("{folder}/README.md");
    let all = files();
    if !all.contains(&readme_path) {
        return vec![format!("{readme_path} is missing")];
    }
    let readme = read(&readme_path);
    let own = all
        .iter()
        .filter_map(|path| path.strip_prefix(&format!("{folder}/")))
        .filter(|name| !name.contains('/'));
    let unnamed = own.filter(|name| *name != "README.md" && !readme.contains(&format!("`{name}`")));
    let mut breaches: Vec<String> =
        unnamed.map(|name| format!("{readme_path} does not name `{name}`")).collect();
    let lower = readme.to_lowercase();
    let silent = PROVENANCE.iter().filter(|word| !has_word(&lower, word));
    breaches.extend(silent.map(|word| format!("{readme_path} does not say {word}")));
    breaches
}

/// Links of one document that lead to no file here; those that leave the repository are not followed.
fn dead_links(document: &Text) -> Vec<String> {
    let folder = document.path.rsplit_once('/').map_or("", |(folder, _)| folder);
    let targets = document.text.split("](").skip(1).filter_map(|rest| rest.split([')', '#']).next());
    let within = targets.filter(|target| !target.is_empty() && !target.contains("://"));
    let dead = within.filter(|target| !root().join(folder).join(target).exists());
    dead.map(|target| format!("{}: {target}", document.path)).collect()
}

#[test]
fn every_link_within_the_repository_leads_somewhere() {
    let documents: Vec<Text> = texts().into_iter().filter(|text| text.has_extension(&["md"])).collect();
    let breaches: Vec<String> = documents.iter().flat_map(dead_links).collect();
    assert_none("what a document points to is there", &breaches);
}

#[test]
fn every_module_that_the_architecture_names_exists() {
    let named = named_modules();
    assert!(!named.is_empty(), "ARCHITECTURE.md holds a map under each `### `crates/…`` heading");
    let exists =
        |member: &str, module: &str| root().join(format!("crates/{member}/src/{module}.rs")).is_file();
    let missing = named.iter().filter(|(member, module)| !exists(member, module));
    let breaches: Vec<String> = missing.map(|(member, module)| format!("{member}: {module}")).collect();
    assert_none("ARCHITECTURE.md names what exists", &breaches);
}

#[test]
fn every_top_module_is_named_in_the_architecture() {
    let named = named_modules();
    let unnamed = top_modules().into_iter().filter(|module| !named.contains(module));
    let breaches: Vec<String> = unnamed.map(|(member, module)| format!("{member}: {module}")).collect();
    assert_none("ARCHITECTURE.md leaves no module out", &breaches);
}

#[test]
fn the_architecture_is_read_in_one_sitting() {
    assert!(read("ARCHITECTURE.md").lines().count() < 200, "ARCHITECTURE.md stays under 200 lines");
}

#[test]
fn the_readme_opens_with_the_job() {
    let opening = first_paragraph(&read("README.md"));
    let breaches: Vec<String> =
        JOB.iter().filter(|word| !opening.contains(**word)).map(|word| (*word).to_owned()).collect();
    assert_none("the first paragraph of README.md tells the whole job, these words in it", &breaches);
}

#[test]
fn every_outside_file_has_a_pedigree() {
    let breaches: Vec<String> = authority_folders().iter().flat_map(|folder| unsaid(folder)).collect();
    assert_none(
        "each folder of authorities/ says who, how, when and licence of each of its files",
        &breaches,
    );
}

#[test]
fn every_builder_is_named_in_its_readme() {
    let readme = read("builders/README.md");
    let scripts =
        files().into_iter().filter(|path| path.starts_with("builders/") && extension_of(path) == "py");
    let unnamed = scripts.filter(|path| !readme.contains(&path["builders/".len()..]));
    assert_none("builders/README.md says what each program makes", &unnamed.collect::<Vec<_>>());
}

#[test]
fn decisions_are_numbered_without_a_gap() {
    let names: Vec<String> =
        files().iter().filter_map(|path| path.strip_prefix("docs/decisions/")).map(str::to_owned).collect();
    assert!(!names.is_empty(), "docs/decisions holds the choices made");
    let numbered = |number: usize, name: &str| {
        let title = name.strip_prefix(&format!("{number:04}-")).and_then(|rest| rest.strip_suffix(".md"));
        title.is_some_and(|title| {
            !title.is_empty() && title.chars().all(|c| c.is_ascii_lowercase() || c == '-')
        })
    };
    let wrong = names.iter().enumerate().filter(|(before, name)| !numbered(before + 1, name));
    let breaches: Vec<String> = wrong.map(|(_, name)| name.clone()).collect();
    assert_none("decisions are NNNN-title.md from 0001 on", &breaches);
}

#[test]
fn every_decision_has_context_choice_and_consequences() {
    let mut breaches = Vec::new();
    for path in files().into_iter().filter(|path| path.starts_with("docs/decisions/")) {
        let text = read(&path);
        let headings: Vec<&str> = text.lines().filter_map(|line| line.strip_prefix("## ")).collect();
        if headings != ["Context", "Choice", "Consequences"] {
            breaches.push(format!("{path}: {headings:?}"));
        }
    }
    assert_none("a decision tells its context, its choice, its consequences", &breaches);
}

#[test]
fn every_word_of_the_glossary_is_explained_once() {
    let glossary = read("docs/glossary.md");
    let terms: Vec<String> =
        glossary.lines().filter_map(|line| line.strip_prefix("### ")).map(str::to_lowercase).collect();
    assert!(!terms.is_empty(), "a term is a heading of the third level");
    let mut seen = BTreeSet::new();
    let twice: Vec<String> = terms.into_iter().filter(|term| !seen.insert(term.clone())).collect();
    assert_none("a term has one entry", &twice);
}

#[test]
fn every_entry_of_the_glossary_says_something() {
    let glossary = read("docs/glossary.md");
    let entries = glossary.split("\n### ").skip(1);
    let empty =
        entries.filter(|entry| entry.lines().skip(1).all(|line| line.is_empty() || line.starts_with('#')));
    let breaches: Vec<String> =
        empty.map(|entry| entry.lines().next().unwrap_or_default().to_owned()).collect();
    assert_none("a term has a definition", &breaches);
}
