//! One recorded value, and the comparison of two.

use std::borrow::Cow;

use jiff::civil::Date;

use super::colour;
use super::decision::{Enlarged, Verdict, judge};
use super::names::alike;
use super::outcome::{Finding, Relation, Side, Written};
use super::scaling::Scaling;
use super::terms;
use super::tolerance::{Measure, Tolerances, trimmed};
use crate::measure::{Bound, Estimate, Quantity, combine, plus_minus};
use crate::vocabulary::{TermId, Vocabulary};

/// A value as recorded.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::analysis) enum Value<'a> {
    /// A figure with its uncertainty.
    Figure {
        estimate: Estimate,
        as_written: Written<'a>,
        measure: Measure,
        limit: Limit,
        /// The instrument, where it has an error of its own that another figure may share.
        instrument: Option<&'a str>,
        /// It follows from others on the record.
        worked_out: bool,
    },
    /// One term, or a list in order of amount.
    Terms(Vec<&'a TermId>),
    /// One of a few fixed words.
    Choice(&'a str),
    /// Free words.
    Words(&'a str),
    /// A colour as read.
    Colour(colour::Reading<'a>),
    /// Looked for and counted as none.
    Absent,
}

/// Whether the figure is only a limit of the true value.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::analysis) enum Limit {
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

impl<'a> Value<'a> {
    pub(super) fn figure(estimate: Option<Estimate>, readings: &'a [Quantity], measure: Measure) -> Option<Self> {
        let as_written = Written::Readings(readings);
        let limit = Limit::of(readings);
        Some(Self::Figure { estimate: estimate?, as_written, measure, limit, instrument: None, worked_out: false })
    }

    /// The same figure under other words.
    pub(super) fn written(mut self, words: String) -> Self {
        if let Self::Figure { as_written, .. } = &mut self {
            *as_written = Written::Text(words.into());
        }
        self
    }

    /// The same figure, taken with this instrument.
    pub(super) fn taken_with(mut self, name: Option<&'a str>) -> Self {
        if let Self::Figure { instrument, .. } = &mut self {
            *instrument = name.filter(|name| !name.trim().is_empty());
        }
        self
    }

    pub(super) fn single(quantity: &'a Quantity, measure: Measure) -> Option<Self> {
        let readings = std::slice::from_ref(quantity);
        Self::figure(combine(readings, None), readings, measure)
    }

    /// A figure that follows from others on the record; `how` stands in the place of what was written.
    pub(super) fn worked_out(figure: Estimate, how: &'static str, measure: Measure) -> Self {
        let estimate = Estimate::new(figure.value, figure.u);
        let as_written = Written::Text(how.into());
        Self::Figure { estimate, as_written, measure, limit: Limit::None, instrument: None, worked_out: true }
    }

    pub(super) fn count(n: i64) -> Self {
        let estimate = Estimate::new(n as f64, 0.0);
        let as_written = Written::Text(n.to_string().into());
        let measure = Measure::Count;
        Self::Figure { estimate, as_written, measure, limit: Limit::None, instrument: None, worked_out: false }
    }

    pub(super) fn terms(terms: Vec<&'a TermId>) -> Option<Self> {
        (!terms.is_empty()).then_some(Self::Terms(terms))
    }

    pub(super) fn as_written(&self) -> Written<'a> {
        let text: Cow<'a, str> = match self {
            Self::Figure { as_written, .. } => return as_written.clone(),
            Self::Terms(terms) => match terms.as_slice() {
                [only] => only.name().into(),
                many => many.iter().map(|t| t.name()).collect::<Vec<_>>().join(", ").into(),
            },
            Self::Choice(words) | Self::Words(words) => (*words).into(),
            Self::Colour(reading) => reading.words().into(),
            Self::Absent => "".into(),
        };
        Written::Text(text)
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
            Self::Colour(_) => Measure::Colour.unit(),
            _ => "",
        }
    }

    /// The unit in which a side prints its value; none for a bare count and for terms.
    pub(super) fn si_unit(&self) -> Option<&'static str> {
        match self {
            Self::Figure { measure, .. } if *measure != Measure::Count => Some(measure.unit()),
            _ => None,
        }
    }
}

/// `698.5 ± 0.9 mm`, rounded to what the uncertainty supports.
pub(super) fn with_uncertainty(value: f64, u: f64, unit: &str) -> String {
    let figures = if u > 0.0 { plus_minus(value, u) } else { trimmed(value) };
    format!("{figures} {unit}").trim_end().to_string()
}

/// What two values are compared by.
#[derive(Clone, Copy)]
pub(super) struct Judge<'a> {
    pub vocabulary: &'a Vocabulary,
    pub tolerances: &'a Tolerances,
    pub scaling: Option<&'a Scaling>,
}

