//! Line figures of garments and the places on them, read from `templates/figures`.

use std::collections::HashMap;
use std::sync::OnceLock;

use serde::Deserialize;

use crate::vocabulary::{Scheme, TermId, Vocabulary};

macro_rules! figures {
    ($($name:literal)*) => {
        &[$(($name, include_str!(concat!("../../../templates/figures/", $name, ".toml")))),*]
    };
}

/// The files, by name.
const FILES: &[(&str, &str)] = figures! {
    "apron" "bodice" "bonnet" "breeches" "cap" "cloak" "coat" "gown" "hat" "jacket" "shift" "shirt" "shoes" "skirt"
    "spencer" "stays" "stockings" "trousers" "waistcoat"
};

/// A point on a figure: x from its centre line to the right as one looks at it, y downwards.
pub(super) type Spot = (f64, f64);

/// The figure of a kind of garment.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Figure {
    /// What it shows, in words: `a spencer`.
    pub name: String,
    /// The garment terms that it stands for.
    garments: Vec<String>,
    /// Its views.
    #[serde(rename = "view")]
    pub views: Vec<View>,
}

/// One view of a figure. All are drawn to one width, 110 either side of the centre line, and not to one scale.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct View {
    /// `front`, `back`, `from above`.
    pub name: String,
    /// Whether the wearer's left is at the left as one looks at it.
    pub from_behind: bool,
    /// How tall the drawing is.
    pub high: f64,
    /// Outlines right of the centre line, drawn again in the mirror.
    #[serde(default)]
    pub half: String,
    /// Thin lines right of the centre line: seams, folds, gathers.
    #[serde(default)]
    pub half_seam: String,
    /// Outlines drawn once.
    #[serde(default)]
    pub whole: String,
    /// Thin lines drawn once.
    #[serde(default)]
    pub whole_seam: String,
    /// Where each component lies.
    pub place: HashMap<String, Place>,
}

/// Where a component lies on a view.
#[derive(Debug, Clone, Copy, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Place {
    /// On the half that is drawn; the other half has it in the mirror.
    #[serde(default)]
    pub side: Option<Spot>,
    /// On the centre line.
    #[serde(default)]
    pub middle: Option<Spot>,
}

/// Every figure; a file that cannot be read is left out, which a test rules out.
pub(super) fn all() -> &'static [Figure] {
    static FIGURES: OnceLock<Vec<Figure>> = OnceLock::new();
    FIGURES.get_or_init(|| FILES.iter().filter_map(|(_, text)| toml::from_str(text).ok()).collect())
}

/// The figure for a garment: its own, or that of the nearest wider term.
pub(super) fn of_garment(garment: Option<&TermId>, vocabulary: &Vocabulary) -> Option<&'static Figure> {
    let mut next = garment.filter(|g| g.scheme() == Scheme::Garment);
    for _ in 0..8 {
        let term = next?;
        if let Some(figure) = all().iter().find(|f| f.garments.iter().any(|g| g == term.name())) {
            return Some(figure);
        }
        next = vocabulary.get(term).and_then(|t| t.broader.as_ref());
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_figure_is_read_and_stands_for_garments_of_the_vocabulary() {
        let vocabulary = Vocabulary::shipped();
        for (name, text) in FILES {
            let figure: Figure = toml::from_str(text).unwrap_or_else(|e| panic!("{name}: {e}"));
            assert!(figure.views.len() == 2 && !figure.garments.is_empty(), "{name}");
            for garment in &figure.garments {
                let term = vocabulary.find(Scheme::Garment, garment).unwrap_or_else(|e| panic!("{name}: {e}"));
                assert_eq!(term.name(), garment, "{name}: by its name, not another spelling");
            }
        }
        let mut garments: Vec<&String> = all().iter().flat_map(|f| &f.garments).collect();
        let count = garments.len();
        garments.sort();
        garments.dedup();
        assert_eq!((all().len(), garments.len()), (FILES.len(), count), "no garment has two figures");
    }

    #[test]
    fn every_place_is_a_component_and_lies_on_its_drawing() {
        for figure in all() {
            for view in &figure.views {
                for (component, place) in &view.place {
                    let at = format!("{}, {}, {component}", figure.name, view.name);
                    let term = Vocabulary::shipped().find(Scheme::Component, component);
                    assert_eq!(term.map(crate::vocabulary::Term::name).ok(), Some(component.as_str()), "{at}");
                    for (x, y) in [place.side, place.middle].into_iter().flatten() {
                        assert!((-110.0..=110.0).contains(&x) && (0.0..=view.high).contains(&y), "{at}: {x},{y}");
                    }
                    assert!(place.side.is_some_and(|(x, _)| x > 0.0) || place.middle.is_some(), "{at}");
                }
            }
        }
    }

    #[test]
    fn a_garment_without_a_figure_takes_that_of_its_wider_term() {
        let cases = [
            ("spencer", Some("a jacket that ends under the bust")),
            ("petticoat", Some("a skirt on a waistband")),
            ("headwear", Some("a hat with crown and brim")),
            ("fan", None),
            ("fragment", None),
        ];
        for (garment, wanted) in cases {
            let term = TermId::new(Scheme::Garment, garment);
            let found = of_garment(Some(&term), Vocabulary::shipped());
            assert_eq!(found.map(|f| f.name.as_str()), wanted, "{garment}");
        }
        assert!(of_garment(None, Vocabulary::shipped()).is_none());
        assert!(of_garment(Some(&TermId::new(Scheme::Component, "hat")), Vocabulary::shipped()).is_none());
    }
}
