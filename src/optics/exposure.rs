//! What a camera's settings say about the light: exposure value, and the illuminance that it would take.
//!
//! A camera is no light meter. The figure holds only if the camera's own meter set the exposure and was right about a
//! middling subject; it is good to a factor of two at best, and is always said so.

use std::fmt;

use super::figures::two_figures;

/// How far the light may lie from the suggestion, up or down: the meter takes every subject for middling, and white
/// linen or black wool is a stop away from that (common practice, no source).
pub const FACTOR: f64 = 2.0;

/// Calibration of an incident-light meter with a flat receptor, in lx s (ISO 2720:1974; 240 to 400 allowed, 250 usual).
const FLAT: f64 = 250.0;
/// Calibration of a reflected-light meter, in cd/m² s (ISO 2720:1974; 10.6 to 13.4 allowed, 12.5 usual).
const REFLECTED: f64 = 12.5;

/// The three settings of one exposure.
///
/// ```
/// use dimity::optics::Exposure;
/// let shot = Exposure::new(8.0, 1.0 / 125.0, 100.0).expect("settings of a camera");
/// assert_eq!(format!("{:.2}", shot.ev100()), "12.97");
/// assert_eq!(shot.illuminance().round(), 20_000.0);
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Exposure {
    aperture: f64,
    seconds: f64,
    iso: f64,
}

/// The light that a camera's settings suggest, and why it may be wrong.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Suggested {
    /// Exposure value at ISO 100, the compensation allowed for.
    pub ev100: f64,
    /// Illuminance in lux, good to [`FACTOR`].
    pub lux: f64,
    /// What the camera was told to compensate, in EV; 0 if nothing.
    pub compensated: f64,
}

/// Why the settings say nothing about the light that was there.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum Doubt {
    /// The flash fired.
    #[error("the flash fired, so the exposure says nothing about the light in the room")]
    Flash,
    /// Whether the flash fired is not recorded.
    #[error("it is not recorded whether the flash fired")]
    FlashUnknown,
}

impl Exposure {
    /// Settings by f-number, seconds and ISO speed; none unless all three are such as a camera can have.
    pub fn new(aperture: f64, seconds: f64, iso: f64) -> Option<Exposure> {
        let sane = (0.5..=1000.0).contains(&aperture) && (1e-6..=1e6).contains(&seconds) && (1.0..=1e8).contains(&iso);
        sane.then_some(Exposure { aperture, seconds, iso })
    }

    /// Exposure value of aperture and time alone: log2(N²/t).
    pub fn ev(self) -> f64 {
        (self.aperture * self.aperture / self.seconds).log2()
    }

    /// Exposure value brought to ISO 100.
    pub fn ev100(self) -> f64 {
        self.ev() - (self.iso / 100.0).log2()
    }

    /// The illuminance in lux for which a meter sets this exposure.
    pub fn illuminance(self) -> f64 {
        lux(self.ev100())
    }

    /// The luminance in cd/m² for which a meter sets this exposure.
    pub fn luminance(self) -> f64 {
        REFLECTED * self.ev100().exp2() / 100.0
    }

    /// The light that the settings suggest. A camera told to expose by `bias` EV more sets that much less EV than its
    /// meter asks, so the bias is added again.
    ///
    /// # Errors
    /// [`Doubt`] if the flash fired, or if nobody knows; a blank is not taken for a no.
    pub fn suggests(self, flash_fired: Option<bool>, bias: Option<f64>) -> Result<Suggested, Doubt> {
        match flash_fired {
            Some(false) => {}
            Some(true) => return Err(Doubt::Flash),
            None => return Err(Doubt::FlashUnknown),
        }
        let compensated = bias.filter(|b| b.abs() <= 10.0).unwrap_or(0.0);
        let ev100 = self.ev100() + compensated;
        Ok(Suggested { ev100, lux: lux(ev100), compensated })
    }
}

fn lux(ev100: f64) -> f64 {
    FLAT * ev100.exp2() / 100.0
}

impl fmt::Display for Suggested {
    /// `about 2,400 lx, good to a factor of 2; not a measurement`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "about {} lx, good to a factor of {FACTOR}; not a measurement", two_figures(self.lux))
    }
}
