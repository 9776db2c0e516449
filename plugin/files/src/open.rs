//! Opening a sound file: from a path to a stream of packets.

use std::fs::File;
use std::io::{Read, Seek, SeekFrom};
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::AtomicU64;

use symphonia::core::audio::Channels;
use symphonia::core::codecs::CodecParameters;
use symphonia::core::codecs::audio::well_known as codecs;
use symphonia::core::codecs::audio::{AudioCodecId, AudioCodecParameters, AudioDecoder, AudioDecoderOptions};
use symphonia::core::errors::Error;
use symphonia::core::formats::probe::Hint;
use symphonia::core::formats::well_known as formats;
use symphonia::core::formats::{FormatOptions, FormatReader, Track, TrackType};
use symphonia::core::io::{MediaSourceStream, MediaSourceStreamOptions};
use symphonia::core::meta::MetadataOptions;

use crate::edit_list::edit_of_track;
use crate::error::FileError;
use crate::guard::guarded;
use crate::sniff::{Kind, SNIFFED, sniff};
use crate::source::{FORM_OF_UNKNOWN_SIZE, RIFF_OF_UNKNOWN_SIZE, Source};
use crate::wave_layout::wave_layout;

/// What holds the packets, as far as reading them differs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Container {
    /// Each packet follows on the last: WAV, AIFF.
    Plain,
    /// Packets are dated, and damaged ones are passed over without a word: FLAC, Ogg.
    Dated,
    /// MPEG audio.
    Mpeg,
    /// ADTS.
    Adts,
    /// M4A, MP4.
    Mp4,
}

/// An open stream of packets.
pub(crate) struct Opened {
    pub(crate) reader: Box<dyn FormatReader>,
    pub(crate) container: Container,
    pub(crate) track_id: u32,
    pub(crate) decoder: Box<dyn AudioDecoder>,
    /// Frames of sound that the header declares (not an estimate).
    pub(crate) declared_frames: Option<u64>,
    /// So many frames are still to come that are not the sound, but stand before it.
    pub(crate) leading_frames: u64,
    /// The file itself, for what the decoder does not look at.
    pub(crate) file: File,
    pub(crate) file_bytes: u64,
    /// Position of the last byte read.
    pub(crate) progress: Arc<AtomicU64>,
}

/// AAC at this sample rate or below, in Hz, may be the lower half of HE-AAC (ISO/IEC 14496-3, 1.6.5.2:
/// implicit signalling), whose upper half is not decoded. It can't be told apart, so it is refused.
const HALF_OF_HE_AAC: u32 = 24_000;

/// Two frames of MPEG audio, of which at least as many are needed to tell what it is, are never longer.
const TWO_MPEG_FRAMES: u64 = 2 * 1441;

