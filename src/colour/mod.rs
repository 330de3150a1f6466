//! Colour: CIELAB, sRGB and XYZ, differences, the grey scale, and words for a change. Pure: no IO, no clock.
