//! Documents, attachments and devices over a real database.

use std::path::PathBuf;

use jiff::Timestamp;

use super::*;

fn papers(name: &str) -> (PathBuf, Papers) {
    let directory = std::env::temp_dir().join(format!("windrode-papers-{}-{name}", std::process::id()));
    let _ = std::fs::remove_dir_all(&directory);
    std::fs::create_dir_all(&directory).expect("a directory");
    let papers = Papers::open(&directory).expect("papers");
    (directory, papers)
}

fn document(id: &str, vessel: Option<&str>) -> Document {
    let line = Line {
        id: id.to_owned(),
        name: id.to_owned(),
        revision: 0,
        changed: Timestamp::UNIX_EPOCH,
        vessel: vessel.map(str::to_owned),
        span: None,
        verdict: None,
    };
    Document { line, text: "[stay]".to_owned() }
}

#[test]
fn a_document_is_written_over_only_by_who_saw_its_last_revision() {
    let (directory, papers) = papers("revisions");
    let first = papers.insert(Kind::Stay, document("a", None)).expect("written");
    assert_eq!((first.id.as_str(), first.revision), ("a", 1));
    assert_eq!(papers.insert(Kind::Stay, document("a", None)).expect("written").id, "a-2");
    let again = Document { line: first.clone(), text: "other".to_owned() };
    assert_eq!(papers.replace(Kind::Stay, again.clone()).unwrap().unwrap().revision, 2);
    assert_eq!(papers.replace(Kind::Stay, again).unwrap(), Err(NotReplaced::Changed(2)));
    assert_eq!(papers.document(Kind::Stay, "a").unwrap().unwrap().text, "other");
    assert_eq!(papers.replace(Kind::Vessel, document("a", None)).unwrap(), Err(NotReplaced::Missing));
    std::fs::remove_dir_all(directory).expect("removed");
}

#[test]
fn a_vessel_that_a_stay_names_is_not_removed_and_a_stay_goes_with_what_is_attached() {
    let (directory, papers) = papers("removal");
    papers.insert(Kind::Vessel, document("alder", None)).expect("written");
    papers.insert(Kind::Stay, document("a", Some("alder"))).expect("written");
    assert_eq!(papers.remove(Kind::Vessel, "alder").unwrap(), Err(NotReplaced::Named(vec!["a".to_owned()])));
    let at = Timestamp::UNIX_EPOCH;
    assert_eq!(papers.attach("a", "wind.csv", Some(b"x"), at).unwrap(), Some(2));
    assert_eq!(papers.attach("b", "wind.csv", Some(b"x"), at).unwrap(), None);
    assert_eq!(papers.attachment_names("a").unwrap(), [("wind.csv".to_owned(), 1)]);
    assert_eq!(papers.remove(Kind::Stay, "a").unwrap(), Ok(()));
    assert!(papers.attached("a").unwrap().is_empty());
    assert_eq!(papers.remove(Kind::Vessel, "alder").unwrap(), Ok(()));
    std::fs::remove_dir_all(directory).expect("removed");
}

#[test]
fn a_device_is_known_by_its_secret_until_it_is_struck_off() {
    let (directory, papers) = papers("devices");
    let device = Device {
        id: "d1".to_owned(),
        name: "bow".to_owned(),
        role: Role::Look,
        paired: Timestamp::UNIX_EPOCH,
    };
    papers.pair(&device, b"digest").expect("paired");
    assert_eq!(papers.device_of(b"digest").unwrap(), Some(device));
    assert_eq!(papers.device_of(b"other").unwrap(), None);
    assert!(papers.strike_off("d1").unwrap() && !papers.strike_off("d1").unwrap());
    assert_eq!(papers.device_of(b"digest").unwrap(), None);
    std::fs::remove_dir_all(directory).expect("removed");
}

#[test]
fn papers_are_opened_again_and_a_newer_program_s_are_left_alone() {
    let (directory, papers) = papers("again");
    papers.keep("who", "d1").expect("kept");
    drop(papers);
    let papers = Papers::open(&directory).expect("papers");
    assert_eq!(papers.kept("who").unwrap().as_deref(), Some("d1"));
    papers.writing(|to| to.pragma_update(None, "user_version", 1000)).expect("a version");
    drop(papers);
    assert!(Papers::open(&directory).unwrap_err().to_string().contains("newer"));
    std::fs::remove_dir_all(directory).expect("removed");
}
