//! Accession numbers: what is accepted, how they sort, and the file name that stands for one.

mod parts;

use crate::digest::hex;
pub use parts::{Parted, likeness, parted, runs};
use sha2::{Digest, Sha256};

/// Longest accession number accepted, in characters.
pub const LONGEST: usize = 80;

/// Longest file name made from a number, in bytes.
const LONGEST_STEM: usize = 180;

/// Whether `number` can serve as an accession number. Anything printable may, slashes and dots included: the
/// catalogue follows the collection's habit.
///
/// # Errors
/// A sentence, if it is blank, too long, has outer spaces, or holds control characters.
pub fn check(number: &str) -> Result<(), String> {
    if number.trim().is_empty() {
        return Err("an accession number cannot be blank".into());
    }
    if number.trim() != number {
        return Err(format!("the accession number `{number}` begins or ends with a space; remove it"));
    }
    if number.chars().count() > LONGEST {
        return Err(format!("an accession number has at most {LONGEST} characters"));
    }
    if let Some(c) = number.chars().find(|c| c.is_control()) {
        return Err(format!("an accession number cannot hold the control character U+{:04X}", c as u32));
    }
    Ok(())
}

/// A file name for a number: letters, digits, `.` and `-` stay; all else, and a leading dot, becomes `_` and its
/// hexadecimal code point. Two different numbers never share a name, also where the disk ignores case only if
/// the numbers differ in more than case. A long name is cut and ends in a digest, since disks take no more than 255
/// bytes.
pub fn file_stem(number: &str) -> String {
    use std::fmt::Write as _;
    let mut stem = String::with_capacity(number.len());
    for (i, c) in number.chars().enumerate() {
        let plain = c.is_ascii_alphanumeric() || c == '-' || (c == '.' && i > 0);
        if plain {
            stem.push(c);
        } else {
            let _ = write!(stem, "_{:x}_", c as u32);
        }
    }
    if stem.len() > LONGEST_STEM {
        let digest = Sha256::digest(number.as_bytes());
        stem.truncate(LONGEST_STEM - 17);
        stem.push('_');
        stem.push_str(&hex(&digest[..8]));
    }
    stem
}

/// A key that sorts numbers as people do: digits by value (`1987.4` before `1987.12`), letters without case.
pub fn sort_key(number: &str) -> String {
    use std::fmt::Write as _;
    let mut key = String::new();
    let mut digits = String::new();
    for c in number.chars().chain(std::iter::once('\u{0}')) {
        if c.is_ascii_digit() {
            digits.push(c);
            continue;
        }
        if !digits.is_empty() {
            let value = digits.trim_start_matches('0');
            let _ = write!(key, "{:03}{value}", value.len());
            digits.clear();
        }
        if c != '\u{0}' {
            key.extend(c.to_lowercase());
        }
    }
    key
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn file_stems_stay_inside_their_folder_and_apart() {
        let cases = [
            ("1987.4.2a-c", "1987.4.2a-c"),
            ("1987/4/2", "1987_2f_4_2f_2"),
            ("..", "_2e_."),
            ("../x", "_2e_._2f_x"),
            ("a_b", "a_5f_b"),
            ("Inv. 7", "Inv._20_7"),
            ("Ω1", "_3a9_1"),
        ];
        for (number, stem) in cases {
            assert_eq!(file_stem(number), stem, "{number}");
            assert!(!stem.contains('/') && !stem.starts_with('.'), "{stem}");
        }
    }

    #[test]
    fn long_file_stems_are_cut_and_stay_apart() {
        let one = file_stem(&"\u{1f9f5}".repeat(LONGEST));
        let other = file_stem(&format!("{}x", "\u{1f9f5}".repeat(LONGEST - 1)));
        assert!(one.len() == LONGEST_STEM && other.len() == LONGEST_STEM && one != other, "{one}\n{other}");
        assert_eq!(file_stem(&"9".repeat(LONGEST)), "9".repeat(LONGEST));
    }

    #[test]
    fn numbers_sort_as_people_count() {
        let mut numbers = ["1987.12", "1987.4b", "2001.1", "1987.4a", "C.7", "1987.4"];
        numbers.sort_by_key(|n| sort_key(n));
        assert_eq!(numbers, ["1987.4", "1987.4a", "1987.4b", "1987.12", "2001.1", "C.7"]);
    }

    #[test]
    fn blank_long_and_control_numbers_are_refused() {
        for bad in ["", "  ", " 1", "1\u{7}", "1\n2", &"9".repeat(81)] {
            assert!(check(bad).is_err(), "{bad:?}");
        }
        for good in ["1987.4.2a-c", "1987/4/2", "..", "Ω 1"] {
            assert!(check(good).is_ok(), "{good:?}");
        }
    }
}
