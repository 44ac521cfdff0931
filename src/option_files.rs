//! Files named by options: limits of sticks, and layouts of exports.

use std::path::{Path, PathBuf};

use counterfoil::export::{DateOrder, KnownLayout, known_layout};
use counterfoil::stick::{INPUT_LIMIT_BYTES, read_small_file};
use counterfoil::volume::Limits;

use crate::ending::Stop;

/// A layout file is not read beyond so many bytes: one of 512 columns has not half as many.
const LAYOUT_LIMIT_BYTES: u64 = 1 << 20;

/// What the indicator can write to: as a file says, or the common limits.
pub fn limits(path: Option<&Path>) -> Result<Limits, Stop> {
    let Some(path) = path else { return Limits::common().map_err(Stop::usage) };
    let bytes = read_small_file(path, INPUT_LIMIT_BYTES).map_err(|error| Stop::usage(format!("--limits: {error}")))?;
    Limits::from_json(&String::from_utf8_lossy(&bytes)).map_err(Stop::usage)
}

/// The layout named by an option.
pub fn given_layout(path: Option<&PathBuf>, order: Option<DateOrder>) -> Result<Option<KnownLayout>, Stop> {
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
