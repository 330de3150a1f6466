//! Three by three matrices, worked out by the compiler. Apart so that each published table stands where it is used and
//! its inverse is never typed.

/// Rows of a matrix.
pub(super) type Matrix = [[f64; 3]; 3];

/// A matrix applied to a column.
pub(super) const fn apply(m: &Matrix, v: [f64; 3]) -> [f64; 3] {
    let mut out = [0.0; 3];
    let mut i = 0;
    while i < 3 {
        out[i] = m[i][0] * v[0] + m[i][1] * v[1] + m[i][2] * v[2];
        i += 1;
    }
    out
}

/// The inverse by cofactors; only for the constant tables of this room, none of which is singular.
pub(super) const fn inverse(m: &Matrix) -> Matrix {
    let mut out = [[0.0; 3]; 3];
    let mut i = 0;
    while i < 3 {
        let mut j = 0;
        while j < 3 {
            let (r1, r2) = ((j + 1) % 3, (j + 2) % 3);
            let (c1, c2) = ((i + 1) % 3, (i + 2) % 3);
            out[i][j] = m[r1][c1] * m[r2][c2] - m[r1][c2] * m[r2][c1];
            j += 1;
        }
        i += 1;
    }
    let det = m[0][0] * out[0][0] + m[0][1] * out[1][0] + m[0][2] * out[2][0];
    let mut i = 0;
    while i < 3 {
        let mut j = 0;
        while j < 3 {
            out[i][j] /= det;
            j += 1;
        }
        i += 1;
    }
    out
}

/// Columns scaled one by one: what makes primaries add up to a white.
pub(super) const fn scaled(m: &Matrix, by: [f64; 3]) -> Matrix {
    let mut out = *m;
    let mut i = 0;
    while i < 3 {
        out[i] = [m[i][0] * by[0], m[i][1] * by[1], m[i][2] * by[2]];
        i += 1;
    }
    out
}
