//! Weights, shrink, rounding and money against published examples.
//!
//! `data/check-values.csv` names the source of every row, and in `status` whether it was read there, is given from
//! memory, or is plain arithmetic (`derived`). For `unit` rows `result` is in kilograms, or in pounds for 1 kg, or in
//! cwt (100 lb) where a price is given.

use counterfoil::units::{Decimal, Head, Percent, Price, PriceBasis, Rounding, TieRule, Unit, Weight};

use crate::support::day::{dec, kg, lb, money};

/// One published example. Cells that do not apply are empty.
struct Check {
    cells: std::collections::HashMap<String, String>,
}

impl Check {
    fn get(&self, name: &str) -> &str {
        &self.cells[name]
    }

    fn number(&self, name: &str) -> Option<Decimal> {
        Some(self.get(name)).filter(|cell| !cell.is_empty()).map(dec)
    }

    fn rounding(&self) -> Rounding {
        let tie = match self.get("tie") {
            "even" => TieRule::HalfEven,
            "away" => TieRule::HalfAwayFromZero,
            other => panic!("{}: tie rule {other:?}", self.get("check")),
        };
        Rounding { step: self.number("step").unwrap(), tie }
    }

    fn named(&self) -> String {
        format!("{} ({}, {})", self.get("check"), self.get("source"), self.get("status"))
    }
}

/// The examples whose name begins so; there must be as many as are expected, so that none can go missing.
fn checks(topic: &str, expected: usize) -> Vec<Check> {
    let text = include_str!("data/check-values.csv");
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let rows = reader.deserialize().map(|row| Check { cells: row.unwrap() });
    let rows: Vec<_> = rows.filter(|check| check.get("check").starts_with(&format!("{topic}-"))).collect();
    assert_eq!(rows.len(), expected, "examples of {topic}");
    assert!(rows.iter().all(|check| !check.get("source").is_empty() && !check.get("status").is_empty()));
    rows
}

fn pay_weight(check: &Check) -> Weight {
    let gross = Weight::new(check.number("amount").unwrap(), Some(Unit::Pound));
    gross.after_shrink(Percent(check.number("shrink_percent").unwrap()), check.rounding()).unwrap()
}

fn value_of(check: &Check, paid: Weight) -> Option<counterfoil::units::Money> {
    Price { amount: check.number("price_per_cwt").unwrap(), basis: PriceBasis::Cwt }.value(Head(1), paid)
}

#[test]
fn shrink_comes_off_the_weight() {
    for check in checks("shrink_weight", 5) {
        let paid = pay_weight(&check);
        assert_eq!(paid.amount(), check.number("pay_weight").unwrap(), "{}", check.named());
        let gross = Weight::new(check.number("amount").unwrap(), Some(Unit::Pound));
        assert_eq!(gross.minus(paid).unwrap().amount(), check.number("result").unwrap(), "{}", check.named());
    }
}

#[test]
fn what_is_left_is_paid_for() {
    for check in checks("shrink_value", 4) {
        assert_eq!(value_of(&check, pay_weight(&check)), money(check.get("value")), "{}", check.named());
    }
}

#[test]
fn the_pay_weight_is_rounded_before_it_is_priced() {
    for check in checks("rounding_order", 2) {
        let paid = pay_weight(&check);
        assert_eq!(paid.amount(), check.number("pay_weight").unwrap(), "{}", check.named());
        assert_eq!(value_of(&check, paid), money(check.get("value")), "{}", check.named());
    }
}

#[test]
fn figures_are_rounded_in_one_step_by_the_stated_rule() {
    for (topic, count) in [("round_half_even", 32), ("round_half_away", 8), ("round_once", 1), ("float_trap", 1)] {
        for check in checks(topic, count) {
            let rounded = check.rounding().apply(check.number("amount").unwrap());
            assert_eq!(rounded, check.number("result").unwrap(), "{}", check.named());
        }
    }
}

#[test]
fn the_two_tie_rules_differ_where_they_should() {
    let tie = |tie| Rounding { step: Decimal::ONE, tie }.apply(dec("2.5"));
    assert_eq!((tie(TieRule::HalfEven), tie(TieRule::HalfAwayFromZero)), (dec("2"), dec("3")));
}

#[test]
fn units_are_exact() {
    for check in checks("unit", 4) {
        let amount = check.number("amount").unwrap();
        let result = match (check.get("unit"), check.number("price_per_cwt")) {
            ("lb", None) => amount * Unit::Pound.in_kilograms(),
            ("kg", None) => check.rounding().apply(amount / Unit::Pound.in_kilograms()),
            // At a price of 1 per cwt the value is the number of cwt.
            (_, Some(_)) => value_of(&check, Weight::new(amount, Some(Unit::Pound))).unwrap().0,
            (other, None) => panic!("{other}"),
        };
        assert_eq!(result, check.number("result").unwrap(), "{}", check.named());
    }
}

#[test]
fn weights_of_different_units_are_neither_added_nor_priced() {
    assert_eq!(lb("1").plus(kg("1")), None);
    assert_eq!(lb("1").minus(kg("1")), None);
    let per_cwt = Price { amount: dec("137.25"), basis: PriceBasis::Cwt };
    assert_eq!(per_cwt.value(Head(1), kg("500")), None);
}
