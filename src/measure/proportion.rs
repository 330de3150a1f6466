//! One factor for many pairs: the line through the origin, each pair weighted by the uncertainty of both its sides.
//!
//! Tested against NIST StRD NoInt1 and NoInt2 and against general-purpose statistics libraries.

/// A pair of figures of one thing: y = factor · x.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pair {
    /// The figure that is multiplied.
    pub x: f64,
    /// Its standard uncertainty.
    pub u_x: f64,
    /// The figure that it should give.
    pub y: f64,
    /// Its standard uncertainty.
    pub u_y: f64,
}

impl Pair {
    /// Variance of y − factor·x: the effective variance of the pair.
    fn variance(&self, factor: f64) -> f64 {
        self.u_y * self.u_y + factor * factor * self.u_x * self.u_x
    }
}

/// A factor fitted to pairs of figures.
#[derive(Debug, Clone, PartialEq)]
pub struct Proportion {
    /// How many pairs.
    pub n: usize,
    /// The factor: y for one of x.
    pub factor: f64,
    /// Standard uncertainty of the factor that follows from the uncertainties of the pairs.
    pub u_known: f64,
    /// Standard uncertainty of the factor that follows from how far the pairs lie off the line; none with one pair.
    pub u_scatter: Option<f64>,
    /// For each pair the share that it has in its own fitted value, 0 to 1: with 1 it is met whatever it is.
    pub leverages: Vec<f64>,
}

impl Proportion {
    /// The factor through these pairs, by least squares through the origin. Each pair weighs 1/(u_y² + factor²·u_x²), and
    /// the x are adjusted with the y (York's iteration), so that exchanging x and y gives the inverse of the factor.
    /// Where the u of a pair is nought or no number, all pairs count alike in proportion to their size.
    ///
    /// `None` without a pair, and where a figure is not finite and larger than nothing.
    pub fn through(pairs: &[Pair]) -> Option<Proportion> {
        let sound = |value: f64| value.is_finite() && value > 0.0;
        if pairs.is_empty() || pairs.iter().any(|p| !sound(p.x) || !sound(p.y)) {
            return None;
        }
        let known = pairs.iter().all(|p| {
            let sum = p.u_x + p.u_y;
            p.u_x >= 0.0 && p.u_y >= 0.0 && sound(sum)
        });
        // A hundredth of each figure: the number cancels, only the proportion counts.
        let even = |p: &Pair| Pair { u_x: p.x / 100.0, u_y: p.y / 100.0, ..*p };
        let weighed: Vec<Pair> = pairs.iter().map(|p| if known { *p } else { even(p) }).collect();
        let mut factor = weighed.iter().map(|p| p.y).sum::<f64>() / weighed.iter().map(|p| p.x).sum::<f64>();
        for _ in 0..100 {
            let (above, below) = weighed.iter().fold((0.0, 0.0), |(above, below), p| {
                let (weight, x) = adjusted(p, factor);
                (above + weight * x * p.y, below + weight * x * p.x)
            });
            let next = above / below;
            if !sound(next) {
                return None;
            }
            let settled = (next / factor - 1.0).abs() < 1e-15;
            factor = next;
            if settled {
                break;
            }
        }
        let shares: Vec<f64> = weighed
            .iter()
            .map(|p| {
                let (weight, x) = adjusted(p, factor);
                weight * x * x
            })
            .collect();
        let total: f64 = shares.iter().sum();
        let off: f64 = weighed.iter().map(|p| (p.y - factor * p.x).powi(2) / p.variance(factor)).sum();
        let n = pairs.len();
        Some(Proportion {
            n,
            factor,
            u_known: if known { 1.0 / total.sqrt() } else { 0.0 },
            u_scatter: (n > 1).then(|| (off / (n - 1) as f64 / total).sqrt()),
            leverages: shares.iter().map(|share| share / total).collect(),
        })
    }

