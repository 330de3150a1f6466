//! Light and air: exposure, the sun, doses of light, dew point. Pure: no IO, no clock.
