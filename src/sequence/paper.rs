//! What the paper tickets say about a break in the numbers: whether animals are missing from the rows around it.

use std::collections::{BTreeMap, HashMap, HashSet};

use super::known::PaperTicket;
use crate::draft::Draft;
use crate::units::{TransactionNo, ticket_key, ticket_serial};

/// Tickets between two rows are looked through up to this many.
const MOST_BETWEEN: usize = 200;

/// The typed tickets, in the order of their numbers, beside what the rows hold of each.
#[derive(Debug, Default)]
pub struct Paper {
    sheets: Vec<Sheet>,
    by_key: HashMap<String, usize>,
    /// Where no row names its ticket: by the first number stated.
    by_first: BTreeMap<TransactionNo, Vec<usize>>,
}

/// One ticket of the paper.
#[derive(Debug, Default)]
struct Sheet {
    series: String,
    stated_head: Option<u64>,
    held_head: u64,
    last: Option<TransactionNo>,
    /// How often the numbers skip ahead at its rows.
    skips: usize,
    /// Whether the stick begins or ends in it.
    at_an_end: bool,
}

impl Paper {
    /// Lays the tickets beside the rows of all indicators.
    #[must_use]
    pub fn of(tickets: &[PaperTicket], strands: &[Vec<Draft>]) -> Self {
        let mut paper = Self::default();
        let mut order: Vec<_> = tickets.iter().map(|ticket| (ticket_serial(&ticket.number), ticket)).collect();
        order.sort_by(|one, other| one.0.cmp(&other.0));
        for (serial, ticket) in order {
            paper.add(serial.map(|(series, _)| series).unwrap_or_default(), ticket);
        }
        if !tickets.is_empty() {
            strands.iter().for_each(|strand| paper.hold_against(strand));
        }
        paper
    }

    fn add(&mut self, series: String, ticket: &PaperTicket) {
        let place = self.sheets.len();
        let twice = self.by_key.insert(ticket_key(&ticket.number), place).is_some();
        if let Some(first) = ticket.first_transaction {
            self.by_first.entry(first).or_default().push(place);
        }
        // The same number twice: nothing tells which of the two a row belongs to.
        let stated_head = ticket.head.filter(|_| !twice).map(|head| u64::from(head.0));
        self.sheets.push(Sheet { series, stated_head, last: ticket.last_transaction, ..Sheet::default() });
    }

    fn hold_against(&mut self, strand: &[Draft]) {
        let mut met = HashSet::new();
        let mut before: Option<(&Draft, Option<usize>)> = None;
        let ends = [strand.first(), strand.last()].map(|draft| draft.and_then(|draft| self.sheet_of(draft)));
        for draft in strand {
            let stated = &draft.stated;
            let sheet = self.sheet_of(draft);
            let head = stated.head.map_or(0, |head| u64::from(head.0));
            // A copy adds nothing.
            if met.insert((stated.transaction, stated.at, head)) {
                self.change(sheet, |sheet| sheet.held_head += head);
            }
            if let Some((_, of)) = before.filter(|(other, _)| skips_ahead(other, draft)) {
                self.change(sheet, |sheet| sheet.skips += 1);
                self.change(of.filter(|_| of != sheet), |sheet| sheet.skips += 1);
            }
            before = Some((draft, sheet));
        }
        ends.into_iter().for_each(|end| self.change(end, |sheet| sheet.at_an_end = true));
    }

    fn change(&mut self, sheet: Option<usize>, change: impl FnOnce(&mut Sheet)) {
        if let Some(sheet) = sheet.and_then(|place| self.sheets.get_mut(place)) {
            change(sheet);
        }
    }

    /// The ticket a row belongs to: by its own word, else by the numbers tickets state, where only one fits.
    fn sheet_of(&self, draft: &Draft) -> Option<usize> {
        if let Some(ticket) = &draft.stated.ticket {
            return self.by_key.get(&ticket_key(ticket)).copied();
        }
        let number = draft.stated.transaction?;
        let near = self.by_first.range(..=number).rev().take(2).flat_map(|(_, places)| places);
        let fits =
            |place: &&usize| self.sheets.get(**place).and_then(|sheet| sheet.last).is_some_and(|last| number <= last);
        let mut fitting = near.filter(fits);
        fitting.next().filter(|_| fitting.next().is_none()).copied()
    }

    /// Whether drafts are missing between two rows, by the head of the tickets from the one to the other; `None` where
    /// they do not tell.
    #[must_use]
    pub fn says_lost(&self, before: &Draft, row: &Draft) -> Option<bool> {
        let (from, to) = (self.sheet_of(before)?, self.sheet_of(row)?);
        let between = self.sheets.get(from..=to)?;
        let of_one_series =
            between.iter().all(|sheet| Some(&sheet.series) == between.first().map(|first| &first.series));
        if !of_one_series || between.len() > MOST_BETWEEN || between.iter().any(|sheet| sheet.skips > 1) {
            return None;
        }
        let short = between.iter().map(|sheet| sheet.stated_head.map(|head| head > sheet.held_head));
        let short: Vec<bool> = short.collect::<Option<_>>()?;
        let lost = short.iter().any(|short| *short);
        (!lost || between.iter().all(|sheet| !sheet.at_an_end)).then_some(lost)
    }
}

fn skips_ahead(before: &Draft, row: &Draft) -> bool {
    let numbers = before.stated.transaction.zip(row.stated.transaction);
    numbers.is_some_and(|(before, number)| number > before && before.next() != Some(number))
}
