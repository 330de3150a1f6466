//! A cloth in one line, for the calculators of cover and mass: `28/cm 20 tex 5 %, 24/cm 25 tex 8 %`.
//!
//! Warp comes first unless `warp` or `weft` says otherwise; sett, yarn and crimp stand in any order, with any commas. A
//! second sett, yarn or crimp begins the weft. One yarn for two setts is the yarn of both, unless a mass asks for the other
//! one. A mass may stand anywhere.

use super::pieces;
use crate::measure::cursor::Cursor;
use crate::measure::{Kind, Quantity, Unreadable};

/// Warp or weft, as far as it is written.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Set {
    pub sett: Option<Quantity>,
    pub yarn: Option<Quantity>,
    pub crimp: Option<Quantity>,
}

/// A cloth, as far as it is written.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Cloth {
    pub warp: Set,
    pub weft: Set,
    pub mass: Option<Quantity>,
}

/// Which slot a quantity of the line fills.
fn slot(set: &mut Set, kind: Kind) -> &mut Option<Quantity> {
    match kind {
        Kind::Density => &mut set.sett,
        Kind::Yarn => &mut set.yarn,
        _ => &mut set.crimp,
    }
}

/// What may stand in the line: tried in this order.
const KINDS: [Kind; 4] = [Kind::Density, Kind::Yarn, Kind::Percent, Kind::MassPerArea];

/// Reads the line; refuses what belongs to no cloth, and what is said twice.
pub(super) fn read(line: &str) -> Result<Cloth, Unreadable> {
    let mut cursor = Cursor::new(line);
    let mut cloth = Cloth::default();
    let (mut in_weft, mut said) = (false, false);
    if cursor.at_end() {
        return Err(Unreadable::new(0, "nothing is written where a cloth is wanted: `28/cm 20 tex, 24/cm 25 tex`"));
    }
    loop {
        cursor.skip_blanks();
        if cursor.take(|c| matches!(c, ',' | ';' | '×' | '@' | '+' | ':' | '=')).is_some() {
            continue;
        }
        if cursor.eat("warp") {
            (in_weft, said) = (false, true);
            continue;
        }
        if cursor.eat("weft") {
            (in_weft, said) = (true, true);
            continue;
        }
        if cursor.eat_any(&["x", "by", "and", "of", "with", "crimp", "yarn", "ends", "picks", "mass", "sett", "at"]) {
            continue;
        }
        if cursor.at_end() {
            break;
        }
        let start = cursor.at;
        let Some((kind, found)) = pieces::next(&mut cursor, &KINDS).map(|(at, found)| (KINDS[at], found)) else {
            return Err(pieces::none_of(
                &cursor,
                "sett (`28/cm`), yarn (`20 tex`), crimp (`5 %`) or mass (`120 g/m²`)",
            ));
        };
        if kind == Kind::MassPerArea {
            say_once(&mut cloth.mass, found, start, "mass")?;
            continue;
        }
        // The second of a kind belongs to the weft.
        if !in_weft && slot(&mut cloth.warp, kind).is_some() {
            in_weft = true;
        }
        // After both setts, `20 tex, 25 tex`: the first was the warp's.
        if in_weft && !said && slot(&mut cloth.warp, kind).is_none() && slot(&mut cloth.weft, kind).is_some() {
            *slot(&mut cloth.warp, kind) = slot(&mut cloth.weft, kind).take();
        }
        let set = if in_weft { &mut cloth.weft } else { &mut cloth.warp };
        let name = match kind {
            Kind::Density => "sett",
            Kind::Yarn => "yarn",
            _ => "crimp",
        };
        say_once(slot(set, kind), found, start, name)?;
    }
    if cloth.mass.is_none() && cloth.warp.sett.is_some() && cloth.weft.sett.is_some() {
        share(&mut cloth);
    }
    Ok(cloth)
}

