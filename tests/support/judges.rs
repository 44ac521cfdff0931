//! Judges from outside: programs that were not written here and know nothing of this one.

use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

/// Where a program is; system tools may stand outside a user's search path.
fn found(name: &str) -> Option<PathBuf> {
    let system = ["/usr/sbin", "/sbin"].map(PathBuf::from);
    let searched = std::env::var_os("PATH").map(|paths| std::env::split_paths(&paths).collect::<Vec<_>>());
    searched.into_iter().flatten().chain(system).map(|folder| folder.join(name)).find(|path| path.is_file())
}

/// Whether a judge is here. Where it is not, the test says so and passes; on a build server (`CI=true`) a missing judge is
/// a failure, so that it cannot go missing unseen.
pub fn present(name: &str) -> bool {
    let present = found(name).is_some();
    if !present {
        assert_ne!(std::env::var("CI").as_deref(), Ok("true"), "the outside judge {name} is missing on a build server");
        eprintln!("not judged: {name}");
    }
    present
}

/// Whether all of these are here; each that is not is told.
pub fn all_present(names: &[&str]) -> bool {
    let missing = names.iter().filter(|name| !present(name));
    missing.count() == 0
}

/// Runs a program to its end; it must succeed.
pub fn run(name: &str, arguments: &[&str]) -> Vec<u8> {
    let done = ask(name, arguments, &[]).unwrap_or_else(|| panic!("{name} is not here"));
    assert!(done.status.success(), "{name} {arguments:?}: {}", String::from_utf8_lossy(&done.stderr));
    done.stdout
}

/// Runs a judge over some input; `None`, with a word on the test's output, where it is not installed.
pub fn ask(name: &str, arguments: &[&str], input: &[u8]) -> Option<Output> {
    if !present(name) {
        return None;
    }
    let program: &Path = &found(name)?;
    let mut child = Command::new(program)
        .args(arguments)
        .env("MTOOLS_SKIP_CHECK", "1")
        .env("TZ", "UTC")
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap_or_else(|error| panic!("{name}: {error}"));
    let mut stdin = child.stdin.take().unwrap();
    let input = input.to_vec();
    // A judge may stop reading early; that is its right.
    let feeder = std::thread::spawn(move || drop(stdin.write_all(&input)));
    let output = child.wait_with_output().unwrap();
    feeder.join().unwrap();
    Some(output)
}
