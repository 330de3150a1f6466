//! Mass of an area of cloth from sett, yarn and crimp, and what yarn a measured mass implies.
//!
//! m = Σ n·tex·(1 + c) ÷ 10 in g/m², with n threads per centimetre and crimp c as a share: 100·n metres of yarn lie
//! across a metre of cloth each way (arithmetic; a worked example is among the checks). Crimp: (yarn length − cloth
//! length) ÷ cloth length, ISO 7211-3. Finish, weighting, print and soil add mass that no thread accounts for.

use super::Uncertain;

/// One set of threads: warp or weft.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Threads {
    /// Threads per centimetre.
    pub per_cm: Uncertain,
    /// Yarn number in tex.
    pub tex: Uncertain,
    /// Crimp in per cent.
    pub crimp: Uncertain,
}

/// What is taken for a crimp that was not measured: somewhere between 0 and 16 % (common practice, no source).
pub fn unknown_crimp() -> Uncertain {
    Uncertain::between(0.0, 16.0)
}

/// Crimp in per cent from the length of a straightened yarn and the length of cloth that it came from, in one unit;
/// none where there is no cloth.
pub fn crimp(yarn: Uncertain, cloth: Uncertain) -> Option<Uncertain> {
    let found = 100.0 * (yarn.value - cloth.value) / cloth.value;
    let shares = [100.0 * yarn.u / cloth.value, 100.0 * yarn.value * cloth.u / cloth.value.powi(2)];
    Some(Uncertain::from_shares(found, &shares)).filter(|_| cloth.value > 0.0)
}

/// Length of yarn in one metre of the cloth's area, in units of 10 m a tex: n·(1 + c) ÷ 10.
fn length(per_cm: Uncertain, crimp: Uncertain) -> Uncertain {
    let stretch = 1.0 + crimp.value / 100.0;
    let shares = [stretch * per_cm.u / 10.0, per_cm.value * crimp.u / 1000.0];
    Uncertain::from_shares(per_cm.value * stretch / 10.0, &shares)
}

/// What one set of threads adds to the mass, in g/m².
pub fn of_threads(threads: &Threads) -> Uncertain {
    let length = length(threads.per_cm, threads.crimp);
    let shares = [length.value * threads.tex.u, threads.tex.value * length.u];
    Uncertain::from_shares(length.value * threads.tex.value, &shares)
}

/// Estimated mass of the cloth, in g/m².
pub fn of_cloth(warp: &Threads, weft: &Threads) -> Uncertain {
    let (warp, weft) = (of_threads(warp), of_threads(weft));
    Uncertain::from_shares(warp.value + weft.value, &[warp.u, weft.u])
}

/// The tex that a measured mass implies for a set of threads, once the mass of the other set is taken off. It may come out
/// at or below nothing: then the other yarn is too heavy for the cloth, or the mass is wrong. None without threads.
pub fn implied(mass: Uncertain, other: Uncertain, per_cm: Uncertain, crimp: Uncertain) -> Option<Uncertain> {
    let length = length(per_cm, crimp);
    let left = Uncertain::from_shares(mass.value - other.value, &[mass.u, other.u]);
    over(left, length)
}

/// The tex that a measured mass implies where warp and weft are of one yarn. None without threads.
pub fn implied_of_both(mass: Uncertain, sets: [(Uncertain, Uncertain); 2]) -> Option<Uncertain> {
    let [warp, weft] = sets.map(|(per_cm, crimp)| length(per_cm, crimp));
    over(mass, Uncertain::from_shares(warp.value + weft.value, &[warp.u, weft.u]))
}

fn over(mass: Uncertain, length: Uncertain) -> Option<Uncertain> {
    let tex = mass.value / length.value;
    let shares = [mass.u / length.value, tex * length.u / length.value];
    Some(Uncertain::from_shares(tex, &shares)).filter(|_| length.value > 0.0)
}

/// How two values of one thing stand to each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Agreement {
    /// Within twice their combined standard uncertainty.
    Agree,
    /// Between two and three times: doubtful.
    Doubtful,
    /// Beyond three times.
    Differ,
}

/// Compares by ζ = (a − b) ÷ √(u_a² + u_b²): 2 is doubtful, 3 differs (ISO 13528:2015, from memory). Values without any
/// uncertainty agree only if they are equal.
pub fn agreement(a: Uncertain, b: Uncertain) -> Agreement {
    let (apart, u) = ((a.value - b.value).abs(), a.u.hypot(b.u));
    if apart <= 2.0 * u {
        Agreement::Agree
    } else if apart <= 3.0 * u {
        Agreement::Doubtful
    } else {
        Agreement::Differ
    }
}
