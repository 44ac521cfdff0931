//! Short answers out of the document.

use serde_json::{Value, json};

use super::yard::Weighing;

/// What a draft says, without what depends on where it was read.
pub fn rows(document: &Value) -> Vec<Value> {
    let fields = ["id", "transaction", "at", "ticket", "head", "gross", "unit", "standing", "flags"];
    let drafts = document["drafts"].as_array().unwrap().iter();
    let row = |draft: &Value| {
        let said = fields.iter().map(|field| draft[field].clone());
        said.chain(["line", "byte"].map(|field| draft["origin"][field].clone())).collect()
    };
    drafts.map(row).collect()
}

/// The same drafts whatever the layout they were printed in: number, ticket, head and weight.
pub fn figures(document: &Value) -> Vec<Value> {
    let drafts = document["drafts"].as_array().unwrap().iter();
    drafts.map(|draft| json!([draft["transaction"], draft["ticket"], draft["head"], draft["gross"]])).collect()
}

/// The same, of weighings known beforehand.
pub fn expected_figures(weighings: &[Weighing]) -> Vec<Value> {
    let ticket = |weighing: &Weighing| weighing.ticket.map(|ticket| ticket.to_string());
    weighings.iter().map(|row| json!([row.number, ticket(row), row.head, row.gross.to_string()])).collect()
}

/// A ticket of the document.
pub fn ticket<'d>(document: &'d Value, number: &str) -> &'d Value {
    let tickets = document["tickets"].as_array().unwrap();
    tickets.iter().find(|ticket| ticket["ticket"] == number).unwrap_or_else(|| panic!("no ticket {number}"))
}

/// The numbers of the counted drafts, in the order of the document.
pub fn counted(document: &Value) -> Vec<u64> {
    let drafts = document["drafts"].as_array().unwrap().iter();
    drafts.filter(|draft| draft["standing"] == "counted").map(|draft| draft["transaction"].as_u64().unwrap()).collect()
}

/// The titles of what needs a person.
pub fn alarms(document: &Value) -> Vec<&Value> {
    let findings = document["findings"].as_array().unwrap().iter();
    findings.filter(|finding| finding["severity"] != "note").map(|finding| &finding["title"]).collect()
}
