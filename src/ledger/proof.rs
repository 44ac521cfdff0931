//! The second route: the totals once more, by other code, from the text of the ledger alone.

use std::collections::BTreeSet;
use std::io::Cursor;

use polars::prelude::{
    AnyValue, BooleanChunked, ChunkCompareEq, CsvReadOptions, DataFrame, DataType, PolarsError, PolarsResult,
    SerReader, Series,
};

use super::control::Control;
use super::findings::totals_disagree;
use crate::finding::{Evidence, Finding};
use crate::units::{Decimal, Money, Unit, Weight};

/// The most digits an exact decimal of the second route holds.
const DIGITS: usize = 38;

/// A figure's name and its value, written plainly; `None` for unknown.
type Figure = (&'static str, Option<String>);

/// Proves control totals from the text of the two lists: each entry is `proved` if every figure but `missing` agrees.
///
/// Also gives one `totals-disagree` for each unit that is not proved, and for units in the text that have no total.
#[must_use]
pub fn prove(control: Vec<Control>, drafts: &[u8], tickets: &[u8]) -> (Vec<Control>, Vec<Finding>) {
    let lists = match Lists::read(drafts, tickets) {
        Ok(lists) => lists,
        Err(error) => return (control, vec![totals_disagree(None, true, vec![unreadable(&error.to_string())])]),
    };
    let mut findings = strange_units(&control, &lists);
    let proved = control.into_iter().map(|entry| {
        let differences = differences(&entry, &lists);
        let proved = differences.is_empty();
        if !proved {
            findings.push(totals_disagree(entry.unit, false, differences));
        }
        Control { proved, ..entry }
    });
    let proved = proved.collect();
    (proved, findings)
}

fn differences(entry: &Control, lists: &Lists) -> Vec<Evidence> {
    let second = match lists.figures(entry.unit) {
        Ok(figures) => figures,
        Err(error) => return vec![unreadable(&error.to_string())],
    };
    let pairs = first_route(entry).into_iter().zip(second);
    pairs.filter(|((_, first), (_, second))| first != second).map(difference).collect()
}

fn difference(((what, first), (_, second)): (Figure, Figure)) -> Evidence {
    let [first, second] = [first, second].map(|value| value.unwrap_or_else(|| "unknown".to_owned()));
    Evidence {
        what: what.to_owned(),
        value: format!("{first} over the drafts and tickets, {second} over the ledger's text"),
    }
}

fn unreadable(reason: &str) -> Evidence {
    Evidence { what: "reading the ledger back".to_owned(), value: reason.to_owned() }
}

/// Figures in the text that stand under a unit the control totals do not have.
fn strange_units(control: &[Control], lists: &Lists) -> Vec<Finding> {
    let known: BTreeSet<_> = control.iter().map(|entry| entry.unit.map(Unit::symbol)).collect();
    let strange = lists.units().map(|units| {
        let units = units.into_iter().filter(|unit| !known.contains(&unit.as_deref()));
        units.map(|unit| unit.unwrap_or_else(|| "none".to_owned())).collect::<Vec<_>>()
    });
    match strange {
        Err(error) => vec![totals_disagree(None, true, vec![unreadable(&error.to_string())])],
        Ok(units) if units.is_empty() => Vec::new(),
        Ok(units) => {
            let evidence = Evidence { what: "units without a total".to_owned(), value: units.join(", ") };
            vec![totals_disagree(None, true, vec![evidence])]
        }
    }
}

fn first_route(entry: &Control) -> Vec<Figure> {
    let weight = |weight: Option<Weight>| weight.map(|weight| weight.amount().to_string());
    vec![
        ("drafts", Some(entry.records.to_string())),
        ("head", Some(entry.head.to_string())),
        ("gross", weight(entry.gross)),
        ("net", weight(entry.net)),
        ("pay weight", weight(entry.pay_weight)),
        ("value", entry.value.map(|Money(amount)| amount.normalize().to_string())),
        ("first transaction", entry.first_transaction.map(|number| number.to_string())),
        ("last transaction", entry.last_transaction.map(|number| number.to_string())),
        ("void drafts and tickets", Some(entry.voids.to_string())),
        ("sum of the transaction numbers", Some(entry.transaction_hash_total.to_string())),
    ]
}

/// The two lists as read back, every cell as text.
struct Lists {
    drafts: DataFrame,
    tickets: DataFrame,
}

impl Lists {
    fn read(drafts: &[u8], tickets: &[u8]) -> PolarsResult<Self> {
        Ok(Self { drafts: read(drafts)?, tickets: read(tickets)? })
    }

    /// Every unit that stands beside a draft that counts, or beside a ticket.
    fn units(&self) -> PolarsResult<BTreeSet<Option<String>>> {
        let counted = only(&self.drafts, "standing", Some("counted"))?;
        let mut units = BTreeSet::new();
        for list in [&counted, &self.tickets] {
            units.extend(list.column("unit")?.str()?.iter().map(|unit| unit.map(str::to_owned)));
        }
        Ok(units)
    }

    /// The figures of one unit, in the order of [`first_route`].
    fn figures(&self, unit: Option<Unit>) -> PolarsResult<Vec<Figure>> {
        let unit = unit.map(Unit::symbol);
        let (drafts, tickets) = (only(&self.drafts, "unit", unit)?, only(&self.tickets, "unit", unit)?);
        let counted = only(&drafts, "standing", Some("counted"))?;
        let voids =
            only(&drafts, "standing", Some("void"))?.height() + only(&tickets, "status", Some("void"))?.height();
        let numbers = counted.column("transaction")?.drop_nulls();
        let numbers: Vec<_> = numbers.str()?.iter().flatten().collect();
        let gross = Sum::of(&counted, "gross")?;
        Ok(vec![
            ("drafts", Some(counted.height().to_string())),
            ("head", Some(plain(Sum::of(&counted, "head")?.amount))),
            ("gross", (gross.stated > 0).then(|| plain(gross.amount))),
            ("net", Sum::of(&counted, "net")?.of_all()),
            ("pay weight", pay_weight(&counted, &tickets)?.of_all()),
            ("value", value(&tickets)?.of_all()),
            ("first transaction", numbers.first().map(ToString::to_string)),
            ("last transaction", numbers.last().map(ToString::to_string)),
            ("void drafts and tickets", Some(voids.to_string())),
            ("sum of the transaction numbers", Some(plain(Sum::of(&counted, "transaction")?.amount))),
        ])
    }
}

fn read(text: &[u8]) -> PolarsResult<DataFrame> {
    CsvReadOptions::default()
        .with_has_header(true)
        .with_infer_schema_length(Some(0))
        .with_raise_if_empty(false)
        .into_reader_with_file_handle(Cursor::new(text))
        .finish()
}

/// The rows whose cell is this text, or is empty.
fn only(list: &DataFrame, column: &str, text: Option<&str>) -> PolarsResult<DataFrame> {
    let cells = list.column(column)?.str()?;
    let mask: BooleanChunked = text.map_or_else(|| cells.is_null(), |text| cells.equal_missing(text));
    list.filter(&mask)
}

/// What is paid for: by the tickets that count, and by the drafts on none.
fn pay_weight(counted: &DataFrame, tickets: &DataFrame) -> PolarsResult<Sum> {
    let on_paper = Sum::of(&only(tickets, "in_totals", Some("yes"))?, "pay_weight")?;
    let without_ticket = Sum::of(&only(counted, "on_ticket", None)?, "pay_weight")?;
    on_paper.and(without_ticket)
}

fn value(tickets: &DataFrame) -> PolarsResult<Sum> {
    let in_totals = only(tickets, "in_totals", Some("yes"))?;
    Sum::of(&only(&in_totals, "status", Some("valid"))?, "value")
}

/// The exact sum of a column's cells.
struct Sum {
    amount: Decimal,
    stated: usize,
    unknown: usize,
}

impl Sum {
    fn of(list: &DataFrame, column: &str) -> PolarsResult<Self> {
        let cells = list.column(column)?.as_materialized_series();
        let unknown = cells.null_count();
        let stated = cells.len() - unknown;
        let scale = scale(cells)?;
        let exact = cells.strict_cast(&DataType::Decimal(DIGITS, scale))?.sum_reduce()?;
        let amount = match exact.value() {
            AnyValue::Decimal(steps, _, scale) => decimal(*steps, *scale)?,
            AnyValue::Null => Decimal::ZERO,
            other => return Err(inexact(&format!("a sum came as {other:?}"))),
        };
        Ok(Self { amount, stated, unknown })
    }

    fn and(self, other: Self) -> PolarsResult<Self> {
        let amount = self.amount.checked_add(other.amount).ok_or_else(|| inexact("a sum is too large"))?;
        Ok(Self { amount, stated: self.stated + other.stated, unknown: self.unknown + other.unknown })
    }

    /// The sum where every cell states its part and there is any.
    fn of_all(&self) -> Option<String> {
        (self.unknown == 0 && self.stated > 0).then(|| plain(self.amount))
    }
}

/// Digits needed after the point so that no cell is rounded, checked to leave room for the whole sum before it.
fn scale(cells: &Series) -> PolarsResult<usize> {
    let parts = |cell: &str| cell.split_once('.').map_or((cell.len(), 0), |(whole, part)| (whole.len(), part.len()));
    let (mut whole, mut part) = (0, 0);
    for cell in cells.str()?.iter().flatten() {
        let (before, after) = parts(cell);
        whole = whole.max(before);
        part = part.max(after);
    }
    let carried = cells.len().to_string().len();
    if whole + carried + part > DIGITS { Err(inexact("figures are too long to be added exactly")) } else { Ok(part) }
}

fn decimal(steps: i128, scale: usize) -> PolarsResult<Decimal> {
    let scale = u32::try_from(scale).map_err(|error| inexact(&error.to_string()))?;
    Decimal::try_from_i128_with_scale(steps, scale).map_err(|error| inexact(&error.to_string()))
}

fn plain(amount: Decimal) -> String {
    amount.normalize().to_string()
}

fn inexact(reason: &str) -> PolarsError {
    PolarsError::ComputeError(reason.to_owned().into())
}
