//! What a bench that measures by seeds was asked for: how many cases, of which seeds, and whether single ones are shown.

/// The words behind `--` of a bench: a number, `working`, `show`.
#[derive(Clone, Copy, Debug)]
pub struct Asked {
    /// How many cases.
    pub count: u64,
    /// Whether the seeds are those that a solver may be developed with.
    pub working: bool,
    /// Whether single cases are shown: never those of scoring seeds.
    pub show: bool,
}

impl Asked {
    /// What these words ask for; unless they name another number, `usual` cases.
    pub fn by(words: impl Iterator<Item = String>, usual: u64) -> Self {
        let words: Vec<String> = words.collect();
        let named = |wanted: &str| words.iter().any(|word| word == wanted);
        let count = words.iter().find_map(|word| word.parse().ok()).unwrap_or(usual);
        let working = named("working");
        Self { count, working, show: working && named("show") }
    }

    /// The seeds of the cases, by where the two sorts of seeds begin.
    pub fn seeds(self, working: u64, scoring: u64) -> std::ops::Range<u64> {
        let first = if self.working { working } else { scoring };
        first..first + self.count
    }

    /// Which sort of seeds these are, in a word.
    pub const fn sort(self) -> &'static str {
        if self.working { "working" } else { "scoring" }
    }
}
