use std::sync::atomic::AtomicBool;
use std::thread;

use super::*;

const WORDS: usize = 48;

/// A record that shows by itself whether it is whole: every word follows from the first two, the index.
fn payload(index: u64) -> [u32; WORDS] {
    let mut words = [0; WORDS];
    words[0] = index as u32;
    words[1] = (index >> 32) as u32;
    for (i, word) in (0u64..).zip(&mut words[2..]) {
        let mixed = (index + 1)
            .wrapping_mul(0x9E37_79B9_7F4A_7C15)
            .wrapping_add(i.wrapping_mul(0xD1B5_4A32_D192_ED03));
        *word = (mixed ^ (mixed >> 29)) as u32;
    }
    words
}

fn filled(capacity: usize, records: u64) -> (Writer<[u32; WORDS], WORDS>, Reader<[u32; WORDS], WORDS>) {
    let (mut writer, reader) = ring(capacity);
    for index in 0..records {
        writer.push(&payload(index));
    }
    (writer, reader)
}

#[test]
fn an_empty_ring_gives_nothing() {
    let (_writer, reader) = filled(4, 0);
    assert_eq!((reader.published(), reader.oldest()), (0, 0));
    assert!(reader.latest().is_none());
    assert!(reader.read(0).is_none());
    assert!(reader.read(u64::MAX).is_none());
    assert!(reader.follow().poll().is_none());
}

#[test]
fn the_last_records_are_kept_at_least_one_and_the_others_refused() {
    for capacity in [0, 1, 3, 4, 7] {
        for records in 1..40 {
            let (_writer, reader) = filled(capacity, records);
            let oldest = records.saturating_sub(capacity.max(1) as u64);
            assert_eq!((reader.published(), reader.oldest()), (records, oldest));
            assert_eq!(reader.latest(), Some(payload(records - 1)));
            for index in 0..records + 3 {
                let expected = (oldest..records).contains(&index).then(|| payload(index));
                assert_eq!(reader.read(index), expected, "record {index} of {records} in {capacity} slots");
            }
        }
    }
}

#[test]
fn a_follower_gets_every_record_once_and_counts_what_it_missed() {
    let (mut writer, reader) = filled(8, 5);
    let mut follower = reader.follow();
    for index in 0..5 {
        assert_eq!(follower.poll(), Some(payload(index)));
    }
    assert_eq!((follower.poll(), follower.lost()), (None, 0));

    for index in 5..30 {
        writer.push(&payload(index));
    }
    // 25 were written, 8 are kept.
    for index in 22..30 {
        assert_eq!(follower.poll(), Some(payload(index)));
    }
    assert_eq!((follower.poll(), follower.lost(), follower.position()), (None, 17, 30));

    // Who comes later has missed nothing: it was not there.
    assert_eq!(reader.follow().lost(), 0);
}

#[test]
fn the_readers_outlive_the_writer() {
    let (writer, reader) = filled(4, 4);
    drop(writer);
    assert_eq!(reader.latest(), Some(payload(3)));
}

/// What one reading thread saw.
#[derive(Default)]
struct Seen {
    whole: u64,
    refused: u64,
    torn: u64,
    out_of_order: u64,
}

/// The writer goes round rings of a few slots as fast as it can, while two threads read the slots that it is
/// about to overwrite. Every record that is accepted must be whole and be the one that was asked for. (With
/// the check of `reserved` in `Reader::read` taken out, this test finds torn records in every run.)
#[test]
fn no_torn_record_is_accepted() {
    const RECORDS: u64 = 1_000_000;
    for capacity in [1, 2, 5] {
        let (mut writer, reader) = ring::<[u32; WORDS], WORDS>(capacity);
        let done = AtomicBool::new(false);
        let read_on = |newest: bool| {
            let mut seen = Seen::default();
            while !done.load(Relaxed) {
                let published = reader.published();
                let index = if newest { published.saturating_sub(1) } else { reader.oldest() };
                match reader.read(index) {
                    Some(record) if record == payload(index) => seen.whole += 1,
                    Some(_) => seen.torn += 1,
                    None if published > 0 => seen.refused += 1,
                    None => {}
                }
            }
            seen
        };
        let mut follower = reader.follow();
        let follow = || {
            let mut seen = Seen::default();
            let mut expected = 0;
            loop {
                let last = done.load(Acquire);
                while let Some(record) = follower.poll() {
                    let index = follower.position() - 1;
                    seen.whole += 1;
                    seen.torn += u64::from(record != payload(index));
                    seen.out_of_order += u64::from(index < expected);
                    expected = index + 1;
                }
                if last {
                    break;
                }
            }
            seen.refused = follower.lost();
            seen
        };

        let (newest, oldest, followed) = thread::scope(|scope| {
            let newest = scope.spawn(|| read_on(true));
            let oldest = scope.spawn(|| read_on(false));
            let followed = scope.spawn(follow);
            for index in 0..RECORDS {
                writer.push(&payload(index));
            }
            done.store(true, Release);
            (newest.join().unwrap(), oldest.join().unwrap(), followed.join().unwrap())
        });

        assert_eq!(
            (newest.torn, oldest.torn, followed.torn),
            (0, 0, 0),
            "torn records with {capacity} slots"
        );
        assert_eq!(followed.out_of_order, 0);
        assert_eq!(
            followed.whole + followed.refused,
            RECORDS,
            "every record is either read or counted as lost"
        );
        // The threads really met: without a refusal nothing was at stake.
        assert!(newest.refused + oldest.refused + followed.refused > 0);
        assert!(newest.whole + oldest.whole + followed.whole > 0);
    }
}
