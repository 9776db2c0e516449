//! From an input's thread to an output's. The two run by clocks of their own, so there is a little in between.

use std::sync::Arc;

use rtrb::{Consumer, Producer, RingBuffer};

use crate::tally::Tally;

/// What the pipe holds at most, in seconds.
const HOLDS_S: f64 = 1.0;
/// What lies in it before the output begins to take, in seconds, to begin with. Each gap doubles it.
const HEAD_S: f64 = 0.05;

/// The input's end.
pub(crate) struct PipeIn {
    frames: Producer<[f32; 2]>,
    tally: Arc<Tally>,
}

/// The output's end.
pub(crate) struct PipeOut {
    frames: Consumer<[f32; 2]>,
    flows: bool,
    head_frames: usize,
    tally: Arc<Tally>,
}

/// Makes both ends.
pub(crate) fn pipe(sample_rate_hz: u32, tally: &Arc<Tally>) -> (PipeIn, PipeOut) {
    let frames_in = |seconds: f64| (seconds * f64::from(sample_rate_hz)) as usize;
    let (frames, out) = RingBuffer::new(frames_in(HOLDS_S));
    let far = PipeOut { frames: out, flows: false, head_frames: frames_in(HEAD_S), tally: Arc::clone(tally) };
    (PipeIn { frames, tally: Arc::clone(tally) }, far)
}

impl PipeIn {
    /// Puts sound in, as far as there is room; the rest is lost, and counted. Realtime safe.
    pub(crate) fn put(&mut self, left: &[f32], right: &[f32]) {
        let offered = left.len().min(right.len());
        let room = self.frames.slots().min(offered);
        if let Ok(chunk) = self.frames.write_chunk_uninit(room) {
            chunk.fill_from_iter(left.iter().zip(right).map(|(left, right)| [*left, *right]));
        }
        if room < offered {
            self.tally.lost((offered - room) as u64);
        }
    }
}

impl PipeOut {
    /// Fills both sides with what came in, or with silence where too little has come: a gap, once sound flows, and
    /// counted. Realtime safe.
    pub(crate) fn take(&mut self, left: &mut [f32], right: &mut [f32]) {
        let there = self.frames.slots();
        self.flows |= there >= self.head_frames;
        let wanted = left.len().min(right.len());
        let frames = if self.flows { there.min(wanted) } else { 0 };
        if let Ok(chunk) = self.frames.read_chunk(frames) {
            for ((left, right), frame) in left.iter_mut().zip(right.iter_mut()).zip(chunk) {
                [*left, *right] = frame;
            }
        }
        left[frames..].fill(0.0);
        right[frames..].fill(0.0);
        if self.flows && frames < wanted {
            self.tally.gap((wanted - frames) as u64);
            self.flows = false;
            self.head_frames = (2 * self.head_frames).min(self.frames.buffer().capacity() / 2);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const RATE_HZ: u32 = 1000;

    fn take(out: &mut PipeOut, frames: usize) -> Vec<f32> {
        let (mut left, mut right) = (vec![9.0; frames], vec![9.0; frames]);
        out.take(&mut left, &mut right);
        assert!(left.iter().zip(&right).all(|(left, right)| *right == -left));
        left
    }

    fn put(pipe: &mut PipeIn, samples: std::ops::Range<i32>) {
        let left: Vec<f32> = samples.map(|sample| sample as f32).collect();
        let right: Vec<f32> = left.iter().map(|sample| -sample).collect();
        pipe.put(&left, &right);
    }

    #[test]
    fn what_goes_in_comes_out_once_enough_lies_in_between() {
        let tally = Arc::new(Tally::default());
        let (mut near, mut far) = pipe(RATE_HZ, &tally);
        assert_eq!(take(&mut far, 10), [0.0; 10]);
        put(&mut near, 1..50);
        assert_eq!(take(&mut far, 2), [0.0, 0.0], "one frame short of the head");
        put(&mut near, 50..101);
        let out: Vec<f32> = [take(&mut far, 33), take(&mut far, 33), take(&mut far, 34)].concat();
        let expected: Vec<f32> = (1..=100).map(|sample| sample as f32).collect();
        assert_eq!(out, expected);
        assert_eq!(tally.lines(), [] as [&str; 0]);
    }

    #[test]
    fn a_gap_is_silence_and_is_counted_once_and_more_lies_in_between_afterwards() {
        let tally = Arc::new(Tally::default());
        let (mut near, mut far) = pipe(RATE_HZ, &tally);
        put(&mut near, 1..61);
        take(&mut far, 59);
        assert_eq!(take(&mut far, 3), [60.0, 0.0, 0.0]);
        assert_eq!(take(&mut far, 5), [0.0; 5], "no second gap while nothing flows");
        assert!(tally.lines()[0].contains("1 gaps, 2 frames"), "{:?}", tally.lines());
        put(&mut near, 1..100);
        assert_eq!(take(&mut far, 1), [0.0], "99 are fewer than the doubled head");
        put(&mut near, 100..101);
        assert_eq!(take(&mut far, 1), [1.0]);
    }

    #[test]
    fn an_output_that_never_takes_loses_what_does_not_fit() {
        let tally = Arc::new(Tally::default());
        let (mut near, _far) = pipe(RATE_HZ, &tally);
        put(&mut near, 0..1007);
        assert!(tally.lines()[0].starts_with("7 frames"), "{:?}", tally.lines());
    }
}
