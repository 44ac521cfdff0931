//! A yard written down as text: weighings, the layouts an indicator could print them in, and sticks that hold them.
//!
//! Nothing here asks the program or its library: what a day holds is known before anything reads it.

use std::io::Write;

use chrono::{NaiveDate, NaiveDateTime, TimeDelta};
use fatfs::FatType;

use super::fat_image::{FatImage, in_partition};
use super::program::Desk;

/// One weighing, as it happened.
#[derive(Clone, Debug, PartialEq)]
pub struct Weighing {
    pub number: u64,
    pub at: NaiveDateTime,
    pub ticket: Option<u32>,
    pub head: u64,
    pub gross: u64,
}

/// A clock time of Saturday 17 October 2026.
pub fn sale_day(hour: u32, minute: u32, second: u32) -> NaiveDateTime {
    NaiveDate::from_ymd_opt(2026, 10, 17).unwrap().and_hms_opt(hour, minute, second).unwrap()
}

/// A short, faultless day: six drafts of 78 head and 47,720 lb on the tickets 501 to 503.
pub fn clean_day() -> Vec<Weighing> {
    let rows =
        [(501, 12, 7_450), (501, 11, 6_905), (502, 15, 8_040), (502, 14, 7_660), (502, 16, 8_835), (503, 10, 8_830)];
    let start = sale_day(9, 0, 12);
    let weighing = |(number, (ticket, head, gross)): (u64, (u32, u64, u64))| Weighing {
        number,
        at: start + TimeDelta::seconds(i64::try_from(number).unwrap() * 157),
        ticket: Some(ticket),
        head,
        gross,
    };
    (1..).zip(rows).map(weighing).collect()
}

/// The list of the clean day, typed from the paper.
pub const CLEAN_TICKETS: &str = "ticket,head,gross,unit\n501,23,14355,lb\n502,45,24535,lb\n503,10,8830,lb\n";

/// A desk with the clean day as one export `day.csv`, and its list `tickets.csv`.
pub fn clean_desk() -> Desk {
    let desk = Desk::new();
    desk.put("day.csv", Layout::plain().export(&clean_day()));
    desk.put("tickets.csv", CLEAN_TICKETS);
    desk
}

/// What a column of an export holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Column {
    Number,
    Date,
    Time,
    Ticket,
    Head,
    Gross,
    Unit,
    Scale,
    RowKind,
}

/// The order of a date: `10/17/2026`, `17.10.2026`, `2026-10-17`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Dates {
    Mdy,
    Dmy,
    Ymd,
}

/// How an indicator prints its weighings.
#[derive(Clone, Debug)]
pub struct Layout {
    pub delimiter: char,
    pub columns: Vec<(Column, &'static str)>,
    pub dates: Dates,
    pub twelve_hours: bool,
    pub seconds: bool,
    pub unit: &'static str,
    pub scale: &'static str,
    /// Numbers are filled up with zeros to so many digits.
    pub digits: usize,
    pub line_end: &'static str,
}

/// A line of an export.
#[derive(Clone, Debug, PartialEq)]
pub enum Line {
    Header,
    Draft(Weighing),
    Total { ticket: u32, at: NaiveDateTime, head: u64, gross: u64 },
    Text(&'static str),
}

impl Layout {
    /// Comma, month first, 12 hours, pounds.
    pub fn plain() -> Self {
        Self {
            delimiter: ',',
            columns: vec![
                (Column::Number, "Transaction"),
                (Column::Date, "Date"),
                (Column::Time, "Time"),
                (Column::Ticket, "Ticket"),
                (Column::Head, "Head"),
                (Column::Gross, "Gross"),
                (Column::Unit, "Unit"),
            ],
            dates: Dates::Mdy,
            twelve_hours: true,
            seconds: true,
            unit: "lb",
            scale: "S1",
            digits: 1,
            line_end: "\r\n",
        }
    }

    /// Tab, other words in another order, day first, 24 hours without seconds.
    pub fn other() -> Self {
        Self {
            delimiter: '\t',
            columns: vec![
                (Column::Gross, "Gross weight"),
                (Column::Head, "No. of head"),
                (Column::Unit, "UOM"),
                (Column::Ticket, "Scale ticket"),
                (Column::Time, "Weigh time"),
                (Column::Date, "Weigh date"),
                (Column::Number, "Draft no."),
            ],
            dates: Dates::Dmy,
            twelve_hours: false,
            seconds: false,
            line_end: "\n",
            ..Self::plain()
        }
    }

