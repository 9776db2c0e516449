//! Reading a sound file, block by block.

use std::collections::VecDeque;
use std::path::{Path, PathBuf};
use std::sync::atomic::Ordering;

use candlemark_analysis::{Analyzer, Channels, Hertz};
use symphonia::core::audio::GenericAudioBufferRef;
use symphonia::core::errors::Error;
use symphonia::core::packet::Packet;
use symphonia::core::units::Duration;

use crate::damage::Damage;
use crate::error::FileError;
use crate::file_info::{FileInfo, bit_depth};
use crate::guard::{guarded, is_final};
use crate::mpeg_tail::is_cut_in_a_frame;
use crate::open::{Container, Opened, make_decoder, open, sound_track};

/// A stretch of sound. Full scale is ±1; integer samples are divided by 2^(bits−1). Samples that are no
/// numbers are handed on as they are.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Block<'a> {
    /// Number of the first frame, counted from the start of the sound.
    pub frame: u64,
    /// The left channel, or the only one. Never empty.
    pub left: &'a [f32],
    /// The right channel, of the same length; empty in a mono file.
    pub right: &'a [f32],
}

/// A sound file that is being read, in WAV, AIFF, FLAC, MP3, Ogg Vorbis, or AAC (M4A, ADTS).
///
/// Memory does not grow with the file's length (of an M4A file, the index is held: some bytes for every
/// 20 ms). What an encoder put before and after the sound is left out where the file says how much it is.
///
/// # Cut and damaged files
///
/// What can be read is read; then comes the error. A file that ends before its declared length, or within a
/// packet, gives [`FileError::Truncated`]; sound that could not be decoded on the way is left out, counted,
/// and told at the end as [`FileError::Damaged`]. A cut can't be told from an end where it falls between two
/// packets of a stream that declares no length: in ADTS always, in MP3 without an information frame, in FLAC
/// of unknown length, in WAV of unknown length.
pub struct SoundFile {
    path: PathBuf,
    stream: Opened,
    info: FileInfo,
    left: Vec<f32>,
    right: Vec<f32>,
    /// Frames given, the block in the planes included.
    frames: u64,
    /// Where the next packet should begin, in a container that dates its packets.
    next_timestamp: Option<i64>,
    damage: Damage,
    /// Bytes of the last packet of MPEG audio.
    last_packet: Box<[u8]>,
    /// The sound has gone on after its declared length.
    is_beyond_the_end: bool,
    phase: Phase,
    /// Errors to be told, once the sound is over.
    errors: VecDeque<FileError>,
}

/// How far the reading is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Phase {
    /// The planes hold a block that has not been given yet.
    BlockReady,
    /// More is to be decoded.
    Reading,
    /// The decoder must not be called again.
    Broken,
    /// Only errors are left to be told.
    Over,
}

/// Frames of one packet of MPEG layer III (ISO/IEC 11172-3, 2.4.2.1). Some encoders count the information
/// frame itself, so one packet too few is no cut.
const MPEG_PACKET_FRAMES: u64 = 1152;

impl SoundFile {
    /// Opens a sound file and decodes its beginning.
    ///
    /// # Errors
    ///
    /// When it is missing, not a readable file, not a sound file, of a format or codec that can't be decoded,
    /// holds no sound, has more than two channels, or a sample rate that can't be measured at.
    pub fn open(path: &Path) -> Result<Self, FileError> {
        let first = match Self::from_stream(path, open(path, false)?) {
            Ok(file) => return Ok(file),
            Err(error) => error,
        };
        // Of an M4A file whose end is missing nothing is read, unless its end is not asked for.
        if matches!(first, FileError::Truncated { .. } | FileError::Empty { .. })
            && let Ok(stream) = open(path, true)
            && stream.container == Container::Mp4
            && let Ok(file) = Self::from_stream(path, stream)
        {
            return Ok(file);
        }
        Err(first)
    }

    fn from_stream(path: &Path, stream: Opened) -> Result<Self, FileError> {
        let parameters = stream.decoder.codec_params();
        let mut file = Self {
            path: path.to_owned(),
            info: FileInfo {
                sample_rate: Hertz(parameters.sample_rate.map_or(0.0, f64::from)),
                channels: Channels::Stereo,
                bit_depth: bit_depth(parameters),
            },
            stream,
            left: Vec::new(),
            right: Vec::new(),
            frames: 0,
            next_timestamp: None,
            damage: Damage::default(),
            last_packet: Box::default(),
            is_beyond_the_end: false,
            phase: Phase::Reading,
            errors: VecDeque::new(),
        };
        // Only a decoded block tells the sample rate and the channels for certain.
        if !file.fill()? {
            return Err(FileError::Empty { path: file.path });
        }
        file.phase = Phase::BlockReady;
        Ok(file)
    }

    /// What is known of the file.
    pub fn info(&self) -> FileInfo {
        self.info
    }

