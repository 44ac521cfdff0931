//! One ticket against its drafts: does it tie, and if not, which single fault accounts for the whole difference?

use super::model::{Explanation, ExplanationKind, Found, Outcome, TicketResult};
use super::pay;
use crate::draft::{Draft, Standing};
use crate::finding::words::{drafts as count_drafts, numbers};
use crate::ticket::{StatedTicket, TicketStatus};
use crate::units::{Confidence, Decimal, Head, Percent, TransactionNo, Unit, Weight};

/// The drafts that carry a ticket, by what they count as.
#[derive(Debug, Clone, Default)]
pub struct OnTicket<'a> {
    /// Those that count.
    pub counted: Vec<&'a Draft>,
    /// Copies of drafts that count.
    pub reprints: Vec<&'a Draft>,
    /// Rows out of deleted or lost data, not accepted yet.
    pub recovered: Vec<&'a Draft>,
}

impl<'a> OnTicket<'a> {
    /// Adds a draft where it belongs; drafts that count for nothing are passed over.
    pub fn add(&mut self, draft: &'a Draft) {
        match draft.standing {
            Standing::Counted => self.counted.push(draft),
            Standing::Reprint => self.reprints.push(draft),
            Standing::Recovered => self.recovered.push(draft),
            Standing::Test | Standing::Inferred | Standing::Reweighed | Standing::Void => {}
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

    /// Whether these drafts are exactly the difference, in everything the ticket states.
    #[must_use]
    pub fn is_exactly(self, drafts: &[&Draft]) -> bool {
        let head: i64 = drafts.iter().map(|draft| i64::from(draft.stated.head.unwrap_or_default().0)).sum();
        let gross: Decimal = drafts.iter().filter_map(|draft| draft.stated.gross).map(Weight::amount).sum();
        self.head.is_none_or(|difference| difference == head)
            && self.gross.is_none_or(|difference| difference == gross)
            && !drafts.is_empty()
    }
}

/// Lays a ticket beside its drafts; `day_unit` is the one unit of all drafts, for a ticket that has none and states none.
///
/// What needs a look at the holes between drafts is added later.
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
    let (outcome, explanations) = match stated.status {
        TicketStatus::Void if on.counted.is_empty() => (Outcome::Tied, Vec::new()),
        TicketStatus::Void => (Outcome::Open, Vec::new()),
        _ if is_blank(&stated) && !on.counted.is_empty() => (Outcome::Open, Vec::new()),
        _ if units_differ => (Outcome::Open, Vec::new()),
        _ if difference.is_none() && !on.counted.is_empty() => (Outcome::Tied, Vec::new()),
        _ => explained(single_faults(&stated, &found, difference, on), on.counted.is_empty()),
    };
    let value = pay::value(&stated, found.head, found.pay_weight).filter(|_| stated.status == TicketStatus::Valid);
    let drafts = on.counted.iter().map(|draft| draft.id.clone()).collect();
    TicketResult { stated, found, drafts, outcome, explanations, value }
}

/// The outcome that goes with these explanations.
#[must_use]
pub fn explained(explanations: Vec<Explanation>, no_drafts: bool) -> (Outcome, Vec<Explanation>) {
    let outcome = match explanations.len() {
        1 => Outcome::Explained,
        0 if no_drafts => Outcome::NoDrafts,
        _ => Outcome::Open,
    };
    (outcome, explanations)
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
            .flatten(),
    }
}

/// Faults that need nothing but the ticket and the drafts that carry it.
fn single_faults(stated: &StatedTicket, found: &Found, difference: Difference, on: &OnTicket<'_>) -> Vec<Explanation> {
    let mut all = Vec::new();
    all.extend(recovered_draft(difference, on));
    all.extend(reprint_counted(difference, on));
    all.extend(digits_swapped(stated, found, difference));
    all
}

fn recovered_draft(difference: Difference, on: &OnTicket<'_>) -> Option<Explanation> {
    difference.is_exactly(&on.recovered).then(|| {
        let which = transactions(&on.recovered);
        let text = format!(
            "{} from deleted or lost data close it exactly ({})",
            count_drafts(on.recovered.len() as u64),
            listed(&which)
        );
        about(ExplanationKind::RecoveredDraft, text, 95, &on.recovered)
    })
}

/// Any one of the copies, or all of them together.
fn reprint_counted(difference: Difference, on: &OnTicket<'_>) -> Option<Explanation> {
    let one = on.reprints.iter().map(std::slice::from_ref).find(|reprint| difference.is_exactly(reprint));
    let which = one.or_else(|| difference.is_exactly(&on.reprints).then_some(on.reprints.as_slice()))?;
    let text = format!("the paper adds in a copy of {} that was printed again", listed(&transactions(which)));
    Some(about(ExplanationKind::ReprintCounted, text, 90, which))
}

/// Two neighbouring digits of one figure exchanged, and the other figure right.
///
/// Such a difference is divisible by nine; that alone proves nothing (R. B. Kester, Accounting Theory and Practice, vol. 1,
/// 1917), so the exchange itself is tried.
fn digits_swapped(stated: &StatedTicket, found: &Found, difference: Difference) -> Option<Explanation> {
    let head_right = difference.head.is_none_or(|head| head == 0);
    let gross_right = difference.gross.is_none_or(|gross| gross.is_zero());
    let (written, right, unit) = match (stated.gross, stated.head) {
        (Some(gross), _) if head_right => (gross.to_string(), found.gross?.to_string(), true),
        (_, Some(head)) if gross_right => (head.to_string(), found.head.to_string(), false),
        _ => return None,
    };
    are_neighbours_swapped(&written, &right).then(|| Explanation {
        kind: ExplanationKind::DigitsSwapped,
        text: format!("two digits are exchanged on the list: {written} instead of {right}"),
        confidence: Confidence::percent(90),
        transactions: Vec::new(),
        head: (!unit).then_some(found.head),
        gross: if unit { found.gross } else { None },
    })
}

fn are_neighbours_swapped(written: &str, right: &str) -> bool {
    let digits = |text: &str| text.bytes().filter(u8::is_ascii_digit).collect::<Vec<_>>();
    let (written, right) = (digits(written), digits(right));
    let differing: Vec<usize> =
        written.iter().zip(&right).enumerate().filter(|(_, (a, b))| a != b).map(|(place, _)| place).collect();
    let [first, second] = differing.as_slice() else { return false };
    written.len() == right.len()
        && *second == first + 1
        && written.get(*first) == right.get(*second)
        && written.get(*second) == right.get(*first)
}

fn about(kind: ExplanationKind, text: String, sure: u8, drafts: &[&Draft]) -> Explanation {
    let head = drafts.iter().fold(Head(0), |sum, draft| sum.plus(draft.stated.head.unwrap_or_default()));
    Explanation {
        kind,
        text,
        confidence: Confidence::percent(sure),
        transactions: transactions(drafts),
        head: Some(head),
        gross: pay::sum(drafts.iter().filter_map(|draft| draft.stated.gross)),
    }
}

fn transactions(drafts: &[&Draft]) -> Vec<TransactionNo> {
    drafts.iter().filter_map(|draft| draft.stated.transaction).collect()
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
