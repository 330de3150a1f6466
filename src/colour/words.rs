//! A change of colour in words: lighter or darker, duller or brighter, which way the hue has turned.
//!
//! The thresholds are common practice and stated here, so that a word always means the same figures. They are not those
//! of a standard; the grade of the grey scale stands beside the words for that.

use std::fmt;

use super::difference::{ciede2000, hue_difference};
use super::lab::Lab;

/// A part of a change (lightness, chroma, hue, in CIELAB units) below this is not named.
pub const SEEN: f64 = 1.0;
/// From here a part needs no `slightly`.
pub const CLEAR: f64 = 3.0;
/// From here a part is `much`.
pub const MARKED: f64 = 6.0;
/// Below this chroma a colour is too grey for a hue to turn; a tinge is named instead.
pub const GREY: f64 = 5.0;

/// The four hues that people name without a second word, by their CIELAB angle in degrees (unique hues, rounded; from
/// memory).
pub const HUES: [(f64, &str); 4] = [(25.0, "red"), (90.0, "yellow"), (165.0, "green"), (250.0, "blue")];

/// How a whole difference strikes the eye, by CIEDE2000.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Seen {
    /// Below 1: not seen by most people.
    Hardly,
    /// 1 to below 2: seen side by side.
    Just,
    /// 2 to below 5: seen when looked for.
    Plainly,
    /// 5 and more: seen at a glance.
    AtAGlance,
}

/// What changed between two readings, ready to be said.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Change {
    /// Difference of lightness; positive is lighter.
    pub lightness: f64,
    /// Difference of chroma; positive is brighter.
    pub chroma: f64,
    /// Hue difference ΔH*ab in CIELAB units; positive is a larger angle.
    pub hue: f64,
    /// The named hue that the colour has moved towards; none where the hue did not change enough to be named.
    pub towards: Option<&'static str>,
    /// Whether that is a tinge of a near grey, not a turn of a hue.
    pub tinge: bool,
    /// How the whole difference strikes the eye.
    pub seen: Seen,
}

/// What changed from `reference` to `sample`.
pub fn change(reference: Lab, sample: Lab) -> Change {
    let (da, db) = (sample.a - reference.a, sample.b - reference.b);
    let hue = hue_difference(reference, sample);
    let chroma = sample.chroma() - reference.chroma();
    let grey = reference.chroma().min(sample.chroma()) < GREY;
    // A grey that gained colour has a tinge; a colour that became grey is only duller.
    let tinge = grey && da.hypot(db) >= SEEN && sample.chroma() >= reference.chroma();
    let towards = if tinge {
        Some(nearest(Lab::new(0.0, da, db).hue()))
    } else if !grey && hue.abs() >= SEEN {
        Some(next(reference.hue(), hue > 0.0))
    } else {
        None
    };
    let seen = match ciede2000(reference, sample) {
        d if d < 1.0 => Seen::Hardly,
        d if d < 2.0 => Seen::Just,
        d if d < 5.0 => Seen::Plainly,
        _ => Seen::AtAGlance,
    };
    Change { lightness: sample.l - reference.l, chroma, hue, towards, tinge, seen }
}

/// The named hue nearest to an angle.
fn nearest(angle: f64) -> &'static str {
    let apart = |hue: f64| {
        let d = (angle - hue).abs() % 360.0;
        d.min(360.0 - d)
    };
    HUES.iter().min_by(|p, q| apart(p.0).total_cmp(&apart(q.0))).map_or("", |(_, name)| name)
}

/// The named hue that comes next from an angle, upwards or downwards.
fn next(angle: f64, up: bool) -> &'static str {
    let ahead = |hue: f64| (if up { hue - angle } else { angle - hue }).rem_euclid(360.0);
    let others = HUES.iter().filter(|(hue, _)| ahead(*hue) > 0.0);
    others.min_by(|p, q| ahead(p.0).total_cmp(&ahead(q.0))).map_or("", |(_, name)| name)
}

impl fmt::Display for Seen {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Seen::Hardly => "hardly visible",
            Seen::Just => "just visible side by side",
            Seen::Plainly => "plainly visible",
            Seen::AtAGlance => "visible at a glance",
        })
    }
}

impl fmt::Display for Change {
    /// `lighter, much duller, turned slightly towards yellow`; `far` is to a turn what `much` is to the others.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut parts: Vec<String> = Vec::new();
        let mut say = |amount: f64, more: &str, less: &str| {
            if amount.abs() >= SEEN {
                parts.push(format!("{}{}", degree(amount), if amount > 0.0 { more } else { less }));
            }
        };
        say(self.lightness, "lighter", "darker");
        if !self.tinge {
            say(self.chroma, "brighter", "duller");
        }
        if let Some(hue) = self.towards {
            let amount = if self.tinge { self.hue.hypot(self.chroma) } else { self.hue };
            let verb = if self.tinge { "tinged" } else { "turned" };
            parts.push(format!("{verb} {}towards {hue}", degree(amount).replace("much", "far")));
        }
        if parts.is_empty() {
            f.write_str("no part of the colour changed visibly")
        } else {
            f.write_str(&parts.join(", "))
        }
    }
}

fn degree(amount: f64) -> &'static str {
    match amount.abs() {
        a if a < CLEAR => "slightly ",
        a if a < MARKED => "",
        _ => "much ",
    }
}
