//! How well answers fit what is true of the tickets: outcomes, explanations, drafts on their ticket, and sums.
#![allow(clippy::float_arithmetic)] // Shares.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt;

use super::answer::{Answer, Explained, Told};
use super::division::only_best;
use super::identify::{Verdict, is_same, singles, verdicts};
use super::model::{Case, Fate, Fault, Mode, TicketDay};
use super::stories::View;
use super::{SMALL, division};

/// Right, of so many.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Share {
    pub right: u64,
    pub all: u64,
}

impl Share {
    fn add(&mut self, right: bool) {
        self.all += 1;
        self.right += u64::from(right);
    }

    /// The share; of nothing, all of it.
    pub fn value(self) -> f64 {
        if self.all == 0 { 1.0 } else { self.right as f64 / self.all as f64 }
    }
}

impl fmt::Display for Share {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.all {
            0 => write!(f, "     - (none)"),
            all => write!(f, "{:6.1} % ({} of {all})", 100.0 * self.value(), self.right),
        }
    }
}

/// What one ticket's answer came to.
#[derive(Clone, Debug, PartialEq)]
pub struct Judged {
    pub ticket: u32,
    pub class: String,
    pub verdict: Verdict,
    /// Whether the fault shows in the pay weight alone.
    pub pay: bool,
    /// `None` where nothing tells which outcome is right.
    pub outcome: Option<bool>,
    pub first: bool,
    pub listed: bool,
    /// Whether it was said to be explained, and that was wrong.
    pub explained: bool,
    pub wrong: bool,
}

impl Judged {
    /// Whether a person should look at it.
    pub fn is_amiss(&self) -> bool {
        self.outcome == Some(false) || self.wrong || (self.verdict == Verdict::Identifiable && !self.first && !self.pay)
    }
}

/// Holds an answer against the truth, ticket by ticket.
pub fn judged(day: &TicketDay, answer: &Answer) -> Vec<Judged> {
    let view = View::of(day);
    let way = if day.mode == Mode::Sums { only_certain(day) } else { BTreeSet::new() };
    let cases = day.cases.iter().zip(verdicts(day));
    let silent = Told { outcome: String::new(), explanations: Vec::new(), drafts: Vec::new() };
    cases
        .map(|(case, verdict)| {
            let told = answer.tickets.get(&case.ticket).unwrap_or(&silent);
            let certain = day.mode != Mode::Sums || way.contains(&case.ticket);
            let pay_disagrees = answer.pay_disagrees.contains(&case.ticket);
            judge(&Asked { day, view: &view, case, verdict, certain, pay_disagrees }, told)
        })
        .collect()
}

/// The tickets whose drafts are certain though nothing but the sums tells: they have the only best place on a small day, and the only
/// place at all on a large one.
fn only_certain(day: &TicketDay) -> BTreeSet<u32> {
    if day.counted().count() <= SMALL {
        let way = only_best(day).unwrap_or_default();
        return way.into_iter().filter(|(_, run)| !run.is_empty()).map(|(ticket, _)| ticket).collect();
    }
    let drafts = division::drafts(day);
    let valid = day.cases.iter().filter(|case| case.fate != Fate::Void);
    let runs: Vec<(u32, Vec<division::Run>)> =
        valid.map(|case| (case.ticket, division::runs(&drafts, day.line(case.ticket).typed))).collect();
    let alone = |(ticket, own): &&(u32, Vec<division::Run>)| {
        let others = runs.iter().filter(|(other, _)| other != ticket).flat_map(|(_, runs)| runs);
        own.len() == 1 && others.into_iter().all(|other| other.1 <= own[0].0 || own[0].1 <= other.0)
    };
    runs.iter().filter(alone).map(|(ticket, _)| *ticket).collect()
}

struct Asked<'d> {
    day: &'d TicketDay,
    view: &'d View,
    case: &'d Case,
    verdict: Verdict,
    certain: bool,
    pay_disagrees: bool,
}

fn judge(asked: &Asked<'_>, told: &Told) -> Judged {
    let case = asked.case;
    let names = |explained: &Explained| case.faults.iter().any(|fault| asked.names(fault, explained));
    let listed = case.faults.iter().all(|fault| told.explanations.iter().any(|said| asked.names(fault, said)));
    let listed = listed && !case.faults.is_empty();
    let first = listed && told.explanations.first().is_some_and(names);
    let explained = told.outcome == "explained";
    let unsaid = |said: &Explained| case.faults.iter().any(|fault| asked.names_in_part(fault, said));
    let fitting = match case.faults.is_empty() {
        true => asked.may_be_explained(told),
        // Which numbers it was need not be said for an explanation not to be wrong.
        false if case.faults.len() == 1 => first || told.explanations.first().is_some_and(unsaid),
        // Nobody can tell two faults from one that accounts for everything.
        false => first || told.explanations.first().is_some_and(|said| asked.is_simpler(said)),
    };
    Judged {
        ticket: case.ticket,
        class: class(case),
        verdict: asked.verdict,
        pay: case.faults.iter().any(|fault| fault.pay),
        outcome: asked.outcome(told, fitting),
        first,
        listed,
        explained,
        wrong: explained && !fitting,
    }
}

