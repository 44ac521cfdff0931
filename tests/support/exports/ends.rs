//! Pollutions of text: rows cut, zeros inside, and how lines end.

use super::super::memory::Numbers;
use super::pollution::Pollution as P;
use super::print;
use super::sheet::{Kind, Sheet};

/// A line of text with its end, which may be none.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Written {
    pub kind: Kind,
    pub text: String,
    pub end: &'static str,
}

/// The lines of a sheet with their ends, cut and holed as these pollutions do.
pub fn written(sheet: &Sheet, pollutions: &[P], numbers: &mut Numbers) -> Vec<Written> {
    let end = if numbers.below(2) == 0 { "\r\n" } else { "\n" };
    let mut lines: Vec<_> = sheet.render().into_iter().map(|(kind, text)| Written { kind, text, end }).collect();
    for pollution in pollutions {
        match pollution {
            P::NulInside => zeros_inside(sheet, &mut lines, numbers),
            P::TornInside => torn_inside(sheet, &mut lines, numbers),
            P::CutLastRow => cut_last_row(sheet, &mut lines, numbers),
            P::MixedEnds => lines.iter_mut().for_each(|line| line.end = ["\r\n", "\n"][numbers.below(2)]),
            P::LoneCr => lone_cr(&mut lines, numbers),
            _ => {}
        }
    }
    // Of a file that ends in the middle of nothing, now and then the last line has no end.
    let open = numbers.below(8) == 0 && !pollutions.contains(&P::NulTail);
    if let Some(last) = lines.last_mut().filter(|last| open && !last.text.trim().is_empty()) {
        last.end = "";
    }
    if let Some(last) = lines.last_mut().filter(|_| pollutions.contains(&P::CutLastRow)) {
        last.end = "";
    }
    lines
}

fn is_draft(line: &Written) -> bool {
    matches!(line.kind, Kind::Draft(_))
}

/// Where a row can be cut so that its weight and at least two fifths of it are gone: in characters, from and to.
fn cut_between(sheet: &Sheet, line: &Written) -> (usize, usize) {
    let count = line.text.chars().count();
    let Kind::Draft(index) = line.kind else { return (1, 1) };
    let gross = print::weight(&sheet.layout, sheet.sale[index].gross, sheet.layout.decimals);
    let before = line.text.find(&gross).map_or(count, |at| line.text[..at].chars().count());
    let most = (count * 3 / 5).min(before + 1).max(3);
    ((count / 6).clamp(2, most - 1), most)
}

/// The beginning of a row that was cut.
fn beginning(sheet: &Sheet, line: &Written, numbers: &mut Numbers) -> String {
    let (from, to) = cut_between(sheet, line);
    let length = from + numbers.below(to - from);
    line.text.chars().take(length).collect()
}

/// A run of zeros from within one row to near the end of another.
fn zeros_inside(sheet: &Sheet, lines: &mut Vec<Written>, numbers: &mut Numbers) {
    let reach = 1 + numbers.below(2);
    let starts: Vec<_> = (0..lines.len().saturating_sub(reach))
        .filter(|start| lines[*start..=start + reach].iter().all(is_draft))
        .collect();
    if starts.is_empty() {
        return torn_inside(sheet, lines, numbers);
    }
    let start = starts[numbers.below(starts.len())];
    let last = &lines[start + reach];
    let count = last.text.chars().count();
    let rest: String = last.text.chars().skip(count - 1 - numbers.below(count / 4)).collect();
    let zeros = "\0".repeat(40 + numbers.below(200));
    let text = beginning(sheet, &lines[start], numbers) + &zeros + &rest;
    let end = last.end;
    lines.splice(start..=start + reach, [Written { kind: Kind::Torn, text, end }]);
}

/// A row that breaks off; now and then the next goes on where it broke.
fn torn_inside(sheet: &Sheet, lines: &mut Vec<Written>, numbers: &mut Numbers) {
    let drafts: Vec<_> = (0..lines.len()).filter(|index| is_draft(&lines[*index])).collect();
    let torn = drafts[numbers.below(drafts.len())];
    let mut text = beginning(sheet, &lines[torn], numbers);
    let far = text.chars().count() * 3 > lines[torn].text.chars().count();
    let joined = numbers.below(4) == 0 && far && lines.get(torn + 1).is_some_and(is_draft);
    if joined {
        text.push_str(&lines[torn + 1].text);
    }
    let end = lines[torn].end;
    lines.splice(torn..=torn + usize::from(joined), [Written { kind: Kind::Torn, text, end }]);
}

/// The file ends within its last row.
fn cut_last_row(sheet: &Sheet, lines: &mut Vec<Written>, numbers: &mut Numbers) {
    let last = lines.iter().rposition(is_draft).unwrap();
    lines.truncate(last + 1);
    let text = beginning(sheet, &lines[last], numbers);
    lines[last] = Written { kind: Kind::Torn, text, end: "" };
}

/// Lines that end in CR alone: all of them, or a few.
fn lone_cr(lines: &mut [Written], numbers: &mut Numbers) {
    if numbers.below(2) == 0 {
        return lines.iter_mut().for_each(|line| line.end = "\r");
    }
    for _ in 0..=numbers.below(3) {
        let at = numbers.below(lines.len());
        // Before an empty line, a CR would make one end of two.
        if lines.get(at + 1).is_some_and(|next| !next.text.is_empty()) {
            lines[at].end = "\r";
        }
    }
}
