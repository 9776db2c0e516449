//! A file's sound on its way to the audio thread: read on a thread of its own, some seconds ahead.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::thread;
use std::time::{Duration, Instant};

use candlemark_files::{FileInfo, SoundFile};
use rtrb::{Consumer, Producer, RingBuffer};

use crate::tally::Tally;
use crate::tell;
use crate::trouble::Trouble;

/// How far the reading may be ahead, in seconds.
const AHEAD_S: f64 = 2.0;
/// How often a reader that is far enough ahead looks again: often enough to stay so.
const PAUSE: Duration = Duration::from_millis(50);
/// The playing begins after this time, however slow the disk.
const PATIENCE: Duration = Duration::from_secs(5);
/// Rounds whose starts may lie ahead. Only sounds of a few milliseconds ever come near it.
const ROUNDS: usize = 64;

/// Left and right. A mono sound has the same in both.
type Frame = [f32; 2];

/// The near end: what the audio thread takes the sound from.
pub(crate) struct Song {
    frames: Consumer<Frame>,
    /// Where the rounds after the first begin, in frames of all rounds.
    starts: Consumer<u64>,
    /// Frames taken so far, of all rounds.
    taken_frames: u64,
    /// Where the present round began.
    round_start: u64,
}

/// What has been taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Taken {
    /// How many frames. They are of one round.
    pub(crate) frames: usize,
    /// Where in the file the first of them lies.
    pub(crate) from_frame: u64,
    /// When fewer came than were asked for, that is because the song is over.
    pub(crate) over: bool,
}

/// The far end.
struct Reader {
    path: PathBuf,
    frames: Producer<Frame>,
    starts: Producer<u64>,
    given_frames: u64,
    again: bool,
    tally: Arc<Tally>,
}

impl Song {
    /// Opens a file and begins to read it.
    pub(crate) fn open(path: &Path, again: bool, tally: &Arc<Tally>) -> Result<(Self, FileInfo), Trouble> {
        let file = SoundFile::open(path)?;
        let info = file.info();
        let (frames, frames_out) = RingBuffer::new((AHEAD_S * info.sample_rate.0) as usize);
        let (starts, starts_out) = RingBuffer::new(ROUNDS);
        let reader = Reader {
            path: path.to_owned(),
            frames,
            starts,
            given_frames: 0,
            again,
            tally: Arc::clone(tally),
        };
        let reading = thread::Builder::new().name("candlemark reader".into());
        reading.spawn(move || reader.read_all(file)).map_err(Trouble::NoThread)?;
        let song = Self { frames: frames_out, starts: starts_out, taken_frames: 0, round_start: 0 };
        song.wait_until_ahead();
        Ok((song, info))
    }

    fn wait_until_ahead(&self) {
        let begun = Instant::now();
        let enough = self.frames.buffer().capacity() / 2;
        let is_ahead = || {
            let all_rounds = self.starts.slots() == ROUNDS;
            self.frames.slots() >= enough || all_rounds || self.frames.is_abandoned()
        };
        while !is_ahead() && begun.elapsed() < PATIENCE {
            thread::sleep(Duration::from_millis(5));
        }
    }

    /// Takes as many frames as are asked for, are there, and belong to one round.
    ///
    /// # Realtime safety
    ///
    /// No allocation, no lock, no system call, no panic.
    pub(crate) fn take(&mut self, left: &mut [f32], right: &mut [f32]) -> Taken {
        // Asked first: what a reader that has gone has left behind is all there now.
        let reader_has_gone = self.frames.is_abandoned();
        let there = self.frames.slots();
        // A round's start lies in its ring before the first of its frames does.
        if there > 0 && self.starts.peek() == Ok(&self.taken_frames) {
            self.round_start = self.taken_frames;
            let _ = self.starts.pop();
        }
        let in_round = match self.starts.peek() {
            Ok(&start) => usize::try_from(start - self.taken_frames).unwrap_or(usize::MAX),
            Err(_) => usize::MAX,
        };
        let wanted = left.len().min(right.len());
        let frames = wanted.min(there).min(in_round);
        let from_frame = self.taken_frames - self.round_start;
        if let Ok(chunk) = self.frames.read_chunk(frames) {
            for ((left, right), frame) in left.iter_mut().zip(right).zip(chunk) {
                [*left, *right] = frame;
            }
        }
        self.taken_frames += frames as u64;
        Taken { frames, from_frame, over: reader_has_gone && frames == there }
    }
}

impl Reader {
    fn read_all(mut self, mut file: SoundFile) {
        loop {
            loop {
                match file.next_block() {
                    Ok(Some(block)) => {
                        let right = if block.right.is_empty() { block.left } else { block.right };
                        if !self.give(block.left, right) {
                            return;
                        }
                    }
                    Ok(None) => break,
                    // Told once for each file, at its end; what could be read has been given.
                    Err(error) => {
                        tell(&error);
                        self.tally.damage();
                        self.again = false;
                    }
                }
            }
            if !self.again || !self.begin_round() {
                return;
            }
            match SoundFile::open(&self.path) {
                Ok(anew) => file = anew,
                Err(error) => {
                    tell(&error);
                    return self.tally.damage();
                }
            }
        }
    }

    /// Marks that what comes now is a new round. False when nobody listens any more.
    fn begin_round(&mut self) -> bool {
        while self.starts.push(self.given_frames).is_err() {
            if self.starts.is_abandoned() {
                return false;
            }
            thread::sleep(PAUSE);
        }
        true
    }

    /// Puts sound into the ring as there is room. False when nobody listens any more.
    fn give(&mut self, left: &[f32], right: &[f32]) -> bool {
        let mut frames = left.iter().zip(right).map(|(left, right)| [*left, *right]);
        loop {
            let room = self.frames.slots().min(frames.len());
            if let Ok(chunk) = self.frames.write_chunk_uninit(room) {
                self.given_frames += chunk.fill_from_iter(&mut frames) as u64;
            }
            if frames.len() == 0 {
                return true;
            }
            if self.frames.is_abandoned() {
                return false;
            }
            thread::sleep(PAUSE);
        }
    }
}

#[cfg(test)]
mod tests;
