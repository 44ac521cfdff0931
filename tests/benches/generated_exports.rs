//! How invented exports are read: this project beside a general tool that finds tables by itself, on the same files.
//!
//! `cargo bench --bench generated_exports`; behind `--`, the number of files; with the word `working`, the seeds a reader may
//! be developed with; with `working` and `show`, each file of them that is not read exactly, as text.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::print_stdout, clippy::print_stderr)]
#![allow(clippy::indexing_slicing, dead_code)]

#[path = "../support/mod.rs"]
mod support;

use support::exports::score::{Judged, judge};
use support::exports::tables::{Score, Share};
use support::exports::{Case, SCORING_SEEDS, WORKING_SEEDS, duck, reader};

/// How many files are read unless another number is asked for.
const FILES: u64 = 1_000;

fn main() {
    let asked = |word: &str| std::env::args().any(|argument| argument == word);
    let count = std::env::args().skip(1).find_map(|argument| argument.parse().ok()).unwrap_or(FILES);
    let working = asked("working");
    // A reader that fails does so loudly; what is counted is enough.
    std::panic::set_hook(Box::new(|_| {}));
    let first = if working { WORKING_SEEDS } else { SCORING_SEEDS };
    let cases: Vec<_> = (first..first + count).map(Case::of).collect();
    println!("{count} files of {} seeds", if working { "working" } else { "scoring" });
    let mut score = Score::default();
    for case in &cases {
        match reader::counterfoil(&case.bytes) {
            Err(words) => {
                score.stopped += 1;
                // Only working seeds are looked at.
                if working {
                    println!("seed {}, {}: {words}", case.seed, case.befallen());
                }
            }
            Ok(document) => {
                let judged = judge(&document, case);
                if working && asked("show") && !judged.exact {
                    show(case, &judged);
                }
                score.add(case, &judged);
            }
        }
    }
    println!("\ncounterfoil\n{score}");
    println!("rows exact, by what befell the file\n{}", Score::grouped(&score.by_pollution));
    if working {
        println!("rows exact, by layout\n{}", Score::grouped(&score.by_layout));
    }
    beside(&cases);
}

/// The outside judge on the same files.
fn beside(cases: &[Case]) {
    let Some(exact) = duck::duckdb(cases) else { return };
    let (mut clean, mut polluted) = (Share::default(), Share::default());
    for (case, exact) in cases.iter().zip(exact) {
        if case.clean() { clean.add(exact) } else { polluted.add(exact) }
    }
    println!(
        "duckdb, told the meanings\n{:28} {clean}\n{:28} {polluted}",
        "rows exact, clean files", "rows exact, polluted files"
    );
}

/// A file that was not read exactly, and where.
fn show(case: &Case, judged: &Judged) {
    let difference = judged.difference.as_deref().unwrap_or_default();
    println!("---- seed {}: {} / {}\n{difference}", case.seed, case.layout.name, case.befallen());
    for line in case.truth.text.split_inclusive(['\n', '\r']).take(14) {
        println!("    {}", line.trim_end().chars().take(150).collect::<String>().escape_debug());
    }
}
