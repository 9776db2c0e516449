//! A sound file as a host plays it: in blocks, with a transport, and in its own time or faster.

use std::path::Path;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread::sleep;
use std::time::{Duration, Instant};

use candlemark_files::{FileError, SoundFile};
use candlemark_tests::clap_host::{Block, Playback, playing_at};
use clack_host::events::event_types::{TransportEvent, TransportFlags};

/// Frames of a block.
const BLOCK: usize = 512;
/// At the end playback jumps back to this share of the sound (in a song, the last chorus), and goes on for so many seconds:
/// the meter is left in the middle of something.
const BACK_TO_SHARE: f64 = 0.75;
const ONCE_MORE_S: f64 = 6.0;

/// How a sound is played.
#[derive(Clone, Copy)]
pub(crate) struct Manner {
    /// So many times as fast as time.
    pub(crate) pace: f64,
    /// How often.
    pub(crate) rounds: usize,
    /// Quarter notes a minute, where they are known.
    pub(crate) tempo_bpm: Option<f64>,
}

/// A file that is being played.
pub(crate) struct Player<'a> {
    path: &'a Path,
    manner: Manner,
    stop: &'a AtomicBool,
    file: Option<SoundFile>,
    pub(crate) rate_hz: f64,
    /// Sound that was read and not played yet.
    waiting: Vec<Vec<f32>>,
    /// Where playback is, and where it is to stop, in frames.
    at_frame: usize,
    until_frame: usize,
    begun: Option<Instant>,
    /// What has come of it so far.
    pub(crate) played: Played,
}

/// What came of it.
#[derive(Default)]
pub(crate) struct Played {
    /// How often it was played to its end.
    pub(crate) rounds: usize,
    /// Frames of the sound.
    pub(crate) whole_frames: usize,
    /// Frames that were played, in all.
    pub(crate) frames: usize,
    /// Where the block begins that first did not come out as it went in, in frames that were played.
    pub(crate) changed_at: Option<usize>,
    /// What is wrong with the file.
    pub(crate) troubles: Vec<FileError>,
}

impl<'a> Player<'a> {
    /// # Errors
    ///
    /// Nothing of the file can be read.
    pub(crate) fn new(path: &'a Path, manner: Manner, stop: &'a AtomicBool) -> Result<Self, FileError> {
        let file = SoundFile::open(path)?;
        let info = file.info();
        Ok(Self {
            path,
            manner,
            stop,
            rate_hz: info.sample_rate.0,
            waiting: vec![Vec::new(); info.channels.count()],
            file: Some(file),
            at_frame: 0,
            until_frame: usize::MAX,
            begun: None,
            played: Played::default(),
        })
    }

    pub(crate) fn channels(&self) -> usize {
        self.waiting.len()
    }

    /// Reads until a block waits, or there is no more.
    fn read(&mut self) {
        while self.waiting[0].len() < BLOCK {
            let Some(file) = &mut self.file else { return };
            match file.next_block() {
                Ok(Some(block)) => {
                    // After a jump, what lies before is read and not played.
                    let skipped = self.at_frame.saturating_sub(block.frame as usize).min(block.left.len());
                    for (waiting, sound) in self.waiting.iter_mut().zip([block.left, block.right]) {
                        waiting.extend_from_slice(&sound[skipped..]);
                    }
                }
                Ok(None) => self.file = None,
                // It is the same in every round.
                Err(trouble) if self.played.rounds == 0 => self.played.troubles.push(trouble),
                Err(_) => {}
            }
        }
    }

    /// Goes on after an end: from the start in the next round, and at last from where it is worth hearing once more.
    fn goes_on(&mut self) -> bool {
        let is_over = self.until_frame < usize::MAX;
        if is_over {
            return false;
        }
        self.played.rounds += 1;
        self.played.whole_frames = self.at_frame;
        self.at_frame = 0;
        if self.played.rounds == self.manner.rounds {
            self.at_frame = (self.played.whole_frames as f64 * BACK_TO_SHARE) as usize;
            self.until_frame = self.at_frame + (ONCE_MORE_S * self.rate_hz) as usize;
        }
        self.file = SoundFile::open(self.path).ok();
        self.file.is_some()
    }

