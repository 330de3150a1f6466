//! Size apart from shape: the other piece brought to the size of the subject, by a stated factor or by a fitted one.
//!
//! Lengths and girths grow with the piece, each by its own factor where that is asked for. Fixed things (a tape, a seam
//! allowance, a button, the length of a stitch) and everything of cloth do not grow, and are compared as they stand.

use serde::Serialize;

use super::align::Pair;
use super::decision::Enlarged;
use super::features::{Item, Section};
use super::scale::{Sizes, Sizing};
use super::tolerance::{Measure, trimmed};
use super::value::{Limit, Value};
use crate::measure::{self, Estimate, Proportion, coverage, plus_minus};
use crate::vocabulary::TermId;

/// The factors with which two pieces were compared.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Scaling {
    /// For lengths and widths; none where they are compared as recorded.
    pub lengths: Option<Factor>,
    /// For girths; none where they are compared as recorded.
    pub girths: Option<Factor>,
    /// Whether one fit gave both.
    pub one_fit: bool,
}

/// One factor: the other piece times this has the size of the subject.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Factor {
    /// The factor; none where it was to be fitted and none of the dimensions allowed it.
    pub value: Option<f64>,
    /// Standard uncertainty; none in a stated factor.
    pub u: f64,
    /// Expanded uncertainty for 95 %.
    pub expanded: f64,
    /// Degrees of freedom of the uncertainty; infinite is written as null.
    pub dof: f64,
    /// As it was stated; blank where it was fitted.
    pub stated: String,
    /// The dimensions it was fitted to, with what is left between them.
    pub fitted_to: Vec<Fitted>,
    /// Dimensions asked for that are not recorded, taken alike and without a limit, on both.
    pub not_on_both: Vec<String>,
}

/// One pair that a factor was fitted to.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Fitted {
    /// The component.
    pub component: String,
    /// The dimension.
    pub feature: String,
    /// The subject's value in millimetres.
    pub subject: f64,
    /// The other's as recorded.
    pub other: f64,
    /// What is left: subject minus factor times other, in millimetres.
    pub residual: f64,
    /// Share that the pair had in its own fitted value, 0 to 1.
    pub leverage: f64,
}

impl Factor {
    /// `8.00 ± 0.05`, with the expanded uncertainty; `8` where stated.
    pub fn words(&self) -> String {
        match self.value {
            None => "none".into(),
            Some(value) if self.expanded > 0.0 => plus_minus(value, self.expanded),
            Some(value) => trimmed(value),
        }
    }
}

impl Scaling {
    /// Settles the factors for two pieces; marks the pairs that a factor was fitted to. None where nothing is scaled.
    pub(super) fn settle(sizes: &Sizes, pairs: &mut [Pair<'_, '_>]) -> Option<Self> {
        if *sizes == Sizes::default() {
            return None;
        }
        let one_fit = matches!(&sizes.lengths, Sizing::Fitted { .. }) && sizes.lengths == sizes.girths;
        let both = [Measure::Length, Measure::Girth];
        if one_fit {
            let factor = factor(&sizes.lengths, pairs, &both);
            return Some(Self { lengths: factor.clone(), girths: factor, one_fit });
        }
        let lengths = factor(&sizes.lengths, pairs, &both[..1]);
        let girths = factor(&sizes.girths, pairs, &both[1..]);
        Some(Self { lengths, girths, one_fit })
    }

    /// How a figure of the other piece is brought to the size of the subject. `Err` where no factor could be fitted.
    pub(super) fn of(&self, measure: Measure) -> Result<Enlarged, ()> {
        let factor = match measure {
            Measure::Length => &self.lengths,
            Measure::Girth => &self.girths,
            _ => &None,
        };
        match factor {
            None => Ok(Enlarged::NOT),
            Some(Factor { value: Some(value), u, dof, .. }) => {
                Ok(Enlarged { factor: *value, u: *u, dof: *dof, leverage: None })
            }
            Some(_) => Err(()),
        }
    }

