//! The check code: twelve signs that stand for a page, short enough to be written on paper by hand. Apart, because it is
//! the one thing here that needs no disk.

/// Signs that are not taken for one another in handwriting or print: no B (8), G (6), I, L and 1, O, Q and 0, S (5),
/// U (V), Z (2).
const SIGNS: &[u8; 25] = b"23456789ACDEFHJKMNPRTVWXY";

/// How many signs a code has: 25¹² is about 2⁵⁵, so that no two pages of a collection share a code by chance.
const LENGTH: usize = 12;

/// The check code of a SHA-256 in hexadecimal: its first 128 bits as a number, the last twelve digits of that number to
/// the base of 25, the least first, in three groups. None if the text is no SHA-256.
pub fn check_code(sha256: &str) -> Option<String> {
    if sha256.len() != 64 || !sha256.bytes().all(|b| b.is_ascii_hexdigit()) {
        return None;
    }
    let mut number = u128::from_str_radix(sha256.get(..32)?, 16).ok()?;
    let mut code = String::with_capacity(LENGTH + 2);
    for i in 0..LENGTH {
        if i > 0 && i % 4 == 0 {
            code.push('-');
        }
        let sign = usize::try_from(number % 25).ok().and_then(|n| SIGNS.get(n))?;
        code.push(char::from(*sign));
        number /= 25;
    }
    Some(code)
}

/// A code as someone wrote it, brought into its form: groups and letter case do not matter, and a sign that is in no
/// code is read as the one it is mistaken for. None if it cannot be a code.
pub fn read_code(text: &str) -> Option<String> {
    let mut code = String::new();
    for c in text.chars().filter(|c| !c.is_whitespace() && !matches!(c, '-' | '–' | '_' | '.')) {
        let sign = match c.to_ascii_uppercase() {
            'B' => '8',
            'G' => '6',
            'S' => '5',
            'U' => 'V',
            'Z' => '2',
            other => other,
        };
        if !sign.is_ascii() || !SIGNS.contains(&u8::try_from(sign).ok()?) {
            return None;
        }
        if matches!(code.len(), 4 | 9) {
            code.push('-');
        }
        code.push(sign);
    }
    (code.len() == LENGTH + 2).then_some(code)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_code_is_made_of_the_first_half_of_the_hash() {
        let zeros = "0".repeat(64);
        let cases = [
            (zeros.clone(), Some("2222-2222-2222")),
            (format!("{:032x}{}", 24, "f".repeat(32)), Some("Y222-2222-2222")),
            (format!("{:032x}{}", 25, "0".repeat(32)), Some("2322-2222-2222")),
            (format!("{:032x}{}", 25_u128.pow(11) * 3, "0".repeat(32)), Some("2222-2222-2225")),
            // SHA-256 of the empty text (FIPS 180-4 examples); the code worked out with Python's int and divmod.
            ("e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855".into(), Some(EMPTY)),
            (zeros[1..].into(), None),
            (format!("{}g", &zeros[1..]), None),
            ("é".repeat(32), None),
        ];
        for (hash, code) in cases {
            assert_eq!(check_code(&hash).as_deref(), code, "{hash}");
        }
    }

    const EMPTY: &str = "M83Y-X2PD-ET7P";

    #[test]
    fn a_code_is_read_as_people_write_it() {
        for (written, code) in [
            ("2346-789A-CDEF", Some("2346-789A-CDEF")),
            (" 2346 789a cdef ", Some("2346-789A-CDEF")),
            ("z34G789ACDEF", Some("2346-789A-CDEF")),
            ("8888–B5S5–UVuv", Some("8888-8555-VVVV")),
            ("2346-789A-CDE", None),
            ("2346-789A-CDEFH", None),
            ("2346-789A-CDE0", None),
            ("2346-789A-CDEÉ", None),
            ("", None),
        ] {
            assert_eq!(read_code(written).as_deref(), code, "{written}");
        }
    }
}
