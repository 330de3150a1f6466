//! Whether two photographs may be set side by side: before and after, original and reconstruction.
//!
//! What differs between the photographs must not be read as a difference of the cloth. So each condition of the two is
//! compared, and it is said what it bears on: the shape that is seen, or the colour. The limits are rules of this house;
//! the guides to documentation ask for the same view, light, exposure and scale without a figure.

use serde::Serialize;

use crate::optics::Exposure;
use crate::record::photograph::Photograph;
use crate::vocabulary::TermId;

/// Largest ratio of two focal lengths (as for 35 mm film where both are known) or resolutions that passes for one.
pub const RATIO: f64 = 1.1;
/// Largest difference of aperture, in stops.
pub const STOPS: f64 = 1.0;
/// Largest difference of the light that the settings were made for, in EV.
pub const LIGHT_EV: f64 = 1.0;
/// Largest difference of the lightness (CIELAB L*) in which the greys of a colour target came out.
pub const LIGHTNESS: f64 = 2.0;
/// Largest difference of tilt from square on, in degrees, where both scales were taken from a rectangle.
pub const TILT: f64 = 5.0;

/// How two photographs stand to each other in one condition.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Likeness {
    /// Alike within the limit.
    Alike,
    /// Beyond it.
    Unlike,
    /// Not recorded on one or both.
    NotKnown,
}

impl Likeness {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Alike => "alike",
            Self::Unlike => "unlike",
            Self::NotKnown => "not known",
        }
    }
}

/// What a condition bears on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Bears {
    /// On shapes and sizes.
    Shape,
    /// On colours and their lightness.
    Colour,
}

/// One condition of both photographs.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Line {
    /// Which: `view`, `light`, `focal length` …
    pub condition: &'static str,
    /// What it bears on.
    pub bears: Bears,
    /// On the first photograph; blank if not recorded.
    pub first: String,
    /// On the second.
    pub second: String,
    /// How they stand to each other.
    pub likeness: Likeness,
    /// The limit, in words; blank where only equal passes.
    pub limit: String,
}

/// Two photographs, condition by condition.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Comparability {
    /// Each condition.
    pub lines: Vec<Line>,
}

impl Comparability {
    /// Sets two photographs side by side.
    pub fn of(first: &Photograph, second: &Photograph) -> Self {
        let (a, b) = (first.capture.clone(), second.capture.clone());
        let stops = |n: Option<f64>| n.filter(|n| *n > 0.0).map(|n| 2.0 * n.log2());
        // Of different cameras only the lengths as for 35 mm film can be compared; of one camera its own will do.
        let focal = match (a.focal_length_35mm, b.focal_length_35mm) {
            (Some(x), Some(y)) => [Some(x), Some(y)],
            _ if a.model == b.model => [a.focal_length_mm, b.focal_length_mm],
            _ => [None, None],
        };
        let lines = vec![
            words("view", Bears::Shape, view(first), view(second)),
            ratio("focal length", "mm", 0, focal, Bears::Shape),
            figures(
                "aperture",
                Bears::Shape,
                [a.aperture, b.aperture],
                |n| format!("f/{}", plain(n, 1)),
                |x, y| Some((stops(Some(x))? - stops(Some(y))?).abs() <= STOPS),
            )
            .limited(&format!("{STOPS} stop")),
            ratio("resolution", "px/mm", 1, [resolution(first), resolution(second)], Bears::Shape),
            figures(
                "tilt",
                Bears::Shape,
                [tilt(first), tilt(second)],
                |n| format!("{n:.0}°"),
                |x, y| Some((x - y).abs() <= TILT),
            )
            .limited(&format!("{TILT}°")),
            words("light", Bears::Colour, named(first.light.as_ref()), named(second.light.as_ref())),
            words("white balance", Bears::Colour, said(a.white_balance.as_ref()), said(b.white_balance.as_ref())),
            figures(
                "light by the settings",
                Bears::Colour,
                [ev(first), ev(second)],
                |n| format!("EV {n:.1}"),
                |x, y| Some((x - y).abs() <= LIGHT_EV),
            )
            .limited(&format!("{LIGHT_EV} EV")),
            figures(
                "lightness of the target's greys",
                Bears::Colour,
                [greys(first), greys(second)],
                |n| format!("L* {n:+.1}").replace('-', "−"),
                |x, y| Some((x - y).abs() <= LIGHTNESS),
            )
            .limited(&format!("{LIGHTNESS} of L*")),
        ];
        Self { lines }
    }

