//! Carries out what was typed: opens sources, runs the day, writes files, chooses the exit status.

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use counterfoil::day::{self, Day, TicketFile, Wishes};
use counterfoil::finding::Severity;
use counterfoil::ledger::{self, Ledger, OutputFile, Written};
use counterfoil::report;
use counterfoil::stick::{self, Stick, read_small_file};
use counterfoil::volume::Limits;

use crate::cli::{Command, DayOptions, Examine, Explain, Saleday, Tickets};
use crate::terminal::{self, Screen};

/// A larger ticket list is not read: ten years of tickets are smaller. In bytes (64 MiB).
const LARGEST_LIST: u64 = 64 << 20;

/// What the program ends with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Exit {
    /// Nothing that was checked needs a person.
    Clean = 0,
    /// Done, but something needs a person.
    NeedsPerson = 1,
    /// The command line is wrong, or a file named by an option is missing.
    Usage = 2,
    /// A source could not be opened or read at all.
    NoSource = 3,
}

/// Why a run stopped before its end.
struct Stop {
    exit: Exit,
    message: String,
}

impl Stop {
    fn usage(message: impl ToString) -> Self {
        Self { exit: Exit::Usage, message: message.to_string() }
    }
}

/// Runs a command to its exit status.
pub fn run(command: Command) -> ExitCode {
    let done = match command {
        Command::Saleday(typed) => saleday(&typed),
        Command::Tickets(typed) => tickets(&typed),
        Command::Examine(typed) => examine(&typed),
        Command::Ledger(typed) => ledger_alone(typed),
        Command::Explain(typed) => explain(&typed),
    };
    let exit = done.unwrap_or_else(|stop| {
        terminal::say(&stop.message);
        stop.exit
    });
    ExitCode::from(exit as u8)
}

/// Which files go into `--out`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Output {
    LedgerAndReport,
    LedgerAlone,
}

fn saleday(typed: &Saleday) -> Result<Exit, Stop> {
    whole_day(&typed.sources.sources, &typed.day, typed.out.as_deref(), typed.json, Output::LedgerAndReport)
}

fn ledger_alone(typed: crate::cli::Ledger) -> Result<Exit, Stop> {
    whole_day(&typed.sources.sources, &typed.day, Some(&typed.out), typed.json, Output::LedgerAlone)
}

fn whole_day(
    paths: &[PathBuf],
    options: &DayOptions,
    out: Option<&Path>,
    json: bool,
    output: Output,
) -> Result<Exit, Stop> {
    let wishes = wishes(options)?;
    if let Some((Some(from), Some(to))) = wishes.period
        && from > to
    {
        return Err(Stop::usage(format!("--from {from} lies after --to {to}. Name the earlier day first.")));
    }
    out.map_or(Ok(()), |out| refuse_on_stick(out, paths))?;
    let (sticks, sources) = open_all(paths)?;
    let mut day = day::run(sticks, &wishes);
    let Ledger { control, files, findings } = ledger::prepare(&day);
    day::add_findings(&mut day, findings);
    let screen = Screen { width: terminal::width(), colour: terminal::colour() };
    let document = report::document(&day, &control, env!("CARGO_PKG_VERSION"));
    let document = document.to_json().map_err(Stop::usage)?;
    if json {
        terminal::print(&document);
    } else {
        terminal::print(&terminal::saleday(&day, &control, wishes.tickets.as_ref(), screen));
    }
    if let Some(out) = out {
        let mut all = files.unwrap_or_default();
        if output == Output::LedgerAndReport {
            let now = chrono::Local::now().naive_local();
            let page = report::page(&day, &control, now, env!("CARGO_PKG_VERSION"));
            all.push(OutputFile::new("report.html", page.into_bytes()));
            all.push(OutputFile::new("report.json", document.into_bytes()));
        }
        write(out, &all)?;
    }
    Ok(sources.max(exit_of(&day)))
}

fn examine(typed: &Examine) -> Result<Exit, Stop> {
    let (sticks, sources) = open_all(std::slice::from_ref(&typed.source))?;
    let day = day::examine(sticks, &Wishes { hash_files: typed.files, ..nothing_asked()? });
    if typed.json {
        let document = report::document(&day, &[], env!("CARGO_PKG_VERSION"));
        let document = if typed.files { document.with_files() } else { document };
        terminal::print(&document.to_json().map_err(Stop::usage)?);
    } else {
        let screen = Screen { width: terminal::width(), colour: terminal::colour() };
        terminal::print(&terminal::examined(&day, typed.files, screen));
    }
    Ok(sources.max(exit_of(&day)))
}

