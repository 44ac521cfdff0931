//! The days that tickets, sums and ledger cover.

use chrono::{Days, NaiveDate, TimeDelta};

use super::model::{ChosenBy, Period};
use crate::draft::Draft;
use crate::reconcile::SaleDays;
use crate::ticket::StatedTicket;

/// A pause shorter than this past midnight belongs to the same sale.
const LONGEST_PAUSE: TimeDelta = TimeDelta::hours(4);

/// The day each draft counts for: a night that runs past midnight belongs to the day it began.
#[must_use]
pub fn sale_days(drafts: &[Draft]) -> SaleDays {
    let mut days = SaleDays::new();
    let mut previous: Option<(&Draft, NaiveDate)> = None;
    for draft in drafts {
        let Some(at) = draft.stated.at else { continue };
        let goes_on = previous.and_then(|(before, day)| {
            let pause = at.at - before.stated.at?.at;
            let next_morning = day.checked_add_days(Days::new(1)) == Some(at.date());
            (before.indicator == draft.indicator && next_morning && pause < LONGEST_PAUSE).then_some(day)
        });
        let day = goes_on.unwrap_or_else(|| at.date());
        days.insert(draft.id.clone(), day);
        previous = Some((draft, day));
    }
    days
}

/// Chooses the period: the option; else the dates of the ticket list; else all.
#[must_use]
pub fn choose(option: Option<(Option<NaiveDate>, Option<NaiveDate>)>, tickets: &[StatedTicket]) -> Period {
    if let Some((from, to)) = option {
        return Period { from, to, chosen_by: ChosenBy::Option };
    }
    let dates = || tickets.iter().filter_map(|ticket| ticket.date);
    match (dates().min(), dates().max()) {
        (Some(from), Some(to)) => Period { from: Some(from), to: Some(to), chosen_by: ChosenBy::Tickets },
        _ => Period { from: None, to: None, chosen_by: ChosenBy::All },
    }
}

impl Period {
    /// Whether a draft counts in it. Where the paper's dates chose the period, a draft after midnight may also be listed
    /// under the day the calendar shows.
    #[must_use]
    pub fn holds_draft(&self, draft: &Draft, days: &SaleDays) -> bool {
        let calendar_day = draft.stated.at.map(crate::units::LocalTime::date);
        let by_paper = self.chosen_by == ChosenBy::Tickets && calendar_day.is_some() && self.holds(calendar_day);
        self.holds(days.get(&draft.id).copied()) || by_paper
    }

    /// Whether a day lies in it; a draft without a date lies in every period, so that it is never lost from sight.
    #[must_use]
    pub fn holds(&self, day: Option<NaiveDate>) -> bool {
        let Some(day) = day else { return true };
        self.from.is_none_or(|from| from <= day) && self.to.is_none_or(|to| day <= to)
    }
}