    /// The conditions that stand so, of those that bear on one thing.
    pub fn of_likeness(&self, bears: Bears, likeness: Likeness) -> Vec<&'static str> {
        let fits = |l: &&Line| l.bears == bears && l.likeness == likeness;
        self.lines.iter().filter(fits).map(|l| l.condition).collect()
    }

    /// What may be read from the two side by side, in a sentence for shapes and one for colours.
    pub fn verdicts(&self) -> [String; 2] {
        [(Bears::Shape, "Shapes"), (Bears::Colour, "Colours")].map(|(bears, what)| {
            let unlike = self.of_likeness(bears, Likeness::Unlike);
            let unknown = self.of_likeness(bears, Likeness::NotKnown);
            let unsure =
                if unknown.is_empty() { String::new() } else { format!("; not known: {}", unknown.join(", ")) };
            if unlike.is_empty() && self.of_likeness(bears, Likeness::Alike).is_empty() {
                format!("{what}: cannot be told, since nothing is recorded that bears on them.")
            } else if unlike.is_empty() {
                format!("{what} may be compared: the photographs are alike in what is recorded{unsure}.")
            } else {
                format!(
                    "{what} with care: the photographs differ in {}{unsure}. What looks like a change may come from that.",
                    unlike.join(", ")
                )
            }
        })
    }
}

impl Line {
    fn limited(mut self, limit: &str) -> Self {
        self.limit = format!("within {limit}");
        self
    }
}

fn words(condition: &'static str, bears: Bears, first: String, second: String) -> Line {
    let likeness = match (first.is_empty() || second.is_empty(), first == second) {
        (true, _) => Likeness::NotKnown,
        (false, true) => Likeness::Alike,
        (false, false) => Likeness::Unlike,
    };
    Line { condition, bears, first, second, likeness, limit: String::new() }
}

fn figures(
    condition: &'static str,
    bears: Bears,
    [first, second]: [Option<f64>; 2],
    written: impl Fn(f64) -> String,
    alike: impl Fn(f64, f64) -> Option<bool>,
) -> Line {
    let finite = |n: Option<f64>| n.filter(|n| n.is_finite());
    let (first, second) = (finite(first), finite(second));
    let likeness = match first.zip(second).and_then(|(x, y)| alike(x, y)) {
        Some(true) => Likeness::Alike,
        Some(false) => Likeness::Unlike,
        None => Likeness::NotKnown,
    };
    let say = |n: Option<f64>| n.map(&written).unwrap_or_default();
    Line { condition, bears, first: say(first), second: say(second), likeness, limit: String::new() }
}

fn ratio(condition: &'static str, unit: &str, digits: usize, both: [Option<f64>; 2], bears: Bears) -> Line {
    let alike = |x: f64, y: f64| (x > 0.0 && y > 0.0).then(|| (x / y).max(y / x) <= RATIO);
    figures(condition, bears, both, |n| format!("{} {unit}", plain(n, digits)), alike)
        .limited(&format!("{:.0} %", (RATIO - 1.0) * 100.0))
}

