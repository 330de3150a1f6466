//! What follows from the record of one cloth: twist, cover, mass, the yarn that a measured mass implies, and what speaks
//! against the fibre or the date. Records in, figures and remarks out; the formulas are those of `textile`.

use crate::dating::Dated;
use crate::measure::Estimate;
use crate::record::textile::{Fibre, Textile, Yarn};
use crate::textile::cover;
use crate::textile::evidence::{self, Measured, Remark};
use crate::textile::mass::{self, Agreement, Threads};
use crate::textile::twist::{self, Tightness};
use crate::vocabulary::{TermId, Vocabulary};

/// What follows from the record of one yarn.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Twist {
    /// Surface angle worked out from turns and diameter, in degrees.
    pub angle: Option<Estimate>,
    /// How hard it is twisted, by the angle recorded, else by the one worked out.
    pub tightness: Option<Tightness>,
    /// How the angle recorded stands to the one worked out, where there are both.
    pub agreement: Option<Agreement>,
}

/// Cover factors after Peirce.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cover {
    /// Of the warp.
    pub warp: Estimate,
    /// Of the weft.
    pub weft: Estimate,
    /// Of the cloth.
    pub cloth: Estimate,
}

/// A mass worked out from sett, yarn and crimp.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Mass {
    /// In g/m².
    pub estimate: Estimate,
    /// Whether both crimps are recorded; else 0 to 16 % is taken for the one that is not.
    pub crimp_known: bool,
    /// How a measured mass stands to it.
    pub agreement: Option<Agreement>,
}

/// Which yarn a measured mass speaks of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Of {
    /// Warp and weft, were they of one yarn.
    Both,
    /// The warp, since the weft is known.
    Warp,
    /// The weft, since the warp is known.
    Weft,
}

/// What follows from the record of one cloth.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Figures {
    /// Of the warp.
    pub warp: Twist,
    /// Of the weft.
    pub weft: Twist,
    /// Cover, where setts and yarn numbers are recorded.
    pub cover: Option<Cover>,
    /// Mass, where setts and yarn numbers are recorded.
    pub mass: Option<Mass>,
    /// The tex that a measured mass implies, where a yarn number is not recorded. It may lie below nothing: then the records
    /// do not go together.
    pub implied: Option<(Of, Estimate)>,
}

/// Works out what the record of a cloth allows.
pub fn figures(t: &Textile) -> Figures {
    let setts = t.ends_estimate().zip(t.picks_estimate());
    let tex = |y: &Yarn| y.number.as_ref().map(Estimate::from);
    let whole = |(ends, picks): (Estimate, Estimate)| {
        let (warp, weft) = (cover::of_threads(ends, tex(&t.warp)?), cover::of_threads(picks, tex(&t.weft)?));
        Some(Cover { warp, weft, cloth: cover::of_cloth(warp, weft) })
    };
    Figures {
        warp: twisted(&t.warp),
        weft: twisted(&t.weft),
        cover: setts.and_then(whole),
        mass: setts.and_then(|setts| estimated(t, setts)),
        implied: setts.and_then(|setts| implied(t, setts)),
    }
}

fn twisted(y: &Yarn) -> Twist {
    if y.twist.as_deref() == Some("none") {
        return Twist::default();
    }
    let read = y.angle.as_ref().map(Estimate::from);
    let worked = y.turns.as_ref().zip(y.diameter.as_ref()).map(|(turns, d)| twist::angle(turns.into(), d.into()));
    Twist {
        angle: worked,
        tightness: read.or(worked).map(|angle| Tightness::of(angle.value)),
        agreement: read.zip(worked).map(|(read, worked)| mass::agreement(read, worked)),
    }
}

fn crimp(y: &Yarn) -> Estimate {
    y.crimp.as_ref().map_or_else(mass::unknown_crimp, Estimate::from)
}

fn threads(per_cm: Estimate, y: &Yarn) -> Option<Threads> {
    Some(Threads { per_cm, tex: y.number.as_ref()?.into(), crimp: crimp(y) })
}

