//! A camera's local time and its offset, made into one moment.

use jiff::Timestamp;
use jiff::civil::DateTime;
use jiff::tz::Offset;

/// Reads an offset from UTC: `+01:00`, `-0930`, `+1`, `UTC`, `UTC+1`, `Z`; none for anything else. Offsets in use reach
/// from −12:00 to +14:00.
pub fn offset(text: &str) -> Option<Offset> {
    let text = text.trim();
    if text.eq_ignore_ascii_case("z") {
        return Some(Offset::UTC);
    }
    let named = ["UTC", "GMT"].iter().find_map(|name| {
        let head = text.get(..name.len())?;
        head.eq_ignore_ascii_case(name).then(|| text[name.len()..].trim_start())
    });
    let rest = named.unwrap_or(text);
    if rest.is_empty() {
        return named.map(|_| Offset::UTC);
    }
    let (negative, digits) = match rest.chars().next()? {
        '+' => (false, &rest[1..]),
        '-' => (true, &rest[1..]),
        '−' => (true, &rest['−'.len_utf8()..]),
        _ => return None,
    };
    let (hours, minutes) = match digits.split_once(':') {
        Some(parts) => parts,
        None if digits.len() == 4 => digits.split_at_checked(2)?,
        None => (digits, "0"),
    };
    let number = |s: &str| (s.len() <= 2 && s.bytes().all(|b| b.is_ascii_digit())).then(|| s.parse::<i32>().ok())?;
    let (hours, minutes) = (number(hours)?, number(minutes)?);
    if hours > 14 || minutes > 59 {
        return None;
    }
    let seconds = hours * 3600 + minutes * 60;
    Offset::from_seconds(if negative { -seconds } else { seconds }).ok()
}

/// The moment of a local time such as a camera writes, `2018-11-14T11:20:05.25`; none if either text is no such thing.
pub fn moment(local: &str, zone: &str) -> Option<Timestamp> {
    let local: DateTime = local.trim().parse().ok()?;
    offset(zone)?.to_timestamp(local).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn offsets_are_read_as_cameras_and_people_write_them() {
        let cases = [
            ("+01:00", Some(3600)),
            ("-09:30", Some(-34200)),
            ("−0930", Some(-34200)),
            ("+1", Some(3600)),
            ("Z", Some(0)),
            ("utc", Some(0)),
            ("UTC+2", Some(7200)),
            ("GMT -5", Some(-18000)),
            ("", None),
            ("+", None),
            ("1", None),
            ("+15", None),
            ("+01:60", None),
            ("+1:2:3", None),
            ("CET", None),
            ("+0a", None),
            ("+é12", None),
        ];
        for (text, wanted) in cases {
            assert_eq!(offset(text).map(Offset::seconds), wanted, "{text}");
        }
    }

    #[test]
    fn a_moment_needs_both_its_parts() {
        let found = moment("2018-11-14T11:20:05.25", "+01:00").map(|t| t.to_string());
        assert_eq!(found.as_deref(), Some("2018-11-14T10:20:05.25Z"));
        for (local, zone) in [("2018-11-14T11:20:05", ""), ("soon", "+01:00"), ("2018-02-30T11:20:05", "+01:00")] {
            assert_eq!(moment(local, zone), None, "{local} {zone}");
        }
    }
}
