//! The tape and the orders under the hammer: a writer as fast as it can, several readers of every kind beside it, and
//! every field of what they read worked out again from one number. `cargo xtask trial hammer` runs this with checks of
//! every address and of every race, where the loom models (`src`) try every order of a few steps.

#![cfg(not(loom))]

mod numbers;

use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::thread;

use candlemark_analysis::{Cell, Channels, Hertz, Reading, Sink as _};
use candlemark_handoff::ring::Record as _;
use candlemark_handoff::{
    Audition, CellFollower, Gain, ReadingFollower, Tape, TapeReader, TapedCell, TapedReading, orders,
};

use numbers::Numbers;

/// Readings that are written (ours): two hundred times round the ring of whole readings.
const READINGS: u64 = 100_000;
/// A cell for so many readings, as in music; a thousand readings and the host sets the plugin up anew.
const READINGS_A_CELL: u64 = 10;
const READINGS_AN_ACTIVATION: u64 = 1000;
/// What each of the senders orders.
const ORDERS: u64 = 20_000;
const SENDERS: u64 = 3;

/// A reading that follows from its number, outside of any pass, whose number on the tape would depend on what came before.
fn reading(index: u64) -> Reading {
    let mut reading = Numbers(index).reading();
    reading.place.pass = 0;
    reading
}

/// The same of a cell.
fn cell(index: u64) -> Cell {
    let mut cell = Numbers(!index).cell();
    cell.place.pass = 0;
    cell
}

/// The sample rate of an activation: what is read of one says which it was.
fn rate(activation: u32) -> Hertz {
    Hertz(f64::from(8000 + activation))
}

fn activation_of(reading: u64) -> u32 {
    (reading / READINGS_AN_ACTIVATION) as u32 + 1
}

#[track_caller]
fn check_reading(index: u64, read: &TapedReading) {
    let number = activation_of(index);
    assert_eq!(read.reading, reading(index), "reading {index}");
    assert_eq!((read.activation.number, read.activation.sample_rate), (number, rate(number)), "of {index}");
}

#[track_caller]
fn check_cell(index: u64, read: &TapedCell) {
    let activation = activation_of(index * READINGS_A_CELL) as u16;
    let whole = TapedCell { activation, cell: cell(index) };
    assert_eq!(*read, TapedCell::from_words(&whole.to_words()), "cell {index}");
}

/// Follows both rings to the end; how many records of each were read, and how many came too late.
fn follow(mut readings: ReadingFollower, mut cells: CellFollower, done: &AtomicBool) -> [(u64, u64); 2] {
    let mut seen = [0; 2];
    loop {
        let last = done.load(Ordering::Acquire);
        while let Some(read) = readings.poll() {
            check_reading(readings.position() - 1, &read);
            seen[0] += 1;
        }
        while let Some(read) = cells.poll() {
            check_cell(cells.position() - 1, &read);
            seen[1] += 1;
        }
        if last {
            return [(seen[0], readings.lost()), (seen[1], cells.lost())];
        }
        thread::yield_now();
    }
}

/// Reads where the writer is just then: the newest records and those that are overwritten next. How many were whole.
fn read_at_the_edges(tape: &TapeReader, done: &AtomicBool) -> u64 {
    let mut whole = 0;
    loop {
        let last = done.load(Ordering::Acquire);
        for index in [tape.readings.oldest(), tape.readings.published().saturating_sub(1)] {
            if let Some(read) = tape.readings.read(index) {
                check_reading(index, &read);
                whole += 1;
            }
        }
        if let Some(activation) = tape.activation() {
            assert_eq!(activation.sample_rate, rate(activation.number), "an activation");
        }
        if last {
            return whole;
        }
    }
}

