//! A day's work: lots of one kind of stock, weighed in drafts, added up on tickets.

use super::figures::Figures;
use super::model::Draft;
use crate::support::sale_days::chance::Chance;

/// What one head weighs in pounds, and how many go on the scale together.
const STOCK: [(i64, i64, i64, i64); 4] =
    [(420, 880, 5, 24), (1_220, 1_520, 4, 14), (75, 130, 12, 60), (245, 295, 8, 40)];

/// What the work is like; the division is in hundredths of the unit.
#[derive(Clone, Copy, Debug)]
pub struct Yard {
    pub drafts: usize,
    pub kilograms: bool,
    pub division: i64,
    pub tare: bool,
}

/// Weighs a day: drafts with numbers that count by one, each with the place of its ticket.
pub fn weighed(chance: &mut Chance, yard: Yard) -> Vec<Draft> {
    let mut number = chance.number(1, 9_000);
    let (mut ticket, mut drafts) = (0, Vec::<Draft>::new());
    let usual = chance.pick(&STOCK);
    while drafts.len() < yard.drafts {
        let stock = if chance.percent(85) { usual } else { chance.pick(&STOCK) };
        let mean = chance.between(stock.0, stock.1);
        for _ in 0..chance.index(1, 3) {
            for _ in 0..chance.weighted(&[(1, 20), (2, 28), (3, 30), (4, 22)]) {
                let before = drafts.last().map(|draft| draft.figures.head);
                let mut head = chance.between(stock.2, stock.3);
                // Two drafts in a row with the same head could be one draft weighed twice.
                head += i64::from(before == Some(head));
                let figures = Figures::new(head, scaled(chance, head * mean, yard));
                let tare = if yard.tare { yard.division * chance.between(4, 30) } else { 0 };
                drafts.push(Draft { number, figures, tare, ticket });
                number += 1;
            }
            ticket += 1;
        }
    }
    drafts.truncate(yard.drafts);
    drafts
}

/// What the scale shows: a multiple of its division, each draft within a few percent of its lot.
fn scaled(chance: &mut Chance, pounds: i64, yard: Yard) -> i64 {
    let pounds = pounds * chance.between(965, 1_035) / 10;
    let weight = if yard.kilograms { pounds * 4_536 / 10_000 } else { pounds };
    weight / yard.division * yard.division
}