impl Judge<'_> {
    /// Compares two values of one feature, and says what to bear in mind. `leverage` is the share that the pair had in a
    /// fitted factor.
    pub(super) fn find(&self, a: &Value, b: &Value, leverage: Option<f64>) -> (Finding, Option<Cow<'static, str>>) {
        match (a, b) {
            (
                Value::Figure { estimate: ours, measure, limit: our_limit, instrument, .. },
                Value::Figure { estimate: theirs, limit: their_limit, instrument: other, .. },
            ) => {
                let limits = (*our_limit, *their_limit);
                // An error that both figures share is no difference between them (GUM 5.2).
                let one_instrument = ours.shared > 0.0
                    && theirs.shared > 0.0
                    && instrument.zip(*other).is_some_and(|(one, other)| alike(one, other));
                let scaling = self.scaling.map_or(Ok(Enlarged::NOT), |s| s.of(*measure));
                let by = scaling.map_or(Enlarged::NOT, |by| Enlarged { leverage, ..by });
                let at = self.tolerances.of(*measure).at_size(by.factor);
                let tolerance = at.between(ours.value, by.factor * theirs.value);
                let mut figures = judge(ours, theirs, one_instrument, by, tolerance);
                let mut caveat =
                    one_instrument.then_some(Cow::Borrowed("one instrument for both: its own error is left out"));
                if leverage.is_some_and(|share| share > ALONE) {
                    figures.verdict = Verdict::CannotTell;
                    caveat = Some("made equal by the fit".into());
                }
                if scaling.is_err() {
                    figures.verdict = Verdict::CannotTell;
                    caveat = Some("no factor could be fitted: as recorded, at different sizes".into());
                }
                if limits != (Limit::None, Limit::None) {
                    caveat = Some("a limit only, not the value itself".into());
                    if !beyond_the_limits(figures.difference, figures.verdict, limits.0, limits.1) {
                        figures.verdict = Verdict::CannotTell;
                    }
                }
                (Finding::Number(figures), caveat)
            }
            (Value::Terms(ours), Value::Terms(theirs)) => {
                (term(terms::relate_lists(ours, theirs, self.vocabulary)), None)
            }
            (Value::Choice(ours), Value::Choice(theirs)) => (term(words(ours, theirs, Relation::Different)), None),
            (Value::Words(ours), Value::Words(theirs)) => (term(words(ours, theirs, Relation::OtherWords)), None),
            (Value::Colour(ours), Value::Colour(theirs)) => {
                let tolerance = self.tolerances.of(Measure::Colour).absolute;
                (Finding::Colour(colour::judge(ours, theirs, tolerance)), colour::caveat(ours, theirs))
            }
            (Value::Absent, Value::Absent) => (term(Relation::Identical), None),
            _ => (term(Relation::Different), None),
        }
    }
}

/// Share in its own fitted value from which on a pair is met whatever it is.
const ALONE: f64 = 1.0 - 1e-9;

fn words(a: &str, b: &str, otherwise: Relation) -> Relation {
    if alike(a, b) { Relation::Identical } else { otherwise }
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
#[derive(Debug, Clone, Copy, Default)]
pub(in crate::analysis) struct Provenance<'a> {
    pub evidence: &'a str,
    pub certainty: &'a str,
    pub examined: Option<Date>,
}

impl<'a> Provenance<'a> {
    pub(super) fn of(evidence: Option<&'a TermId>, certainty: Option<&'a TermId>, examined: Option<Date>) -> Self {
        let name = |t: Option<&'a TermId>| t.map(TermId::name).unwrap_or_default();
        Self { evidence: name(evidence), certainty: name(certainty), examined }
    }

    /// A side that is recorded, without its value.
    pub(super) fn side(&self) -> Side<'a> {
        Side {
            standing: super::outcome::Standing::Recorded,
            evidence: self.evidence,
            certainty: self.certainty,
            examined: self.examined,
            ..Side::not_recorded()
        }
    }
}

/// Evidence from the strongest to the weakest (common practice, no source).
const EVIDENCE: [&str; 6] = ["measured", "seen", "published", "depicted", "inferred", "reported"];
/// Certainty from the strongest to the weakest.
const CERTAINTY: [&str; 3] = ["certain", "probable", "possible"];

/// The weaker of two words; what is not stated is weaker than what is.
fn weaker<'a>(order: &[&str], a: &'a str, b: &'a str) -> &'a str {
    let rank = |w: &str| order.iter().position(|o| *o == w).unwrap_or(order.len());
    if rank(b) > rank(a) { b } else { a }
}

/// The weaker of two kinds of evidence.
pub(super) fn weaker_evidence<'a>(a: &'a str, b: &'a str) -> &'a str {
    weaker(&EVIDENCE, a, b)
}

/// The weaker of two degrees of certainty.
pub(super) fn weaker_certainty<'a>(a: &'a str, b: &'a str) -> &'a str {
    weaker(&CERTAINTY, a, b)
}

/// The weaker evidence and the weaker certainty of two sides, in words.
pub(super) fn weakest(a: (&str, &str), b: (&str, &str)) -> String {
    let evidence = match weaker_evidence(a.0, b.0) {
        "" => "not stated",
        word => word,
    };
    match weaker_certainty(a.1, b.1) {
        "certain" | "" => evidence.to_string(),
        certainty => format!("{evidence}, {certainty}"),
    }
}
