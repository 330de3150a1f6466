//! The parts of an examination that say what they make together: panels against a hem.

use crate::measure::{Closure, Part, closure};
use crate::record::measurement::Measurement;
use crate::record::{Examination, Observed};
use crate::vocabulary::TermId;

/// Parts that make up one dimension, and how they compare with it.
#[derive(Debug, Clone, PartialEq)]
pub struct Sum {
    /// The dimension that they make.
    pub dimension: TermId,
    /// The component on which the whole was measured, or its parts lie; none is the whole piece.
    pub component: Option<String>,
    /// The names of the parts, with how many each stands for.
    pub parts: Vec<(String, u32)>,
    /// What they add up to.
    pub closure: Closure,
}

/// Every sum of an examination, in the order in which its first part stands.
///
/// The whole is the standing measurement of that dimension: on the same component as the parts where there is one,
/// else the only one there is. Parts and whole count as taken with one instrument when all name the same.
pub fn sums(exam: &Examination) -> Vec<Sum> {
    let standing: Vec<&Observed<Measurement>> = exam.measurements.iter().filter(|o| o.withdrawn.is_none()).collect();
    let mut wholes: Vec<&TermId> = Vec::new();
    for dimension in standing.iter().filter_map(|o| o.what.adds_up_to.as_ref()) {
        if !wholes.contains(&dimension) {
            wholes.push(dimension);
        }
    }
    wholes.into_iter().filter_map(|dimension| sum(&standing, dimension)).collect()
}

fn sum(standing: &[&Observed<Measurement>], dimension: &TermId) -> Option<Sum> {
    let parts: Vec<&&Observed<Measurement>> =
        standing.iter().filter(|o| o.what.adds_up_to.as_ref() == Some(dimension)).collect();
    let candidates: Vec<&&Observed<Measurement>> =
        standing.iter().filter(|o| o.what.dimension.as_ref() == Some(dimension)).collect();
    let component = parts.first().and_then(|part| part.component.clone());
    let whole = candidates
        .iter()
        .find(|o| o.component == component)
        .or_else(|| candidates.first().filter(|_| candidates.len() == 1))
        .copied();
    let times = |part: &Observed<Measurement>| u32::try_from(part.what.times.unwrap_or(1)).unwrap_or(1);
    let terms: Option<Vec<Part>> =
        parts.iter().map(|part| part.what.estimate().map(|estimate| Part { estimate, times: times(part) })).collect();
    let instrument = |o: &Observed<Measurement>| o.what.instrument.clone().map(|name| name.trim().to_lowercase());
    let first = whole.and_then(|whole| instrument(whole));
    let same = first.is_some() && parts.iter().all(|part| instrument(part) == first);
    let closure = closure(&terms?, whole.and_then(|whole| whole.what.estimate()), same)?;
    let named = |part: &&&Observed<Measurement>| {
        let dimension = part.what.dimension.as_ref().map(|d| d.name().to_owned()).unwrap_or_default();
        let name = match &part.component {
            Some(component) => format!("{dimension} of {component}"),
            None => dimension,
        };
        (name, times(part))
    };
    Some(Sum {
        dimension: dimension.clone(),
        component: whole.map_or(component, |whole| whole.component.clone()),
        parts: parts.iter().map(named).collect(),
        closure,
    })
}
