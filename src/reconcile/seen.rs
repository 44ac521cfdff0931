//! What can be seen of a day and of each ticket, when it is looked for why one does not tie.

use std::collections::HashMap;

use super::judge::OnTicket;
use super::model::{HeadAndGross, Outcome, TicketResult};
use super::pay;
use crate::draft::{Draft, Standing};
use crate::ticket::{StatedTicket, TicketStatus};
use crate::units::{Decimal, Unit, Weight};

/// A ticket beside its drafts.
#[derive(Debug, Clone, Copy)]
pub struct Seen<'a> {
    /// What the paper says.
    pub stated: &'a StatedTicket,
    /// Its drafts, by what they count as.
    pub on: &'a OnTicket<'a>,
    /// What the counted ones come to.
    pub found: HeadAndGross,
    /// What was typed; where a figure was not, what was found.
    pub typed: HeadAndGross,
    /// The unit of its weights.
    pub unit: Option<Unit>,
    /// Whether it does not tie, and could.
    pub is_open: bool,
}

impl<'a> Seen<'a> {
    fn of(result: &'a TicketResult, on: &'a OnTicket<'a>) -> Self {
        let found = HeadAndGross {
            head: i64::from(result.found.head.0),
            gross: result.found.gross.map(Weight::amount).unwrap_or_default(),
        };
        let stated = &result.stated;
        let typed = HeadAndGross {
            head: stated.head.map_or(found.head, |head| i64::from(head.0)),
            gross: stated.gross.map_or(found.gross, Weight::amount),
        };
        let unit = |weight: Option<Weight>| weight.and_then(Weight::unit);
        let units = unit(stated.gross).zip(unit(result.found.gross));
        let comparable = result.found.gross.is_some() && units.is_none_or(|(stated, found)| stated == found);
        let may_be_open = matches!(result.outcome, Outcome::Open | Outcome::NoDrafts)
            && stated.status != TicketStatus::Void
            && (stated.head.is_some() || stated.gross.is_some());
        let is_open = comparable && may_be_open && found != typed;
        Self { stated, on, found, typed, unit: unit(stated.gross).or(unit(result.found.gross)), is_open }
    }

    /// What the paper states beyond what was found.
    #[must_use]
    pub fn difference(&self) -> HeadAndGross {
        self.typed - self.found
    }

    /// Whether head and weight are both stated.
    #[must_use]
    pub const fn is_whole(&self) -> bool {
        self.stated.head.is_some() && self.stated.gross.is_some()
    }

    /// Whether these figures are those wanted, in everything the ticket states.
    #[must_use]
    pub fn is_same(&self, one: HeadAndGross, wanted: HeadAndGross) -> bool {
        (self.stated.head.is_none() || one.head == wanted.head)
            && (self.stated.gross.is_none() || one.gross == wanted.gross)
    }

    /// Whether a change of what was found would be the whole difference, in everything the ticket states.
    #[must_use]
    pub fn fits(&self, change: HeadAndGross) -> bool {
        self.is_same(change, self.difference())
    }

    /// A weight in the ticket's unit.
    #[must_use]
    pub fn weight(&self, amount: Decimal) -> Weight {
        Weight::new(amount, self.unit)
    }

    /// The tare of its counted drafts: stated, or gross less net.
    #[must_use]
    pub fn tare(&self) -> Decimal {
        let of = |draft: &&Draft| Some(draft.stated.gross?.amount() - pay::base(draft)?.amount());
        self.on.counted.iter().filter_map(of).sum()
    }
}

/// The least and the greatest weight per head.
type Range = (Decimal, Decimal);

/// A day.
#[derive(Debug)]
pub struct View<'a> {
    /// The tickets, in the order of the list.
    pub tickets: Vec<Seen<'a>>,
    /// Counted drafts on no ticket of the list.
    pub loose: Vec<&'a Draft>,
    /// Whether any draft names its ticket.
    pub is_numbered: bool,
    /// The scale's division as far as its weights show it.
    pub division: Decimal,
    ranges: HashMap<(Option<Unit>, Option<String>), Range>,
}

