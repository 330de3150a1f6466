//! sRGB as screens and style sheets write it, and the chip that stands for a CIELAB reading on a page.

use std::fmt;

use super::lab::{Lab, White, Xyz};
use super::matrix::{Matrix, apply, inverse, scaled};

/// An sRGB colour of eight bits a channel (IEC 61966-2-1), printed as `#7a5c3e`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Srgb {
    /// Red.
    pub r: u8,
    /// Green.
    pub g: u8,
    /// Blue.
    pub b: u8,
}

/// A text that is no sRGB colour: neither `#7a5c3e` nor `#abc`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("no colour of six hexadecimal digits; write it as `#7a5c3e`")]
pub struct Unprintable;

/// Chromaticities of the primaries as x/y, 1, z/y columns (IEC 61966-2-1: R 0.64 0.33, G 0.30 0.60, B 0.15 0.06).
const PRIMARIES: Matrix =
    [[0.64 / 0.33, 0.30 / 0.60, 0.15 / 0.06], [1.0, 1.0, 1.0], [0.03 / 0.33, 0.10 / 0.60, 0.79 / 0.06]];

/// Linear light to XYZ, reckoned from primaries and white: the four-figure table of the standard would leave white with
/// a tinge of 0.01.
const TO_XYZ: Matrix = {
    let white = White::D65.xyz();
    scaled(&PRIMARIES, apply(&inverse(&PRIMARIES), [white.x, white.y, white.z]))
};
const FROM_XYZ: Matrix = inverse(&TO_XYZ);

/// Linear light in sRGB's primaries: red, green, blue, each 1 at the white. Below 0 or above 1 lies what sRGB cannot
/// show.
pub type Light = [f64; 3];

impl Srgb {
    /// Reads `#7a5c3e`, `7a5c3e` or `#abc`, in either case.
    ///
    /// # Errors
    /// [`Unprintable`] for anything else.
    pub fn parse(text: &str) -> Result<Srgb, Unprintable> {
        let digits = text.trim().trim_start_matches('#');
        if !digits.bytes().all(|b| b.is_ascii_hexdigit()) || text.trim().len() > digits.len() + 1 {
            return Err(Unprintable);
        }
        let value = u32::from_str_radix(digits, 16).map_err(|_| Unprintable)?;
        let [_, r, g, b] = value.to_be_bytes();
        match digits.len() {
            6 => Ok(Srgb { r, g, b }),
            3 => Ok(Srgb { r: (g & 15) * 17, g: (b >> 4) * 17, b: (b & 15) * 17 }),
            _ => Err(Unprintable),
        }
    }

    /// Tristimulus values under D65.
    pub fn to_xyz(self) -> Xyz {
        Xyz::from_light(self.to_light())
    }

    /// Linear light of each channel.
    pub fn to_light(self) -> Light {
        [self.r, self.g, self.b].map(|c| linear(f64::from(c) / 255.0))
    }

    /// CIELAB under D65.
    pub fn to_lab(self) -> Lab {
        self.to_xyz().to_lab(White::D65)
    }
}

impl Xyz {
    /// Tristimulus values under D65 of linear light.
    pub fn from_light(light: Light) -> Xyz {
        let [x, y, z] = apply(&TO_XYZ, light);
        Xyz { x, y, z }
    }

    /// Linear light of tristimulus values under D65, not held within what sRGB can show.
    pub fn to_light(self) -> Light {
        apply(&FROM_XYZ, [self.x, self.y, self.z])
    }
}

impl Lab {
    /// The nearest sRGB of a colour reckoned under D65, and whether sRGB reaches it. Beyond its reach each channel is
    /// held at its end, so that a chip is duller than the cloth.
    pub fn to_srgb(self) -> (Srgb, bool) {
        let Xyz { x, y, z } = self.to_xyz(White::D65);
        let levels = apply(&FROM_XYZ, [x, y, z]).map(|c| encoded(c) * 255.0);
        // Half a step beyond the end still rounds to the end.
        let within = levels.iter().all(|c| (-0.5..=255.5).contains(c));
        let [r, g, b] = levels.map(|c| c.round().clamp(0.0, 255.0) as u8);
        (Srgb { r, g, b }, within)
    }
}

/// The transfer curve, from a code value of 0 to 1 to linear light.
fn linear(code: f64) -> f64 {
    if code <= 0.04045 { code / 12.92 } else { ((code + 0.055) / 1.055).powf(2.4) }
}

/// The transfer curve backwards.
fn encoded(light: f64) -> f64 {
    if light <= 0.003_130_8 { light * 12.92 } else { 1.055 * light.powf(1.0 / 2.4) - 0.055 }
}

impl fmt::Display for Srgb {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "#{:02x}{:02x}{:02x}", self.r, self.g, self.b)
    }
}