    /// An export of these weighings under one header.
    pub fn export(&self, weighings: &[Weighing]) -> String {
        let drafts = weighings.iter().cloned().map(Line::Draft);
        self.text(&std::iter::once(Line::Header).chain(drafts).collect::<Vec<_>>())
    }

    /// These lines as text.
    pub fn text(&self, lines: &[Line]) -> String {
        lines.iter().map(|line| self.line(line) + self.line_end).collect()
    }

    fn line(&self, line: &Line) -> String {
        let cells = |cell: &dyn Fn(Column) -> String| {
            let cells: Vec<_> = self.columns.iter().map(|(column, _)| cell(*column)).collect();
            cells.join(&self.delimiter.to_string())
        };
        match line {
            Line::Text(text) => (*text).to_owned(),
            Line::Header => {
                let titles: Vec<_> = self.columns.iter().map(|(_, title)| *title).collect();
                titles.join(&self.delimiter.to_string())
            }
            Line::Draft(weighing) => cells(&|column| match column {
                Column::Number => format!("{:01$}", weighing.number, self.digits),
                Column::RowKind => "Draft".to_owned(),
                _ => self.cell(column, weighing.at, weighing.ticket, weighing.head, weighing.gross),
            }),
            Line::Total { ticket, at, head, gross } => cells(&|column| match column {
                // Where no column names the kind of row, the word stands where the number would.
                Column::Number if !self.has(Column::RowKind) => "Total".to_owned(),
                Column::Number => String::new(),
                Column::RowKind => "Ticket total".to_owned(),
                _ => self.cell(column, *at, Some(*ticket), *head, *gross),
            }),
        }
    }

    fn has(&self, column: Column) -> bool {
        self.columns.iter().any(|(own, _)| *own == column)
    }

    fn cell(&self, column: Column, at: NaiveDateTime, ticket: Option<u32>, head: u64, gross: u64) -> String {
        let date = match self.dates {
            Dates::Mdy => "%m/%d/%Y",
            Dates::Dmy => "%d.%m.%Y",
            Dates::Ymd => "%Y-%m-%d",
        };
        let time = match (self.twelve_hours, self.seconds) {
            (true, true) => "%I:%M:%S %p",
            (true, false) => "%I:%M %p",
            (false, true) => "%H:%M:%S",
            (false, false) => "%H:%M",
        };
        match column {
            Column::Date => at.format(date).to_string(),
            Column::Time => at.format(time).to_string(),
            Column::Ticket => ticket.map(|ticket| ticket.to_string()).unwrap_or_default(),
            Column::Head => head.to_string(),
            Column::Gross => gross.to_string(),
            Column::Unit => self.unit.to_owned(),
            Column::Scale => self.scale.to_owned(),
            Column::Number | Column::RowKind => unreachable!("drafts and totals differ in them"),
        }
    }
}

/// A volume with these files; no partition table.
pub fn stick(kind: FatType, files: &[(&str, &str)]) -> Vec<u8> {
    let mut image = FatImage::blank(kind);
    for (path, content) in files {
        image.write(path, content.as_bytes());
    }
    image.bytes
}

/// The same volume in the partition of a disk, under the type byte usual for it.
pub fn partitioned(kind: FatType, files: &[(&str, &str)]) -> Vec<u8> {
    let type_byte = match kind {
        FatType::Fat12 => 0x01,
        FatType::Fat16 => 0x04,
        FatType::Fat32 => 0x0C,
    };
    in_partition(&stick(kind, files), type_byte)
}

pub fn gzipped(bytes: &[u8]) -> Vec<u8> {
    let mut packer = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::fast());
    packer.write_all(bytes).unwrap();
    packer.finish().unwrap()
}

pub fn zstandard(bytes: &[u8]) -> Vec<u8> {
    zstd::encode_all(bytes, 1).unwrap()
}

/// SHA-256 as lower-case hex.
pub fn sha256(bytes: &[u8]) -> String {
    use sha2::Digest;
    sha2::Sha256::digest(bytes).iter().map(|byte| format!("{byte:02x}")).collect()
}