fn estimated(t: &Textile, (ends, picks): (Estimate, Estimate)) -> Option<Mass> {
    let estimate = mass::of_cloth(&threads(ends, &t.warp)?, &threads(picks, &t.weft)?);
    Some(Mass {
        estimate,
        crimp_known: t.warp.crimp.is_some() && t.weft.crimp.is_some(),
        agreement: t.mass.as_ref().map(|measured| mass::agreement(estimate, measured.into())),
    })
}

fn implied(t: &Textile, (ends, picks): (Estimate, Estimate)) -> Option<(Of, Estimate)> {
    let measured = Estimate::from(t.mass.as_ref()?);
    match (threads(ends, &t.warp), threads(picks, &t.weft)) {
        (None, None) => {
            let sets = [(ends, crimp(&t.warp)), (picks, crimp(&t.weft))];
            Some((Of::Both, mass::implied_of_both(measured, sets)?))
        }
        (Some(warp), None) => {
            Some((Of::Weft, mass::implied(measured, mass::of_threads(&warp), picks, crimp(&t.weft))?))
        }
        (None, Some(weft)) => Some((Of::Warp, mass::implied(measured, mass::of_threads(&weft), ends, crimp(&t.warp))?)),
        (Some(_), Some(_)) => None,
    }
}

/// What speaks against the fibres recorded, and against fibres and dyes in a piece of this date. For a person to weigh.
pub fn remarks(t: &Textile, date: Option<&Dated>, vocabulary: &Vocabulary) -> Vec<Remark> {
    let mut remarks: Vec<Remark> = Vec::new();
    let measured = |f: &Fibre| Measured {
        diameter: f.diameter.as_ref().map(|d| Estimate::from(d).times(1000.0)),
        density: f.density,
        birefringence: f.birefringence,
    };
    for fibre in &t.fibres {
        let term = fibre.fibre.as_ref();
        remarks
            .extend(term.map(|term| evidence::against_fibre(term, &measured(fibre), vocabulary)).unwrap_or_default());
    }
    if let Some(latest) = date.and_then(|d| d.latest) {
        let of_yarns = [&t.warp, &t.weft].into_iter().filter_map(|y| y.fibre.as_ref());
        let mut seen: Vec<&TermId> = Vec::new();
        for term in t.fibres.iter().filter_map(|f| f.fibre.as_ref()).chain(of_yarns) {
            if !seen.contains(&term) {
                seen.push(term);
                remarks.extend(evidence::fibre_before_its_time(term, latest, vocabulary));
            }
        }
        let words = [&t.dye, &t.colour, &t.name].into_iter().flatten().map(String::as_str).collect::<Vec<_>>();
        remarks.extend(evidence::dyes_before_their_time(&words.join("; "), latest));
    }
    remarks
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::{Kind, Quantity};
    use crate::vocabulary::Scheme;

    fn q(kind: Kind, text: &str) -> Quantity {
        Quantity::parse(kind, text).unwrap_or_else(|e| panic!("`{text}`: {e}"))
    }

    /// 28 × 24 per cm of 20 and 25 tex, crimp 5 and 8 %: 123.6 g/m² (arithmetic of mass per area).
    fn cloth() -> Textile {
        let yarn = |number, crimp| Yarn {
            number: Some(q(Kind::Yarn, number)),
            crimp: Some(q(Kind::Percent, crimp)),
            ..Yarn::default()
        };
        Textile {
            ends: vec![q(Kind::Density, "28 per cm")],
            picks: vec![q(Kind::Density, "24 per cm")],
            warp: yarn("20 tex", "5 %"),
            weft: yarn("25 tex", "8 %"),
            ..Textile::default()
        }
    }

    #[test]
    fn a_whole_record_gives_cover_and_mass_and_says_whether_the_scales_agree() {
        let plain = figures(&cloth());
        let mass = plain.mass.expect("a mass");
        assert!((mass.estimate.value - 123.6).abs() < 1e-9 && mass.crimp_known && mass.agreement.is_none());
        assert!((plain.cover.expect("a cover").cloth.value - 19.77).abs() < 0.005);
        assert_eq!(plain.implied, None);
        let weighed = |text| {
            figures(&Textile { mass: Some(q(Kind::MassPerArea, text)), ..cloth() }).mass.and_then(|m| m.agreement)
        };
        assert_eq!(weighed("125 g/m2"), Some(Agreement::Agree));
        assert_eq!(weighed("190 g/m2"), Some(Agreement::Differ));
    }

    #[test]
    fn a_mass_stands_in_for_the_yarn_that_is_not_recorded() {
        let mut t = Textile { mass: Some(q(Kind::MassPerArea, "123.6 g/m2")), ..cloth() };
        t.weft.number = None;
        let (of, tex) = figures(&t).implied.expect("a yarn");
        assert!(of == Of::Weft && (tex.value - 25.0).abs() < 1e-9);
        t.warp.number = None;
        assert_eq!(figures(&t).implied.map(|(of, _)| of), Some(Of::Both));
        t.weft.number = Some(q(Kind::Yarn, "25 tex"));
        let (of, tex) = figures(&t).implied.expect("a yarn");
        assert!(of == Of::Warp && (tex.value - 20.0).abs() < 1e-9);
        t.warp.crimp = None;
        t.warp.number = Some(q(Kind::Yarn, "20 tex"));
        assert_eq!(figures(&t).mass.map(|m| m.crimp_known), Some(false));
        t.ends.clear();
        assert_eq!(figures(&t), Figures::default());
    }

    #[test]
    fn twist_is_named_by_the_angle_read_and_checked_by_turns_and_diameter() {
        let mut t = cloth();
        t.warp.turns = Some(q(Kind::Density, "600 per m"));
        t.warp.diameter = Some(q(Kind::Length, "0.19 mm"));
        let twist = figures(&t).warp;
        assert!((twist.angle.expect("an angle").value - 19.7).abs() < 0.05);
        assert_eq!((twist.tightness, twist.agreement), (Some(Tightness::Medium), None));
        t.warp.angle = Some(q(Kind::Angle, "30 deg"));
        let twist = figures(&t).warp;
        assert_eq!((twist.tightness, twist.agreement), (Some(Tightness::Tight), Some(Agreement::Differ)));
        t.warp.twist = Some("none".into());
        assert_eq!(figures(&t).warp, Twist::default());
    }

    #[test]
    fn fibre_and_date_are_held_against_what_was_measured_and_named() {
        let term = |name: &str| Some(TermId::new(Scheme::Fibre, name));
        let silk =
            Fibre {
                fibre: term("cultivated silk"), diameter: Some(q(Kind::Length, "38 ± 1 µm")), ..Fibre::default()
            };
        let t = Textile {
            fibres: vec![silk, Fibre { fibre: term("viscose"), ..Fibre::default() }],
            warp: Yarn { fibre: term("viscose"), ..Yarn::default() },
            dye: Some("mauveine".into()),
            ..Textile::default()
        };
        let said = |latest: Option<i32>| {
            let date = Dated { as_written: "1815".into(), earliest: None, latest, edtf: None, remark: None };
            remarks(&t, Some(&date), Vocabulary::shipped()).into_iter().map(|r| r.text).collect::<Vec<_>>()
        };
        let wide = "38 µm diameter is outside the 10–13 µm of cultivated silk";
        assert_eq!(said(None), [wide]);
        assert_eq!(said(Some(1950)), [wide]);
        let early = said(Some(1815));
        assert_eq!(early.len(), 3, "{early:?}");
        assert!(early[1].starts_with("viscose is not known before") && early[2].starts_with("mauveine"));
        assert_eq!(remarks(&t, None, Vocabulary::shipped()).len(), 1);
    }
}
