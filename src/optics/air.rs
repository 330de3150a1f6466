//! Air: how near it is to dew, and how much water it holds.

/// Air at a temperature and relative humidity.
///
/// ```
/// use dimity::optics::Air;
/// let store = Air::new(20.0, 50.0).expect("air of a room");
/// assert_eq!(format!("{:.1}", store.dew_point()), "9.3");
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Air {
    /// Temperature in °C.
    temperature: f64,
    /// Relative humidity in per cent.
    humidity: f64,
}

/// Magnus formula over water (WMO-No. 8, annex 4.B): hPa, a number, °C.
const MAGNUS: (f64, f64, f64) = (6.112, 17.62, 243.12);

impl Air {
    /// Air between −45 and 60 °C, the reach of the formula, with a humidity above 0 and up to 100 %; none outside.
    pub fn new(temperature: f64, humidity: f64) -> Option<Air> {
        let sane = (-45.0..=60.0).contains(&temperature) && humidity > 0.0 && humidity <= 100.0;
        sane.then_some(Air { temperature, humidity })
    }

    /// Pressure of the water vapour in hPa.
    pub fn vapour_pressure(self) -> f64 {
        let (at_zero, factor, offset) = MAGNUS;
        at_zero * (factor * self.temperature / (offset + self.temperature)).exp() * self.humidity / 100.0
    }

    /// The temperature in °C at which a surface begins to sweat; over water, also below freezing.
    pub fn dew_point(self) -> f64 {
        let (at_zero, factor, offset) = MAGNUS;
        let log = (self.vapour_pressure() / at_zero).ln();
        offset * log / (factor - log)
    }

    /// Water in the air in g/m³ (ideal gas: 216.68 e/T, e in hPa, T in K; WMO-No. 8, annex 4.B).
    pub fn absolute_humidity(self) -> f64 {
        216.68 * self.vapour_pressure() / (self.temperature + 273.15)
    }

    /// How far the dew point moves, in K, if the hygrometer is wrong by `points` per cent of humidity either way.
    pub fn dew_point_slack(self, points: f64) -> f64 {
        let at = |h: f64| Air { humidity: h.clamp(0.1, 100.0), ..self }.dew_point();
        (at(self.humidity + points) - self.dew_point()).abs().max((at(self.humidity - points) - self.dew_point()).abs())
    }
}
