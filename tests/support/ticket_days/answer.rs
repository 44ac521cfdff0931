//! Answers about a day: what a document says of each ticket, and what a clerk would say who adds up the ticket column.

use std::collections::{BTreeMap, BTreeSet};

use serde_json::Value;

use super::figures::{Figures, hundredths};
use super::model::{Balance, Mark, Mode, TicketDay};

/// One explanation, as it was given.
#[derive(Clone, Debug, PartialEq)]
pub struct Explained {
    pub kind: String,
    pub transactions: BTreeSet<u64>,
    /// Without sign.
    pub figures: Option<Figures>,
}

/// What is said of a ticket.
#[derive(Clone, Debug, PartialEq)]
pub struct Told {
    pub outcome: String,
    pub explanations: Vec<Explained>,
    /// The numbers of its drafts.
    pub drafts: Vec<u64>,
}

/// What is said of a day.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Answer {
    /// By ticket number; of a ticket that is told twice, the first.
    pub tickets: BTreeMap<u32, Told>,
    /// The numbers of the drafts on no ticket.
    pub loose: Vec<u64>,
    /// The tickets of which it is said that their pay weight does not follow from the rest.
    pub pay_disagrees: BTreeSet<u32>,
    pub balance: Option<Balance>,
    /// Whether every counted draft stands on one ticket of the list, or is said to be on none, and the sums agree with that.
    pub conserved: bool,
}

/// The answer of a document.
pub fn of_document(document: &Value) -> Answer {
    let drafts = document["drafts"].as_array().unwrap().iter();
    let numbers: BTreeMap<&str, u64> =
        drafts.filter_map(|draft| Some((draft["id"].as_str()?, draft["transaction"].as_u64()?))).collect();
    let named = |ids: &Value| -> Vec<u64> {
        let ids = ids.as_array().into_iter().flatten().filter_map(Value::as_str);
        ids.filter_map(|id| numbers.get(id).copied()).collect()
    };
    let mut tickets = BTreeMap::new();
    for entry in stated(document) {
        if let Some(ticket) = entry["ticket"].as_str().and_then(|ticket| ticket.parse().ok()) {
            tickets.entry(ticket).or_insert_with(|| told(entry, named(&entry["drafts"])));
        }
    }
    let loose = named(&document["unticketed"]);
    let findings = document["findings"].as_array().unwrap().iter();
    let pay_disagrees = findings
        .filter(|finding| finding["code"] == "pay-weight-disagrees")
        .filter_map(|finding| finding["place"]["ticket"].as_str()?.parse().ok())
        .collect();
    Answer { tickets, loose, pay_disagrees, balance: balance(document), conserved: is_conserved(document) }
}

fn stated(document: &Value) -> impl Iterator<Item = &Value> {
    document["tickets"].as_array().unwrap().iter().filter(|ticket| ticket["source"] == "stated")
}

fn told(entry: &Value, drafts: Vec<u64>) -> Told {
    let explained = |said: &Value| Explained {
        kind: said["kind"].as_str().unwrap_or_default().to_owned(),
        transactions: said["transactions"].as_array().into_iter().flatten().filter_map(Value::as_u64).collect(),
        figures: figures(said).map(|figures| Figures::new(figures.head.abs(), figures.gross.abs())),
    };
    let explanations = entry["explanations"].as_array().into_iter().flatten().map(explained).collect();
    Told { outcome: entry["outcome"].as_str().unwrap_or_default().to_owned(), explanations, drafts }
}

fn figures(value: &Value) -> Option<Figures> {
    Some(Figures::new(value["head"].as_i64()?, hundredths(value["gross"].as_str()?)?))
}

fn balance(document: &Value) -> Option<Balance> {
    let [entry] = &document["balance"].as_array()?[..] else { return None };
    let part = |name: &str| figures(&entry[name]);
    Some(Balance {
        drafts: part("drafts")?,
        on_tickets: part("on_tickets")?,
        without_ticket: part("without_ticket")?,
        stated: part("stated")?,
        difference: part("difference")?,
    })
}

/// Drafts = on tickets + without ticket, in head and weight, and draft by draft.
fn is_conserved(document: &Value) -> bool {
    let Some(balance) = balance(document) else { return false };
    let ids = |list: &Value| -> Vec<String> {
        list.as_array().into_iter().flatten().map(|id| id.as_str().unwrap().to_owned()).collect()
    };
    let drafts = document["drafts"].as_array().unwrap().iter().filter(|draft| draft["standing"] == "counted");
    let mut counted: Vec<(String, Figures)> =
        drafts.map(|draft| (draft["id"].as_str().unwrap().to_owned(), figures(draft).unwrap_or_default())).collect();
    counted.sort();
    let loose = ids(&document["unticketed"]);
    let of = |ticket: &Value| -> Vec<String> {
        // A void ticket expects nothing: drafts that carry its number may be shown on it and still be on no ticket.
        let void = ticket["status"] == "void";
        ids(&ticket["drafts"]).into_iter().filter(|id| !(void && loose.contains(id))).collect()
    };
    let on: Vec<String> = stated(document).flat_map(of).collect();
    let sum = |wanted: &[String]| -> Figures {
        counted.iter().filter(|(id, _)| wanted.contains(id)).map(|(_, figures)| *figures).sum()
    };
    let mut placed = [on.clone(), loose.clone()].concat();
    // A ticket may name rows that do not count, such as recovered ones.
    placed.retain(|id| counted.iter().any(|(other, _)| other == id));
    placed.sort();
    placed.iter().eq(counted.iter().map(|(id, _)| id))
        && balance.drafts == balance.on_tickets + balance.without_ticket
        && (balance.on_tickets, balance.without_ticket) == (sum(&on), sum(&loose))
}

/// What one finds who adds up the ticket column and lays the list beside it. Where no column names tickets, nothing can be added up.
pub fn of_clerk(day: &TicketDay) -> Answer {
    let rows = || day.rows.iter().filter(|row| row.mark != Mark::Recovered);
    let on = |ticket: u32| rows().filter(move |row| day.mode == Mode::Column && row.printed == ticket);
    let told = |ticket: u32| {
        let line = day.line(ticket);
        let sum: Figures = on(ticket).map(|row| row.draft.figures).sum();
        let outcome = match (line.status == "void", sum == line.typed, on(ticket).count()) {
            (true, _, 0) => "tied",
            (_, _, 0) => "no-drafts",
            (false, true, _) => "tied",
            _ => "open",
        };
        let drafts = on(ticket).map(|row| row.draft.number).collect();
        Told { outcome: outcome.to_owned(), explanations: Vec::new(), drafts }
    };
    let tickets = day.cases.iter().map(|case| (case.ticket, told(case.ticket))).collect();
    let drafts: Figures = rows().map(|row| row.draft.figures).sum();
    let on_tickets = day.cases.iter().flat_map(|case| on(case.ticket)).map(|row| row.draft.figures).sum();
    let valid = day.lines.iter().filter(|line| line.status != "void");
    let stated = valid.map(|line| line.typed).sum();
    let balance =
        Balance { drafts, on_tickets, without_ticket: drafts - on_tickets, stated, difference: stated - drafts };
    Answer { tickets, balance: Some(balance), conserved: true, ..Answer::default() }
}
