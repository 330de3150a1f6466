//! `dimity convert mass`: the mass of a cloth from `28/cm 20 tex 5 %, 24/cm 25 tex 8 %`; with a measured mass and setts,
//! the yarn that it implies; with all of them, whether they agree.

use super::Answer;
use super::cloth::{self, Cloth, Set};
use crate::measure::{Estimate, Quantity, Unreadable};
use crate::textile::mass::{self, Agreement, Threads};

/// Ounces per square yard in a gram per square metre: legal sizes of ounce and yard.
const OZ_PER_YD2: f64 = 836.127_36 / 28_349.523_125;

pub(super) fn answer(line: &str) -> Result<Answer, Unreadable> {
    let cloth = cloth::read(line)?;
    match (&cloth.mass, &cloth.warp.yarn, &cloth.weft.yarn) {
        (Some(measured), None, None) => both(&cloth, measured, line),
        (Some(measured), Some(_), None) => other(&cloth.warp, &cloth.weft, "weft", measured, line),
        (Some(measured), None, Some(_)) => other(&cloth.weft, &cloth.warp, "warp", measured, line),
        (measured, ..) => estimate(&cloth, measured.as_ref(), line),
    }
}

/// The mass from both sets of threads, and how a measured one stands to it.
fn estimate(cloth: &Cloth, measured: Option<&Quantity>, line: &str) -> Result<Answer, Unreadable> {
    let warp = threads(&cloth.warp, "warp", line)?;
    let found = mass::of_cloth(&warp, &threads(&cloth.weft, "weft", line)?);
    let mut text = format!("{} g/m²; {} oz/yd²{}", found.shown(), found.times(OZ_PER_YD2).shown(), unknown(cloth));
    let mut answer = Answer::new("").with("g_per_m2", found.value).with("u_g_per_m2", found.u);
    if let Some(measured) = measured {
        let verdict = agreement(mass::agreement(found, measured.into()));
        text = format!("estimated {text}; the measured {} {verdict}", measured.display_si());
        answer = answer.with("measured_g_per_m2", measured.value).with("verdict", verdict);
    }
    answer.text = text;
    Ok(answer)
}

fn agreement(found: Agreement) -> &'static str {
    match found {
        Agreement::Agree => "agrees",
        Agreement::Doubtful => "is doubtful",
        Agreement::Differ => "differs",
    }
}

/// The yarn that a mass implies, warp and weft alike.
fn both(cloth: &Cloth, measured: &Quantity, line: &str) -> Result<Answer, Unreadable> {
    let sets = [
        (sett(&cloth.warp, "warp", line)?, crimp(&cloth.warp)),
        (sett(&cloth.weft, "weft", line)?, crimp(&cloth.weft)),
    ];
    let tex = mass::implied_of_both(measured.into(), sets).ok_or_else(|| no_threads(line))?;
    Ok(implied(tex, "warp and weft alike", cloth))
}

/// The yarn that a mass implies for the set whose yarn is not written.
fn other(known: &Set, wanted: &Set, name: &str, measured: &Quantity, line: &str) -> Result<Answer, Unreadable> {
    let other = if name == "weft" { "warp" } else { "weft" };
    let taken = mass::of_threads(&threads(known, other, line)?);
    let tex = mass::implied(measured.into(), taken, sett(wanted, name, line)?, crimp(wanted));
    let tex = tex.ok_or_else(|| no_threads(line))?;
    if tex.value <= 0.0 {
        let why = format!(
            "the {other} alone weighs {} g/m², which leaves nothing for the {name}: look at mass and yarn again",
            taken.shown()
        );
        return Err(Unreadable::new(line.len(), why));
    }
    let cloth = Cloth { warp: known.clone(), weft: wanted.clone(), mass: None };
    Ok(implied(tex, name, &cloth))
}

fn implied(tex: Estimate, of: &str, cloth: &Cloth) -> Answer {
    let (low, high) = tex.range();
    let whole = Estimate::new(tex.value, tex.u * 2.0);
    let text = format!("{of}: {} tex for about 95 of 100 cases{}", whole.shown(), unknown(cloth));
    Answer::new(text).with("tex", tex.value).with("u_tex", tex.u).with("least_tex", low).with("most_tex", high)
}

/// Says where a crimp was taken for unknown.
fn unknown(cloth: &Cloth) -> &'static str {
    match (&cloth.warp.crimp, &cloth.weft.crimp) {
        (Some(_), Some(_)) => "",
        (None, None) => " (crimp not given: taken as 0 to 16 %)",
        _ => " (one crimp not given: taken as 0 to 16 %)",
    }
}

fn threads(set: &Set, name: &str, line: &str) -> Result<Threads, Unreadable> {
    let per_cm = sett(set, name, line)?;
    let yarn = set.yarn.as_ref().ok_or_else(|| {
        Unreadable::new(
            line.len(),
            format!("the {name} has no yarn number: write it as `20 tex`, or give the mass instead"),
        )
    })?;
    Ok(Threads { per_cm, tex: yarn.into(), crimp: crimp(set) })
}

fn sett(set: &Set, name: &str, line: &str) -> Result<Estimate, Unreadable> {
    let missing = || Unreadable::new(line.len(), format!("the {name} has no sett: write it as `28/cm`"));
    set.sett.as_ref().map(Estimate::from).ok_or_else(missing)
}

fn crimp(set: &Set) -> Estimate {
    set.crimp.as_ref().map_or_else(mass::unknown_crimp, Estimate::from)
}

fn no_threads(line: &str) -> Unreadable {
    Unreadable::new(line.len(), "a cloth without threads has no mass: write the setts as `28/cm`, `24/cm`")
}
