//! The command `layout`, and the layout that other commands are given.

use std::path::{Path, PathBuf};

use counterfoil::day::{self, Day, LaidOut, Wishes};
use counterfoil::export::{DateOrder, KnownLayout, known_layout};
use counterfoil::ledger::{self, OutputFile};
use counterfoil::report;
use counterfoil::stick::{INPUT_LIMIT_BYTES, SourceKind, read_small_file};

use crate::cli::Layout;
use crate::commands::{ELSEWHERE, exit_of, file_name, limits, screen};
use crate::ending::{Exit, Stop, VERSION};
use crate::opening::{Opened, open_each, refuse_on_stick};
use crate::terminal;

/// A layout file is not read beyond so many bytes: one of 512 columns has not half as many.
const LAYOUT_LIMIT_BYTES: u64 = 1 << 20;

/// Tells how one export is laid out, and keeps that where asked.
pub fn layout(typed: &Layout) -> Result<Exit, Stop> {
    let path = typed.file.display().to_string();
    let opened = open_each(std::slice::from_ref(&typed.file));
    let Some(stick) = opened.sticks.first() else { return unread(typed, opened) };
    if stick.kind != SourceKind::File {
        let what = if stick.kind == SourceKind::Image { "an image of a stick" } else { "a folder or drive" };
        let message = format!(
            "{path} is {what}, not one export. \"counterfoil examine {path} --files\" lists the files on it; copy one \
             off and name that."
        );
        return Err(Stop::usage(message));
    }
    typed.save.as_deref().map_or(Ok(()), |save| refuse_on_stick(save, &opened))?;
    let Some(stick) = opened.sticks.into_iter().next() else { return Ok(Exit::NoSource) };
    let laid_out = day::lay_out(stick, &Wishes::new(limits(None)?));
    let saved = typed.save.as_deref().map(|save| keep(save, &laid_out)).transpose()?.flatten();
    tell(typed, &laid_out, saved.as_deref())?;
    Ok(exit_of(&laid_out.day))
}

fn tell(typed: &Layout, laid_out: &LaidOut, saved: Option<&str>) -> Result<(), Stop> {
    let path = typed.file.display().to_string();
    if typed.json {
        terminal::print(&report::layout_json(laid_out, &path, saved, VERSION).map_err(Stop::usage)?);
    } else {
        terminal::print(&terminal::laid_out(laid_out, &path, saved, screen()));
    }
    Ok(())
}

/// The file could not be opened, as was said; the one document that was asked for says so too.
fn unread(typed: &Layout, opened: Opened) -> Result<Exit, Stop> {
    if typed.json {
        let day = Day { not_checked: opened.unread, ..Day::default() };
        tell(typed, &LaidOut { day, known: None, why: Vec::new(), looks_like: None }, None)?;
    }
    Ok(Exit::NoSource)
}

/// Writes the layout; where it was written, unless there is none.
fn keep(save: &Path, laid_out: &LaidOut) -> Result<Option<String>, Stop> {
    let name = save.display().to_string();
    let Some(resource) = report::resource(laid_out) else {
        terminal::say(&format!("{name} was not written: there is no layout to save."));
        return Ok(None);
    };
    let text = resource.to_json().map_err(Stop::usage)?;
    let stands = save.symlink_metadata().is_ok();
    let same = || read_small_file(save, INPUT_LIMIT_BYTES).is_ok_and(|bytes| bytes == text.as_bytes());
    if stands && !same() {
        let message = format!("{name} is there already and was not touched. Name another file with --save.");
        return Err(Stop::usage(message));
    }
    let file = OutputFile::new(&file_name(save)?, text.into_bytes());
    let folder = save.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let elsewhere = |error| Stop::usage(format!("--save: {error}. {ELSEWHERE}"));
    ledger::write_files(folder, &[file]).map_err(elsewhere)?;
    Ok(Some(name))
}

/// The layout named by an option.
pub fn given(path: Option<&PathBuf>, order: Option<DateOrder>) -> Result<Option<KnownLayout>, Stop> {
    let Some(path) = path else { return Ok(None) };
    let bytes = read_small_file(path, LAYOUT_LIMIT_BYTES).map_err(|error| Stop::usage(format!("--layout: {error}")))?;
    let text = String::from_utf8_lossy(&bytes);
    let known = known_layout(&text).map_err(|error| {
        let name = path.display();
        let next = "Correct it, or save a new one with \"counterfoil layout\".";
        Stop::usage(format!("--layout: {name} is no layout that can be used. {error}. {next}"))
    })?;
    if let (Some(said), Some(asked)) = (known.date_order, order)
        && said != asked
    {
        let message =
            "--date-order and the layout name different orders of day, month and year. Leave one of them out.";
        return Err(Stop::usage(message));
    }
    Ok(Some(known))
}
