//! One ticket against its drafts: what they come to, and whether it ties.

use super::model::{Found, Outcome, TicketResult};
use super::pay;
use crate::draft::{Draft, Standing};
use crate::finding::words::numbers;
use crate::ticket::{StatedTicket, TicketStatus};
use crate::units::{Decimal, Head, Percent, TransactionNo, Unit, Weight};

/// The drafts that carry a ticket, by what they count as.
#[derive(Debug, Clone, Default)]
pub struct OnTicket<'a> {
    /// Those that count.
    pub counted: Vec<&'a Draft>,
    /// Copies of drafts that count.
    pub reprints: Vec<&'a Draft>,
    /// Rows out of deleted or lost data, not accepted yet.
    pub recovered: Vec<&'a Draft>,
    /// Rows marked void.
    pub void: Vec<&'a Draft>,
}

impl<'a> OnTicket<'a> {
    /// Adds a draft where it belongs; drafts that count for nothing are passed over.
    pub fn add(&mut self, draft: &'a Draft) {
        match draft.standing {
            Standing::Counted => self.counted.push(draft),
            Standing::Reprint => self.reprints.push(draft),
            Standing::Recovered => self.recovered.push(draft),
            Standing::Void => self.void.push(draft),
            Standing::Test | Standing::Inferred | Standing::Reweighed => {}
        }
    }
}

/// What the paper states beyond what was found: both may be negative.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Difference {
    /// Head stated less head found; `None` where the ticket states none.
    pub head: Option<i64>,
    /// Gross stated less gross found; `None` where the ticket states none.
    pub gross: Option<Decimal>,
}

impl Difference {
    /// The difference of a ticket.
    #[must_use]
    pub fn of(stated: &StatedTicket, found: &Found) -> Self {
        let found_gross = found.gross.map(Weight::amount).unwrap_or_default();
        Self {
            head: stated.head.map(|head| i64::from(head.0) - i64::from(found.head.0)),
            gross: stated.gross.map(|gross| gross.amount() - found_gross),
        }
    }

    /// Whether nothing differs.
    #[must_use]
    pub fn is_none(self) -> bool {
        self.head.unwrap_or(0) == 0 && self.gross.unwrap_or_default().is_zero()
    }
}

/// Lays a ticket beside its drafts; `day_unit` is the one unit of all drafts, for a ticket that has none and states none.
///
/// Why a ticket does not tie is looked for later, when all of them are laid out.
#[must_use]
pub fn judge(
    stated: StatedTicket,
    on: &OnTicket<'_>,
    option_shrink: Option<Percent>,
    day_unit: Option<Unit>,
) -> TicketResult {
    let found = found(on, &stated, option_shrink, day_unit);
    let difference = Difference::of(&stated, &found);
    let units_differ = !on.counted.is_empty() && (found.gross.is_none() || unit_differs(&stated, &found));
    let outcome = match stated.status {
        TicketStatus::Void if on.counted.is_empty() => Outcome::Tied,
        TicketStatus::Void => Outcome::Open,
        _ if on.counted.is_empty() => Outcome::NoDrafts,
        _ if is_blank(&stated) || units_differ || !difference.is_none() => Outcome::Open,
        _ => Outcome::Tied,
    };
    let value = pay::value(&stated, found.head, found.pay_weight).filter(|_| stated.status == TicketStatus::Valid);
    let drafts = on.counted.iter().map(|draft| draft.id.clone()).collect();
    TicketResult { stated, found, drafts, outcome, explanations: Vec::new(), value }
}

/// A ticket that states neither head nor gross proves nothing: its list was not filled in.
#[must_use]
pub fn is_blank(stated: &StatedTicket) -> bool {
    stated.head.is_none() && stated.gross.is_none()
}

/// Whether paper and drafts state different units.
#[must_use]
pub fn unit_differs(stated: &StatedTicket, found: &Found) -> bool {
    let units = stated.gross.and_then(Weight::unit).zip(found.gross.and_then(Weight::unit));
    units.is_some_and(|(stated, found)| stated != found)
}

fn found(on: &OnTicket<'_>, ticket: &StatedTicket, option_shrink: Option<Percent>, day_unit: Option<Unit>) -> Found {
    let head = on.counted.iter().fold(Head(0), |sum, draft| sum.plus(draft.stated.head.unwrap_or_default()));
    let gross = if on.counted.is_empty() {
        Some(Weight::zero(ticket.gross.and_then(Weight::unit).or(day_unit)))
    } else {
        pay::sum(on.counted.iter().filter_map(|draft| draft.stated.gross))
    };
    Found {
        drafts: on.counted.len() as u64,
        head,
        gross,
        average: gross.and_then(|gross| gross.per_head(head)),
        // Nothing is paid for on a void ticket.
        pay_weight: (ticket.status != TicketStatus::Void)
            .then(|| pay::of_drafts(&on.counted, ticket.shrink_percent, option_shrink))
            .and_then(|due| due.or_else(|| ticket.pay_weight.and_then(|_| pay::net(&on.counted)))),
    }
}

/// "number 12", "numbers 12 to 14", "numbers 3, 9".
#[must_use]
pub fn listed(which: &[TransactionNo]) -> String {
    match which {
        [] => "no number".to_owned(),
        [only] => numbers(only, only),
        [first, .., last] if which.windows(2).all(|pair| matches!(pair, [a, b] if a.next() == Some(*b))) => {
            numbers(first, last)
        }
        several => {
            let all: Vec<_> = several.iter().map(ToString::to_string).collect();
            format!("numbers {}", all.join(", "))
        }
    }
}
