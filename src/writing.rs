//! Puts what was asked for into files, and says where it is.

use std::path::Path;

use counterfoil::ledger::{self, OutputFile, Written};

use crate::ending::{Exit, Stop};
use crate::terminal;

/// What to do where a file could not be written.
const ELSEWHERE: &str = "Name a folder in which you may write, on a drive with room, and run again.";

/// Writes files into a folder, and says so.
pub fn write(folder: &Path, files: &[OutputFile]) -> Result<(), Stop> {
    let written = ledger::write_files(folder, files)
        .map_err(|error| Stop { exit: Exit::NeedsPerson, message: Some(format!("--out: {error}. {ELSEWHERE}")) })?;
    for Written { path, kept, .. } in &written {
        if let Some(kept) = kept {
            terminal::say(&format!("{} had other content; it was kept as {}.", path.display(), kept.display()));
        }
    }
    let names: Vec<_> = files.iter().map(|file| file.name.as_str()).collect();
    terminal::say(&format!("Written into {}: {}.", folder.display(), names.join(", ")));
    Ok(())
}

/// Writes one file under the name that was given with an option.
pub fn write_one(path: &Path, bytes: Vec<u8>, option: &str) -> Result<(), Stop> {
    let name = path.file_name().map(|name| name.to_string_lossy().into_owned());
    let name = name.ok_or_else(|| Stop::usage(format!("{} names no file. Name one with {option}.", path.display())))?;
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let elsewhere = |error| Stop::usage(format!("{option}: {error}. {ELSEWHERE}"));
    ledger::write_files(folder, &[OutputFile::new(&name, bytes)]).map_err(elsewhere)?;
    Ok(())
}
