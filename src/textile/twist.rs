//! Twist: the surface angle from turns and diameter and back, the twist factor, and the diameter of a round yarn.
//!
//! A yarn's surface fibre is a helix: tan α = π·d·T, with diameter d and turns T in matching units (standard textbooks;
//! the relation read in stored pages on yarn twist; ISO 2061 is the test).

use std::f64::consts::PI;

use super::Mark;
use crate::measure::Estimate;
use crate::measure::YarnSystem;

/// Specific volume of a cotton yarn in cm³/g (Peirce, J. Text. Inst. 28 (1937) T45).
pub const COTTON_VOLUME: f64 = 1.1;

/// The surface angle in degrees of a yarn with `turns` per centimetre and `diameter` in millimetres.
///
/// ```
/// use dimity::measure::Estimate;
/// use dimity::textile::twist;
/// let angle = twist::angle(Estimate::exact(6.0), Estimate::exact(0.19));
/// assert!((angle.value - 19.7).abs() < 0.05);
/// ```
pub fn angle(turns: Estimate, diameter: Estimate) -> Estimate {
    let per_mm = turns.value / 10.0;
    let slope = PI * diameter.value * per_mm;
    let by_slope = 1.0 / (1.0 + slope * slope);
    let shares = [by_slope * PI * diameter.value * turns.u / 10.0, by_slope * PI * per_mm * diameter.u];
    Estimate::from_shares(slope.atan().to_degrees(), &shares.map(f64::to_degrees))
}

/// Turns per centimetre from the surface angle in degrees and the diameter in millimetres; none unless the angle lies
/// between 0 and 90 degrees and there is a diameter.
pub fn turns(angle: Estimate, diameter: Estimate) -> Option<Estimate> {
    let (value, by_angle) = over_pi(angle)?;
    let found = 10.0 * value / diameter.value;
    let shares = [10.0 * by_angle / diameter.value, found * diameter.u / diameter.value];
    Some(Estimate::from_shares(found, &shares)).filter(|t| diameter.value > 0.0 && t.is_sound())
}

/// Diameter in millimetres from the surface angle in degrees and the turns per centimetre; none unless the angle lies
/// between 0 and 90 degrees and there are turns.
pub fn diameter(angle: Estimate, turns: Estimate) -> Option<Estimate> {
    let (value, by_angle) = over_pi(angle)?;
    let found = 10.0 * value / turns.value;
    let shares = [10.0 * by_angle / turns.value, found * turns.u / turns.value];
    Some(Estimate::from_shares(found, &shares)).filter(|d| turns.value > 0.0 && d.is_sound())
}

/// tan α / π, and the share that the uncertainty of the angle has in it.
fn over_pi(angle: Estimate) -> Option<(f64, f64)> {
    let alpha = angle.value.to_radians();
    let inside = angle.value > 0.0 && angle.value < 90.0;
    inside.then(|| (alpha.tan() / PI, angle.u.to_radians() / alpha.cos().powi(2) / PI))
}

/// Twist factor α = turns per metre × √tex, from turns per centimetre: the same figure for yarns twisted alike, whatever
/// their thickness.
pub fn factor(turns: Estimate, tex: Estimate) -> Estimate {
    let root = tex.value.sqrt();
    let per_m = 100.0 * turns.value;
    Estimate::from_shares(per_m * root, &[100.0 * root * turns.u, per_m * tex.u / (2.0 * root)])
}

/// Twist multiplier turns per inch ÷ √Ne, from turns per centimetre and tex.
pub fn multiplier(turns: Estimate, tex: Estimate) -> Estimate {
    // turns per m × √tex = (tpi ÷ 0.0254) × √(c/Ne), with c tex × Ne: the two differ by √c ÷ 0.0254, 956.7.
    factor(turns, tex).times(0.0254 / YarnSystem::Cotton.to_tex(1.0).sqrt())
}

/// Diameter in millimetres of a round, evenly packed yarn of so many tex and a specific volume in cm³/g
/// ([`COTTON_VOLUME`]): d = 0.03742·√tex for 1.1 cm³/g (Peirce 1937).
pub fn round_diameter(tex: Estimate, volume: f64) -> Estimate {
    // 1 tex is 10⁻⁵ g/cm; the section in mm² is 100 times that in cm².
    let value = (4.0 * tex.value * volume * 1e-3 / PI).sqrt();
    Estimate::from_shares(value, &[if tex.value > 0.0 { value * tex.u / (2.0 * tex.value) } else { 0.0 }])
}

/// How hard a yarn is twisted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Tightness {
    /// Below 10 degrees.
    Loose,
    /// From 10 to 25 degrees.
    Medium,
    /// From 25 to 45 degrees.
    Tight,
    /// Above 45 degrees.
    VeryTight,
}

impl Tightness {
    /// The limits are those of Emery, The Primary Structures of Fabrics (1966); see [`Tightness::MARK`].
    pub fn of(degrees: f64) -> Tightness {
        match degrees.abs() {
            a if a < 10.0 => Tightness::Loose,
            a if a < 25.0 => Tightness::Medium,
            a if a <= 45.0 => Tightness::Tight,
            _ => Tightness::VeryTight,
        }
    }

    /// The limits are quoted from memory.
    pub const MARK: Mark = Mark::Memory;

    /// In words: `medium twist`.
    pub fn words(self) -> &'static str {
        match self {
            Tightness::Loose => "loose twist",
            Tightness::Medium => "medium twist",
            Tightness::Tight => "tight twist",
            Tightness::VeryTight => "very tight twist",
        }
    }
}
