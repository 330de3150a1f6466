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

#[cfg(test)]
mod tests {
    use super::sums;
    use crate::measure::{Kind, Quantity};
    use crate::record::measurement::Measurement;
    use crate::record::{Examination, Observed};
    use crate::vocabulary::{Scheme, TermId};

    fn term(name: &str) -> TermId {
        TermId::new(Scheme::Dimension, name)
    }

    fn taken(component: &str, dimension: &str, reading: &str, into: Option<&str>) -> Observed<Measurement> {
        let limit = Quantity::parse(Kind::Length, "1 mm").expect("a length");
        let what = Measurement {
            dimension: Some(term(dimension)),
            readings: vec![Quantity::parse(Kind::Length, reading).expect("a length")],
            instrument: Some("Linen tape".into()),
            error_limit: Some(limit),
            adds_up_to: into.map(term),
            ..Measurement::default()
        };
        Observed { component: Some(component.into()), what, ..Observed::default() }
    }

    #[test]
    fn parts_find_their_whole_and_what_they_share() {
        let part = |component, reading| taken(component, "panel width at hem", reading, Some("hem girth"));
        let mut exam = Examination {
            measurements: vec![
                taken("skirt", "hem girth", "2350 mm", None),
                part("skirt front", "1180 mm"),
                part("skirt back", "1170 mm"),
            ],
            ..Examination::default()
        };
        let found = sums(&exam);
        assert_eq!(found.len(), 1);
        assert_eq!((found[0].dimension.name(), found[0].component.as_deref()), ("hem girth", Some("skirt")));
        assert_eq!(found[0].parts[0], ("panel width at hem of skirt front".to_owned(), 1));
        let against = found[0].closure.against.expect("the whole was measured");
        assert!(against.excess.abs() < 1e-9 && against.closes);
        // One tape for all: laid on twice for the parts and once for the whole, its error is left once.
        let step = 1.0 / 12f64.sqrt();
        let u = |left: f64| (3.0 * step * step + left * left / 3.0).sqrt();
        assert!((against.u - u(1.0)).abs() < 1e-9, "{}", against.u);
        // Another instrument for the whole shares nothing with them.
        exam.measurements[0].what.instrument = Some("steel rule".into());
        let apart = sums(&exam)[0].closure.against.expect("measured").u;
        assert!((apart - u(5f64.sqrt())).abs() < 1e-9, "{apart}");
        // A whole that was taken twice in different places is nobody's whole.
        exam.measurements.push(taken("underskirt", "hem girth", "2300 mm", None));
        assert!(sums(&exam)[0].closure.against.is_none());
        // One on the parts' own component goes before all others.
        exam.measurements.push(taken("skirt front", "hem girth", "2360 mm", None));
        assert_eq!(sums(&exam)[0].closure.against.map(|a| a.whole.value), Some(2360.0));
        // What is withdrawn is no part.
        exam.measurements[1].withdrawn = Some("entered twice".into());
        assert_eq!(sums(&exam)[0].parts.len(), 1);
    }
}