/// One yarn for two setts is the yarn of both; a crimp that is written behind it goes with it.
fn share(cloth: &mut Cloth) {
    let (warp, weft) = (&mut cloth.warp, &mut cloth.weft);
    if warp.yarn.is_none() && weft.yarn.is_some() {
        warp.yarn.clone_from(&weft.yarn);
        warp.crimp = warp.crimp.take().or_else(|| weft.crimp.clone());
    } else if weft.yarn.is_none() {
        weft.yarn.clone_from(&warp.yarn);
    }
}

fn say_once(slot: &mut Option<Quantity>, found: Quantity, at: usize, name: &str) -> Result<(), Unreadable> {
    match slot {
        Some(first) => {
            let why = format!(
                "`{}` is a {name} more than a cloth has: `{}` stands before it",
                found.as_written, first.as_written
            );
            Err(Unreadable::new(at, why))
        }
        None => {
            *slot = Some(found);
            Ok(())
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn written(line: &str) -> [String; 7] {
        let cloth = read(line).unwrap_or_else(|e| panic!("`{line}`: {e}"));
        let of = |q: &Option<Quantity>| q.as_ref().map(|q| q.as_written.clone()).unwrap_or_default();
        let (a, b) = (&cloth.warp, &cloth.weft);
        [of(&a.sett), of(&a.yarn), of(&a.crimp), of(&b.sett), of(&b.yarn), of(&b.crimp), of(&cloth.mass)]
    }

    #[test]
    fn a_cloth_is_read_however_it_is_punctuated() {
        let wanted = ["28/cm", "20 tex", "5 %", "24/cm", "25 tex", "8 %", ""];
        for line in [
            "28/cm 20 tex 5 %, 24/cm 25 tex 8 %",
            "28/cm, 20 tex, 5 %, 24/cm, 25 tex, 8 %",
            "28/cm 20 tex 5 % × 24/cm 25 tex 8 %",
            "20 tex 28/cm 5 %; 25 tex 24/cm 8 %",
            "weft 24/cm 25 tex 8 % warp 28/cm 20 tex 5 %",
            "warp: 28/cm of 20 tex, crimp 5 %; weft: 24/cm of 25 tex, crimp 8 %",
            "28/cm x 24/cm, 20 tex, 25 tex, 5 %, 8 %",
        ] {
            assert_eq!(written(line), wanted, "{line}");
        }
    }

    #[test]
    fn one_yarn_may_serve_for_both() {
        assert_eq!(written("28/cm × 24/cm, 20 tex"), ["28/cm", "20 tex", "", "24/cm", "20 tex", "", ""]);
        assert_eq!(written("28/cm 20 tex, 24/cm")[4], "20 tex");
        assert_eq!(written("weft 24/cm 20 tex warp 28/cm")[1], "20 tex");
        assert_eq!(written("28/cm × 24/cm, 20 tex 5 %")[2], "5 %");
        assert_eq!(written("120 gsm, 28/cm, 24/cm 20 tex")[1..5], ["", "", "24/cm", "20 tex"].map(String::from));
        assert_eq!(written("120 g/m2, 28/cm, 24/cm"), ["28/cm", "", "", "24/cm", "", "", "120 g/m2"]);
        assert_eq!(written("60 per inch 30/2 Ne, 8.5 oz/yd²")[..2], ["60 per inch".to_owned(), "30/2 Ne".to_owned()]);
    }

    #[test]
    fn what_is_no_cloth_is_refused_at_its_place() {
        let cases = [
            ("", 0, "nothing is written"),
            ("28/cm 20 tex, fine", 14, "`fine` is no sett"),
            ("28/cm 24/cm 20/cm", 12, "a sett more than a cloth has"),
            ("28", 0, "`28` is no sett"),
            ("120 g/m2 130 gsm", 9, "a mass more"),
        ];
        for (line, at, why) in cases {
            let refusal = read(line).unwrap_err();
            assert!(refusal.why.contains(why), "`{line}`: {refusal}");
            assert_eq!(refusal.at, at, "`{line}`: {refusal}");
        }
    }
}
