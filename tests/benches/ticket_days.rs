//! How well drafts are reconciled with paper tickets on generated days, beside a clerk who adds up the ticket column.
//!
//! `cargo bench --bench ticket_days`; with a number behind `--`, so many days instead of all; with the word `working`, the seeds that
//! reconciling may be developed with; with `working` and `show`, each of these days that was not answered rightly.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::print_stdout, clippy::print_stderr)]
#![allow(clippy::indexing_slicing, clippy::float_arithmetic, dead_code)]

#[path = "../support/mod.rs"]
mod support;

use std::time::{Duration, Instant};

use support::asked::Asked;
use support::ticket_days::answer::{of_clerk, of_document};
use support::ticket_days::made::ticket_day;
use support::ticket_days::score::{Judged, Score, judged};
use support::ticket_days::{DAYS, SCORING_SEEDS, WORKING_SEEDS, program, shown};

fn main() {
    let asked = Asked::by(std::env::args().skip(1), DAYS);
    let (mut all, mut clerk) = (Score::default(), Score::default());
    let mut took = Duration::ZERO;
    for seed in asked.seeds(WORKING_SEEDS, SCORING_SEEDS) {
        let day = ticket_day(seed);
        let begun = Instant::now();
        let document = program::document(&day);
        took += begun.elapsed();
        let answer = of_document(&document);
        let result = judged(&day, &answer);
        all.add(&day, &result, &answer);
        if asked.show && (result.iter().any(Judged::is_amiss) || !answer.conserved) {
            println!("{}", shown::day(&day, &result, &answer));
        }
        let answer = of_clerk(&day);
        clerk.add(&day, &judged(&day, &answer), &answer);
    }
    println!(
        "\n{} days of tickets, {} seeds, {} clean; {} ms for all answers",
        asked.count,
        asked.sort(),
        all.clean_days,
        took.as_millis()
    );
    print!("{}counterfoil\n{all}{}", all.identifiable(), all.by_class());
    print!("the ticket column added up\n{clerk}");
}