fn tickets(typed: &Tickets) -> Result<Exit, Stop> {
    refuse_on_stick(&typed.to, &typed.sources.sources)?;
    if typed.to.exists() {
        let name = typed.to.display();
        return Err(Stop::usage(format!("{name} is there already and was not touched. Name another file with --to.")));
    }
    let (sticks, sources) = open_all(&typed.sources.sources)?;
    let day = day::run(sticks, &nothing_asked()?);
    let list = ledger::ticket_list(&day).map_err(Stop::usage)?;
    let file = OutputFile::new(&file_name(&typed.to)?, list.csv.clone());
    let folder = typed.to.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    ledger::write_files(folder, &[file]).map_err(Stop::usage)?;
    let written = typed.to.display().to_string();
    if typed.json {
        terminal::print(&report::tickets_json(&list.tickets, &written, &day.findings).map_err(Stop::usage)?);
    } else {
        terminal::print(&terminal::list_written(&list.tickets, &written, terminal::width()));
    }
    // The list itself is complete; what the stick shows besides is for `saleday` to say.
    Ok(sources)
}

fn explain(typed: &Explain) -> Result<Exit, Stop> {
    let kinds = report::catalogue();
    let wanted: Vec<_> = match typed.code.as_deref() {
        None => kinds.clone(),
        Some(code) => kinds.iter().filter(|kind| kind.code == code).copied().collect(),
    };
    if wanted.is_empty() {
        return Err(Stop::usage("There is no finding with this code. \"counterfoil explain\" lists all of them."));
    }
    if typed.json {
        terminal::print(&report::explain_json(&wanted).map_err(Stop::usage)?);
    } else {
        terminal::print(&terminal::explained(&wanted, typed.code.is_some(), terminal::width()));
    }
    Ok(Exit::Clean)
}

/// Opens what can be opened. One source that cannot be is told and the rest goes on; none at all is the end.
fn open_all(paths: &[PathBuf]) -> Result<(Vec<Stick>, Exit), Stop> {
    let mut sticks = Vec::new();
    let mut faults = Vec::new();
    for (n, path) in paths.iter().enumerate() {
        match stick::open(path, &format!("s{}", n + 1)) {
            Ok(stick) => sticks.push(stick),
            Err(error) => faults.push(error.to_string()),
        }
    }
    if sticks.is_empty() {
        return Err(Stop { exit: Exit::NoSource, message: faults.join("\n") });
    }
    faults.iter().for_each(|fault| terminal::say(fault));
    Ok((sticks, if faults.is_empty() { Exit::Clean } else { Exit::NoSource }))
}

fn wishes(options: &DayOptions) -> Result<Wishes, Stop> {
    let tickets = options.tickets.as_deref().map(|path| {
        let bytes = read_small_file(path, LARGEST_LIST).map_err(Stop::usage)?;
        Ok(TicketFile { name: path.display().to_string(), bytes })
    });
    Ok(Wishes {
        tickets: tickets.transpose()?,
        period: options.period(),
        date_order: options.date_order.map(Into::into),
        shrink: options.shrink,
        accept_recovered: options.accept_recovered,
        ..nothing_asked()?
    })
}

/// The usual limits and no other wish.
fn nothing_asked() -> Result<Wishes, Stop> {
    Limits::common().map(Wishes::new).map_err(Stop::usage)
}

/// The stick is never written to: what is to be written may not lie inside a source.
fn refuse_on_stick(target: &Path, sources: &[PathBuf]) -> Result<(), Stop> {
    let target = nearest_existing(target);
    let inside =
        |source: &&PathBuf| source.is_dir() && source.canonicalize().is_ok_and(|source| target.starts_with(source));
    sources.iter().find(inside).map_or(Ok(()), |source| {
        let message = format!(
            "Nothing was written: the place named lies on the stick itself ({}). Name a folder on this computer.",
            source.display()
        );
        Err(Stop::usage(message))
    })
}

/// The deepest part of a path that is there, with links followed.
fn nearest_existing(path: &Path) -> PathBuf {
    let absolute = std::path::absolute(path).unwrap_or_else(|_| path.to_owned());
    let found = absolute.ancestors().find_map(|part| part.canonicalize().ok());
    found.unwrap_or(absolute)
}

fn file_name(path: &Path) -> Result<String, Stop> {
    let name = path.file_name().map(|name| name.to_string_lossy().into_owned());
    name.ok_or_else(|| Stop::usage(format!("{} names no file. Name one with --to.", path.display())))
}

fn write(folder: &Path, files: &[OutputFile]) -> Result<(), Stop> {
    let written = ledger::write_files(folder, files)
        .map_err(|error| Stop { exit: Exit::NeedsPerson, message: error.to_string() })?;
    for Written { path, kept, .. } in &written {
        if let Some(kept) = kept {
            terminal::say(&format!("{} had other content; it was kept as {}.", path.display(), kept.display()));
        }
    }
    let names: Vec<_> = files.iter().map(|file| file.name.as_str()).collect();
    terminal::say(&format!("Written into {}: {}.", folder.display(), names.join(", ")));
    Ok(())
}

fn exit_of(day: &Day) -> Exit {
    let needs_person = day.findings.iter().any(|finding| finding.severity > Severity::Note);
    if needs_person { Exit::NeedsPerson } else { Exit::Clean }
}
