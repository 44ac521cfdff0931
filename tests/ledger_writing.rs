//! Files appear whole or not at all, and nothing that stands there is lost.

use std::fs;

use counterfoil::ledger::{OutputFile, write_files};

fn file(text: &str) -> [OutputFile; 1] {
    [OutputFile::new("ledger-drafts.csv", text.as_bytes().to_vec())]
}

fn names(folder: &std::path::Path) -> Vec<String> {
    let mut names: Vec<_> =
        fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    names
}

#[test]
fn a_missing_folder_is_made_and_the_file_stands_in_it_alone() {
    let place = tempfile::tempdir().unwrap();
    let folder = place.path().join("sale").join("2026-03-14");
    let written = write_files(&folder, &file("one")).unwrap();
    assert_eq!(fs::read_to_string(&written[0].path).unwrap(), "one");
    assert_eq!(names(&folder), ["ledger-drafts.csv"]);
}

#[test]
fn the_same_content_is_left_alone() {
    let place = tempfile::tempdir().unwrap();
    let first = write_files(place.path(), &file("one")).unwrap();
    let before = fs::metadata(&first[0].path).unwrap().modified().unwrap();
    let again = write_files(place.path(), &file("one")).unwrap();
    assert!(again[0].unchanged && again[0].kept.is_none());
    assert_eq!(fs::metadata(&again[0].path).unwrap().modified().unwrap(), before);
}

#[test]
fn other_content_is_kept_beside_and_never_overwritten() {
    let place = tempfile::tempdir().unwrap();
    for text in ["one", "two", "six"] {
        write_files(place.path(), &file(text)).unwrap();
    }
    assert_eq!(names(place.path()), ["ledger-drafts.csv", "ledger-drafts.kept-1.csv", "ledger-drafts.kept-2.csv"]);
    let text = |name: &str| fs::read_to_string(place.path().join(name)).unwrap();
    assert_eq!(
        ["ledger-drafts.kept-1.csv", "ledger-drafts.kept-2.csv", "ledger-drafts.csv"].map(text),
        ["one", "two", "six"]
    );
}

#[test]
fn a_folder_with_the_files_name_is_a_plain_message() {
    let place = tempfile::tempdir().unwrap();
    fs::create_dir(place.path().join("ledger-drafts.csv")).unwrap();
    let error = write_files(place.path(), &file("one")).unwrap_err().to_string();
    assert!(error.contains("ledger-drafts.csv") && error.contains("folder has this name"), "{error}");
    assert_eq!(names(place.path()), ["ledger-drafts.csv"]);
}

#[test]
fn a_folder_that_cannot_be_made_is_a_plain_message() {
    let place = tempfile::tempdir().unwrap();
    let in_the_way = place.path().join("sale");
    fs::write(&in_the_way, "no folder").unwrap();
    let error = write_files(&in_the_way.join("ledger"), &file("one")).unwrap_err().to_string();
    assert!(error.starts_with("the folder ") && error.contains("could not be made"), "{error}");
}

/// A folder that the system lets nobody put files into; taking the rights off a folder binds no superuser.
#[test]
#[cfg(target_os = "linux")]
fn a_place_that_takes_no_files_is_a_plain_message() {
    let error = write_files(std::path::Path::new("/proc/self/fd"), &file("one")).unwrap_err().to_string();
    assert!(error.contains("ledger-drafts.csv could not be written"), "{error}");
}
