//! Whether a length in centimetres and one in inches say the same.

use crate::measure::{MM_PER_INCH, Quantity};

/// The outcome of comparing the two statements of one measure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Agreement {
    /// They agree within the rounding of both.
    Agree,
    /// They contradict each other by this many millimetres.
    Contradict(f64),
}

impl Agreement {
    /// Compares the two statements of one measure.
    ///
    /// Two honest histories are allowed for. Either one was worked out from the other: then they differ by no more
    /// than half the last figure of the metric one and half a sixteenth of an inch. Or both were read from a tape:
    /// then by no more than a reading to the nearest half centimetre and quarter inch allows, or to the nearest inch
    /// where whole inches stand. What neither explains is a contradiction (common practice, no source).
    pub fn between(metric: &Quantity, imperial: &Quantity) -> Agreement {
        let apart = (metric.value - imperial.value).abs();
        let worked_out = step(metric) / 2.0 + MM_PER_INCH / 32.0;
        let whole = (imperial.value / MM_PER_INCH).fract().abs() < 1e-9;
        let read = 2.5 + if whole { MM_PER_INCH / 2.0 } else { MM_PER_INCH / 8.0 };
        if apart <= worked_out.max(read) + 1e-9 { Agreement::Agree } else { Agreement::Contradict(apart) }
    }
}

/// The step in which a figure was written, from its uncertainty: u = step/√12.
fn step(quantity: &Quantity) -> f64 {
    quantity.u * 12f64.sqrt()
}