/// What happened to a ticket, in a word.
pub fn class(case: &Case) -> String {
    match (&case.faults[..], case.fate) {
        ([], Fate::Weighed) => "none".to_owned(),
        (_, Fate::LostInHole) => "whole ticket lost".to_owned(),
        (_, Fate::BeyondStick) => "whole ticket beyond the stick".to_owned(),
        (_, Fate::Void) => "void ticket".to_owned(),
        (_, Fate::Replacing) => "ticket that replaces a void one".to_owned(),
        ([fault], _) if fault.pay => format!("{}, pay weight", fault.kind),
        ([fault], _) => fault.kind.to_owned(),
        _ => "two faults".to_owned(),
    }
}

impl Asked<'_> {
    /// Whether an explanation names the planted fault.
    fn names(&self, fault: &Fault, said: &Explained) -> bool {
        let kind = said.kind.as_str();
        let named = kind == fault.kind || fault.also.contains(&kind) || self.as_good(fault, kind);
        let about = match fault.kind {
            "reweigh-counted" => said.transactions.is_superset(&fault.transactions),
            _ => fault.transactions.is_empty() || said.transactions == fault.transactions,
        };
        let exact = matches!(fault.kind, "missing-draft" | "missing-drafts" | "recovered-draft");
        named && about && (!exact || said.figures == Some(fault.figures))
    }

    /// The same of an explanation that leaves open which drafts it is about.
    fn names_in_part(&self, fault: &Fault, said: &Explained) -> bool {
        let transactions = if said.transactions.is_empty() { &fault.transactions } else { &said.transactions };
        self.names(fault, &Explained { transactions: transactions.clone(), ..said.clone() })
    }

    /// Whether an explanation is a single story that accounts for the whole difference.
    fn is_simpler(&self, said: &Explained) -> bool {
        let alike = |story: &Fault| {
            let named = story.kind == said.kind || story.also.contains(&said.kind.as_str());
            named && (story.transactions == said.transactions || said.transactions.is_empty())
        };
        self.singles().iter().any(alike)
    }

    fn singles(&self) -> Vec<Fault> {
        let seen = self.view.tickets.iter().find(|seen| seen.ticket == self.case.ticket);
        seen.map(|seen| singles(self.view, seen)).unwrap_or_default()
    }

    /// Whether another name fits as well.
    fn as_good(&self, fault: &Fault, kind: &str) -> bool {
        let stories = self.singles();
        let mut same = stories.iter().filter(|story| is_same(story, fault));
        same.any(|story| story.kind == kind || story.also.contains(&kind))
    }

    /// Whether a ticket without a fault of its own may be said to be explained.
    fn may_be_explained(&self, told: &Told) -> bool {
        let kind = told.explanations.first().map_or("", |said| said.kind.as_str());
        match self.case.fate {
            Fate::BeyondStick => matches!(kind, "missing-draft" | "missing-drafts"),
            Fate::Replacing => kind == "draft-on-other-ticket",
            _ => false,
        }
    }

    /// Whether the outcome is right; `fitting` says that an explanation, if there is one, is.
    fn outcome(&self, told: &Told, fitting: bool) -> Option<bool> {
        let said = told.outcome.as_str();
        let explained = said == "explained" && fitting;
        let faulty = !self.case.faults.is_empty();
        let sums = self.day.mode == Mode::Sums;
        match (self.case.fate, self.verdict) {
            // It is open what a void ticket is whose number drafts carry.
            (Fate::Void, _) => {
                (!self.day.cases.iter().any(|case| case.fate == Fate::Replacing)).then_some(said == "tied")
            }
            (Fate::Replacing, _) => Some(said == "tied" || explained),
            (Fate::BeyondStick, _) if self.day.look.first_and_last => Some(explained),
            (Fate::BeyondStick, _) => Some(explained || said == "no-drafts" || (sums && said == "open")),
            // Head and weight tie: that the pay weight does not follow may be said beside it.
            _ if self.case.faults.iter().any(|fault| fault.pay) => {
                Some(explained || (said == "tied" && self.pay_disagrees))
            }
            (_, Verdict::Identifiable) => Some(explained),
            (Fate::LostInHole, _) => Some(explained || matches!(said, "no-drafts" | "open")),
            // Two faults may undo each other, and a run of other drafts may fit by chance: then nothing tells.
            _ if faulty && self.ties() => None,
            _ if faulty => Some(explained || said == "open" || (sums && said == "no-drafts")),
            _ if self.certain => Some(said == "tied"),
            _ => None,
        }
    }

    fn ties(&self) -> bool {
        let seen = self.view.tickets.iter().find(|seen| seen.ticket == self.case.ticket);
        let by_chance = self.day.mode == Mode::Sums && self.certain;
        seen.is_some_and(|seen| seen.difference().is_zero()) || by_chance
    }
}

