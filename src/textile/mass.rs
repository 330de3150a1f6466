//! Mass of an area of cloth from sett, yarn and crimp, and what yarn a measured mass implies.
//!
//! m = Σ n·tex·(1 + c) ÷ 10 in g/m², with n threads per centimetre and crimp c as a share: 100·n metres of yarn lie
//! across a metre of cloth each way (arithmetic; a worked example is among the checks). Crimp: (yarn length − cloth
//! length) ÷ cloth length, ISO 7211-3. Finish, weighting, print and soil add mass that no thread accounts for.

use crate::measure::Estimate;

/// One set of threads: warp or weft.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Threads {
    /// Threads per centimetre.
    pub per_cm: Estimate,
    /// Yarn number in tex.
    pub tex: Estimate,
    /// Crimp in per cent.
    pub crimp: Estimate,
}

/// What is taken for a crimp that was not measured: somewhere between 0 and 16 % (common practice, no source).
pub fn unknown_crimp() -> Estimate {
    Estimate::between(0.0, 16.0)
}

/// Crimp in per cent from the length of a straightened yarn and the length of cloth that it came from, in one unit;
/// none where there is no cloth.
pub fn crimp(yarn: Estimate, cloth: Estimate) -> Option<Estimate> {
    let found = 100.0 * (yarn.value - cloth.value) / cloth.value;
    let shares = [100.0 * yarn.u / cloth.value, 100.0 * yarn.value * cloth.u / cloth.value.powi(2)];
    Some(Estimate::from_shares(found, &shares)).filter(|_| cloth.value > 0.0)
}

/// Length of yarn in one metre of the cloth's area, in units of 10 m a tex: n·(1 + c) ÷ 10.
fn length(per_cm: Estimate, crimp: Estimate) -> Estimate {
    let stretch = 1.0 + crimp.value / 100.0;
    let shares = [stretch * per_cm.u / 10.0, per_cm.value * crimp.u / 1000.0];
    Estimate::from_shares(per_cm.value * stretch / 10.0, &shares)
}

/// What one set of threads adds to the mass, in g/m².
pub fn of_threads(threads: &Threads) -> Estimate {
    let length = length(threads.per_cm, threads.crimp);
    let shares = [length.value * threads.tex.u, threads.tex.value * length.u];
    Estimate::from_shares(length.value * threads.tex.value, &shares)
}

/// Estimated mass of the cloth, in g/m².
pub fn of_cloth(warp: &Threads, weft: &Threads) -> Estimate {
    let (warp, weft) = (of_threads(warp), of_threads(weft));
    Estimate::from_shares(warp.value + weft.value, &[warp.u, weft.u])
}

/// The tex that a measured mass implies for a set of threads, once the mass of the other set is taken off. It may come out
/// at or below nothing: then the other yarn is too heavy for the cloth, or the mass is wrong. None without threads.
pub fn implied(mass: Estimate, other: Estimate, per_cm: Estimate, crimp: Estimate) -> Option<Estimate> {
    let length = length(per_cm, crimp);
    let left = Estimate::from_shares(mass.value - other.value, &[mass.u, other.u]);
    over(left, length)
}

/// The tex that a measured mass implies where warp and weft are of one yarn. None without threads.
pub fn implied_of_both(mass: Estimate, sets: [(Estimate, Estimate); 2]) -> Option<Estimate> {
    let [warp, weft] = sets.map(|(per_cm, crimp)| length(per_cm, crimp));
    over(mass, Estimate::from_shares(warp.value + weft.value, &[warp.u, weft.u]))
}

fn over(mass: Estimate, length: Estimate) -> Option<Estimate> {
    let tex = mass.value / length.value;
    let shares = [mass.u / length.value, tex * length.u / length.value];
    Some(Estimate::from_shares(tex, &shares)).filter(|_| length.value > 0.0)
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
pub fn agreement(a: Estimate, b: Estimate) -> Agreement {
    let (apart, u) = ((a.value - b.value).abs(), a.u.hypot(b.u));
    if apart <= 2.0 * u {
        Agreement::Agree
    } else if apart <= 3.0 * u {
        Agreement::Doubtful
    } else {
        Agreement::Differ
    }
}
