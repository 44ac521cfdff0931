//! Opens the sources that were named, and keeps what is written off the stick.

use std::collections::HashSet;
use std::path::{Path, PathBuf};

use counterfoil::day::Day;
use counterfoil::finding::NotChecked;
use counterfoil::stick::{self, SourceKind, Stick, lies_on_stick};

use crate::ending::{Exit, Stop};
use crate::terminal;

/// The sources of a run: those that could be opened, and what is said of those that could not.
pub struct Opened {
    /// What could be opened.
    pub sticks: Vec<Stick>,
    read: Vec<(PathBuf, SourceKind)>,
    /// What could not, and why.
    pub unread: Vec<NotChecked>,
}

impl Opened {
    /// The exit status as far as the sources decide it.
    pub const fn exit(&self) -> Exit {
        if self.unread.is_empty() { Exit::Clean } else { Exit::NoSource }
    }
}

/// Opens what can be opened. One source that cannot be is told and the rest goes on.
pub fn open_each(paths: &[PathBuf]) -> Opened {
    let mut opened = Opened { sticks: Vec::new(), read: Vec::new(), unread: Vec::new() };
    for (n, path) in paths.iter().enumerate() {
        match stick::open(path, &format!("s{}", n + 1)) {
            Ok(stick) => {
                opened.read.push((path.clone(), stick.kind));
                opened.sticks.push(stick);
            }
            Err(error) => {
                terminal::say(&error.to_string());
                opened.unread.push(NotChecked::new(format!("everything on {}", path.display()), error.to_string()));
            }
        }
    }
    opened
}

/// The same where nothing goes on without any source: the one document that was asked for says so.
pub fn open_all(paths: &[PathBuf], wanted: Wanted) -> Result<Opened, Stop> {
    let opened = open_each(paths);
    if !opened.sticks.is_empty() {
        return Ok(opened);
    }
    say_nothing_read(wanted, opened.unread)?;
    Err(Stop { exit: Exit::NoSource, message: None })
}

/// How the one document that was asked for is made of a day; `None` where none was asked for.
pub type Wanted = Option<fn(&Day) -> Result<String, Stop>>;

/// The document of a day of which nothing could be read.
pub fn say_nothing_read(wanted: Wanted, not_checked: Vec<NotChecked>) -> Result<(), Stop> {
    let Some(document) = wanted else { return Ok(()) };
    terminal::print(&document(&Day { not_checked, ..Day::default() })?);
    Ok(())
}

/// Adds what could not be read, first, and says the same thing about several sticks once.
pub fn settle_not_checked(day: &mut Day, unread: Vec<NotChecked>) {
    let mut said = HashSet::new();
    let all = unread.into_iter().chain(std::mem::take(&mut day.not_checked));
    day.not_checked = all.filter(|item| said.insert((item.what.clone(), item.why.clone()))).collect();
}

/// The stick is never written to.
pub fn refuse_on_stick(target: &Path, opened: &Opened) -> Result<(), Stop> {
    let own = own_places();
    let on_stick = |(path, kind): &&(PathBuf, SourceKind)| lies_on_stick(target, path, *kind, &own);
    opened.read.iter().find(on_stick).map_or(Ok(()), |(source, _)| {
        let message = format!(
            "Nothing was written: the place named lies on the stick itself ({}). Name a folder on this computer.",
            source.display()
        );
        Err(Stop::usage(message))
    })
}

/// Where systems show removable drives (Linux desktops, macOS; common practice).
const REMOVABLE: [&str; 3] = ["/media", "/run/media", "/Volumes"];

/// Places on file systems of this computer itself; what a stick holds is elsewhere. The current folder is one of them
/// unless it is on a removable drive.
fn own_places() -> Vec<PathBuf> {
    let on_removable = |place: &PathBuf| REMOVABLE.iter().any(|drives| place.starts_with(drives));
    let current = std::env::current_dir().ok().filter(|place| !on_removable(place));
    let named = [std::env::home_dir(), current, Some(std::env::temp_dir())];
    named.into_iter().flatten().chain([PathBuf::from("/")]).collect()
}