/// Opens `path` and finds its sound. `forwards_only` begins with the sound wherever it is found first, without
/// looking at what comes after: for files whose end is missing.
pub(crate) fn open(path: &Path, forwards_only: bool) -> Result<Opened, FileError> {
    let reading = |error| FileError::of_reading(path, error);
    let metadata = std::fs::metadata(path).map_err(reading)?;
    if metadata.is_dir() {
        return Err(FileError::Folder { path: path.to_owned() });
    }
    // Opening a pipe would wait for its other end.
    if !metadata.is_file() {
        return Err(FileError::NotAFile { path: path.to_owned() });
    }
    let mut file = File::open(path).map_err(reading)?;
    let mut head = Vec::new();
    (&mut file).take(SNIFFED as u64).read_to_end(&mut head).map_err(reading)?;
    if head.is_empty() {
        return Err(FileError::Empty { path: path.to_owned() });
    }

    let kind = sniff(&head);
    let progress = Arc::new(AtomicU64::new(0));
    let source = || {
        let file = File::open(path).map_err(reading)?;
        Source::new(file, Arc::clone(&progress)).map_err(reading)
    };
    let mut declared_64_bit = None;
    let reader = match kind {
        Kind::Known(name) => return Err(FileError::unsupported(path, name, None)),
        Kind::Unknown if !is_named_like_mpeg(path) => {
            return Err(FileError::NotAudio { path: path.to_owned() });
        }
        Kind::Wave => probe(source()?.beginning_with(RIFF_OF_UNKNOWN_SIZE)),
        Kind::Wave64Bit => {
            file.rewind().map_err(reading)?;
            let Some(layout) = wave_layout(&mut file).map_err(reading)? else {
                return Err(cut_in_header(path));
            };
            declared_64_bit = Some(layout.frames());
            let end = layout.data_start.saturating_add(layout.data_bytes);
            probe(source()?.beginning_with(RIFF_OF_UNKNOWN_SIZE).ending_at(end))
        }
        // Looking for what comes after the sound fails in a file that is cut off: then it is not looked for.
        Kind::Aiff => match probe(source()?) {
            Err(first) => {
                probe(source()?.beginning_with(FORM_OF_UNKNOWN_SIZE).forwards_only()).map_err(|_| first)
            }
            found => found,
        },
        Kind::Other | Kind::Mpeg | Kind::Unknown if forwards_only => probe(source()?.forwards_only()),
        Kind::Flac => probe(source()?.ending_at(end_without_tag(&mut file).map_err(reading)?)),
        Kind::Other | Kind::Mpeg | Kind::Unknown => probe(source()?),
    };
    let reader = reader.map_err(|error| refused(path, kind, metadata.len(), error))?;

    let container = match reader.format_info().format {
        formats::FORMAT_ID_FLAC | formats::FORMAT_ID_OGG => Container::Dated,
        formats::FORMAT_ID_MP1 | formats::FORMAT_ID_MP2 | formats::FORMAT_ID_MP3 => Container::Mpeg,
        formats::FORMAT_ID_ADTS => Container::Adts,
        formats::FORMAT_ID_ISOMP4 => Container::Mp4,
        _ => Container::Plain,
    };
    let format_name = reader.format_info().long_name;
    let (track, parameters) = sound_track(&*reader).ok_or_else(|| {
        FileError::unsupported(path, format!("{format_name} without a sound track in a known codec"), None)
    })?;
    // MPEG audio is trimmed by its declared length alone: without one the length is an estimate.
    let is_exact = match container {
        Container::Adts => false,
        Container::Mpeg => track.delay.is_some(),
        _ => true,
    };
    let decoder = make_decoder(path, parameters, is_exact, format_name)?;
    let mut declared_frames = declared_64_bit.or(track.num_frames.filter(|&frames| is_exact && frames > 0));
    let track_id = track.id;
    let mut leading_frames = 0;
    if container == Container::Mp4
        && let Some(edit) = edit_of_track(&mut file, track_id).map_err(reading)?
    {
        leading_frames = edit.start;
        declared_frames = declared_frames.map(|frames| {
            let rest = frames.saturating_sub(edit.start);
            if edit.length.saturating_add(edit.tolerance) < rest { edit.length } else { rest }
        });
    }
    Ok(Opened {
        container,
        track_id,
        decoder,
        declared_frames,
        leading_frames,
        file,
        file_bytes: metadata.len(),
        progress,
        reader,
    })
}

/// The track that is heard: the first with sound in a codec that has a name.
pub(crate) fn sound_track(reader: &dyn FormatReader) -> Option<(&Track, &AudioCodecParameters)> {
    let track = reader.default_track(TrackType::Audio)?;
    match &track.codec_params {
        Some(CodecParameters::Audio(parameters)) => Some((track, parameters)),
        _ => None,
    }
}

