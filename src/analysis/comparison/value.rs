//! One recorded value, and the comparison of two.

use super::decision::{Verdict, decide};
use super::features::normal;
use super::outcome::{Finding, Relation};
use super::terms;
use super::tolerance::{Measure, Tolerances, trimmed};
use crate::measure::{Bound, Estimate, Quantity, combine, plus_minus};
use crate::vocabulary::{TermId, Vocabulary};

/// A value as recorded.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Value {
    /// A figure with its uncertainty.
    Figure {
        estimate: Estimate,
        as_written: String,
        measure: Measure,
        limit: Limit,
        /// The instrument, where it has an error of its own that another figure may share.
        instrument: Option<String>,
        /// It follows from others on the record.
        worked_out: bool,
    },
    /// One term, or a list in order of amount.
    Terms(Vec<TermId>),
    /// One of a few fixed words.
    Choice(String),
    /// Free words.
    Words(String),
    /// Looked for and counted as none.
    Absent,
}

/// Whether the figure is only a limit of the true value.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Limit {
    None,
    AtLeast,
    AtMost,
    Both,
}

impl Limit {
    fn of(readings: &[Quantity]) -> Self {
        let any = |bound| readings.iter().any(|q| q.bound == bound);
        match (any(Bound::AtLeast), any(Bound::AtMost)) {
            (false, false) => Self::None,
            (true, false) => Self::AtLeast,
            (false, true) => Self::AtMost,
            (true, true) => Self::Both,
        }
    }
}

impl Value {
    pub(super) fn figure(estimate: Option<Estimate>, readings: &[Quantity], measure: Measure) -> Option<Self> {
        let as_written = readings.iter().map(|q| q.as_written.as_str()).collect::<Vec<_>>().join("; ");
        let limit = Limit::of(readings);
        Some(Self::Figure { estimate: estimate?, as_written, measure, limit, instrument: None, worked_out: false })
    }

    /// The same figure, taken with this instrument.
    pub(super) fn taken_with(mut self, name: Option<&str>) -> Self {
        if let Self::Figure { instrument, .. } = &mut self {
            *instrument = name.map(normal).filter(|name| !name.is_empty());
        }
        self
    }

    pub(super) fn single(quantity: &Quantity, measure: Measure) -> Option<Self> {
        let readings = std::slice::from_ref(quantity);
        Self::figure(combine(readings, None), readings, measure)
    }

    /// A figure that follows from others on the record; `how` stands in the place of what was written.
    pub(super) fn worked_out(figure: Estimate, how: &str, measure: Measure) -> Self {
        let estimate = Estimate::new(figure.value, figure.u);
        let as_written = how.into();
        Self::Figure { estimate, as_written, measure, limit: Limit::None, instrument: None, worked_out: true }
    }

    pub(super) fn count(n: i64) -> Self {
        let estimate = Estimate::new(n as f64, 0.0);
        let as_written = n.to_string();
        let measure = Measure::Count;
        Self::Figure { estimate, as_written, measure, limit: Limit::None, instrument: None, worked_out: false }
    }

    pub(super) fn terms(terms: Vec<TermId>) -> Option<Self> {
        (!terms.is_empty()).then_some(Self::Terms(terms))
    }

    pub(super) fn as_written(&self) -> String {
        match self {
            Self::Figure { as_written, .. } => as_written.clone(),
            Self::Terms(terms) => terms.iter().map(TermId::name).collect::<Vec<_>>().join(", "),
            Self::Choice(words) | Self::Words(words) => words.clone(),
            Self::Absent => String::new(),
        }
    }

    /// Whether it follows from other figures on the record. Alone on one side it says nothing that they do not say.
    pub(super) fn is_worked_out(&self) -> bool {
        matches!(self, Self::Figure { worked_out: true, .. })
    }

    pub(super) fn figures(&self) -> (Option<f64>, Option<f64>) {
        match self {
            Self::Figure { estimate, .. } => (Some(estimate.value), Some(estimate.u)),
            _ => (None, None),
        }
    }

    pub(super) fn unit(&self) -> &'static str {
        match self {
            Self::Figure { measure, .. } => measure.unit(),
            _ => "",
        }
    }

    /// The value in SI with its standard uncertainty; blank for a bare count and for terms.
    pub(super) fn si(&self) -> String {
        match self {
            Self::Figure { estimate, measure, .. } if *measure != Measure::Count => {
                with_uncertainty(estimate.value, estimate.u, measure.unit())
            }
            _ => String::new(),
        }
    }
}

