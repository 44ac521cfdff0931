//! The reader under test: an export is laid into a folder, read by the library, and answered as the JSON document.

use std::fs::File;
use std::io::Write;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::time::{Duration, SystemTime};

use counterfoil::day::{Wishes, run};
use counterfoil::report::document;
use counterfoil::stick::open;
use counterfoil::volume::Limits;
use serde_json::Value;

/// 1 January 1980, where the clock of FAT begins ("FAT05", Date and Time): the time of a file that no clock was asked for,
/// so that it speaks for no order of dates.
const NO_CLOCK: Duration = Duration::from_secs(315_532_800);

/// The document of one export, or the words of a panic.
pub fn counterfoil(bytes: &[u8]) -> Result<Value, String> {
    catch_unwind(AssertUnwindSafe(|| read(bytes))).map_err(|panic| {
        let words = panic.downcast_ref::<String>().cloned();
        words.or_else(|| panic.downcast_ref::<&str>().map(|words| (*words).to_owned())).unwrap_or_default()
    })
}

fn read(bytes: &[u8]) -> Value {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("WEIGH.CSV");
    let mut file = File::create(&path).unwrap();
    file.write_all(bytes).unwrap();
    file.set_modified(SystemTime::UNIX_EPOCH + NO_CLOCK).unwrap();
    drop(file);
    let stick = open(&path, "source-1").unwrap();
    let day = run(vec![stick], &Wishes::new(Limits::common().unwrap()));
    let text = document(&day, &[], "0").to_json().unwrap();
    serde_json::from_str(&text).unwrap()
}
