//! Reads the colour target in a photograph: pixels and corners in, a reading to store out.

use image::RgbImage;

use super::patches::{Misplaced, sample};
use crate::colour::target::{Correction, Evaluation, Grid, Judged, Misread, Reference, Unfit};
use crate::digest::sha256;
use crate::geometry::written;
use crate::record::target::TargetReading;

/// Reference values with the name and the SHA-256 of their file, so that a reading says what it rests on.
#[derive(Debug, Clone, PartialEq)]
pub struct NamedReference {
    /// The file's name.
    pub name: String,
    /// SHA-256 of its bytes.
    pub sha256: String,
    /// The values.
    pub reference: Reference,
}

/// Why a target was not read.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Unread {
    /// The corners are wrong.
    #[error(transparent)]
    Misplaced(#[from] Misplaced),
    /// The corners are right, and begin at the wrong one or go the wrong way.
    #[error(
        "the patches do not stand where these corners say (mean ΔE00 {mean:.1}); they fit with `--corners {corners}` \
         (mean ΔE00 {better:.1})"
    )]
    Turned {
        /// Mean ΔE00 as given.
        mean: f64,
        /// Mean ΔE00 in the better order.
        better: f64,
        /// The better order, as it is written.
        corners: String,
    },
    /// What stands there is no such target.
    #[error(
        "what lies between these corners is not this target: its patches are not light and dark where the reference is;          check the corners and the reference"
    )]
    Another,
    /// The reference is empty.
    #[error("the reference has no patches; give a file with a line for each")]
    Empty,
}

/// Below this mean ΔE00 the order of the corners is not doubted: a target read the wrong way round is off by far more.
/// Rule here.
const DOUBTED: f64 = 12.0;
/// A target in doubt whose lightness goes along with that of the reference less than this is another, or none. Rule here:
/// however dark or tinged the photograph, the correlation stays near 1.
const ALIKE: f64 = 0.7;

impl NamedReference {
    /// The usual 24 patches that the program brings.
    pub fn built_in() -> Self {
        Self {
            name: "24 patches made after November 2014 (built in)".into(),
            sha256: sha256(Reference::built_in_text().as_bytes()),
            reference: Reference::built_in().clone(),
        }
    }

    /// A reference file by its name and bytes. Letters that are not UTF-8 are replaced: they stand in names alone.
    ///
    /// # Errors
    /// [`Misread`] names the line, what is wrong and the mend.
    pub fn parse(name: &str, bytes: &[u8], grid: Option<Grid>) -> Result<Self, Misread> {
        let reference = Reference::parse(&String::from_utf8_lossy(bytes), grid)?;
        Ok(Self { name: name.to_owned(), sha256: sha256(bytes), reference })
    }
}

/// Reads a target. With `correct` a correction is fitted as well; why there is none is told beside the reading.
///
/// # Errors
/// [`Unread`] says what is wrong with the corners.
pub fn read_target(
    picture: &RgbImage,
    corners: [(f64, f64); 4],
    named: &NamedReference,
    correct: bool,
) -> Result<(TargetReading, Option<Unfit>), Unread> {
    let own = &named.reference;
    let swatches = sample(picture, corners, own.grid)?;
    let results = Evaluation::of(own, &swatches, None).ok_or(Unread::Empty)?;
    if results.mean >= DOUBTED {
        let mean_of = |corners| Evaluation::of(own, &sample(picture, corners, own.grid).ok()?, None).map(|e| e.mean);
        other_order(corners, results.mean, mean_of)?;
        if alike(&results) < ALIKE {
            return Err(Unread::Another);
        }
    }
    let (correction, unfit) = match correct.then(|| Correction::fit(own, &swatches)) {
        None => (None, None),
        Some(Ok(fitted)) => (Some(fitted), None),
        Some(Err(unfit)) => (None, Some(unfit)),
    };
    let reading = TargetReading {
        id: String::new(),
        corners,
        reference: named.name.clone(),
        reference_sha256: named.sha256.clone(),
        results,
        correction,
    };
    Ok((reading, unfit))
}

/// Correlation of the patches' lightness with that of the reference; 0 where either does not vary.
fn alike(found: &Evaluation) -> f64 {
    let n = found.patches.len() as f64;
    let mean = |of: fn(&Judged) -> f64| found.patches.iter().map(of).sum::<f64>() / n;
    let wanted = |p: &Judged| p.reference.l - mean(|p| p.reference.l);
    let seen = |p: &Judged| p.measured.l - mean(|p| p.measured.l);
    let sum = |of: &dyn Fn(&Judged) -> f64| found.patches.iter().map(of).sum::<f64>();
    let scale = f64::sqrt(sum(&|p| wanted(p).powi(2)) * sum(&|p| seen(p).powi(2)));
    if scale > 1e-9 { sum(&|p| wanted(p) * seen(p)) / scale } else { 0.0 }
}

