//! How well a reader did, over many damaged volumes.

use std::fmt;
use std::time::{Duration, Instant};

use super::base::Base;
use super::damage::Damage;
use super::readers::{Delivered, File};
use super::truth::{Likeness, Standing, Truth};

/// Intact files, and how many of them were delivered intact.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Share {
    pub of: usize,
    pub delivered: usize,
}

impl Share {
    const fn add(&mut self, delivered: bool) {
        self.of += 1;
        self.delivered += delivered as usize;
    }

    /// In hundredths of a percent, rounded down; all of none is all.
    pub const fn hundredths(self) -> usize {
        match (self.delivered * 10_000).checked_div(self.of) {
            Some(share) => share,
            None => 10_000,
        }
    }
}

impl fmt::Display for Share {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "{}.{:02} %", self.hundredths() / 100, self.hundredths() % 100)
    }
}

/// What went wrong once: what was done to the volume, and what came of it.
#[derive(Debug, Clone)]
pub struct Case {
    pub what: String,
    /// The damage with its seed.
    pub damage: String,
}

/// How a reader did.
#[derive(Debug, Clone, Default)]
pub struct Score {
    pub volumes: usize,
    /// Files intact by the letter.
    pub intact: Share,
    /// Those of them that no early end of a directory hides.
    pub open: Share,
    /// Files intact where each link may come from either table.
    pub by_link: Share,
    /// Files handed over as whole with other bytes than theirs, or that never were, on a volume without a finding.
    pub wrong: usize,
    /// The same where nothing on the volume tells: the size changed within the clusters it takes, or the name into another
    /// that is allowed.
    pub untold: usize,
    /// Readings that ended in a panic or had to be stopped.
    pub stopped: usize,
    /// The most that was asked for, in hundredths of the medium.
    pub most_read: u64,
    /// The longest reading.
    pub longest: Duration,
    pub took: Duration,
    pub cases: Vec<Case>,
}

impl Score {
    /// Reads one damaged volume and adds what came of it.
    pub fn add(&mut self, base: &Base, seed: u64, damage: &Damage, read: impl FnOnce() -> Delivered) {
        let truth = Truth { base, damage };
        let standings: Vec<_> = base.files().map(|file| (file, truth.standing(file))).collect();
        let begun = Instant::now();
        let delivered = read();
        let took = begun.elapsed();
        self.volumes += 1;
        self.took += took;
        self.longest = self.longest.max(took);
        self.most_read = self.most_read.max(delivered.asked_for * 100 / (damage.length as u64).max(1 << 20));
        let mut judged = Judged { truth, delivered: &delivered, whats: Vec::new() };
        if let Some(cause) = &delivered.stopped {
            self.stopped += 1;
            judged.whats.push(format!("stopped: {cause}"));
        }
        for (file, standing) in standings {
            self.add_file(&mut judged, file, standing);
        }
        for file in delivered.files.iter().filter(|file| file.whole) {
            self.add_delivered(&mut judged, file);
        }
        let told = || format!("{}, seed {seed}: {}", base.name, damage.described(base));
        self.cases.extend(judged.whats.into_iter().map(|what| Case { what, damage: told() }));
    }

    fn add_file(&mut self, judged: &mut Judged<'_>, file: usize, standing: Standing) {
        let right = judged.has(file);
        if standing.by_link {
            self.by_link.add(right);
        }
        if !standing.intact {
            return;
        }
        self.intact.add(right);
        if !standing.hidden {
            self.open.add(right);
        }
        if !right {
            let hidden = if standing.hidden { " behind an early end" } else { "" };
            let path = judged.truth.base.path(file);
            judged.whats.push(format!("intact{hidden}, {}: {path}", judged.instead(file)));
        }
    }

    fn add_delivered(&mut self, judged: &mut Judged<'_>, file: &File) {
        match judged.verdict(file) {
            Verdict::Right => {}
            Verdict::Untold => self.untold += usize::from(judged.delivered.findings == 0),
            Verdict::Wrong(what) if judged.delivered.findings == 0 => {
                self.wrong += 1;
                judged.whats.push(format!("without a finding, {what}: {}", file.path));
            }
            Verdict::Wrong(_) => {}
        }
    }

