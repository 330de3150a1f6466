//! How long the daily commands take on a catalogue of ten thousand pieces.

use std::hint::black_box;
use std::path::Path;
use std::time::Duration;

use criterion::{BatchSize, Criterion, criterion_group, criterion_main};
use dimity::catalogue::{Ask, Catalogue, Clock, Intent};
use dimity::exchange::entry;

const PIECES: usize = 10_000;

fn clock() -> Clock {
    Clock::Fixed(jiff::Timestamp::UNIX_EPOCH)
}

/// A sheet with a handful of observations.
fn sheet(number: &str, i: usize) -> String {
    let fibre = ["silk", "linen", "cotton", "wool"][i % 4];
    let garment = ["spencer", "stays", "gown", "petticoat"][i / 4 % 4];
    format!(
        "[piece]\nnumber = \"{number}\"\nnature = \"extant\"\nobject_name = \"{garment}\"\ngarment = \"{garment}\"\n\
         date = \"c. {}\"\ndescription = \"A {garment} of {fibre}, no. {i} of the invented store.\"\n\
         [[component]]\nname = \"left front\"\n[[component]]\nname = \"right front\"\n\
         [[move]]\nto = \"bay {}, shelf {}\"\n[examination]\ndate = 2031-03-02\nexaminer = \"Wren Askerdale\"\n\
         [[textile]]\nrole = \"shell\"\nfibres = [\"{fibre}\"]\nends = [\"48 in 1 in\", \"50 in 1 in\"]\n\
         [[measurement]]\ndimension = \"waist girth\"\nreadings = [\"{} cm\", \"{} cm\"]\n\
         [[condition]]\ndamage = \"tear\"\ncomponent = \"left front\"\nextent = \"{} mm\"\n[[overall]]\ngrade = \"good\"\n",
        1700 + i % 200,
        i % 9,
        i % 40,
        60 + i % 20,
        60 + i % 20,
        5 + i % 90,
    )
}

fn enter(catalogue: &mut Catalogue, number: &str, i: usize) {
    let intent = Intent { author: "Wren Askerdale".into(), ..Intent::default() };
    entry::enter(catalogue, sheet(number, i).as_bytes(), |_| intent).expect("the sheet is sound");
}

fn large(folder: &Path) {
    let mut catalogue = Catalogue::create(folder, clock()).expect("a new catalogue");
    for i in 0..PIECES {
        enter(&mut catalogue, &format!("{}.{}", 1900 + i / 100, i % 100), i);
    }
}

fn benches(criterion: &mut Criterion) {
    let folder = tempfile::tempdir().expect("a temporary folder");
    large(folder.path());
    let open = || Catalogue::open(folder.path(), clock()).expect("it opens");

    criterion.bench_function("open 10,000 pieces and read one", |b| {
        b.iter(|| black_box(open().piece("1950.50").expect("there")));
    });
    let catalogue = open();
    let find = |text| {
        let query = catalogue.query(text).expect("read");
        catalogue.find(&query, &Ask::default()).expect("found").lines.len()
    };
    criterion.bench_function("find two words in 10,000 pieces", |b| {
        b.iter(|| black_box(find("silk spencer")));
    });
    criterion.bench_function("find one piece in 10,000", |b| {
        b.iter(|| black_box(find("1950.50")));
    });
    criterion.bench_function("list 10,000 pieces", |b| b.iter(|| black_box(catalogue.list().expect("reads").len())));
    drop(catalogue);

    let mut catalogue = open();
    let mut round = 0;
    criterion.bench_function("enter 100 sheets into 10,000 pieces", |b| {
        b.iter_batched(
            || {
                round += 1;
                round
            },
            |round| (0..100).for_each(|i| enter(&mut catalogue, &format!("new {round}.{i}"), i)),
            BatchSize::PerIteration,
        );
    });
}

criterion_group! {
    name = catalogue;
    config = Criterion::default().sample_size(10).warm_up_time(Duration::from_millis(500)).measurement_time(Duration::from_secs(3));
    targets = benches
}
criterion_main!(catalogue);
