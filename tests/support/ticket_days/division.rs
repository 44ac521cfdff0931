//! The ways of giving runs of drafts to tickets whose head and weight they add up to exactly, all of them.

use super::figures::Figures;
use super::model::{Case, Draft, Fate, TicketDay};

/// A run: the place of its first draft, and the place after its last.
pub type Run = (usize, usize);

/// More ways than this need not be told.
const ENOUGH: usize = 2;

/// The counted drafts by number; reprints, void and recovered rows are none.
pub fn drafts(day: &TicketDay) -> Vec<Draft> {
    let mut drafts: Vec<Draft> = day.counted().map(|row| row.draft).collect();
    drafts.sort_by_key(|draft| draft.number);
    drafts
}

/// The runs that add up to these figures.
pub fn runs(drafts: &[Draft], wanted: Figures) -> Vec<Run> {
    let mut runs = Vec::new();
    for from in 0..drafts.len() {
        let mut sum = Figures::default();
        for (at, draft) in drafts.iter().enumerate().skip(from) {
            sum = sum + draft.figures;
            if sum == wanted {
                runs.push((from, at + 1));
            }
        }
    }
    runs
}

/// The ways of giving every ticket a run of its own or none that leave the fewest tickets without; two of them at most.
pub fn best(drafts: &[Draft], tickets: &[Figures]) -> Vec<Vec<Option<Run>>> {
    let choices: Vec<Vec<Run>> = tickets.iter().map(|wanted| runs(drafts, *wanted)).collect();
    let mut search = Search { choices: &choices, given: Vec::new(), best: Vec::new(), most: 0, steps: 0 };
    search.go(0);
    search.best
}

struct Search<'c> {
    choices: &'c [Vec<Run>],
    given: Vec<Option<Run>>,
    best: Vec<Vec<Option<Run>>>,
    most: usize,
    steps: usize,
}

impl Search<'_> {
    fn go(&mut self, matched: usize) {
        let place = self.given.len();
        // Days are small, so that this bound is never met; it is there so that nothing can hang.
        self.steps += 1;
        if matched + self.choices.len() - place < self.most || self.steps > 1_000_000 {
            return;
        }
        if place == self.choices.len() {
            if matched > self.most {
                (self.most, self.best) = (matched, Vec::new());
            }
            if self.best.len() < ENOUGH {
                self.best.push(self.given.clone());
            }
            return;
        }
        for run in self.choices[place].clone() {
            let free = |other: &Run| other.1 <= run.0 || run.1 <= other.0;
            if self.given.iter().flatten().all(free) {
                self.given.push(Some(run));
                self.go(matched + 1);
                self.given.pop();
            }
        }
        self.given.push(None);
        self.go(matched);
        self.given.pop();
    }
}

/// The tickets that expect drafts, with the numbers of the run which the only best way gives each; `None` where there are two best
/// ways.
pub fn only_best(day: &TicketDay) -> Option<Vec<(u32, Vec<u64>)>> {
    let drafts = drafts(day);
    let valid: Vec<&Case> = day.cases.iter().filter(|case| case.fate != Fate::Void).collect();
    let wanted: Vec<Figures> = valid.iter().map(|case| day.line(case.ticket).typed).collect();
    let mut ways = best(&drafts, &wanted);
    let way = if ways.len() == 1 { ways.pop() } else { None }?;
    let numbers = |run: &Option<Run>| {
        run.map(|(from, to)| drafts[from..to].iter().map(|draft| draft.number).collect()).unwrap_or_default()
    };
    Some(valid.iter().zip(&way).map(|(case, run)| (case.ticket, numbers(run))).collect())
}

/// Whether all drafts but those of this ticket have their only place, and no other ticket is without.
pub fn leaves_alone(day: &TicketDay, case: &Case) -> bool {
    let Some(way) = only_best(day) else { return false };
    let own = day.belonging(case);
    way.iter().all(|(ticket, run)| run.is_empty() == (*ticket == case.ticket))
        && drafts(day)
            .iter()
            .map(|draft| draft.number)
            .all(|number| own.contains(&number) != way.iter().any(|(_, run)| run.contains(&number)))
}
