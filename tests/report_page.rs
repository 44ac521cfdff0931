//! The page for people: self-contained, escaped, and saying first what matters.

use counterfoil::day::Day;
use counterfoil::draft::{Flag, Standing};
use counterfoil::finding::{Finding, Kind, Severity};
use counterfoil::ledger::prepare;
use counterfoil::report::{answer, page, place_words};
use counterfoil::units::{LineNo, TransactionNo};

use crate::report_document::full_day;
use crate::support::day::{at, day, draft, lb, small_sale, ticket, with, with_finding, with_tickets};
use crate::support::judges::{ask, present};

fn html(day: &Day) -> String {
    page(day, &prepare(day).control, 0, at(90), "0.1.0")
}

fn headline(day: &Day) -> String {
    let answer = answer(day, &prepare(day).control, 0);
    format!("{} {}", answer.headline, answer.call())
}

#[test]
fn a_clean_day_says_so_first() {
    let drafts = vec![draft(101, 10, lb("6000")), draft(102, 12, lb("7200"))];
    let paper = ticket("0711", &[&drafts[0], &drafts[1]]);
    let day = with_tickets(day(drafts), vec![paper]);
    let expected =
        "Everything ties: 1 ticket. 2 drafts, 22 head, 13,200 lb gross. Nothing that was checked needs a person.";
    assert_eq!(headline(&day), expected);
    let html = html(&day);
    let body = html.split_once("<body>").unwrap().1;
    assert!(body.find("Everything ties").unwrap() < body.find("<h1>").unwrap(), "the answer stands before all else");
}

#[test]
fn what_does_not_tie_is_counted_in_the_first_line() {
    let day = with_finding(small_sale(), finding(Severity::Caution, "Ticket 0712 is explained"));
    let expected = "Not everything ties: 1 of 2 tickets tied, 1 explained. 4 drafts, 39 head, 23,500 lb gross, 1 number missing. 1 thing needs a person.";
    assert_eq!(headline(&day), expected);
}

#[test]
fn without_a_ticket_list_nothing_is_said_to_tie() {
    let text = headline(&day(vec![draft(101, 1, lb("600"))]));
    assert!(text.starts_with("No ticket list was given, so nothing was laid against the paper."), "{text}");
    let unusable = with_finding(day(vec![draft(101, 1, lb("600"))]), {
        const KIND: Kind = Kind::new("tickets-unusable", " The list cannot be used.\n");
        Finding::new(&KIND, Severity::Fault, "The list has no ticket column")
    });
    assert!(headline(&unusable).starts_with("The ticket list could not be used"), "{}", headline(&unusable));
}

#[test]
fn totals_that_are_not_proved_are_said_in_the_first_line() {
    let huge = lb("79228162514264337593543950335");
    let day = day(vec![draft(101, 1, huge), draft(102, 1, huge)]);
    assert!(headline(&day).contains("not proved"), "{}", headline(&day));
    assert!(html(&day).contains("Not proved: there is no ledger"));
}

fn finding(severity: Severity, title: &str) -> Finding {
    const KIND: Kind = Kind::new("ticket-explained", " A ticket does not tie.\n");
    Finding::new(&KIND, severity, title)
        .detail("Seen.")
        .evidence("head", "7")
        .next_step("Look.")
        .before_you_act("Copy first.")
}

#[test]
fn findings_stand_by_importance_with_all_they_carry() {
    let day = with(small_sale(), |day| {
        day.findings = vec![
            finding(Severity::Note, "a note"),
            finding(Severity::Caution, "a caution"),
            finding(Severity::Fault, "a fault"),
        ];
    });
    let html = html(&day);
    let place = |text: &str| html.find(text).unwrap_or_else(|| panic!("{text} is not on the page"));
    assert!(place("a fault") < place("a caution") && place("a caution") < place("a note"));
    assert!(place("First: ") < place("Next: "), "what to think of stands before what to do");
    for part in ["Seen.", "Next: ", "Look.", "First: ", "Copy first.", "ticket-explained"] {
        assert!(html.contains(part), "{part}");
    }
}

#[test]
fn every_part_is_on_the_page() {
    let html = html(&full_day());
    let parts = [
        "Number 104 is not on the stick",
        "Draft 104 is not on the stick: 7 head, 4,100 lb.",
        "+4,100 lb",
        "+7",
        "12,804.49 lb",
        "22,804.49 lb",
        "31,299.16",
        "Sessions",
        "WEIGH.CSV, line 3",
        "SALE",
        "the book",
        "none was named",
        "manual weight",
        "reprint",
        "Nobody enters a loaded deck.",
        "The printed ticket, not this report",
        "Signature",
        "Difference: stated less on tickets",
        "the dates of the ticket list",
        "Proved: two independent routes",
    ];
    for part in parts {
        assert!(html.contains(part), "{part} is not on the page");
    }
}

#[test]
fn hostile_text_stays_text() {
    let hostile = "<script>alert(1)</script><img src=x onerror=y>\"'&\u{202E}gnp\u{0}\u{1b}[31m";
    let day = with(full_day(), |day| {
        day.drafts[0].stated.remark = Some(hostile.into());
        day.drafts[0].stated.lot = Some(hostile.into());
        day.drafts[0].stated.transaction = None;
        day.drafts[0].stated.transaction_text = Some(hostile.into());
        day.tickets[0].stated.number = hostile.into();
        day.tickets[1].explanations[0].text = hostile.into();
        day.sources[0].path = hostile.into();
        day.sources[0].survey.volumes[0].label = Some(hostile.into());
        day.sequence[0].why = vec![hostile.into()];
        day.findings[0].title = hostile.into();
        day.findings[0].evidence[0].value = hostile.into();
        day.not_checked[0].why = hostile.into();
    });
    let html = html(&day);
    for bad in ["<script", "<img", "\u{202E}", "\u{0}", "\u{1b}"] {
        assert!(!html.contains(bad), "{bad:?} reached the page");
    }
    assert!(html.contains("&lt;script&gt;alert(1)&lt;/script&gt;"));
}

