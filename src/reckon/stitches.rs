//! `dimity convert stitches`: a stitch count in every usual unit, from `9 per inch` or from the length of one stitch,
//! `2.8 mm`.

use super::Answer;
use crate::measure::{Kind, Quantity, Unreadable};
use crate::textile::sett::Density;

pub(super) fn answer(line: &str) -> Result<Answer, Unreadable> {
    let stitches = read(line)?;
    let (cm, inch, ten) = (stitches.per_cm, stitches.per_inch(), stitches.per_10_cm());
    let pitch = stitches.pitch_mm();
    let each = pitch.map(|mm| format!("; one in {} mm", mm.shown())).unwrap_or_default();
    let text = format!("{} per cm; {} per inch; {} per 10 cm{each}", cm.shown(), inch.shown(), ten.shown());
    let answer = Answer::new(text)
        .with("per_cm", cm.value)
        .with("u_per_cm", cm.u)
        .with("per_inch", inch.value)
        .with("u_per_inch", inch.u)
        .with("per_10_cm", ten.value)
        .with("u_per_10_cm", ten.u);
    Ok(pitch.into_iter().fold(answer, |answer, mm| answer.with("stitch_mm", mm.value).with("u_stitch_mm", mm.u)))
}

fn read(line: &str) -> Result<Density, Unreadable> {
    let refusal = match Quantity::parse(Kind::Density, line) {
        Ok(count) => return Ok(Density::per_cm((&count).into())),
        Err(refusal) => refusal,
    };
    // The length of one stitch, with or without saying so.
    let words = line.trim();
    let bare = ["stitch length", "stitches of", "stitch of", "one in"].iter().find_map(|lead| words.strip_prefix(lead));
    match Quantity::parse(Kind::Length, bare.unwrap_or(words)) {
        Ok(length) => Density::apart((&length).into()).ok_or_else(|| {
            Unreadable::new(0, "a stitch without length has no density: write the length of one stitch")
        }),
        Err(_) => Err(refusal),
    }
}
