//! A set of pieces in words, for a terminal and for a page.

use super::{Corpus, FEW, Spread};
use crate::measure::MM_PER_INCH;

/// A figure with its unit, in both systems where the trade uses both: `3.54 per cm (9.0 per inch)`.
pub fn shown(value: f64, unit: &str) -> String {
    let three = |v: f64| {
        let places = if v.abs() >= 100.0 {
            0
        } else if v.abs() >= 10.0 {
            1
        } else {
            2
        };
        format!("{v:.places$}")
    };
    match unit {
        "mm" => format!("{} mm ({} in)", three(value), three(value / MM_PER_INCH)),
        "per cm" => format!("{} per cm ({} per inch)", three(value), three(value * 2.54)),
        "" => three(value),
        unit => format!("{} {unit}", three(value)),
    }
}

/// `1st`, `42nd`, `11th`.
pub fn ordinal(n: f64) -> String {
    let n = n.round() as u64;
    let ending = match (n % 100, n % 10) {
        (11..=13, _) => "th",
        (_, 1) => "st",
        (_, 2) => "nd",
        (_, 3) => "rd",
        _ => "th",
    };
    format!("{n}{ending}")
}

impl Spread<'_> {
    /// Where the piece stands, as a sentence; blank where none is placed.
    pub fn standing(&self) -> String {
        let Some(place) = &self.place else { return String::new() };
        let n = place.below + place.level + place.above;
        let at = shown(place.figure.value, self.unit);
        let ranks = format!("{} of {n} have less, {} as much, {} more", place.below, place.level, place.above);
        match (place.percentile, place.interval) {
            (Some(p), Some((low, high))) => format!(
                "{}: {at}; {ranks}. That is the {} percentile; with 95 % confidence between the {} and the {}.",
                place.figure.number,
                ordinal(p),
                ordinal(low),
                ordinal(high)
            ),
            _ => format!("{}: {at}; {ranks}. Fewer than {FEW} pieces: no percentile.", place.figure.number),
        }
    }

    /// Median, quartiles and range, as a sentence; the values themselves where there are few.
    pub fn middle(&self) -> String {
        let Some(s) = &self.summary else {
            let each: Vec<String> =
                self.values.iter().map(|f| format!("{} {}", f.number, shown(f.value, self.unit))).collect();
            return if each.is_empty() { "no figure".into() } else { format!("the values: {}", each.join(", ")) };
        };
        let of = |v| shown(v, self.unit);
        format!(
            "median {}, between {} and {} with {} % confidence; quartiles {} and {}; from {} to {}",
            of(s.median),
            of(s.median_from),
            of(s.median_to),
            (s.confidence * 100.0).round(),
            of(s.lower_quartile),
            of(s.upper_quartile),
            of(s.least),
            of(s.most)
        )
    }

    /// How many record it and what is to be borne in mind, each in a few words.
    pub fn reservations(&self, pieces: usize) -> Vec<String> {
        let mut told = vec![format!("recorded of {} of {pieces}", self.recorded)];
        let mut add = |n: usize, what: &str| {
            if n > 0 {
                told.push(format!("{n} {what}"));
            }
        };
        add(self.limits, "a limit only, not counted");
        add(self.estimates, "an estimate");
        add(self.worked_out, "worked out from other figures");
        add(self.uncertain_date, "in by an uncertain date");
        if self.taken.len() > 1 {
            told.push(format!("taken in different ways: {}", counted(&self.taken)));
        }
        if self.on.len() > 1 {
            told.push(format!("on different components, taken together: {}", counted(&self.on)));
        }
        if !self.elsewhere.is_empty() {
            told.push(format!("not counted here, since recorded elsewhere: {}", counted(&self.elsewhere)));
        }
        told
    }

    /// The values on a line of text: `.` one piece, `:` two, `#` more, `X` the piece that is placed.
    fn strip(&self) -> Option<String> {
        const WIDTH: usize = 61;
        let own = self.place.as_ref().map(|p| p.figure.value);
        let all = || self.values.iter().map(|f| f.value).chain(own);
        let (low, high) = (all().reduce(f64::min)?, all().reduce(f64::max)?);
        if low >= high {
            return None;
        }
        let at = |v: f64| ((v - low) / (high - low) * (WIDTH - 1) as f64).round() as usize;
        let mut counts = [0usize; WIDTH];
        self.values.iter().for_each(|f| counts[at(f.value).min(WIDTH - 1)] += 1);
        let mark = own.map(|v| at(v).min(WIDTH - 1));
        let sign = |(i, n): (usize, &usize)| match n {
            _ if mark == Some(i) => 'X',
            0 => ' ',
            1 => '.',
            2 => ':',
            _ => '#',
        };
        let signs: String = counts.iter().enumerate().map(sign).collect();
        Some(format!("|{signs}|"))
    }
}

/// `flat 3, not said 2`.
fn counted(list: &[(String, usize)]) -> String {
    let one = |(word, n): &(String, usize)| format!("{} {n}", if word.is_empty() { "not said" } else { word });
    list.iter().map(one).collect::<Vec<_>>().join(", ")
}

/// The whole in lines of text.
pub fn as_text(corpus: &Corpus<'_>) -> String {
    let mut lines = Vec::new();
    let date = match corpus.uncertain_date {
        0 => String::new(),
        n => format!(", {n} of them by a date that may lie outside the years asked for"),
    };
    lines.push(format!("{} pieces{date}", corpus.pieces));
    for spread in &corpus.features {
        lines.push(String::new());
        lines.push(format!("{} ({})", spread.feature, spread.reservations(corpus.pieces).join("; ")));
        lines.push(format!("  {}", spread.middle()));
        lines.extend(spread.strip().map(|strip| format!("  {strip}")));
        if spread.place.is_some() {
            lines.push(format!("  {}", spread.standing()));
        }
    }
    if corpus.features.is_empty() {
        lines.push(
            "no figure is recorded of both; `--feature` left out looks at all, another set may record more".into(),
        );
    }
    lines.join("\n")
}
