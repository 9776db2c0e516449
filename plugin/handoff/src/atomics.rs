//! The atomic types of this room: the processor's own, or with `--cfg loom` the modelled ones, whose every
//! permitted order a model goes through.

#[cfg(not(loom))]
mod chosen {
    pub(crate) use std::hint::spin_loop;
    pub(crate) use std::sync::atomic::{AtomicBool, AtomicU32, AtomicU64, fence};

    pub(crate) use atomic_float::AtomicF32;
}

#[cfg(loom)]
mod chosen {
    use std::sync::atomic::Ordering;

    pub(crate) use loom::hint::spin_loop;
    pub(crate) use loom::sync::atomic::{AtomicBool, AtomicU32, AtomicU64, fence};

    /// What `atomic_float` is over the processor's atomics, over the modelled ones.
    #[derive(Debug)]
    pub(crate) struct AtomicF32(AtomicU32);

    impl AtomicF32 {
        pub(crate) fn new(value: f32) -> Self {
            Self(AtomicU32::new(value.to_bits()))
        }

        pub(crate) fn load(&self, order: Ordering) -> f32 {
            f32::from_bits(self.0.load(order))
        }

        pub(crate) fn store(&self, value: f32, order: Ordering) {
            self.0.store(value.to_bits(), order);
        }
    }
}

pub(crate) use chosen::*;