/// A part weighs per head at least 65 of 100 of the least draft of the day and kind, and at most 135 of 100 of the greatest;
/// beyond, the difference is something else (common practice, no source).
const LEAST_AND_MOST: Range = (Decimal::from_parts(65, 0, 0, false, 2), Decimal::from_parts(135, 0, 0, false, 2));

impl<'a> View<'a> {
    /// A day of these tickets and drafts; `loose` are the counted drafts on none.
    #[must_use]
    pub fn of(
        results: &'a [TicketResult],
        on_tickets: &'a [OnTicket<'a>],
        drafts: &'a [Draft],
        loose: Vec<&'a Draft>,
    ) -> Self {
        let tickets = results.iter().zip(on_tickets).map(|(result, on)| Seen::of(result, on)).collect();
        let counted = || drafts.iter().filter(|draft| draft.standing == Standing::Counted);
        let division = division(counted().filter_map(|draft| draft.stated.gross).map(Weight::amount));
        let is_numbered = counted().any(|draft| draft.stated.ticket.is_some());
        Self { tickets, loose, is_numbered, division, ranges: ranges(counted()) }
    }

    /// The tickets that do not tie, with their places.
    pub fn open(&self) -> impl Iterator<Item = (usize, &Seen<'a>)> {
        self.tickets.iter().enumerate().filter(|(_, seen)| seen.is_open)
    }

    /// Whether so many head of a ticket could weigh that much. What the ticket does not state is no objection.
    #[must_use]
    pub fn plausible(&self, seen: &Seen<'_>, part: HeadAndGross) -> bool {
        match (seen.stated.head.is_some(), seen.stated.gross.is_some()) {
            (true, true) => {}
            (true, false) => return part.head > 0,
            (false, _) => return part.gross > Decimal::ZERO,
        }
        let kind = seen.stated.kind.as_ref().map(|kind| kind.to_lowercase());
        let range = self.ranges.get(&(seen.unit, kind)).or_else(|| self.ranges.get(&(seen.unit, None)));
        let Some((least, most)) = range else { return part.head > 0 && part.gross > Decimal::ZERO };
        let head = Decimal::from(part.head);
        part.head > 0 && (head * *least..=head * *most).contains(&part.gross)
    }
}

fn ranges<'d>(counted: impl Iterator<Item = &'d Draft>) -> HashMap<(Option<Unit>, Option<String>), Range> {
    let mut ranges: HashMap<(Option<Unit>, Option<String>), Range> = HashMap::new();
    for draft in counted {
        let (Some(head), Some(gross)) = (draft.stated.head, draft.stated.gross) else { continue };
        let Some(each) = gross.amount().checked_div(Decimal::from(head.0)) else { continue };
        let (low, high) = (each * LEAST_AND_MOST.0, each * LEAST_AND_MOST.1);
        let kind = draft.stated.kind.as_ref().map(|kind| kind.to_lowercase());
        for kind in [None, kind.clone()].into_iter().take(1 + usize::from(kind.is_some())) {
            let widen = |range: &mut Range| *range = (range.0.min(low), range.1.max(high));
            ranges.entry((gross.unit(), kind)).and_modify(widen).or_insert((low, high));
        }
    }
    ranges
}

/// Divisions of group scales, in hundredths, the greatest first (common practice, no source).
const DIVISIONS: [i64; 11] = [5_000, 2_000, 1_000, 500, 200, 100, 50, 20, 10, 5, 2];

/// The greatest usual division of which all weights are multiples; 0.01 where there is none.
fn division(weights: impl Iterator<Item = Decimal> + Clone) -> Decimal {
    let is_division = |step: &Decimal| weights.clone().all(|weight| (weight % *step).is_zero());
    DIVISIONS.into_iter().map(|step| Decimal::new(step, 2)).find(is_division).unwrap_or(Decimal::new(1, 2))
}
