//! Cover factor after Peirce (J. Text. Inst. 28 (1937) T45): how nearly the yarns of a cloth close it.
//!
//! K = threads per inch ÷ √Ne. In cotton of ordinary packing threads touch at K = 28, since a yarn is 1/(28·√Ne) inch
//! thick. The cloth: K₁ + K₂ − K₁K₂/28. A finer or a heavier fibre packs otherwise, so K compares cloths of one fibre.

use super::sett::CM_IN_INCH;
use crate::measure::Estimate;
use crate::measure::YarnSystem;

/// The cover factor at which threads of cotton touch.
pub const TOUCHING: f64 = 28.0;

/// Peirce's cover factor of one set of threads, from threads per centimetre and tex.
pub fn of_threads(per_cm: Estimate, tex: Estimate) -> Estimate {
    let k = per_cm.value * CM_IN_INCH * (tex.value / YarnSystem::Cotton.to_tex(1.0)).sqrt();
    let by_count = if per_cm.value > 0.0 { k / per_cm.value * per_cm.u } else { 0.0 };
    let by_tex = if tex.value > 0.0 { k / (2.0 * tex.value) * tex.u } else { 0.0 };
    Estimate::from_shares(k, &[by_count, by_tex])
}

/// The form in SI units, threads per centimetre × √tex ÷ 10.
pub fn si(per_cm: Estimate, tex: Estimate) -> Estimate {
    of_threads(per_cm, tex).times(YarnSystem::Cotton.to_tex(1.0).sqrt() / CM_IN_INCH / 10.0)
}

/// Peirce's cover factor of the cloth from those of warp and weft. Threads that touch cover all there is to cover, so a
/// K above 28 counts as 28 here.
pub fn of_cloth(warp: Estimate, weft: Estimate) -> Estimate {
    let (k1, k2) = (warp.value.min(TOUCHING), weft.value.min(TOUCHING));
    let shares = [(1.0 - k2 / TOUCHING) * warp.u, (1.0 - k1 / TOUCHING) * weft.u];
    Estimate::from_shares(k1 + k2 - k1 * k2 / TOUCHING, &shares)
}
