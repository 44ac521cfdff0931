//! The house holds: data flows one way, each dependency has its door, and DEVELOPERS.md knows every file.

use std::fmt::Write as _;
use std::fs;
use std::path::Path;

/// A source file: its path from the top of the project, and its text.
type Source = (String, String);

/// Where a dependency may be named: its name in code, and the beginnings of the paths that may.
const DOORS: [(&str, &[&str]); 21] = [
    ("oem_cp", &["src/volume/fat/code_page.rs", "src/export/encoding.rs"]),
    ("chardetng", &["src/export/encoding.rs"]),
    ("crc32fast", &["src/volume/partitions/guid.rs"]),
    ("fatfs", &["src/volume/"]),
    ("csv", &["src/export/table.rs", "src/ledger/csv.rs"]),
    ("csv_core", &["src/export/table.rs"]),
    ("encoding_rs", &["src/export/encoding.rs"]),
    ("polars", &["src/ledger/"]),
    ("clap", &["src/cli.rs"]),
    ("miette", &["src/terminal/"]),
    ("unicode_normalization", &["src/export/words.rs"]),
    ("textwrap", &["src/terminal/"]),
    ("terminal_size", &["src/terminal/"]),
    ("maud", &["src/report/"]),
    ("flate2", &["src/stick/"]),
    ("zstd", &["src/stick/"]),
    ("sysinfo", &["src/stick/mounted.rs"]),
    ("sha2", &["src/units/hash.rs"]),
    ("tempfile", &["src/ledger/write.rs"]),
    ("std::fs", &["src/stick/", "src/ledger/write.rs"]),
    ("chrono::Local", &["src/commands.rs"]),
];

#[test]
fn files_name_only_modules_above_their_own() {
    assert_eq!(upward_names(&order(), &sources()), "");
}

#[test]
fn an_upward_name_is_found() {
    let order = ["units", "stick", "volume"].map(str::to_owned);
    let bad = [("src/stick/open.rs".to_owned(), "use crate::volume::Survey;".to_owned())];
    assert_eq!(upward_names(&order, &bad), "src/stick/open.rs names volume, which stands below stick\n");
    let grouped = [("src/units/mod.rs".to_owned(), "use crate::{units::Head, stick::Stick};".to_owned())];
    assert_eq!(upward_names(&order, &grouped), "src/units/mod.rs names stick, which stands below units\n");
    let good = [("src/volume/mod.rs".to_owned(), "use crate::stick::Stick; // not crate::report".to_owned())];
    assert_eq!(upward_names(&order, &good), "");
}

#[test]
fn dependencies_come_in_by_their_doors() {
    assert_eq!(outside_doors(&sources()), "");
}

#[test]
fn a_dependency_outside_its_door_is_found() {
    let bad = [
        ("src/export/rows.rs".to_owned(), "fn f() { polars::prelude::df!(); }".to_owned()),
        ("src/draft/mod.rs".to_owned(), "use std::fs::File;".to_owned()),
    ];
    assert_eq!(outside_doors(&bad), "src/export/rows.rs names polars\nsrc/draft/mod.rs names std::fs\n");
    let good = [("src/ledger/csv.rs".to_owned(), "use csv::Writer;".to_owned())];
    assert_eq!(outside_doors(&good), "");
    let absolute = [("src/ledger/rows.rs".to_owned(), "let writer = ::csv::Writer::from_path(p);".to_owned())];
    assert_eq!(outside_doors(&absolute), "src/ledger/rows.rs names csv\n");
    let own = [("src/ledger/prepare.rs".to_owned(), "use super::csv::table;".to_owned())];
    assert_eq!(outside_doors(&own), "");
}

#[test]
fn the_map_knows_every_file() {
    let files: Vec<_> = all_files().into_iter().map(|path| (path.clone(), read(&path))).collect();
    assert_eq!(missing_from_map(&read("DEVELOPERS.md"), &files), "", "these lines belong into the map");
}

#[test]
fn a_file_missing_from_the_map_is_found() {
    let file = |path: &str, text: &str| (path.to_owned(), text.to_owned());
    let files = [file("src/units/mod.rs", "//! Units.\n"), file("src/units/weight.rs", "//! Weights.\n")];
    let map = "- `src/units/mod.rs`: Units.\n";
    assert_eq!(missing_from_map(map, &files), "- `src/units/weight.rs`: Weights.\n");
    let stale = "- `src/units/mod.rs`: Units.\n- `src/units/weight.rs`: Lengths.\n";
    assert_eq!(missing_from_map(stale, &files), "- `src/units/weight.rs`: Weights.\n");
}

