//! The figures over many exports, as tables.

use std::collections::BTreeMap;
use std::fmt;

use super::Case;
use super::layout::HELD_OUT;
use super::score::{DateVerdict, Judged};

/// So many of so many.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Share {
    pub right: usize,
    pub of: usize,
}

impl Share {
    pub const fn add(&mut self, right: bool) {
        self.many(right as usize, 1);
    }

    const fn many(&mut self, right: usize, of: usize) {
        self.right += right;
        self.of += of;
    }

    /// In hundredths of a percent, rounded down; all of none is all.
    pub const fn hundredths(self) -> usize {
        match (self.right * 10_000).checked_div(self.of) {
            Some(share) => share,
            None => 10_000,
        }
    }
}

impl fmt::Display for Share {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let share = format!("{}.{:02} %", self.hundredths() / 100, self.hundredths() % 100);
        write!(out, "{share:>9}  {} of {}", self.right, self.of)
    }
}

/// How a reader did over many exports.
#[derive(Clone, Debug, Default)]
pub struct Score {
    /// Files of which every row is right, clean and polluted.
    pub clean: Share,
    pub polluted: Share,
    pub titled: Share,
    pub untitled: Share,
    pub dates: BTreeMap<DateVerdict, usize>,
    pub encoding: Share,
    pub delimiter: Share,
    pub decimal_mark: Share,
    pub clock: Share,
    pub lines: Share,
    pub totals: Share,
    pub torn: Share,
    /// Files listed as one export.
    pub listed: Share,
    /// Exact files among those in layouts that are held out.
    pub held_out: Share,
    /// Readings that ended in a panic.
    pub stopped: usize,
    /// Exact files by what befell them, alone and among others, and by layout.
    pub by_pollution: BTreeMap<&'static str, Share>,
    pub by_layout: BTreeMap<&'static str, Share>,
}

impl Score {
    pub fn add(&mut self, case: &Case, judged: &Judged) {
        let all = if case.clean() { &mut self.clean } else { &mut self.polluted };
        all.add(judged.exact);
        self.titled.many(judged.titled.0, judged.titled.1);
        self.untitled.many(judged.untitled.0, judged.untitled.1);
        *self.dates.entry(judged.dates).or_default() += 1;
        self.listed.add(judged.listed);
        self.encoding.add(judged.encoding);
        self.delimiter.add(judged.delimiter);
        self.lines.add(judged.lines);
        self.totals.add(judged.totals);
        judged.decimal_mark.into_iter().for_each(|right| self.decimal_mark.add(right));
        judged.clock.into_iter().for_each(|right| self.clock.add(right));
        judged.torn.into_iter().for_each(|right| self.torn.add(right));
        for pollution in &case.pollutions {
            self.by_pollution.entry(pollution.name()).or_default().add(judged.exact);
        }
        if HELD_OUT.iter().any(|layout| layout.name == case.layout.name) {
            self.held_out.add(judged.exact);
        }
        self.by_layout.entry(case.layout.name).or_default().add(judged.exact);
    }

    /// The shares by name, in the order of the table.
    pub fn shares(&self) -> [(&'static str, Share); 12] {
        [
            ("rows exact, clean files", self.clean),
            ("rows exact, polluted files", self.polluted),
            ("meanings, titled columns", self.titled),
            ("meanings, untitled columns", self.untitled),
            ("encoding", self.encoding),
            ("delimiter", self.delimiter),
            ("decimal mark", self.decimal_mark),
            ("clock", self.clock),
            ("lines accounted for", self.lines),
            ("rows of sums counted", self.totals),
            ("torn rows set aside", self.torn),
            ("listed as one export", self.listed),
        ]
    }

    /// Exact files by pollution or layout.
    pub fn grouped(groups: &BTreeMap<&'static str, Share>) -> String {
        groups.iter().map(|(name, share)| format!("  {name:32} {share}\n")).collect()
    }
}

impl fmt::Display for Score {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (name, share) in self.shares() {
            writeln!(out, "{name:28} {share}")?;
        }
        if self.held_out.of > 0 {
            writeln!(out, "{:28} {}", "rows exact, held-out layouts", self.held_out)?;
        }
        let dates: Vec<_> = self.dates.iter().map(|(verdict, count)| format!("{verdict:?} {count}")).collect();
        writeln!(out, "{:28} {}", "date order", dates.join(", "))?;
        writeln!(out, "{:28} {}", "panics", self.stopped)
    }
}
