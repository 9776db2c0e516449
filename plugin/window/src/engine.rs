//! The meter and what sounds through it: all that the audio thread holds.

use std::sync::Arc;

use candlemark::Meter;
use candlemark_analysis::{Channels, Hertz};
use nice_assert_no_alloc::assert_no_alloc;
use nice_plug::prelude::*;

use crate::song::Song;
use crate::tally::Tally;

/// What sounds through the meter.
pub(crate) enum Source {
    /// A file.
    Song(Song),
    /// What comes in.
    Live {
        /// A transport outside has rolled, so somebody uses it: it is believed from then on.
        transport_is_used: bool,
    },
}

impl Source {
    pub(crate) const LIVE: Self = Self::Live { transport_is_used: false };
}

/// Where a transport outside is at a block's first frame.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Place {
    pub(crate) rolls: bool,
    pub(crate) frame: i64,
}

/// The meter with its source.
pub(crate) struct Engine {
    meter: Meter,
    source: Source,
    sample_rate: Hertz,
    channels: Channels,
    tally: Arc<Tally>,
}

/// The framework tells a plugin the longest block that may come. Ours takes any; so it is told the most there may be.
const LONGEST_BLOCK_FRAMES: u32 = 1 << 20;

impl Engine {
    /// Sets the meter up for a sample rate and a channel count, as a host does.
    pub(crate) fn new(
        mut meter: Meter,
        source: Source,
        sample_rate: Hertz,
        channels: Channels,
        tally: Arc<Tally>,
    ) -> Self {
        let count = if channels == Channels::Mono { 1 } else { 2 };
        let config = BufferConfig {
            sample_rate: sample_rate.0 as f32,
            min_buffer_size: None,
            max_buffer_size: LONGEST_BLOCK_FRAMES,
            process_mode: ProcessMode::Realtime,
        };
        let layouts = Meter::AUDIO_IO_LAYOUTS.iter();
        let of_count = |layout: &&AudioIOLayout| layout.main_output_channels == NonZeroU32::new(count);
        for layout in layouts.filter(of_count) {
            meter.activate(layout, &config, &mut NoHost);
        }
        meter.reset();
        Self { meter, source, sample_rate, channels, tally }
    }

    /// Takes a block of what comes in, both sides of one length, and leaves in its place what is to be heard. A mono
    /// meter takes the left side, and both are heard alike. `place` is a transport's outside, where there is one.
    ///
    /// # Realtime safety
    ///
    /// No allocation (a debug build aborts on one), no lock, no system call, no panic.
    pub(crate) fn pass(&mut self, left: &mut [f32], right: &mut [f32], place: Option<Place>) {
        assert_no_alloc(|| match &mut self.source {
            Source::Song(_) => self.play_song(left, right),
            Source::Live { transport_is_used } => {
                *transport_is_used |= place.is_some_and(|place| place.rolls);
                let place = place.filter(|_| *transport_is_used);
                self.measure(left, right, place);
            }
        });
        self.tally.block();
    }

    fn play_song(&mut self, left: &mut [f32], right: &mut [f32]) {
        let whole = left.len().min(right.len());
        let mut done = 0;
        while done < whole {
            let Source::Song(song) = &mut self.source else { return };
            let (left, right) = (&mut left[done..whole], &mut right[done..whole]);
            let taken = song.take(left, right);
            let place = |rolls| Some(Place { rolls, frame: taken.from_frame as i64 });
            if taken.frames > 0 {
                self.measure(&mut left[..taken.frames], &mut right[..taken.frames], place(true));
                done += taken.frames;
                continue;
            }
            left.fill(0.0);
            right.fill(0.0);
            if taken.over {
                self.measure(left, right, place(false));
            } else {
                // What comes late is heard late, and measured as if it had not: the song stands still meanwhile.
                self.tally.gap(left.len() as u64);
            }
            return;
        }
    }

    fn measure(&mut self, left: &mut [f32], right: &mut [f32], place: Option<Place>) {
        if left.is_empty() {
            return;
        }
        let transport = transport(self.sample_rate, place);
        if self.channels == Channels::Mono {
            self.meter.play(&mut [&mut *left], &transport);
            right.copy_from_slice(left);
        } else {
            self.meter.play(&mut [left, right], &transport);
        }
    }
}

