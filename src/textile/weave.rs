//! The repeat of a weave as a grid of lifts: floats, the step of a satin, the shift from pick to pick.

/// One repeat of a weave: which end lies above which pick.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Repeat {
    ends: usize,
    /// One row a pick, the first woven first; true where the end lies on top.
    lifts: Vec<Vec<bool>>,
}

/// Largest repeat that is taken.
const MOST: usize = 200;

impl Repeat {
    /// Reads `1100/0110/0011/1001`: a row a pick, the first woven first, 1 where the end lies on top, ends from the left.
    /// None where the rows are of unequal length, empty, larger than 200 or hold anything else.
    ///
    /// ```
    /// use dimity::textile::weave::Repeat;
    /// let twill = Repeat::parse("1100/0110/0011/1001").unwrap();
    /// assert_eq!((twill.longest_warp_float(), twill.shift()), (2, Some(1)));
    /// ```
    pub fn parse(text: &str) -> Option<Repeat> {
        let row = |row: &str| row.trim().chars().map(bit).collect::<Option<Vec<bool>>>();
        let lifts = text.split('/').map(row).collect::<Option<Vec<_>>>()?;
        let ends = lifts.first()?.len();
        let sound = (1..=MOST).contains(&ends) && lifts.len() <= MOST && lifts.iter().all(|row| row.len() == ends);
        sound.then_some(Repeat { ends, lifts })
    }

    /// A twill of `up` over `down`, one end to the right (`Z`) or to the left (`S`) at each pick. None if either is 0.
    pub fn twill(up: usize, down: usize, to_the_right: bool) -> Option<Repeat> {
        let n = up.checked_add(down).filter(|n| *n <= MOST && up > 0 && down > 0)?;
        let moved = |pick: usize| if to_the_right { n - pick } else { pick };
        let row = |pick: usize| (0..n).map(|end| (end + moved(pick)) % n < up).collect();
        Some(Repeat { ends: n, lifts: (0..n).map(row).collect() })
    }

    /// A warp-faced satin on `ends` ends: one binding point a pick, `step` ends further at each. None for a step that
    /// binds an end twice or makes a twill ([`satin_steps`]).
    pub fn satin(ends: usize, step: usize) -> Option<Repeat> {
        (ends <= MOST && satin_steps(ends).contains(&step)).then(|| {
            let row = |pick: usize| (0..ends).map(|end| end != pick * step % ends).collect();
            Repeat { ends, lifts: (0..ends).map(row).collect() }
        })
    }

    /// Ends and picks in the repeat.
    pub fn size(&self) -> (usize, usize) {
        (self.ends, self.lifts.len())
    }

    /// Crossings with the end on top, of all crossings.
    pub fn warp_up(&self) -> (usize, usize) {
        (self.lifts.iter().flatten().filter(|up| **up).count(), self.ends * self.lifts.len())
    }

    /// Most picks in a row that an end passes over; the number of picks where it never goes under.
    pub fn longest_warp_float(&self) -> usize {
        let column = |end: usize| self.lifts.iter().map(|row| row[end]).collect::<Vec<bool>>();
        (0..self.ends).map(|end| longest_run(&column(end), true)).max().unwrap_or(0)
    }

    /// Most ends in a row that a pick passes over; the number of ends where it never goes under.
    pub fn longest_weft_float(&self) -> usize {
        self.lifts.iter().map(|row| longest_run(row, false)).max().unwrap_or(0)
    }

    /// By how many ends to the right each pick repeats the one before it: 1 for a twill to the right, n − 1 for one to
    /// the left, the step of a satin. None where the picks are not all moved alike; the least shift where several fit.
    pub fn shift(&self) -> Option<usize> {
        let n = self.ends;
        let fits = |by: &usize| {
            (0..self.lifts.len()).all(|pick| {
                let next = &self.lifts[(pick + 1) % self.lifts.len()];
                (0..n).all(|end| self.lifts[pick][end] == next[(end + by) % n])
            })
        };
        (0..n).find(fits)
    }
}

/// Printed as it is read.
impl std::fmt::Display for Repeat {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        for (pick, row) in self.lifts.iter().enumerate() {
            let row: String = row.iter().map(|up| if *up { '1' } else { '0' }).collect();
            write!(f, "{}{row}", if pick > 0 { "/" } else { "" })?;
        }
        Ok(())
    }
}

fn bit(c: char) -> Option<bool> {
    match c {
        '0' => Some(false),
        '1' => Some(true),
        _ => None,
    }
}

/// The longest run of `wanted` around a ring.
fn longest_run(ring: &[bool], wanted: bool) -> usize {
    let Some(start) = ring.iter().position(|x| *x != wanted) else { return ring.len() };
    let (mut longest, mut run) = (0, 0);
    for at in 0..ring.len() {
        run = if ring[(start + at) % ring.len()] == wanted { run + 1 } else { 0 };
        longest = longest.max(run);
    }
    longest
}

/// The steps that make a regular satin on `ends` ends: no common divisor with it, and neither 1 nor one less than it,
/// which make a twill. None on 4 and on 6 (arithmetic).
pub fn satin_steps(ends: usize) -> Vec<usize> {
    (2..ends.saturating_sub(1)).filter(|step| common_divisor(ends, *step) == 1).collect()
}

fn common_divisor(a: usize, b: usize) -> usize {
    if b == 0 { a } else { common_divisor(b, a % b) }
}
