//! The rule of thumb for a camera held in the hand: no longer than one over the focal length, in seconds, the length
//! taken as for 35 mm film (common practice, no source). A stand makes it moot, and no camera says that it stood on one.

/// How an exposure stands to the rule.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HandHeld {
    /// Focal length as for 35 mm film, in mm.
    pub focal_mm: f64,
    /// The exposure in seconds.
    pub seconds: f64,
}

impl HandHeld {
    /// An exposure of so many seconds; none unless both figures are such as a camera can have. Without the equivalent the
    /// true focal length is taken, which flatters: a smaller picture asks for a shorter time.
    pub fn new(focal_mm: f64, seconds: f64) -> Option<Self> {
        let sane = (1.0..=10_000.0).contains(&focal_mm) && (1e-6..=1e6).contains(&seconds);
        sane.then_some(Self { focal_mm, seconds })
    }

    /// The longest time that the rule allows, in seconds.
    pub fn longest(self) -> f64 {
        1.0 / self.focal_mm
    }

    /// Whether the rule is kept. Cameras round times: 1/30 passes for 1/35.
    pub fn kept(self) -> bool {
        self.seconds <= self.longest() * 1.2
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_over_the_focal_length_is_the_limit() {
        for (focal, seconds, kept) in [
            (50.0, 1.0 / 60.0, true),
            (50.0, 1.0 / 50.0, true),
            (50.0, 1.0 / 30.0, false),
            (35.0, 1.0 / 30.0, true),
            (200.0, 1.0 / 125.0, false),
            (90.0, 2.0, false),
        ] {
            let shot = HandHeld::new(focal, seconds).expect("a camera's figures");
            assert_eq!(shot.kept(), kept, "{focal} mm, {seconds} s");
        }
        for (focal, seconds) in [(0.0, 0.01), (50.0, 0.0), (f64::NAN, 0.01), (50.0, f64::INFINITY)] {
            assert_eq!(HandHeld::new(focal, seconds), None);
        }
    }
}
