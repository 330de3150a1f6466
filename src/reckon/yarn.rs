//! `dimity convert yarn`: a yarn number in every system, `30/2 Ne`, `2/60 Nm`, `20 tex x 2`.

use std::fmt::Write as _;

use super::Answer;
use crate::measure::{Unreadable, four_figures};
use crate::textile::twist;
use crate::textile::yarn::{YarnNumber, YarnSystem};

/// The systems told beside tex, with the names that a program reads.
const OTHERS: [(YarnSystem, &str); 8] = [
    (YarnSystem::Decitex, "dtex"),
    (YarnSystem::Denier, "denier"),
    (YarnSystem::Metric, "nm"),
    (YarnSystem::Cotton, "ne"),
    (YarnSystem::Linen, "nel"),
    (YarnSystem::Worsted, "nek"),
    (YarnSystem::Run, "run"),
    (YarnSystem::Skein, "yorkshire_skein"),
];

/// Those printed for a person: the woollen counts are left to the ones who ask by name.
const PRINTED: usize = 6;

pub(super) fn answer(line: &str) -> Result<Answer, Unreadable> {
    let yarn = YarnNumber::parse(line)?;
    let of = if yarn.ply > 1 {
        format!(" ({} × {} tex)", yarn.ply, four_figures(yarn.single().value))
    } else {
        String::new()
    };
    let mut text = format!("{} tex{of}", yarn.tex.shown());
    for (system, _) in OTHERS.iter().take(PRINTED).filter(|(s, _)| yarn.tex.value > 0.0 || s.is_direct()) {
        let _ = write!(text, "; {} {}", four_figures(yarn.in_system(*system)), system.sign());
    }
    let diameter = twist::round_diameter(yarn.tex, twist::COTTON_VOLUME);
    let answer = Answer::new(text).with("tex", yarn.tex.value).with("u_tex", yarn.tex.u).with("ply", yarn.ply);
    let answer = OTHERS
        .iter()
        .map(|(system, name)| (*name, yarn.in_system(*system)))
        .filter(|(_, number)| number.is_finite())
        .fold(answer, |answer, (name, number)| answer.with(name, number));
    Ok(answer.with("round_cotton_mm", diameter.value).with("u_round_cotton_mm", diameter.u))
}
