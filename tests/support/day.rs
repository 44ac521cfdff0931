//! Runs built by hand: a fictional yard whose figures can be added up on paper.

use chrono::{NaiveDate, NaiveDateTime};
use counterfoil::day::{ChosenBy, Day, Period, SourceState};
use counterfoil::draft::{Draft, Origin, Standing};
use counterfoil::export::Fields;
use counterfoil::export::{DateHints, Export, read_content};
use counterfoil::finding::Finding;
use counterfoil::reconcile::{Explanation, ExplanationKind, Found, Outcome, TicketResult};
use counterfoil::sequence::{Event, EventKind};
use counterfoil::stick::SourceKind;
use counterfoil::ticket::{StatedTicket, TicketSource};
use counterfoil::units::{Confidence, Decimal, Head, LineNo, LocalTime, Money, Precision, TransactionNo, Unit, Weight};
use counterfoil::volume::{FileState, Survey};

/// A decimal written down.
pub fn dec(text: &str) -> Decimal {
    text.parse().unwrap()
}

/// A weight in pounds.
pub fn lb(text: &str) -> Weight {
    Weight::new(dec(text), Some(Unit::Pound))
}

/// A weight in kilograms.
pub fn kg(text: &str) -> Weight {
    Weight::new(dec(text), Some(Unit::Kilogram))
}

/// A time of the sale day, so many minutes after eight.
pub fn at(minutes: u32) -> NaiveDateTime {
    let day = NaiveDate::from_ymd_opt(2026, 3, 14).unwrap();
    day.and_hms_opt(8 + minutes / 60, minutes % 60, 0).unwrap()
}

/// A counted draft `d101` with number 101 and so on, weighed one minute after the number before.
pub fn draft(number: u64, head: u32, gross: Weight) -> Draft {
    let place = number.saturating_sub(100) % 600;
    Draft {
        id: format!("d{number}"),
        indicator: "1".into(),
        stated: Fields {
            transaction: Some(TransactionNo(number)),
            transaction_text: Some(format!("{number:05}")),
            at: Some(LocalTime { at: at(u32::try_from(place).unwrap()), precision: Precision::Minute }),
            head: Some(Head(head)),
            gross: Some(gross),
            ..Fields::default()
        },
        standing: Standing::Counted,
        flags: vec![],
        origin: Some(Origin {
            export: "e1".into(),
            line: LineNo(place + 2),
            byte: 40 + 60 * place,
            medium_offset: None,
        }),
        session: Some("s1".into()),
    }
}

/// A draft with something changed.
pub fn with<T>(mut thing: T, change: impl FnOnce(&mut T)) -> T {
    change(&mut thing);
    thing
}

/// A typed ticket that ties with the given drafts.
pub fn ticket(number: &str, drafts: &[&Draft]) -> TicketResult {
    let head: u32 = drafts.iter().filter_map(|draft| draft.stated.head).map(|head| head.0).sum();
    let gross = drafts.iter().filter_map(|draft| draft.stated.gross).reduce(|sum, gross| sum.plus(gross).unwrap());
    TicketResult {
        stated: StatedTicket {
            line: Some(LineNo(2)),
            date: Some(at(0).date()),
            head: Some(Head(head)),
            gross,
            ..StatedTicket::numbered(number.into(), TicketSource::Stated)
        },
        found: Found {
            drafts: drafts.len() as u64,
            head: Head(head),
            gross,
            average: gross.and_then(|gross| gross.per_head(Head(head))),
            pay_weight: None,
        },
        drafts: drafts.iter().map(|draft| draft.id.clone()).collect(),
        outcome: Outcome::Tied,
        explanations: vec![],
        value: None,
    }
}

/// A ticket whose paper states more than its drafts, with an account of it.
pub fn explained(mut result: TicketResult, head: u32, gross: Weight, text: &str) -> TicketResult {
    result.stated.head = result.stated.head.map(|stated| stated.plus(Head(head)));
    result.stated.gross = result.stated.gross.and_then(|stated| stated.plus(gross));
    result.outcome = Outcome::Explained;
    result.explanations.push(Explanation {
        kind: ExplanationKind::MissingDraft,
        text: text.into(),
        confidence: Confidence::percent(90),
        transactions: vec![TransactionNo(104)],
        head: Some(Head(head)),
        gross: Some(gross),
    });
    result
}

/// Money.
pub fn money(text: &str) -> Option<Money> {
    Some(Money(dec(text)))
}