#[test]
fn whatever_several_readers_take_off_the_tape_is_what_was_written() {
    let (mut writer, tape) = Tape::new();
    let done = AtomicBool::new(false);
    let ready = std::sync::Barrier::new(5);
    thread::scope(|scope| {
        let followers: Vec<_> = (0..2)
            .map(|_| {
                let (readings, cells) = (tape.readings.follow(), tape.cells.follow());
                let (done, ready) = (&done, &ready);
                scope.spawn(move || {
                    ready.wait();
                    follow(readings, cells, done)
                })
            })
            .collect();
        let at_edges: Vec<_> = (0..2)
            .map(|_| {
                let (tape, done, ready) = (tape.clone(), &done, &ready);
                scope.spawn(move || {
                    ready.wait();
                    read_at_the_edges(&tape, done)
                })
            })
            .collect();
        ready.wait();
        let mut bursts = Numbers(0);
        for index in 0..READINGS {
            if index % READINGS_AN_ACTIVATION == 0 {
                writer.activate(rate(activation_of(index)), Channels::Stereo);
            }
            if index % READINGS_A_CELL == 0 {
                writer.cell(&cell(index / READINGS_A_CELL));
            }
            writer.reading(&reading(index));
            // Where threads take turns, the others get theirs: now often, now after the ring was written over.
            let every = if index / 5000 % 2 == 0 { 64 } else { 4096 };
            if bursts.bits().is_multiple_of(every) {
                thread::yield_now();
            }
        }
        done.store(true, Ordering::Release);
        for follower in followers {
            let [readings, cells] = follower.join().expect("the follower ends well");
            println!("followed (and too late): {readings:?} readings, {cells:?} cells");
            for ((seen, lost), written) in [(readings, READINGS), (cells, READINGS / READINGS_A_CELL)] {
                assert!(seen > 0, "nothing was read");
                assert_eq!(seen + lost, written, "{seen} were read, {lost} came too late");
            }
            // Four hours are kept of these, which is more than was written.
            assert_eq!(cells.1, 0, "nothing of four hours comes too late");
        }
        for reader in at_edges {
            let whole = reader.join().expect("the reader ends well");
            println!("read at the edges: {whole}");
            assert!(whole > 0, "nothing was read");
        }
    });
    assert_eq!(tape.readings.published(), READINGS);
    check_reading(READINGS - 1, &tape.readings.latest().expect("there are readings"));
}

/// A level match that tells its audition: no two have one in common.
fn gain_of(audition: Audition, number: u64) -> Gain {
    let place = Audition::ALL.iter().position(|one| *one == audition).expect("it is one of them");
    Gain::of_amplitude(0.25 + place as f32 / 32.0 + (number % 8) as f32 / 512.0)
}

/// Whether it is always latched, else always held: that of an order tells whether it is of one piece.
fn is_latched(audition: Audition) -> bool {
    matches!(audition, Audition::MonoBoth | Audition::Difference | Audition::NoiseRightSpeaker)
}

fn is_a_gain_of(audition: Audition, gain: Gain) -> bool {
    (0..8).any(|number| gain_of(audition, number) == gain)
}

#[test]
fn whatever_orders_several_senders_give_none_is_mixed_with_another() {
    let (sender, mut receiver) = orders();
    for audition in Audition::ALL {
        sender.match_level(audition, gain_of(audition, 0));
    }
    let at_work = AtomicU64::new(SENDERS);
    let (polls, numbers, resets) = thread::scope(|scope| {
        for which in 0..SENDERS {
            let (sender, at_work) = (sender.clone(), &at_work);
            scope.spawn(move || {
                let mut numbers = Numbers(which);
                for number in 0..ORDERS {
                    let audition = Audition::ALL[numbers.bits() as usize % Audition::ALL.len()];
                    sender.match_level(audition, gain_of(audition, number));
                    sender.beat();
                    if audition == Audition::Off {
                        sender.let_go();
                    } else if is_latched(audition) {
                        sender.latch(audition);
                    } else {
                        sender.hold(audition);
                    }
                    sender.reset_pass();
                    sender.pause(number % 2 == 1);
                    assert!(is_a_gain_of(audition, sender.matched(audition)), "{audition:?} has another's");
                    assert!(Audition::ALL.contains(&sender.sounding()), "it says what sounds");
                    if number % 16 == 0 {
                        thread::yield_now();
                    }
                }
                at_work.fetch_sub(1, Ordering::Release);
            });
        }
        let (mut polls, mut last_number, mut resets, mut numbers) = (0u64, 0, 0, 0u64);
        let mut beaten = false;
        loop {
            let over = at_work.load(Ordering::Acquire) == 0;
            let orders = receiver.poll();
            let order = orders.audition;
            beaten |= orders.beat;
            assert!(order.number >= last_number, "order {} came after {last_number}", order.number);
            if order.number > last_number {
                numbers += 1;
                assert!(beaten, "an order came before the heartbeat that was before it");
            }
            last_number = order.number;
            assert!(
                is_a_gain_of(order.audition, orders.gain),
                "{:?} at another's gain {:?}",
                order.audition,
                orders.gain
            );
            // The noise needs a hand: latched, nothing is played.
            assert_ne!(order.audition, Audition::NoiseRightSpeaker, "noise without a hand");
            assert_eq!(order.latched, is_latched(order.audition), "{order:?} was never ordered");
            receiver.tell(order.audition);
            resets += orders.pass_resets;
            polls += 1;
            if over {
                assert_eq!(last_number, SENDERS * ORDERS, "every order was counted");
                assert!(orders.paused, "each sender's last word");
                return (polls, numbers, resets);
            }
        }
    });
    println!("{polls} polls saw {numbers} of {} orders", SENDERS * ORDERS);
    assert_eq!(resets, SENDERS * ORDERS, "no order to begin anew is lost or told twice");
}
