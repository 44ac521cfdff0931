//! Lets the program judge a day: its exports on sticks, opened, read and explained as the command does it.

use std::path::Path;

use counterfoil::day::{self, TicketFile, Wishes};
use counterfoil::volume::Limits;
use counterfoil::{report, stick};
use serde_json::Value;

use super::made::SaleDay;

/// The document that `counterfoil saleday --json` would print of the day, without control totals: the ledger has its own tests.
pub fn document(day: &SaleDay) -> Value {
    let folder = tempfile::tempdir().unwrap();
    let sticks = day.files.iter().map(|file| file.stick).max().unwrap_or(0) + 1;
    for file in &day.files {
        let place = folder.path().join(format!("stick-{}", file.stick));
        std::fs::create_dir_all(&place).unwrap();
        std::fs::write(place.join(&file.name), &file.text).unwrap();
    }
    let opened = (0..sticks).map(|number| {
        // A day with one export is now and then that file alone.
        let place = folder.path().join(format!("stick-{number}"));
        let single =
            (sticks == 1 && day.files.len() == 1 && day.seed.is_multiple_of(4)).then(|| place.join(&day.files[0].name));
        open(single.as_deref().unwrap_or(&place), number)
    });
    let tickets = day.typed().map(|text| TicketFile { name: "tickets.csv".to_owned(), bytes: text.into_bytes() });
    let wishes = Wishes { tickets, ..Wishes::new(Limits::common().unwrap()) };
    let done = day::run(opened.collect(), &wishes);
    let text = report::document(&done, &[], "0").to_json().unwrap();
    serde_json::from_str(&text).unwrap()
}

fn open(path: &Path, number: usize) -> stick::Stick {
    stick::open(path, &format!("source-{}", number + 1)).unwrap()
}
