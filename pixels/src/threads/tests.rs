//! The room's own tests: sampling, and that nothing breaks it. Counts of drawn cloth stand in `tests/threads.rs`.

use proptest::prelude::*;

use super::*;

#[test]
fn threads_are_countable_barely_seen_or_not_at_all() {
    let scale = Scale { px_per_mm: 10.0, u: 0.0 };
    assert!((scale.per_inch() - 254.0).abs() < 1e-9);
    assert_eq!(scale.pixels_a_thread(0.0), None);
    for (per_cm, want) in [
        (10.0, Visible::Countable),
        (20.0, Visible::Countable),
        (20.1, Visible::Barely),
        (50.0, Visible::Barely),
        (50.1, Visible::Not),
    ] {
        assert_eq!(scale.pixels_a_thread(per_cm).map(Visible::of), Some(want), "{per_cm}");
    }
}

#[test]
fn light_is_divided_out_and_cloth_is_left() {
    let side = 192;
    let place = |k: usize| 2.0 * k as f32 / side as f32 - 1.0;
    let light = |x: f32, y: f32| 1.0 + 0.25 * x - 0.2 * y * y + 0.1 * x * x * x;
    let cloth = |x: usize| 1.0 + 0.2 * (x as f32 * 0.9).cos();
    let grey: Vec<f32> =
        (0..side * side).map(|k| 100.0 * light(place(k % side), place(k / side)) * cloth(k % side)).collect();
    let flat = Square::of(&grey, side, side).and_then(|s| s.flattened()).expect("flat");
    // At the very edge a surface of the third degree bends to the last thread.
    for (k, value) in flat.pixels.iter().enumerate() {
        let inside = (8..side - 8).contains(&(k % side)) && (8..side - 8).contains(&(k / side));
        assert!(!inside || (value - (cloth(k % side) - 1.0)).abs() < 0.05, "{k}: {value}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn no_picture_breaks_it(
        width in 0usize..90, height in 0usize..90, seed in any::<u32>(), kind in 0u8..5, scale in 1e-6f64..1e6,
    ) {
        let mut state = seed | 1;
        let mut next = move || { state ^= state << 13; state ^= state >> 17; state ^= state << 5; state };
        let grey: Vec<f32> = (0..width * height).map(|k| match kind {
            0 => (next() % 256) as f32,
            1 => f32::from_bits(next()),
            2 => if (k / 3) % 2 == 0 { 1e30 } else { -1e30 },
            3 => if (k % width.max(1) + k / width.max(1)) % 2 == 0 { 0.0 } else { 1.0 },
            _ => 7.0,
        }).collect();
        let scale = Scale { px_per_mm: scale, u: 0.0 };
        if let Ok(count) = count(&grey, width, height, scale) {
            for threads in [count.up, count.across] {
                prop_assert!(threads.per_cm.is_finite() && threads.u.is_finite() && threads.pixels >= 2.9);
            }
            prop_assert!((0.0..=1.0).contains(&count.confidence));
        }
        prop_assert!(detail(&grey, width, height).is_none_or(|d| (2.0..=90.0).contains(&d)));
        prop_assert_eq!(super::count(&grey, width + 1, height + 1, scale), Err(CannotTell::TooSmall));
    }
}
