//! Exact fractions, so that ⅛ in and 6322 points of Paris convert without a rounding error on the way.

/// A reduced fraction with a positive denominator. Every operation answers `None` instead of overflowing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Ratio {
    num: i128,
    den: i128,
}

impl Ratio {
    pub(crate) const ONE: Ratio = Ratio { num: 1, den: 1 };

    /// `num/den`; `None` of a zero denominator or beyond the range of the integers.
    pub(crate) fn new(num: i128, den: i128) -> Option<Ratio> {
        if den == 0 || num == i128::MIN || den == i128::MIN {
            return None;
        }
        let divisor = common_divisor(num.abs(), den.abs());
        let sign = den.signum();
        Some(Ratio { num: sign * num / divisor, den: den.abs() / divisor })
    }

    pub(crate) fn whole(n: i128) -> Ratio {
        Ratio { num: n, den: 1 }
    }

    pub(crate) fn plus(self, other: Ratio) -> Option<Ratio> {
        let left = self.num.checked_mul(other.den)?;
        let right = other.num.checked_mul(self.den)?;
        Ratio::new(left.checked_add(right)?, self.den.checked_mul(other.den)?)
    }

    pub(crate) fn times(self, other: Ratio) -> Option<Ratio> {
        Ratio::new(self.num.checked_mul(other.num)?, self.den.checked_mul(other.den)?)
    }

    pub(crate) fn over(self, other: Ratio) -> Option<Ratio> {
        Ratio::new(self.num.checked_mul(other.den)?, self.den.checked_mul(other.num)?)
    }

    pub(crate) fn negated(self) -> Ratio {
        Ratio { num: -self.num, den: self.den }
    }

    pub(crate) fn is_whole(self) -> bool {
        self.den == 1
    }

    pub(crate) fn is_zero(self) -> bool {
        self.num == 0
    }

    pub(crate) fn to_f64(self) -> f64 {
        self.num as f64 / self.den as f64
    }
}

fn common_divisor(mut a: i128, mut b: i128) -> i128 {
    while b != 0 {
        (a, b) = (b, a % b);
    }
    a.max(1)
}

#[cfg(test)]
mod tests {
    use super::Ratio;

    #[test]
    fn fractions_reduce_and_keep_their_sign_above_the_line() {
        assert_eq!(Ratio::new(6, -8), Ratio::new(-3, 4));
        assert_eq!(Ratio::new(0, 5), Some(Ratio::whole(0)));
        assert_eq!(Ratio::new(1, 0), None);
    }

    #[test]
    fn arithmetic_is_exact_and_refuses_to_overflow() {
        let third = Ratio::new(1, 3).unwrap();
        let sixth = Ratio::new(1, 6).unwrap();
        assert_eq!(third.plus(sixth), Ratio::new(1, 2));
        assert_eq!(third.over(sixth), Some(Ratio::whole(2)));
        assert_eq!(third.over(Ratio::whole(0)), None);
        assert_eq!(Ratio::whole(i128::MAX).times(Ratio::whole(2)), None);
        assert_eq!(Ratio::whole(i128::MAX).plus(Ratio::ONE), None);
        assert_eq!(Ratio::new(i128::MIN, 1), None);
    }
}
