//! Threads and stitches along a line in the usual units, the thread count of the trade, and how far to count.

use crate::measure::Estimate;

/// Centimetres in an inch.
pub const CM_IN_INCH: f64 = 2.54;

/// A density along a line, kept per centimetre: ends, picks or stitches.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Density {
    /// How many in a centimetre.
    pub per_cm: Estimate,
}

impl Density {
    /// So many in a centimetre.
    pub fn per_cm(per_cm: Estimate) -> Density {
        Density { per_cm }
    }

    /// Things so many millimetres apart: stitches of a length, threads of a pitch. None where the length is nothing.
    pub fn apart(mm: Estimate) -> Option<Density> {
        (mm.value > 0.0).then(|| {
            let per_cm = 10.0 / mm.value;
            Density { per_cm: Estimate::new(per_cm, per_cm * mm.u / mm.value) }
        })
    }

    /// How many in an inch.
    pub fn per_inch(self) -> Estimate {
        self.per_cm.times(CM_IN_INCH)
    }

    /// How many in ten centimetres: stitches, and sparse cloth.
    pub fn per_10_cm(self) -> Estimate {
        self.per_cm.times(10.0)
    }

    /// Millimetres from one to the next; none where there is nothing to count.
    pub fn pitch_mm(self) -> Option<Estimate> {
        (self.per_cm.value > 0.0).then(|| {
            let pitch = 10.0 / self.per_cm.value;
            Estimate::new(pitch, pitch * self.per_cm.u / self.per_cm.value)
        })
    }

    /// The least length to count over, in centimetres: 10 below 10 per cm, 5 below 25, 3 up to 40, 2 above
    /// (ISO 7211-2:1984, from memory).
    pub fn least_length_cm(self) -> f64 {
        match self.per_cm.value {
            n if n < 10.0 => 10.0,
            n if n < 25.0 => 5.0,
            n if n <= 40.0 => 3.0,
            _ => 2.0,
        }
    }
}

/// The thread count of the trade: ends and picks in a square inch added, never multiplied.
pub fn thread_count(ends: Density, picks: Density) -> Estimate {
    let (ends, picks) = (ends.per_inch(), picks.per_inch());
    Estimate::from_shares(ends.value + picks.value, &[ends.u, picks.u])
}