/// Makes the decoder for a track. `trimming` leaves out what an encoder put before and after the sound.
pub(crate) fn make_decoder(
    path: &Path,
    parameters: &AudioCodecParameters,
    trimming: bool,
    format_name: &str,
) -> Result<Box<dyn AudioDecoder>, FileError> {
    if let Some(channels) = parameters.channels.as_ref().map(Channels::count).filter(|&count| count > 2) {
        return Err(FileError::TooManyChannels { path: path.to_owned(), channels });
    }
    let options = AudioDecoderOptions::default().gapless(trimming);
    let make = || symphonia::default::get_codecs().make_audio_decoder(parameters, &options);
    let decoder = guarded(make).map_err(|error| {
        let what = codec_name(parameters.codec)
            .map_or_else(|| format!("the codec in this file ({format_name})"), str::to_owned);
        FileError::unsupported(path, what, Some(Box::new(error)))
    })?;
    let known = decoder.codec_params();
    if known.codec == codecs::CODEC_ID_AAC && known.sample_rate.is_some_and(|rate| rate <= HALF_OF_HE_AAC) {
        let what = "AAC at 24 kHz or less (it may be HE-AAC, of which half would be missing)";
        return Err(FileError::unsupported(path, what, None));
    }
    Ok(decoder)
}

/// What a codec that can't be decoded is called, where a person may meet it.
fn codec_name(codec: AudioCodecId) -> Option<&'static str> {
    Some(match codec {
        codecs::CODEC_ID_OPUS => "Opus",
        codecs::CODEC_ID_SPEEX => "Speex",
        codecs::CODEC_ID_MP1 => "MPEG audio of layer I",
        codecs::CODEC_ID_MP2 => "MPEG audio of layer II",
        codecs::CODEC_ID_AC3 => "AC-3",
        codecs::CODEC_ID_EAC3 => "E-AC-3",
        codecs::CODEC_ID_AAC => "any AAC but AAC-LC in mono or stereo",
        _ => return None,
    })
}

fn probe(source: Source) -> symphonia::core::errors::Result<Box<dyn FormatReader>> {
    let stream = MediaSourceStream::new(Box::new(source), MediaSourceStreamOptions::default());
    guarded(|| {
        let (hint, format, metadata) = (Hint::new(), FormatOptions::default(), MetadataOptions::default());
        symphonia::default::get_probe().probe(&hint, stream, format, metadata)
    })
}

/// MPEG streams may begin with anything; only by their name can it be told that it is worth searching.
fn is_named_like_mpeg(path: &Path) -> bool {
    path.extension()
        .is_some_and(|extension| ["mp3", "aac"].iter().any(|known| extension.eq_ignore_ascii_case(known)))
}

/// Where a FLAC stream ends: before the tag of 128 bytes that some programs put after it (ID3v1), which the
/// decoder would take for a part of the last packet.
fn end_without_tag(file: &mut File) -> std::io::Result<u64> {
    let end = file.seek(SeekFrom::End(0))?;
    let mut mark = [0; 3];
    if end < 128 {
        return Ok(end);
    }
    file.seek(SeekFrom::End(-128))?;
    file.read_exact(&mut mark)?;
    Ok(if mark == *b"TAG" { end - 128 } else { end })
}

fn cut_in_header(path: &Path) -> FileError {
    FileError::Truncated { path: path.to_owned(), read_s: 0.0, declared_s: None }
}

/// Says why no stream was found.
fn refused(path: &Path, kind: Kind, file_bytes: u64, error: Error) -> FileError {
    match error {
        Error::IoError(error) if error.kind() == std::io::ErrorKind::UnexpectedEof => cut_in_header(path),
        Error::IoError(error) => FileError::of_reading(path, error),
        // The index of this format is often written last.
        Error::Unsupported(message) if message.starts_with("isomp4: missing") => cut_in_header(path),
        Error::Unsupported(message) if message.starts_with("core (probe)") => match kind {
            Kind::Mpeg if file_bytes < TWO_MPEG_FRAMES && is_named_like_mpeg(path) => cut_in_header(path),
            Kind::Unknown | Kind::Mpeg | Kind::Known(_) => FileError::NotAudio { path: path.to_owned() },
            Kind::Wave | Kind::Wave64Bit | Kind::Aiff | Kind::Flac | Kind::Other => cut_in_header(path),
        },
        Error::Unsupported(message) => {
            let what = format!("this variant of its format ({message})");
            FileError::unsupported(path, what, Some(Box::new(error)))
        }
        error => FileError::Damaged {
            path: path.to_owned(),
            what: error.to_string(),
            count: 1,
            at_s: None,
            source: Some(Box::new(error)),
        },
    }
}
