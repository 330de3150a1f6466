//! How records read in print: terms, quantities, dates, and the list of what was left blank.

use jiff::civil::Date;
use serde::Serialize;

use crate::dating::Dated;
use crate::measure::{Bound, Estimate, Kind, MM_PER_INCH, Quantity, System, rounded};
use crate::record::Observed;
use crate::vocabulary::TermId;
pub(crate) use crate::words::capital;

/// A label and what stands after it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(super) struct Fact {
    pub label: &'static str,
    pub value: String,
}

/// What is recorded, and the names of what is not: a blank takes no row of its own, and is never left unsaid.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub(super) struct Facts {
    pub rows: Vec<Fact>,
    pub missing: Vec<&'static str>,
}

impl Facts {
    /// Adds a fact; if it is blank, its name joins the list of what is not recorded.
    #[must_use]
    pub fn say(mut self, label: &'static str, value: impl Into<String>) -> Self {
        let value = value.into();
        if value.trim().is_empty() {
            self.missing.push(label);
        } else {
            self.rows.push(Fact { label, value });
        }
        self
    }

    /// Adds a fact that most records do not have; a blank is passed over.
    #[must_use]
    pub fn may_say(mut self, label: &'static str, value: impl Into<String>) -> Self {
        let value = value.into();
        if !value.trim().is_empty() {
            self.rows.push(Fact { label, value });
        }
        self
    }
}

/// The backticks of the terminal as quotation marks of print.
pub(super) fn quoted(text: &str) -> String {
    let mut open = false;
    text.chars()
        .map(|c| match c {
            '`' => {
                open = !open;
                if open { '“' } else { '”' }
            }
            c => c,
        })
        .collect()
}

/// A text without outer spaces; blank if there is none.
pub(super) fn text(value: Option<&String>) -> String {
    value.map(|t| t.trim().to_owned()).unwrap_or_default()
}

/// A term by its name; blank if there is none.
pub(super) fn term(value: Option<&TermId>) -> String {
    value.map(ToString::to_string).unwrap_or_default()
}

/// Terms by name, with commas.
pub(super) fn terms(values: &[TermId]) -> String {
    values.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ")
}

/// The parts that are not blank, joined.
pub(super) fn joined<I>(parts: I, between: &str) -> String
where
    I: IntoIterator,
    I::Item: Into<String>,
{
    let parts: Vec<String> = parts.into_iter().map(Into::into).filter(|p: &String| !p.trim().is_empty()).collect();
    parts.join(between)
}

/// `14 November 2018`.
pub(crate) fn day(date: Option<Date>) -> String {
    const MONTHS: [&str; 12] = [
        "January",
        "February",
        "March",
        "April",
        "May",
        "June",
        "July",
        "August",
        "September",
        "October",
        "November",
        "December",
    ];
    let Some(date) = date else { return String::new() };
    let month = usize::try_from(date.month()).ok().and_then(|m| MONTHS.get(m.wrapping_sub(1))).unwrap_or(&"");
    format!("{} {month} {}", date.day(), date.year())
}

/// The years that a written date means, with the convention; blank where the date names its year itself.
pub(super) fn years(date: Option<&Dated>) -> String {
    let Some(date) = date else { return String::new() };
    let years = date.interval();
    let span = if years.is_undated() { "no years known".to_owned() } else { years.to_string() };
    let plain = date.remark.is_none() && date.earliest == date.latest && date.as_written.contains(&span);
    let span = if plain { String::new() } else { span };
    joined([span, text(date.remark.as_ref())], "; ")
}

/// A date as written, then the years meant: `c. 1815, that is 1810–1820; …`.
pub(super) fn dated(date: Option<&Dated>) -> String {
    joined([date.map(|d| d.as_written.clone()).unwrap_or_default(), years(date)], ", that is ")
}

