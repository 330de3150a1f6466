//! One reconstruction among 10,000 pieces with 30 features each, everything worked out; and how that grows.

use std::hint::black_box;
use std::time::Instant;

use dimity::analysis::comparison::Features;
use dimity::analysis::corpus::{Asked, corpus};
use dimity::measure::{Kind, Quantity};
use dimity::record::measurement::Measurement;
use dimity::record::{Circumstances, Examination, Observed, PieceFile};
use dimity::vocabulary::{Scheme, Vocabulary};

/// A piece with thirty dimensions, two readings each.
fn piece(i: usize) -> PieceFile {
    let mut file = PieceFile::default();
    file.piece.number = Some(format!("{i}"));
    let measurements = Vocabulary::shipped()
        .terms(Scheme::Dimension)
        .take(30)
        .enumerate()
        .map(|(k, term)| {
            let mm = 200 + (i * 7919 + k * 104_729) % 800;
            let read = |mm: usize| Quantity::parse(Kind::Length, &format!("{mm} mm")).expect("a length");
            let what = Measurement {
                dimension: Some(term.id.clone()),
                readings: vec![read(mm), read(mm + 1)],
                ..Measurement::default()
            };
            Observed { what, ..Observed::default() }
        })
        .collect();
    file.examinations.push(Examination {
        about: Circumstances { date: "2024-03-12".parse().ok(), ..Circumstances::default() },
        measurements,
        ..Examination::default()
    });
    file
}

fn seconds(set: &[PieceFile], subject: &PieceFile) -> f64 {
    let words = Vocabulary::shipped();
    let mut times: Vec<f64> = (0..7)
        .map(|_| {
            let start = Instant::now();
            let (own, all) = (Features::of(subject, words), Features::all(set, words));
            let asked = Asked { subject: Some(&own), years: None, feature: "", any_component: false };
            let found = black_box(corpus(&all, asked, words));
            assert!(found.features.len() == 30 && found.features.iter().all(|f| f.values.len() == set.len()));
            start.elapsed().as_secs_f64()
        })
        .collect();
    times.sort_by(f64::total_cmp);
    times[3]
}

fn main() {
    let set: Vec<PieceFile> = (1..=20_000).map(piece).collect();
    let subject = piece(0);
    let (half, all) = (seconds(&set[..10_000], &subject), seconds(&set, &subject));
    println!("a piece among 10,000, 30 features: {half:.3} s; among 20,000: {all:.3} s; ratio {:.2}", all / half);
}
