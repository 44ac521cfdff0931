//! What the check of a large stick's structure reads and how long it takes, beside another program's check of the same.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::print_stdout, clippy::print_stderr)]
#![allow(clippy::indexing_slicing, dead_code)]

#[path = "../support/counted.rs"]
mod counted;
#[path = "../support/judges.rs"]
mod judges;
#[path = "../support/large_fat32.rs"]
mod large_fat32;

use std::path::Path;
use std::process::{Command, ExitCode, Stdio};
use std::time::{Duration, Instant};

use counted::{Counted, bytes};
use counterfoil::stick::FileBytes;
use counterfoil::volume::{FileState, survey};
use large_fat32::{Built, Shape, build};

/// The middle one of so many runs is shown.
const RUNS: usize = 5;

const MOST_READS: usize = 1_000;

const STICKS: [(&str, Shape); 2] = [
    ("7.5 GiB, clusters of 4 KiB", Shape { size_bytes: 15 << 29, cluster_bytes: 4 << 10, ..SEASON }),
    ("64 GB, clusters of 32 KiB", Shape { size_bytes: 64_000_000_000, cluster_bytes: 32 << 10, ..SEASON }),
];

const SEASON: Shape =
    Shape { size_bytes: 0, cluster_bytes: 0, folders: 100, files_in_each: 200, large_file_bytes: 200_000_000 };

fn main() -> ExitCode {
    let held = STICKS.iter().map(|(what, shape)| checked(what, *shape)).fold(true, |all, held| all & held);
    if held { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}

/// Builds one stick, checks it with everybody, and says whether every limit held.
fn checked(what: &str, shape: Shape) -> bool {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("stick.img");
    let built = build(&path, shape);
    println!("\n{what}: {} folders of {} files, one file of 200 MB", shape.folders, shape.files_in_each);
    println!("  both tables {} bytes, all folders {} bytes", built.table_bytes, built.folder_bytes);
    let judge = judges::present("fsck.fat");
    let (mut ours, mut theirs, mut program) = (Vec::new(), Vec::new(), Vec::new());
    let mut held = true;
    for run in 0..RUNS {
        let begun = Instant::now();
        let reads = surveyed(&path, shape);
        ours.push(begun.elapsed());
        if run == 0 {
            held &= show_reads(&reads, &built);
        }
        if judge {
            theirs.push(timed(|| assert_clean(&path)));
        }
        program.push(timed(|| examine(&path)));
    }
    held & show_times([ours, theirs, program].map(middle))
}

/// The survey, as `examine` and `saleday` begin with it; what it read.
fn surveyed(path: &Path, shape: Shape) -> Vec<std::ops::Range<u64>> {
    let medium = Counted::new(FileBytes::open(path).unwrap());
    let seen = survey(&medium, "stick");
    let whole = seen.volumes[0].files.iter().filter(|file| file.state == FileState::Live && file.whole).count();
    assert_eq!(whole, (shape.folders * shape.files_in_each + 1) as usize);
    assert_eq!(seen.findings, []);
    medium.reads()
}

fn show_reads(reads: &[std::ops::Range<u64>], built: &Built) -> bool {
    let (read, structure) = (bytes(reads), built.structure_bytes());
    let of_content = reads.iter().filter(|read| built.holds_content(read)).count();
    let tenths = read * 1_000 / structure;
    println!("  bytes read: {read}, {}.{} % of tables and folders", tenths / 10, tenths % 10);
    println!("  reads: {}, of them {of_content} touch the content of a file", reads.len());
    let little = limit("at most tables and folders and a tenth", read <= structure + structure / 10);
    little & limit(&format!("at most {MOST_READS} reads"), reads.len() <= MOST_READS)
}

fn show_times([ours, theirs, program]: [Option<Duration>; 3]) -> bool {
    for (what, time) in [("survey", ours), ("fsck.fat -n", theirs), ("counterfoil examine, the whole program", program)]
    {
        let time = time.map_or_else(|| "not measured".to_owned(), |time| format!("{} µs", time.as_micros()));
        println!("  {what}: {time}");
    }
    theirs.is_none() || limit("the survey takes no longer than fsck.fat -n", ours <= theirs)
}

fn limit(what: &str, holds: bool) -> bool {
    println!("  {} {what}", if holds { "held:  " } else { "BROKEN:" });
    holds
}

/// The program ends with 0 where it has nothing to complain of; a complaint it does not count has a line of its own.
fn assert_clean(path: &Path) {
    let said = judges::run("fsck.fat", &["-n", path.to_str().unwrap()]);
    assert_eq!(said.iter().filter(|byte| **byte == b'\n').count(), 2, "{}", String::from_utf8_lossy(&said));
}

fn examine(path: &Path) {
    let mut program = Command::new(env!("CARGO_BIN_EXE_counterfoil"));
    let status = program.arg("examine").arg(path).stdout(Stdio::null()).stderr(Stdio::null()).status().unwrap();
    assert!(status.code().is_some_and(|code| code < 2), "{status}");
}

fn timed(done: impl FnOnce()) -> Duration {
    let begun = Instant::now();
    done();
    begun.elapsed()
}

fn middle(mut times: Vec<Duration>) -> Option<Duration> {
    times.sort();
    times.get(times.len() / 2).copied()
}