/// A gap of lost numbers between two drafts.
pub fn gap(after: &Draft, before: &Draft, first: u64, last: u64) -> Event {
    Event {
        kind: EventKind::Gap,
        indicator: "1".into(),
        after: after.stated.transaction,
        before: before.stated.transaction,
        after_draft: Some(after.id.clone()),
        before_draft: Some(before.id.clone()),
        first_missing: Some(TransactionNo(first)),
        last_missing: Some(TransactionNo(last)),
        missing: last - first + 1,
        confidence: Confidence::percent(95),
        why: vec!["the pace of the day leaves room for them".into()],
    }
}

/// An image that was read, with nothing known of its volumes.
pub fn source() -> SourceState {
    SourceState {
        id: "source-1".into(),
        path: "stick.img".into(),
        kind: SourceKind::Image,
        size_bytes: 4096,
        sha256: None,
        survey: Survey {
            source_id: "source-1".into(),
            read_raw: true,
            capacity_bytes: Some(4096),
            sector_bytes: Some(512),
            partition_table: None,
            data_at: None,
            volumes: vec![],
            findings: vec![],
            not_checked: vec![],
        },
        suitability: None,
    }
}

/// The export these drafts could have been read from; only its first rows are written out.
pub fn export() -> Export {
    let text =
        "Number,Date,Time,Head,Gross,Unit\r\n101,2026-03-14,08:01,10,6000,lb\r\n102,2026-03-14,08:02,12,7200.5,lb\r\n";
    let content = read_content(text.as_bytes(), &DateHints::default(), &|_| None).expect("it is an export");
    Export {
        id: "e1".into(),
        source: "source-1".into(),
        volume: Some(0),
        path: Some("WEIGH.CSV".into()),
        state: FileState::Live,
        duplicate_of: None,
        size_bytes: text.len() as u64,
        sha256: "cd".repeat(32),
        modified: Some(at(60)),
        layout: content.layout,
        text: content.text,
        rows: content.rows,
        counts: content.counts,
    }
}

/// A run of these drafts, all of them in the period, without a ticket list.
pub fn day(drafts: Vec<Draft>) -> Day {
    Day {
        sources: vec![source()],
        period: Some(Period { from: None, to: None, chosen_by: ChosenBy::All }),
        outside_period: 0,
        exports: vec![],
        in_period: drafts.iter().map(|draft| draft.id.clone()).collect(),
        drafts,
        shrink: None,
        sessions: vec![],
        sequence: vec![],
        tickets: vec![],
        ticket_list_given: false,
        unticketed: None,
        balance: vec![],
        findings: vec![],
        not_checked: vec![],
    }
}

/// The run with a ticket list.
pub fn with_tickets(mut day: Day, tickets: Vec<TicketResult>) -> Day {
    let on_tickets: Vec<_> = tickets.iter().flat_map(|result| result.drafts.clone()).collect();
    let loose = day.drafts.iter().filter(|draft| draft.counts() && !on_tickets.contains(&draft.id));
    day.unticketed = Some(loose.map(|draft| draft.id.clone()).collect());
    day.ticket_list_given = true;
    day.tickets = tickets;
    day
}

/// The run with a finding more.
pub fn with_finding(mut day: Day, finding: Finding) -> Day {
    day.findings.push(finding);
    day
}

/// A small sale: five drafts of which one is a reprint, one number lost, two tickets of which one wants the lost draft.
pub fn small_sale() -> Day {
    let drafts = vec![
        draft(101, 10, lb("6000")),
        draft(102, 12, lb("7200.5")),
        draft(103, 9, lb("5399.5")),
        with(draft(102, 12, lb("7200.5")), |again| {
            again.id = "d102-2".into();
            again.standing = Standing::Reprint;
        }),
        draft(105, 8, lb("4900")),
    ];
    let first = with(ticket("0711", &[&drafts[0], &drafts[1]]), |result| {
        result.stated.shrink_percent = Some(counterfoil::units::Percent(dec("3")));
        result.found.pay_weight = Some(lb("12804.49"));
        result.value = money("17574.16");
    });
    let second = with(ticket("0712", &[&drafts[2], &drafts[4]]), |result| {
        result.stated.pay_weight = Some(lb("10000"));
        result.value = money("13725");
    });
    let second = explained(second, 7, lb("4100"), "Draft 104 is not on the stick: 7 head, 4,100 lb.");
    let gap = gap(&drafts[2], &drafts[4], 104, 104);
    with(with_tickets(day(drafts), vec![first, second]), |day| day.sequence.push(gap))
}
