//! Scales of drawings.

pub(crate) fn print(value: f64) -> String {
    super::rounding::plain(value)
}
