//! x
mod square; mod spectrum; mod weave; mod reading;
pub(crate) use reading::*;
pub(crate) use square::*;
pub(crate) use spectrum::*;
pub(crate) use weave::*;
pub const FEWEST_THREADS:f64=10.0;
pub const FEWEST_PIXELS:f64=2.5;
#[derive(Debug,Clone,Copy,PartialEq,Eq)]
pub enum CannotTell{NothingToSee,NoPeaks,NoInterlacing,TooFewThreads,TooFewPixels,Ambiguous}
pub(crate) fn run_work(px:&[f32],n:usize)->Result<Found,CannotTell>{ found(&Square::of(px,n,n).unwrap()) }
