//! The dimensions of a record as catalogues write them: `H. 42 1/2 in. (108 cm); W. 30 x D. 12 in.`
//!
//! Catalogues state many measures in one breath, often in two systems. Every measure is found with its label and
//! its part, what was written is kept, and where both systems are given they are checked against each other. What
//! had to be understood rather than read (`371/2` beside 95.3 cm) is said in a remark; numbers that are no measures
//! stay where they stand and are listed.

mod agreement;
mod label;
mod pair;
mod run;
mod scan;
#[cfg(test)]
mod tests;

pub use agreement::Agreement;

use super::Quantity;

/// One measure of a record.
#[derive(Debug, Clone, PartialEq)]
pub struct Measure {
    /// What was measured, as written: `H`, `Length at CB`. Empty where the record does not say.
    pub label: String,
    /// The part it belongs to, as written: `a`; `b, c`. Empty where there is none.
    pub part: String,
    /// What stands in brackets behind the label: `from shoulder`, `without tassels`.
    pub note: String,
    /// Measures with the same number stand in one expression (`10 x 20 cm`).
    pub group: usize,
    /// As stated in a metric unit.
    pub metric: Option<Quantity>,
    /// As stated in inches, feet or yards.
    pub imperial: Option<Quantity>,
    /// Whether the two say the same; none where only one is stated.
    pub agreement: Option<Agreement>,
    /// What had to be understood to read it, in words.
    pub remarks: Vec<String>,
}

impl Measure {
    /// The stated quantity that is known better; one is always there.
    pub fn best(&self) -> Option<&Quantity> {
        match (&self.metric, &self.imperial) {
            (Some(a), Some(b)) => Some(if a.u <= b.u { a } else { b }),
            (a, b) => a.as_ref().or(b.as_ref()),
        }
    }
}

/// All measures of a record, in the order in which they stand.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Dimensions {
    /// The measures.
    pub measures: Vec<Measure>,
    /// Numbers that were not taken for measures, because no unit of length belongs to them: `2` of `2 pieces`.
    pub others: Vec<String>,
}

impl Dimensions {
    /// Finds the measures in a record's text. A text without any gives none; it never fails.
    ///
    /// ```
    /// use dimity::measure::Dimensions;
    /// let found = Dimensions::read("H x W: 92.7 x 61 cm (36 1/2 x 24 in.)");
    /// let heights: Vec<_> = found.measures.iter().map(|m| (m.label.as_str(), m.metric.as_ref().unwrap().value)).collect();
    /// assert_eq!(heights, [("H", 927.0), ("W", 610.0)]);
    /// ```
    pub fn read(text: &str) -> Dimensions {
        let amounts = scan::amounts(text);
        let runs = run::runs(text, amounts);
        pair::measures(text, runs)
    }
}
