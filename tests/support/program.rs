//! Runs the real program and looks at what it says.

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use serde_json::Value;

use super::schema::assert_valid;

/// What one run of the program said.
pub struct Said {
    pub out: String,
    pub err: String,
    pub exit: i32,
}

/// Runs the program from the top of the project.
pub fn counterfoil(arguments: &[&str]) -> Said {
    counterfoil_in(Path::new(env!("CARGO_MANIFEST_DIR")), arguments)
}

/// Runs the program in a folder, so that paths in what it says are the same on every machine.
fn counterfoil_in(folder: &Path, arguments: &[&str]) -> Said {
    let output: Output = Command::new(env!("CARGO_BIN_EXE_counterfoil"))
        .args(arguments)
        .current_dir(folder)
        .env_remove("RUST_BACKTRACE")
        .output()
        .unwrap();
    let said = Said {
        out: String::from_utf8(output.stdout).unwrap(),
        err: String::from_utf8(output.stderr).unwrap(),
        exit: output.status.code().expect("the program ends by itself"),
    };
    assert!(!said.err.contains("panicked"), "{}", said.err);
    said
}

/// Runs the program with `--json`, holds its document to the schema, and gives it with the exit status.
pub fn json(arguments: &[&str]) -> (Value, i32) {
    json_in(Path::new(env!("CARGO_MANIFEST_DIR")), arguments)
}

fn json_in(folder: &Path, arguments: &[&str]) -> (Value, i32) {
    let said = counterfoil_in(folder, &[arguments, &["--json"]].concat());
    let document: Value =
        serde_json::from_str(&said.out).unwrap_or_else(|error| panic!("{error}: {} {}", said.out, said.err));
    let schema = match document["format"].as_str() {
        Some("counterfoil-report/1") => "report.schema.json",
        Some("counterfoil-tickets/1") => "tickets.schema.json",
        Some("counterfoil-layout/1") => "layout-answer.schema.json",
        Some("counterfoil-explain/1") => "explain.schema.json",
        other => panic!("no schema for {other:?}"),
    };
    assert_valid(schema, &document);
    (document, said.exit)
}

/// A folder of its own for one test, gone when it is dropped.
pub struct Desk {
    folder: tempfile::TempDir,
}

impl Desk {
    pub fn new() -> Self {
        Self { folder: tempfile::tempdir().unwrap() }
    }

    /// Puts a file on the desk.
    pub fn put(&self, name: &str, content: impl AsRef<[u8]>) -> String {
        let path = self.path(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(&path, content).unwrap();
        path.to_str().unwrap().to_owned()
    }

    /// Runs the program on this desk: files are named as they were put there.
    pub fn counterfoil(&self, arguments: &[&str]) -> Said {
        counterfoil_in(self.folder.path(), arguments)
    }

    /// The same with `--json`.
    pub fn json(&self, arguments: &[&str]) -> (Value, i32) {
        json_in(self.folder.path(), arguments)
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    pub fn named(&self, name: &str) -> String {
        self.path(name).to_str().unwrap().to_owned()
    }

    pub fn read(&self, name: &str) -> String {
        std::fs::read_to_string(self.path(name)).unwrap_or_else(|error| panic!("{name}: {error}"))
    }

    /// The names of the files in a folder of the desk, sorted.
    pub fn names(&self, folder: &str) -> Vec<String> {
        let entries = std::fs::read_dir(self.path(folder)).unwrap();
        let mut names: Vec<_> = entries.map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
        names.sort();
        names
    }
}

/// The codes of a document's findings, in order.
pub fn codes(document: &Value) -> Vec<&str> {
    document["findings"].as_array().unwrap().iter().map(|finding| finding["code"].as_str().unwrap()).collect()
}

/// A file of the project.
pub fn project(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(path)
}
