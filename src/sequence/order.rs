//! The order of one indicator's files: by time, or where clocks cannot be trusted, as the numbers tell.

use std::collections::BTreeSet;

use chrono::NaiveDateTime;

use super::paper::Paper;
use super::run::Run;
use super::search::least_cost;
use crate::draft::Draft;
use crate::units::TransactionNo;

/// Puts the rows of one indicator's files in the order of the weighings.
///
/// Within a file the rows keep their order: an indicator writes as it weighs. Files are woven together by time; a clock
/// that went back is held at the latest time before it, for ordering only. Where one file goes on from the last number of
/// another, that order is tried too, and taken if it makes the cheaper story.
#[must_use]
pub fn in_order(mut files: Vec<Vec<Draft>>) -> Vec<Draft> {
    if files.len() == 1 {
        return files.pop().unwrap_or_default();
    }
    files.sort_by_cached_key(|rows| begins(rows));
    let links = links(&files);
    if links.iter().all(Option::is_none) {
        return woven(files.into_iter().map(placed).collect());
    }
    let by_number = woven(chained(files.clone(), &links).into_iter().map(placed).collect());
    let by_time = woven(files.into_iter().map(placed).collect());
    let same = by_time.iter().zip(&by_number).all(|(one, other)| one.id == other.id);
    if same || cost(&by_time) <= cost(&by_number) { by_time } else { by_number }
}

/// When a file begins, and what decides between files that begin at one time.
fn begins(rows: &[Draft]) -> Option<(Option<NaiveDateTime>, Option<TransactionNo>, String)> {
    rows.first().map(|first| (first.stated.at.map(|at| at.at), first.stated.transaction, first.id.clone()))
}

fn cost(rows: &[Draft]) -> u32 {
    least_cost(&Run::of(rows, &BTreeSet::new(), &Paper::default())).cost
}

/// For each file, the one that goes on from its last number: the next such one in time, each for one file only.
fn links(files: &[Vec<Draft>]) -> Vec<Option<usize>> {
    let ends = |rows: &Vec<Draft>| rows.iter().rev().find_map(|draft| draft.stated.transaction);
    let first = |rows: &Vec<Draft>| rows.iter().find_map(|draft| draft.stated.transaction);
    let mut taken = BTreeSet::new();
    let link = |(place, rows): (usize, &Vec<Draft>)| {
        let next = ends(rows)?.next();
        let goes_on = |other: &usize| *other != place && files.get(*other).and_then(first) == next;
        let after = place + 1..files.len();
        let found = after.chain(0..place).find(|other| goes_on(other) && !taken.contains(other));
        taken.extend(found);
        found
    };
    files.iter().enumerate().map(link).collect()
}

/// Files put behind each other along their links.
fn chained(files: Vec<Vec<Draft>>, links: &[Option<usize>]) -> Vec<Vec<Draft>> {
    let heads: BTreeSet<usize> = links.iter().flatten().copied().collect();
    let mut files: Vec<Option<Vec<Draft>>> = files.into_iter().map(Some).collect();
    let mut chains = Vec::new();
    // Where links run in a circle, none of its files is a first one: then the earliest is.
    let starts = (0..files.len()).filter(|file| !heads.contains(file)).chain(0..files.len());
    for start in starts.collect::<Vec<_>>() {
        let mut chain = Vec::new();
        let mut at = Some(start);
        while let Some(rows) = at.and_then(|file| files.get_mut(file)?.take()) {
            chain.extend(rows);
            at = at.and_then(|file| links.get(file).copied().flatten());
        }
        if !chain.is_empty() {
            chains.push(chain);
        }
    }
    chains
}

/// A draft and the time that orders it.
struct Placed {
    time: Option<NaiveDateTime>,
    draft: Draft,
}

fn placed(rows: Vec<Draft>) -> Vec<Placed> {
    let mut latest = None;
    let place = |draft: Draft| {
        latest = latest.max(draft.stated.at.map(|time| time.at));
        Placed { time: latest, draft }
    };
    rows.into_iter().map(place).collect()
}

fn woven(mut files: Vec<Vec<Placed>>) -> Vec<Draft> {
    // Rows of one time: the file that begins first, and of equal ones, what they hold decides.
    files.sort_by_cached_key(|rows| {
        rows.first().map(|first| (first.time, first.draft.stated.transaction, first.draft.id.clone()))
    });
    let mut all: Vec<_> = files.into_iter().flatten().collect();
    // Stable: rows of one time keep the order of their files and of their lines.
    all.sort_by_key(|placed| placed.time);
    all.into_iter().map(|placed| placed.draft).collect()
}
