//! How an indicator prints its rows, and how the paper is typed.

use chrono::NaiveDateTime;

use super::chance::Chance;
use super::truth::Row;

/// What the rows of a day look like. The unit is always stated; dates are such that their order shows.
#[derive(Clone, Copy, Debug)]
pub struct Layout {
    pub delimiter: char,
    pub scale: bool,
    pub ticket: bool,
    pub lot: bool,
    pub number_first: bool,
    /// Which of two ways to name the columns.
    pub titles: usize,
    pub date: &'static str,
    pub time: &'static str,
    pub zeros: bool,
    pub unit: &'static str,
    pub newest_first: bool,
}

/// Number, date, time, scale, ticket, lot, head, weight, unit, kind.
const TITLES: [[&str; 10]; 2] = [
    ["Transaction", "Date", "Time", "Scale ID", "Ticket", "Lot", "Head", "Gross", "Unit", "Kind"],
    [
        "Draft no.",
        "Weigh date",
        "Weigh time",
        "Scale",
        "Scale ticket",
        "Lot no.",
        "No. of head",
        "Gross weight",
        "UOM",
        "Class",
    ],
];

impl Layout {
    /// One of many. Where several scales share one book of tickets, rows name both the scale and the ticket.
    pub fn drawn(chance: &mut Chance, several: bool) -> Self {
        Self {
            delimiter: chance.pick(&[',', ';', '\t']),
            scale: several || chance.percent(25),
            ticket: several || chance.percent(70),
            lot: chance.percent(50),
            number_first: chance.percent(50),
            titles: chance.index(0, 1),
            date: chance.pick(&["%m/%d/%Y", "%d.%m.%Y", "%Y-%m-%d"]),
            time: chance.weighted(&[("%H:%M:%S", 45), ("%I:%M:%S %p", 25), ("%H:%M", 20), ("%I:%M %p", 10)]),
            zeros: chance.percent(40),
            unit: if chance.percent(80) { "lb" } else { "kg" },
            newest_first: chance.percent(8),
        }
    }

    /// Seconds the clock does not show.
    pub fn slack(&self) -> i64 {
        if self.time.contains("%S") { 0 } else { 60 }
    }

    /// Whether a row tells where a lot ends.
    pub const fn shows_lots(&self) -> bool {
        self.ticket || self.lot
    }

    pub fn header(&self) -> String {
        let shown = [true; 3].into_iter().chain([self.scale, self.ticket, self.lot]).chain([true; 4]);
        let titles = TITLES[self.titles].iter().zip(shown).filter(|(_, shown)| *shown);
        self.joined(titles.map(|(title, _)| (*title).to_owned()).collect())
    }

    /// One row; a ticket has its number from the whole yard's book.
    pub fn line(&self, row: &Row, scale: &str, ticket: u32, digits: usize) -> String {
        let number = if self.zeros { format!("{:0digits$}", row.number) } else { row.number.to_string() };
        let mut cells = vec![number, shown(row.at, self.date), shown(row.at, self.time)];
        let carried = [
            (self.scale, scale.to_owned()),
            (self.ticket, ticket.to_string()),
            (self.lot, (row.lot + 1).to_string()),
            (true, row.head.to_string()),
            (true, row.gross.to_string()),
        ];
        cells.extend(carried.into_iter().filter(|(shown, _)| *shown).map(|(_, cell)| cell));
        cells.extend([self.unit.to_owned(), row.kind.to_owned()]);
        self.joined(cells)
    }

    fn joined(&self, mut cells: Vec<String>) -> String {
        if !self.number_first {
            cells.reverse();
        }
        cells.join(&self.delimiter.to_string()) + "\r\n"
    }
}

fn shown(at: NaiveDateTime, form: &str) -> String {
    at.format(form).to_string()
}

/// A ticket of the paper: what was weighed, whether or not its rows are on a stick.
#[derive(Clone, Debug)]
pub struct PaperTicket {
    pub number: u32,
    /// Its indicator's place among the day's, and its own place among the tickets of that one.
    pub run: usize,
    pub ticket: usize,
    pub head: u64,
    pub gross: u64,
    pub first: u64,
    pub last: u64,
    /// Days between the first sale day and its own.
    pub day: i64,
}

/// What the typed list states besides number, head and weight.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ListForm {
    pub first_and_last: bool,
    pub date: bool,
}

/// The list as text.
pub fn typed(paper: &[PaperTicket], form: ListForm, unit: &str, date: chrono::NaiveDate) -> String {
    let mut text = "ticket,head,gross,unit".to_owned();
    text += if form.first_and_last { ",first_transaction,last_transaction" } else { "" };
    text += if form.date { ",date\n" } else { "\n" };
    for ticket in paper {
        text += &format!("{},{},{},{unit}", ticket.number, ticket.head, ticket.gross);
        if form.first_and_last {
            text += &format!(",{},{}", ticket.first, ticket.last);
        }
        if form.date {
            text += &format!(",{}", (date + chrono::TimeDelta::days(ticket.day)).format("%Y-%m-%d"));
        }
        text.push('\n');
    }
    text
}
