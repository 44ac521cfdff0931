//! Judges from outside: programs that were not written here and know nothing of this one.

use std::io::Write;
use std::process::{Command, Output, Stdio};

/// Runs an outside judge; `None`, with a word on the test's output, where it is not installed. On a build server
/// (`CI=true`) a missing judge is a failure, so that it cannot go missing unseen.
pub fn judge(program: &str, arguments: &[&str], input: &[u8]) -> Option<Output> {
    let started = Command::new(program)
        .args(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn();
    let Ok(mut child) = started else {
        not_judged(program);
        return None;
    };
    let mut stdin = child.stdin.take().unwrap();
    let input = input.to_vec();
    let feeder = std::thread::spawn(move || drop(stdin.write_all(&input)));
    let output = child.wait_with_output().unwrap();
    feeder.join().unwrap();
    Some(output)
}

/// Says that a judge is missing.
pub fn not_judged(name: &str) {
    assert_ne!(std::env::var("CI").as_deref(), Ok("true"), "the outside judge {name} is missing on a build server");
    println!("not judged: {name}");
}
