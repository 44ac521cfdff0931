//! A kind of finding: its code and its manual page, which is the doc comment of its declaration.

/// A kind of finding.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Kind {
    /// The code other programs and people refer to; never reused for something else.
    pub code: &'static str,
    /// The doc comment of the declaration, one line per line.
    doc: &'static str,
}

impl Kind {
    /// Only [`kinds!`] makes kinds, so that none is without its manual page.
    #[must_use]
    pub const fn new(code: &'static str, doc: &'static str) -> Self {
        Self { code, doc }
    }

    /// The manual page: what it means, how we know, what to do.
    #[must_use]
    pub fn manual(&self) -> String {
        self.doc.lines().map(|line| line.strip_prefix(' ').unwrap_or(line)).collect::<Vec<_>>().join("\n")
    }

    /// The first line of the manual page.
    #[must_use]
    pub fn summary(&self) -> &'static str {
        self.doc.lines().next().unwrap_or_default().trim()
    }
}

/// Declares a stage's kinds of finding. Each doc comment is the page that `explain` prints.
macro_rules! kinds {
    ($($(#[doc = $doc:expr])+ $name:ident = $code:literal;)+) => {
        $(
            $(#[doc = $doc])+
            pub const $name: $crate::finding::Kind =
                $crate::finding::Kind::new($code, concat!($($doc, "\n"),+));
        )+

        /// Every kind of finding of this stage, in the order of the page.
        pub const KINDS: &[$crate::finding::Kind] = &[$($name),+];
    };
}
pub(crate) use kinds;
