//! A set of pieces, by row number: a bit each, so that a hundred thousand take 12 kB and are joined in microseconds.
//!
//! In the index a set lies in parts of so many row numbers, so that a change to a piece rewrites little: [`Part`].

/// A set of pieces.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct Pieces(Vec<u64>);

/// No catalogue has a piece of a higher row number; in a damaged file one may stand.
const MOST: usize = 1 << 28;

/// So many row numbers make a part.
const PART: usize = 4096;
/// What a part takes with a bit for each of them.
const BYTES: usize = PART / 8;

/// A part of a set.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Part([u64; PART / 64]);

impl Part {
    /// The part that a piece lies in.
    pub fn of(id: i64) -> i64 {
        id.div_euclid(PART as i64)
    }

    /// As the index keeps it; what cannot be understood of a damaged one is left out.
    pub fn read(kept: &[u8]) -> Self {
        let mut part = Self::default();
        if kept.len() == BYTES {
            for (word, bytes) in part.0.iter_mut().zip(kept.as_chunks::<8>().0) {
                *word = u64::from_le_bytes(*bytes);
            }
        } else {
            places(kept).for_each(|place| part.0[place / 64] |= 1 << (place % 64));
        }
        part
    }

    /// As the index keeps it: the places of few, or a bit for each; nothing where none is in it.
    pub fn kept(&self) -> Option<Vec<u8>> {
        let count: usize = self.0.iter().map(|word| word.count_ones() as usize).sum();
        match count * 2 {
            0 => None,
            few if few < BYTES => {
                let places = (0..PART as u16).filter(|place| self.0[usize::from(place / 64)] >> (place % 64) & 1 == 1);
                Some(places.flat_map(u16::to_le_bytes).collect())
            }
            _ => Some(self.0.iter().flat_map(|word| word.to_le_bytes()).collect()),
        }
    }

    /// Takes a piece of this part in, or out.
    pub fn set(&mut self, id: i64, holds: bool) {
        let place = id.rem_euclid(PART as i64) as usize;
        let bit = 1 << (place % 64);
        if holds { self.0[place / 64] |= bit } else { self.0[place / 64] &= !bit }
    }
}

impl Default for Part {
    fn default() -> Self {
        Self([0; PART / 64])
    }
}

/// The places in a part that keeps them one by one.
fn places(kept: &[u8]) -> impl Iterator<Item = usize> + '_ {
    kept.as_chunks::<2>().0.iter().map(|place| usize::from(u16::from_le_bytes(*place))).filter(|place| *place < PART)
}

impl Pieces {
    /// Takes in a part as the index keeps it.
    pub fn add_part(&mut self, part: i64, kept: &[u8]) {
        let Some(first) = usize::try_from(part).ok().and_then(|part| part.checked_mul(PART)).filter(|n| *n < MOST)
        else {
            return;
        };
        if kept.len() == BYTES {
            let at = first / 64;
            self.0.resize(self.0.len().max(at + PART / 64), 0);
            self.0[at..].iter_mut().zip(Part::read(kept).0).for_each(|(word, bits)| *word |= bits);
        } else {
            places(kept).for_each(|place| self.add((first + place) as i64));
        }
    }

    pub fn add(&mut self, id: i64) {
        let Some(id) = usize::try_from(id).ok().filter(|id| *id < MOST) else { return };
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

    /// How many are in both.
    pub fn count_with(&self, other: &Self) -> usize {
        self.0.iter().zip(&other.0).map(|(a, b)| (a & b).count_ones() as usize).sum()
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