    /// An Analyzer for its sound.
    pub(crate) fn analyzer(&self) -> Result<Analyzer, FileError> {
        Analyzer::new(self.info.sample_rate, self.info.channels)
            .map_err(|error| FileError::UnsupportedRate { path: self.path.clone(), rate: error.0 })
    }

    /// The share of the file's bytes that has been read, 0 to 1.
    pub fn progress(&self) -> f64 {
        let read = self.stream.progress.load(Ordering::Relaxed);
        (read as f64 / self.stream.file_bytes.max(1) as f64).min(1.0)
    }

    /// Reads the next block, of some hundred to some ten thousand frames. `None` when the sound is over and
    /// every error has been told.
    ///
    /// # Errors
    ///
    /// Once the sound is over, [`FileError::Truncated`] and [`FileError::Damaged`], each at most once, and
    /// [`FileError::NotReadable`] when the system fails to read on. The blocks given before stand.
    pub fn next_block(&mut self) -> Result<Option<Block<'_>>, FileError> {
        if self.phase == Phase::BlockReady {
            self.phase = Phase::Reading;
        } else if !self.fill()? {
            return Ok(None);
        }
        Ok(Some(Block { frame: self.frames - self.left.len() as u64, left: &self.left, right: &self.right }))
    }

    /// Decodes until the planes hold something. False when the sound is over.
    fn fill(&mut self) -> Result<bool, FileError> {
        if self.phase == Phase::Over {
            return self.errors.pop_front().map_or(Ok(false), Err);
        }
        loop {
            let reader = &mut self.stream.reader;
            let packet = match guarded(|| reader.next_packet()) {
                Ok(Some(packet)) => packet,
                Ok(None) => return self.end(false),
                Err(Error::ResetRequired) => match self.restart() {
                    Ok(()) => continue,
                    Err(error) => {
                        self.errors.push_back(error);
                        return self.end(false);
                    }
                },
                Err(Error::IoError(error)) if error.kind() == std::io::ErrorKind::UnexpectedEof => {
                    // Of these, the declared length alone tells.
                    return self.end(self.stream.container != Container::Plain);
                }
                Err(Error::IoError(error)) => {
                    self.errors.push_back(FileError::of_reading(&self.path, error));
                    return self.end(false);
                }
                Err(error) => {
                    // This format finds the next packet by itself.
                    let goes_on = self.stream.container == Container::Adts && !is_final(&error);
                    self.damage.note(self.frames, 0, "the stream can't be followed", Some(error));
                    if goes_on {
                        continue;
                    }
                    return self.end(false);
                }
            };
            if packet.track_id == self.stream.track_id && self.decode(packet)? {
                return Ok(true);
            }
            if self.phase == Phase::Broken {
                return self.end(false);
            }
        }
    }

    /// Decodes a packet into the planes. False when there is no sound in it.
    fn decode(&mut self, mut packet: Packet) -> Result<bool, FileError> {
        self.check_date(&packet);
        if self.stream.container == Container::Mpeg {
            self.keep_what_is_beyond_the_end(&mut packet);
        }
        let decoder = &mut self.stream.decoder;
        let frames = match guarded(|| decoder.decode(&packet)) {
            Ok(sound) => {
                let (rate, channels) = (sound.spec().rate(), sound.spec().channels().count());
                if self.frames == 0 {
                    self.info.sample_rate = Hertz(f64::from(rate));
                    self.info.channels = channels_of(channels, &self.path)?;
                    if !Analyzer::RATES.contains(&self.info.sample_rate.0) {
                        let rate = self.info.sample_rate;
                        return Err(FileError::UnsupportedRate { path: self.path.clone(), rate });
                    }
                } else if self.info.sample_rate != Hertz(f64::from(rate))
                    || channels_of(channels, &self.path).ok() != Some(self.info.channels)
                {
                    let lost = packet.dur.get();
                    self.damage.note(self.frames, lost, "the sample rate or the channels change", None);
                    return Ok(false);
                }
                copy_planes(&sound, &mut self.left, &mut self.right);
                sound.frames()
            }
            Err(error @ Error::Unsupported(_)) if self.frames == 0 => {
                let what = format!("this variant of its codec ({error})");
                return Err(FileError::unsupported(&self.path, what, Some(Box::new(error))));
            }
            Err(error) => {
                if is_final(&error) {
                    self.phase = Phase::Broken;
                }
                self.damage.note(self.frames, packet.dur.get(), "sound that can't be decoded", Some(error));
                return Ok(false);
            }
        };
        let kept = self.trim(frames, packet.dur.get());
        if self.stream.container == Container::Mpeg {
            self.last_packet = packet.data;
        }
        self.frames += kept as u64;
        Ok(kept > 0)
    }

    /// Leaves out what is not the sound, where the decoder does not. Says how many frames are left.
    fn trim(&mut self, frames: usize, dated_frames: u64) -> usize {
        let declared = self.stream.declared_frames.filter(|_| self.stream.container == Container::Mp4);
        let mut end = frames;
        if declared.is_some() {
            // The last packet is dated shorter than it is.
            end = end.min(dated_frames as usize);
        }
        let start = usize::try_from(self.stream.leading_frames).unwrap_or(usize::MAX).min(end);
        self.stream.leading_frames -= start as u64;
        if let Some(declared) = declared {
            end = end.min(start.saturating_add(declared.saturating_sub(self.frames) as usize));
        }
        for plane in [&mut self.left, &mut self.right] {
            plane.truncate(end);
            plane.drain(..start.min(plane.len()));
        }
        end - start
    }

    /// Notes a gap before a packet.
    fn check_date(&mut self, packet: &Packet) {
        if self.stream.container != Container::Dated {
            return;
        }
        let starts = packet.pts.get();
        if let Some(expected) = self.next_timestamp
            && starts > expected
        {
            let missing = starts.abs_diff(expected);
            self.damage.note(self.frames, missing, "a piece of the sound is missing", None);
        }
        self.next_timestamp =
            i64::try_from(packet.block_dur().get()).ok().and_then(|length| starts.checked_add(length));
    }

    /// Where two MPEG files were joined, the first one's information frame declares only its own length; what
    /// comes after is sound all the same.
    fn keep_what_is_beyond_the_end(&mut self, packet: &mut Packet) {
        let Some(declared) = self.stream.declared_frames else { return };
        // The end of the sound may lie two packets before the end of the stream.
        let last_padding = declared.saturating_add(3 * MPEG_PACKET_FRAMES);
        if packet.pts.get() > 0 && packet.pts.get() as u64 > last_padding {
            let what = "the sound goes on after its declared length (all of it was read)";
            if !std::mem::replace(&mut self.is_beyond_the_end, true) {
                self.damage.note(self.frames, 0, what, None);
            }
            packet.dur = packet.block_dur();
            packet.trim_end = Duration::ZERO;
        }
    }

    /// Another stream begins in the same file (chained Ogg).
    fn restart(&mut self) -> Result<(), FileError> {
        let format_name = self.stream.reader.format_info().long_name;
        let Some((track, parameters)) = sound_track(&*self.stream.reader) else {
            self.damage.note(self.frames, 0, "a part of the stream holds no sound", None);
            return Ok(());
        };
        self.stream.decoder = make_decoder(&self.path, parameters, true, format_name)?;
        self.stream.track_id = track.id;
        self.stream.declared_frames =
            self.stream.declared_frames.and_then(|before| track.num_frames.map(|more| before + more));
        self.next_timestamp = None;
        Ok(())
    }

    /// The sound is over; `is_cut` says that it ends in the middle of something.
    fn end(&mut self, mut is_cut: bool) -> Result<bool, FileError> {
        self.phase = Phase::Over;
        let container = self.stream.container;
        if container == Container::Mpeg && !is_cut {
            match is_cut_in_a_frame(&mut self.stream.file, &self.last_packet) {
                Ok(cut) => is_cut = cut,
                Err(error) => self.errors.push_back(FileError::of_reading(&self.path, error)),
            }
        }
        let tolerance = if container == Container::Mpeg && !is_cut { MPEG_PACKET_FRAMES } else { 0 };
        let accounted = self.frames.saturating_add(self.damage.lost_frames).saturating_add(tolerance);
        // Where frames of MPEG audio were passed over, it is not known how many: that is told as damage.
        let is_told_as_damage = container == Container::Mpeg && !is_cut && !self.damage.is_none();
        let declared =
            self.stream.declared_frames.filter(|&declared| accounted < declared && !is_told_as_damage);
        let seconds = |frames: u64| frames as f64 / self.info.sample_rate.0.max(1.0);
        if is_cut || declared.is_some() {
            self.errors.push_back(FileError::Truncated {
                path: self.path.clone(),
                read_s: seconds(self.frames),
                declared_s: declared.map(seconds),
            });
        }
        if let Some((count, first)) = self.damage.take() {
            self.errors.push_back(FileError::Damaged {
                path: self.path.clone(),
                what: first.what.to_owned(),
                count,
                at_s: Some(seconds(first.frame)),
                source: first.cause.map(|cause| Box::new(cause) as _),
            });
        }
        self.fill()
    }
}

fn channels_of(count: usize, path: &Path) -> Result<Channels, FileError> {
    match count {
        1 => Ok(Channels::Mono),
        2 => Ok(Channels::Stereo),
        channels => Err(FileError::TooManyChannels { path: path.to_owned(), channels }),
    }
}

/// Copies decoded sound into the planes, which keep their memory.
fn copy_planes(sound: &GenericAudioBufferRef<'_>, left: &mut Vec<f32>, right: &mut Vec<f32>) {
    left.resize(sound.frames(), 0.0);
    if sound.num_planes() == 1 {
        right.clear();
        sound.copy_to_slice_planar(&mut [&mut left[..]]);
    } else {
        right.resize(sound.frames(), 0.0);
        sound.copy_to_slice_planar(&mut [&mut left[..], &mut right[..]]);
    }
}

#[cfg(test)]
mod tests;