/// Refuses corners that fit far better when they begin at another one or go round the other way.
fn other_order(
    [a, b, c, d]: [(f64, f64); 4],
    mean: f64,
    mean_of: impl Fn([(f64, f64); 4]) -> Option<f64>,
) -> Result<(), Unread> {
    let orders = [[b, c, d, a], [c, d, a, b], [d, a, b, c], [d, c, b, a], [c, b, a, d], [b, a, d, c], [a, d, c, b]];
    let best = orders.into_iter().filter_map(|o| Some((mean_of(o)?, o))).min_by(|x, y| x.0.total_cmp(&y.0));
    match best {
        Some((better, order)) if better < mean / 2.0 => {
            let corners = written(&order);
            Err(Unread::Turned { mean, better, corners })
        }
        _ => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::{Lab, White};

    const CORNERS: [(f64, f64); 4] = [(10.0, 10.0), (190.0, 10.0), (190.0, 130.0), (10.0, 130.0)];

    /// The built-in target, 30 pixels a patch, its colours changed by `camera`.
    fn drawn(camera: impl Fn([u8; 3]) -> [u8; 3]) -> RgbImage {
        let patches = &Reference::built_in().patches;
        RgbImage::from_fn(200, 140, |x, y| {
            let at = (x.wrapping_sub(10) / 30, y.wrapping_sub(10) / 30);
            let found = patches.iter().find(|p| p.place == at).map_or(Lab::new(5.0, 0.0, 0.0), |p| p.lab);
            let (srgb, _) = found.adapted(White::D50, White::D65).to_srgb();
            camera([srgb.r, srgb.g, srgb.b]).into()
        })
    }

    #[test]
    fn a_drawn_target_is_read_and_a_tinged_one_corrected() {
        let named = NamedReference::built_in();
        let (plain, unfit) = read_target(&drawn(|p| p), CORNERS, &named, false).expect("read");
        assert!(plain.results.mean < 0.5 && plain.correction.is_none() && unfit.is_none(), "{}", plain.results.mean);
        for patch in plain.results.patches.iter().filter(|p| p.shown_by_srgb) {
            assert!(patch.delta_e00 < 0.5, "{patch:?}");
        }
        assert_eq!((plain.reference_sha256.len(), plain.corners), (64, CORNERS));
        let tinged = drawn(|[r, g, b]| [r, (f64::from(g) * 0.97) as u8, (f64::from(b) * 0.88) as u8]);
        let (tinged, unfit) = read_target(&tinged, CORNERS, &named, true).expect("read");
        assert_eq!(unfit, None);
        let fitted = tinged.correction.expect("fitted");
        assert!(fitted.before > 3.0 && fitted.left_out_mean < 1.0, "{fitted:?}");
        // Cyan has no red in sRGB: its channel stands at its end.
        assert_eq!(fitted.left_aside, ["18 cyan"]);
        let (_, unfit) = read_target(&drawn(|p| p), CORNERS, &named, true).expect("read");
        assert!(matches!(unfit, Some(Unfit::NoBetter { .. })), "{unfit:?}");
    }

    #[test]
    fn corners_in_another_order_are_refused_with_the_right_one() {
        let [a, b, c, d] = CORNERS;
        let right = "10,10 190,10 190,130 10,130";
        let picture = drawn(|p| p);
        for turned in [[b, c, d, a], [c, d, a, b], [d, a, b, c], [d, c, b, a], [c, b, a, d], [b, a, d, c], [a, d, c, b]]
        {
            let refusal = read_target(&picture, turned, &NamedReference::built_in(), false).expect_err("turned");
            assert!(refusal.to_string().contains(&format!("`--corners {right}`")), "{refusal}");
        }
        // Corners that hit something else have no better order.
        let astray = [(12.0, 70.0), (60.0, 70.0), (60.0, 120.0), (12.0, 120.0)];
        let flat = RgbImage::from_pixel(200, 140, [20, 60, 20].into());
        for (picture, corners) in [(&picture, astray), (&flat, CORNERS)] {
            assert_eq!(read_target(picture, corners, &NamedReference::built_in(), false), Err(Unread::Another));
        }
        // A photograph far too dark is still one of the target.
        let dark = drawn(|p| p.map(|v| v / 3));
        let (dark, _) = read_target(&dark, CORNERS, &NamedReference::built_in(), false).expect("read");
        assert!(dark.results.mean > DOUBTED && dark.results.exposure < Some(-25.0), "{}", dark.results.mean);
    }
}
