//! Colour readings of a cloth: a chip beside the figures, and a faded place set against one that was protected.

use serde::Serialize;

use super::words::{bracketed, joined, text};
use crate::colour::{CAUTION, Lab, change, change_in_colour, ciede2000};
use crate::record::textile::{Colour, PROTECTED};

/// One reading.
#[derive(Debug, Serialize)]
pub(super) struct Reading {
    /// Where, and whether light reached it.
    pub place: String,
    pub figures: String,
    pub instrument: String,
    /// The nearest sRGB, `#7a5c3e`; blank where a value is missing.
    pub chip: String,
    /// Whether sRGB cannot reach the colour, so that the chip is duller than the cloth.
    pub beyond: bool,
}

/// All readings of a cloth.
#[derive(Debug, Default, Serialize)]
pub(super) struct Readings {
    pub rows: Vec<Reading>,
    /// A sentence for each place set against the protected one. It tells the difference, not its cause.
    pub faded: Vec<String>,
    /// What to bear in mind; blank where nothing is compared.
    pub caution: &'static str,
}

pub(super) fn readings(list: &[Colour]) -> Readings {
    let shelter = list.iter().find(|c| is_protected(c));
    let faded: Vec<String> = match shelter {
        None => Vec::new(),
        Some(shelter) => list.iter().filter(|c| !is_protected(c)).filter_map(|c| against(shelter, c)).collect(),
    };
    let caution = if faded.is_empty() { "" } else { CAUTION };
    Readings { rows: list.iter().map(reading).collect(), faded, caution }
}

fn is_protected(c: &Colour) -> bool {
    c.exposure.as_deref() == Some(PROTECTED)
}

fn lab(c: &Colour) -> Option<Lab> {
    Some(Lab::new(c.l?, c.a?, c.b?)).filter(|c| [c.l, c.a, c.b].iter().all(|v| v.is_finite()))
}

fn reading(c: &Colour) -> Reading {
    let value = |v: Option<f64>| v.map_or("not recorded".to_owned(), |v| format!("{v:.1}"));
    let figures = lab(c).map_or_else(
        || format!("L* {}, a* {}, b* {}", value(c.l), value(c.a), value(c.b)).replace('-', "−"),
        |lab| lab.to_string(),
    );
    let chip = lab(c).map(Lab::to_srgb);
    let instrument = text(c.instrument.as_ref());
    Reading {
        place: place(c),
        figures,
        instrument: if instrument.is_empty() { "instrument not recorded".to_owned() } else { instrument },
        beyond: chip.is_some_and(|(_, within)| !within),
        chip: chip.map(|(srgb, _)| srgb.to_string()).unwrap_or_default(),
    }
}

/// The place with its exposure, unless the place says that itself.
fn place(c: &Colour) -> String {
    let (place, exposure) = (text(c.place.as_ref()), text(c.exposure.as_ref()));
    if place.to_lowercase().contains(&exposure.to_lowercase()) { place } else { joined([place, exposure], ", ") }
}

/// What became of a place, seen from the protected one; none where a value is missing.
fn against(shelter: &Colour, c: &Colour) -> Option<String> {
    let (before, after) = (lab(shelter)?, lab(c)?);
    let name = |c: &Colour| {
        let name = text(c.place.as_ref());
        if name.is_empty() { "a place not named".to_owned() } else { format!("“{name}”") }
    };
    let head = format!("{} against {}", name(c), name(shelter));
    let (one, other) = (text(shelter.instrument.as_ref()), text(c.instrument.as_ref()));
    if one != other {
        return Some(format!("{head}: not compared, since the instruments differ."));
    }
    let what = change(before, after);
    let grade = format!("grey-scale grade {}", change_in_colour(before, after).grade);
    let figures = bracketed(&format!("ΔE00 {:.1}", ciede2000(before, after)), &what.seen.to_string());
    Some(format!("{head}: {}; {what}.", joined([figures, grade], ", ")))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn colour(place: &str, exposure: &str, lab: [f64; 3], instrument: &str) -> Colour {
        let words = |t: &str| (!t.is_empty()).then(|| t.to_owned());
        let [l, a, b] = lab.map(Some);
        Colour { place: words(place), exposure: words(exposure), l, a, b, instrument: words(instrument) }
    }

    #[test]
    fn a_faded_place_is_set_against_the_protected_one() {
        let shelter = colour("under the collar", "protected", [43.6, -33.2, 20.9], "meter");
        let sleeve = colour("sleeve", "exposed", [48.9, -24.6, 22.4], "meter");
        let other = colour("", "", [43.0, -32.4, 20.1], "another meter");
        let found = readings(&[sleeve.clone(), shelter.clone(), other]);
        assert_eq!(
            found.faded,
            [
                "“sleeve” against “under the collar”: ΔE00 6.7 (visible at a glance), grey-scale grade 1-2; lighter, duller, \
                 turned far towards yellow.",
                "a place not named against “under the collar”: not compared, since the instruments differ."
            ]
        );
        assert_eq!(found.caution, CAUTION);
        assert_eq!(found.rows[1].place, "under the collar, protected");
        // Without a protected place nothing is compared, and without a value nothing is guessed.
        assert!(readings(&[sleeve.clone(), sleeve.clone()]).faded.is_empty());
        let blank = Colour { a: None, ..sleeve };
        let found = readings(&[shelter, blank]);
        assert!(found.faded.is_empty() && found.rows[1].chip.is_empty());
        assert_eq!(found.rows[1].figures, "L* 48.9, a* not recorded, b* 22.4");
    }

    #[test]
    fn a_chip_says_when_it_cannot_show_the_colour() {
        let found = readings(&[
            colour("hem, protected", "protected", [43.6, -33.2, 20.9], ""),
            colour("ribbon", "exposed", [60.0, 100.0, -100.0], ""),
            colour("", "", [f64::NAN, 0.0, 0.0], ""),
        ]);
        let shown: Vec<_> = found.rows.iter().map(|r| (r.place.as_str(), r.chip.as_str(), r.beyond)).collect();
        assert_eq!(shown[0], ("hem, protected", "#307443", false));
        assert_eq!((shown[1].0, shown[1].2, shown[2].1), ("ribbon, exposed", true, ""));
        assert_eq!(found.rows[0].instrument, "instrument not recorded");
    }
}
