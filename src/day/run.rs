//! One run: examine, read, explain, reconcile.

use chrono::NaiveDate;
use sha2::{Digest, Sha256};

use super::exports::{Exports, Reading, hex, read_exports};
use super::model::{Day, SourceState};
use super::order;
use super::period;
use crate::draft::{self, Draft, Weighings};
use crate::export::{self, DateHints, DateOrder, Export};
use crate::finding::{Finding, NotChecked};
use crate::reconcile::{self, Reconciled, Sides};
use crate::sequence::{self, Known, PaperTicket, Sequence};
use crate::stick::{Medium, Stick};
use crate::ticket::{self, StatedTicket, TicketList, TicketStatus};
use crate::units::Percent;
use crate::volume::{self, FileState, Limits};

/// A ticket list as given.
#[derive(Debug, Clone)]
pub struct TicketFile {
    /// What people call it.
    pub name: String,
    /// Its bytes.
    pub bytes: Vec<u8>,
}

/// What a person asked for.
#[derive(Debug, Clone)]
pub struct Wishes {
    /// The typed list of the paper tickets.
    pub tickets: Option<TicketFile>,
    /// From and to, where named.
    pub period: Option<(Option<NaiveDate>, Option<NaiveDate>)>,
    /// The order of dates, where named.
    pub date_order: Option<DateOrder>,
    /// The shrink, where nothing else states one.
    pub shrink: Option<Percent>,
    /// Whether rows of deleted and lost data count.
    pub accept_recovered: bool,
    /// Whether every file is to be given its checksum.
    pub hash_files: bool,
    /// What the indicator can write to.
    pub limits: Limits,
}

impl Wishes {
    /// Nothing asked for but these limits.
    #[must_use]
    pub const fn new(limits: Limits) -> Self {
        Self {
            tickets: None,
            period: None,
            date_order: None,
            shrink: None,
            accept_recovered: false,
            hash_files: false,
            limits,
        }
    }
}

/// Examines the sticks alone: what is on them, and could the indicator write there.
#[must_use]
pub fn examine(sticks: Vec<Stick>, wishes: &Wishes) -> Day {
    let looked = look(sticks, wishes, &[]);
    let mut day = looked.day;
    for export in day.exports.iter().filter(|export| export.state != FileState::Live) {
        day.findings.push(export::findings::deleted(export, only_here(&looked.weighings, export), false));
    }
    order::settle(&mut day.findings);
    day
}

/// The main job: examine, read, explain the numbers, reconcile with the paper.
#[must_use]
pub fn run(sticks: Vec<Stick>, wishes: &Wishes) -> Day {
    let list = wishes.tickets.as_ref().map(|file| ticket::read(&file.bytes, &file.name, wishes.date_order));
    let list_given = list.as_ref().is_some_and(|list| list.usable);
    let TicketList { tickets: stated, findings: list_findings, .. } = list.unwrap_or_default();
    let Looked { mut day, weighings } = look(sticks, wishes, &stated);
    for export in day.exports.iter().filter(|export| export.state != FileState::Live) {
        let only = only_here(&weighings, export);
        day.findings.push(export::findings::deleted(export, only, wishes.accept_recovered));
    }
    let Weighings { drafts, totals, legible, .. } = weighings;
    let known = Known { tickets: stated.iter().filter(|ticket| expects_drafts(ticket)).map(paper).collect(), legible };
    let Sequence { drafts, events, sessions, findings: sequence_findings } = sequence::explain(drafts, &known);
    let days = period::sale_days(&drafts);
    let chosen = period::choose(wishes.period, &stated);
    let inside = |draft: &Draft| chosen.holds(days.get(&draft.id).copied());
    let of_period: Vec<Draft> = drafts.iter().filter(|draft| inside(draft)).cloned().collect();
    let tickets = if list_given {
        stated.into_iter().filter(|ticket| chosen.holds(ticket.date)).collect()
    } else {
        reconcile::as_tickets(&totals, &of_period)
    };
    let sides = Sides { drafts: &of_period, days: &days, events: &events, list_given, shrink: wishes.shrink };
    let Reconciled { tickets, unticketed, balance, findings: ticket_findings } = reconcile::reconcile(sides, tickets);

    day.period = Some(chosen);
    day.shrink = wishes.shrink;
    day.outside_period = drafts.iter().filter(|draft| draft.counts() && !inside(draft)).count() as u64;
    day.in_period = of_period.iter().map(|draft| draft.id.clone()).collect();
    day.findings.extend(draft::findings::of_drafts(&drafts));
    day.findings.extend(sequence_findings);
    day.findings.extend(list_findings);
    day.findings.extend(ticket_findings);
    day.not_checked.extend(not_reconciled(wishes, list_given, tickets.len()));
    (day.drafts, day.sessions, day.sequence) = (drafts, sessions, events);
    (day.tickets, day.ticket_list_given, day.unticketed, day.balance) = (tickets, list_given, unticketed, balance);
    order::settle(&mut day.findings);
    day
}