#[test]
fn the_map_names_no_file_that_is_gone() {
    let files = all_files();
    let named = read("DEVELOPERS.md");
    let gone: Vec<_> = named
        .split('`')
        .filter(|word| (word.starts_with("src/") || word.starts_with("tests/")) && word.ends_with(".rs"))
        .filter(|word| !files.contains(&(*word).to_owned()))
        .collect();
    assert_eq!(gone, Vec::<&str>::new());
}

/// Names of modules below a file's own, one a line.
fn upward_names(order: &[String], sources: &[Source]) -> String {
    let mut faults = String::new();
    for (path, text) in sources {
        let Some(own) = module_of(path) else { continue };
        let Some(height) = order.iter().position(|module| *module == own) else { continue };
        for below in order.iter().skip(height + 1).filter(|below| names_module(text, below)) {
            writeln!(faults, "{path} names {below}, which stands below {own}").unwrap();
        }
    }
    faults
}

/// Whether code names a module of the crate: `crate::name`, also inside braces.
fn names_module(text: &str, module: &str) -> bool {
    let code = without_comments(text);
    let direct = code.contains(&format!("crate::{module}::")) || code.contains(&format!("crate::{module};"));
    let grouped = code.split("crate::{").skip(1).any(|group| {
        let group = group.split(';').next().unwrap_or_default();
        group.split(['{', ',']).any(|name| name.trim().starts_with(&format!("{module}::")))
    });
    direct || grouped
}

fn outside_doors(sources: &[Source]) -> String {
    let mut faults = String::new();
    for (path, text) in sources {
        let code = without_comments(text);
        for (dependency, doors) in DOORS {
            if names_dependency(&code, dependency) && !doors.iter().any(|door| path.starts_with(door)) {
                writeln!(faults, "{path} names {dependency}").unwrap();
            }
        }
    }
    faults
}

/// Whether code names a dependency by its path; a module of our own with the same name does not count.
fn names_dependency(code: &str, dependency: &str) -> bool {
    let (as_path, as_name) = (format!("{dependency}::"), format!("{dependency};"));
    let named = code.match_indices(&as_path).chain(code.match_indices(&as_name));
    named.map(|(at, _)| &code[..at]).any(|before| {
        let ends_in_word = |text: &str| text.ends_with(|letter: char| letter.is_alphanumeric() || letter == '_');
        let part_of_path = before.strip_suffix("::").is_some_and(ends_in_word);
        let own_module = ["mod", "pub use"].iter().any(|word| before.trim_end().ends_with(word));
        !ends_in_word(before) && !part_of_path && !own_module
    })
}

/// Files that the map does not name, or that it tells of in other words than the file's own first line.
fn missing_from_map(map: &str, sources: &[Source]) -> String {
    sources.iter().fold(String::new(), |mut faults, (path, text)| {
        let says = text.lines().find_map(|line| line.strip_prefix("//! ")).unwrap_or_default();
        let entry = format!("- `{path}`: {says}");
        if !map.lines().any(|line| line == entry) {
            writeln!(faults, "{entry}").unwrap();
        }
        faults
    })
}

fn without_comments(text: &str) -> String {
    text.lines().map(|line| line.split("//").next().unwrap_or_default()).collect::<Vec<_>>().join("\n")
}

/// The library module a file belongs to; none for the binary's files.
fn module_of(path: &str) -> Option<String> {
    let inside = path.strip_prefix("src/")?;
    let first = inside.split('/').next()?;
    Some(first.trim_end_matches(".rs").to_owned())
}

/// The modules of the library in the order in which data flows.
fn order() -> Vec<String> {
    let modules: Vec<_> = read("src/lib.rs")
        .lines()
        .filter_map(|line| Some(line.strip_prefix("pub mod ")?.trim_end_matches(';').to_owned()))
        .collect();
    assert!(modules.len() > 8, "lib.rs lists the modules, one a line");
    modules
}

fn sources() -> Vec<Source> {
    all_files().into_iter().filter(|path| path.starts_with("src/")).map(|path| (path.clone(), read(&path))).collect()
}

/// Every Rust file of the project.
fn all_files() -> Vec<String> {
    let mut files = Vec::new();
    for folder in ["src", "tests"] {
        collect(Path::new(env!("CARGO_MANIFEST_DIR")).join(folder).as_path(), folder, &mut files);
    }
    files.sort();
    files
}

fn collect(folder: &Path, named: &str, files: &mut Vec<String>) {
    for entry in fs::read_dir(folder).unwrap().map(Result::unwrap) {
        let name = format!("{named}/{}", entry.file_name().to_string_lossy());
        if entry.path().is_dir() {
            collect(&entry.path(), &name, files);
        } else if name.ends_with(".rs") {
            files.push(name);
        }
    }
}

fn read(path: &str) -> String {
    fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(path)).unwrap_or_default()
}
