//! How invented exports are read: this project beside a general tool that finds tables by itself, on the same files.
//!
//! `cargo bench --bench generated_exports`; behind `--`, the number of files; with the word `working`, the seeds a reader may
//! be developed with; with `working` and `show`, each file of them that is not read exactly, as text and where it differs.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::print_stdout, clippy::print_stderr)]
#![allow(clippy::indexing_slicing, dead_code)]

#[path = "../support/mod.rs"]
mod support;

use std::collections::BTreeMap;

use serde_json::Value;
use support::asked::Asked;
use support::exports::score::{Judged, judge};
use support::exports::tables::{Score, Share};
use support::exports::{Case, SCORING_SEEDS, WORKING_SEEDS, duck, reader};

/// How many files are read unless another number is asked for.
const FILES: u64 = 1_000;

fn main() {
    // Only working seeds are looked at, file by file or by layout.
    let asked = Asked::by(std::env::args().skip(1), FILES);
    // A reader that fails does so loudly; what is counted is enough.
    std::panic::set_hook(Box::new(|_| {}));
    let cases: Vec<_> = asked.seeds(WORKING_SEEDS, SCORING_SEEDS).map(Case::of).collect();
    println!("{} files of {} seeds", asked.count, asked.sort());
    let mut score = Score::default();
    cases.iter().for_each(|case| read(case, &asked, &mut score));
    println!("\ncounterfoil\n{score}");
    println!("rows exact, by what befell the file\n{}", Score::grouped(&score.by_pollution));
    if asked.working {
        println!("rows exact, by layout\n{}", Score::grouped(&score.by_layout));
    }
    beside(&cases, &asked);
}

/// Lets this project's reader read a file, and scores it.
fn read(case: &Case, asked: &Asked, score: &mut Score) {
    let judged = match reader::counterfoil(&case.bytes) {
        Ok(document) => judge(&document, case),
        Err(words) => {
            score.stopped += 1;
            let words = if asked.working { words } else { String::new() };
            Judged { difference: Some(format!("stopped: {words}")), ..judge(&Value::Null, case) }
        }
    };
    if asked.show && !(judged.exact && judged.faults().is_empty()) {
        show(case, &judged);
    }
    score.add(case, &judged);
}

/// The outside judge on the same files.
fn beside(cases: &[Case], asked: &Asked) {
    let Some(exact) = duck::duckdb(cases) else { return };
    let (mut clean, mut polluted) = (Share::default(), Share::default());
    let mut by_layout: BTreeMap<&'static str, Share> = BTreeMap::new();
    for (case, exact) in cases.iter().zip(exact) {
        if case.clean() { &mut clean } else { &mut polluted }.add(exact);
        by_layout.entry(case.layout.name).or_default().add(exact);
    }
    println!("duckdb, told the meanings\n{:28} {clean}", "rows exact, clean files");
    println!("{:28} {polluted}", "rows exact, polluted files");
    if asked.working {
        println!("rows exact, by layout\n{}", Score::grouped(&by_layout));
    }
}

/// A file that was not read exactly, and where.
fn show(case: &Case, judged: &Judged) {
    let difference = judged.difference.as_deref().unwrap_or_default();
    println!("---- seed {}: {} / {}", case.seed, case.layout.name, case.befallen());
    println!("rows: {difference}; wrong: {}; dates: {:?} of {:?}", judged.faults(), judged.dates, case.truth.dates);
    let text = case.truth.text.replace("\r\n", "\n").replace('\r', "\n");
    for line in text.lines().take(14) {
        println!("    {}", line.chars().take(150).collect::<String>().escape_debug());
    }
    // The whole file, to be read by hand.
    let folder = std::env::temp_dir().join("shown-exports");
    std::fs::create_dir_all(&folder).unwrap();
    std::fs::write(folder.join(format!("{}.csv", case.seed)), &case.bytes).unwrap();
}
