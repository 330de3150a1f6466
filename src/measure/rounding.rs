//! Rounding a value to what its uncertainty supports (GUM 7.2.6: two figures of u at most).

use super::MM_PER_INCH;

/// The value and its uncertainty to the same decimal place. The uncertainty keeps two significant figures,
/// or one when it is between 3 and 9.9 or is a decimal fraction that begins with 3 or more (common practice:
/// a second figure there says less than the uncertainty of the uncertainty). Without an uncertainty the value
/// keeps up to six decimals.
pub fn rounded(value: f64, u: f64) -> (String, String) {
    if !value.is_finite() || !u.is_finite() || u <= 0.0 {
        return (plain(value), plain(u));
    }
    let mut place = last_place(u);
    // Rounding may carry into a new leading figure: 0.0999 becomes 0.10, not 0.100.
    place = last_place(round_to(u, place)).max(place);
    if place >= 0 {
        (format!("{:.0}", zero(round_to(value, place))), format!("{:.0}", round_to(u, place)))
    } else {
        let decimals = place.unsigned_abs().min(30) as usize;
        let shown = format!("{value:.decimals$}");
        (unsigned_zero(&shown), format!("{u:.decimals$}"))
    }
}

/// `698.5 ± 0.9`: both rounded as [`rounded`] does.
pub fn plus_minus(value: f64, u: f64) -> String {
    let (value, u) = rounded(value, u);
    format!("{value} ± {u}")
}

/// A figure to four significant places and no idle zeros: enough for a conversion, where nothing says how well it is
/// known.
pub fn four_figures(x: f64) -> String {
    if !x.is_finite() || x == 0.0 {
        return "0".into();
    }
    let decimals = (3 - x.abs().log10().floor() as i64).clamp(0, 9) as usize;
    let text = format!("{x:.decimals$}");
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

/// The power of ten of the last figure worth printing.
fn last_place(u: f64) -> i32 {
    let exponent = u.log10().floor() as i32;
    let leading = u / 10f64.powi(exponent);
    if leading < 2.95 || exponent > 0 { exponent - 1 } else { exponent }
}

fn round_to(x: f64, place: i32) -> f64 {
    if place >= 0 {
        let unit = 10f64.powi(place);
        (x / unit).round() * unit
    } else {
        let unit = 10f64.powi(-place);
        (x * unit).round() / unit
    }
}

fn zero(x: f64) -> f64 {
    if x == 0.0 { 0.0 } else { x }
}

fn unsigned_zero(text: &str) -> String {
    let all_zero = text.chars().all(|c| matches!(c, '-' | '0' | '.'));
    if all_zero { text.trim_start_matches('-').to_string() } else { text.to_string() }
}

/// A number with up to six decimals and no idle zeros.
pub(crate) fn plain(x: f64) -> String {
    if !x.is_finite() {
        return x.to_string();
    }
    let text = format!("{x:.6}");
    unsigned_zero(text.trim_end_matches('0').trim_end_matches('.'))
}

/// A length in millimetres as a tape in inches reads it, to the nearest sixteenth: `13 7/16 in`.
pub fn tape_inches(mm: f64) -> String {
    let sixteenths = (mm / MM_PER_INCH * 16.0).round();
    if !sixteenths.is_finite() || sixteenths.abs() > 1e9 {
        return "?".into();
    }
    let (sign, all) = (if sixteenths < 0.0 { "-" } else { "" }, sixteenths.abs() as i64);
    let (whole, mut above, mut below) = (all / 16, all % 16, 16);
    while above > 0 && above % 2 == 0 {
        (above, below) = (above / 2, below / 2);
    }
    match (whole, above) {
        (_, 0) => format!("{sign}{whole} in"),
        (0, _) => format!("{sign}{above}/{below} in"),
        _ => format!("{sign}{whole} {above}/{below} in"),
    }
}
