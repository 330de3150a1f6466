//! Least squares by Householder reflections: the matrix itself is turned into a triangle, so that nothing is lost to the
//! squared condition of the normal equations (Golub and Van Loan, Matrix Computations, section 5.3; from memory, held
//! against `numpy.linalg.lstsq` by the checks).

/// The `x` for which `rows · x` comes nearest to `wanted`, for each of three right-hand sides; `N` unknowns. None where
/// the rows are too few, or do not tell the unknowns apart.
pub(super) fn solve<const N: usize>(rows: &[[f64; N]], wanted: &[[f64; 3]]) -> Option<[[f64; N]; 3]> {
    if rows.len() < N || rows.len() != wanted.len() {
        return None;
    }
    let (mut a, mut b) = (rows.to_vec(), wanted.to_vec());
    let scale = a.iter().flatten().fold(0.0, |most: f64, v| most.max(v.abs()));
    for k in 0..N {
        let norm = a[k..].iter().fold(0.0, |sum: f64, row| sum.hypot(row[k]));
        // What is left of this column lies within rounding of the columns before it.
        if !norm.is_finite() || norm <= 1e-9 * scale {
            return None;
        }
        let head = if a[k][k] > 0.0 { -norm } else { norm };
        let mut v: Vec<f64> = a[k..].iter().map(|row| row[k]).collect();
        v[0] -= head;
        let length = v.iter().map(|x| x * x).sum::<f64>();
        for j in k..N {
            let along = 2.0 * v.iter().zip(&a[k..]).map(|(x, row)| x * row[j]).sum::<f64>() / length;
            v.iter().zip(&mut a[k..]).for_each(|(x, row)| row[j] -= along * x);
        }
        for j in 0..3 {
            let along = 2.0 * v.iter().zip(&b[k..]).map(|(x, row)| x * row[j]).sum::<f64>() / length;
            v.iter().zip(&mut b[k..]).for_each(|(x, row)| row[j] -= along * x);
        }
    }
    let mut found = [[0.0; N]; 3];
    for (j, x) in found.iter_mut().enumerate() {
        for k in (0..N).rev() {
            let known: f64 = (k + 1..N).map(|i| a[k][i] * x[i]).sum();
            x[k] = (b[k][j] - known) / a[k][k];
        }
    }
    found.iter().flatten().all(|v| v.is_finite()).then_some(found)
}
