//! A set of pieces, by row number: a bit each, so that a hundred thousand take 12 kB and are joined in microseconds.

/// A set of pieces.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct Pieces(Vec<u64>);

impl Pieces {
    pub fn add(&mut self, id: i64) {
        let Ok(id) = usize::try_from(id) else { return };
        let at = id / 64;
        if at >= self.0.len() {
            self.0.resize(at + 1, 0);
        }
        self.0[at] |= 1 << (id % 64);
    }

    pub fn holds(&self, id: i64) -> bool {
        usize::try_from(id).is_ok_and(|id| self.0.get(id / 64).is_some_and(|word| word >> (id % 64) & 1 == 1))
    }

    pub fn count(&self) -> usize {
        self.0.iter().map(|word| word.count_ones() as usize).sum()
    }

    /// What it takes in memory.
    pub fn bytes(&self) -> usize {
        self.0.len() * 8
    }

    pub fn or(mut self, other: &Self) -> Self {
        if self.0.len() < other.0.len() {
            self.0.resize(other.0.len(), 0);
        }
        self.0.iter_mut().zip(&other.0).for_each(|(a, b)| *a |= b);
        self
    }

    pub fn and(mut self, other: &Self) -> Self {
        self.0.truncate(other.0.len());
        self.0.iter_mut().zip(&other.0).for_each(|(a, b)| *a &= b);
        self
    }

    pub fn without(mut self, other: &Self) -> Self {
        self.0.iter_mut().zip(&other.0).for_each(|(a, b)| *a &= !b);
        self
    }

    /// The row numbers, in order.
    pub fn iter(&self) -> impl Iterator<Item = i64> + '_ {
        self.0.iter().enumerate().flat_map(|(at, word)| {
            let mut left = *word;
            std::iter::from_fn(move || {
                let bit = left.trailing_zeros();
                (left != 0).then(|| {
                    left &= left - 1;
                    (at * 64) as i64 + i64::from(bit)
                })
            })
        })
    }
}