/// `text (aside)`, or either alone.
pub(super) fn bracketed(text: &str, aside: &str) -> String {
    match (text.is_empty(), aside.is_empty()) {
        (_, true) => text.to_owned(),
        (true, false) => aside.to_owned(),
        (false, false) => format!("{text} ({aside})"),
    }
}

/// Hours to the hundredth, without needless zeros: `1.5`.
pub(super) fn rounded_hours(hours: f64) -> String {
    ((hours * 100.0).round() / 100.0).to_string()
}

/// A quantity as written, then in SI with its standard uncertainty named `u`.
pub(super) fn amount(quantity: Option<&Quantity>) -> String {
    let Some(q) = quantity else { return String::new() };
    bracketed(&q.as_written, &si(q))
}

/// The SI value of one quantity with its standard uncertainty; blank where the writing says all there is.
pub(super) fn si(q: &Quantity) -> String {
    if matches!(q.kind, Kind::Scale | Kind::Duration) {
        return String::new();
    }
    let mark = match q.bound {
        Bound::Plain | Bound::Stated | Bound::Range => "",
        Bound::Approximate => "about ",
        Bound::AtLeast => "at least ",
        Bound::AtMost => "up to ",
    };
    if q.kind == Kind::Count && q.u == 0.0 {
        return String::new();
    }
    let same = q.as_written == format!("{} {}", q.value, q.kind.unit());
    if same { spread(q.value, q.u, q.kind) } else { format!("{mark}{}", figures(q.value, q.u, q.kind)) }
}

/// A value and its standard uncertainty: `187.9 mm, u 0.4 mm`.
fn figures(value: f64, u: f64, kind: Kind) -> String {
    let unit = unit(kind);
    joined([format!("{}{unit}", rounded(value, u).0), spread(value, u, kind)], ", ")
}

/// A figure that was worked out, with its standard uncertainty: `124 g/m², u 4 g/m²`.
pub(super) fn with_u(figure: Estimate, kind: Kind) -> String {
    figures(figure.value, figure.u, kind)
}

/// The standard uncertainty alone, named: `u 0.4 mm`; blank if there is none.
fn spread(value: f64, u: f64, kind: Kind) -> String {
    let unit = unit(kind);
    if u > 0.0 { format!("u\u{a0}{}{unit}", rounded(value, u).1) } else { String::new() }
}

/// The unit as it follows a figure.
fn unit(kind: Kind) -> String {
    match kind {
        Kind::Angle => "°".to_owned(),
        Kind::Count | Kind::Extent | Kind::Scale => String::new(),
        other => format!("\u{a0}{}", other.unit()),
    }
}

/// Readings as written, with commas.
pub(super) fn readings(list: &[Quantity]) -> String {
    list.iter().map(|q| q.as_written.clone()).collect::<Vec<_>>().join(", ")
}

/// Threads or stitches per centimetre with standard uncertainty, and the same per inch; blank without a count.
pub(super) fn density(estimate: Option<&Estimate>) -> (String, String) {
    let Some(e) = estimate else { return (String::new(), String::new()) };
    let shown = |factor: f64| {
        let (value, u) = rounded(e.value * factor, e.u * factor);
        if e.u > 0.0 { format!("{value}, u\u{a0}{u}") } else { value }
    };
    (shown(1.0), shown(2.54))
}

/// A dimension in millimetres with its expanded uncertainty, and the line that tells how it was reached.
pub(super) fn expanded(estimate: Option<&Estimate>) -> (String, String) {
    let Some(e) = estimate else { return (String::new(), String::new()) };
    let (wide, k) = e.expanded();
    let (value, shown) = rounded(e.value, wide);
    let u = rounded(e.value, e.u).1;
    if e.u > 0.0 { (format!("{value} ± {shown}"), format!("u {u}, k {k:.1}")) } else { (value, String::new()) }
}