#[test]
fn nothing_is_loaded_and_nothing_runs() {
    let html = html(&full_day());
    for reference in
        ["http://", "https://", "src=", "href=", "url(", "@import", "<script", "<link", "<iframe", "style=\""]
    {
        let found: Vec<_> = html.match_indices(reference).collect();
        assert_eq!(found, [], "a page that stands alone");
    }
    assert!(html.contains("default-src 'none'"));
}

#[test]
fn the_page_can_be_found_through_by_ear() {
    let html = html(&full_day());
    for part in ["<html lang=\"en\">", "<title>", "<main", "<header>", "<footer>", "<h1>", "<h2 id="] {
        assert!(html.contains(part), "{part}");
    }
    let count = |text: &str| html.matches(text).count();
    assert_eq!(count("<table"), count("<caption"), "every table has a caption");
    assert_eq!(count("<h1>"), 1);
    assert_eq!(count("<th "), count("<th scope="), "every header cell says what it heads");
}

#[test]
fn a_browser_prints_it() {
    if !present("chromium") {
        return;
    }
    let folder = tempfile::tempdir().unwrap();
    let (page, pdf) = (folder.path().join("report.html"), folder.path().join("report.pdf"));
    std::fs::write(&page, html(&full_day())).unwrap();
    let profile = format!("--user-data-dir={}", folder.path().join("profile").display());
    let print = format!("--print-to-pdf={}", pdf.display());
    let options = ["--headless", "--no-sandbox", "--disable-gpu", "--no-pdf-header-footer", &profile, &print];
    let arguments = [options.as_slice(), &[page.to_str().unwrap()]].concat();
    let output = ask("chromium", &arguments, &[]).unwrap();
    let said = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{said}");
    assert!(!said.contains("Content Security Policy"), "{said}");
    assert!(std::fs::read(&pdf).unwrap().starts_with(b"%PDF-"));
}

#[test]
fn a_lost_number_is_placed_beside_the_line_that_stands_next_to_it() {
    const LOST: Kind = Kind::new("numbers-missing", " Numbers are missing.\n");
    const EARLY: Kind = Kind::new("stick-removed-early", " The end is missing.\n");
    const OTHER: Kind = Kind::new("no-head", " No head.\n");
    let place = |kind: &Kind| {
        let mut finding = Finding::new(kind, Severity::Caution, "x");
        (finding.place.line, finding.place.transaction) = (Some(LineNo(18)), Some(TransactionNo(20)));
        place_words(&finding, &small_sale())
    };
    assert!(place(&LOST).starts_with("number 20, before line 18"), "{}", place(&LOST));
    assert!(place(&EARLY).starts_with("number 20, after line 18"), "{}", place(&EARLY));
    assert!(place(&OTHER).starts_with("number 20, line 18"), "{}", place(&OTHER));
}

#[test]
fn figures_on_the_page_are_grouped_and_paid_weights_show_two_decimals() {
    let large = draft(101, 4_000_000_000, lb("30409.4"));
    let large = with(large, |draft| draft.stated.pay_weight = Some(lb("29497.1")));
    let recovered = with(draft(102, 10, lb("6000")), |draft| {
        draft.standing = Standing::Recovered;
        draft.flags = vec![Flag::Recovered];
    });
    let day = with(day(vec![large, recovered]), |day| day.sources[0].size_bytes = 1_474_560);
    let html = html(&day);
    for text in ["4,000,000,000", "29,497.10 lb", "1,474,560 bytes", "<td>recovered</td>"] {
        assert!(html.contains(text), "{text}");
    }
}

#[test]
fn options_and_dates_are_kept_whole_and_nothing_else_is() {
    let endless = format!("--{}", "a".repeat(200));
    let day = with_finding(small_sale(), {
        finding(Severity::Caution, "x")
            .next_step(format!("Run again with --accept-recovered. <b> 2026-03-14, {endless}"))
    });
    let html = html(&day);
    let whole = |text: &str| format!("<span class=\"whole\">{text}</span>");
    assert!(html.contains(&format!(
        "Run again with {}. &lt;b&gt; {}, {endless}",
        whole("--accept-recovered"),
        whole("2026-03-14")
    )));
}

#[test]
fn only_texts_without_end_may_break_inside_a_cell() {
    let long = "L".repeat(17);
    let day = with(small_sale(), |day| {
        day.drafts[0].stated.lot = Some("LOT-12".into());
        day.drafts[1].stated.lot = Some(long.clone());
    });
    let html = html(&day);
    assert!(html.contains("<td class=\"w\">LOT-12</td>"));
    assert!(html.contains(&format!("<td class=\"t\">{long}</td>")));
    assert!(html.contains("<td class=\"outcome\">tied"));
}

#[test]
fn a_total_of_the_export_beside_a_list_is_marked() {
    let beside = |list_given: bool| {
        html(&with(small_sale(), |day| {
            day.tickets[0].stated.source = counterfoil::ticket::TicketSource::ExportTotal;
            day.ticket_list_given = list_given;
        }))
    };
    assert_eq!(beside(true).matches("tied (export's total)").count(), 1);
    assert_eq!(beside(false).matches("(export's total)").count(), 0, "there it is said once, above the table");
}
