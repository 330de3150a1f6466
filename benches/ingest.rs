//! How long one photograph takes to come in: read, hashed, decoded, view and thumbnail made.

use std::fs;
use std::io::BufWriter;

use criterion::{BatchSize, Criterion, Throughput, criterion_group, criterion_main};
use dimity::photograph::{Store, read_capture};
use image::{ImageFormat, RgbImage};

/// Twenty-four megapixels of something like cloth, as a camera writes it.
fn photograph() -> RgbImage {
    RgbImage::from_fn(6000, 4000, |x, y| {
        let thread = if (x / 4 + y / 4) % 2 == 0 { 40 } else { 0 };
        [(150 + thread + x * 7 % 13) as u8, (130 + thread + y * 5 % 11) as u8, (x / 40) as u8].into()
    })
}

fn ingest(c: &mut Criterion) {
    let dir = tempfile::tempdir().expect("a folder for the photographs");
    let path = dir.path().join("one.jpg");
    let mut out = BufWriter::new(fs::File::create(&path).expect("a file"));
    photograph().write_to(&mut out, ImageFormat::Jpeg).expect("written");
    drop(out);
    let bytes = fs::read(&path).expect("read");

    let mut group = c.benchmark_group("ingest");
    group.sample_size(10).throughput(Throughput::Bytes(bytes.len() as u64));
    group.bench_function("24 MP JPEG, new", |b| {
        b.iter_batched_ref(
            || tempfile::tempdir().expect("a folder"),
            |dir| Store::at(dir.path()).ingest(&path).expect("sound"),
            BatchSize::PerIteration,
        );
    });
    let store = Store::at(dir.path());
    store.ingest(&path).expect("sound");
    group.bench_function("24 MP JPEG, already there", |b| {
        b.iter(|| store.ingest(&path).expect("sound"));
    });
    let card: Vec<_> = (0..20)
        .map(|i| {
            let path = dir.path().join(format!("{i}.jpg"));
            // Bytes of its own for each: a comment segment after the start marker.
            let mut own = bytes[..2].to_vec();
            own.extend([0xff, 0xfe, 0, 3, i]);
            own.extend(&bytes[2..]);
            fs::write(&path, own).expect("written");
            path
        })
        .collect();
    group.throughput(Throughput::Elements(20));
    group.bench_function("20 photographs of 24 MP, all cores", |b| {
        b.iter_batched_ref(
            || tempfile::tempdir().expect("a folder"),
            |place| {
                let store = Store::at(place.path());
                store.ingest_all(&card, |_, result| drop(result.expect("taken in")));
            },
            BatchSize::PerIteration,
        );
    });
    group.bench_function("read capture data", |b| b.iter(|| read_capture(&bytes)));
    group.finish();
}

criterion_group!(benches, ingest);
criterion_main!(benches);
