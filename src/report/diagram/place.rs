//! Where a condition note lies on a figure: its component through the vocabulary, the side as worn, the view that the
//! words ask for.

use super::figures::{Figure, Place, Spot, View};
use crate::record::PieceFile;
use crate::record::piece::Component;
use crate::vocabulary::{Side, TermId, Vocabulary};

/// Parts that are not seen from outside, and the part that covers them.
const COVERED: [(&str, &str); 12] = [
    ("front lining", "front"),
    ("back lining", "back"),
    ("sleeve lining", "sleeve"),
    ("skirt lining", "skirt"),
    ("front facing", "front"),
    ("front binding", "front"),
    ("cuff lining", "cuff"),
    ("busk pocket", "busk"),
    ("lacing strip", "lacing"),
    ("lining", "body"),
    ("interlining", "body"),
    ("facing", "body"),
];

/// Longest way up from a component: wider terms, and the parts that it belongs to.
const LONGEST: usize = 8;

/// The view of a figure and the point on it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Found {
    /// The place of the view among those of the figure.
    pub view: usize,
    /// The point.
    pub at: Spot,
}

/// Where a note on `component` lies; or why it has no place.
pub(super) fn find(
    figure: &Figure,
    file: &PieceFile,
    component: &str,
    words: &str,
    vocabulary: &Vocabulary,
) -> Result<Found, &'static str> {
    if component.is_empty() {
        return Err("the piece as a whole");
    }
    let chain = chain(file, component);
    let side = chain.iter().find_map(|part| side(part, vocabulary));
    let behind = speaks_of_the_back(&format!("{component} {words}"));
    let mut why = "the figure does not show this part";
    for part in &chain {
        let term = part.term.clone().or_else(|| {
            let (_, term) = vocabulary.component_side(part.name.as_deref().unwrap_or_default());
            term.map(|t| t.id.clone())
        });
        for name in names(term.as_ref(), vocabulary) {
            for (view, place) in places(figure, &name, behind) {
                match spot(place, side, figure.views[view].from_behind) {
                    Some(at) => return Ok(Found { view, at }),
                    None if side.is_none() => why = "which side is not recorded",
                    None => {}
                }
            }
        }
    }
    Err(why)
}

/// The component of this name, as far as recorded, and those that it belongs to.
fn chain(file: &PieceFile, component: &str) -> Vec<Component> {
    let recorded = |name: &str| file.components.iter().find(|c| c.name.as_deref().map(str::trim) == Some(name));
    let mut chain: Vec<Component> = Vec::new();
    let mut next = Some(component.to_owned());
    while let Some(name) = next.filter(|_| chain.len() < LONGEST) {
        let part = recorded(&name).cloned().unwrap_or(Component { name: Some(name), ..Component::default() });
        next = part.part_of.as_deref().map(str::trim).filter(|p| !p.is_empty()).map(str::to_owned);
        chain.push(part);
    }
    chain
}

fn side(part: &Component, vocabulary: &Vocabulary) -> Option<Side> {
    match part.side.as_deref() {
        Some("left") => Some(Side::Left),
        Some("right") => Some(Side::Right),
        Some("centre") => Some(Side::Centre),
        _ => vocabulary.component_side(part.name.as_deref().unwrap_or_default()).0,
    }
}

/// The names to look for: the term, what covers it, and the same for each wider term.
fn names(term: Option<&TermId>, vocabulary: &Vocabulary) -> Vec<String> {
    let mut names = Vec::new();
    let mut next = term;
    while let Some(term) = next.filter(|_| names.len() < 2 * LONGEST) {
        names.push(term.name().to_owned());
        names.extend(COVERED.iter().filter(|(inner, _)| *inner == term.name()).map(|(_, outer)| (*outer).to_owned()));
        next = vocabulary.get(term).and_then(|t| t.broader.as_ref());
    }
    names
}

/// The views that show a part, the one that the words ask for first.
fn places<'f>(figure: &'f Figure, name: &str, behind: bool) -> impl Iterator<Item = (usize, &'f Place)> {
    let shown = |wanted: bool| {
        let asked = move |view: &View| (view.from_behind == behind) == wanted;
        let views = figure.views.iter().enumerate().filter(move |(_, v)| asked(v));
        views.filter_map(|(i, v)| Some((i, v.place.get(name)?))).collect::<Vec<_>>()
    };
    shown(true).into_iter().chain(shown(false))
}

