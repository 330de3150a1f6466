use proptest::prelude::*;

use super::write::written_of;
use super::*;
use crate::exchange::sheet::{self, Known};

fn parts() -> Vec<String> {
    ["front", "back", "left front", "left sleeve"].map(String::from).to_vec()
}

/// `field=text` of each field, a record inside as `field[n].inner=text`.
fn told(line: &str) -> (String, Vec<String>, Vec<String>) {
    let parts = parts();
    let words = Words { vocabulary: Vocabulary::shipped(), components: &parts };
    let read = read(line, None, &words);
    let one = |w: &Written| {
        let texts = w.texts.iter().map(|t| format!("{}={t}", w.field)).collect::<Vec<_>>();
        let rows = w.rows.iter().enumerate().flat_map(|(i, row)| {
            row.iter().map(move |c| format!("{}[{i}].{}={}", w.field, c.field, c.texts.join("|")))
        });
        texts.into_iter().chain(rows).collect::<Vec<_>>()
    };
    let left = read.unplaced().map(|p| p.text.clone()).collect();
    (read.section.map(|s| s.name.to_owned()).unwrap_or_default(), read.written().iter().flat_map(one).collect(), left)
}

#[test]
fn lines_are_read_as_they_are_written_on_paper() {
    // The ways of writing are ours: no source.
    let cases: [(&str, &str, &[&str], &[&str]); 21] = [
        (
            "centre back length 15 1/4 in; 15 3/8 in",
            "measurement",
            &["dimension=centre back length", "readings=15 1/4 in", "readings=15 3/8 in"],
            &[],
        ),
        ("waist 27,5 cm, 27,6 cm", "measurement", &["dimension=waist", "readings=27,5 cm", "readings=27,6 cm"], &[]),
        ("waist girth 27 ½ in (69.9 cm)", "measurement", &["dimension=waist girth", "readings=27 ½ in (69.9 cm)"], &[]),
        (
            "tear, back, 12 mm, slight, inactive",
            "condition",
            &["component=back", "damage=tear", "extent=12 mm", "severity=slight", "activity=inactive"],
            &[],
        ),
        ("tear near the hem, 6", "condition", &["damage=tear", "place=near the hem", "extent=6"], &[]),
        (
            "stitch: side seam backstitch 9 per inch",
            "stitching",
            &["purpose=side seam", "stitch=backstitch", "density=9 per inch"],
            &[],
        ),
        (
            "side seam backstitch 9 per inch, allowance 10 mm, hand",
            "stitching",
            &["purpose=side seam", "stitch=backstitch", "made=hand", "density=9 per inch", "allowance=10 mm"],
            &[],
        ),
        (
            "left front, shoulder length 5 1/8 in, flat, instrument: steel rule",
            "measurement",
            &[
                "component=left front",
                "dimension=shoulder length",
                "readings=5 1/8 in",
                "taken=flat",
                "instrument=steel rule",
            ],
            &[],
        ),
        (
            "textile: shell, silk 60 %, cotton 40 %",
            "textile",
            &[
                "role=shell",
                "fibres[0].fibre=silk",
                "fibres[0].percent=60 %",
                "fibres[1].fibre=cotton",
                "fibres[1].percent=40 %",
            ],
            &[],
        ),
        (
            "cloth: lining, linen, tabby, warp twist: Z, warp ply: 1, ends: 12 per cm",
            "textile",
            &[
                "role=lining",
                "fibres[0].fibre=linen",
                "structure=tabby",
                "warp[0].ply=1",
                "warp[0].twist=Z",
                "ends=12 per cm",
            ],
            &[],
        ),
        ("step: back lining basted to the front", "step", &["done=back lining basted to the front"], &[]),
        ("hooks 4 on the left front", "", &[], &["hooks 4 on the left front"]),
        (
            "hook and eye, 4, left front",
            "fastening",
            &["component=left front", "fastening=hook and eye", "count=4"],
            &[],
        ),
        (
            "tear, 12 mm, note: \"seen; by, raking: light\"",
            "condition",
            &["damage=tear", "extent=12 mm", "note=seen; by, raking: light"],
            &[],
        ),
        ("waist 27 5/8", "measurement", &["dimension=waist"], &["27 5/8"]),
        (
            "Waist 27.5 cm over the lining",
            "measurement",
            &["dimension=Waist", "readings=27.5 cm"],
            &["over the lining"],
        ),
        ("component: left cuff", "component", &["name=left cuff"], &[]),
        (
            "piece: spencer; nature: extant; date: c. 1815",
            "piece",
            &["nature=extant", "object_name=spencer", "date=c. 1815"],
            &[],
        ),
        ("damage: unheard of", "condition", &["place=unheard of"], &[]),
        ("tear, place:", "condition", &["damage=tear"], &[]),
        ("", "", &[], &[]),
    ];
    for (line, section, fields, left) in cases {
        let found = told(line);
        assert_eq!(
            (found.0.as_str(), found.1.iter().map(String::as_str).collect::<Vec<_>>()),
            (section, fields.to_vec()),
            "{line}"
        );
        assert_eq!(found.2, left, "words left of {line}");
    }
}

