//! Pixels that threads need: worked out beside the rule, since no guide to photography gives one for dress.

use dimity::threads::{Scale, pixels_per_inch_wanted};

use super::table::rows;

#[test]
fn threads_need_so_many_pixels_to_the_inch() {
    for row in rows("threads_resolution.csv") {
        let (threads, pixels) = (row.number("threads_per_cm"), row.number("px_per_pitch"));
        let ppi = pixels_per_inch_wanted(threads, pixels);
        row.near("pixels per inch", ppi, row.number("ppi_at_object"), 1e-9);
        let scale = Scale { px_per_mm: 1.0 / row.number("mm_per_px"), u: 0.0 };
        row.near("the same from the scale", scale.per_inch(), ppi, 1e-9);
        row.near("pixels a thread", scale.pixels_a_thread(threads).unwrap_or(0.0), pixels, 1e-9);
    }
}
