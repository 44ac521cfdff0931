//! Total rows that name no ticket: a lot's, a session's, the day's.

use std::collections::HashMap;

use super::findings::stated_total;
use crate::draft::{Draft, Standing, StatedTotal};
use crate::finding::Finding;
use crate::units::{Decimal, Head, Weight};

/// Totals that come out neither for the drafts directly above, nor for their lot, nor since the last such total, nor for the
/// export so far. `names_ticket` tells those that belong to a ticket and are compared there.
#[must_use]
pub fn loose_totals(
    totals: &[StatedTotal],
    drafts: &[Draft],
    names_ticket: impl Fn(&StatedTotal) -> bool,
) -> Vec<Finding> {
    let by_id: HashMap<&str, &Draft> = drafts.iter().map(|draft| (draft.id.as_str(), draft)).collect();
    let mut exports: HashMap<&str, Running> = HashMap::new();
    let mut findings = Vec::new();
    for total in totals {
        let running = exports.entry(&total.origin.export).or_default();
        running.directly_above = Sum::default();
        for draft in total.above.iter().filter_map(|id| by_id.get(id.as_str())) {
            running.add(draft);
        }
        if names_ticket(total) {
            continue;
        }
        if !running.comes_to(total) {
            let (head, gross) = running.directly_above.figures(total);
            findings.push(stated_total(total, head, gross));
        }
        running.since_last = Sum::default();
    }
    findings
}

/// Head and weight of some drafts.
#[derive(Debug, Clone, Copy, Default)]
struct Sum {
    head: Head,
    gross: Decimal,
}

impl Sum {
    fn add(&mut self, draft: &Draft) {
        self.head = self.head.plus(draft.stated.head.unwrap_or_default());
        self.gross += draft.stated.gross.map(Weight::amount).unwrap_or_default();
    }

    fn is(&self, total: &StatedTotal) -> bool {
        total.head.is_none_or(|head| head == self.head) && total.gross.is_none_or(|gross| gross.amount() == self.gross)
    }

    fn figures(&self, total: &StatedTotal) -> (Head, Weight) {
        (self.head, Weight::new(self.gross, total.gross.and_then(Weight::unit)))
    }
}

/// The sums of one export, as far as it was gone through.
#[derive(Debug, Clone, Default)]
struct Running {
    directly_above: Sum,
    since_last: Sum,
    export: Sum,
    lots: HashMap<String, Sum>,
    last_lot: Option<String>,
}

impl Running {
    fn add(&mut self, draft: &Draft) {
        // A row out of deleted data stands in that data's own totals, counted or not.
        if !matches!(draft.standing, Standing::Counted | Standing::Recovered) {
            return;
        }
        for sum in [&mut self.directly_above, &mut self.since_last, &mut self.export] {
            sum.add(draft);
        }
        if let Some(lot) = &draft.stated.lot {
            self.lots.entry(lot.clone()).or_default().add(draft);
            self.last_lot = Some(lot.clone());
        }
    }

    fn comes_to(&self, total: &StatedTotal) -> bool {
        let lot = total.lot.as_ref().or(self.last_lot.as_ref()).and_then(|lot| self.lots.get(lot));
        [Some(&self.directly_above), Some(&self.since_last), Some(&self.export), lot]
            .into_iter()
            .flatten()
            .any(|sum| sum.is(total))
    }
}
