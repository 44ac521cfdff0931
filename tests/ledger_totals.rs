//! Control totals: added up on paper here, by the drafts there, and by the text of the ledger a second time.

use counterfoil::draft::Standing;
use counterfoil::ledger::{draft_pay_weight, prepare, prove, totals};
use counterfoil::ticket::{TicketSource, TicketStatus};
use counterfoil::units::{Decimal, Percent, TransactionNo, Unit, Weight};

use proptest::prelude::*;

use crate::support::day::{day, dec, draft, gap, kg, lb, money, small_sale, ticket, with, with_tickets};

#[test]
fn the_sums_are_those_of_the_paper_and_proved() {
    let ledger = prepare(&small_sale());
    assert_eq!(ledger.findings, []);
    let [entry] = ledger.control.as_slice() else { panic!("one unit, one entry: {:?}", ledger.control) };
    assert_eq!(entry.unit, Some(Unit::Pound));
    assert_eq!((entry.records, entry.head), (4, 10 + 12 + 9 + 8));
    assert_eq!(entry.gross, Some(lb("23500")));
    assert_eq!(entry.net, None);
    assert_eq!(entry.pay_weight, Some(lb("22804.49")));
    assert_eq!(entry.value, money("31299.16"));
    assert_eq!(entry.first_transaction, Some(TransactionNo(101)));
    assert_eq!(entry.last_transaction, Some(TransactionNo(105)));
    assert_eq!((entry.missing, entry.voids), (1, 0));
    assert_eq!(entry.transaction_hash_total, 101 + 102 + 103 + 105);
    assert!(entry.proved);
    assert!(ledger.files.is_some());
}

#[test]
fn weights_of_different_units_are_never_added() {
    let ledger = prepare(&day(vec![draft(101, 1, lb("500")), draft(102, 2, kg("300.25")), draft(103, 3, lb("700"))]));
    let sums: Vec<_> =
        ledger.control.iter().map(|entry| (entry.unit, entry.records, entry.gross, entry.proved)).collect();
    assert_eq!(
        sums,
        [(Some(Unit::Pound), 2, Some(lb("1200")), true), (Some(Unit::Kilogram), 1, Some(kg("300.25")), true)]
    );
}

#[test]
fn weights_without_unit_are_summed_by_themselves() {
    let bare = Weight::new(dec("640"), None);
    let ledger = prepare(&day(vec![draft(101, 1, bare), draft(102, 1, bare)]));
    let [entry] = ledger.control.as_slice() else { panic!("one entry") };
    assert_eq!((entry.unit, entry.gross, entry.proved), (None, Some(Weight::new(dec("1280"), None)), true));
}

#[test]
fn only_counted_drafts_of_the_period_are_in_the_sums() {
    let standings = [Standing::Reprint, Standing::Test, Standing::Recovered, Standing::Inferred, Standing::Reweighed];
    let mut drafts: Vec<_> = (200..)
        .zip(standings)
        .map(|(number, standing)| with(draft(number, 5, lb("9999")), |draft| draft.standing = standing))
        .collect();
    drafts.push(draft(300, 1, lb("450")));
    drafts.push(draft(301, 1, lb("450")));
    let day = with(day(drafts), |day| day.in_period.retain(|id| id != "d301"));
    let ledger = prepare(&day);
    assert_eq!((ledger.control[0].records, ledger.control[0].gross), (1, Some(lb("450"))));
    assert!(ledger.control[0].proved);
}

#[test]
fn pay_weight_is_unknown_unless_everything_has_one() {
    let paid = with(draft(101, 1, lb("600")), |draft| draft.stated.shrink_percent = Some(Percent(dec("4"))));
    let unpaid = draft(102, 1, lb("600"));
    assert_eq!(totals(&day(vec![paid.clone()]))[0].pay_weight, Some(lb("576")));
    assert_eq!(totals(&day(vec![paid, unpaid]))[0].pay_weight, None);
}