/// The point for a side as worn. Seen from the front, the wearer's left is at the right.
fn spot(place: &Place, side: Option<Side>, from_behind: bool) -> Option<Spot> {
    let turned = |at: Option<Spot>, mirrored: bool| at.map(|(x, y)| if mirrored { (-x, y) } else { (x, y) });
    match side {
        Some(Side::Left) => turned(place.side, from_behind).or(place.middle),
        Some(Side::Right) => turned(place.side, !from_behind).or(place.middle),
        Some(Side::Centre) | None => place.middle,
    }
}

/// Whether the words ask for the back: `back`, `behind`, `rear`.
fn speaks_of_the_back(words: &str) -> bool {
    words.to_lowercase().split(|c: char| !c.is_alphabetic()).any(|w| matches!(w, "back" | "behind" | "rear"))
}

#[cfg(test)]
mod tests {
    use super::super::figures::of_garment;
    use super::*;
    use crate::vocabulary::Scheme;

    fn part(name: &str, part_of: Option<&str>, side: Option<&str>) -> Component {
        Component {
            name: Some(name.into()),
            part_of: part_of.map(Into::into),
            side: side.map(Into::into),
            ..Component::default()
        }
    }

    #[test]
    fn what_covers_and_what_is_covered_are_components() {
        for name in COVERED.iter().flat_map(|(inner, outer)| [inner, outer]) {
            let term = TermId::new(Scheme::Component, name);
            assert!(Vocabulary::shipped().get(&term).is_some(), "{name}");
        }
    }

    #[test]
    fn a_note_lies_on_its_component_on_the_side_as_worn() {
        let vocabulary = Vocabulary::shipped();
        let file = PieceFile {
            components: vec![
                part("left front", None, Some("left")),
                part("strip inside", Some("waistband"), None),
                part("bone channel 3", Some("body lining"), Some("left")),
                part("body lining", Some("body"), None),
                part("sleeve, one", None, Some("right")),
                part("round", Some("and round"), None),
                part("and round", Some("round"), None),
            ],
            ..PieceFile::default()
        };
        let figure = of_garment(Some(&TermId::new(Scheme::Garment, "spencer")), vocabulary).expect("a figure");
        let cases: &[(&str, &str, Result<(usize, f64, f64), &str>)] = &[
            // Front: the wearer's left is at the right; behind: at the left.
            ("left front", "", Ok((0, 24.0, 64.0))),
            ("right front", "", Ok((0, -24.0, 64.0))),
            ("left side back", "", Ok((1, -40.0, 84.0))),
            ("right side back", "", Ok((1, 40.0, 84.0))),
            ("back", "left of the seam", Ok((1, 0.0, 64.0))),
            // Words choose the view of a part that both views show.
            ("waistband", "", Ok((0, 0.0, 112.0))),
            ("waistband", "at the back", Ok((1, 0.0, 112.0))),
            ("collar", "turned back edge", Ok((1, 0.0, 21.0))),
            // A part of a part, a lining below its cloth, a wider term.
            ("strip inside", "", Ok((0, 0.0, 112.0))),
            ("right sleeve lining", "", Ok((0, -84.0, 96.0))),
            ("back lining", "", Ok((1, 0.0, 64.0))),
            ("bone channel 3", "", Ok((0, 30.0, 72.0))),
            ("right under sleeve", "", Ok((0, -84.0, 96.0))),
            ("sleeve, one", "", Ok((0, -84.0, 96.0))),
            // Never a guess of the side, never a part that is not there.
            ("sleeve", "", Err("which side is not recorded")),
            ("fan stick", "", Err("the figure does not show this part")),
            ("round", "", Err("the figure does not show this part")),
            ("", "", Err("the piece as a whole")),
        ];
        for (component, words, wanted) in cases {
            let found = find(figure, &file, component, words, vocabulary).map(|f| (f.view, f.at.0, f.at.1));
            assert_eq!(found, *wanted, "{component} {words}");
        }
    }
}