    /// What was done, in a sentence.
    pub fn words(&self, subject: &str, other: &str) -> String {
        let one = |what: &str, factor: &Factor| {
            let how = match (factor.value, factor.stated.as_str()) {
                (None, _) => {
                    return format!(
                        "For {what} no factor could be fitted: {} not recorded alike on both.",
                        factor.not_on_both.join(", ")
                    );
                }
                (Some(_), "") => {
                    let n = factor.fitted_to.len();
                    let dimensions = if n == 1 { "1 dimension".to_string() } else { format!("{n} dimensions") };
                    format!("fitted to {dimensions}")
                }
                (Some(_), stated) => format!("{other} being stated as {stated} of {subject}"),
            };
            format!("{} of {other} are multiplied by {} ({how}).", crate::words::capital(what), factor.words())
        };
        let mut lines: Vec<String> = match (&self.lengths, &self.girths) {
            (Some(factor), Some(girths)) if self.one_fit || factor == girths => vec![one("lengths and girths", factor)],
            (lengths, girths) => {
                let lengths = lengths.as_ref().map(|f| one("lengths", f));
                lengths.into_iter().chain(girths.as_ref().map(|f| one("girths", f))).collect()
            }
        };
        let missing: Vec<&str> = [&self.lengths, &self.girths]
            .into_iter()
            .flatten()
            .filter(|f| f.value.is_some())
            .flat_map(|f| f.not_on_both.iter().map(String::as_str))
            .collect();
        let mut seen: Vec<&str> = Vec::new();
        missing.into_iter().for_each(|name| {
            if !seen.contains(&name) {
                seen.push(name);
            }
        });
        if !seen.is_empty() {
            lines.push(format!("Not fitted to, since not recorded alike on both: {}.", seen.join(", ")));
        }
        lines.join(" ")
    }
}

fn factor(sizing: &Sizing, pairs: &mut [Pair<'_, '_>], measures: &[Measure]) -> Option<Factor> {
    let blank = Factor {
        value: None,
        u: 0.0,
        expanded: 0.0,
        dof: f64::INFINITY,
        stated: String::new(),
        fitted_to: Vec::new(),
        not_on_both: Vec::new(),
    };
    let to = match sizing {
        Sizing::AsRecorded => return None,
        Sizing::Stated { size, as_written } => {
            return Some(Factor { value: Some(1.0 / size), stated: as_written.clone(), ..blank });
        }
        Sizing::Fitted { to } => to,
    };
    let mut found: Vec<(usize, Estimate, Estimate)> = pairs
        .iter()
        .enumerate()
        .filter(|(_, pair)| to.iter().any(|term| pair.subject.is_some_and(|item| item.name == term.name())))
        .filter_map(|(at, pair)| {
            let (a, b) = figures(pair, measures)?;
            Some((at, a, b))
        })
        .collect();
    once_each(&mut found, pairs);
    let seen = |term: &&TermId| found.iter().any(|(at, ..)| pairs[*at].subject.is_some_and(|i| i.name == term.name()));
    let not_on_both = to.iter().filter(|term| !seen(term)).map(|term| term.name().to_owned()).collect();
    let blank = Factor { not_on_both, ..blank };
    let points: Vec<measure::Pair> =
        found.iter().map(|(_, a, b)| measure::Pair { x: b.value, u_x: b.u, y: a.value, u_y: a.u }).collect();
    let Some(fit) = Proportion::through(&points) else { return Some(blank) };
    let fitted_to = found
        .iter()
        .zip(&fit.leverages)
        .map(|((at, a, b), leverage)| {
            let pair = &mut pairs[*at];
            pair.leverage = Some(*leverage);
            Fitted {
                component: pair.component.to_string(),
                feature: pair.subject.map(|item| item.name.to_owned()).unwrap_or_default(),
                subject: a.value,
                other: b.value,
                residual: a.value - fit.factor * b.value,
                leverage: *leverage,
            }
        })
        .collect();
    let (u, dof) = fit.u();
    Some(Factor { value: Some(fit.factor), u, expanded: u * coverage(dof), dof, fitted_to, ..blank })
}

/// A figure that is recorded once for several components has one say in the fit, not one for each of them.
fn once_each(found: &mut Vec<(usize, Estimate, Estimate)>, pairs: &[Pair<'_, '_>]) {
    let mut used: Vec<&Item<'_>> = Vec::new();
    found.retain(|(at, ..)| {
        let both = [pairs[*at].subject, pairs[*at].other];
        let known = both.iter().flatten().any(|item| used.iter().any(|one| std::ptr::eq(*one, *item)));
        used.extend(both.into_iter().flatten());
        !known
    });
}

/// The figures of a pair of dimensions that a factor may be fitted to: taken alike, whole values, larger than nothing.
fn figures(pair: &Pair<'_, '_>, measures: &[Measure]) -> Option<(Estimate, Estimate)> {
    let (a, b) = (pair.subject?, pair.other?);
    if a.section != Section::Dimensions || pair.caveat().is_some() {
        return None;
    }
    let whole = |value: &Value<'_>| match value {
        Value::Figure { estimate, measure, limit: Limit::None, .. } if measures.contains(measure) => {
            Some(*estimate).filter(|e| e.value > 0.0 && e.is_sound())
        }
        _ => None,
    };
    whole(&a.aspects.first()?.value).zip(whole(&b.aspects.first()?.value))
}
