//! `dimity photo`: photographs in, capture data out, scale set, regions drawn and handed on. One file a command.

mod add;
mod annotations;
mod clock;
mod colour;
mod correct;
mod count;
mod coverage;
mod read;
mod region;
mod register;
mod rights;
mod said;
mod sampling;
mod scale;
mod target;
mod untie;

use super::{Desk, Failure};
pub(super) use add::{gathered, remarked, take_in};
pub(super) use region::size;

/// Add photographs, read their capture data, give them a scale, draw regions on them
#[derive(Debug, clap::Subcommand)]
pub enum Photo {
    /// Add photographs of a piece; the originals are copied whole and never altered
    Add(add::Add),
    /// Count the threads in a square of a macro photograph
    Count(count::Count),
    /// Read capture data without storing anything
    Read(read::Read),
    /// Put right the times of photographs whose camera's clock was wrong
    Clock(clock::ClockSet),
    /// Put right what is said of a photograph: view, component, light, examination, photographer, caption
    Correct(correct::Correct),
    /// Take a photograph off a piece that it does not show; the original is kept
    Untie(untie::Untie),
    /// Draw a region on a photograph, tied to what it shows
    Region(region::Region),
    /// Say what others may do with photographs, whose rights they are, and how to credit them
    Rights(rights::Rights),
    /// Read the colour target in a photograph: how true its colours are, and a correction for readings on it
    ///
    /// `dimity photo target 3fa9c1 --corners 1186,1760 1468,1760 1468,1946 1186,1946 --correct`
    Target(target::Target),
    /// Read the colour of an area of cloth, with its spread, corrected by the target if that was read
    ///
    /// `dimity photo colour 3fa9c1 --rectangle 640,500,200,150`
    Colour(colour::Colour),
    /// List which views are missing or too coarse, piece by piece
    Coverage(coverage::Coverage),
    /// Set the scale of a photograph from a bar or a rectangle in it, or say what it is
    Scale(scale::Scale),
    /// Say what a photograph can show: resolution at the object, threads, sharpness, exposure
    Sampling(sampling::Sampling),
    /// Lay one photograph over another, before and after, and say whether the two may be compared
    Register(register::Register),
    /// Print the regions of a piece's photographs as W3C Web Annotations
    Annotations(annotations::Annotations),
}

impl Photo {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        match self {
            Self::Add(add) => add.run(desk),
            Self::Count(count) => count.run(desk),
            Self::Read(read) => read.run(desk),
            Self::Clock(clock) => clock.run(desk),
            Self::Correct(correct) => correct.run(desk),
            Self::Untie(untie) => untie.run(desk),
            Self::Region(region) => region.run(desk),
            Self::Rights(rights) => rights.run(desk),
            Self::Target(target) => target.run(desk),
            Self::Colour(colour) => colour.run(desk),
            Self::Coverage(coverage) => coverage.run(desk),
            Self::Scale(scale) => scale.run(desk),
            Self::Sampling(sampling) => sampling.run(desk),
            Self::Register(register) => register.run(desk),
            Self::Annotations(annotations) => annotations.run(desk),
        }
    }
}