/// `698.5 ± 0.9 mm`, rounded to what the uncertainty supports.
pub(super) fn with_uncertainty(value: f64, u: f64, unit: &str) -> String {
    let figures = if u > 0.0 { plus_minus(value, u) } else { trimmed(value) };
    format!("{figures} {unit}").trim_end().to_string()
}

/// Compares two values of one feature, and says what to bear in mind.
pub(super) fn find(
    a: &Value,
    b: &Value,
    vocabulary: &Vocabulary,
    tolerances: &Tolerances,
) -> (Finding, Option<String>) {
    match (a, b) {
        (
            Value::Figure { estimate: ours, measure, limit: our_limit, instrument, .. },
            Value::Figure { estimate: theirs, limit: their_limit, instrument: other, .. },
        ) => {
            // An error that both figures share is no difference between them (GUM 5.2).
            let shared = instrument.is_some() && instrument == other && ours.shared > 0.0 && theirs.shared > 0.0;
            let apart = |e: &Estimate| if shared { e.without_shared() } else { *e };
            let tolerance = tolerances.of(*measure).between(ours.value, theirs.value);
            let mut figures = decide(&apart(ours), &apart(theirs), tolerance);
            let mut caveat = shared.then(|| "one instrument for both: its own error is left out".to_string());
            if (*our_limit, *their_limit) != (Limit::None, Limit::None) {
                caveat = Some("a limit only, not the value itself".to_string());
                if !beyond_the_limits(figures.difference, figures.verdict, *our_limit, *their_limit) {
                    figures.verdict = Verdict::CannotTell;
                }
            }
            (Finding::Number(figures), caveat)
        }
        (Value::Terms(ours), Value::Terms(theirs)) => (term(terms::relate_lists(ours, theirs, vocabulary)), None),
        (Value::Choice(ours), Value::Choice(theirs)) => (term(words(ours, theirs, Relation::Different)), None),
        (Value::Words(ours), Value::Words(theirs)) => (term(words(ours, theirs, Relation::OtherWords)), None),
        (Value::Absent, Value::Absent) => (term(Relation::Identical), None),
        _ => (term(Relation::Different), None),
    }
}

fn words(a: &str, b: &str, otherwise: Relation) -> Relation {
    if normal(a) == normal(b) { Relation::Identical } else { otherwise }
}

fn term(relation: Relation) -> Finding {
    Finding::Term { relation }
}

/// With a limit on one side only a difference in the direction of the limit is sure: "at least 12" against 9.
fn beyond_the_limits(difference: f64, verdict: Verdict, a: Limit, b: Limit) -> bool {
    let up = matches!(a, Limit::None | Limit::AtLeast) && matches!(b, Limit::None | Limit::AtMost);
    let down = matches!(a, Limit::None | Limit::AtMost) && matches!(b, Limit::None | Limit::AtLeast);
    verdict == Verdict::Differ && if difference > 0.0 { up } else { down }
}

/// How a value is known.
#[derive(Debug, Clone, Default)]
pub(super) struct Provenance {
    pub evidence: String,
    pub certainty: String,
    pub examined: String,
}

impl Provenance {
    pub(super) fn of(evidence: Option<&TermId>, certainty: Option<&TermId>, date: &str) -> Self {
        let name = |t: Option<&TermId>| t.map(|t| t.name().to_string()).unwrap_or_default();
        Self { evidence: name(evidence), certainty: name(certainty), examined: date.into() }
    }
}

/// Evidence from the strongest to the weakest (common practice, no source).
const EVIDENCE: [&str; 6] = ["measured", "seen", "published", "depicted", "inferred", "reported"];
/// Certainty from the strongest to the weakest.
const CERTAINTY: [&str; 3] = ["certain", "probable", "possible"];

/// The weaker evidence and the weaker certainty of two sides; what is not stated is weaker than what is.
pub(super) fn weakest(a: (&str, &str), b: (&str, &str)) -> String {
    fn weaker<'a>(order: &[&str], a: &'a str, b: &'a str) -> &'a str {
        let rank = |w: &str| order.iter().position(|o| *o == w).unwrap_or(order.len());
        let word = if rank(b) > rank(a) { b } else { a };
        if word.is_empty() { "not stated" } else { word }
    }
    let evidence = weaker(&EVIDENCE, a.0, b.0);
    match weaker(&CERTAINTY, a.1, b.1) {
        "certain" | "not stated" => evidence.to_string(),
        certainty => format!("{evidence}, {certainty}"),
    }
}
