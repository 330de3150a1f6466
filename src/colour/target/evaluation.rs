//! How far a photograph of a target lies from the reference: each patch, and what they say together.

use serde::{Deserialize, Serialize};

use super::correction::Correction;
use super::reference::Reference;
use crate::colour::{Lab, Light, Swatch, White, Xyz, ciede2000, ciede2000_even};

/// A patch of less chroma than this is a grey. Rule here: the greys of usual targets stay below 4, their colours above 12.
pub const NEUTRAL: f64 = 5.0;

/// A patch whose pixels scatter by more CIELAB units than this was probably not hit: an even patch with a camera's noise
/// stays well below, one with its border in it far above. Rule here.
pub const SCATTERED: f64 = 6.0;

/// One patch against its reference.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Judged {
    /// Number in the reference.
    pub id: String,
    /// Name in the reference; may be blank.
    pub name: String,
    /// Reference, D50.
    pub reference: Lab,
    /// As photographed, D50.
    pub measured: Lab,
    /// ΔE00 between the two.
    pub delta_e00: f64,
    /// The same with S_L = 1.
    pub delta_e00_even: f64,
    /// Whether it is a grey.
    pub neutral: bool,
    /// Whether sRGB can show the reference at all.
    pub shown_by_srgb: bool,
    /// Scatter of its pixels in CIELAB units.
    pub scatter: f64,
    /// Share of its pixels that are clipped.
    pub clipped: f64,
}

/// What the patches say together. Greys are those of the reference; without any, the last three are none.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Evaluation {
    /// Each patch, row by row.
    pub patches: Vec<Judged>,
    /// Mean ΔE00.
    pub mean: f64,
    /// 90th percentile of ΔE00, between ranks in a straight line.
    pub p90: f64,
    /// Largest ΔE00.
    pub max: f64,
    /// Mean ΔE00 with S_L = 1.
    pub mean_even: f64,
    /// Largest ΔE00 with S_L = 1.
    pub max_even: f64,
    /// White balance: ΔE(a*b*) of the grey that is furthest off.
    pub white_balance: Option<f64>,
    /// Exposure error: mean L* of the greys less that of the reference; positive is too light.
    pub exposure: Option<f64>,
    /// Tone response: largest difference of L* among the greys.
    pub tone: Option<f64>,
}

/// CIELAB for D50 of linear light in sRGB.
pub(super) fn d50(light: Light) -> Lab {
    Xyz::from_light(light).adapted(White::D65, White::D50).to_lab(White::D50)
}

impl Evaluation {
    /// Sets each patch against the reference; the swatches stand in the reference's order, row by row. None if there
    /// are not as many as patches, or none at all.
    pub fn of(reference: &Reference, swatches: &[Swatch], correction: Option<&Correction>) -> Option<Evaluation> {
        if swatches.len() != reference.patches.len() || swatches.is_empty() {
            return None;
        }
        let patches: Vec<Judged> = reference
            .patches
            .iter()
            .zip(swatches)
            .map(|(patch, swatch)| {
                let measured = d50(correction.map_or(swatch.light, |c| c.apply(swatch.light)));
                Judged {
                    id: patch.id.clone(),
                    name: patch.name.clone(),
                    reference: patch.lab,
                    measured,
                    delta_e00: ciede2000(patch.lab, measured),
                    delta_e00_even: ciede2000_even(patch.lab, measured),
                    neutral: patch.lab.chroma() < NEUTRAL,
                    shown_by_srgb: patch.shown_by_srgb(),
                    scatter: swatch.scatter(),
                    clipped: swatch.clipped,
                }
            })
            .collect();
        let of = |figure: fn(&Judged) -> f64| patches.iter().map(figure).collect::<Vec<f64>>();
        let (all, even) = (of(|p| p.delta_e00), of(|p| p.delta_e00_even));
        let greys: Vec<&Judged> = patches.iter().filter(|p| p.neutral).collect();
        let largest = |list: &mut dyn Iterator<Item = f64>| list.reduce(f64::max);
        let exposures: Vec<f64> = greys.iter().map(|p| p.measured.l - p.reference.l).collect();
        Some(Evaluation {
            mean: mean(&all)?,
            p90: percentile(&all, 0.9)?,
            max: largest(&mut all.iter().copied())?,
            mean_even: mean(&even)?,
            max_even: largest(&mut even.iter().copied())?,
            white_balance: largest(
                &mut greys.iter().map(|p| (p.measured.a - p.reference.a).hypot(p.measured.b - p.reference.b)),
            ),
            exposure: mean(&exposures),
            tone: largest(&mut exposures.iter().map(|l| l.abs())),
            patches,
        })
    }

    /// The patch that is furthest off.
    pub fn worst(&self) -> Option<&Judged> {
        self.patches.iter().max_by(|a, b| a.delta_e00.total_cmp(&b.delta_e00))
    }

    /// What to bear in mind, a sentence each: corners that seem wrong, clipped patches, what sRGB cannot show.
    pub fn warnings(&self) -> Vec<String> {
        let mut found = Vec::new();
        let named = |keep: &dyn Fn(&Judged) -> bool| {
            let list: Vec<String> = self.patches.iter().filter(|p| keep(p)).map(Judged::title).collect();
            list.join(", ")
        };
        let scattered = named(&|p| p.scatter > SCATTERED);
        if !scattered.is_empty() {
            found.push(format!(
                "the pixels of {scattered} scatter widely: the corners may be wrong, or light or dirt lies on the target"
            ));
        }
        let clipped = named(&|p| p.clips() && p.shown_by_srgb);
        if !clipped.is_empty() {
            found.push(format!("{clipped}: clipped, so that the difference is larger than it reads"));
        }
        let beyond = named(&|p| !p.shown_by_srgb);
        if !beyond.is_empty() {
            found.push(format!("{beyond}: outside sRGB, so that a photograph in sRGB is off by that alone"));
        }
        found
    }
}

impl Judged {
    /// `18 cyan`, or the number alone.
    pub fn title(&self) -> String {
        if self.name.is_empty() || self.name == self.id {
            self.id.clone()
        } else {
            format!("{} {}", self.id, self.name)
        }
    }

    /// Whether so many pixels are clipped that the patch no longer tells its colour.
    pub fn clips(&self) -> bool {
        self.clipped > super::correction::CLIPPED
    }
}

fn mean(list: &[f64]) -> Option<f64> {
    (!list.is_empty()).then(|| list.iter().sum::<f64>() / list.len() as f64)
}

/// The value below which a share of the list lies, in a straight line between ranks; none for an empty list or a share
/// outside 0 to 1.
pub fn percentile(list: &[f64], share: f64) -> Option<f64> {
    let mut sorted = list.to_vec();
    sorted.sort_by(f64::total_cmp);
    let top = sorted.len().checked_sub(1)?;
    if !(0.0..=1.0).contains(&share) {
        return None;
    }
    let rank = share * top as f64;
    let (below, above) = (sorted[rank.floor() as usize], sorted[(rank.ceil() as usize).min(top)]);
    Some(below + (above - below) * rank.fract())
}