/// A figure with so many decimals, without an idle nought.
fn plain(n: f64, digits: usize) -> String {
    let text = format!("{n:.digits$}");
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

fn named(term: Option<&TermId>) -> String {
    term.map(|t| t.name().to_owned()).unwrap_or_default()
}

fn said(text: Option<&String>) -> String {
    text.map(|t| t.trim().to_owned()).unwrap_or_default()
}

/// The view, and the component where it is of one.
fn view(p: &Photograph) -> String {
    let parts = [named(p.view.as_ref()), said(p.component.as_ref())];
    if parts[0].is_empty() { String::new() } else { parts.join(" ").trim().to_owned() }
}

fn resolution(p: &Photograph) -> Option<f64> {
    Some(p.scale.as_ref()?.said()?.px_per_mm.value)
}

fn tilt(p: &Photograph) -> Option<f64> {
    p.scale.as_ref()?.said()?.tilt
}

fn ev(p: &Photograph) -> Option<f64> {
    p.capture.exposure().map(Exposure::ev100)
}

fn greys(p: &Photograph) -> Option<f64> {
    p.target.as_ref()?.results.exposure
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::capture::Capture;
    use crate::record::picture_scale::PictureScale;
    use crate::vocabulary::Scheme;

    fn taken(change: impl FnOnce(&mut Photograph)) -> Photograph {
        let scale = PictureScale::between([(0.0, 0.0), (1000.0, 0.0)], "10 cm", Some("0.1 mm"), 1.0).expect("a scale");
        let mut p = Photograph {
            view: Some(TermId::new(Scheme::View, "front")),
            light: Some(TermId::new(Scheme::Light, "daylight")),
            capture: Capture {
                focal_length_mm: Some(50.0),
                aperture: Some(8.0),
                shutter_s: Some(1.0 / 60.0),
                iso: Some(200),
                white_balance: Some("auto".into()),
                ..Capture::default()
            },
            scale: Some(scale),
            ..Photograph::default()
        };
        change(&mut p);
        p
    }

    fn stands(second: &Photograph, condition: &str) -> Likeness {
        let found = Comparability::of(&taken(|_| ()), second);
        found.lines.iter().find(|l| l.condition == condition).map(|l| l.likeness).expect("the condition")
    }

    #[test]
    fn each_condition_is_alike_up_to_its_limit_and_not_known_where_it_is_blank() {
        type Set = fn(&mut Photograph);
        let bar = |mm: &str| PictureScale::between([(0.0, 0.0), (1000.0, 0.0)], mm, None, 1.0).ok();
        let cases: [(&str, Set, Set, Set); 5] = [
            ("view", |_| (), |p| p.component = Some("cuff".into()), |p| p.view = None),
            (
                "focal length",
                |p| p.capture.focal_length_mm = Some(54.9),
                |p| p.capture.focal_length_mm = Some(45.0),
                |p| p.capture.focal_length_mm = Some(0.0),
            ),
            (
                "aperture",
                |p| p.capture.aperture = Some(8.0 * 2f64.sqrt() * 0.999),
                |p| p.capture.aperture = Some(16.0),
                |p| p.capture.aperture = None,
            ),
            ("light", |_| (), |p| p.light = Some(TermId::new(Scheme::Light, "raking light")), |p| p.light = None),
            (
                "light by the settings",
                |p| p.capture.iso = Some(100),
                |p| p.capture.iso = Some(800),
                |p| p.capture.shutter_s = None,
            ),
        ];
        for (condition, alike, unlike, blank) in cases {
            assert_eq!(stands(&taken(alike), condition), Likeness::Alike, "{condition}");
            assert_eq!(stands(&taken(unlike), condition), Likeness::Unlike, "{condition}");
            assert_eq!(stands(&taken(blank), condition), Likeness::NotKnown, "{condition}");
        }
        let film = |first: Option<f64>, second: Option<f64>, model: &str| {
            let a = taken(|p| p.capture.focal_length_35mm = first);
            let b = taken(|p| {
                p.capture.focal_length_35mm = second;
                p.capture.focal_length_mm = Some(33.0);
                p.capture.model = Some(model.into());
            });
            let found = Comparability::of(&a, &b);
            found.lines.iter().find(|l| l.condition == "focal length").map(|l| l.likeness)
        };
        assert_eq!(film(Some(50.0), Some(50.0), "other"), Some(Likeness::Alike), "33 mm on a smaller sensor");
        assert_eq!(film(Some(50.0), Some(75.0), "other"), Some(Likeness::Unlike));
        assert_eq!(film(Some(50.0), None, "other"), Some(Likeness::NotKnown), "the film size of one is not known");
        assert_eq!(stands(&taken(|p| p.scale = bar("105 mm")), "resolution"), Likeness::Alike);
        assert_eq!(stands(&taken(|p| p.scale = bar("120 mm")), "resolution"), Likeness::Unlike);
        assert_eq!(stands(&taken(|_| ()), "tilt"), Likeness::NotKnown, "a bar tells no tilt");
        assert_eq!(stands(&taken(|_| ()), "lightness of the target's greys"), Likeness::NotKnown);
    }

    #[test]
    fn what_is_not_known_is_never_called_alike_and_a_difference_is_named() {
        let same = Comparability::of(&taken(|_| ()), &taken(|_| ()));
        let [shapes, colours] = same.verdicts();
        assert!(shapes.contains("may be compared") && shapes.contains("not known: tilt"), "{shapes}");
        assert!(colours.contains("not known: lightness of the target's greys"), "{colours}");
        let other = Comparability::of(&taken(|_| ()), &taken(|p| p.capture.focal_length_mm = Some(24.0)));
        let [shapes, colours] = other.verdicts();
        assert!(shapes.contains("with care") && shapes.contains("focal length"), "{shapes}");
        assert!(colours.contains("may be compared"), "{colours}");
        let blank = Comparability::of(&Photograph::default(), &Photograph::default());
        assert!(blank.verdicts().iter().all(|v| v.contains("cannot be told")), "{:?}", blank.verdicts());
    }
}
