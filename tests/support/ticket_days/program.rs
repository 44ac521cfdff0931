//! Lets the program judge a day: its export in a folder or on a stick image, opened, read and reconciled as the command does it.

use counterfoil::day::{self, TicketFile, Wishes};
use counterfoil::volume::Limits;
use counterfoil::{report, stick};
use fatfs::FatType;
use serde_json::Value;

use super::model::TicketDay;
use crate::support::fat_image::FatImage;

/// The document that `counterfoil saleday --tickets --json` would print of the day, without control totals.
pub fn document(day: &TicketDay) -> Value {
    let folder = tempfile::tempdir().unwrap();
    let live = day.export(false).unwrap_or_default();
    let place = match day.export(true) {
        Some(deleted) => {
            let path = folder.path().join("stick.img");
            std::fs::write(&path, image(&live, &deleted)).unwrap();
            path
        }
        None => {
            std::fs::write(folder.path().join("weighed.csv"), live).unwrap();
            folder.path().to_path_buf()
        }
    };
    let opened = stick::open(&place, "source-1").unwrap();
    let tickets = Some(TicketFile { name: "tickets.csv".to_owned(), bytes: day.list().into_bytes() });
    let wishes = Wishes { tickets, ..Wishes::new(Limits::common().unwrap()) };
    let done = day::run(vec![opened], &wishes);
    let text = report::document(&done, &[], "0").to_json().unwrap();
    serde_json::from_str(&text).unwrap()
}

/// A stick on which one of two exports was deleted.
fn image(live: &str, deleted: &str) -> Vec<u8> {
    let mut image = FatImage::blank(FatType::Fat16);
    image.write("WEIGHED.CSV", live.as_bytes());
    image.write("WEIGHEDB.CSV", deleted.as_bytes());
    image.delete("WEIGHEDB.CSV");
    image.bytes
}