#[test]
fn a_line_filled_in_beside_keeps_what_it_said() {
    let parts = parts();
    let words = Words { vocabulary: Vocabulary::shipped(), components: &parts };
    let fill = |line: &str, field: &str, texts: &[&str], row: Option<usize>, inner: Option<&str>| {
        let texts: Vec<String> = texts.iter().map(|t| (*t).to_owned()).collect();
        with(line, field, &texts, row, inner, &words)
    };
    let cases = [
        (
            fill("tear 12 mm", "severity", &["slight"], None, None),
            "condition",
            vec!["damage=tear", "extent=12 mm", "severity=slight"],
        ),
        (fill("tear 12 mm", "extent", &[""], None, None), "condition", vec!["damage=tear"]),
        (
            fill("waist 27 cm odd words", "readings", &["27 cm", "28 cm"], None, None),
            "measurement",
            vec!["dimension=waist", "readings=27 cm", "readings=28 cm"],
        ),
        (
            fill("textile: lining", "fibres", &["wool"], Some(0), Some("fibre")),
            "textile",
            vec!["role=lining", "fibres[0].fibre=wool"],
        ),
        (
            // A page names the row; one far beyond the last is the next one.
            fill("textile: lining; fibres: wool", "fibres", &["silk"], Some(usize::MAX), Some("fibre")),
            "textile",
            vec!["role=lining", "fibres[0].fibre=wool", "fibres[1].fibre=silk"],
        ),
    ];
    for (line, section, fields) in cases {
        let found = told(&line);
        assert_eq!((found.0.as_str(), found.1), (section, fields.into_iter().map(String::from).collect()), "{line}");
    }
    assert_eq!(told(&fill("waist 27 cm odd words", "readings", &["27 cm"], None, None)).2, ["odd words"]);
}

#[test]
fn what_is_begun_is_completed_with_its_definition() {
    let parts = parts();
    let words = Words { vocabulary: Vocabulary::shipped(), components: &parts };
    let cases = [
        ("centre ba", 9, "centre back length"),
        ("tear, left s", 12, "left sleeve"),
        ("tear, sl", 8, "slight"),
        ("side seam backst", 16, "backstitch"),
        ("condi", 5, "condition: "),
        ("tear, 3 mm, cause: li", 21, "light"),
    ];
    for (line, caret, expected) in cases {
        let found = complete(line, caret, &words);
        let hit = found.iter().find(|c| c.with == expected).unwrap_or_else(|| panic!("{line}: {found:?}"));
        assert!(!hit.means.is_empty(), "{line}: {expected} is not explained");
        let chars: Vec<char> = line.chars().collect();
        let put: String = chars[..hit.from].iter().collect::<String>() + &hit.with;
        assert!(put.contains(expected) && hit.to == caret, "{line}: {hit:?}");
    }
    assert!(complete("tear, ", 6, &words).is_empty());
    assert!(complete("waist girth 27 in", 17, &words).is_empty(), "a unit is not made into another word");
}

