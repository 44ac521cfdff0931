//! Days of tickets made by seed, of which it is known why each ticket ties or does not, and the scoring of answers about them.
//!
//! Nothing here asks the program what it holds likely. A day is work first (lots, drafts, tickets), then the paper adds it up and is
//! typed, faults happen to stick, paper and typing, and only then is it printed.
//!
//! **When a case is identifiable.** On days of at most [`SMALL`] drafts every single fault is tried on every ticket ([`stories`],
//! [`typing`]), and where none accounts for the whole difference in head and weight, every pair of faults ([`pairs`]). A fault that
//! settles two tickets at once is simpler than two faults. A case is identifiable when the planted fault is the only simplest story.
//! A story is ruled out by plausibility alone, and only where figures are free (a lost draft, removed head, a shared draft): the
//! weight per head must lie within the range of the day's own drafts, widened by 35 % at both ends. Where no ticket column, first and
//! last number or total row tells whose a draft is, a case is identifiable only if besides the ways of giving runs of drafts to
//! tickets exactly ([`division`]) have one best, which leaves over this ticket and its own drafts.
//!
//! **What always holds**, our own choice, no source. Lost numbers between two drafts of which one is the ticket's are all of that
//! ticket. Beyond the first and last number nothing is lost unless the paper states numbers there, or lists a ticket that has no draft.
//! Two drafts in a row with the same head and weights within 1 % are one draft weighed twice; leaving out one of these is
//! `reweigh-counted`, leaving out any other draft `draft-left-off`. A shared draft is the ticket's last or first, and shared with the
//! ticket after or before it. At most [`REMOVED`] head are removed. A head count alone wrong by at most [`MISCOUNT`] is a miscount, a
//! factor of ten a slide, a weight within half a division for each draft rounding: answers that call these a wrong, added or dropped
//! digit, where that fits too, are as good. Where head and weight tie and only the pay weight does not follow, a ticket may be tied
//! with the finding `pay-weight-disagrees`, or explained; those faults have a figure of their own.

pub mod answer;
pub mod division;
pub mod faults;
pub mod figures;
pub mod identify;
pub mod made;
pub mod model;
pub mod moved;
pub mod pairs;
pub mod print;
pub mod program;
pub mod score;
pub mod shown;
pub mod stories;
pub mod typing;
pub mod work;

/// The seeds that whoever reconciles tickets may be developed with.
pub const WORKING_SEEDS: u64 = 3_000_000;

/// The seeds of the score. No single case of these is ever looked at.
pub const SCORING_SEEDS: u64 = 7_000_000;

/// How many days make up a score.
pub const DAYS: u64 = 2_000;

/// On days of so many drafts at most it is searched what else accounts for a difference.
pub const SMALL: usize = 12;

/// So many head at most are taken out of a ticket after weighing.
pub const REMOVED: i64 = 2;

/// A count of head is wrong by so much at most.
pub const MISCOUNT: i64 = 2;

/// Every kind of explanation, named as in the document.
pub const KINDS: [&str; 24] = [
    "missing-draft",
    "missing-drafts",
    "recovered-draft",
    "reprint-counted",
    "reweigh-counted",
    "void-counted",
    "draft-on-other-ticket",
    "draft-left-off",
    "draft-split",
    "tickets-exchanged",
    "digits-swapped",
    "digit-wrong",
    "digit-dropped",
    "digit-added",
    "decimal-slide",
    "unit-mistaken",
    "shrink-omitted",
    "shrink-twice",
    "shrink-rate",
    "tare-omitted",
    "head-miscounted",
    "head-removed",
    "average-for-gross",
    "rounding",
];
