//! How an indicator prints the day, and how the list is typed from the paper.

use chrono::TimeDelta;

use super::figures::{Figures, divided, shrunk, typed};
use super::model::{Line, Mark, Mode, Row, TicketDay};
use crate::support::sale_days::chance::Chance;

/// What export and list look like.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Look {
    pub delimiter: char,
    pub date: &'static str,
    pub titles: usize,
    /// Rows state tare and net.
    pub tare: bool,
    /// Rows state what they are.
    pub status: bool,
    /// The list states the average.
    pub average: bool,
    pub shrink: bool,
    pub pay: bool,
    pub price: Option<&'static str>,
    pub dates: bool,
    pub people: bool,
    pub first_and_last: bool,
    pub unit: bool,
    pub other_words: bool,
}

impl Look {
    pub fn drawn(chance: &mut Chance, mode: Mode) -> Self {
        let shrink = chance.percent(35);
        Self {
            delimiter: chance.pick(&[',', ';', '\t']),
            date: chance.pick(&["%m/%d/%Y", "%d.%m.%Y", "%Y-%m-%d"]),
            titles: chance.index(0, 1),
            tare: chance.percent(12),
            status: chance.percent(20),
            average: chance.percent(25),
            shrink,
            pay: shrink && chance.percent(70),
            price: chance.percent(25).then(|| chance.pick(&["cwt", "head"])),
            dates: chance.percent(40),
            people: chance.percent(20),
            first_and_last: mode == Mode::FirstLast || (mode == Mode::Column && chance.percent(15)),
            unit: chance.percent(85),
            other_words: chance.percent(40),
        }
    }
}

/// Number, date, time, ticket, head, gross, tare, net, unit, status.
const TITLES: [[&str; 10]; 2] = [
    ["Transaction", "Date", "Time", "Ticket", "Head", "Gross", "Tare", "Net", "Unit", "Status"],
    [
        "Draft no.",
        "Weigh date",
        "Weigh time",
        "Scale ticket",
        "No. of head",
        "Gross weight",
        "Tare weight",
        "Net weight",
        "UOM",
        "Status",
    ],
];

