//! CIELAB, its polar form, XYZ, and adaptation between white points.

use serde::{Deserialize, Serialize};

use super::matrix::{Matrix, apply, inverse};

/// A colour in CIELAB (ISO/CIE 11664-4): lightness 0 to 100, green to red, blue to yellow.
///
/// What illuminant and observer it stands for is the instrument's to say; nothing here guesses it.
///
/// ```
/// use dimity::colour::Lab;
/// let silk = Lab::new(43.0, -32.4, 20.1);
/// assert_eq!(format!("{silk}"), "L* 43.0, a* −32.4, b* 20.1");
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Lab {
    /// Lightness L*.
    pub l: f64,
    /// Green (negative) to red, a*.
    pub a: f64,
    /// Blue (negative) to yellow, b*.
    pub b: f64,
}

/// A colour in CIELCh: the polar form of [`Lab`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lch {
    /// Lightness L*.
    pub l: f64,
    /// Chroma C*, 0 for a grey.
    pub c: f64,
    /// Hue angle in degrees, from 0 (red) over 90 (yellow) to below 360; 0 for a grey, which has none.
    pub h: f64,
}

/// Tristimulus values, with Y = 100 for the white.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Xyz {
    /// X.
    pub x: f64,
    /// Y, the luminance factor in per cent.
    pub y: f64,
    /// Z.
    pub z: f64,
}

/// A white point of the 2° observer, by its chromaticity (CIE 15; IEC 61966-2-1 for D65, ISO 3664 for D50).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum White {
    /// x 0.3457, y 0.3585: the light of viewing booths and of colour management.
    D50,
    /// x 0.3127, y 0.3290: average daylight, the white of sRGB.
    D65,
}

/// (6/29)³, below which CIELAB is straight instead of a cube root (ISO/CIE 11664-4).
const STRAIGHT: f64 = 216.0 / 24389.0;
/// (29/3)³, the slope there in units of 1/116.
const SLOPE: f64 = 24389.0 / 27.0;

/// Cone responses of the Bradford transform (ICC.1:2022, annex E; values from memory, met by two libraries).
const BRADFORD: Matrix = [[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]];
const FROM_BRADFORD: Matrix = inverse(&BRADFORD);

impl White {
    /// Its tristimulus values.
    pub const fn xyz(self) -> Xyz {
        let (x, y) = match self {
            White::D50 => (0.3457, 0.3585),
            White::D65 => (0.3127, 0.3290),
        };
        Xyz { x: 100.0 * x / y, y: 100.0, z: 100.0 * (1.0 - x - y) / y }
    }
}

impl Lab {
    /// A colour by its three values.
    pub const fn new(l: f64, a: f64, b: f64) -> Lab {
        Lab { l, a, b }
    }

    /// Chroma C*.
    pub fn chroma(self) -> f64 {
        self.a.hypot(self.b)
    }

    /// Hue angle in degrees from 0 to below 360; 0 for a grey.
    pub fn hue(self) -> f64 {
        let angle = self.b.atan2(self.a).to_degrees();
        // A tiny negative angle plus 360 rounds to 360 itself.
        if angle < 0.0 { (angle + 360.0) % 360.0 } else { angle }
    }

    /// The polar form.
    pub fn to_lch(self) -> Lch {
        Lch { l: self.l, c: self.chroma(), h: self.hue() }
    }

    /// Tristimulus values under the white that the colour was reckoned with.
    pub fn to_xyz(self, white: White) -> Xyz {
        let fy = (self.l + 16.0) / 116.0;
        let part = |f: f64| {
            let cube = f * f * f;
            if cube > STRAIGHT { cube } else { (116.0 * f - 16.0) / SLOPE }
        };
        let w = white.xyz();
        Xyz { x: w.x * part(fy + self.a / 500.0), y: w.y * part(fy), z: w.z * part(fy - self.b / 200.0) }
    }

    /// The corresponding colour under another white, by the Bradford transform.
    #[must_use]
    pub fn adapted(self, from: White, to: White) -> Lab {
        self.to_xyz(from).adapted(from, to).to_lab(to)
    }
}

impl Lch {
    /// The rectangular form.
    pub fn to_lab(self) -> Lab {
        let (sin, cos) = self.h.to_radians().sin_cos();
        Lab { l: self.l, a: self.c * cos, b: self.c * sin }
    }
}

impl Xyz {
    /// CIELAB against a white.
    pub fn to_lab(self, white: White) -> Lab {
        let w = white.xyz();
        let part = |t: f64| if t > STRAIGHT { t.cbrt() } else { (SLOPE * t + 16.0) / 116.0 };
        let (fx, fy, fz) = (part(self.x / w.x), part(self.y / w.y), part(self.z / w.z));
        Lab { l: 116.0 * fy - 16.0, a: 500.0 * (fx - fy), b: 200.0 * (fy - fz) }
    }

    /// The corresponding colour under another white: Bradford, complete adaptation.
    #[must_use]
    pub fn adapted(self, from: White, to: White) -> Xyz {
        if from == to {
            return self;
        }
        let list = |c: Xyz| [c.x, c.y, c.z];
        let (old, new) = (apply(&BRADFORD, list(from.xyz())), apply(&BRADFORD, list(to.xyz())));
        let cones = apply(&BRADFORD, list(self));
        let cones = [cones[0] * new[0] / old[0], cones[1] * new[1] / old[1], cones[2] * new[2] / old[2]];
        let [x, y, z] = apply(&FROM_BRADFORD, cones);
        Xyz { x, y, z }
    }
}

impl std::fmt::Display for White {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self {
            White::D50 => "D50",
            White::D65 => "D65",
        })
    }
}

impl std::fmt::Display for Lab {
    /// One decimal each, with a true minus.
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "L* {}, a* {}, b* {}", decimal(self.l), decimal(self.a), decimal(self.b))
    }
}

/// A number with one decimal, a true minus, and no minus before a zero.
pub(super) fn decimal(value: f64) -> String {
    let text = format!("{value:.1}");
    if text == "-0.0" { "0.0".to_owned() } else { text.replace('-', "−") }
}
