//! Programs from outside the project that judge its reading of a stick.

use std::path::Path;
use std::process::Command;

/// Whether a program is here. Where it is not, the test says so and passes, except on the build server.
pub fn present(name: &str) -> bool {
    let found = std::env::var_os("PATH")
        .is_some_and(|paths| std::env::split_paths(&paths).any(|folder| folder.join(name).is_file()));
    let found = found || Path::new("/usr/sbin").join(name).is_file();
    if !found {
        assert!(std::env::var("CI").as_deref() != Ok("true"), "{name} is missing");
        eprintln!("not judged: {name}");
    }
    found
}

/// Runs a program to its end; it must succeed.
pub fn run(name: &str, arguments: &[&str]) -> Vec<u8> {
    let at = Path::new("/usr/sbin").join(name);
    let program = if at.is_file() { at.as_path() } else { Path::new(name) };
    let done = Command::new(program)
        .args(arguments)
        .env("MTOOLS_SKIP_CHECK", "1")
        .env("TZ", "UTC")
        .output()
        .unwrap_or_else(|error| panic!("{name}: {error}"));
    assert!(done.status.success(), "{name} {arguments:?}: {}", String::from_utf8_lossy(&done.stderr));
    done.stdout
}