#[test]
fn pay_weight_is_that_of_tickets_and_of_drafts_without_ticket() {
    let on_ticket = with(draft(101, 1, lb("600")), |draft| draft.stated.pay_weight = Some(lb("111")));
    let loose = with(draft(102, 1, lb("600")), |draft| draft.stated.pay_weight = Some(lb("580")));
    let paper = with(ticket("7", &[&on_ticket]), |result| result.stated.pay_weight = Some(lb("570")));
    let ledger = prepare(&with_tickets(day(vec![on_ticket, loose]), vec![paper]));
    assert_eq!(ledger.control[0].pay_weight, Some(lb("1150")));
    assert!(ledger.control[0].proved);
}

#[test]
fn pay_weight_of_a_draft_is_taken_from_its_net() {
    let tared = with(draft(101, 1, lb("700")), |draft| {
        draft.stated.tare = Some(lb("100"));
        draft.stated.shrink_percent = Some(Percent(dec("6")));
    });
    assert_eq!(draft_pay_weight(&tared, None), Some(lb("564")));
    let ledger = prepare(&day(vec![tared]));
    assert_eq!((ledger.control[0].net, ledger.control[0].proved), (Some(lb("600")), true));
}

#[test]
fn a_void_ticket_is_counted_as_void_and_asks_nothing() {
    let kept = draft(101, 1, lb("600"));
    let sold = with(ticket("7", &[&kept]), |result| {
        result.stated.pay_weight = Some(lb("582"));
        result.value = money("500");
    });
    let void = with(ticket("8", &[]), |result| result.stated.status = TicketStatus::Void);
    let spoiled = with(draft(102, 1, lb("1")), |draft| draft.standing = Standing::Void);
    let ledger = prepare(&with_tickets(day(vec![kept, spoiled]), vec![sold, void]));
    let entry = &ledger.control[0];
    assert_eq!((entry.voids, entry.pay_weight, entry.value), (2, Some(lb("582")), money("500")));
    assert!(entry.proved);
}

#[test]
fn an_exports_own_total_does_not_pay_the_same_animals_twice() {
    let draft = draft(101, 1, lb("600"));
    let typed = with(ticket("7", &[&draft]), |result| result.stated.pay_weight = Some(lb("582")));
    let own = with(typed.clone(), |result| result.stated.source = TicketSource::ExportTotal);
    let ledger = prepare(&with_tickets(day(vec![draft]), vec![typed, own]));
    assert_eq!((ledger.control[0].pay_weight, ledger.control[0].proved), (Some(lb("582")), true));
}

#[test]
fn numbers_lost_outside_the_period_are_not_missing_in_it() {
    let drafts = vec![draft(101, 1, lb("600")), draft(110, 1, lb("600")), draft(120, 1, lb("600"))];
    let (early, late) = (gap(&drafts[0], &drafts[1], 102, 109), gap(&drafts[1], &drafts[2], 111, 119));
    let day = with(day(drafts), |day| {
        day.sequence = vec![early, late];
        day.in_period = ["d120".to_owned()].into();
    });
    assert_eq!(totals(&day)[0].missing, 9);
}

#[test]
fn nothing_to_add_is_no_entry_and_an_empty_ledger() {
    let ledger = prepare(&day(vec![]));
    assert_eq!((ledger.control.len(), ledger.findings.len()), (0, 0));
    assert_eq!(ledger.files.map(|files| files.len()), Some(2));
}