/// The sources looked at and the rows read, before anything is explained.
struct Looked {
    day: Day,
    weighings: Weighings,
}

fn look(sticks: Vec<Stick>, wishes: &Wishes, stated: &[StatedTicket]) -> Looked {
    let mut findings = Vec::new();
    let mut not_checked = Vec::new();
    let media: Vec<(Medium, SourceState)> = sticks
        .into_iter()
        .map(|stick| {
            findings.extend(stick.findings);
            not_checked.extend(stick.not_checked);
            let mut survey = volume::survey_medium(&stick.medium, &stick.id);
            if wishes.hash_files {
                volume::hash_files(&mut survey, &stick.medium);
            }
            findings.extend(survey.findings.iter().cloned());
            not_checked.extend(survey.not_checked.iter().cloned());
            let state = SourceState {
                id: stick.id,
                path: stick.path,
                kind: stick.kind,
                size_bytes: stick.size_bytes,
                sha256: stick.sha256,
                survey,
                suitability: None,
            };
            (stick.medium, state)
        })
        .collect();
    let reading = reading(wishes, stated);
    let (media, states): (Vec<Medium>, Vec<SourceState>) = media.into_iter().unzip();
    let sources: Vec<(SourceState, &Medium)> = states.into_iter().zip(&media).collect();
    let Exports { mut exports, findings: of_exports, not_checked: unread, files_seen } =
        read_exports(&sources, &reading);
    findings.extend(of_exports);
    not_checked.extend(unread);
    let weighings = draft::collect(&exports, wishes.accept_recovered);
    mark_copies(&mut exports, &weighings, &mut findings);
    let mut sources: Vec<SourceState> = sources.into_iter().map(|(state, _)| state).collect();
    judge_sticks(&mut sources, &exports, wishes, &media, &mut findings, &mut not_checked);
    if exports.is_empty() {
        let first = sources.first().map(|source| source.id.clone()).unwrap_or_default();
        findings.push(export::findings::no_export(&first, files_seen));
    }
    let day = Day { sources, exports, findings, not_checked, ..Day::default() };
    Looked { day, weighings }
}

/// What helps to read the exports: the order named, the days of the tickets, and that the list itself is none.
fn reading(wishes: &Wishes, stated: &[StatedTicket]) -> Reading {
    Reading {
        hints: DateHints { order: wishes.date_order, near: stated.iter().filter_map(|ticket| ticket.date).collect() },
        not_exports: wishes.tickets.iter().map(|file| hex(&Sha256::digest(&file.bytes))).collect(),
    }
}

fn mark_copies(exports: &mut [Export], weighings: &Weighings, findings: &mut Vec<Finding>) {
    for (copy, original) in &weighings.copies {
        let name = exports.iter().find(|export| export.id == *original).map(|export| export.name().to_owned());
        let Some(export) = exports.iter_mut().find(|export| export.id == *copy) else { continue };
        export.duplicate_of = Some(original.clone());
        // A deleted copy is told of once, as deleted.
        if export.state == FileState::Live {
            findings.push(export::findings::duplicated(export, name.as_deref().unwrap_or(original)));
        }
    }
}

/// Could the indicator write here? A volume that holds live rows evidently was written to.
fn judge_sticks(
    sources: &mut [SourceState],
    exports: &[Export],
    wishes: &Wishes,
    media: &[Medium],
    findings: &mut Vec<Finding>,
    not_checked: &mut Vec<NotChecked>,
) {
    for (source, _) in sources.iter_mut().zip(media).filter(|(_, medium)| matches!(medium, Medium::Raw(_))) {
        let id = source.id.clone();
        let live_rows = |volume: usize| {
            let here = |export: &&Export| export.source == id && export.volume == Some(volume);
            exports.iter().filter(here).any(|export| export.state == FileState::Live && export.counts.drafts > 0)
        };
        let suitability = volume::judge(&source.survey, &wishes.limits, &live_rows);
        findings.extend(suitability.findings.iter().cloned());
        not_checked.extend(suitability.not_checked.iter().cloned());
        source.suitability = Some(suitability);
    }
}

fn only_here(weighings: &Weighings, export: &Export) -> usize {
    weighings.only_in.get(&export.id).copied().unwrap_or(0)
}

fn expects_drafts(ticket: &StatedTicket) -> bool {
    ticket.status != TicketStatus::Void
}

fn paper(ticket: &StatedTicket) -> PaperTicket {
    PaperTicket {
        number: ticket.number.clone(),
        date: ticket.date,
        first_transaction: ticket.first_transaction,
        last_transaction: ticket.last_transaction,
    }
}

fn not_reconciled(wishes: &Wishes, list_given: bool, tickets: usize) -> Option<NotChecked> {
    let why = match (list_given, wishes.tickets.is_some(), tickets) {
        (true, _, _) => return None,
        (false, true, _) => "the ticket list could not be used",
        (false, false, 0) => "no ticket list was given (--tickets)",
        (false, false, _) => "no ticket list was given (--tickets); only the export's own totals were compared",
    };
    Some(NotChecked::new("whether the drafts tie to the paper tickets", why))
}
