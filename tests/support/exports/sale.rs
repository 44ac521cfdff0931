//! What was weighed on an invented sale: known before anything is printed.

use chrono::{NaiveDate, NaiveDateTime, TimeDelta};

use super::super::memory::Numbers;
use super::layout::Layout;
use super::names::{POUNDS_PER_HEAD, REMARKS, WEIGHERS, kinds};

/// One weighing. Weights are in thousandths of the unit, percentages in hundredths of a percent.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Weighing {
    pub number: u64,
    pub at: NaiveDateTime,
    pub ticket: u64,
    pub lot: u64,
    pub head: i64,
    pub gross: i64,
    pub tare: i64,
    pub shrink: i64,
    pub kind: &'static str,
    pub consignor: &'static str,
    pub buyer: &'static str,
    pub weigher: &'static str,
    pub remark: String,
}

impl Weighing {
    pub const fn net(&self) -> i64 {
        self.gross - self.tare
    }

    /// Weight per head with so many decimals, in thousandths; nothing where no head is stated.
    pub fn average(&self, decimals: usize) -> Option<i64> {
        (self.head > 0).then(|| rounded(i128::from(self.gross), i128::from(self.head), decimals))
    }

    /// Weight less shrink with so many decimals, in thousandths.
    pub fn pay(&self, of: i64, decimals: usize) -> i64 {
        rounded(i128::from(of) * i128::from(10_000 - self.shrink), 10_000, decimals)
    }
}

/// A quotient of thousandths, rounded half away from zero to so many decimals.
pub fn rounded(of: i128, by: i128, decimals: usize) -> i64 {
    let step = 10_i128.pow(3 - decimals as u32);
    let by = by * step;
    let whole = (of.abs() * 2 + by) / (by * 2);
    (whole * step * of.signum()) as i64
}

/// A few sale days' weighings, `least` or more, with names out of `names`.
pub fn weighings(layout: &Layout, names: &[&'static str], least: usize, numbers: &mut Numbers) -> Vec<Weighing> {
    let count = least + numbers.below(32);
    let days = sale_days(layout, numbers);
    let mut sale = Sale {
        layout,
        names,
        next: 1 + numbers.below(9_000) as u64,
        ticket: 1 + numbers.below(900) as u64,
        lot: 1 + numbers.below(90) as u64,
    };
    let mut lot = sale.open_lot(numbers);
    let mut rows: Vec<Weighing> = Vec::new();
    for index in 0..count {
        let day = days[index * days.len() / count];
        let before = rows.last().filter(|last| last.at.date() == day).map(|last| last.at);
        if numbers.below(4) == 0 {
            lot = sale.open_lot(numbers);
        }
        let started = day.and_hms_opt(6, 0, 0).unwrap() + TimeDelta::seconds(numbers.below(28_800) as i64);
        let at = before.map_or(started, |before| before + TimeDelta::seconds(70 + numbers.below(700) as i64));
        rows.push(sale.weigh(&lot, at, numbers));
    }
    rows
}

/// One day, or two or three a week apart. A year of two digits in front needs more days than one to be told.
fn sale_days(layout: &Layout, numbers: &mut Numbers) -> Vec<NaiveDate> {
    let first = NaiveDate::from_ymd_opt(2023, 1, 2).unwrap() + TimeDelta::days(numbers.below(1_200) as i64);
    let leading_year = layout.date_pattern().is_some_and(|pattern| pattern.starts_with("%y"));
    let count = if leading_year { 3 } else { [1, 1, 1, 2, 3][numbers.below(5)] };
    (0..count).map(|week| first + TimeDelta::days(week * 7)).collect()
}

struct Sale<'l> {
    layout: &'l Layout,
    names: &'l [&'static str],
    next: u64,
    ticket: u64,
    lot: u64,
}

/// What the drafts of a lot share.
struct Lot {
    kind: usize,
    per_head: i64,
    shrink: i64,
    consignor: &'static str,
    buyer: &'static str,
    weigher: &'static str,
}

impl Sale<'_> {
    fn open_lot(&mut self, numbers: &mut Numbers) -> Lot {
        self.lot += 1;
        self.ticket += 1;
        let kind = numbers.below(POUNDS_PER_HEAD.len());
        let (least, most) = POUNDS_PER_HEAD[kind];
        let pounds = least + numbers.below((most - least) as usize) as i64;
        Lot {
            kind,
            // 1 lb = 0.45359237 kg exactly (UCUM).
            per_head: if self.layout.true_unit() == "kg" { pounds * 45_359_237 / 100_000 } else { pounds * 1000 },
            shrink: [200, 250, 300, 400][numbers.below(4)],
            consignor: self.names[numbers.below(self.names.len())],
            buyer: self.names[numbers.below(self.names.len())],
            weigher: WEIGHERS[numbers.below(WEIGHERS.len())],
        }
    }

    fn weigh(&mut self, lot: &Lot, at: NaiveDateTime, numbers: &mut Numbers) -> Weighing {
        let head = if lot.kind >= 3 { 15 + numbers.below(60) as i64 } else { 4 + numbers.below(26) as i64 };
        let weight = head * lot.per_head / 1000 * (950 + numbers.below(101) as i64);
        let on_division =
            |weight: i64| (weight + self.layout.division / 2) / self.layout.division * self.layout.division;
        let number = self.next;
        self.next += if numbers.below(25) == 0 { 2 } else { 1 };
        let tare = numbers.below(8) as i64 * 10 * self.layout.division;
        Weighing {
            number,
            at,
            ticket: self.ticket,
            lot: self.lot,
            head,
            gross: on_division(weight) + if self.layout.has("tare") { tare } else { 0 },
            tare,
            shrink: lot.shrink,
            kind: kinds(self.layout.language)[lot.kind],
            consignor: lot.consignor,
            buyer: lot.buyer,
            weigher: lot.weigher,
            remark: REMARKS[numbers.below(REMARKS.len())].to_owned(),
        }
    }
}
