//! Figures of light as they are printed: whole, with commas, and no finer than they are known.

/// A whole number with commas between thousands: `36,000`. What is not finite prints as it is.
pub fn grouped(value: f64) -> String {
    let text = format!("{:.0}", value.abs());
    if !value.is_finite() {
        return text;
    }
    let mut out = String::new();
    for (i, c) in text.chars().enumerate() {
        if i > 0 && (text.len() - i).is_multiple_of(3) {
            out.push(',');
        }
        out.push(c);
    }
    if value < 0.0 && out != "0" { format!("−{out}") } else { out }
}

/// A positive value to two figures: `2,400`, `75`, `1.3`.
pub(super) fn two_figures(value: f64) -> String {
    if !(value.is_finite() && value > 0.0) {
        return grouped(value);
    }
    let place = value.log10().floor() as i32 - 1;
    let unit = 10f64.powi(place.abs());
    let value = if place < 0 { (value * unit).round() / unit } else { (value / unit).round() * unit };
    if place < 0 && value < 10.0 { format!("{value}") } else { grouped(value) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn thousands_are_parted_and_two_figures_kept() {
        let cases = [(0.0, "0"), (999.4, "999"), (1000.0, "1,000"), (1_234_567.0, "1,234,567"), (-1500.0, "−1,500")];
        for (value, wanted) in cases {
            assert_eq!(grouped(value), wanted);
        }
        let cases =
            [(2352.0, "2,400"), (73.5, "74"), (1.25, "1.3"), (9.96, "10"), (20_000.0, "20,000"), (0.01953, "0.02")];
        for (value, wanted) in cases {
            assert_eq!(two_figures(value), wanted, "{value}");
        }
        assert_eq!(grouped(f64::NAN), "NaN");
    }
}
