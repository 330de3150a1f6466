//! Times of photographs moved by what a camera's clock was out.

use jiff::SignedDuration;
use jiff::civil::DateTime;

/// Reads `+00:03:20` or `-24:00:00`, a sign always before it.
///
/// # Errors
/// A sentence that names what is wrong.
pub fn parse_shift(text: &str) -> Result<SignedDuration, String> {
    let wanted = "write a sign, hours, minutes and seconds, such as +00:03:20";
    let (sign, rest) = match text.trim().split_at_checked(1) {
        Some(("+", rest)) => (1, rest),
        Some(("-" | "−", rest)) => (-1, rest),
        _ => return Err(format!("the sign is missing; {wanted}")),
    };
    let parts: Vec<&str> = rest.split(':').collect();
    let number = |part: &str, below: i64| {
        let plain = !part.is_empty() && part.len() <= 5 && part.bytes().all(|b| b.is_ascii_digit());
        part.parse::<i64>().ok().filter(|n| plain && *n < below)
    };
    match parts[..] {
        [h, m, s] => match (number(h, 100_000), number(m, 60), number(s, 60)) {
            (Some(h), Some(m), Some(s)) => Ok(SignedDuration::from_secs(sign * (h * 3600 + m * 60 + s))),
            _ => Err(format!("minutes and seconds go to 59; {wanted}")),
        },
        _ => Err(format!("three numbers with colons are wanted; {wanted}")),
    }
}

/// A time as cameras write it, moved; the fraction of its second stays. `None` if it is no time, or leaves the
/// calendar.
pub fn moved(taken: &str, shift: SignedDuration) -> Option<String> {
    let (whole, fraction) = taken.split_once('.').map_or((taken, ""), |(whole, fraction)| (whole, fraction));
    let time: DateTime = whole.parse().ok()?;
    let time = time.checked_add(shift).ok()?;
    Some(if fraction.is_empty() { time.to_string() } else { format!("{time}.{fraction}") })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_shift_moves_a_time_and_keeps_its_fraction() {
        let cases = [
            ("2018-11-14T11:20:05.25", "+00:03:20", Some("2018-11-14T11:23:25.25")),
            ("2018-12-31T23:59:59", "+00:00:01", Some("2019-01-01T00:00:00")),
            ("2020-03-01T00:00:00", "-24:00:00", Some("2020-02-29T00:00:00")),
            ("0000:00:00 00:00:00", "+00:00:01", None),
            ("9999-12-31T23:59:59", "+00:00:01", None),
        ];
        for (taken, shift, want) in cases {
            assert_eq!(moved(taken, parse_shift(shift).expect(shift)).as_deref(), want, "{taken} {shift}");
        }
    }

    #[test]
    fn a_shift_without_sign_or_beyond_the_clock_is_refused() {
        for text in ["", "00:03:20", "+3:20", "+00:60:00", "+00:00:60", "+a:00:00", "+1:2:3:4", "+999999:00:00", "é"] {
            assert!(parse_shift(text).is_err(), "{text}");
        }
    }
}