#[test]
fn a_changed_text_is_found_out_whatever_figure_it_changes() {
    let day = small_sale();
    let ledger = prepare(&day);
    let files = ledger.files.unwrap();
    let [drafts, tickets] = files.as_slice() else { panic!("two files") };
    let text = |bytes: &[u8]| String::from_utf8(bytes.to_vec()).unwrap();
    let tampered = |drafts: &str, tickets: &str| prove(totals(&day), drafts.as_bytes(), tickets.as_bytes());
    let (drafts, tickets) = (text(&drafts.bytes), text(&tickets.bytes));

    let (control, findings) = tampered(&drafts, &tickets);
    assert!(control[0].proved && findings.is_empty(), "untouched it is proved: {findings:?}");

    let changes = [
        ("gross", "7200.5,", "7200.6,"),
        ("head", ",10,6000,", ",11,6000,"),
        ("sum of the transaction numbers", "d103,1,103,", "d103,1,104,"),
        ("first transaction", "d101,1,101,", "d101,1,100,"),
        ("drafts", "counted", "test"),
    ];
    for (figure, from, to) in changes {
        assert!(drafts.contains(from), "{from} is in\n{drafts}");
        let (control, findings) = tampered(&drafts.replacen(from, to, 1), &tickets);
        assert!(!control[0].proved, "{figure}");
        assert_eq!(findings[0].code, "totals-disagree");
        assert!(findings[0].evidence.iter().any(|fact| fact.what == figure), "{figure}: {:?}", findings[0].evidence);
    }
    for (figure, from, to) in [("pay weight", "12804.49", "12804.94"), ("value", "13725", "13752")] {
        let (_, findings) = tampered(&drafts, &tickets.replacen(from, to, 1));
        assert!(findings[0].evidence.iter().any(|fact| fact.what == figure), "{figure}: {findings:?}");
    }
    let (_, findings) = tampered(&drafts.replace(",lb,", ",kg,"), &tickets);
    assert!(findings.iter().any(|finding| finding.evidence.iter().any(|fact| fact.value == "kg")), "{findings:?}");
    let (control, findings) = tampered("no ledger at all", &tickets);
    assert!(!control[0].proved && !findings.is_empty());
}

#[test]
fn figures_past_exact_arithmetic_give_a_finding_and_no_ledger() {
    let huge = lb("79228162514264337593543950335");
    let ledger = prepare(&day(vec![draft(101, 1, huge), draft(102, 1, huge)]));
    assert_eq!(ledger.control[0].gross, None);
    assert!(ledger.files.is_none() && !ledger.control[0].proved);
    assert_eq!(ledger.findings[0].code, "totals-disagree");
    assert!(!ledger.findings[0].next_step.is_empty() && !ledger.findings[0].id.is_empty());
}

#[test]
fn the_largest_numbers_a_counter_can_hold_are_summed_exactly() {
    let ledger = prepare(&day(vec![draft(u64::MAX, 1, lb("600")), draft(u64::MAX - 1, 1, lb("600.000000000001"))]));
    assert_eq!(ledger.control[0].transaction_hash_total, u128::from(u64::MAX) * 2 - 1);
    assert!(ledger.control[0].proved, "{:?}", ledger.findings);
}

/// Number, head, gross as digits and their scale, unit, and whether it counts.
fn any_row() -> impl Strategy<Value = (u64, Option<u32>, i64, u32, u8, bool)> {
    (0..5000u64, proptest::option::of(0..200u32), 0..9_000_000i64, 0..5u32, 0..3u8, proptest::bool::ANY)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]
    /// Whatever the drafts are, both routes come to the same figures.
    #[test]
    fn both_routes_agree_on_any_drafts(rows in proptest::collection::vec(any_row(), 0..60)) {
        let units = [None, Some(Unit::Pound), Some(Unit::Kilogram)];
        let drafts = rows.into_iter().enumerate().map(|(place, (number, head, amount, scale, unit, counts))| {
            let gross = Weight::new(Decimal::new(amount, scale), units[usize::from(unit)]);
            with(draft(number, 0, gross), |draft| {
                draft.id = format!("row-{place}");
                draft.stated.head = head.map(counterfoil::units::Head);
                if !counts { draft.standing = Standing::Void; }
                if number % 3 == 0 { draft.stated.transaction = None; }
            })
        });
        let ledger = prepare(&day(drafts.collect()));
        prop_assert!(ledger.findings.is_empty(), "{:?}", ledger.findings);
        prop_assert!(ledger.control.iter().all(|entry| entry.proved));
    }
}
