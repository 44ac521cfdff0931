//! What was typed. The only file that knows the command line.

use std::path::PathBuf;

use chrono::NaiveDate;
use clap::{Args, Parser, Subcommand, ValueEnum};
use counterfoil::export::DateOrder;
use counterfoil::units::{Decimal, Percent};

/// Reads what the indicator of a livestock group scale wrote to a USB stick, explains what is missing, ties the drafts to
/// the paper tickets, and writes a ledger whose totals prove themselves. The stick is never written to.
#[derive(Debug, Parser)]
#[command(name = "counterfoil", version, max_term_width = 80)]
pub struct Cli {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

/// Reads the command line; on a wrong one, or when help is asked for, says so and ends the program.
pub fn parse() -> Cli {
    Cli::parse()
}

/// The commands.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// The main job: examine the stick, explain the numbers, tie drafts to tickets, write ledger and report
    ///
    /// Example: counterfoil saleday E:\ --tickets tickets.csv --out 2026-10-17
    Saleday(Saleday),
    /// Write a list to fill in from the paper: the ticket numbers seen or expected, head and weight left blank
    ///
    /// Example: counterfoil tickets E:\ --to tickets.csv
    Tickets(Tickets),
    /// The stick alone: could the indicator write to it, what is on it, what is damaged, what could be got back
    ///
    /// Example: counterfoil examine stick.img --files
    Examine(Examine),
    /// How an export is laid out, and why it was read so
    ///
    /// Example: counterfoil layout day.csv --save our-indicator.json
    Layout(Layout),
    /// The ledger alone
    ///
    /// Example: counterfoil ledger E:\ --tickets tickets.csv --out 2026-10-17
    Ledger(Ledger),
    /// The manual page of a finding, or the list of all of them
    ///
    /// Example: counterfoil explain numbers-missing
    Explain(Explain),
}

/// Which sticks to read.
#[derive(Debug, Args)]
pub struct Sources {
    /// A drive or folder, an image of a stick (.img, .img.gz, .img.zst), or an export file; several of one sale may be named;
    /// none means the only removable drive
    #[arg(value_name = "SOURCE")]
    pub sources: Vec<PathBuf>,
}

/// What to lay beside the drafts, and how to read them.
#[derive(Debug, Args)]
pub struct DayOptions {
    /// The typed list of the paper tickets: a column "ticket", and "head" or "gross"
    #[arg(long, value_name = "FILE")]
    pub tickets: Option<PathBuf>,
    /// Only this day (YYYY-MM-DD)
    #[arg(long, value_name = "DATE", conflicts_with_all = ["from", "to"])]
    pub day: Option<NaiveDate>,
    /// From this day on
    #[arg(long, value_name = "DATE")]
    pub from: Option<NaiveDate>,
    /// Up to this day
    #[arg(long, value_name = "DATE")]
    pub to: Option<NaiveDate>,
    /// A layout saved by "counterfoil layout"; exports it fits are read by it exactly, others as usual
    #[arg(long, value_name = "FILE")]
    pub layout: Option<PathBuf>,
    /// The order of day and month in the export's dates, where it cannot be told
    #[arg(long, value_name = "ORDER")]
    pub date_order: Option<DateOrderArg>,
    /// Shrink in percent, for tickets that state none
    #[arg(long, value_name = "PCT", value_parser = percent)]
    pub shrink: Option<Percent>,
    /// Count drafts got back from deleted or lost data
    #[arg(long)]
    pub accept_recovered: bool,
}

/// `saleday`.
#[derive(Debug, Args)]
pub struct Saleday {
    #[command(flatten)]
    pub sources: Sources,
    #[command(flatten)]
    pub day: DayOptions,
    /// What the indicator can write to, as a JSON file like schemas/stick-limits.json; without it, the common limits
    #[arg(long, value_name = "FILE")]
    pub limits: Option<PathBuf>,
    /// Write ledger and report into this folder, which may not lie on the stick; without it, no file is written
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// Print one JSON document instead
    #[arg(long)]
    pub json: bool,
}

/// `tickets`.
#[derive(Debug, Args)]
pub struct Tickets {
    #[command(flatten)]
    pub sources: Sources,
    /// The list to write, not on the stick; a file that is there already is not touched
    #[arg(long, value_name = "FILE")]
    pub to: PathBuf,
    /// A layout saved by "counterfoil layout"; exports it fits are read by it exactly, others as usual
    #[arg(long, value_name = "FILE")]
    pub layout: Option<PathBuf>,
    /// Print one JSON document instead
    #[arg(long)]
    pub json: bool,
}

/// `examine`.
#[derive(Debug, Args)]
pub struct Examine {
    /// A drive or folder, an image of a stick (.img, .img.gz, .img.zst), or an export file; none means the only removable
    /// drive
    #[arg(value_name = "SOURCE")]
    pub source: Option<PathBuf>,
    /// What the indicator can write to, as a JSON file like schemas/stick-limits.json; without it, the common limits
    #[arg(long, value_name = "FILE")]
    pub limits: Option<PathBuf>,
    /// List every file with its checksum
    #[arg(long)]
    pub files: bool,
    /// Print one JSON document instead
    #[arg(long)]
    pub json: bool,
}

/// `layout`.
#[derive(Debug, Args)]
pub struct Layout {
    /// One export file, also packed (.gz, .zst)
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
    /// Save the layout as a Data Resource (JSON), not on the stick; a file with other content that is there is not touched
    #[arg(long, value_name = "FILE")]
    pub save: Option<PathBuf>,
    /// Print one JSON document instead
    #[arg(long)]
    pub json: bool,
}

/// `ledger`.
#[derive(Debug, Args)]
pub struct Ledger {
    #[command(flatten)]
    pub sources: Sources,
    #[command(flatten)]
    pub day: DayOptions,
    /// Write the ledger into this folder, which may not lie on the stick
    #[arg(long, value_name = "DIR")]
    pub out: PathBuf,
    /// Print one JSON document instead
    #[arg(long)]
    pub json: bool,
}

/// `explain`.
#[derive(Debug, Args)]
pub struct Explain {
    /// The code of a finding, such as numbers-missing; without it, all codes are listed
    #[arg(value_name = "CODE")]
    pub code: Option<String>,
    /// Print one JSON document instead
    #[arg(long)]
    pub json: bool,
}

/// The order of a date's parts, as typed.
#[derive(Debug, Clone, Copy, ValueEnum)]
pub enum DateOrderArg {
    /// Month, day, year
    Mdy,
    /// Day, month, year
    Dmy,
    /// Year, month, day
    Ymd,
}

impl From<DateOrderArg> for DateOrder {
    fn from(typed: DateOrderArg) -> Self {
        match typed {
            DateOrderArg::Mdy => Self::Mdy,
            DateOrderArg::Dmy => Self::Dmy,
            DateOrderArg::Ymd => Self::Ymd,
        }
    }
}

impl DayOptions {
    /// From and to, where any was named.
    pub fn period(&self) -> Option<(Option<NaiveDate>, Option<NaiveDate>)> {
        let (from, to) = (self.day.or(self.from), self.day.or(self.to));
        (from.is_some() || to.is_some()).then_some((from, to))
    }
}

fn percent(typed: &str) -> Result<Percent, String> {
    let amount: Decimal = typed.trim_end_matches('%').trim().parse().map_err(|_| "not a percentage".to_owned())?;
    if amount.is_sign_negative() || amount >= Decimal::ONE_HUNDRED {
        return Err("a shrink lies from 0 to below 100 percent".to_owned());
    }
    Ok(Percent(amount))
}
