//! Models of the ring, gone through with `--cfg loom`.
//!
//! Each goes through every order in which its threads may run and through every value that the memory model lets
//! a load give. That is a proof within its bounds only: rings of one or two slots, records of two words, up to
//! four records, one writer and one or two readers, and as many preemptions as stand at each model. loom knows
//! no loads from the future.
//!
//! With any one of the orderings in `ring.rs` weakened (either fence taken out, the `Release` store of
//! `published` or either of its `Acquire` loads made `Relaxed`), or the check of `reserved` taken out or one too
//! lenient, a model here fails.

use std::sync::Arc;
use std::sync::atomic::AtomicU64 as Count;

use loom::model::Builder;
use loom::thread::{self, JoinHandle};

use super::*;

const WORDS: usize = 2;
type Payload = [u32; WORDS];

/// A record whose second word follows from the first.
fn payload(index: u64) -> Payload {
    let word = index as u32;
    [word, 1000 + word]
}

/// How many preemptions a model goes through: all that there can be, or so many in a run.
const ALL: Option<usize> = None;

/// What has come out over all the runs of a model. Its counters are not modelled themselves.
#[derive(Default)]
struct Outcomes {
    runs: Count,
    given: Count,
    refused: Count,
}

impl Outcomes {
    /// Counts whether a reader was given what it asked for.
    fn note(&self, given: bool) {
        let count = if given { &self.given } else { &self.refused };
        count.fetch_add(1, Relaxed);
    }
}

/// Goes through a model, and makes sure that it met both a reader that was served and one that was not: without
/// that nothing was at stake.
fn model(preemptions: Option<usize>, run: impl Fn(&Outcomes) + Send + Sync + 'static) {
    let outcomes = Arc::new(Outcomes::default());
    let seen = Arc::clone(&outcomes);
    let mut builder = Builder::new();
    builder.preemption_bound = preemptions;
    builder.check(move || {
        seen.runs.fetch_add(1, Relaxed);
        run(&seen);
    });
    let count = |count: &Count| count.load(Relaxed);
    let (given, refused) = (count(&outcomes.given), count(&outcomes.refused));
    println!("{} runs, {given} times given, {refused} times refused", count(&outcomes.runs));
    assert!(given > 0 && refused > 0, "given {given} times, refused {refused} times");
}

fn write(mut writer: Writer<Payload, WORDS>, records: u64) -> JoinHandle<()> {
    thread::spawn(move || {
        for index in 0..records {
            writer.push(&payload(index));
        }
    })
}

/// Whoever reads one record gets it whole or not at all.
fn read(reader: &Reader<Payload, WORDS>, index: u64, outcomes: &Outcomes) -> bool {
    let record = reader.read(index);
    assert!(record.is_none() || record == Some(payload(index)), "{record:?} read as record {index}");
    outcomes.note(record.is_some());
    record.is_some()
}

#[test]
fn loom_no_torn_record_is_accepted_from_a_ring_of_one() {
    model(ALL, |outcomes| {
        let (writer, reader) = ring(1);
        let writing = write(writer, 3);
        read(&reader, 0, outcomes);
        read(&reader, 1, outcomes);
        writing.join().unwrap();
    });
}

#[test]
fn loom_no_torn_record_is_accepted_from_a_ring_of_two() {
    model(Some(3), |outcomes| {
        let (writer, reader) = ring(2);
        let writing = write(writer, 4);
        read(&reader, reader.oldest(), outcomes);
        read(&reader, 1, outcomes);
        writing.join().unwrap();
    });
}

#[test]
fn loom_two_readers_do_not_disturb_each_other() {
    model(Some(4), |outcomes| {
        let (writer, reader) = ring(1);
        let other = reader.clone();
        let writing = write(writer, 2);
        let reading = thread::spawn(move || other.read(0));
        read(&reader, 0, outcomes);
        let record = reading.join().unwrap();
        assert!(record.is_none() || record == Some(payload(0)));
        writing.join().unwrap();
    });
}

#[test]
fn loom_a_published_record_is_there_and_whole() {
    model(ALL, |outcomes| {
        let (writer, reader) = ring(2);
        let writing = write(writer, 2);
        let published = reader.published();
        for index in 0..2 {
            let given = read(&reader, index, outcomes);
            assert!(given || index >= published, "record {index} is published and nothing overwrites it");
        }
        writing.join().unwrap();
        assert!(read(&reader, 0, outcomes) && read(&reader, 1, outcomes));
    });
}

/// What the tape builds on: it writes down how the host has set the plugin up before it writes a reading of that time.
#[test]
fn loom_who_learns_of_a_record_finds_what_was_written_to_another_ring_before() {
    model(ALL, |outcomes| {
        let (mut first_writer, first) = ring(2);
        let (mut second_writer, second) = ring::<Payload, WORDS>(2);
        let writing = thread::spawn(move || {
            for index in 0..2 {
                first_writer.push(&payload(index));
                second_writer.push(&payload(index));
            }
        });
        let published = second.published();
        for index in 0..2 {
            let given = read(&first, index, outcomes);
            assert!(given || index >= published, "record {index} is in the second ring and not in the first");
        }
        writing.join().unwrap();
    });
}

#[test]
fn loom_the_newest_record_never_goes_back() {
    model(ALL, |outcomes| {
        let (writer, reader) = ring(1);
        let writing = write(writer, 2);
        let newest = || {
            let record = reader.latest();
            outcomes.note(record.is_some());
            let [index, _] = record?;
            assert_eq!(record, Some(payload(u64::from(index))));
            Some(index)
        };
        let first = newest();
        assert!(newest() >= first, "an older record after a newer one");
        writing.join().unwrap();
        assert_eq!(newest(), Some(1));
    });
}

/// What a follower that is overtaken gets, and what it counts as lost, is all that was written, each once.
fn overtaken(capacity: usize, records: u64, outcomes: &Outcomes) {
    let (writer, reader) = ring(capacity);
    let mut follower = reader.follow();
    let writing = write(writer, records);
    let mut got = 0;
    let mut poll = || {
        let record = follower.poll()?;
        got += 1;
        let index = follower.position() - 1;
        assert_eq!(record, payload(index));
        assert_eq!(got + follower.lost(), index + 1, "a record was neither read nor counted as lost");
        Some(index)
    };
    poll();
    poll();
    writing.join().unwrap();
    // All is written by now: what is kept is read to its end, and only what was overwritten is lost.
    while poll().is_some() {}
    assert_eq!(got + follower.lost(), records);
    assert!(follower.lost() <= records - capacity as u64, "a record that is still there was counted as lost");
    outcomes.note(follower.lost() == 0);
}

#[test]
fn loom_a_follower_counts_exactly_what_it_lost_in_a_ring_of_one() {
    model(Some(3), |outcomes| overtaken(1, 3, outcomes));
}

#[test]
fn loom_a_follower_counts_exactly_what_it_lost_in_a_ring_of_two() {
    model(Some(2), |outcomes| overtaken(2, 4, outcomes));
}
