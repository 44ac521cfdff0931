//! Invented exports of group scales, printed by seed in many layouts and polluted, with what they truly hold.

pub mod duck;
pub mod encode;
pub mod ends;
pub mod layout;
pub mod names;
pub mod perfect;
pub mod pollution;
pub mod print;
pub mod reader;
pub mod sale;
pub mod score;
pub mod sheet;
pub mod spoil;
pub mod tables;
pub mod truth;

use super::memory::Numbers;
use encode::{Coded, PLAIN_UTF_8, encode, letters_of};
use layout::{COMMON, HELD_OUT, Layout};
use names::PLAIN;
use pollution::{Pollution, choose};
use sale::Weighing;
use sheet::Sheet;
use truth::{Truth, truth};

/// The seeds a reader may be developed with.
pub const WORKING_SEEDS: u64 = 20_000_000;
/// The seeds a reader is scored with: no single case of these is looked at.
pub const SCORING_SEEDS: u64 = 40_000_000;
/// How many bytes of zeros a tail has: a block that was reserved and never written.
const ZERO_TAIL: usize = 4096;

/// An invented export and what it holds.
#[derive(Clone, Debug)]
pub struct Case {
    pub seed: u64,
    pub layout: Layout,
    pub pollutions: Vec<Pollution>,
    pub bytes: Vec<u8>,
    pub truth: Truth,
}

impl Case {
    /// The export of this seed: of five one is clean, the others have one to three pollutions. Layouts that are held out
    /// stand among those of scoring seeds alone.
    pub fn of(seed: u64) -> Self {
        let held_out = if seed >= SCORING_SEEDS { HELD_OUT.as_slice() } else { &[] };
        let mut numbers = seeded(seed);
        let number = numbers.below(COMMON.len() + held_out.len());
        let layout = COMMON.iter().chain(held_out).nth(number).unwrap();
        let count = if seed.is_multiple_of(5) { 0 } else { [1, 1, 1, 2, 2, 3][numbers.below(6)] };
        // A page whose letters the titles or names do not allow gives way to other pollutions.
        (0..).find_map(|_| Self::polluted(seed, layout, choose(layout, count, &mut numbers))).unwrap()
    }

    /// The export of this seed in this layout with these pollutions; nothing where its letters cannot be written.
    pub fn polluted(seed: u64, layout: &Layout, pollutions: Vec<Pollution>) -> Option<Self> {
        let mut numbers = seeded(seed ^ 0x00C0_FFEE);
        let coded = pollutions.iter().find_map(|pollution| pollution.coded());
        let names = names_for(coded, &mut numbers);
        // What is damaged or has no titles must have enough rows to be understood by them.
        let least = if pollutions.is_empty() && layout.header_lines() > 0 { 3 } else { 9 };
        let sale = sale::weighings(layout, &names, least, &mut numbers);
        Self::printed(seed, layout, sale, pollutions)
    }

    /// These weighings in this layout, with these pollutions by this seed; nothing where a letter cannot be written.
    pub fn printed(seed: u64, layout: &Layout, sale: Vec<Weighing>, pollutions: Vec<Pollution>) -> Option<Self> {
        let mut numbers = seeded(seed ^ 0x0BAD_5EED);
        let coded = pollutions.iter().find_map(|pollution| pollution.coded());
        let mut sheet = Sheet::new(layout.clone(), sale);
        for pollution in &pollutions {
            spoil::spoil(&mut sheet, *pollution, &mut numbers);
        }
        let lines = ends::written(&sheet, &pollutions, &mut numbers);
        let coded = coded.unwrap_or(PLAIN_UTF_8);
        let zero_tail = pollutions.contains(&Pollution::NulTail);
        let truth = truth(&sheet, &lines, coded.name, zero_tail);
        let paged = !coded.name.starts_with("utf");
        if paged && truth.text.is_ascii() {
            return None;
        }
        let mut bytes = encode(&truth.text, coded)?;
        bytes.resize(bytes.len() + if zero_tail { ZERO_TAIL } else { 0 }, 0);
        Some(Self { seed, layout: layout.clone(), pollutions, bytes, truth })
    }

    pub fn clean(&self) -> bool {
        self.pollutions.is_empty()
    }

    /// What befell it, in words.
    pub fn befallen(&self) -> String {
        let names: Vec<_> = self.pollutions.iter().map(|pollution| pollution.name()).collect();
        if names.is_empty() { "clean".to_owned() } else { names.join(" + ") }
    }
}

/// Plain names, and those whose letters need the encoding; without one, names in UTF-8 now and then.
fn names_for(coded: Option<Coded>, numbers: &mut Numbers) -> Vec<&'static str> {
    match coded {
        Some(coded) => [letters_of(coded.name), PLAIN[..4].to_vec()].concat(),
        None if numbers.below(3) == 0 => [letters_of("utf-8"), PLAIN.to_vec()].concat(),
        None => PLAIN.to_vec(),
    }
}

fn seeded(seed: u64) -> Numbers {
    let mut numbers = Numbers(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1);
    for _ in 0..8 {
        numbers.next();
    }
    numbers
}
