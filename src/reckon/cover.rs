//! `dimity convert cover`: Peirce's cover factor of warp, weft and cloth, from `28/cm 20 tex, 24/cm 25 tex`.

use super::Answer;
use super::cloth::{self, Set};
use crate::measure::{Estimate, Unreadable};
use crate::textile::cover;

pub(super) fn answer(line: &str) -> Result<Answer, Unreadable> {
    let cloth = cloth::read(line)?;
    let warp = of(&cloth.warp, "warp", line)?;
    if cloth.weft == Set::default() {
        let text = format!("cover factor {} (Peirce; threads touch at 28)", warp.shown());
        return Ok(Answer::new(text).with("cover_warp", warp.value).with("u_cover_warp", warp.u));
    }
    let weft = of(&cloth.weft, "weft", line)?;
    let whole = cover::of_cloth(warp, weft);
    let text = format!(
        "cover factor: warp {}, weft {}, cloth {} (Peirce; threads touch at 28)",
        warp.shown(),
        weft.shown(),
        whole.shown()
    );
    Ok(Answer::new(text)
        .with("cover_warp", warp.value)
        .with("u_cover_warp", warp.u)
        .with("cover_weft", weft.value)
        .with("u_cover_weft", weft.u)
        .with("cover_cloth", whole.value)
        .with("u_cover_cloth", whole.u))
}

fn of(set: &Set, name: &str, line: &str) -> Result<Estimate, Unreadable> {
    match (&set.sett, &set.yarn) {
        (Some(sett), Some(yarn)) => Ok(cover::of_threads(sett.into(), yarn.into())),
        (None, _) => Err(Unreadable::new(line.len(), format!("the {name} has no sett: write it as `28/cm`"))),
        (_, None) => Err(Unreadable::new(line.len(), format!("the {name} has no yarn number: write it as `20 tex`"))),
    }
}
