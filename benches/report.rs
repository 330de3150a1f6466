//! Rendering one condition report and one comparison sheet of the demo collection, photographs embedded.

use criterion::{Criterion, criterion_group, criterion_main};
use dimity::catalogue::{Catalogue, Clock};
use dimity::photograph::Store;
use dimity::report::{self, Settings, StorePictures};

fn reports(criterion: &mut Criterion) {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let place = folder.path().join("demo");
    dimity::demo::build(&place, Clock::System, &|_| ()).expect("the demo is built");
    let catalogue = Catalogue::open(&place, Clock::System).expect("the demo opens");
    let store = Store::at(&place);
    let settings = Settings {
        vocabulary: catalogue.vocabulary(),
        printed_on: jiff::civil::date(2026, 1, 1),
        collection: "",
        place: None,
        units: dimity::measure::System::Metric,
        pictures: &StorePictures::embedded(&store),
    };
    let spencer = catalogue.piece("2018.2").expect("the spencer");
    let copy = catalogue.piece("2023.R1").expect("its reconstruction");
    criterion.bench_function("condition report, read and rendered", |b| {
        b.iter(|| {
            let file = catalogue.piece("2018.2").expect("the spencer");
            report::condition(&file, None, &settings).expect("a report")
        });
    });
    criterion.bench_function("comparison sheet, rendered", |b| {
        b.iter(|| {
            report::comparison(&copy, std::slice::from_ref(&spencer), &report::Compared::default(), &settings)
                .expect("a sheet")
        });
    });
}

criterion_group! { name = benches; config = Criterion::default().sample_size(20); targets = reports }
criterion_main!(benches);
