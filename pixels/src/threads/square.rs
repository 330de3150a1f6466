//! The square of cloth to count: grey pixels, freed of the fall of light. Apart from the spectrum, which wants nothing
//! but the cloth.

/// The smallest side that is looked at, in pixels.
pub const SMALLEST_SIDE: usize = 48;
/// The longest side taken whole; of a larger square the middle, or every second pixel, is enough.
pub(super) const LONGEST_SIDE: usize = 640;

/// A square of grey pixels, freed of the fall of light: 0 is as light as its surroundings.
#[derive(Debug, Clone)]
pub(super) struct Square {
    pub(super) side: usize,
    pub(super) pixels: Vec<f32>,
}

impl Square {
    /// The largest square in the middle of the picture; `None` if the picture is none, or too small.
    pub(super) fn of(pixels: &[f32], width: usize, height: usize) -> Option<Self> {
        let side = width.min(height);
        if side < SMALLEST_SIDE || width.checked_mul(height) != Some(pixels.len()) {
            return None;
        }
        let (left, top) = ((width - side) / 2, (height - side) / 2);
        let row = |y: usize| &pixels[(top + y) * width + left..][..side];
        let pixels = (0..side).flat_map(row).map(|v| if v.is_finite() { v.clamp(-1e6, 1e6) } else { 0.0 });
        Some(Self { side, pixels: pixels.collect() })
    }

    /// A square of `side` pixels out of it, which must lie inside.
    pub(super) fn part(&self, left: usize, top: usize, side: usize) -> Self {
        let row = |y: usize| &self.pixels[(top + y) * self.side + left..][..side];
        Self { side, pixels: (0..side).flat_map(row).copied().collect() }
    }

    /// The middle of it, `side` pixels wide at most.
    pub(super) fn middle(&self, side: usize) -> Self {
        let side = side.min(self.side);
        self.part((self.side - side) / 2, (self.side - side) / 2, side)
    }

    /// Half the size, blurred first so that nothing finer than the new pixels passes for something coarser.
    pub(super) fn halved(&self) -> Self {
        let (side, last) = (self.side / 2, self.side - 1);
        let weights = [1.0, 4.0, 6.0, 4.0, 1.0].map(|w: f32| w / 16.0);
        let near = |k: usize, d: usize| (2 * k + d).saturating_sub(2).min(last);
        let rows: Vec<f32> = (0..self.side * side)
            .map(|at| {
                let (x, y) = (at % side, at / side);
                (0..5).map(|d| weights[d] * self.pixels[y * self.side + near(x, d)]).sum()
            })
            .collect();
        let pixels = (0..side * side)
            .map(|at| {
                let (x, y) = (at % side, at / side);
                (0..5).map(|d| weights[d] * rows[near(y, d) * side + x]).sum()
            })
            .collect();
        Self { side, pixels }
    }

    /// The picture over its fitted light, less one: a surface of the third degree is fitted to the greys and divided
    /// out, since light multiplies. `None` if nothing varies.
    pub(super) fn flattened(&self) -> Option<Self> {
        let light = Surface::fitted(self)?;
        let mean = light.at(0.0, 0.0).abs().max(1e-3);
        let place = |k: usize| 2.0 * (k as f64 + 0.5) / self.side as f64 - 1.0;
        let mut pixels = Vec::with_capacity(self.pixels.len());
        for (y, row) in self.pixels.chunks_exact(self.side).enumerate() {
            let along = light.along(place(y));
            for (x, &value) in row.iter().enumerate() {
                let t = place(x);
                let lit = along[0] + t * (along[1] + t * (along[2] + t * along[3]));
                // Where the light is fitted near nothing, dividing by it would make cloth of noise.
                pixels.push(((f64::from(value) - lit) / lit.max(0.2 * mean)) as f32);
            }
        }
        let spread = pixels.iter().map(|&p| f64::from(p).powi(2)).sum::<f64>() / pixels.len() as f64;
        (spread.sqrt() > 1e-4).then_some(Self { side: self.side, pixels })
    }
}

/// A surface of the third degree over the square, each side running from -1 to 1.
struct Surface([f64; 10]);

/// The powers of x and y in the order of the coefficients.
const POWERS: [(i32, i32); 10] = [(0, 0), (1, 0), (0, 1), (2, 0), (1, 1), (0, 2), (3, 0), (2, 1), (1, 2), (0, 3)];

impl Surface {
    /// Least squares over every third pixel each way.
    fn fitted(square: &Square) -> Option<Self> {
        let mut sums = [[0.0; 11]; 10];
        for y in (0..square.side).step_by(3) {
            for x in (0..square.side).step_by(3) {
                let place = |k: usize| 2.0 * (k as f64 + 0.5) / square.side as f64 - 1.0;
                let (a, b) = (place(x), place(y));
                let (a2, b2) = (a * a, b * b);
                let terms = [1.0, a, b, a2, a * b, b2, a2 * a, a2 * b, a * b2, b2 * b];
                let value = f64::from(square.pixels[y * square.side + x]);
                for (i, row) in sums.iter_mut().enumerate() {
                    for (cell, term) in row.iter_mut().zip(&terms).skip(i) {
                        *cell += terms[i] * term;
                    }
                    row[10] += terms[i] * value;
                }
            }
        }
        let half = sums;
        for (i, row) in sums.iter_mut().enumerate() {
            row.iter_mut().zip(&half).take(i).for_each(|(cell, above)| *cell = above[i]);
        }
        solved(sums).map(Self)
    }

    fn at(&self, x: f64, y: f64) -> f64 {
        self.0.iter().zip(POWERS).map(|(c, (a, b))| c * x.powi(a) * y.powi(b)).sum()
    }

    /// The coefficients in x alone, along a row.
    fn along(&self, y: f64) -> [f64; 4] {
        let mut row = [0.0; 4];
        for (c, (a, b)) in self.0.iter().zip(POWERS) {
            row[a as usize] += c * y.powi(b);
        }
        row
    }
}

/// Solves ten equations by elimination with the largest pivot first.
fn solved(mut rows: [[f64; 11]; 10]) -> Option<[f64; 10]> {
    for i in 0..10 {
        let pivot = (i..10).max_by(|&a, &b| rows[a][i].abs().total_cmp(&rows[b][i].abs()))?;
        rows.swap(i, pivot);
        let lead = rows[i];
        if lead[i].abs() < 1e-12 {
            return None;
        }
        for (j, row) in rows.iter_mut().enumerate() {
            if j != i {
                let part = row[i] / lead[i];
                row.iter_mut().zip(&lead).for_each(|(cell, above)| *cell -= part * above);
            }
        }
    }
    let mut answer = [0.0; 10];
    for (i, row) in rows.iter().enumerate() {
        answer[i] = row[10] / row[i];
    }
    answer.iter().all(|a| a.is_finite()).then_some(answer)
}