impl TicketDay {
    const fn unit(&self) -> &'static str {
        if self.kilograms { "kg" } else { "lb" }
    }

    fn joined(&self, cells: [String; 10]) -> String {
        let ticket = matches!(self.mode, Mode::Column | Mode::Totals);
        let (tare, status) = (self.look.tare, self.look.status);
        let shown = [true, true, true, ticket, true, true, tare, tare, true, status];
        let cells = cells.into_iter().zip(shown).filter(|(_, shown)| *shown).map(|(cell, _)| cell);
        cells.collect::<Vec<_>>().join(&self.look.delimiter.to_string()) + "\r\n"
    }

    fn row(&self, place: usize, row: &Row) -> String {
        let Row { draft, printed, mark } = row;
        let ticket = if self.mode == Mode::Column { printed.to_string() } else { String::new() };
        let status = if *mark == Mark::Void { "VOID" } else { "" };
        self.cells(place, draft.number.to_string(), ticket, draft.figures, draft.tare, status)
    }

    fn cells(&self, place: usize, number: String, ticket: String, figures: Figures, tare: i64, status: &str) -> String {
        let at = self.date.and_hms_opt(9, 0, 12).unwrap() + TimeDelta::seconds(167 * i64::try_from(place).unwrap());
        self.joined([
            number,
            at.format(self.look.date).to_string(),
            at.format("%H:%M:%S").to_string(),
            ticket,
            figures.head.to_string(),
            typed(figures.gross),
            typed(tare),
            typed(figures.gross - tare),
            self.unit().to_owned(),
            status.to_owned(),
        ])
    }

    /// The export of the rows that stand in the deleted file, or of all others; `None` where there are no such rows.
    pub fn export(&self, deleted: bool) -> Option<String> {
        let mut text = self.joined(TITLES[self.look.titles].map(str::to_owned));
        let header = text.len();
        for (place, row) in self.rows.iter().enumerate() {
            // A reprint is the row before it, word for word, with its old time.
            let first = self.rows.iter().position(|other| other.draft.number == row.draft.number).unwrap();
            if (row.mark == Mark::Recovered) == deleted {
                text += &self.row(first, row);
            }
            let ends = self.rows.get(place + 1).is_none_or(|next| next.draft.ticket != row.draft.ticket);
            if self.mode == Mode::Totals && ends && !deleted {
                text += &self.total(place, row);
            }
        }
        (text.len() > header).then_some(text)
    }

    fn total(&self, place: usize, row: &Row) -> String {
        let (ticket, figures) = self.totals[row.draft.ticket];
        let tare: i64 = self.rows.iter().filter(|other| other.draft.ticket == row.draft.ticket).map(tare).sum();
        self.cells(place, "Total".to_owned(), ticket.to_string(), figures, tare, "")
    }

    /// The list as it was typed.
    pub fn list(&self) -> String {
        let columns = self.list_columns();
        let titles: Vec<_> = columns.iter().map(|column| title(column, self.look.other_words)).collect();
        let line = |line: &Line| {
            let cells: Vec<_> = columns.iter().map(|column| self.cell(line, column)).collect();
            cells.join(",") + "\n"
        };
        titles.join(",") + "\n" + &self.lines.iter().map(line).collect::<String>()
    }

    fn list_columns(&self) -> Vec<&'static str> {
        let look = &self.look;
        let status = self.lines.iter().any(|line| line.status != "valid");
        let replaces = self.lines.iter().any(|line| line.replaces.is_some());
        let wanted = [
            ("ticket", true),
            ("date", look.dates),
            ("consignor", look.people),
            ("buyer", look.people),
            ("head", true),
            ("gross", true),
            ("unit", look.unit),
            ("average", look.average),
            ("shrink_percent", look.shrink),
            ("pay_weight", look.pay),
            ("price", look.price.is_some()),
            ("price_per", look.price.is_some()),
            ("value", look.price.is_some()),
            ("first_transaction", look.first_and_last),
            ("last_transaction", look.first_and_last),
            ("status", status),
            ("replaces", replaces),
        ];
        wanted.into_iter().filter(|(_, wanted)| *wanted).map(|(name, _)| name).collect()
    }

    fn cell(&self, line: &Line, column: &str) -> String {
        let price = 18_000 + 137 * i64::from(line.ticket % 40);
        match column {
            "ticket" => line.ticket.to_string(),
            "date" => self.date.format("%Y-%m-%d").to_string(),
            "consignor" => ["Dunnock Hollow Farm", "Marla Teague", "Orrin Vasse"][line.ticket as usize % 3].to_owned(),
            "buyer" => ["Ruckley Pens", "Pell and Quince"][line.ticket as usize % 2].to_owned(),
            "head" => line.typed.head.to_string(),
            "gross" => typed(line.typed.gross),
            "unit" => self.unit().to_owned(),
            "average" => typed(divided(i128::from(line.paper.gross), i128::from(line.paper.head), 1)),
            "shrink_percent" => line.shrink.map(typed).unwrap_or_default(),
            "pay_weight" => typed(line.pay.unwrap_or_else(|| expected_pay(line))),
            "price" => typed(price),
            "price_per" => self.look.price.unwrap_or_default().to_owned(),
            "value" => typed(self.value(line, price)),
            "first_transaction" => line.first.to_string(),
            "last_transaction" => line.last.to_string(),
            "status" => line.status.to_owned(),
            "replaces" => line.replaces.map(|number| number.to_string()).unwrap_or_default(),
            other => unreachable!("no column {other}"),
        }
    }

    /// What the paper comes to: by head, or by each hundred pounds; other weights are turned into pounds first.
    fn value(&self, line: &Line, price: i64) -> i64 {
        let pay = i128::from(line.pay.unwrap_or_else(|| expected_pay(line)));
        let price = i128::from(price);
        match (self.look.price, self.kilograms) {
            (Some("head"), _) => i64::try_from(price * i128::from(line.paper.head)).unwrap(),
            (_, false) => divided(price * pay, 10_000, 1),
            (_, true) => divided(price * pay * 100_000_000, 10_000 * 45_359_237, 1),
        }
    }
}

const fn tare(row: &Row) -> i64 {
    row.draft.tare
}

/// The pay weight that follows from what the paper says: its weight less tare and shrink.
pub fn expected_pay(line: &Line) -> i64 {
    shrunk(line.paper.gross - line.paper_tare, line.shrink.unwrap_or(0), 1)
}

/// Two ways to name the columns of a list.
fn title(column: &'static str, other_words: bool) -> &'static str {
    match (other_words, column) {
        (true, "ticket") => "Ticket no.",
        (true, "head") => "Hd",
        (true, "gross") => "Weight",
        (true, "average") => "Avg",
        (true, "shrink_percent") => "Shrink %",
        (true, "pay_weight") => "Pay weight",
        (true, "first_transaction") => "First no.",
        (true, "last_transaction") => "Last no.",
        _ => column,
    }
}
