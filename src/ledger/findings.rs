//! What can be wrong with the sums.

use crate::finding::{Evidence, Finding, Severity, kinds};
use crate::units::Unit;

kinds! {
    /// The control totals came out differently by two independent routes, so no ledger was written.
    ///
    /// What it means: every sum is taken twice, once over the drafts and tickets as this program holds them, once over
    /// the text of the ledger it was about to write, by other code. They must agree to the last digit. Here they do
    /// not, and a ledger whose totals cannot be proved is not handed over.
    ///
    /// Your records: nothing on the stick is touched by this, and nothing read from it is lost. The report is written
    /// all the same and lists every draft.
    ///
    /// How we know: the evidence gives each figure that differs, by both routes. "Unknown" stands for a sum that could
    /// not be had at all. Figures with more than about 30 digits cannot be proved and end here too; they are then most
    /// likely damage in the export.
    ///
    /// What to do: look in the report for drafts with an impossible weight or number. If there is none, the fault lies
    /// with this program: give report.json and a copy of the whole stick to whoever supports it, and take the totals from
    /// the paper tickets until it is settled.
    ///
    /// Source: the control total and the hash total are usual practice of bookkeeping.
    TOTALS_DISAGREE = "totals-disagree";
}

/// The totals of one unit, or of the whole ledger, could not be proved.
pub(super) fn totals_disagree(unit: Option<Unit>, whole: bool, evidence: Vec<Evidence>) -> Finding {
    let (mark, of) = match unit {
        Some(unit) => (unit.symbol(), format!("The totals in {unit}")),
        None if whole => ("all", "The totals".to_owned()),
        None => ("no-unit", "The totals without unit".to_owned()),
    };
    let mut finding = Finding::new(
        &TOTALS_DISAGREE,
        Severity::Fault,
        format!("{of} cannot be proved; no ledger was written"),
    )
    .detail(
        "Every sum is taken twice, by two independent routes: over the drafts as read, and over the text of the ledger \
         itself. The two do not agree, so the ledger is not handed over. The drafts are all in this report.",
    )
    .next_step(
        "Look for drafts with an impossible weight or number. If there is none, give report.json and a copy of \
         the whole stick to support, and take the totals from the paper tickets.",
    );
    finding.id = format!("{}-{mark}", TOTALS_DISAGREE.code);
    finding.evidence = evidence;
    finding
}
