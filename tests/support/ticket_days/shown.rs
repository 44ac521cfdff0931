//! The figures of many days as tables, and a day with its answers as text, for whoever develops with the working seeds.
#![allow(clippy::float_arithmetic)] // Shares.

use std::fmt::{self, Write};

use super::answer::Answer;
use super::figures::typed;
use super::identify::Verdict;
use super::model::TicketDay;
use super::score::{Judged, Score};

impl fmt::Display for Score {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let lines = [
            ("outcome right", self.outcome),
            ("true explanation first, where identifiable", self.first),
            ("true explanation listed, where identifiable", self.listed),
            ("true explanation first, of pay weights alone", self.pay),
            ("wrong among those said to be explained", self.wrong_explained),
            ("tickets without a fault tied", self.clean_tied),
            ("drafts on their ticket by the sums alone", self.placed),
            ("days that conserve head and weight", self.conserved),
            ("days with the right balance", self.balance),
        ];
        for (name, share) in lines {
            writeln!(f, "  {name:45}{share}")?;
        }
        for (mode, share) in &self.by_mode {
            writeln!(f, "  outcome right, {:30}{share}", format!("{mode:?}"))?;
        }
        Ok(())
    }
}

impl Score {
    /// The same by what happened to the ticket.
    pub fn by_class(&self) -> String {
        let mut text = format!(
            "  {:34}{:>6}{:>14}{:>13}{:>8}{:>8}{:>10}\n",
            "what happened", "cases", "outcome right", "identifiable", "first", "listed", "wrong"
        );
        for (class, of) in &self.by_class {
            let outcome = format!("{}/{}", of.outcome.right, of.outcome.all);
            let row = [of.identifiable, of.first.right, of.listed.right, of.wrong];
            let [identifiable, first, listed, wrong] = row;
            writeln!(
                text,
                "  {class:34}{:>6}{outcome:>14}{identifiable:>13}{first:>8}{listed:>8}{wrong:>10}",
                of.cases
            )
            .unwrap();
        }
        text
    }

    /// How much of what was planted can be told.
    pub fn identifiable(&self) -> String {
        let of = |verdict| self.verdicts.get(&verdict).copied().unwrap_or(0);
        let (sure, open, lost) = (of(Verdict::Identifiable), of(Verdict::Open), of(Verdict::NotFound));
        let searched = (sure + open + lost).max(1);
        format!(
            "  identifiable: {sure} of {searched} cases searched ({:.1} %); {lost} not found by the search; {} not searched\n",
            100.0 * sure as f64 / searched as f64,
            of(Verdict::NotSearched)
        )
    }
}

/// A day with what was said of the tickets that were not answered rightly.
pub fn day(day: &TicketDay, judged: &[Judged], answer: &Answer) -> String {
    let mut text = format!("day {} {:?}, list:\n{}", day.seed, day.mode, day.list());
    for row in &day.rows {
        let draft = row.draft;
        let (head, gross) = (draft.figures.head, typed(draft.figures.gross));
        writeln!(text, "  no. {:6}  ticket {}  {head:3} head  {gross:>8}  {:?}", draft.number, row.printed, row.mark)
            .unwrap();
    }
    if !answer.conserved {
        writeln!(text, "  NOT CONSERVED: on no ticket {:?}, {:?}", answer.loose, answer.balance).unwrap();
    }
    for judged in judged.iter().filter(|judged| judged.is_amiss()) {
        let case = day.cases.iter().find(|case| case.ticket == judged.ticket).unwrap();
        writeln!(text, "  AMISS {} {} {:?}: {:?}", judged.ticket, judged.class, judged.verdict, case.faults).unwrap();
        if let Some(told) = answer.tickets.get(&judged.ticket) {
            writeln!(text, "        said {} {:?} {:?}", told.outcome, told.drafts, told.explanations).unwrap();
        }
    }
    text
}
