//! Remarks where what was measured speaks against the fibre recorded, or the fibre or dye against the date. A remark is
//! for a person to weigh; nothing is refused, and no fibre is ever named in place of the one recorded.

use super::Mark;
use super::fibre::{self, Property};
use crate::measure::{Estimate, four_figures};
use crate::vocabulary::{TermId, Vocabulary};

/// What was measured of a fibre.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Measured {
    /// Diameter in micrometres.
    pub diameter: Option<Estimate>,
    /// Density in g/cm³.
    pub density: Option<f64>,
    /// Birefringence.
    pub birefringence: Option<f64>,
}

/// Something to look at again.
#[derive(Debug, Clone, PartialEq)]
pub struct Remark {
    /// The remark: `38 µm diameter is outside the 10–13 µm of cultivated silk`.
    pub text: String,
    /// What it rests on.
    pub source: &'static str,
    /// How far that source has been seen.
    pub mark: Mark,
}

impl Remark {
    /// The remark with its source, for print.
    pub fn in_full(&self) -> String {
        format!("{} ({}; {})", self.text, self.source, self.mark.words())
    }
}

/// How far a density may lie outside its range before it is remarked on: two densities of one sample, by flotation,
/// differ by about so much (common practice, no source).
const DENSITY_SLACK: f64 = 0.02;
/// The same for a birefringence, worked out from two indices each known to a unit of the third place (common practice, no
/// source).
const BIREFRINGENCE_SLACK: f64 = 0.002;

/// What the measurements say against the fibre. A figure counts against it where value ± 2 u lies wholly outside the
/// typical range; a fibre of which no range is known is never spoken against.
pub fn against_fibre(recorded: &TermId, measured: &Measured, vocabulary: &Vocabulary) -> Vec<Remark> {
    let figures = [
        (Property::Diameter, "diameter", measured.diameter),
        (Property::Density, "density", measured.density.map(|d| Estimate::new(d, DENSITY_SLACK / 2.0))),
        (
            Property::Birefringence,
            "birefringence",
            measured.birefringence.map(|b| Estimate::new(b, BIREFRINGENCE_SLACK / 2.0)),
        ),
    ];
    let remark = |(property, name, value): (Property, &str, Option<Estimate>)| {
        let value = value.filter(Estimate::is_sound)?;
        let fact = fibre::fact(recorded, property, vocabulary)?;
        let (low, high) = fact.range?;
        // The ends themselves lie inside, whatever binary fractions make of them.
        let outside = value.value + 2.0 * value.u < low - 1e-9 || value.value - 2.0 * value.u > high + 1e-9;
        outside.then(|| Remark {
            text: against(property, name, value.value, (low, high), recorded.name(), &fact.text),
            source: &fact.source,
            mark: fact.mark,
        })
    };
    figures.into_iter().filter_map(remark).collect()
}

/// `38 µm diameter is outside the 10–13 µm of cultivated silk`.
fn against(property: Property, name: &str, value: f64, (low, high): (f64, f64), fibre: &str, text: &str) -> String {
    let unit = match property.unit() {
        "" => String::new(),
        unit => format!(" {unit}"),
    };
    let joint = if low < 0.0 { " to " } else { "–" };
    let range = if (high - low).abs() < 1e-12 {
        four_figures(low)
    } else {
        format!("{}{joint}{}", four_figures(low), four_figures(high))
    };
    let aside = if text.is_empty() { String::new() } else { format!(" ({text})") };
    format!("{}{unit} {name} is outside the {range}{unit} of {fibre}{aside}", four_figures(value))
}

/// What the last year of a piece says against a fibre that was not yet sold.
pub fn fibre_before_its_time(recorded: &TermId, latest: i32, vocabulary: &Vocabulary) -> Option<Remark> {
    let fact = fibre::fact(recorded, Property::First, vocabulary)?;
    let first = fact.range?.0 as i32;
    (latest < first).then(|| Remark {
        text: format!(
            "{} is not known before about {first} ({}), and the piece is dated to {latest} at the latest",
            recorded.name(),
            fact.text
        ),
        source: &fact.source,
        mark: fact.mark,
    })
}

/// What the last year of a piece says against dyes named in a description. A name after `no`, `not` or `without` is passed
/// over.
pub fn dyes_before_their_time(description: &str, latest: i32) -> Vec<Remark> {
    let text = description.to_lowercase();
    let too_early = fibre::table().dyes.iter().filter(|dye| latest < dye.first);
    let named = too_early.filter_map(|dye| Some((dye, dye.names.iter().find(|name| names(&text, name))?)));
    named
        .map(|(dye, name)| Remark {
            text: format!("{name} is not known before {}, and the piece is dated to {latest} at the latest", dye.first),
            source: &dye.source,
            mark: dye.mark,
        })
        .collect()
}

