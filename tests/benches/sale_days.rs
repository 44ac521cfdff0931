//! How well the run of the numbers is explained on simulated sale days, beside a clerk who takes every difference for a gap.
//!
//! `cargo bench --bench sale_days`; with a number behind `--`, so many days instead of all; with the word `working`, the seeds that
//! the explanation may be developed with; with `working` and `show`, each of these days that was not answered rightly.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::print_stdout, clippy::print_stderr)]
#![allow(clippy::indexing_slicing, clippy::float_arithmetic, dead_code)]

#[path = "../support/mod.rs"]
mod support;

use std::collections::BTreeMap;
use std::time::Instant;

use support::asked::Asked;
use support::sale_days::answer::{of_clerk, of_document};
use support::sale_days::made::{SaleDay, Truth, sale_day};
use support::sale_days::score::{Score, alarms, judged};
use support::sale_days::{DAYS, SCORING_SEEDS, WORKING_SEEDS, program, shown};

fn main() {
    let asked = Asked::by(std::env::args().skip(1), DAYS);
    let (mut all, mut newest_first, mut clerk) = (Score::default(), Score::default(), Score::default());
    let mut told = Told::default();
    let mut took = std::time::Duration::ZERO;
    for seed in asked.seeds(WORKING_SEEDS, SCORING_SEEDS) {
        let day = sale_day(seed);
        let truth = day.truth();
        told.add(&day, &truth);
        let begun = Instant::now();
        let document = program::document(&day);
        took += begun.elapsed();
        let answer = of_document(&document);
        let result = judged(&truth, &answer);
        for score in [Some(&mut all), day.layout.newest_first.then_some(&mut newest_first)].into_iter().flatten() {
            score.add(&day, &result, answer.is_empty());
            score.add_document(&day, &document);
        }
        let loud = if day.is_clean() { alarms(&document) } else { Vec::new() };
        if asked.show && !(result.is_perfect() && loud.is_empty()) {
            println!("{}   on a clean day: {loud:?}", shown::day(&day, &truth, &answer, &result));
        }
        let answer = of_clerk(&day);
        clerk.add(&day, &judged(&truth, &answer), answer.is_empty());
    }
    println!("\n{} sale days, {} seeds; {} ms for all answers", asked.count, asked.sort(), took.as_millis());
    print!("{told}");
    print!("counterfoil\n{all}{}", all.of_document());
    print!("counterfoil, of these the exports with the newest rows first\n{newest_first}");
    print!("every difference is a gap\n{clerk}");
}

/// What the days hold, and how much of it can be told from their rows.
#[derive(Default)]
struct Told {
    incidents: BTreeMap<&'static str, u64>,
    certain: BTreeMap<&'static str, u64>,
    open: BTreeMap<&'static str, u64>,
    unfound: u64,
}

impl Told {
    fn add(&mut self, day: &SaleDay, truth: &Truth) {
        for incident in &day.incidents {
            *self.incidents.entry(incident.name()).or_default() += 1;
        }
        truth.certain.iter().for_each(|event| *self.certain.entry(event.kind).or_default() += 1);
        truth.open.iter().for_each(|event| *self.open.entry(event.kind).or_default() += 1);
        self.unfound += u64::from(!truth.found);
    }
}

impl std::fmt::Display for Told {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let sum = |counts: &BTreeMap<&str, u64>| counts.values().sum::<u64>();
        let (certain, open) = (sum(&self.certain), sum(&self.open));
        writeln!(f, "incidents {:?}", self.incidents)?;
        writeln!(f, "events certain {:?}", self.certain)?;
        writeln!(f, "events open {:?}", self.open)?;
        let share = 100.0 * certain as f64 / (certain + open).max(1) as f64;
        writeln!(f, "identifiable: {certain} of {} events ({share:.1} %)", certain + open)?;
        writeln!(f, "days whose own history the search did not find: {}", self.unfound)
    }
}