    fn transport(&self) -> TransportEvent {
        let seconds = self.at_frame as f64 / self.rate_hz;
        let mut transport = playing_at(seconds, self.manner.tempo_bpm.unwrap_or(120.0));
        if self.manner.tempo_bpm.is_none() {
            transport.flags.remove(TransportFlags::HAS_TEMPO | TransportFlags::HAS_BEATS_TIMELINE);
        }
        transport
    }

    fn keep_pace(&mut self) {
        let begun = *self.begun.get_or_insert_with(Instant::now);
        let due_s = self.played.frames as f64 / self.rate_hz / self.manner.pace;
        sleep(Duration::from_secs_f64(due_s).saturating_sub(begun.elapsed()));
    }
}

impl Playback for Player<'_> {
    fn next(&mut self, sound: &mut [Vec<f32>]) -> Option<Block> {
        self.keep_pace();
        if self.stop.load(Ordering::Relaxed) {
            return None;
        }
        loop {
            self.read();
            let left = self.until_frame.saturating_sub(self.at_frame);
            let frames = self.waiting[0].len().min(BLOCK).min(left);
            if frames > 0 {
                for (sound, waiting) in sound.iter_mut().zip(&mut self.waiting) {
                    sound.extend(waiting.drain(..frames));
                }
                let transport = Some(self.transport());
                self.at_frame += frames;
                return Some(Block { frames, transport });
            }
            if !self.goes_on() {
                return None;
            }
        }
    }

    fn take(&mut self, input: &[Vec<f32>], output: &[Vec<f32>]) {
        let is_same = |input: &Vec<f32>, output: &Vec<f32>| {
            input.len() == output.len() && input.iter().zip(output).all(|(i, o)| i.to_bits() == o.to_bits())
        };
        if self.played.changed_at.is_none() && !input.iter().zip(output).all(|(i, o)| is_same(i, o)) {
            self.played.changed_at = Some(self.played.frames);
        }
        self.played.frames += input[0].len();
    }
}

#[cfg(test)]
mod tests {
    use candlemark_tests::signals::Noise;
    use candlemark_tests::sound::Sound;

    use super::*;

    /// Blocks as they were played: the song's second and the samples of the left side.
    fn played(sound: &Sound, rounds: usize) -> (Vec<(f64, Vec<f32>)>, Played) {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("sound.wav");
        sound.write_wav(&path);
        let stop = AtomicBool::new(false);
        let manner = Manner { pace: 1e6, rounds, tempo_bpm: None };
        let mut player = Player::new(&path, manner, &stop).unwrap();
        let mut blocks = Vec::new();
        loop {
            let mut block = vec![Vec::new(); 2];
            let Some(Block { frames, transport }) = player.next(&mut block) else { break };
            assert_eq!(block[0].len(), frames);
            player.take(&block, &block);
            let transport = transport.unwrap();
            assert!(!transport.flags.contains(TransportFlags::HAS_BEATS_TIMELINE));
            blocks.push((transport.song_pos_seconds.to_float(), block.swap_remove(0)));
        }
        (blocks, player.played)
    }

    #[test]
    fn a_file_is_played_whole_in_every_round_and_its_last_chorus_once_more() {
        let mut noise = Noise::new(1);
        let sound = Sound::stereo(8000.0, noise.white(100_000, 0.1), noise.white(100_000, 0.1));
        let (blocks, result) = played(&sound, 2);
        assert_eq!((result.rounds, result.whole_frames, result.changed_at), (2, 100_000, None));
        let all: Vec<f32> = blocks.iter().flat_map(|(_, block)| block.clone()).collect();
        // Six seconds from three quarters on are more than the sound has.
        let wanted = [&sound.left[..], &sound.left[..], &sound.left[75_000..]].concat();
        assert!(all == wanted, "{} frames, {} wanted", all.len(), wanted.len());
        for (seconds, block) in blocks {
            let from = (seconds * 8000.0).round() as usize;
            assert_eq!(block, sound.left[from..from + block.len()], "at {seconds} s");
        }
    }
}
