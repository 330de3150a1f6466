//! One piece against a thousand and against ten thousand of thirty features each: the two figures show how it grows.

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use dimity::analysis::comparison::{Basis, Features, compare_many};
use dimity::analysis::corpus::{Asked, corpus};
use dimity::measure::{Kind, Quantity};
use dimity::record::construction::Stitching;
use dimity::record::measurement::Measurement;
use dimity::record::piece::Component;
use dimity::record::textile::{Fibre, Textile};
use dimity::record::{Examination, Observation, Observed, PieceFile};
use dimity::vocabulary::{Scheme, TermId, Vocabulary};

const PARTS: [&str; 5] = ["left front", "right front", "back", "left sleeve", "right sleeve"];

fn on<T: Observation>(place: usize, what: T) -> Observed<T> {
    let mut seen = Observed { component: Some(PARTS[place % PARTS.len()].into()), what, ..Observed::default() };
    seen.settle(None);
    seen
}

/// A piece of thirty features: sixteen dimensions, two cloths of four properties, two lines of stitches of three.
fn file(i: usize, dimensions: &[TermId]) -> PieceFile {
    let term = TermId::new;
    let read = |kind, text: String| Quantity::parse(kind, &text).expect("a quantity");
    let mut file = PieceFile::default();
    file.piece.number = Some(format!("{}.{}", 1900 + i / 100, i % 100));
    file.components = PARTS.map(|name| Component { name: Some(name.into()), ..Component::default() }).to_vec();
    let measurements = dimensions.iter().enumerate().map(|(n, dimension)| {
        let readings = (0..3).map(|k| read(Kind::Length, format!("{} mm", 300 + 40 * n + (i + k) % 17))).collect();
        let instrument = Some("linen tape".into());
        on(n, Measurement { dimension: Some(dimension.clone()), readings, instrument, ..Measurement::default() })
    });
    let textiles = ["shell", "lining"].map(|role| {
        on(
            2,
            Textile {
                role: Some(term(Scheme::TextileRole, role)),
                fibres: vec![Fibre { fibre: Some(term(Scheme::Fibre, ["linen", "silk"][i % 2])), ..Fibre::default() }],
                structure: Some(term(Scheme::Weave, "tabby")),
                ends: vec![read(Kind::Density, format!("{} in 1 cm", 16 + i % 5))],
                picks: vec![read(Kind::Density, format!("{} in 1 cm", 15 + i % 4))],
                ..Textile::default()
            },
        )
    });
    let stitching = ["side seam", "hem"].map(|purpose| {
        on(
            0,
            Stitching {
                purpose: Some(term(Scheme::Purpose, purpose)),
                stitch: Some(term(Scheme::Stitch, "backstitch")),
                made: Some("hand".into()),
                density: vec![read(Kind::Density, format!("{} in 1 in", 8 + i % 4))],
                ..Stitching::default()
            },
        )
    });
    file.examinations = vec![Examination {
        measurements: measurements.collect(),
        textiles: textiles.to_vec(),
        stitching: stitching.to_vec(),
        ..Examination::default()
    }];
    file.name_components(Vocabulary::shipped());
    file
}

fn benches(criterion: &mut Criterion) {
    let words = Vocabulary::shipped();
    let dimensions: Vec<TermId> = words.terms(Scheme::Dimension).take(16).map(|t| t.id.clone()).collect();
    let subject = file(0, &dimensions);
    let others: Vec<PieceFile> = (1..=10_000).map(|i| file(i, &dimensions)).collect();
    let plain = Basis::default();
    let mut fitted = Basis::default();
    fitted.sizes.fit("bust girth, waist girth, hip girth", words).expect("dimensions");
    let mut group = criterion.benchmark_group("compare");
    group.sample_size(10);
    for (name, many, basis) in [
        ("one with 1,000", &others[..1000], &plain),
        ("one with 10,000", &others[..], &plain),
        ("one with 10,000, size fitted", &others[..], &fitted),
    ] {
        group.bench_function(name, |b| {
            b.iter(|| {
                let (ours, theirs) = (Features::of(&subject, words), Features::all(many, words));
                black_box(compare_many(&ours, &theirs, words, basis).expect("compared").len())
            });
        });
    }
    // Where the piece stands among them, feature by feature, beside each comparison with its tests.
    for (name, many) in [("one among 1,000, all told", &others[..1000]), ("one among 10,000, all told", &others[..])] {
        group.bench_function(name, |b| {
            b.iter(|| {
                let (ours, theirs) = (Features::of(&subject, words), Features::all(many, words));
                let compared = compare_many(&ours, &theirs, words, &plain).expect("compared");
                let asked = Asked { subject: Some(&ours), years: None, feature: "", any_component: false };
                let spread = corpus(&theirs, asked, words);
                assert!(spread.features.iter().all(|f| f.place.as_ref().is_some_and(|p| p.percentile.is_some())));
                black_box((compared.len(), spread.features.len()))
            });
        });
    }
    group.finish();
}

criterion_group!(all, benches);
criterion_main!(all);
