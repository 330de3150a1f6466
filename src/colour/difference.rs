//! Colour differences, from the oldest to the one reports use, and how well a difference is known.
#![allow(clippy::many_single_char_names, reason = "the letters are those of the published formulas")]

use super::Lab;

/// What CIE94 is reckoned for: its weights differ.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Application {
    /// Printing: kL 1, K1 0.045, K2 0.015.
    Graphic,
    /// Textiles: kL 2, K1 0.048, K2 0.014.
    Textile,
}

/// A difference and its standard uncertainty.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spread {
    /// The difference.
    pub value: f64,
    /// Its standard uncertainty.
    pub u: f64,
}

/// CIE 1976 ΔE*ab: the plain distance (ISO/CIE 11664-4).
pub fn cie76(one: Lab, other: Lab) -> f64 {
    (one.l - other.l).hypot(one.a - other.a).hypot(one.b - other.b)
}

/// The signed hue difference ΔH*ab: what of the distance is neither lightness nor chroma; positive where the hue angle
/// of `sample` is the larger, on the short way round.
pub fn hue_difference(reference: Lab, sample: Lab) -> f64 {
    let product = reference.chroma() * sample.chroma();
    let cross = reference.a * sample.b - reference.b * sample.a;
    let dot = reference.a * sample.a + reference.b * sample.b;
    // Δa² + Δb² − ΔC² is twice the product less the dot; between like hues that loses every figure, its quotient none.
    let half = if dot > 0.0 { cross * cross / (product + dot) } else { product - dot };
    let size = (2.0 * half).max(0.0).sqrt();
    let turn = sample.hue() - reference.hue();
    if (turn < 0.0) == (turn.abs() > 180.0) { size } else { -size }
}

/// CIE 1994 (CIE 116-1995). Not symmetric: `reference` is the standard that `sample` is compared with.
pub fn cie94(reference: Lab, sample: Lab, application: Application) -> f64 {
    let (kl, k1, k2) = match application {
        Application::Graphic => (1.0, 0.045, 0.015),
        Application::Textile => (2.0, 0.048, 0.014),
    };
    let c = reference.chroma();
    let dc = sample.chroma() - c;
    let dh = hue_difference(reference, sample);
    ((sample.l - reference.l) / kl).hypot(dc / (1.0 + k1 * c)).hypot(dh / (1.0 + k2 * c))
}

/// CMC(l:c) of 1984 (ISO 105-J03); 2:1 for acceptance, 1:1 for perception. Not symmetric.
pub fn cmc(reference: Lab, sample: Lab, l: f64, c: f64) -> f64 {
    let (chroma, h) = (reference.chroma(), reference.hue());
    let sl = if reference.l < 16.0 { 0.511 } else { 0.040_975 * reference.l / (1.0 + 0.017_65 * reference.l) };
    let sc = 0.0638 * chroma / (1.0 + 0.0131 * chroma) + 0.638;
    let fourth = chroma.powi(4);
    let f = (fourth / (fourth + 1900.0)).sqrt();
    let t = if (164.0..=345.0).contains(&h) {
        0.56 + (0.2 * (h + 168.0).to_radians().cos()).abs()
    } else {
        0.36 + (0.4 * (h + 35.0).to_radians().cos()).abs()
    };
    let sh = sc * (f * t + 1.0 - f);
    let dc = sample.chroma() - chroma;
    let dh = hue_difference(reference, sample);
    ((sample.l - reference.l) / (l * sl)).hypot(dc / (c * sc)).hypot(dh / sh)
}

/// CIEDE2000 with kL = kC = kH = 1 (ISO/CIE 11664-6; worked as in Sharma, Wu and Dalal 2005, whose equation numbers
/// stand beside). Symmetric.
pub fn ciede2000(one: Lab, other: Lab) -> f64 {
    weighed(one, other, |from_middle| 1.0 + 0.015 * from_middle / (20.0 + from_middle).sqrt())
}

/// CIEDE2000 with S_L = 1: lightness counts alike from black to white, as a guideline for digitisation asks
/// (Metamorfoze 2.0, draft). Symmetric.
pub fn ciede2000_even(one: Lab, other: Lab) -> f64 {
    weighed(one, other, |_| 1.0)
}

/// CIEDE2000 with the weight of lightness as a function of (L − 50)².
fn weighed(one: Lab, other: Lab, weight: impl Fn(f64) -> f64) -> f64 {
    let seventh = |c: f64| {
        let c7 = c.powi(7);
        (c7 / (c7 + 25f64.powi(7))).sqrt()
    };
    // (2)-(7): a* stretched near the grey axis.
    let g = 0.5 * (1.0 - seventh(f64::midpoint(one.chroma(), other.chroma())));
    let p = Lab { a: one.a * (1.0 + g), ..one };
    let q = Lab { a: other.a * (1.0 + g), ..other };
    let (cp, cq, hp, hq) = (p.chroma(), q.chroma(), p.hue(), q.hue());
    // (8)-(11)
    let (dl, dc, dh) = (q.l - p.l, cq - cp, hue_difference(p, q));
    // (12)-(14): the mean hue on the short way round; a grey takes the other's.
    let (l, c) = (f64::midpoint(p.l, q.l), f64::midpoint(cp, cq));
    let h = if cp * cq == 0.0 {
        hp + hq
    } else if (hp - hq).abs() <= 180.0 {
        f64::midpoint(hp, hq)
    } else if hp + hq < 360.0 {
        f64::midpoint(hp, hq) + 180.0
    } else {
        f64::midpoint(hp, hq) - 180.0
    };
    // (15)-(21)
    let cos = |degrees: f64| degrees.to_radians().cos();
    let t = 1.0 - 0.17 * cos(h - 30.0) + 0.24 * cos(2.0 * h) + 0.32 * cos(3.0 * h + 6.0) - 0.20 * cos(4.0 * h - 63.0);
    let turn = 30.0 * (-((h - 275.0) / 25.0).powi(2)).exp();
    let rc = 2.0 * seventh(c);
    let sl = weight((l - 50.0).powi(2));
    let (sc, sh) = (1.0 + 0.045 * c, 1.0 + 0.015 * c * t);
    let rt = -(2.0 * turn).to_radians().sin() * rc;
    // (22)
    let (l, c, h) = (dl / sl, dc / sc, dh / sh);
    (l * l + c * c + h * h + rt * c * h).max(0.0).sqrt()
}

/// CIEDE2000 with the standard uncertainty that follows from one `u` for each of the six values (JCGM 100:2008, 5.1.2,
/// the values taken as independent). Where the two colours nearly agree the slope is taken to whichever side is
/// steeper, since a difference cannot fall below nothing.
pub fn ciede2000_spread(one: Lab, other: Lab, u: f64) -> Spread {
    let value = ciede2000(one, other);
    let step = if u > 0.0 { u } else { return Spread { value, u: 0.0 } };
    let nudged: [fn(Lab, f64) -> Lab; 3] =
        [|c, d| Lab { l: c.l + d, ..c }, |c, d| Lab { a: c.a + d, ..c }, |c, d| Lab { b: c.b + d, ..c }];
    let effect = |changed: &dyn Fn(f64) -> f64| {
        let (up, down) = (changed(step) - value, changed(-step) - value);
        up.abs().max(down.abs())
    };
    let sum: f64 = nudged
        .iter()
        .map(|nudge| {
            let first = effect(&|d| ciede2000(nudge(one, d), other));
            let second = effect(&|d| ciede2000(one, nudge(other, d)));
            first * first + second * second
        })
        .sum();
    Spread { value, u: sum.sqrt() }
}