/// A length in millimetres and in inches, each with its expanded uncertainty, the preferred system first.
pub(super) fn in_both(estimate: Option<&Estimate>, units: System) -> [String; 2] {
    let inches = estimate.map(|e| e.times(1.0 / MM_PER_INCH));
    let shown = |e: Option<&Estimate>, unit: &str| match expanded(e).0 {
        words if words.is_empty() => words,
        words => format!("{words}\u{a0}{unit}"),
    };
    units.ordered(shown(estimate, "mm"), shown(inches.as_ref(), "in"))
}

/// How an observation is known and how surely: `measured, certain`.
pub(super) fn known<T>(o: &Observed<T>) -> String {
    let or_blank =
        |value: Option<&TermId>, what: &str| value.map_or(format!("{what} not recorded"), ToString::to_string);
    format!("{}, {}", or_blank(o.evidence.as_ref(), "evidence"), or_blank(o.certainty.as_ref(), "certainty"))
}

/// The component looked at, or the whole piece.
pub(super) fn place<T>(o: &Observed<T>) -> String {
    let name = text(o.component.as_ref());
    if name.is_empty() { "whole piece".to_owned() } else { name }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::dating::Conventions;

    #[test]
    fn quantities_keep_the_words_and_name_the_uncertainty() {
        let cases = [
            (Kind::Length, "27 ½ in", "27 ½ in (698.5\u{a0}mm, u\u{a0}0.9\u{a0}mm)"),
            (Kind::Extent, "4.1 ± 0.6 cm2", "4.1 ± 0.6 cm2 (410\u{a0}mm², u\u{a0}60\u{a0}mm²)"),
            (Kind::Extent, "6", "6"),
            (Kind::Length, "13 mm", "13 mm (u\u{a0}0.29\u{a0}mm)"),
            (Kind::Scale, "1:8", "1:8"),
        ];
        for (kind, written, wanted) in cases {
            let q = Quantity::parse(kind, written).expect("readable");
            assert_eq!(amount(Some(&q)), wanted);
        }
        assert_eq!(amount(None), "");
    }

    #[test]
    fn dates_say_the_years_and_the_convention() {
        let read = |t: &str| Dated::parse(t, &Conventions::default()).expect("readable");
        assert_eq!(dated(Some(&read("1848"))), "1848");
        assert!(dated(Some(&read("c. 1815"))).starts_with("c. 1815, that is 1810–1820; "));
        assert_eq!(dated(Some(&read("2018-10-30"))), "2018-10-30");
        assert_eq!(dated(Some(&read("1805/1810"))), "1805/1810, that is 1805–1810");
        assert_eq!(
            dated(Some(&read("3rd century BC"))),
            "3rd century BC, that is 300 BC–201 BC; the century taken as 300 BC–201 BC"
        );
        assert_eq!(
            dated(Some(&read("1905, altered about 1920"))),
            "1905, altered about 1920, that is 1905; apart from that: altered about 1920, that is 1915–1925"
        );
        let ten = Conventions { circa_years: 10, ..Conventions::default() };
        let wide = Dated::parse("c. 1815", &ten).expect("readable");
        assert_eq!(dated(Some(&wide)), "c. 1815, that is 1805–1825; circa taken as ±10 years (Object ID)");
        assert_eq!(dated(None), "");
        assert_eq!(day(Some(jiff::civil::date(2018, 11, 4))), "4 November 2018");
    }

    #[test]
    fn blanks_are_gathered_by_name() {
        let facts = Facts::default().say("maker", "").say("place", "here").say("culture", "  ").may_say("note", "");
        assert_eq!(facts.missing, ["maker", "culture"]);
        assert_eq!(facts.rows.len(), 1);
    }

    #[test]
    fn an_observation_without_evidence_says_so() {
        let o = Observed::<crate::record::condition::Sign>::default();
        assert_eq!(
            (known(&o).as_str(), place(&o).as_str()),
            ("evidence not recorded, certainty not recorded", "whole piece")
        );
    }
}
