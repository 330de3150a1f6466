//! Sets of pieces as the index keeps them.

use std::collections::BTreeSet;

use proptest::prelude::*;
use rusqlite::Connection;

use super::super::open::finding_tables;
use super::index::{EVERY, FoundBy, Index};
use super::leaves::under;
use super::pieces::{Part, Pieces};
use crate::record::PieceFile;

/// A set read back from its parts.
fn again(parts: &[(i64, Vec<u8>)]) -> Pieces {
    let mut all = Pieces::default();
    parts.iter().for_each(|(part, kept)| all.add_part(*part, kept));
    all
}

proptest! {
    #[test]
    fn a_part_comes_back_as_it_was_kept(places in prop::collection::btree_set(0..4096i64, 0..600), part in 0..40i64) {
        let mut set = Part::default();
        places.iter().for_each(|place| set.set(part * 4096 + place, true));
        let kept = set.kept();
        prop_assert_eq!(kept.is_none(), places.is_empty());
        let kept = kept.unwrap_or_default();
        prop_assert_eq!(kept.len(), (places.len() * 2).min(512));
        prop_assert_eq!(&Part::read(&kept), &set);
        let ids: Vec<i64> = places.iter().map(|place| part * 4096 + place).collect();
        prop_assert_eq!(again(&[(part, kept)]).iter().collect::<Vec<_>>(), ids);
        places.iter().for_each(|place| set.set(part * 4096 + place, false));
        prop_assert_eq!(set.kept(), None);
    }

    #[test]
    fn no_bytes_are_too_strange_for_a_part(part in any::<i64>(), kept in prop::collection::vec(any::<u8>(), 0..600)) {
        let set = again(&[(part, kept.clone())]);
        prop_assert!(set.bytes() <= (1 << 28) / 8);
        // What is kept of them is kept from then on.
        let read = Part::read(&kept);
        prop_assert_eq!(Part::read(&read.kept().unwrap_or_default()), read);
    }

    #[test]
    fn pieces_put_in_and_taken_out_in_any_order_leave_the_sets_of_those_that_stayed(
        steps in prop::collection::vec((prop::sample::select(vec![1, 2, 4095, 4096, 4097, 8191, 8192, 90_000]), any::<bool>()), 0..40),
        apart in any::<bool>(),
    ) {
        let db = Connection::open_in_memory().expect("a database");
        finding_tables().expect("the tables").iter().for_each(|made| db.execute_batch(made).expect("made"));
        let blank = FoundBy::of_new(&PieceFile::default(), None);
        let mut there = BTreeSet::new();
        let mut step = |index: &mut Index<'_>, (piece, stays): (i64, bool)| {
            index.forget(piece)?;
            there.remove(&piece);
            if stays {
                there.insert(piece);
                index.put(piece, &blank)?;
            }
            Ok(())
        };
        if apart {
            steps.iter().try_for_each(|one| Index::over(&db, |index| step(index, *one))).expect("written");
        } else {
            Index::over(&db, |index| steps.iter().try_for_each(|one| step(index, *one))).expect("written");
        }
        let found: BTreeSet<i64> = under(&db, EVERY).expect("read").iter().collect();
        prop_assert_eq!(&found, &there);
        let parts = there.iter().map(|piece| piece / 4096).collect::<BTreeSet<_>>();
        let rows: usize = db
            .query_row("SELECT count(*) FROM found_under u JOIN found_word w ON w.id = u.word_id WHERE w.word = ?", [EVERY], |r| r.get::<_, i64>(0))
            .expect("counted") as usize;
        prop_assert_eq!(rows, parts.len(), "no row is left of a part in which nothing is");
    }
}

#[test]
fn few_take_two_bytes_each_and_many_a_bit() {
    let of = |count: i64| {
        let mut part = Part::default();
        (0..count).for_each(|place| part.set(place * 16, true));
        part.kept().map(|kept| kept.len())
    };
    assert_eq!([of(0), of(1), of(255), of(256)], [None, Some(2), Some(510), Some(512)]);
}

#[test]
fn how_many_are_in_both_of_two_sets_is_counted_where_one_is_longer() {
    let set = |ids: &[i64]| {
        let mut set = Pieces::default();
        ids.iter().for_each(|id| set.add(*id));
        set
    };
    let (short, long) = (set(&[1, 63, 64]), set(&[1, 64, 5000]));
    assert_eq!((short.count_with(&long), long.count_with(&short), set(&[]).count_with(&long)), (2, 2, 0));
}
