//! How an invented indicator lays out its export: read from tables that are written down as text.

use std::sync::LazyLock;

/// The layouts for every seed.
const COMMON_TABLE: &str = include_str!("layouts.txt");
/// The layouts of scoring seeds alone.
const HELD_OUT_TABLE: &str = include_str!("held-out-layouts.txt");

/// Where the unit of the weights is stated.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum UnitPlace {
    Header,
    Suffix,
    Column,
    Nowhere,
}

/// What stands between cells.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Between {
    Sign(char),
    /// Runs of blanks; cells are never empty.
    Blanks,
    /// Every column has its width; cells may be empty.
    FixedWidth,
}

/// The order of a date.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Order {
    Mdy,
    Dmy,
    Ymd,
}

impl Order {
    /// The word of the document for it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Mdy => "mdy",
            Self::Dmy => "dmy",
            Self::Ymd => "ymd",
        }
    }
}

/// A column: its meaning in the words of the document, and the lines of its title.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Column {
    pub meaning: &'static str,
    pub titles: Vec<&'static str>,
}

/// How an export is laid out.
#[derive(Clone, Debug)]
pub struct Layout {
    pub name: &'static str,
    pub columns: Vec<Column>,
    pub between: Between,
    /// Blanks between columns, where blanks part them.
    pub gap: usize,
    /// Patterns of dates, times, and both in one.
    pub date: Option<&'static str>,
    pub time: Option<&'static str>,
    pub datetime: Option<&'static str>,
    /// Whether `a.m.` is written for `AM`.
    pub dotted_marks: bool,
    /// The word for the unit: it begins with l for pounds and k for kilograms.
    pub unit: &'static str,
    pub unit_place: UnitPlace,
    /// The scale division in thousandths, and the decimals weights are printed with.
    pub division: i64,
    pub decimals: usize,
    pub mark: char,
    pub group: Option<char>,
    pub average_decimals: usize,
    pub pay_decimals: usize,
    pub number_digits: usize,
    pub ticket: &'static str,
    pub lot: &'static str,
    /// Whether every cell is quoted, or every text.
    pub quote_all: bool,
    pub quote_text: bool,
    pub language: &'static str,
}

impl Layout {
    fn blank(name: &'static str) -> Self {
        Self {
            name,
            columns: Vec::new(),
            between: Between::Sign(','),
            gap: 1,
            date: None,
            time: None,
            datetime: None,
            dotted_marks: false,
            unit: "lb",
            unit_place: UnitPlace::Nowhere,
            division: 1000,
            decimals: 0,
            mark: '.',
            group: None,
            average_decimals: 1,
            pay_decimals: 0,
            number_digits: 0,
            ticket: "0000",
            lot: "000",
            quote_all: false,
            quote_text: false,
            language: "en",
        }
    }

