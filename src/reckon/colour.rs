//! `dimity convert colour`: one colour in CIELAB, sRGB, XYZ and LCh, or two with what lies between them.

use super::Answer;
use crate::colour::{
    Application, CAUTION, Lab, Pair, White, Written, change, change_in_colour, cie76, cie94, ciede2000_spread, staining,
};
use crate::measure::{Unreadable, rounded};

pub(super) fn answer(line: &str) -> Result<Answer, Unreadable> {
    let pair = Pair::parse(line)?;
    Ok(match pair.second {
        None => alone(pair.first),
        Some(second) => between(pair.first.lab, second.lab, pair.u),
    })
}

fn alone(colour: Written) -> Answer {
    let lab = colour.lab;
    let (lch, xyz) = (lab.to_lch(), lab.to_xyz(White::D65));
    let d50 = lab.adapted(White::D65, White::D50);
    let (srgb, within) = colour.srgb.map_or_else(|| lab.to_srgb(), |srgb| (srgb, true));
    let reach = if within { "" } else { ", the nearest that sRGB reaches" };
    let text = format!(
        "{lab} (D65); C* {:.1}, h {:.0}°; sRGB {srgb}{reach}; XYZ {:.2} {:.2} {:.2}; for D50 {d50}",
        lch.c, lch.h, xyz.x, xyz.y, xyz.z
    );
    Answer::new(text)
        .with("l", lab.l)
        .with("a", lab.a)
        .with("b", lab.b)
        .with("chroma", lch.c)
        .with("hue_deg", lch.h)
        .with("srgb", srgb.to_string())
        .with("within_srgb", within)
        .with("x", xyz.x)
        .with("y", xyz.y)
        .with("z", xyz.z)
        .with("l_d50", d50.l)
        .with("a_d50", d50.a)
        .with("b_d50", d50.b)
}

fn between(one: Lab, other: Lab, u: Option<f64>) -> Answer {
    let spread = ciede2000_spread(one, other, u.unwrap_or(0.0));
    let (grey, stain) = (change_in_colour(one, other), staining(one, other));
    let what = change(one, other);
    let (value, shown) = if spread.u > 0.0 {
        let (value, u) = rounded(spread.value, spread.u);
        (value, format!(" (u {u})"))
    } else {
        (format!("{:.2}", spread.value), String::new())
    };
    let plain = cie76(one, other);
    let text = format!(
        "ΔE*ab {plain:.2}, ΔE00 {value}{shown}, {}; grey scale {} for change in colour; {what}. {CAUTION}",
        what.seen, grey.grade
    );
    let mut answer = Answer::new(text)
        .with("delta_e_76", plain)
        .with("delta_e_94_textile", cie94(one, other, Application::Textile))
        .with("delta_e_00", spread.value);
    if spread.u > 0.0 {
        answer = answer.with("u_delta_e_00", spread.u);
    }
    answer
        .with("delta_l", what.lightness)
        .with("delta_chroma", what.chroma)
        .with("delta_hue", what.hue)
        .with("grey_scale_change", grey.grade.to_string())
        .with("grey_scale_change_exact", grey.exact)
        .with("grey_scale_staining", stain.grade.to_string())
        .with("words", what.to_string())
        .with("seen", what.seen.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn colours_are_answered_in_one_line() {
        let cases = [
            (
                "#ff0000",
                "L* 53.2, a* 80.1, b* 67.2 (D65); C* 104.6, h 40°; sRGB #ff0000; XYZ 41.24 21.26 1.93; \
                 for D50 L* 54.3, a* 80.8, b* 69.9",
            ),
            (
                "38.2 -21.0 14.5",
                "L* 38.2, a* −21.0, b* 14.5 (D65); C* 25.5, h 145°; sRGB #3d6242; XYZ 7.31 10.20 6.70; \
                 for D50 L* 38.2, a* −19.7, b* 14.3",
            ),
        ];
        for (line, wanted) in cases {
            assert_eq!(answer(line).map(|a| a.text).as_deref(), Ok(wanted), "{line}");
        }
        let far = answer("L 60, a 100, b -100").expect("reads");
        assert!(far.text.contains("the nearest that sRGB reaches") && far.fields["within_srgb"] == false);
    }

    #[test]
    fn two_colours_are_compared() {
        let lines = [
            "43.6 -33.2 20.9; 48.9 -24.6 22.4",
            "43.6, −33.2, 20.9 to 48.9, −24.6, 22.4",
            "L* 43.6 a* -33.2 b* 20.9 / L* 48.9 a* -24.6 b* 22.4",
        ];
        for line in lines {
            let found = answer(line).unwrap_or_else(|e| panic!("{line}: {e}"));
            assert!(
                found.text.starts_with(
                    "ΔE*ab 10.21, ΔE00 6.69, visible at a glance; grey scale 1-2 for change in colour; lighter, duller, \
                     turned far towards yellow. An indication"
                ),
                "{}",
                found.text
            );
            assert_eq!(found.fields["grey_scale_change"], "1-2");
            assert!(!found.fields.contains_key("u_delta_e_00"));
        }
        let found = answer("43.6 -33.2 20.9; 48.9 -24.6 22.4 ± 0.3").expect("reads");
        assert!(found.text.contains("ΔE00 6.7 (u 0.3)"), "{}", found.text);
    }

    #[test]
    fn what_is_no_colour_is_refused_with_its_place() {
        let cases = [
            ("", 0, "a colour is missing; write it as in `#7a5c3e; 38.2 -21.0 14.5`"),
            ("#12345", 0, "`#12345` is no colour of six hexadecimal digits; write it as `#7a5c3e`"),
            ("38.2 -21.0", 10, "b* is missing: a colour is `38.2 -21.0 14.5` or `#7a5c3e`"),
            ("138 0 0", 0, "lightness L* of 138 is out of reason: it lies from 0 to 100"),
            ("38 0 200", 5, "b* of 200 is out of reason: it lies from -160 to 160"),
            ("green", 0, "a number is wanted where `green` stands"),
            ("38 0 0 12", 7, "`12` is left over after the colour; two colours are written `#7a5c3e; 38.2 -21.0 14.5`"),
            ("38 0 0;", 7, "a colour is missing; write it as in `#7a5c3e; 38.2 -21.0 14.5`"),
            ("#fff ± 0.3", 8, "an uncertainty is of use between two colours: `#7a5c3e; 38.2 -21.0 14.5 ± 0.3`"),
            ("#fff; #000 ± 0", 14, "the uncertainty of an instrument lies above 0 and up to 20 units"),
        ];
        for (line, at, why) in cases {
            let found = answer(line).expect_err(line);
            assert_eq!(found.why, why, "{line}");
            assert!(found.at.abs_diff(at) <= 2, "{line}: {}", found.at);
        }
    }
}
