//! Repeatable irregularity: hashed numbers and smooth noise. Apart because every drawing file leans on it and
//! nothing here may ever depend on a clock or a random generator: the same photograph is the same bytes.

/// A number in `0..1` that depends only on the cell and the seed.
pub fn hash(x: i32, y: i32, seed: u32) -> f32 {
    let mut h = (x as u32).wrapping_mul(0x9E37_79B1)
        ^ (y as u32).wrapping_mul(0x85EB_CA77).rotate_left(13)
        ^ seed.wrapping_mul(0xC2B2_AE3D);
    h = (h ^ (h >> 15)).wrapping_mul(0x2C1B_3C6D);
    h = (h ^ (h >> 12)).wrapping_mul(0x297A_2D39);
    h ^= h >> 15;
    (h >> 8) as f32 / 16_777_216.0
}

/// A number in `-1..1` from a running index: the dice of the figures.
pub fn dice(index: usize, seed: u32) -> f32 {
    hash(index as i32, 7, seed) * 2.0 - 1.0
}

/// The whole number below. Written out because the plain x86-64 target would call a library for it, a few hundred
/// million times a set.
#[inline]
pub fn floor(x: f32) -> f32 {
    let cut = x as i32 as f32;
    if cut > x { cut - 1.0 } else { cut }
}

fn ease(t: f32) -> f32 {
    t * t * (3.0 - 2.0 * t)
}

/// `index` counted round a circle of `wrap` steps.
#[inline]
pub fn within(index: i32, wrap: i32) -> i32 {
    if wrap & (wrap - 1) == 0 { index & (wrap - 1) } else { index.rem_euclid(wrap) }
}

/// Smooth noise along a line, in `-1..1`; `row` picks the line and `wrap` is the length after which it repeats.
pub fn along(row: i32, at: f32, wrap: i32, seed: u32) -> f32 {
    let cell = floor(at);
    let here = within(cell as i32, wrap);
    let next = if here + 1 == wrap { 0 } else { here + 1 };
    let (a, b) = (hash(row, here, seed), hash(row, next, seed));
    (a + (b - a) * ease(at - cell)) * 2.0 - 1.0
}

/// Smooth noise on the plane, in `-1..1`, with one feature a unit.
pub fn plane(x: f32, y: f32, seed: u32) -> f32 {
    let (left, top) = (floor(x), floor(y));
    let (column, row) = (left as i32, top as i32);
    let (fx, fy) = (ease(x - left), ease(y - top));
    let upper = mix(hash(column, row, seed), hash(column + 1, row, seed), fx);
    let lower = mix(hash(column, row + 1, seed), hash(column + 1, row + 1, seed), fx);
    mix(upper, lower, fy) * 2.0 - 1.0
}

/// Noise of three sizes added up: cloth that has been folded and smoothed many times.
pub fn rumple(x: f32, y: f32, seed: u32) -> f32 {
    plane(x, y, seed) * 0.6 + plane(x * 2.1, y * 2.1, seed + 1) * 0.28 + plane(x * 4.3, y * 4.3, seed + 2) * 0.12
}

/// Between two numbers.
pub fn mix(a: f32, b: f32, share: f32) -> f32 {
    a + (b - a) * share
}

/// 0 below `from`, 1 above `to`, smooth between.
pub fn step(from: f32, to: f32, at: f32) -> f32 {
    ease(((at - from) / (to - from)).clamp(0.0, 1.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn floors_and_circles_go_below_nought() {
        for (x, below) in [(1.5, 1.0), (-0.25, -1.0), (-2.0, -2.0), (0.0, 0.0)] {
            assert!((floor(x) - below).abs() < 1e-9, "{x}");
        }
        for (index, wrap, want) in [(-1, 8, 7), (9, 8, 1), (-1, 6, 5), (7, 6, 1)] {
            assert_eq!(within(index, wrap), want, "{index} in {wrap}");
        }
    }

    #[test]
    fn noise_stays_in_its_range_and_repeats_where_told() {
        for i in 0..500 {
            let at = i as f32 * 0.37 - 40.0;
            assert!((0.0..1.0).contains(&hash(i, -i, 3)));
            assert!(plane(at, -at, 5).abs() <= 1.0 && rumple(at, at, 9).abs() <= 1.0);
            assert!((along(i, at, 8, 2) - along(i, at + 8.0, 8, 2)).abs() < 1e-3, "line {i} repeats after 8");
        }
        assert!((hash(1, 2, 3) - hash(2, 1, 3)).abs() > 1e-6, "rows and columns are not exchanged");
    }
}
