//! A ring of records: one writer that never waits, any number of readers that never get a torn record.
//!
//! The writer counts a record in `reserved` before it touches the record's words, and in `published` after.
//! A reader copies the words first and looks at `reserved` afterwards: when the writer has meanwhile begun
//! the record that shares the slot, the copy is thrown away. Both counters number the records from the
//! ring's making and never wrap (ten records a second fill 64 bits in 58 thousand million years), so there is no
//! sequence number a slot, and no way to mistake one lap for another.

use std::marker::PhantomData;
use std::sync::Arc;
use std::sync::atomic::Ordering::{Acquire, Relaxed, Release};

use crossbeam::utils::CachePadded;

use crate::atomics::{AtomicU32, AtomicU64, fence, spin_loop};

/// What can be kept in a ring: a record of exactly `W` words.
pub trait Record<const W: usize> {
    /// The record as words.
    ///
    /// # Realtime safety
    ///
    /// Called on the writer's thread: it must not allocate, lock, wait or panic.
    fn to_words(&self) -> [u32; W];

    /// The record that [`Record::to_words`] made these words of.
    fn from_words(words: &[u32; W]) -> Self;
}

/// The words of the slots before anything is written. Not zero: memory that is asked for as zeroes may be
/// given only as a promise, and the audio thread would then pay for each page with a system call at its first
/// write.
const BLANK: u32 = 0xA5A5_A5A5;

/// What writer and readers share.
struct Shared<const W: usize> {
    /// `capacity` slots of `W` words, one after the other.
    words: Box<[AtomicU32]>,
    /// How many records fit; at least 1.
    capacity: u64,
    /// Records that the writer has begun to write, `published` or one more.
    reserved: CachePadded<AtomicU64>,
    /// Records that the writer has written whole.
    published: CachePadded<AtomicU64>,
}

impl<const W: usize> Shared<W> {
    fn slot(&self, index: u64) -> &[AtomicU32] {
        let start = (index % self.capacity) as usize * W;
        self.words.get(start..start + W).unwrap_or(&[])
    }
}

/// Makes a ring that keeps the last `capacity` records (at least one) of `W` words.
///
/// The capacity is kept as it is: a power of two would nearly double the memory of a four-hour ring and save
/// one division a record.
pub fn ring<R: Record<W>, const W: usize>(capacity: usize) -> (Writer<R, W>, Reader<R, W>) {
    let capacity = capacity.max(1);
    let shared = Arc::new(Shared {
        words: (0..capacity * W).map(|_| AtomicU32::new(BLANK)).collect(),
        capacity: capacity as u64,
        reserved: CachePadded::new(AtomicU64::new(0)),
        published: CachePadded::new(AtomicU64::new(0)),
    });
    (
        Writer { shared: Arc::clone(&shared), next: 0, record: PhantomData },
        Reader { shared, record: PhantomData },
    )
}

/// The one end that writes. It cannot be cloned: two writers would tear each other's records.
///
/// ```compile_fail
/// let (writer, _) = candlemark_handoff::ring::ring::<[u32; 1], 1>(4);
/// let second = writer.clone();
/// ```
///
/// Nor can it be shared between threads while it writes:
///
/// ```compile_fail
/// let (writer, _) = candlemark_handoff::ring::ring::<[u32; 1], 1>(4);
/// let shared = &writer;
/// shared.push(&[1]);
/// ```
pub struct Writer<R, const W: usize> {
    shared: Arc<Shared<W>>,
    /// Index of the record to be written next; always equal to `shared.published` between pushes.
    next: u64,
    record: PhantomData<fn(R)>,
}

impl<R: Record<W>, const W: usize> Writer<R, W> {
    /// Writes a record over the oldest.
    ///
    /// # Realtime safety
    ///
    /// `W` + 2 stores and a fence: no lock, no allocation, no system call, no loop that anyone can prolong.
    pub fn push(&mut self, record: &R) {
        let words = record.to_words();
        let shared = &*self.shared;
        let count = self.next + 1;

        // Relaxed: the fence below is what puts it before the words.
        shared.reserved.store(count, Relaxed);
        // Release: whoever reads one of the words stored below and then passes an acquire fence also sees
        // the `reserved` above (release fence, relaxed store, relaxed load, acquire fence synchronise).
        fence(Release);
        for (slot, word) in shared.slot(self.next).iter().zip(words) {
            // Relaxed: ordered by the fence above and by the store below.
            slot.store(word, Relaxed);
        }
        // Release: whoever acquires this count sees all the words above.
        shared.published.store(count, Release);

        self.next = count;
    }
}

