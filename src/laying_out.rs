//! The command `layout`: how one export is laid out, told and kept.

use std::path::Path;

use counterfoil::day::{self, Day, LaidOut, Wishes};
use counterfoil::report;
use counterfoil::stick::{INPUT_LIMIT_BYTES, SourceKind, read_small_file};

use crate::cli::Layout;
use crate::ending::{Exit, Stop, VERSION, exit_of};
use crate::opening::{Opened, open_each, refuse_on_stick};
use crate::option_files::limits;
use crate::terminal::{self, screen};
use crate::writing::write_one;

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
    write_one(save, text.into_bytes(), "--save")?;
    Ok(Some(name))
}
