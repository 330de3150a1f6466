//! Numbers that stand in one expression: `10 x 20 cm`, `L. 8 1/2 x W. 2 1/2 inches`.

use super::scan::{Amount, System};

/// One expression: numbers joined by `x`, all of one system.
#[derive(Debug, Clone)]
pub(super) struct Run {
    pub(super) amounts: Vec<Amount>,
    /// The system of its units; none where no unit stands at all.
    pub(super) system: Option<System>,
    /// The text before it, back to the number that precedes it.
    pub(super) before: std::ops::Range<usize>,
    /// It stands just behind an opening bracket.
    pub(super) opened: bool,
    /// It goes on in the bracket of the run before it: `(13.1 cm high 9.6 cm wide)`.
    pub(super) continues: bool,
    /// A closing bracket stands right behind it.
    pub(super) closed: bool,
}

impl Run {
    pub(super) fn start(&self) -> usize {
        self.amounts.first().map_or(0, |amount| amount.start)
    }

    pub(super) fn end(&self) -> usize {
        self.amounts.last().map_or(0, |amount| amount.end)
    }

    /// The unit that stands for the one that the amount at `index` lacks: the next one in the expression, or the
    /// last before it.
    pub(super) fn unit_for(&self, index: usize) -> &'static str {
        let unit = |amount: &Amount| amount.system.is_some().then_some(amount.unit);
        let after = self.amounts[index..].iter().find_map(unit);
        let before = || self.amounts[..index].iter().rev().find_map(unit);
        let usual = || self.system.map_or("", System::usual);
        after.or_else(before).unwrap_or_else(usual)
    }
}

/// The amounts gathered into expressions.
pub(super) fn runs(text: &str, amounts: Vec<Amount>) -> Vec<Run> {
    let mut runs: Vec<Run> = Vec::new();
    let mut from = 0;
    for amount in amounts {
        let gap = text.get(from..amount.start).unwrap_or("");
        let place = from..amount.start;
        from = amount.end;
        if let Some(run) = runs.last_mut()
            && is_joint(gap, run.system.is_none())
            && run.system.is_none_or(|system| amount.system.is_none_or(|own| own == system))
        {
            run.system = run.system.or(amount.system);
            run.amounts.push(amount);
            continue;
        }
        let (open, close) = (gap.rfind(['(', '[']), gap.rfind([')', ']']));
        let opened = match (open, close) {
            (Some(open), Some(close)) => open > close,
            (open, _) => open.is_some(),
        };
        let continues = open.is_none()
            && close.is_none()
            && !gap.contains('\n')
            && runs.last().is_some_and(|run| (run.opened || run.continues) && run.system == amount.system);
        let system = amount.system;
        runs.push(Run { amounts: vec![amount], system, before: place, opened, continues, closed: false });
    }
    for index in 0..runs.len() {
        let next = runs.get(index + 1).map_or(text.len(), Run::start);
        let behind = text.get(runs[index].end()..next).unwrap_or("").trim_start_matches(['.', ' ']);
        runs[index].closed = behind.starts_with([')', ']']);
    }
    runs
}

/// Whether the text between two numbers makes them one expression: a joining sign, and after it a short label.
/// A comma joins when a label follows and the number before it waits for its unit: `L. 35, W. 56 inches`.
fn is_joint(gap: &str, waits: bool) -> bool {
    let gap = gap.trim_start_matches('.').trim();
    let Some(rest) = after_sign(gap) else {
        return waits && gap.strip_prefix(',').is_some_and(|label| is_heading(label.trim()));
    };
    let label = rest.trim();
    label.is_empty()
        || (label.len() < 24
            && (rest.starts_with(char::is_whitespace) || !rest.starts_with(char::is_alphabetic))
            && label.chars().all(|c| c.is_alphabetic() || matches!(c, '.' | ':' | ' ')))
}

/// What follows the sign that joins two numbers.
fn after_sign(gap: &str) -> Option<&str> {
    ["x", "X", "×", "*", "by"].iter().find_map(|sign| gap.strip_prefix(sign))
}

/// Nothing, or an initial such as `W.`.
fn is_heading(label: &str) -> bool {
    let mut letters = label.chars();
    match (letters.next(), letters.next(), letters.next()) {
        (None, ..) => true,
        (Some(letter), mark, None) => letter.is_uppercase() && matches!(mark, None | Some('.' | ':')),
        _ => false,
    }
}

/// The label that stands in a joint: `W` of ` x W. `.
pub(super) fn joint_label(gap: &str) -> &str {
    let gap = gap.trim();
    let rest = after_sign(gap).or_else(|| gap.strip_prefix(',')).unwrap_or("");
    rest.trim().trim_end_matches(['.', ':', ' '])
}
