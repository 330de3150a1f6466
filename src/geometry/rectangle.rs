//! The scale of a picture from a rectangle of known size lying in it: the whole plane, seen from any side.

use super::homography::{apart, flatness};
use super::outline::meeting;
use super::{Degenerate, Homography, Point, Residual, cross};
use crate::measure::Estimate;

/// From this tilt on a view is called oblique: a length away from the camera is then drawn 6 % short (common practice,
/// no source).
pub(super) const OBLIQUE_DEG: f64 = 20.0;

/// Three corners are called nearly in line if the triangle is lower than this part of its longest side (common
/// practice, no source).
const NEARLY_IN_LINE: f64 = 0.05;

/// A rectangle of known size with its corners on the picture, and any further places known in its plane.
#[derive(Debug, Clone, PartialEq)]
pub struct Rectangle {
    corners: [Point; 4],
    across: Estimate,
    down: Estimate,
    further: Vec<(Point, Point)>,
    homography: Homography,
}

impl Rectangle {
    /// `corners` run round the rectangle; `across` is the side between the first two, `down` the side between the
    /// second and the third. `further` pairs places of the picture with millimetres along these sides from the first
    /// corner.
    ///
    /// # Errors
    /// [`Degenerate`], if the corners are equal, in line or crossed, or a side is no length.
    pub fn new(
        corners: [Point; 4],
        across: Estimate,
        down: Estimate,
        further: &[(Point, Point)],
    ) -> Result<Self, Degenerate> {
        for side in [across, down] {
            if !(side.value > 0.0 && side.value.is_finite() && side.u >= 0.0 && side.u.is_finite()) {
                return Err(Degenerate::Figure("each side of the rectangle"));
            }
        }
        let pairs = pairs(corners, across.value, down.value, further);
        if corners.iter().all(|p| p.0.is_finite() && p.1.is_finite()) {
            apart(&corners)?;
        }
        let homography = match Homography::through(&pairs) {
            Err(fault @ Degenerate::Figure(_)) => return Err(fault),
            _ if !convex(corners) => return Err(Degenerate::Crossed),
            other => other?,
        };
        Ok(Self { corners, across, down, further: further.to_vec(), homography })
    }

    /// The map from pixels to millimetres from the first corner.
    pub fn homography(&self) -> &Homography {
        &self.homography
    }

    /// How far the known places are missed, millimetres: none for four corners alone, which are met exactly whatever
    /// they are.
    pub fn residual(&self) -> Option<Residual> {
        if self.further.is_empty() {
            return None;
        }
        self.homography.residual(&pairs(self.corners, self.across.value, self.down.value, &self.further))
    }

    /// The middle of the corners on the picture.
    pub fn middle(&self) -> Point {
        let sum = self.corners.iter().fold((0.0, 0.0), |s, p| (s.0 + p.0, s.1 + p.1));
        (sum.0 / 4.0, sum.1 / 4.0)
    }

    /// About how far the plane is turned from the picture's, degrees: the arc cosine of the shortening in the middle.
    pub fn tilt(&self) -> f64 {
        tilt(&self.homography, self.middle())
    }

    /// What to look at again, in words.
    pub fn warnings(&self) -> Vec<String> {
        let mut warnings = Vec::new();
        let tilt_now = self.tilt();
        if tilt_now > OBLIQUE_DEG {
            warnings.push(format!(
                "the view is oblique, about {tilt_now:.0}° from square on: lengths away from the camera are known less well"
            ));
            let other = pairs(self.corners, self.down.value, self.across.value, &[]);
            let turned = Homography::through(&other).map_or(90.0, |h| tilt(&h, self.middle()));
            if self.further.is_empty() && turned + 5.0 < tilt_now {
                warnings.push(
                    "the rectangle would lie straighter with its sides the other way round: the first side of the \
                     size runs from the first place to the second"
                        .into(),
                );
            }
        }
        let c = self.corners;
        let flattest = (0..4).map(|i| flatness(c[i], c[(i + 1) % 4], c[(i + 2) % 4])).fold(1.0, f64::min);
        if flattest < NEARLY_IN_LINE {
            warnings
                .push("three of the corners lie nearly in line: a larger or squarer rectangle measures better".into());
        }
        warnings
    }

    /// Everything with its uncertainty, in the order in which [`Self::with`] takes it: places of the picture, then the
    /// two sides.
    pub(super) fn inputs(&self, pointing: f64) -> Vec<Estimate> {
        let places = self.corners.iter().copied().chain(self.further.iter().map(|f| f.0));
        let figures = places.flat_map(|p| [p.0, p.1]).map(|v| Estimate::new(v, pointing));
        figures.chain([self.across, self.down]).collect()
    }

    /// The map with other figures in the places of [`Self::inputs`]; none if they make no plane.
    pub(super) fn with(&self, figures: &[f64]) -> Option<Homography> {
        let (places, sides) = figures.split_at_checked(8 + 2 * self.further.len())?;
        let [across, down] = sides else { return None };
        let place = |i: usize| Some((*places.get(2 * i)?, *places.get(2 * i + 1)?));
        let corners = [place(0)?, place(1)?, place(2)?, place(3)?];
        let further: Vec<(Point, Point)> =
            self.further.iter().enumerate().map(|(i, f)| Some((place(4 + i)?, f.1))).collect::<Option<_>>()?;
        Homography::through(&pairs(corners, *across, *down, &further)).ok()
    }
}

fn pairs(c: [Point; 4], across: f64, down: f64, further: &[(Point, Point)]) -> Vec<(Point, Point)> {
    let true_places = [(0.0, 0.0), (across, 0.0), (across, down), (0.0, down)];
    c.into_iter().zip(true_places).chain(further.iter().copied()).collect()
}

/// A rectangle is seen as four corners that all turn the same way, and whose sides do not cross.
fn convex(c: [Point; 4]) -> bool {
    let turns: Vec<bool> = (0..4).map(|i| cross(c[i], c[(i + 1) % 4], c[(i + 2) % 4]) > 0.0).collect();
    turns.iter().all(|t| *t == turns[0]) && meeting(&c).is_none()
}

fn tilt(h: &Homography, at: Point) -> f64 {
    let Some([[a, b], [c, d]]) = h.near(at) else { return 90.0 };
    // Singular values of a two by two matrix.
    let sum = (a * a + b * b + c * c + d * d) / 2.0;
    let other = (sum * sum - (a * d - b * c).powi(2)).max(0.0).sqrt();
    let shortening = ((sum - other).max(0.0) / (sum + other)).sqrt();
    shortening.clamp(0.0, 1.0).acos().to_degrees()
}
