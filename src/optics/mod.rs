//! Light and air: exposure, the sun, doses of light, dew point. Pure: no IO, no clock.

mod air;
mod dose;
mod exposure;
mod figures;
mod handheld;
mod moment;
mod place;
mod sun;

pub use air::Air;
pub use dose::{BLUE_WOOL, BlueWool, Dose, LAST_OF_HIGH, Responsivity};
pub use exposure::{Doubt, Exposure, FACTOR, Suggested};
pub use figures::grouped;
pub use handheld::HandHeld;
pub use moment::{moment, offset};
pub use place::Place;
pub use sun::{Crossing, HORIZON, LOW, Position, SunDay, USEFUL_YEARS, compass, position, sun_day};
