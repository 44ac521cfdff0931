//! One run: examine, read, explain, reconcile.

use std::collections::BTreeSet;

use chrono::NaiveDate;

use super::export_file::Reading;
use super::exports::{Exports, read_exports};
use super::model::{Day, Period};
use super::notes::Notes;
use super::paper::known;
use super::sources::{Source, judge_all, survey_all, written_days};
use super::{order, period};
use crate::draft::{self, Draft, StatedTotal, Weighings};
use crate::export::{self, DateHints, DateOrder, KnownLayout};
use crate::finding::{Finding, NotChecked};
use crate::reconcile::{self, Reconciled, Sides};
use crate::sequence::{self, Sequence};
use crate::stick::Stick;
use crate::ticket::{self, StatedTicket, TicketList};
use crate::units::{Percent, sha256};
use crate::volume::Limits;

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
    /// A layout that exports it fits are read by.
    pub layout: Option<KnownLayout>,
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
            layout: None,
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
    let mut notes = Notes::default();
    let mut sources = survey_all(sticks, wishes.hash_files, &mut notes);
    let read = read_exports(&sources, &reading(wishes, Vec::new()), &mut notes);
    judge_all(&mut sources, &read.exports, &wishes.limits, &mut notes);
    notes.findings.extend(about_all_exports(&sources, &read));
    let sources = sources.into_iter().map(|source| source.state).collect();
    order::settle(&mut notes.findings, &read.exports);
    Day { sources, exports: read.exports, findings: notes.findings, not_checked: notes.not_checked, ..Day::default() }
}

/// The main job: examine, read, explain the numbers, reconcile with the paper.
#[must_use]
pub fn run(sticks: Vec<Stick>, wishes: &Wishes) -> Day {
    let mut notes = Notes::default();
    let mut sources = survey_all(sticks, wishes.hash_files, &mut notes);
    let list = typed_list(wishes, written_days(&sources));
    let reading = reading(wishes, list.tickets.iter().filter_map(|ticket| ticket.date).collect());
    let read = read_exports(&sources, &reading, &mut notes);
    judge_all(&mut sources, &read.exports, &wishes.limits, &mut notes);
    let about_exports = about_all_exports(&sources, &read);
    let Exports { exports, weighings, .. } = read;
    let Weighings { drafts, mut totals, legible, copies, .. } = weighings;
    // A copy's totals are those of the original.
    totals.retain(|total| copies.iter().all(|(copy, _)| *copy != total.origin.export));
    let known = known(&list.tickets, &drafts, legible);
    let sequence = sequence::explain(drafts, &known);
    notes.add(&draft::findings::of_drafts(&sequence.drafts), &[]);
    notes.add(&sequence.findings, &[]);
    notes.add(&list.findings, &[]);
    let settled = settle_period(&sequence, list, &totals, wishes);
    notes.add(&settled.reconciled.findings, &settled.reconciled.not_checked);
    notes.not_checked.extend(not_reconciled(wishes, &settled));
    notes.findings.extend(about_exports);
    order::settle(&mut notes.findings, &exports);
    Day {
        sources: sources.into_iter().map(|source| source.state).collect(),
        period: Some(settled.period),
        outside_period: settled.outside,
        exports,
        in_period: settled.inside,
        drafts: sequence.drafts,
        sessions: sequence.sessions,
        sequence: sequence.events,
        tickets: settled.reconciled.tickets,
        shrink: wishes.shrink,
        ticket_list_given: settled.list_given,
        unticketed: settled.reconciled.unticketed,
        balance: settled.reconciled.balance,
        findings: notes.findings,
        not_checked: notes.not_checked,
    }
}

/// What is said once about all exports, behind what single rows and tickets show: there is none, or their dates are open,
/// or the layout given does not fit them.
fn about_all_exports(sources: &[Source], read: &Exports) -> Vec<Finding> {
    let none = read.exports.is_empty().then(|| sources.first()).flatten();
    let none = none.map(|first| export::findings::no_export(&first.state.id, read.looked_into));
    let open = || export::findings::date_order(&read.exports);
    let misfits = export::findings::layout_does_not_fit(&read.exports, &read.misfits);
    none.or_else(open).into_iter().chain(misfits).collect()
}

/// The typed list; its dates lie near the days on which the stick was written.
fn typed_list(wishes: &Wishes, near: Vec<NaiveDate>) -> TicketList {
    let hints = DateHints { order: wishes.date_order, near };
    wishes.tickets.as_ref().map(|file| ticket::read(&file.bytes, &file.name, &hints)).unwrap_or_default()
}

/// What helps to read the exports: the order named, the days of the tickets, and that the list itself is none.
fn reading(wishes: &Wishes, near: Vec<NaiveDate>) -> Reading {
    Reading {
        hints: DateHints { order: wishes.date_order, near },
        not_exports: wishes.tickets.iter().map(|file| sha256(&file.bytes)).collect(),
        accept_recovered: wishes.accept_recovered,
        layout: wishes.layout.clone(),
    }
}

/// The period, and its drafts laid beside its tickets.
struct Settled {
    period: Period,
    inside: BTreeSet<String>,
    outside: u64,
    list_given: bool,
    reconciled: Reconciled,
}

fn settle_period(sequence: &Sequence, list: TicketList, totals: &[StatedTotal], wishes: &Wishes) -> Settled {
    let days = period::sale_days(&sequence.drafts);
    let period = period::choose(wishes.period, &list.tickets);
    let (inside, outside): (Vec<&Draft>, Vec<&Draft>) =
        sequence.drafts.iter().partition(|draft| period.holds_draft(draft, &days));
    let drafts: Vec<Draft> = inside.into_iter().cloned().collect();
    let sides = Sides {
        drafts: &drafts,
        outside: &outside,
        days: &days,
        totals,
        events: &sequence.events,
        list_given: false,
        shrink: wishes.shrink,
    };
    let of_period =
        |tickets: Vec<StatedTicket>| tickets.into_iter().filter(|ticket| period.holds(ticket.date)).collect();
    let (own, loose) = reconcile::own_totals(totals, &sequence.drafts, &days);
    let mut reconciled = reconcile::reconcile(sides, of_period(own));
    if list.usable {
        let by_list = reconcile::reconcile(Sides { list_given: true, ..sides }, of_period(list.tickets));
        reconciled = reconcile::beside_own_totals(by_list, reconciled);
    }
    reconciled.findings.extend(loose);
    Settled {
        reconciled,
        period,
        inside: drafts.iter().map(|draft| draft.id.clone()).collect(),
        outside: outside.iter().filter(|draft| draft.counts()).count() as u64,
        list_given: list.usable,
    }
}

fn not_reconciled(wishes: &Wishes, settled: &Settled) -> Option<NotChecked> {
    let why = match (settled.list_given, wishes.tickets.is_some(), settled.reconciled.tickets.len()) {
        (true, _, _) => return None,
        (false, true, _) => "the ticket list could not be used",
        (false, false, 0) => "no ticket list was given (--tickets)",
        (false, false, _) => "no ticket list was given (--tickets); only the export's own totals were compared",
    };
    Some(NotChecked::new("whether the drafts tie to the paper tickets", why))
}
