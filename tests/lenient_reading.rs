//! What can be read of a bad stick is read, and what cannot is said.

use counterfoil::day::{Wishes, run};
use counterfoil::stick::{FILLER, Here, Medium, SourceKind, Stick, read_leniently};
use counterfoil::volume::Limits;
use fatfs::FatType;

use crate::support::fat_image::FatImage;
use crate::support::memory::Patched;

#[test]
fn only_what_cannot_be_read_is_filled() {
    let bytes: Vec<u8> = (0..100_000_u32).map(|n| (n % 251) as u8).collect();
    let read = read_leniently(&Patched::unreadable(&bytes, 5200..6000), 64 * 1024);
    assert_eq!(read.bytes.len(), 64 * 1024);
    assert_eq!(read.faults.len(), 1, "neighbouring sectors are one place: {:?}", read.faults);
    assert_eq!((read.faults[0].at, read.faults[0].length), (5120, 1024));
    for (at, byte) in read.bytes.iter().enumerate() {
        let filled = (5120..6144).contains(&at);
        assert_eq!(*byte, if filled { FILLER } else { bytes[at] }, "byte {at}");
    }
    let sound = read_leniently(&Patched::whole(&bytes), u64::MAX);
    assert_eq!((sound.bytes, sound.faults.len()), (bytes, 0));
}

#[test]
fn a_stick_that_answers_nothing_is_not_asked_for_ever() {
    let bytes = vec![0; 16 << 20];
    let bad = Patched::unreadable(&bytes, 0..u64::MAX);
    let read = read_leniently(&bad, u64::MAX);
    assert_eq!((read.faults.len(), read.faults[0].length), (1, 16 << 20));
    assert!(bad.asked_for() < 1 << 30, "{}", bad.asked_for());
}

#[test]
fn a_bad_sector_costs_its_own_rows_only() {
    let mut image = FatImage::blank(FatType::Fat32);
    let row = |n: u32| format!("{n},10/17/2026,{}:{:02}:00 AM,10,{},T1\n", 1 + n / 60, n % 60, 7000 + n);
    let text = (1..=200).fold("Trans,Date,Time,Head,Gross lb,Ticket\n".to_owned(), |text, n| text + &row(n));
    image.write("LOG.CSV", text.as_bytes());
    let at = image.bytes.windows(text.len()).position(|window| window == text.as_bytes()).unwrap() as u64 + 2048;
    let bytes: &'static [u8] = Box::leak(image.bytes.into_boxed_slice());
    let stick = Stick {
        id: "s1".into(),
        path: "stick.img".into(),
        kind: SourceKind::Image,
        size_bytes: bytes.len() as u64,
        sha256: None,
        medium: Medium::Raw(Box::new(Patched::unreadable(bytes, at..at + 512))),
        here: Here::default(),
        findings: vec![],
        not_checked: vec![],
    };
    let day = run(vec![stick], &Wishes::new(Limits::common().unwrap()));
    let counts = day.exports[0].counts;
    assert_eq!(counts.unreadable, 1, "the lines of the sector have become one");
    assert!((180..200).contains(&counts.drafts), "{counts:?}");
    let told = day.findings.iter().find(|it| it.code == "unreadable-sectors" && it.place.export.is_some());
    let told = told.expect("it is told of the export");
    assert_eq!((told.place.source.as_deref(), told.place.volume), (Some("s1"), Some(0)));
    assert!(told.evidence.iter().any(|it| it.value == format!("byte {at}, 512 bytes")), "{:?}", told.evidence);
    let row = day.findings.iter().find(|it| it.code == "row-unreadable").expect("so is the row");
    assert!(row.detail.contains("the stick gave errors instead of part of this line"), "{}", row.detail);
}
