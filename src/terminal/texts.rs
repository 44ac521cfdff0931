//! The texts of the small commands.

use counterfoil::finding::Kind;
use counterfoil::finding::words::count_of;
use counterfoil::ledger::BlankTicket;

use super::bounds::shown;
use super::wrapped;

/// Manual pages, or the list of all codes with their first lines.
pub fn explained(kinds: &[Kind], whole: bool, width: usize) -> String {
    if whole { kinds.iter().map(|kind| page(kind, width)).collect() } else { list(kinds, width) }
}

fn page(kind: &Kind, width: usize) -> String {
    let manual = kind.manual();
    let paragraphs = manual.trim().split("\n\n").map(|paragraph| {
        let text = paragraph.replace('\n', " ");
        format!("{}\n\n", wrapped(&text, width, ""))
    });
    format!("{}\n\n{}", kind.code, paragraphs.collect::<String>())
}

fn list(kinds: &[Kind], width: usize) -> String {
    let longest = kinds.iter().map(|kind| kind.code.len()).max().unwrap_or(0) + 2;
    let line = |kind: &Kind| {
        let text = format!("{:<longest$}{}", kind.code, kind.summary());
        format!("{}\n", wrapped(&text, width, &" ".repeat(longest)))
    };
    kinds.iter().map(line).collect()
}

/// What `tickets` wrote.
///
/// `unread` says how many sources could not be read, where some could not.
pub fn list_written(tickets: &[BlankTicket], written: &str, unread: Option<String>, width: usize) -> String {
    let written = shown(written);
    let seen = tickets.iter().filter(|ticket| ticket.seen).count();
    let expected = tickets.len() - seen;
    let between = if expected > 0 { format!(", and {expected} expected between them") } else { String::new() };
    let text = match tickets.len() {
        0 => format!("{written}: no row on the stick carries a ticket number. The list has its header alone."),
        _ => format!("{written}: {} seen on the stick{between}.", count_of(seen as u64, "ticket", "tickets")),
    };
    let next = "Fill in head and gross from the paper, not from the stick: copied figures would prove nothing. \
                Add tickets that are missing, then run saleday with --tickets.";
    let unread = unread.map(|sentence| sentence + "\n").unwrap_or_default();
    format!("{unread}{}\n{}\n", wrapped(&text, width, ""), wrapped(next, width, ""))
}
