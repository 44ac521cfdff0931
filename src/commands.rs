//! Carries out what was typed: opens sources, runs the day, writes files, chooses the exit status.

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use counterfoil::day::{self, Day, TicketFile, Wishes};
use counterfoil::ledger::{self, Ledger, OutputFile};
use counterfoil::report;
use counterfoil::stick::{INPUT_LIMIT_BYTES, read_small_file};
use counterfoil::volume::Limits;

use crate::cli::{Command, DayOptions, Examine, Explain, Saleday, Tickets};
use crate::ending::{Exit, Stop, VERSION, exit_of};
use crate::laying_out::layout;
use crate::naming::sources;
use crate::opening::{open_all, refuse_on_stick, settle_not_checked};
use crate::option_files::{given_layout, limits};
use crate::terminal::{self, screen};
use crate::writing::{write, write_one};

/// Runs a command to its exit status.
pub fn run(command: Command) -> ExitCode {
    let done = match command {
        Command::Saleday(typed) => saleday(typed),
        Command::Tickets(typed) => tickets(typed),
        Command::Examine(typed) => examine(typed),
        Command::Ledger(typed) => ledger_alone(typed),
        Command::Layout(typed) => layout(&typed),
        Command::Explain(typed) => explain(&typed),
    };
    let exit = done.unwrap_or_else(|stop| {
        stop.message.iter().for_each(|message| terminal::say(message));
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

fn saleday(typed: Saleday) -> Result<Exit, Stop> {
    let wishes = wishes(&typed.day, limits(typed.limits.as_deref())?)?;
    whole_day(typed.sources.sources, &wishes, typed.out.as_deref(), typed.json, Output::LedgerAndReport)
}

fn ledger_alone(typed: crate::cli::Ledger) -> Result<Exit, Stop> {
    let wishes = wishes(&typed.day, limits(None)?)?;
    whole_day(typed.sources.sources, &wishes, Some(&typed.out), typed.json, Output::LedgerAlone)
}

fn whole_day(
    named: Vec<PathBuf>,
    wishes: &Wishes,
    out: Option<&Path>,
    json: bool,
    output: Output,
) -> Result<Exit, Stop> {
    let wanted = json.then_some(report_document as fn(&Day) -> _);
    let opened = open_all(&sources(named, wanted)?, wanted)?;
    out.map_or(Ok(()), |out| refuse_on_stick(out, &opened))?;
    let (exit, unread) = (opened.exit(), opened.unread.len());
    let mut day = day::run(opened.sticks, wishes);
    settle_not_checked(&mut day, opened.unread);
    let Ledger { control, files, findings } = ledger::prepare(&day);
    day::add_findings(&mut day, findings);
    // Of a large day the document is large too: it is made where someone wants it.
    let document = || report::document(&day, &control, VERSION).to_json().map_err(Stop::usage);
    if json {
        terminal::print(&document()?);
    } else {
        terminal::print(&terminal::saleday(&day, &control, unread, wishes.tickets.as_ref(), screen()));
    }
    if let Some(out) = out {
        let mut all = files.unwrap_or_default();
        if output == Output::LedgerAndReport {
            let now = chrono::Local::now().naive_local();
            let page = report::page(&day, &control, unread, now, VERSION);
            all.push(OutputFile::new("report.html", page.into_bytes()));
            all.push(OutputFile::new("report.json", document()?.into_bytes()));
        }
        write(out, &all)?;
    }
    Ok(exit.max(exit_of(&day)))
}

fn examine(typed: Examine) -> Result<Exit, Stop> {
    let wishes = Wishes { hash_files: typed.files, ..Wishes::new(limits(typed.limits.as_deref())?) };
    let wanted = typed.json.then_some(report_document as fn(&Day) -> _);
    let opened = open_all(&sources(typed.source.into_iter().collect(), wanted)?, wanted)?;
    let mut day = day::examine(opened.sticks, &wishes);
    settle_not_checked(&mut day, opened.unread);
    if typed.json {
        let document = report::document(&day, &[], VERSION);
        let document = if typed.files { document.with_files() } else { document };
        terminal::print(&document.to_json().map_err(Stop::usage)?);
    } else {
        terminal::print(&terminal::examined(&day, typed.files, screen()));
    }
    Ok(exit_of(&day))
}

/// The document of a day without ledger.
fn report_document(day: &Day) -> Result<String, Stop> {
    report::document(day, &[], VERSION).to_json().map_err(Stop::usage)
}

/// The document of a list that was not written.
fn no_list(day: &Day) -> Result<String, Stop> {
    report::tickets_json(&[], None, day).map_err(Stop::usage)
}

fn tickets(typed: Tickets) -> Result<Exit, Stop> {
    if typed.to.exists() {
        let name = typed.to.display();
        return Err(Stop::usage(format!("{name} is there already and was not touched. Name another file with --to.")));
    }
    let wishes = Wishes { layout: given_layout(typed.layout.as_ref(), None)?, ..Wishes::new(limits(None)?) };
    let wanted = typed.json.then_some(no_list as fn(&Day) -> _);
    let opened = open_all(&sources(typed.sources.sources, wanted)?, wanted)?;
    refuse_on_stick(&typed.to, &opened)?;
    let (exit, unread) = (opened.exit(), opened.unread.len());
    let mut day = day::run(opened.sticks, &wishes);
    settle_not_checked(&mut day, opened.unread);
    let list = ledger::ticket_list(&day).map_err(Stop::usage)?;
    write_one(&typed.to, list.csv.clone(), "--to")?;
    let written = typed.to.display().to_string();
    if typed.json {
        terminal::print(&report::tickets_json(&list.tickets, Some(&written), &day).map_err(Stop::usage)?);
    } else {
        terminal::print(&terminal::list_written(
            &list.tickets,
            &written,
            report::unread(&day, unread),
            terminal::width(),
        ));
    }
    // The list itself is complete; what the stick shows besides is for `saleday` to say.
    Ok(exit)
}

fn explain(typed: &Explain) -> Result<Exit, Stop> {
    let kinds = report::catalogue();
    let wanted: Vec<_> = match typed.code.as_deref() {
        None => kinds.clone(),
        Some(code) => kinds.iter().filter(|kind| kind.code == code).copied().collect(),
    };
    if wanted.is_empty() {
        let code = typed.code.as_deref().unwrap_or_default();
        let message = format!("There is no finding with the code {code}. \"counterfoil explain\" lists all of them.");
        return Err(Stop::usage(message));
    }
    if typed.json {
        terminal::print(&report::explain_json(&wanted).map_err(Stop::usage)?);
    } else {
        terminal::print(&terminal::explained(&wanted, typed.code.is_some(), terminal::width()));
    }
    Ok(Exit::Clean)
}

fn wishes(options: &DayOptions, limits: Limits) -> Result<Wishes, Stop> {
    if let Some((Some(from), Some(to))) = options.period()
        && from > to
    {
        return Err(Stop::usage(format!("--from {from} lies after --to {to}. Name the earlier day first.")));
    }
    let tickets = options.tickets.as_deref().map(|path| {
        let bytes = read_small_file(path, INPUT_LIMIT_BYTES);
        let bytes = bytes.map_err(|error| Stop::usage(format!("--tickets: {error}")))?;
        Ok(TicketFile { name: path.display().to_string(), bytes })
    });
    Ok(Wishes {
        tickets: tickets.transpose()?,
        period: options.period(),
        date_order: options.date_order.map(Into::into),
        layout: given_layout(options.layout.as_ref(), options.date_order.map(Into::into))?,
        shrink: options.shrink,
        accept_recovered: options.accept_recovered,
        ..Wishes::new(limits)
    })
}
