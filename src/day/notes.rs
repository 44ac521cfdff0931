//! What the stages say by the way: findings, and what was not checked.

use crate::finding::{Finding, NotChecked};

/// Collects what the stages say.
#[derive(Debug, Clone, Default)]
pub struct Notes {
    /// The findings, in the order of the stages.
    pub findings: Vec<Finding>,
    /// What was not checked, and why.
    pub not_checked: Vec<NotChecked>,
}

impl Notes {
    /// Adds what a stage found and what it did not check.
    pub fn add(&mut self, findings: &[Finding], not_checked: &[NotChecked]) {
        self.findings.extend_from_slice(findings);
        self.not_checked.extend_from_slice(not_checked);
    }
}
