//! Which sources a command reads: those that were named, or else the only removable drive.

use std::path::PathBuf;

use counterfoil::finding::NotChecked;
use counterfoil::stick::{self, Candidate, Choice, choose};

use crate::ending::{Exit, Stop};
use crate::opening::{Wanted, say_nothing_read};
use crate::terminal;

/// The sources to read. Where none was named, the removable drives are looked for, and what was chosen is said.
pub fn sources(named: Vec<PathBuf>, wanted: Wanted) -> Result<Vec<PathBuf>, Stop> {
    if !named.is_empty() {
        return Ok(named);
    }
    match choose(&stick::drives().list()) {
        Choice::One(drive) => {
            terminal::say(&format!("No SOURCE was named. Reading the only removable drive: {}.", in_words(&drive)));
            Ok(vec![drive.path])
        }
        Choice::Several(drives) => Err(which(&drives)),
        Choice::Nothing => Err(nothing(wanted)?),
    }
}

fn which(drives: &[Candidate]) -> Stop {
    terminal::say(&format!("No SOURCE was named, and {} removable drives are here:", drives.len()));
    drives.iter().for_each(|drive| terminal::say(&format!("  {}", in_words(drive))));
    Stop::usage("Name the one of the sale, or several of one sale.")
}

fn nothing(wanted: Wanted) -> Result<Stop, Stop> {
    let why = "no SOURCE was named, and no removable drive was found";
    say_nothing_read(wanted, vec![NotChecked::new("everything", why)])?;
    let message = "No SOURCE was named, and no removable drive was found. Put the stick in and wait until the computer \
                   shows it, or name what to read: a drive (E: or /media/stick), an image of a stick, or an export file.";
    Ok(Stop { exit: Exit::NoSource, message: Some(message.to_owned()) })
}

/// Path, name and size of a drive.
fn in_words(drive: &Candidate) -> String {
    let size = terminal::size(drive.size_bytes);
    let about = if drive.name.is_empty() { size } else { format!("{}, {size}", drive.name) };
    format!("{} ({about})", drive.path.display())
}