    fn parse(lines: [&'static str; 3]) -> Self {
        let mut layout = Self::blank(lines[0].trim_start_matches("==").trim());
        for option in lines[1].split("; ") {
            let (key, value) = option.split_once(' ').unwrap_or_else(|| panic!("{option} has no value"));
            layout.set(key, value);
        }
        layout.columns = lines[2].split(" | ").map(column).collect();
        layout
    }

    fn set(&mut self, key: &str, value: &'static str) {
        let sign = || value.chars().next().unwrap();
        match key {
            "delim" => self.between = between(value),
            "gap" => self.gap = value.parse().unwrap(),
            "date" => self.date = Some(value),
            "time" => self.time = Some(value),
            "datetime" => self.datetime = Some(value),
            "marks" => self.dotted_marks = value == "a.m.",
            "unit" => self.set_unit(value),
            "division" => self.set_division(value),
            "mark" => self.mark = sign(),
            "group" => self.group = Some(if value == "space" { ' ' } else { sign() }),
            "avg" => self.average_decimals = value.parse().unwrap(),
            "pay" => self.pay_decimals = value.parse().unwrap(),
            "number" => self.number_digits = value.parse().unwrap(),
            "ticket" => self.ticket = value,
            "lot" => self.lot = value,
            "quote" => (self.quote_all, self.quote_text) = (value == "all", value == "text"),
            "lang" => self.language = value,
            // Said once more by the columns, which then have no titles.
            "header" => assert_eq!(value, "none"),
            other => panic!("{other} is no option of a layout"),
        }
    }

    fn set_unit(&mut self, value: &'static str) {
        let (unit, place) = value.split_once(' ').unwrap();
        self.unit = unit;
        self.unit_place = match place {
            "header" => UnitPlace::Header,
            "suffix" => UnitPlace::Suffix,
            "column" => UnitPlace::Column,
            "nowhere" => UnitPlace::Nowhere,
            other => panic!("{other} is no place for a unit"),
        };
    }

    fn set_division(&mut self, value: &str) {
        let (whole, decimals) = value.split_once('.').unwrap_or((value, ""));
        self.decimals = decimals.len();
        self.division = format!("{whole}{decimals:0<3}").parse().unwrap();
    }

    pub fn has(&self, meaning: &str) -> bool {
        self.columns.iter().any(|column| column.meaning == meaning)
    }

    pub fn position(&self, meaning: &str) -> Option<usize> {
        self.columns.iter().position(|column| column.meaning == meaning)
    }

    pub fn header_lines(&self) -> usize {
        self.columns.iter().map(|column| column.titles.len()).max().unwrap_or(0)
    }

    /// Whether a sign stands between cells.
    pub const fn delimited(&self) -> bool {
        matches!(self.between, Between::Sign(_))
    }

    /// The delimiter in the words of the document.
    pub const fn delimiter(&self) -> char {
        match self.between {
            Between::Sign(sign) => sign,
            Between::Blanks | Between::FixedWidth => ' ',
        }
    }

    /// `lb` or `kg`.
    pub fn true_unit(&self) -> &'static str {
        if self.unit.to_lowercase().starts_with('l') { "lb" } else { "kg" }
    }

    /// The unit as a reader can know it.
    pub fn stated_unit(&self) -> Option<&'static str> {
        (self.unit_place != UnitPlace::Nowhere).then(|| self.true_unit())
    }

    /// The pattern that holds the date.
    pub fn date_pattern(&self) -> Option<&'static str> {
        self.date.or(self.datetime)
    }

    pub fn order(&self) -> Option<Order> {
        let pattern = self.date_pattern()?.replace('-', "");
        Some(match pattern.chars().nth(1) {
            Some('m') => Order::Mdy,
            Some('d') => Order::Dmy,
            _ => Order::Ymd,
        })
    }

    pub fn two_digit_year(&self) -> bool {
        self.date_pattern().is_some_and(|pattern| pattern.contains("%y"))
    }

    /// `12h`, `24h`, or nothing where no time is printed.
    pub fn clock(&self) -> Option<&'static str> {
        let pattern = self.time.or(self.datetime)?;
        Some(if pattern.contains("%p") { "12h" } else { "24h" })
    }

    /// `second`, `minute`, `day`, or nothing where no date is printed.
    pub fn precision(&self) -> Option<&'static str> {
        self.date_pattern()?;
        Some(match self.time.or(self.datetime) {
            Some(pattern) if pattern.contains("%S") => "second",
            Some(_) => "minute",
            None => "day",
        })
    }
}

fn between(value: &str) -> Between {
    match value {
        "comma" => Between::Sign(','),
        "semicolon" => Between::Sign(';'),
        "tab" => Between::Sign('\t'),
        "pipe" => Between::Sign('|'),
        "spaces" => Between::Blanks,
        "fixed" => Between::FixedWidth,
        other => panic!("{other} is no delimiter"),
    }
}

fn column(written: &'static str) -> Column {
    match written.split_once('=') {
        Some((meaning, titles)) => {
            Column { meaning: meaning.trim(), titles: titles.split('~').map(str::trim).collect() }
        }
        None => Column { meaning: written.trim(), titles: Vec::new() },
    }
}

fn parse(table: &'static str) -> Vec<Layout> {
    let lines: Vec<_> = table.lines().filter(|line| !line.is_empty() && !line.starts_with('#')).collect();
    lines.chunks(3).map(|lines| Layout::parse([lines[0], lines[1], lines[2]])).collect()
}

/// The layouts readers may be developed with.
pub static COMMON: LazyLock<Vec<Layout>> = LazyLock::new(|| parse(COMMON_TABLE));

/// The layouts that are kept for scoring.
pub static HELD_OUT: LazyLock<Vec<Layout>> = LazyLock::new(|| parse(HELD_OUT_TABLE));
