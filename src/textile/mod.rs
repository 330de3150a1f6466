//! Cloth: yarn numbers, twist, sett, crimp, cover and mass, and what is known of fibres. Pure: no IO, no clock.
