//! The years of a date as an interval: one order for lists, one rule for overlap.

use std::cmp::Ordering;

/// First and last year, astronomical numbering; `None` is an open end. With neither there is no date at all.
///
/// In a list an interval stands by its first year, then by its last: an open start before every year, an open end
/// after every year, and what has no date after all that has one.
///
/// ```
/// use dimity::dating::Interval;
/// let (decade, later) = (Interval::new(Some(1810), Some(1819)), Interval::new(Some(1815), None));
/// assert!(decade < later && decade.overlaps(later));
/// assert!(!Interval::new(None, None).overlaps(decade));
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Interval {
    /// First year.
    pub earliest: Option<i32>,
    /// Last year.
    pub latest: Option<i32>,
}

impl Interval {
    /// The interval from `earliest` to `latest`.
    #[must_use]
    pub fn new(earliest: Option<i32>, latest: Option<i32>) -> Interval {
        Interval { earliest, latest }
    }

    /// Whether it allows no year because nothing is known.
    #[must_use]
    pub fn is_undated(self) -> bool {
        self.earliest.is_none() && self.latest.is_none()
    }

    /// Whether both allow one year at least. What has no date overlaps nothing: a blank is no agreement.
    #[must_use]
    pub fn overlaps(self, other: Interval) -> bool {
        let begins = |a: Option<i32>, b: Option<i32>| a.is_none_or(|a| b.is_none_or(|b| a <= b));
        !self.is_undated()
            && !other.is_undated()
            && begins(self.earliest, other.latest)
            && begins(other.earliest, self.latest)
    }

    /// Whether all years of `other` are years of this. What has no date lies within open years alone.
    #[must_use]
    pub fn holds(self, other: Interval) -> bool {
        let from = self.earliest.is_none_or(|a| other.earliest.is_some_and(|b| a <= b));
        from && self.latest.is_none_or(|a| other.latest.is_some_and(|b| b <= a))
    }

    /// The years from the first of either to the last of either.
    pub(super) fn with(self, other: Interval) -> Interval {
        Interval {
            earliest: self.earliest.zip(other.earliest).map(|(a, b)| a.min(b)),
            latest: self.latest.zip(other.latest).map(|(a, b)| a.max(b)),
        }
    }

    /// The years that both allow; call it for what overlaps.
    pub(super) fn common(self, other: Interval) -> Interval {
        Interval {
            earliest: self.earliest.max(other.earliest),
            latest: match (self.latest, other.latest) {
                (Some(a), Some(b)) => Some(a.min(b)),
                (a, b) => a.or(b),
            },
        }
    }

    fn key(self) -> (bool, i64, i64) {
        let first = self.earliest.map_or(i64::MIN, i64::from);
        (self.is_undated(), first, self.latest.map_or(i64::MAX, i64::from))
    }
}

impl Ord for Interval {
    fn cmp(&self, other: &Interval) -> Ordering {
        self.key().cmp(&other.key())
    }
}

impl PartialOrd for Interval {
    fn partial_cmp(&self, other: &Interval) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

/// `1760–1775`, `after 1849`, `300 BC`; `no years` where there is no date.
impl std::fmt::Display for Interval {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match (self.earliest.map(year_in_words), self.latest.map(year_in_words)) {
            (Some(first), Some(last)) if first == last => f.write_str(&first),
            (Some(first), Some(last)) => write!(f, "{first}–{last}"),
            (Some(first), None) => write!(f, "{first} or later"),
            (None, Some(last)) => write!(f, "{last} or earlier"),
            (None, None) => f.write_str("no years"),
        }
    }
}

/// A year as it is written: astronomical 1760 is `1760`, −299 is `300 BC`.
#[must_use]
pub fn year_in_words(year: i32) -> String {
    if year > 0 { year.to_string() } else { format!("{} BC", 1 - i64::from(year)) }
}