/// A transport without beats; without a place, one that nothing is known of.
fn transport(sample_rate: Hertz, place: Option<Place>) -> Transport {
    let mut transport = Transport::new(sample_rate.0 as f32);
    if let Some(place) = place {
        transport.playing = place.rolls;
        transport.pos_samples = Some(place.frame);
        transport.pos_seconds = Some(place.frame as f64 / sample_rate.0);
    }
    transport
}

/// What stands in for a host when the meter is set up. It asks for none of this.
struct NoHost;

impl ActivateContext<Meter> for NoHost {
    fn plugin_api(&self) -> PluginApi {
        PluginApi::Standalone
    }

    fn execute(&self, (): ()) {}

    fn set_latency_samples(&self, _: u32) {}

    fn set_current_voice_capacity(&self, _: u32) {}
}

#[cfg(test)]
mod tests {
    use std::time::Duration;

    use super::*;
    use crate::wav::wav;

    fn noise(frames: usize, seed: u32) -> Vec<f32> {
        let mut state = seed;
        let mut next = || {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            state as f32 / u32::MAX as f32 - 0.5
        };
        (0..frames).map(|_| next()).collect()
    }

    fn engine(source: Source, channels: Channels) -> (Engine, Arc<Tally>) {
        let tally = Arc::new(Tally::default());
        let engine = Engine::new(Meter::default(), source, Hertz(48_000.0), channels, Arc::clone(&tally));
        (engine, tally)
    }

    #[test]
    fn live_sound_goes_out_as_it_came_in() {
        for channels in [Channels::Mono, Channels::Stereo] {
            let (mut engine, _) = engine(Source::LIVE, channels);
            for frames in [0, 1, 64, 511, 4096] {
                let (left, right) = (noise(frames, 1), noise(frames, 2));
                let (mut left_out, mut right_out) = (left.clone(), right.clone());
                engine.pass(&mut left_out, &mut right_out, None);
                assert_eq!(left_out, left);
                assert_eq!(right_out, if channels == Channels::Mono { left } else { right });
            }
        }
    }

    #[test]
    fn a_file_is_heard_whole_and_then_there_is_silence() {
        let (left, right) = (noise(10_000, 3), noise(10_000, 4));
        let file = wav(2, 48_000, left.iter().zip(&right).flat_map(|(left, right)| [*left, *right]));
        let tally = Arc::new(Tally::default());
        let (song, info) = Song::open(file.path(), false, &tally).unwrap();
        // It is shorter than what is read ahead, so the reader goes, and its tally with it.
        while Arc::strong_count(&tally) > 1 {
            std::thread::sleep(Duration::from_millis(1));
        }
        let (mut engine, tally) = engine(Source::Song(song), info.channels);
        let (mut heard_left, mut heard_right) = (Vec::new(), Vec::new());
        for _ in 0..30 {
            // What comes in is not what a file's player lets out.
            let (mut left, mut right) = ([0.7; 400], [0.7; 400]);
            engine.pass(&mut left, &mut right, None);
            heard_left.extend(left);
            heard_right.extend(right);
        }
        assert_eq!(heard_left[..10_000], left);
        assert_eq!(heard_right[..10_000], right);
        assert!(heard_left[10_000..].iter().chain(&heard_right[10_000..]).all(|sample| *sample == 0.0));
        assert_eq!(tally.lines(), [] as [&str; 0]);
        assert_eq!(tally.blocks(), 30);
    }

    #[test]
    fn a_transport_outside_is_believed_once_it_has_rolled() {
        let (mut engine, _) = engine(Source::LIVE, Channels::Stereo);
        let mut pass = |rolls| {
            engine.pass(&mut [0.0; 64], &mut [0.0; 64], Some(Place { rolls, frame: 7 }));
            matches!(engine.source, Source::Live { transport_is_used: true })
        };
        assert!(!pass(false));
        assert!(pass(true));
        assert!(pass(false));
    }

    #[test]
    fn a_place_is_told_in_frames_and_seconds_and_without_beats() {
        let told = transport(Hertz(44_100.0), Some(Place { rolls: true, frame: 88_200 }));
        assert!(told.playing);
        assert_eq!((told.pos_samples, told.pos_seconds, told.pos_beats), (Some(88_200), Some(2.0), None));
        assert_eq!((told.tempo, told.preroll_active), (None, None));
        let nothing = transport(Hertz(44_100.0), None);
        assert_eq!((nothing.playing, nothing.pos_samples, nothing.pos_seconds), (false, None, None));
    }
}
