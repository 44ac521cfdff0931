//! Two slips on one ticket, where no single one accounts for the whole difference.
//!
//! The search stops at a stated number of steps, for each ticket and in all, and says so.

use super::holes::Touching;
use super::model::{ExplanationKind, HeadAndGross};
use super::moved_drafts::{Move, of_loose, of_own};
use super::seen::{Seen, View};
use super::slips::{self, Meant};
use super::story::{Paper, Story};
use super::{lost_drafts, removed_head};
use crate::draft::Draft;
use crate::units::Decimal;

/// Two stories that together account for the difference.
pub type Pair = (Story, Story);

/// So many steps at most are taken for one ticket.
const STEPS_OF_TICKET: u64 = 50_000;

/// Of more drafts on no ticket than this, none is tried in a pair.
const MOST_LOOSE: usize = 40;

/// More pairs than this need not be told: the paper must decide.
const MOST_TOLD: usize = 12;

/// The steps left of all.
#[derive(Debug, Clone, Copy)]
pub struct Budget {
    left: u64,
    /// How many tickets were not searched to the end.
    pub stopped: u64,
}

impl Budget {
    /// So many steps for a whole day (about a second's work).
    pub const DAY: Self = Self { left: 2_000_000, stopped: 0 };
}

struct Search<'s, 'a> {
    view: &'s View<'a>,
    seen: &'s Seen<'a>,
    holes: &'s [Touching],
    pairs: Vec<Pair>,
    left: u64,
}

/// The pairs that account for a ticket; more than need be told are not looked for.
#[must_use]
pub fn stories(view: &View<'_>, seen: &Seen<'_>, holes: &[Touching], budget: &mut Budget) -> Vec<Pair> {
    let steps = STEPS_OF_TICKET.min(budget.left);
    let mut search = Search { view, seen, holes, pairs: Vec::new(), left: steps };
    search.all();
    budget.left -= steps - search.left;
    if search.left == 0 || view.loose.len() > MOST_LOOSE {
        budget.stopped += 1;
    }
    search.pairs
}

