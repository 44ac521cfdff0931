//! How fast the numbers are explained, beside reading the same export, from ten thousand rows to a million.
//!
//! `cargo bench --bench sequence_speed`; behind `--`, the largest number of rows. Every hundredth row something happens.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::print_stdout, clippy::print_stderr)]
#![allow(clippy::indexing_slicing, clippy::float_arithmetic, dead_code)]

#[path = "../support/mod.rs"]
mod support;

use std::fmt::Write as _;
use std::time::Instant;

use chrono::{NaiveDate, TimeDelta};
use counterfoil::draft;
use counterfoil::sequence::{self, Known};
use support::texts::export;

/// Rows between two incidents.
const APART: u64 = 100;

fn main() {
    let most = std::env::args().skip(1).find_map(|argument| argument.parse().ok()).unwrap_or(1_000_000);
    println!("    rows  events   read rows/s  explain rows/s  rows in memory  most while explaining");
    for rows in [10_000, 30_000, 100_000, 300_000, 1_000_000].into_iter().filter(|rows| *rows <= most) {
        told(rows);
    }
}

fn told(rows: u64) {
    let text = written(rows);
    let begun = Instant::now();
    let export = export("speed.csv", &text);
    let read = begun.elapsed();
    drop(text);
    let before = resident("VmRSS");
    let drafts = draft::collect(std::slice::from_ref(&export), false).drafts;
    let held = resident("VmRSS").saturating_sub(before);
    forget_peak();
    let begun = Instant::now();
    let sequence = sequence::explain(drafts, &Known::default());
    let took = begun.elapsed();
    let peak = resident("VmHWM").saturating_sub(before);
    let per_second = |time: std::time::Duration| rows as f64 / time.as_secs_f64();
    println!(
        "{rows:8} {:7} {:13.0} {:15.0} {:12} MB {:18} MB",
        sequence.events.len(),
        per_second(read),
        per_second(took),
        held / 1_024,
        peak / 1_024
    );
}

/// An export in which every hundredth row something happens, each kind in its turn.
fn written(rows: u64) -> String {
    let mut text = "Transaction,Date,Time,Lot,Ticket,Head,Gross,Unit\n".to_owned();
    let mut at = NaiveDate::from_ymd_opt(2024, 1, 2).unwrap().and_hms_opt(8, 0, 0).unwrap();
    let (mut number, mut held) = (1, None);
    for row in 0..rows {
        at += TimeDelta::seconds(60 + i64::try_from(row * 7 % 60).unwrap());
        let lot = row / 10;
        let mut gross = 7_000 + 5 * (row % 97);
        let mut shown = None;
        match (row % APART, row / APART % 6) {
            (50, 0) => {
                at += TimeDelta::seconds(400);
                number += 3;
            }
            (50, 1) => number = 1,
            (50, 2) => number = (number / 100 + 9) * 100,
            (50, 3) => {
                shown = Some(number - 1);
                gross += 1;
            }
            (50, 4) => {
                held = Some(number);
                number += 1;
            }
            (53, 4) => shown = held.take(),
            (50, 5) => at -= TimeDelta::seconds(7_200),
            _ => {}
        }
        let time = at.format("%Y-%m-%d,%H:%M:%S");
        writeln!(text, "{},{time},{lot},{},10,{gross},lb", shown.unwrap_or(number), lot + 5_000).unwrap();
        number += u64::from(shown.is_none());
    }
    text
}

/// What the system says of this program's memory, in KiB; 0 where it does not.
fn resident(what: &str) -> u64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find_map(|line| line.strip_prefix(what)?.strip_prefix(':'));
    line.and_then(|line| line.split_whitespace().next()?.parse().ok()).unwrap_or(0)
}

/// Lets the system count the most memory from here on (Linux, proc(5), clear_refs; from memory).
fn forget_peak() {
    let _ = std::fs::write("/proc/self/clear_refs", "5");
}