/// An end that reads. Clone it for each reader.
pub struct Reader<R, const W: usize> {
    shared: Arc<Shared<W>>,
    record: PhantomData<fn() -> R>,
}

impl<R, const W: usize> Clone for Reader<R, W> {
    fn clone(&self) -> Self {
        Self { shared: Arc::clone(&self.shared), record: PhantomData }
    }
}

impl<R: Record<W>, const W: usize> Reader<R, W> {
    /// How many records have been written since the ring was made. The newest has this index less one.
    pub fn published(&self) -> u64 {
        // Acquire: whoever has learned of a record here finds it, and what was written to another ring before it.
        self.shared.published.load(Acquire)
    }

    /// Index of the oldest record that can still be read; equal to [`Reader::published`] while there is
    /// none. The writer may overwrite it at any moment.
    pub fn oldest(&self) -> u64 {
        // Relaxed: it only says where reading is worth trying; `read` decides.
        self.shared.reserved.load(Relaxed).saturating_sub(self.shared.capacity)
    }

    /// Bytes that the ring's records take.
    pub fn bytes(&self) -> usize {
        size_of_val(&*self.shared.words)
    }

    /// The record with the index `index`; `None` when it is not written yet or is overwritten.
    pub fn read(&self, index: u64) -> Option<R> {
        let shared = &*self.shared;
        // Acquire: with the Release in `push` it makes every word of a published record visible, so that
        // none of the words copied below can be older than record `index`.
        if index >= shared.published.load(Acquire) {
            return None;
        }
        let mut words = [0; W];
        for (word, slot) in words.iter_mut().zip(shared.slot(index)) {
            // Relaxed: ordered by the load above and by the fence below. A word of a later record may be
            // copied; the check below then refuses the whole.
            *word = slot.load(Relaxed);
        }
        // Acquire: if a word above was of a later record, the `reserved` that the writer stored before it is
        // seen below (see the release fence in `push`).
        fence(Acquire);
        // Relaxed: the fence above is what puts it after the words.
        let reserved = shared.reserved.load(Relaxed);
        // The next record in this slot is `index + capacity`; it has been begun when `reserved` is more than
        // that.
        (reserved <= index + shared.capacity).then(|| R::from_words(&words))
    }

    /// The newest record; `None` while there is none.
    pub fn latest(&self) -> Option<R> {
        loop {
            let index = self.published().checked_sub(1)?;
            // It fails only when the writer has gone round the whole ring in between.
            if let Some(record) = self.read(index) {
                return Some(record);
            }
            spin_loop();
        }
    }

    /// A reader that goes through the records in order, from the oldest that is still there.
    pub fn follow(&self) -> Follower<R, W> {
        Follower { next: self.oldest(), reader: self.clone(), lost: 0 }
    }
}

/// Reads one record after the other and knows what it has missed.
pub struct Follower<R, const W: usize> {
    reader: Reader<R, W>,
    /// Index of the record to be read next.
    next: u64,
    lost: u64,
}

impl<R: Record<W>, const W: usize> Follower<R, W> {
    /// The next record; `None` when there is no newer one yet. Records that were overwritten before they
    /// could be read are passed over and counted in [`Follower::lost`].
    pub fn poll(&mut self) -> Option<R> {
        while self.next < self.reader.published() {
            let index = self.next;
            if let Some(record) = self.reader.read(index) {
                self.next = index + 1;
                return Some(record);
            }
            // At least one further, should the writer not have been seen to begin the next lap yet.
            self.next = self.reader.oldest().max(index + 1);
            self.lost += self.next - index;
        }
        None
    }

    /// Index of the record that [`Follower::poll`] gives next, if it is still there then.
    pub fn position(&self) -> u64 {
        self.next
    }

    /// How many records were overwritten before this follower could read them.
    pub fn lost(&self) -> u64 {
        self.lost
    }
}

impl<const W: usize> Record<W> for [u32; W] {
    fn to_words(&self) -> [u32; W] {
        *self
    }

    fn from_words(words: &[u32; W]) -> Self {
        *words
    }
}

#[cfg(all(test, loom))]
mod loom_models;
#[cfg(all(test, not(loom)))]
mod tests;
