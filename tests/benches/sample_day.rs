//! How long the main job takes on the sample stick, beside programs that only unpack it and copy its files out.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::print_stdout, clippy::indexing_slicing)]

use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

/// The middle one of so many runs is shown.
const RUNS: usize = 15;

const STICK: &str = "sample-data/saleday.img.gz";

fn main() {
    let folder = tempfile::tempdir().unwrap();
    let image = folder.path().join("stick.img");
    let image = image.to_str().unwrap();
    let unpack = format!("gzip -dc {STICK} > {image}");
    let copy = format!("mkdir -p {0}/files && mcopy -i {image}@@1M -snQ '::*' {0}/files", folder.path().display());
    let job = [env!("CARGO_BIN_EXE_counterfoil"), "saleday", STICK, "--tickets", "sample-data/tickets.csv", "--json"];
    println!("{:<58} {:>10}", "sample stick, 34 MiB unpacked", "median");
    show("counterfoil saleday --json: unpack, read, explain, prove", &job);
    show("gzip -dc alone", &["sh", "-c", &unpack]);
    if Path::new("/usr/bin/mcopy").exists() {
        show("mcopy of the live files out of the unpacked image", &["sh", "-c", &copy]);
    } else {
        println!("not judged: mcopy");
    }
}

fn show(what: &str, command: &[&str]) {
    let mut times: Vec<Duration> = (0..RUNS).map(|_| timed(command)).collect();
    times.sort();
    let micros = times[RUNS / 2].as_micros();
    println!("{what:<58} {:>5}.{} ms", micros / 1000, micros % 1000 / 100);
}

fn timed(command: &[&str]) -> Duration {
    let begun = Instant::now();
    let status = Command::new(command[0])
        .args(&command[1..])
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .status()
        .unwrap();
    assert!(status.code().is_some_and(|code| code < 2), "{command:?}: {status}");
    begun.elapsed()
}