/// Whether a text has these words, whole, and not after a denial. A plural counts.
fn names(text: &str, wanted: &str) -> bool {
    text.match_indices(wanted).any(|(at, _)| {
        let (before, after) = (text.get(..at).unwrap_or(""), text.get(at + wanted.len()..).unwrap_or(""));
        let after = after.strip_prefix('s').unwrap_or(after);
        let whole = !before.ends_with(char::is_alphanumeric) && !after.starts_with(char::is_alphanumeric);
        let last = before.split_whitespace().next_back().unwrap_or("");
        whole && !matches!(last, "no" | "not" | "without" | "never")
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::vocabulary::Scheme;

    fn fibre(name: &str) -> TermId {
        TermId::new(Scheme::Fibre, name)
    }

    fn said(name: &str, measured: Measured) -> Vec<String> {
        against_fibre(&fibre(name), &measured, Vocabulary::shipped()).into_iter().map(|r| r.text).collect()
    }

    fn wide(value: f64, u: f64) -> Measured {
        Measured { diameter: Some(Estimate::new(value, u)), ..Measured::default() }
    }

    #[test]
    fn a_diameter_outside_the_range_is_remarked_on() {
        let text = "38 µm diameter is outside the 10–13 µm of cultivated silk";
        assert_eq!(said("cultivated silk", wide(38.0, 1.0)), [text]);
        assert_eq!(
            said("cultivated silk", wide(4.0, 0.5)),
            ["4 µm diameter is outside the 10–13 µm of cultivated silk"]
        );
    }

    #[test]
    fn what_the_uncertainty_leaves_open_is_not_remarked_on() {
        assert!(said("cultivated silk", wide(13.0, 0.0)).is_empty());
        assert!(said("cultivated silk", wide(10.0, 0.0)).is_empty());
        assert!(said("cultivated silk", wide(15.0, 1.0)).is_empty());
        assert_eq!(said("cultivated silk", wide(15.1, 1.0)).len(), 1);
        assert!(said("cultivated silk", wide(8.0, 1.0)).is_empty());
        assert_eq!(said("cultivated silk", wide(7.9, 1.0)).len(), 1);
        assert!(said("cultivated silk", wide(f64::NAN, 1.0)).is_empty());
    }

    #[test]
    fn density_and_birefringence_are_held_against_the_fibre() {
        let dense = |d| Measured { density: Some(d), ..Measured::default() };
        assert_eq!(
            said("cotton", dense(1.30)),
            ["1.3 g/cm³ density is outside the 1.52–1.55 g/cm³ of cotton (dry 1.55, at 65 % RH 1.52)"]
        );
        assert!(said("cotton", dense(1.50)).is_empty() && said("cotton", dense(1.57)).is_empty());
        assert_eq!(said("cotton", dense(1.58)).len(), 1);
        assert!(said("weighted silk", dense(2.0)).is_empty());
        let bent = |b| Measured { birefringence: Some(b), ..Measured::default() };
        assert_eq!(said("polyester", bent(0.05)), ["0.05 birefringence is outside the 0.15–0.19 of polyester"]);
        assert_eq!(said("acrylic", bent(0.05)), ["0.05 birefringence is outside the -0.005 to -0.001 of acrylic"]);
        assert!(said("cotton", bent(0.04)).is_empty());
    }

    #[test]
    fn a_fibre_of_which_nothing_is_known_is_not_spoken_against() {
        for name in ["unidentified", "feather", "plant fibre", "of our own"] {
            assert!(said(name, wide(900.0, 0.0)).is_empty(), "{name}");
        }
    }

    #[test]
    fn a_fibre_or_dye_before_its_time_is_remarked_on() {
        let words = Vocabulary::shipped();
        let early = fibre_before_its_time(&fibre("viscose"), 1820, words).expect("a remark");
        assert!(early.text.starts_with("viscose is not known before about 1905"), "{}", early.text);
        assert!(early.in_full().ends_with("; from memory)"));
        assert_eq!(fibre_before_its_time(&fibre("viscose"), 1905, words), None);
        assert!(fibre_before_its_time(&fibre("viscose"), 1904, words).is_some());
        assert_eq!(fibre_before_its_time(&fibre("silk"), 1700, words), None);
        let dyes = |text, year| dyes_before_their_time(text, year).into_iter().map(|r| r.text).collect::<Vec<_>>();
        let wanted = "mauveine is not known before 1856, and the piece is dated to 1840 at the latest";
        assert_eq!(dyes("Mauveine, by TLC", 1840), [wanted]);
        assert_eq!(dyes("two aniline dyes", 1840).len(), 1);
        for quiet in ["mauve", "no mauveine", "submauveine", "mauveinesque", "natural indigo", ""] {
            assert_eq!(dyes(quiet, 1840), Vec::<String>::new(), "{quiet}");
        }
        assert!(dyes("mauveine", 1856).is_empty());
    }
}
