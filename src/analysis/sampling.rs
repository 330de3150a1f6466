//! What a photograph can show of the piece: pixels to the inch in the plane of its scale, pixels to the thread of each
//! cloth of which the sett is recorded, and whether the exposure keeps the rule for the hand-held camera. From the record
//! alone.

use serde::Serialize;

use crate::optics::HandHeld;
use crate::record::PieceFile;
use crate::record::photograph::Photograph;
use crate::record::picture_scale::PictureScale;
use crate::threads::Visible;

/// How a photograph shows one cloth.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Cloth {
    /// Role and name: `shell, silk twill`.
    pub cloth: String,
    /// The finer of its two setts, threads per centimetre.
    pub threads_per_cm: f64,
    /// Pixels from thread to thread.
    pub pixels: f64,
    /// What that is good for, in words.
    pub shown: &'static str,
}

/// What a photograph can show.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Sampling {
    /// Pixels per inch at the object; none without a scale.
    pub ppi: Option<f64>,
    /// Pixels per millimetre at the object; none without a scale.
    pub px_per_mm: Option<f64>,
    /// The cloths of the component shown, or of the whole piece, of which a sett is recorded; empty without a scale.
    pub cloths: Vec<Cloth>,
    /// The exposure beside the rule for the hand-held camera, in words; blank where a setting is missing or the flash
    /// fired.
    pub hand_held: String,
}

/// What a photograph of a piece can show.
pub fn sampling(photograph: &Photograph, file: &PieceFile) -> Sampling {
    let said = photograph.scale.as_ref().and_then(PictureScale::said);
    let px_per_mm = said.as_ref().map(|s| s.px_per_mm.value);
    Sampling {
        ppi: said.map(|s| s.ppi),
        px_per_mm,
        cloths: px_per_mm.map(|k| cloths(photograph, file, k)).unwrap_or_default(),
        hand_held: hand_held(photograph),
    }
}

fn cloths(photograph: &Photograph, file: &PieceFile, px_per_mm: f64) -> Vec<Cloth> {
    let mut found: Vec<Cloth> = Vec::new();
    for textile in file.examinations.iter().rev().flat_map(|e| &e.textiles).filter(|t| t.withdrawn.is_none()) {
        let elsewhere = photograph.component.is_some() && textile.component.is_some();
        if elsewhere && photograph.component != textile.component {
            continue;
        }
        let counts = [textile.what.ends_estimate(), textile.what.picks_estimate()];
        let finest = counts.iter().flatten().map(|e| e.value).filter(|v| *v > 0.0).reduce(f64::max);
        let Some(threads_per_cm) = finest else { continue };
        let role = textile.what.role.as_ref().map(|r| r.name().to_owned());
        let cloth = [role, textile.what.name.clone()].into_iter().flatten().collect::<Vec<_>>().join(", ");
        // The latest examination comes first; an earlier count of the same cloth adds nothing.
        if !found.iter().any(|c| c.cloth == cloth) {
            let pixels = px_per_mm * 10.0 / threads_per_cm;
            found.push(Cloth { cloth, threads_per_cm, pixels, shown: Visible::of(pixels).in_words() });
        }
    }
    found
}

fn hand_held(photograph: &Photograph) -> String {
    let c = &photograph.capture;
    let flash = c.flash.as_deref().is_some_and(|f| f.starts_with("fired"));
    let (focal, as_film) = match (c.focal_length_35mm, c.focal_length_mm) {
        (Some(film), _) => (Some(film), true),
        (None, own) => (own, false),
    };
    let shot = focal.zip(c.shutter_s).and_then(|(f, t)| HandHeld::new(f, t)).filter(|_| !flash);
    let Some(shot) = shot else { return String::new() };
    let size = if as_film { "as for 35 mm film" } else { "its film size not recorded" };
    let rule = format!("1/{:.0} s at {:.0} mm ({size})", shot.focal_mm, shot.focal_mm);
    if shot.kept() {
        format!("short enough for the hand by the rule, {rule}")
    } else {
        format!("longer than the rule for the hand, {rule}: sharp only from a stand")
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::{Kind, Quantity};
    use crate::record::textile::Textile;
    use crate::record::{Examination, Observed};
    use crate::vocabulary::{Scheme, TermId};

    fn cloth(component: Option<&str>, ends: &str) -> Observed<Textile> {
        let mut one = Observed::<Textile> { component: component.map(Into::into), ..Observed::default() };
        one.what.role = Some(TermId::new(Scheme::TextileRole, "shell"));
        one.what.name = component.map(Into::into);
        one.what.ends = vec![Quantity::parse(Kind::Density, ends).expect("a density")];
        one
    }

    #[test]
    fn a_thread_takes_its_share_of_the_pixels() {
        // 1000 px for 50 mm are 20 px/mm; 40 threads a centimetre are 4 a millimetre: 5 px each.
        let scale = PictureScale::between([(0.0, 0.0), (1000.0, 0.0)], "5 cm", None, 1.0).expect("a scale");
        let mut photograph = Photograph { scale: Some(scale), ..Photograph::default() };
        let exam = Examination {
            textiles: vec![
                cloth(None, "40 per cm"),
                cloth(Some("cuff"), "200 per cm"),
                cloth(Some("hem"), "80 per cm"),
            ],
            ..Examination::default()
        };
        let file = PieceFile { examinations: vec![exam], ..PieceFile::default() };
        let found = sampling(&photograph, &file);
        assert!((found.ppi.expect("a scale") - 508.0).abs() < 1e-9, "20 px/mm are 508 to the inch");
        let of = |found: &Sampling| -> Vec<(String, f64, &str)> {
            let round = |v: f64| (v * 1e6).round() / 1e6;
            found.cloths.iter().map(|c| (c.cloth.clone(), round(c.pixels), c.shown)).collect()
        };
        let (countable, barely, not) =
            (Visible::Countable.in_words(), Visible::Barely.in_words(), Visible::Not.in_words());
        let whole = ("shell".to_owned(), 5.0, countable);
        let (cuff, hem) = (("shell, cuff".to_owned(), 1.0, not), ("shell, hem".to_owned(), 2.5, barely));
        assert_eq!(of(&found), [whole.clone(), cuff.clone(), hem]);
        photograph.component = Some("cuff".into());
        assert_eq!(of(&sampling(&photograph, &file)), [whole, cuff], "other components are not in the picture");
        photograph.scale = None;
        let bare = sampling(&photograph, &file);
        assert_eq!((bare.ppi, bare.cloths), (None, Vec::new()), "without a scale nothing is said");
    }

    #[test]
    fn the_rule_for_the_hand_is_said_with_its_film_size_and_not_for_a_flash() {
        let mut photograph = Photograph::default();
        assert_eq!(sampling(&photograph, &PieceFile::default()).hand_held, "");
        photograph.capture.shutter_s = Some(1.0 / 30.0);
        photograph.capture.focal_length_mm = Some(50.0);
        let said = |p: &Photograph| sampling(p, &PieceFile::default()).hand_held;
        assert_eq!(
            said(&photograph),
            "longer than the rule for the hand, 1/50 s at 50 mm (its film size not recorded): sharp only from a stand"
        );
        photograph.capture.focal_length_35mm = Some(28.0);
        assert_eq!(said(&photograph), "short enough for the hand by the rule, 1/28 s at 28 mm (as for 35 mm film)");
        photograph.capture.flash = Some("fired".into());
        assert_eq!(said(&photograph), "");
    }
}
