//! EXIF wording into ours: text, dates, offsets, flash. Plain functions of plain values, so that the tables of
//! the standard can be checked row by row. Tag meanings: Exif 2.32.

use jiff::civil::DateTime;

/// The text of an ASCII value: up to the first NUL, without the spaces that cameras pad with. Nothing left:
/// `None`. Bytes that are not UTF-8 are read as Latin-1, which old firmware writes.
pub(super) fn text(bytes: &[u8]) -> Option<String> {
    let bytes = bytes.split(|&b| b == 0).next().unwrap_or_default();
    let text = match std::str::from_utf8(bytes) {
        Ok(text) => text.to_owned(),
        Err(_) => bytes.iter().map(|&b| char::from(b)).collect(),
    };
    let text = text.trim_matches(|c: char| c.is_whitespace() || c.is_control());
    (!text.is_empty()).then(|| text.to_owned())
}

/// `2018:11:14 11:20:05` and the fraction `25 ` as `2018-11-14T11:20:05.25`.
///
/// `Ok(None)`: left blank or zero, as the standard asks where the time is unknown. `Err`: what was written is
/// no date.
pub(super) fn moment(written: &str, fraction: Option<&str>) -> Result<Option<String>, String> {
    let blank = |c: char| c.is_whitespace() || matches!(c, ':' | '-' | '/' | '0' | '?' | '.' | 'T');
    if written.chars().all(blank) {
        return Ok(None);
    }
    let refused = || format!("the capture date `{written}` is not a date");
    let numbers: Vec<i16> = written
        .split([':', ' ', '-', '/', 'T'])
        .filter(|part| !part.is_empty())
        .map(|part| if part.bytes().all(|b| b.is_ascii_digit()) { part.parse().ok() } else { None })
        .collect::<Option<_>>()
        .ok_or_else(refused)?;
    let &[year, month, day, hour, minute, second] = numbers.as_slice() else {
        return Err(refused());
    };
    let small = |n: i16| i8::try_from(n).map_err(|_| refused());
    if year == 0 {
        return Err(refused());
    }
    let (month, day) = (small(month)?, small(day)?);
    DateTime::new(year, month, day, small(hour)?, small(minute)?, small(second)?, 0).map_err(|_| refused())?;
    let fraction = fraction.map(str::trim).filter(|f| !f.is_empty() && f.bytes().all(|b| b.is_ascii_digit()));
    let dot = if fraction.is_some() { "." } else { "" };
    let fraction = fraction.unwrap_or_default();
    Ok(Some(format!("{year:04}-{month:02}-{day:02}T{hour:02}:{minute:02}:{second:02}{dot}{fraction}")))
}

/// `+01:00` and the like; anything else, and blanks, are an unknown zone.
pub(super) fn offset(written: &str) -> Option<String> {
    if written == "Z" {
        return Some("+00:00".into());
    }
    let (sign, rest) = written.split_at_checked(1)?;
    let (hours, minutes) = rest.split_once(':')?;
    let two = |s: &str| (s.len() == 2 && s.bytes().all(|b| b.is_ascii_digit())).then(|| s.parse::<u8>().ok())?;
    // Zones in use reach from -12:00 to +14:00.
    let fits = two(hours)? < 15 && two(minutes)? < 60 && matches!(sign, "+" | "-");
    fits.then(|| written.to_owned())
}

/// The flash bit field in words: bit 0 fired, bits 1-2 returned light, bits 3-4 mode, bit 5 no flash in the
/// camera, bit 6 red-eye reduction.
pub(super) fn flash(bits: u32) -> String {
    let mut words = vec![if bits & 1 == 1 { "fired" } else { "did not fire" }];
    match bits >> 1 & 3 {
        2 => words.push("returned light not seen"),
        3 => words.push("returned light seen"),
        _ => {} // 0: the camera cannot tell; 1: reserved
    }
    match bits >> 3 & 3 {
        1 => words.push("set to always fire"),
        2 => words.push("set to never fire"),
        3 => words.push("set to automatic"),
        _ => {} // 0: not known
    }
    if bits >> 5 & 1 == 1 {
        words.push("camera has no flash");
    }
    if bits >> 6 & 1 == 1 {
        words.push("red-eye reduction");
    }
    words.join(", ")
}

/// The white balance setting; values outside the standard are not recorded.
pub(super) const fn white_balance(value: u32) -> Option<&'static str> {
    match value {
        0 => Some("automatic"),
        1 => Some("manual"),
        _ => None,
    }
}

/// The colour space. 2 is not in the standard, but cameras write it for Adobe RGB; others write 65535 with the
/// interoperability index `R03` (DCF 2.0), which means the same.
pub(super) fn colour_space(value: u32, interoperability: Option<&str>) -> Option<&'static str> {
    match (value, interoperability) {
        (1, _) => Some("sRGB"),
        (2, _) | (65535, Some("R03")) => Some("Adobe RGB"),
        (65535, _) => Some("uncalibrated"),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn padding_is_not_text() {
        let cases: [(&[u8], Option<&str>); 7] = [
            (b"Maker", Some("Maker")),
            (b"Maker      \0\0", Some("Maker")),
            (b"  Two words\0junk", Some("Two words")),
            (b"        ", None),
            (b"\0\0\0", None),
            (b"", None),
            (b"Caf\xe9", Some("Café")),
        ];
        for (bytes, want) in cases {
            assert_eq!(text(bytes).as_deref(), want, "{bytes:?}");
        }
    }

    #[test]
    fn a_date_is_kept_with_its_fraction_and_a_blank_is_not_a_date() {
        let cases = [
            ("2018:11:14 11:20:05", Some("25"), Ok(Some("2018-11-14T11:20:05.25"))),
            ("2018:11:14 11:20:05", Some("00 "), Ok(Some("2018-11-14T11:20:05.00"))),
            ("2018:11:14 11:20:05", Some("  "), Ok(Some("2018-11-14T11:20:05"))),
            ("2018:11:14 11:20:05", Some("2x"), Ok(Some("2018-11-14T11:20:05"))),
            ("2018-11-14T11:20:05", None, Ok(Some("2018-11-14T11:20:05"))),
            ("2020:02:29 23:59:59", None, Ok(Some("2020-02-29T23:59:59"))),
            ("2019:02:29 12:00:00", None, Err(())),
            ("2019:13:01 12:00:00", None, Err(())),
            ("2019:01:01 24:00:00", None, Err(())),
            ("2019:01:01 12:00:00 PM", None, Err(())),
            ("2019:01:01", None, Err(())),
            ("99999:01:01 12:00:00", None, Err(())),
            ("0000:01:01 12:00:00", None, Err(())),
            ("    :  :     :  :  ", Some("25"), Ok(None)),
            ("0000:00:00 00:00:00", None, Ok(None)),
        ];
        for (written, fraction, want) in cases {
            let got = moment(written, fraction);
            assert_eq!(got.as_ref().map(Option::as_deref).map_err(|_| ()), want, "{written}: {got:?}");
        }
    }

    #[test]
    fn an_offset_is_a_sign_hours_and_minutes() {
        for good in ["+01:00", "-09:30", "+00:00", "+14:00", "+05:45"] {
            assert_eq!(offset(good).as_deref(), Some(good));
        }
        assert_eq!(offset("Z").as_deref(), Some("+00:00"));
        for bad in ["", "+1:00", "01:00", "+15:00", "+01:60", "+01", " +01:00", "é1:00", "+0a:00", "   :  ", "++1:00"]
        {
            assert_eq!(offset(bad), None, "{bad}");
        }
    }
}
