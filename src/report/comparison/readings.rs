//! Readings in little room: what all of them share behind the figure is printed once, and none breaks before its unit.

/// `13 7/16 in; 13 3/8 in` as `13 7/16; 13 3/8 in`, `36 in 1 cm; 35 in 1 cm` as `36; 35 in 1 cm`. What shares nothing
/// stays as it is.
pub(super) fn in_short(readings: &str) -> String {
    let all: Vec<&str> = readings.split("; ").collect();
    let end = shared_end(&all);
    let last = all.len() - 1;
    let one = |(at, reading): (usize, &&str)| {
        let words = if at < last { reading.strip_suffix(&end).unwrap_or(reading).trim_end() } else { reading };
        if words.chars().any(|c| c.is_ascii_digit()) { words.replace(' ', "\u{a0}") } else { words.to_owned() }
    };
    all.iter().enumerate().map(one).collect::<Vec<_>>().join("; ")
}

/// The unit at the end of every reading (`in`), or over what it was counted (`in 1 cm`, `per inch`); blank if they
/// share none. A shared foot is not one: `2 ft 3 in; 2 ft 3 in` must not become `2; 2 ft 3 in`.
fn shared_end(all: &[&str]) -> String {
    let [first, ..] = all else { return String::new() };
    let words: Vec<&str> = first.split(' ').collect();
    let unit = |from: usize| {
        let end = &words[from..];
        let counted = matches!(end[0], "in" | "per" | "to") && end.len() > 1;
        let single = end.len() == 1 && end[0].chars().all(|c| c.is_alphabetic() || "\"″'′%°²/".contains(c));
        counted || single
    };
    let everywhere = |end: &str| all.iter().all(|r| r.strip_suffix(end).is_some_and(|rest| rest.ends_with(digit)));
    let ends = (1..words.len()).filter(|from| unit(*from)).map(|from| format!(" {}", words[from..].join(" ")));
    ends.into_iter().find(|end| everywhere(end)).unwrap_or_default()
}

fn digit(c: char) -> bool {
    c.is_numeric()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_all_readings_share_is_printed_once() {
        for (written, short) in [
            ("13 7/16 in; 13 3/8 in; 13 7/16 in", "13 7/16; 13 3/8; 13 7/16 in"),
            ("33 in; 33 in; 32 15/16 in", "33; 33; 32 15/16 in"),
            ("36 in 1 cm; 36 in 1 cm", "36; 36 in 1 cm"),
            ("9 per inch; 10 per inch", "9; 10 per inch"),
            ("27 ½ in; 27 in", "27 ½; 27 in"),
            ("8 mm", "8 mm"),
            ("5", "5"),
            ("", ""),
            // Nothing shared, or nothing that is a unit.
            ("13 in; 340 mm", "13 in; 340 mm"),
            ("2 ft 3 in; 2 ft 3 in", "2 ft 3; 2 ft 3 in"),
            ("c. 30 cm; 30 cm or so", "c. 30 cm; 30 cm or so"),
            // Words break where they may.
            ("green silk, 3-ply; worn", "green silk, 3-ply; worn"),
        ] {
            assert_eq!(in_short(written).replace('\u{a0}', " "), short, "{written}");
        }
    }
}
