//! A small set of linear equations: elimination with the largest pivot of each column.

/// Solves `a x = b`; none where the equations do not settle every unknown.
pub(super) fn solve<const N: usize>(mut a: [[f64; N]; N], mut b: [f64; N]) -> Option<[f64; N]> {
    let size = a.iter().flatten().fold(0.0f64, |m, v| m.max(v.abs()));
    for column in 0..N {
        let pivot = (column..N).max_by(|i, j| a[*i][column].abs().total_cmp(&a[*j][column].abs()))?;
        let enough = a[pivot][column].abs() > size * 1e-14;
        if !enough {
            return None;
        }
        a.swap(column, pivot);
        b.swap(column, pivot);
        let top = a[column];
        for row in column + 1..N {
            let times = a[row][column] / top[column];
            for (cell, above) in a[row].iter_mut().zip(top).skip(column) {
                *cell -= times * above;
            }
            b[row] -= times * b[column];
        }
    }
    let mut x = [0.0; N];
    for row in (0..N).rev() {
        let known: f64 = (row + 1..N).map(|i| a[row][i] * x[i]).sum();
        x[row] = (b[row] - known) / a[row][row];
    }
    x.iter().all(|v| v.is_finite()).then_some(x)
}