/// What happened to the tickets of a class.
#[derive(Clone, Copy, Debug, Default)]
pub struct OfClass {
    pub cases: u64,
    pub outcome: Share,
    pub identifiable: u64,
    pub first: Share,
    pub listed: Share,
    pub wrong: u64,
}

/// Many days together.
#[derive(Clone, Debug, Default)]
pub struct Score {
    pub days: u64,
    pub clean_days: u64,
    pub outcome: Share,
    /// Of identifiable cases that show in head or weight.
    pub first: Share,
    pub listed: Share,
    /// Of identifiable cases that show in the pay weight alone, those whose kind is named first.
    pub pay: Share,
    /// Wrong ones among those said to be explained.
    pub wrong_explained: Share,
    pub clean_tied: Share,
    /// Drafts on their ticket, where the sums alone tell it and tell it surely.
    pub placed: Share,
    pub conserved: Share,
    pub balance: Share,
    pub by_class: BTreeMap<String, OfClass>,
    pub by_mode: BTreeMap<Mode, Share>,
    pub verdicts: BTreeMap<Verdict, u64>,
}

impl Score {
    /// Adds a day's answer.
    pub fn add(&mut self, day: &TicketDay, judged: &[Judged], answer: &Answer) {
        self.days += 1;
        self.clean_days += u64::from(day.clean);
        for judged in judged {
            self.add_case(day.mode, judged);
        }
        for (ticket, run) in certain_runs(day) {
            let told = answer.tickets.get(&ticket).map(|told| &told.drafts[..]).unwrap_or_default();
            let alone = told.iter().all(|number| run.contains(number));
            run.iter().for_each(|number| self.placed.add(alone && told.contains(number)));
        }
        self.conserved.add(answer.conserved);
        self.balance.add(answer.balance.is_some_and(|said| is_right(day, said)));
    }

    fn add_case(&mut self, mode: Mode, judged: &Judged) {
        let class = self.by_class.entry(judged.class.clone()).or_default();
        class.cases += 1;
        *self.verdicts.entry(judged.verdict).or_default() += 1;
        if let Some(right) = judged.outcome {
            self.outcome.add(right);
            class.outcome.add(right);
            self.by_mode.entry(mode).or_default().add(right);
            if judged.class == "none" {
                self.clean_tied.add(right);
            }
        }
        if judged.verdict == Verdict::Identifiable {
            class.identifiable += 1;
            class.first.add(judged.first);
            class.listed.add(judged.listed);
            match judged.pay {
                true => self.pay.add(judged.first),
                false => {
                    self.first.add(judged.first);
                    self.listed.add(judged.listed);
                }
            }
        }
        class.wrong += u64::from(judged.wrong);
        if judged.explained {
            self.wrong_explained.add(judged.wrong);
        }
    }
}

/// The tickets that have the only best run, and it is their own, on small days on which nothing but the sums tells.
fn certain_runs(day: &TicketDay) -> Vec<(u32, Vec<u64>)> {
    if day.mode != Mode::Sums || day.counted().count() > SMALL {
        return Vec::new();
    }
    let own = |ticket: u32| day.cases.iter().find(|case| case.ticket == ticket).map(|case| day.belonging(case));
    let way = only_best(day).unwrap_or_default();
    way.into_iter().filter(|(ticket, run)| !run.is_empty() && own(*ticket).as_ref() == Some(run)).collect()
}

/// Whether the sums are the day's. What is on tickets is compared where rows or list tell whose the drafts are; the difference is that
/// of what is stated and all drafts, or of what is stated and the drafts on tickets, with either sign.
fn is_right(day: &TicketDay, said: super::model::Balance) -> bool {
    let truth = day.balance();
    let apart = [said.stated - said.drafts, said.stated - said.on_tickets];
    (said.drafts, said.stated) == (truth.drafts, truth.stated)
        && apart.iter().any(|apart| said.difference == *apart || said.difference == -*apart)
}