impl<'a> Search<'_, 'a> {
    fn all(&mut self) {
        let mut moves = of_own(self.seen);
        if self.view.loose.len() <= MOST_LOOSE {
            moves.extend(self.view.loose.iter().map(|draft: &&'a Draft| of_loose(draft)));
        }
        self.two_figures();
        for (place, one) in moves.iter().enumerate() {
            self.two_moves(one, moves.get(place + 1..).unwrap_or_default());
            self.moved_and_typed(one);
            if self.left == 0 || self.pairs.len() > MOST_TOLD {
                return;
            }
        }
        self.typed_and_free();
    }

    fn step(&mut self, steps: usize) -> bool {
        self.left = self.left.saturating_sub(steps as u64);
        self.left > 0 && self.pairs.len() <= MOST_TOLD
    }

    fn add(&mut self, one: Story, other: Story) {
        let known = |(a, b): &Pair| (a.is_same(&one) && b.is_same(&other)) || (a.is_same(&other) && b.is_same(&one));
        if !self.pairs.iter().any(known) {
            self.pairs.push((one, other));
        }
    }

    /// Head and weight are each typed wrongly.
    fn two_figures(&mut self) {
        let meant = Meant::found(self.seen);
        let with = |figures: HeadAndGross| Meant { figures, ..meant };
        let typed = self.seen.typed;
        let head = slips::stories(self.view, self.seen, with(HeadAndGross { gross: typed.gross, ..meant.figures }));
        let weight = slips::stories(self.view, self.seen, with(HeadAndGross { head: typed.head, ..meant.figures }));
        for one in head {
            for other in &weight {
                if self.step(1) {
                    self.add(one.clone(), other.clone());
                }
            }
        }
    }

    fn two_moves(&mut self, one: &Move<'_>, others: &[Move<'_>]) {
        if !self.step(others.len() / 8 + 1) {
            return;
        }
        for other in others.iter().filter(|other| self.seen.fits(one.by + other.by)) {
            let same = one.drafts.iter().any(|draft| other.drafts.iter().any(|known| known.id == draft.id));
            // Two selections of recovered rows are one selection; counted twice and left off is nothing.
            let undone = same || (one.kind == other.kind && one.kind == ExplanationKind::RecoveredDraft);
            if !undone && self.pairs.len() <= MOST_TOLD {
                let (one, other) = (one.story(), other.story());
                self.pairs.push((one, other));
            }
        }
    }

    fn moved_and_typed(&mut self, one: &Move<'_>) {
        let meant = Meant::found(self.seen);
        let figures = meant.figures + one.by;
        if self.step(4) && figures.head > 0 {
            for typed in slips::stories(self.view, self.seen, Meant { figures, ..meant }) {
                self.add(one.story(), typed);
            }
            for free in self.free(self.seen.difference() - one.by) {
                // Counted twice and taken out again is nothing.
                let undone = free.kind == ExplanationKind::HeadRemoved
                    && free.head.is_some_and(|head| i64::from(head.0) == one.by.head);
                if !undone {
                    self.add(one.story(), free);
                }
            }
        }
    }

    /// Stories whose figures are free, if they account for a change.
    fn free(&self, change: HeadAndGross) -> Vec<Story> {
        let lost = self.holes.iter().filter_map(|hole| lost_drafts::story(self.view, self.seen, hole, change));
        lost.chain(removed_head::story(self.view, self.seen, change)).collect()
    }

    /// A figure is typed wrongly, and what was meant differs by lost drafts or removed head.
    fn typed_and_free(&mut self) {
        let may_be_removed = (-4..=2).contains(&self.seen.difference().head) && !self.seen.on.counted.is_empty();
        if self.holes.is_empty() && !may_be_removed {
            return;
        }
        for (kind, meant) in self.meant() {
            if !self.step(2) {
                return;
            }
            for free in self.free(meant - self.seen.found) {
                let typed = self.typed_for(kind, meant);
                self.add(free, typed);
            }
        }
    }

    fn typed_for(&self, kind: ExplanationKind, meant: HeadAndGross) -> Story {
        let typed = self.seen.typed;
        let text = if meant.head == typed.head {
            let (written, right) = (self.seen.weight(typed.gross), self.seen.weight(meant.gross.round_dp(2)));
            format!("the weight is written as {written} for {right}")
        } else {
            format!("the head are written as {} for {}", typed.head, meant.head)
        };
        Story::new(kind, text, Paper::AsFound).of_figures(self.seen, meant)
    }

    /// What could have been meant by what is typed.
    fn meant(&self) -> Vec<(ExplanationKind, HeadAndGross)> {
        let typed = self.seen.typed;
        let mut meant = Vec::new();
        if self.seen.stated.gross.is_some() {
            let gross = |(kind, gross)| (kind, HeadAndGross { gross, ..typed });
            meant.extend(slips::before_a_slip(typed.gross).into_iter().map(gross));
            meant.extend(self.reckoned().into_iter().map(gross));
        }
        if self.seen.stated.head.is_some() {
            let head = |(kind, head): (_, Decimal)| Some((kind, HeadAndGross { head: head.try_into().ok()?, ..typed }));
            let far = |(_, figures): &(_, HeadAndGross)| (figures.head - typed.head).abs() > slips::MISCOUNT;
            meant.extend(slips::before_a_slip(Decimal::from(typed.head)).into_iter().filter_map(head).filter(far));
            let near = (-slips::MISCOUNT..=slips::MISCOUNT).filter(|by| *by != 0);
            let counted = near.map(|by| HeadAndGross { head: typed.head + by, ..typed });
            meant.extend(counted.map(|figures| (ExplanationKind::HeadMiscounted, figures)));
        }
        meant
    }

    fn reckoned(&self) -> Vec<(ExplanationKind, Decimal)> {
        let written = self.seen.typed.gross;
        let hundred = Decimal::ONE_HUNDRED;
        let mut meant = Vec::new();
        let mut add = |kind, gross: Option<Decimal>| meant.extend(gross.map(|gross| (kind, gross)));
        add(ExplanationKind::UnitMistaken, slips::in_other_unit(written, self.seen.unit));
        add(ExplanationKind::AverageForGross, written.checked_mul(Decimal::from(self.seen.typed.head)));
        for by in [Decimal::TEN, hundred] {
            add(ExplanationKind::DecimalSlide, written.checked_mul(by));
            add(ExplanationKind::DecimalSlide, written.checked_div(by));
        }
        let tare = self.seen.tare();
        add(ExplanationKind::TareOmitted, (tare > Decimal::ZERO).then(|| written.checked_add(tare)).flatten());
        for rate in slips::USUAL_RATES.into_iter().skip(1).map(|tenths| Decimal::new(tenths, 1)) {
            let whole = written.checked_mul(hundred).and_then(|all| all.checked_div(hundred - rate));
            add(ExplanationKind::ShrinkRate, whole);
        }
        meant
    }
}
