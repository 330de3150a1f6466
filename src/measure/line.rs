//! A straight line through points of which each is known to its own uncertainty: weighted least squares.
//!
//! Tested against NIST StRD Norris and a general-purpose statistics library.

use super::student_t;

/// A straight line y = at_mean + slope · (x − mean_x).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Line {
    /// How many points.
    pub n: usize,
    /// Weighted mean of the x.
    pub mean_x: f64,
    /// The line at `mean_x`: the weighted mean of the y.
    pub at_mean: f64,
    /// Units of y for one of x.
    pub slope: f64,
    /// Standard uncertainty of the slope that follows from the points' own uncertainties; 0 where they have none.
    pub u_known: f64,
    /// Standard uncertainty of the slope that follows from how far the points lie off the line.
    pub u_scatter: f64,
}

impl Line {
    /// The line through points (x, y, standard uncertainty of y), each weighted with 1/u². Where one of the u is nought
    /// or no number, all points count alike. The x are taken as exact.
    ///
    /// `None` for fewer than three points, for points that all stand at one x, and where a figure is not finite.
    pub fn through(points: &[(f64, f64, f64)]) -> Option<Line> {
        let n = points.len();
        if n < 3 || points.iter().any(|(x, y, _)| !x.is_finite() || !y.is_finite()) {
            return None;
        }
        let weighted = points.iter().all(|(_, _, u)| u.is_finite() && *u > 0.0);
        // Weights are relative to the best point, so that they neither overflow nor vanish together.
        let best = points.iter().map(|p| p.2).fold(f64::INFINITY, f64::min);
        let weight = |u: f64| if weighted { (best / u).powi(2) } else { 1.0 };
        let total: f64 = points.iter().map(|p| weight(p.2)).sum();
        let mean =
            |of: &dyn Fn(&(f64, f64, f64)) -> f64| points.iter().map(|p| weight(p.2) * of(p)).sum::<f64>() / total;
        let (mean_x, at_mean) = (mean(&|p| p.0), mean(&|p| p.1));
        let wide: f64 = points.iter().map(|p| weight(p.2) * (p.0 - mean_x).powi(2)).sum();
        if wide <= 0.0 {
            return None;
        }
        let slope = points.iter().map(|p| weight(p.2) * (p.0 - mean_x) * (p.1 - at_mean)).sum::<f64>() / wide;
        let off = |p: &(f64, f64, f64)| p.1 - at_mean - slope * (p.0 - mean_x);
        let chi: f64 = points.iter().map(|p| weight(p.2) * off(p).powi(2)).sum();
        let line = Line {
            n,
            mean_x,
            at_mean,
            slope,
            u_known: if weighted { best / wide.sqrt() } else { 0.0 },
            u_scatter: (chi / (n - 2) as f64 / wide).sqrt(),
        };
        let figures = [mean_x, at_mean, slope, line.u_known, line.u_scatter];
        figures.iter().all(|f| f.is_finite()).then_some(line)
    }

    /// The line at this x.
    pub fn at(&self, x: f64) -> f64 {
        self.at_mean + self.slope * (x - self.mean_x)
    }

    /// Half the width of the 95 % interval of the slope: the wider of what the points' own uncertainties give (taken as
    /// well known) and what their scatter gives, with Student's t for n − 2 degrees of freedom. The second holds
    /// whether or not the uncertainties were judged well; the first keeps three points that happen to lie on a line
    /// from claiming too much.
    pub fn slope_half_width(&self) -> f64 {
        let known = self.u_known * student_t(0.95, f64::INFINITY);
        let scatter = self.u_scatter * student_t(0.95, self.n.saturating_sub(2) as f64);
        known.max(scatter)
    }

    /// Whether the 95 % interval of the slope leaves out nought.
    pub fn rises_or_falls(&self) -> bool {
        self.slope.abs() > self.slope_half_width()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn what_makes_no_line_gives_none() {
        let cases: &[&[(f64, f64, f64)]] = &[
            &[],
            &[(0.0, 1.0, 0.1), (1.0, 2.0, 0.1)],
            &[(2.0, 1.0, 0.1), (2.0, 2.0, 0.1), (2.0, 3.0, 0.1)],
            &[(0.0, 1.0, 0.1), (1.0, f64::NAN, 0.1), (2.0, 3.0, 0.1)],
            &[(0.0, 1.0, 0.1), (f64::INFINITY, 2.0, 0.1), (2.0, 3.0, 0.1)],
            &[(0.0, f64::MAX, 0.1), (1.0, -f64::MAX, 0.1), (2.0, f64::MAX, 0.1)],
        ];
        for points in cases {
            assert_eq!(Line::through(points), None, "{points:?}");
        }
    }

    #[test]
    fn a_point_of_unknown_worth_makes_all_count_alike() {
        let plain = [(0.0, 2.0, 0.0), (1.0, 4.0, 5.0), (2.0, 7.0, 0.1)];
        let line = Line::through(&plain).expect("a line");
        assert!((line.slope - 2.5).abs() < 1e-12 && line.u_known == 0.0);
        assert_eq!(Line::through(&plain.map(|(x, y, _)| (x, y, f64::NAN))), Some(line));
        // Points on a line exactly, of no uncertainty: nothing to doubt.
        let exact = Line::through(&[(0.0, 1.0, 0.0), (1.0, 2.0, 0.0), (2.0, 3.0, 0.0)]).expect("a line");
        assert!(exact.slope_half_width() < 1e-12 && exact.rises_or_falls());
    }

    #[test]
    fn points_that_lie_on_a_line_by_luck_keep_their_own_uncertainty() {
        let line = Line::through(&[(0.0, 1.0, 1.0), (1.0, 2.0, 1.0), (2.0, 3.0, 1.0)]).expect("a line");
        // 1.960/√2, whatever the scatter says.
        assert!((line.slope_half_width() - 1.959_964 / 2f64.sqrt()).abs() < 1e-5, "{}", line.slope_half_width());
        assert!(!line.rises_or_falls());
        // Points far off any line are doubted by their scatter, with t = 12.706 for one degree of freedom.
        let bent = Line::through(&[(0.0, 0.0, 0.001), (1.0, 9.0, 0.001), (2.0, 10.0, 0.001)]).expect("a line");
        assert!((bent.slope_half_width() - 12.706_205 * (8f64 / 3.0).sqrt() * 2f64.sqrt()).abs() < 1e-3);
        assert!(!bent.rises_or_falls());
    }

    proptest! {
        #[test]
        fn a_known_rate_is_found_again(slope in -50.0..50.0f64, start in -100.0..100.0f64, u in 0.01..3.0f64, n in 3..9u32) {
            let points: Vec<_> = (0..n).map(|i| {
                let x = f64::from(i) * 1.3 + 2000.0;
                (x, start + slope * (x - 2000.0), u * f64::from(i + 1))
            }).collect();
            let line = Line::through(&points).expect("a line");
            prop_assert!((line.slope - slope).abs() < 1e-7);
            prop_assert!((line.at(2000.0) - start).abs() < 1e-6);
            prop_assert!(line.u_scatter < 1e-6 && line.u_known > 0.0);
        }
    }
}