    /// What went wrong, the same causes together, with so many examples of each.
    pub fn grouped(&self, examples: usize) -> String {
        use std::fmt::Write;
        let mut groups = std::collections::BTreeMap::<String, Vec<&Case>>::new();
        for case in &self.cases {
            let outcome = case.what.rsplit_once(": ").map_or(case.what.as_str(), |(outcome, _)| outcome);
            let kind = case.damage.split(": ").nth(1).unwrap_or_default().split(';').next().unwrap_or_default();
            groups.entry(format!("{kind} -> {outcome}")).or_default().push(case);
        }
        let mut groups: Vec<_> = groups.into_iter().collect();
        groups.sort_by_key(|(_, cases)| std::cmp::Reverse(cases.len()));
        groups.into_iter().fold(String::new(), |mut out, (group, mut cases)| {
            writeln!(out, "{:>5} files: {group}", cases.len()).unwrap();
            cases.dedup_by(|one, other| one.damage == other.damage);
            for case in cases.iter().take(examples) {
                writeln!(out, "        {} | {}", case.what, case.damage).unwrap();
            }
            out
        })
    }
}

struct Judged<'a> {
    truth: Truth<'a>,
    delivered: &'a Delivered,
    whats: Vec<String>,
}

enum Verdict {
    Right,
    /// Wrong, and nothing on the volume tells.
    Untold,
    Wrong(&'static str),
}

impl Judged<'_> {
    /// Whether the file was handed over, whole, under its name, with exactly its bytes.
    fn has(&self, file: usize) -> bool {
        let content = &self.truth.base.nodes[file].content;
        self.delivered.files.iter().any(|delivered| {
            delivered.whole
                && delivered.bytes == *content
                && matches!(self.truth.likeness(file, &delivered.path), Some(Likeness::Same | Likeness::Respelled))
        })
    }

    /// What was handed over instead of an intact file.
    fn instead(&self, file: usize) -> &'static str {
        let same = |delivered: &&File| self.truth.likeness(file, &delivered.path) == Some(Likeness::Same);
        match self.delivered.files.iter().find(same) {
            None => "not delivered",
            Some(delivered) if !delivered.whole => "delivered as not whole",
            Some(_) => "delivered with other bytes",
        }
    }

    fn verdict(&self, delivered: &File) -> Verdict {
        let mut verdict = Verdict::Wrong("a path that never was");
        for file in self.truth.base.files() {
            let Some(likeness) = self.truth.likeness(file, &delivered.path) else { continue };
            let right = self.is_content(file, &delivered.bytes);
            match (likeness, right) {
                (Likeness::Same | Likeness::Respelled, true) => return Verdict::Right,
                (Likeness::Same, false) if self.is_untold(file, &delivered.bytes) => return Verdict::Untold,
                (Likeness::Same, false) => verdict = Verdict::Wrong("other bytes"),
                (Likeness::Renamed, true) => verdict = Verdict::Untold,
                (Likeness::Respelled | Likeness::Renamed, false) => {}
            }
        }
        verdict
    }

    /// Whether these are the file's bytes: as they were, or as they stand in its clusters now. A changed byte of content
    /// is told by nothing.
    fn is_content(&self, file: usize, bytes: &[u8]) -> bool {
        let content = &self.truth.base.nodes[file].content;
        content == bytes
            || content.len() == bytes.len() && self.truth.present_bytes(file).is_some_and(|now| now == bytes)
    }

    fn is_untold(&self, file: usize, bytes: &[u8]) -> bool {
        let Some(size) = self.truth.size_nothing_contradicts(file) else { return false };
        let kept = size.min(self.truth.base.nodes[file].content.len());
        let now = self.truth.present_bytes(file).unwrap_or_default();
        bytes.len() == size && now.get(..kept) == bytes.get(..kept)
    }
}