    /// Standard uncertainty of the factor and its degrees of freedom: the larger of what the pairs' own uncertainties give
    /// (taken as well known) and what their scatter gives (n − 1 degrees of freedom).
    pub fn u(&self) -> (f64, f64) {
        match self.u_scatter {
            Some(scatter) if scatter > self.u_known => (scatter, (self.n - 1) as f64),
            _ => (self.u_known, f64::INFINITY),
        }
    }
}

/// The weight of a pair, and its x moved towards the line as far as its share in the variance allows.
fn adjusted(p: &Pair, factor: f64) -> (f64, f64) {
    let weight = 1.0 / p.variance(factor);
    (weight, p.x + factor * p.u_x * p.u_x * weight * (p.y - factor * p.x))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn pair(x: f64, y: f64, u_x: f64, u_y: f64) -> Pair {
        Pair { x, u_x, y, u_y }
    }

    #[test]
    fn what_gives_no_factor_gives_none() {
        for pairs in [
            vec![],
            vec![pair(0.0, 1.0, 0.1, 0.1)],
            vec![pair(1.0, f64::NAN, 0.1, 0.1)],
            vec![pair(-1.0, 2.0, 0.1, 0.1)],
        ] {
            assert_eq!(Proportion::through(&pairs), None, "{pairs:?}");
        }
    }

    #[test]
    fn one_pair_is_met_whatever_it_is() {
        let one = Proportion::through(&[pair(50.0, 400.0, 0.3, 1.0)]).expect("a factor");
        assert!((one.factor - 8.0).abs() < 1e-12 && one.u_scatter.is_none());
        assert!((one.leverages[0] - 1.0).abs() < 1e-12);
        // u² = (1² + 8²·0.3²)/50²
        assert!((one.u_known - (1.0 + 64.0 * 0.09_f64).sqrt() / 50.0).abs() < 1e-12);
    }

    #[test]
    fn a_pair_of_unknown_worth_makes_all_count_alike_in_proportion() {
        let fit = Proportion::through(&[pair(100.0, 210.0, 0.0, 0.0), pair(10.0, 19.0, 5.0, 1.0)]).expect("a factor");
        assert!((fit.factor - (2.1f64 * 1.9).sqrt()).abs() < 0.002, "{}", fit.factor);
        assert!(fit.u_known == 0.0 && (fit.u().1 - 1.0).abs() < 1e-12);
    }

    proptest! {
        #[test]
        fn exchanging_the_sides_inverts_the_factor(
            rows in prop::collection::vec((10.0..900.0f64, 0.9..1.1f64, 0.1..5.0f64, 0.1..5.0f64), 1..9),
            scale in 0.05..20.0f64,
        ) {
            let there: Vec<Pair> = rows.iter().map(|(x, off, u_x, u_y)| pair(*x, x * off * scale, *u_x, u_y * scale)).collect();
            let back: Vec<Pair> = there.iter().map(|p| pair(p.y, p.x, p.u_y, p.u_x)).collect();
            let (a, b) = (Proportion::through(&there).expect("a"), Proportion::through(&back).expect("b"));
            prop_assert!((a.factor * b.factor - 1.0).abs() < 1e-9);
            prop_assert!((a.u_known / a.factor - b.u_known / b.factor).abs() < 1e-9);
            prop_assert!((a.u().0 / a.factor - b.u().0 / b.factor).abs() < 1e-7);
        }

        #[test]
        fn the_unit_of_either_side_does_not_matter(
            rows in prop::collection::vec((10.0..900.0f64, 0.8..1.2f64, 0.1..5.0f64), 1..9),
            unit in 0.01..100.0f64,
        ) {
            let plain: Vec<Pair> = rows.iter().map(|(x, off, u)| pair(*x, x * off, *u, *u)).collect();
            let other: Vec<Pair> = plain.iter().map(|p| pair(p.x * unit, p.y, p.u_x * unit, p.u_y)).collect();
            let (a, b) = (Proportion::through(&plain).expect("a"), Proportion::through(&other).expect("b"));
            prop_assert!((a.factor / unit / b.factor - 1.0).abs() < 1e-9);
            for (p, q) in a.leverages.iter().zip(&b.leverages) {
                prop_assert!((p - q).abs() < 1e-9);
            }
        }
    }
}
