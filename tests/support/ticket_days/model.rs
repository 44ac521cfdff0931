//! A day of tickets: rows as they stand on the stick, lines as they were typed, and what is true of each ticket.

use std::collections::BTreeSet;

use chrono::NaiveDate;

use super::figures::Figures;
use super::print::Look;

/// How it can be known which drafts a ticket adds up.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Mode {
    /// Rows name their ticket.
    Column,
    /// The list states the first and last number.
    FirstLast,
    /// Total rows of the export close each ticket.
    Totals,
    /// Nothing but the sums.
    Sums,
}

/// One draft as it was weighed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Draft {
    pub number: u64,
    pub figures: Figures,
    pub tare: i64,
    /// The place of its ticket on the paper.
    pub ticket: usize,
}

/// What a row stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mark {
    Counted,
    Reprint,
    Void,
    /// It stands in a deleted file.
    Recovered,
}

/// A row of the export.
#[derive(Clone, Copy, Debug)]
pub struct Row {
    pub draft: Draft,
    /// The ticket number printed, where rows name tickets.
    pub printed: u32,
    pub mark: Mark,
}

/// A line of the typed list.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    pub ticket: u32,
    /// What the paper says.
    pub paper: Figures,
    pub paper_tare: i64,
    /// What was typed.
    pub typed: Figures,
    /// Hundredths of a percent.
    pub shrink: Option<i64>,
    /// The pay weight where it was typed otherwise than it follows.
    pub pay: Option<i64>,
    pub first: u64,
    pub last: u64,
    pub status: &'static str,
    pub replaces: Option<u32>,
}

/// A fault as it was planted; kinds are named as in the document.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Fault {
    pub kind: &'static str,
    /// Names that fit as well.
    pub also: Vec<&'static str>,
    /// The drafts it is about, where it is about single drafts.
    pub transactions: BTreeSet<u64>,
    /// What was lost, left off, shared and so on.
    pub figures: Figures,
    /// Whether it shows in the pay weight alone.
    pub pay: bool,
}

impl Fault {
    pub fn new(kind: &'static str) -> Self {
        let (also, transactions) = (Vec::new(), BTreeSet::new());
        Self { kind, also, transactions, figures: Figures::default(), pay: false }
    }

    /// The same, about these drafts.
    pub fn of(kind: &'static str, transactions: impl IntoIterator<Item = u64>, figures: Figures) -> Self {
        Self { transactions: transactions.into_iter().collect(), figures, ..Self::new(kind) }
    }
}

/// What is true of a ticket of the list besides faults.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Fate {
    /// Its drafts stand on the stick.
    Weighed,
    /// All its drafts were lost, and no other ticket's next to them.
    LostInHole,
    /// All its drafts were weighed before the stick was in, or after it was out.
    BeyondStick,
    /// It was void, and expects nothing.
    Void,
    /// It replaces a void ticket, whose number the rows carry.
    Replacing,
}

/// What is true of a ticket.
#[derive(Clone, Debug)]
pub struct Case {
    pub ticket: u32,
    pub faults: Vec<Fault>,
    pub fate: Fate,
    /// The numbers of the drafts weighed for it.
    pub weighed: Vec<u64>,
}

/// A day with everything that is known about it.
#[derive(Clone, Debug)]
pub struct TicketDay {
    pub seed: u64,
    pub mode: Mode,
    pub kilograms: bool,
    /// The division of the scale, in hundredths of the unit.
    pub division: i64,
    pub date: NaiveDate,
    pub look: Look,
    /// The rows in the order in which they were written.
    pub rows: Vec<Row>,
    pub lines: Vec<Line>,
    /// One for each ticket of the list; a ticket repeated word for word has one.
    pub cases: Vec<Case>,
    /// The day's whole paper: its total rows, where the export has such.
    pub totals: Vec<(u32, Figures)>,
    /// Whether nothing at all went wrong.
    pub clean: bool,
}

/// The sums of a day, in the terms of the report.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Balance {
    pub drafts: Figures,
    /// Drafts of tickets that stand on the list.
    pub on_tickets: Figures,
    pub without_ticket: Figures,
    pub stated: Figures,
    /// What the paper states beyond all drafts.
    pub difference: Figures,
}

impl TicketDay {
    pub fn counted(&self) -> impl Iterator<Item = &Row> {
        self.rows.iter().filter(|row| row.mark == Mark::Counted)
    }

    /// The first line of a ticket.
    pub fn line(&self, ticket: u32) -> &Line {
        self.lines.iter().find(|line| line.ticket == ticket).unwrap()
    }

    /// The counted drafts that were weighed for a ticket.
    pub fn belonging(&self, case: &Case) -> Vec<u64> {
        self.counted().map(|row| row.draft.number).filter(|number| case.weighed.contains(number)).collect()
    }

    pub fn balance(&self) -> Balance {
        let sum = |wanted: &dyn Fn(&Row) -> bool| {
            self.counted().filter(|row| wanted(row)).map(|row| row.draft.figures).sum::<Figures>()
        };
        let listed = |row: &Row| self.cases.iter().any(|case| case.weighed.contains(&row.draft.number));
        let valid = self.cases.iter().filter(|case| case.fate != Fate::Void);
        let stated: Figures = valid.map(|case| self.line(case.ticket).typed).sum();
        let drafts = sum(&|_| true);
        let (on_tickets, without_ticket) = (sum(&listed), sum(&|row| !listed(row)));
        Balance { drafts, on_tickets, without_ticket, stated, difference: stated - drafts }
    }
}