/// Words of the trade, signs and figures mixed, so that most lines mean something.
fn scraps() -> impl Strategy<Value = String> {
    let word = prop_oneof![
        4 => prop::sample::select(vec![
            "tear", "waist girth", "27 1/2 in", "12 mm", "back", "left front", ",", ";", ":", "condition:", "stitch:",
            "note:", "\"", "(", ")", " / ", "9 per inch", "silk", "60 %", "textile:", "warp twist:", "slight", "fibres:",
            "2/1 twill", "component:", "piece:", "c. 1815", "27,5 cm", "\\", "treatment:", "options:", "overall:", "good",
        ]).prop_map(String::from),
        1 => ".{0,6}",
    ];
    prop::collection::vec(word, 0..12).prop_map(|words| words.join(" "))
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, failure_persistence: None, ..ProptestConfig::default() })]

    /// No letter or figure of a line is lost: each stands in a part, in a label or in the heading.
    #[test]
    fn nothing_is_dropped_and_nothing_panics(line in scraps()) {
        let parts = parts();
        let words = Words { vocabulary: Vocabulary::shipped(), components: &parts };
        let read = read(&line, None, &words);
        let mut held = vec![false; line.len()];
        for part in &read.parts {
            prop_assert!(line.get(part.at.clone()).is_some(), "{part:?} of {line:?}");
            held[part.at.clone()].iter_mut().for_each(|h| *h = true);
        }
        for (i, c) in line.char_indices().filter(|(i, c)| c.is_alphanumeric() && !held[*i]) {
            // What no part holds is the name of a field or a heading, which the line is read by.
            let named = line[i..].contains(':') || read.parts.iter().any(|p| p.at.start > i && p.place.is_some());
            prop_assert!(named, "`{c}` at {i} of {line:?} is lost: {:?}", read.parts);
        }
        complete(&line, line.chars().count() / 2, &words);
    }

    /// A record written as a line reads back as the same record.
    #[test]
    fn a_written_line_reads_back(line in scraps()) {
        let parts = parts();
        let words = Words { vocabulary: Vocabulary::shipped(), components: &parts };
        let read = read(&line, None, &words);
        if let Some(section) = read.section {
            let mut written = read.written();
            // One text a field where a field takes one: that is what a record gives.
            for w in &mut written {
                let several = section.slot(w.field).is_some_and(Slot::is_several);
                w.texts.retain(|t| !t.trim().is_empty());
                if !several { w.texts.truncate(1); w.rows.truncate(1); }
                for row in &mut w.rows {
                    for cell in row.iter_mut() { cell.texts.retain(|t| !t.trim().is_empty()); cell.texts.truncate(1); }
                    row.retain(|c| !c.texts.is_empty());
                }
                w.rows.retain(|row| !row.is_empty());
            }
            written.retain(|w| !w.texts.is_empty() || !w.rows.is_empty());
            let again = text(section, &written, &words);
            prop_assert_eq!(written_of(&again, &words), written, "{} became {}", line, again);
        }
    }

    /// Whatever is written, the sheet made of it is a sheet: its reader finds mistakes in fields, never in its form.
    #[test]
    fn lines_make_a_sheet(lines in prop::collection::vec(scraps(), 0..4)) {
        let parts = parts();
        let words = Words { vocabulary: Vocabulary::shipped(), components: &parts };
        let mut made = Sheet::new(Some("a \"reason\"\n"));
        for (key, line) in (1..).zip(&lines) {
            let read = read(line, None, &words);
            if let Some(section) = read.section.filter(|s| s.several) {
                made.add(key, section, None, &read.written());
            }
        }
        let components = |_: &str| Some(parts.clone());
        let known = Known { vocabulary: Vocabulary::shipped(), components: &components, conventions: crate::dating::Conventions::default() };
        for mistake in sheet::read(made.text(), &known).err().unwrap_or_default() {
            prop_assert!(!mistake.what.contains("this is not TOML"), "{mistake}\n{}", made.text());
        }
    }
}
