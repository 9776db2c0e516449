use hound::{SampleFormat, WavSpec};
use proptest::prelude::*;
use tempfile::TempDir;

use super::*;
use crate::test_sounds::{floats, wav};

/// Everything that comes out of a file.
struct Heard {
    info: FileInfo,
    declared_frames: Option<u64>,
    left: Vec<f32>,
    right: Vec<f32>,
    errors: Vec<FileError>,
}

fn hear(path: &Path) -> Result<Heard, FileError> {
    let mut file = SoundFile::open(path)?;
    let mut heard = Heard {
        info: file.info(),
        declared_frames: file.stream.declared_frames,
        left: Vec::new(),
        right: Vec::new(),
        errors: Vec::new(),
    };
    loop {
        match file.next_block() {
            Ok(Some(block)) => {
                assert_eq!(block.frame, heard.left.len() as u64);
                assert!(!block.left.is_empty());
                heard.left.extend_from_slice(block.left);
                heard.right.extend_from_slice(block.right);
            }
            Ok(None) => break,
            Err(error) => heard.errors.push(error),
        }
    }
    assert_eq!(file.frames, heard.left.len() as u64);
    assert!(file.next_block().unwrap().is_none(), "what is over stays over");
    Ok(heard)
}

fn hear_bytes(name: &str, bytes: &[u8]) -> Result<Heard, FileError> {
    let folder = TempDir::new().unwrap();
    let path = folder.path().join(name);
    std::fs::write(&path, bytes).unwrap();
    hear(&path)
}

fn kind_of(name: &str, bytes: &[u8]) -> &'static str {
    hear_bytes(name, bytes).err().map_or("none", |error| error.kind())
}

fn integers(channels: u16, bits_per_sample: u16) -> WavSpec {
    WavSpec { bits_per_sample, sample_format: SampleFormat::Int, ..floats(channels, 48_000) }
}

/// `frames` frames of 16-bit stereo that differ from each other, left from right too.
fn stereo(frames: i16) -> Vec<u8> {
    wav(integers(2, 16), (0..frames).flat_map(|n| [n, -n - 1]))
}

/// 16-bit stereo as [`stereo`], in AIFF.
fn aiff(frames: i16) -> Vec<u8> {
    let sound: Vec<u8> =
        (0..frames).flat_map(|n| [n.to_be_bytes(), (-n - 1).to_be_bytes()]).flatten().collect();
    let mut bytes = b"FORM".to_vec();
    bytes.extend((4 + 8 + 18 + 8 + 8 + sound.len() as u32).to_be_bytes());
    bytes.extend(b"AIFFCOMM\0\0\0\x12\0\x02");
    bytes.extend((frames as u32).to_be_bytes());
    // 16 bits; 48000 as an 80-bit number: 2^15 · 1.46484375.
    bytes.extend(b"\0\x10\x40\x0e\xbb\x80\0\0\0\0\0\0SSND");
    bytes.extend((8 + sound.len() as u32).to_be_bytes());
    bytes.extend([0; 8]);
    bytes.extend(sound);
    bytes
}

#[test]
fn integer_samples_are_divided_by_full_scale() {
    for (bits, scale) in [(8, 128.0), (16, 32_768.0), (24, 8_388_608.0), (32, 2_147_483_648.0)] {
        let edge = 1_i64 << (bits - 1);
        let samples: Vec<i32> = [-edge, -edge / 2 - 1, -1, 0, 1, edge / 3, edge - 1].map(|s| s as i32).into();
        let heard = hear_bytes("a.wav", &wav(integers(1, bits), samples.clone())).unwrap();
        let expected: Vec<f32> = samples.iter().map(|&sample| (f64::from(sample) / scale) as f32).collect();
        assert_eq!(heard.left, expected, "{bits} bits");
        assert_eq!(heard.info.channels, Channels::Mono);
        assert_eq!(heard.info.bit_depth, Some(bits.into()));
        assert!(heard.right.is_empty());
    }
}

#[test]
fn stereo_comes_apart_into_its_channels_sample_for_sample() {
    for bytes in [stereo(5000), aiff(5000)] {
        let heard = hear_bytes("a.wav", &bytes).unwrap();
        let exact =
            FileInfo { sample_rate: Hertz(48_000.0), channels: Channels::Stereo, bit_depth: Some(16) };
        assert_eq!((heard.info, heard.declared_frames), (exact, Some(5000)));
        assert_eq!(heard.left.len(), 5000);
        for (n, (left, right)) in heard.left.iter().zip(&heard.right).enumerate() {
            assert_eq!((*left, *right), (n as f32 / 32_768.0, (-1.0 - n as f32) / 32_768.0));
        }
        assert!(heard.errors.is_empty());
    }
}

#[test]
fn samples_that_are_no_numbers_pass_through_untouched() {
    let samples = [0.5, f32::NAN, f32::INFINITY, -1e9, f32::NEG_INFINITY, -0.25, 1.5, 3e-39];
    let heard = hear_bytes("a.wav", &wav(floats(2, 48_000), samples)).unwrap();
    let bits = |plane: &[f32]| plane.iter().map(|sample| sample.to_bits()).collect::<Vec<_>>();
    assert_eq!(bits(&heard.left), bits(&[0.5, f32::INFINITY, f32::NEG_INFINITY, 1.5]));
    assert_eq!(bits(&heard.right), bits(&[f32::NAN, -1e9, -0.25, 3e-39]));
}

#[test]
fn double_precision_and_64_bit_sizes_are_read() {
    let samples = [0.1_f64, -0.7, 1.25];
    let mut bytes = b"RF64\xff\xff\xff\xffWAVEds64\x1c\0\0\0".to_vec();
    bytes.extend([0; 8]);
    bytes.extend(24_u64.to_le_bytes());
    bytes.extend([0; 12]);
    bytes.extend(b"fmt \x10\0\0\0\x03\0\x01\0");
    bytes.extend(44_100_u32.to_le_bytes());
    bytes.extend((8 * 44_100_u32).to_le_bytes());
    bytes.extend(b"\x08\0\x40\0data\xff\xff\xff\xff");
    bytes.extend(samples.iter().flat_map(|sample| sample.to_le_bytes()));
    bytes.extend(b"LIST\x04\0\0\0INFO");
    let heard = hear_bytes("a.wav", &bytes).unwrap();
    assert_eq!(heard.left, samples.map(|sample| sample as f32));
    assert_eq!(heard.declared_frames, Some(3));
    assert!(heard.errors.is_empty());
}

#[test]
fn a_wrong_size_of_the_whole_file_is_no_harm() {
    for size in [0_u32, 36, u32::MAX] {
        let mut bytes = stereo(2000);
        bytes[4..8].copy_from_slice(&size.to_le_bytes());
        let heard = hear_bytes("a.wav", &bytes).unwrap();
        assert_eq!((heard.left.len(), heard.errors.len()), (2000, 0), "size {size}");
    }
}

#[test]
fn a_cut_file_gives_what_there_is_and_then_the_error() {
    for (bytes, header) in [(stereo(3000), 44), (aiff(3000), 54)] {
        for cut in [header + 4, header + 6001, bytes.len() - 1] {
            let heard = hear_bytes("a.wav", &bytes[..cut]).unwrap();
            let whole_frames = (cut - header) / 4;
            assert_eq!(heard.left.len(), whole_frames, "cut at {cut}");
            assert_eq!(heard.right[whole_frames - 1], -(whole_frames as f32) / 32_768.0);
            let [FileError::Truncated { read_s, declared_s, .. }] = heard.errors.as_slice() else {
                panic!("cut at {cut}: {:?}", heard.errors);
            };
            assert_eq!((*read_s, *declared_s), (whole_frames as f64 / 48_000.0, Some(0.0625)));
        }
    }
}

#[test]
fn a_header_that_claims_too_much_is_a_cut_file() {
    let mut bytes = stereo(1000);
    bytes[40..44].copy_from_slice(&4_000_000_u32.to_le_bytes());
    let heard = hear_bytes("a.wav", &bytes).unwrap();
    assert_eq!(heard.left.len(), 1000);
    assert_eq!(heard.errors[0].kind(), "truncated");
}

#[test]
fn what_can_not_be_read_says_why() {
    assert_eq!(kind_of("a.wav", b""), "empty");
    assert_eq!(kind_of("a.wav", &stereo(0)), "empty");
    assert_eq!(kind_of("a.wav", b"It was a dark and stormy night, and nobody sang."), "not-audio");
    assert_eq!(kind_of("a.mp3", b"It was a dark and stormy night, and nobody sang."), "not-audio");
    assert_eq!(kind_of("a.wav", b"wvpk and so on and on"), "unsupported");
    assert_eq!(kind_of("a.wav", &stereo(10)[..30]), "truncated");
    assert_eq!(kind_of("a.flac", b"fLaC\0\0"), "truncated");
    assert_eq!(kind_of("a.ogg", b"OggS\0\0"), "truncated");
}

#[test]
fn a_missing_file_a_folder_and_a_device_are_told_apart() {
    let folder = TempDir::new().unwrap();
    assert_eq!(hear(folder.path()).err().unwrap().kind(), "folder");
    assert_eq!(hear(&folder.path().join("no.wav")).err().unwrap().kind(), "missing");
    #[cfg(unix)]
    assert_eq!(hear(Path::new("/dev/null")).err().unwrap().kind(), "not-a-file");
}

#[test]
fn surround_is_refused_with_its_number_of_channels() {
    let bytes = wav(integers(6, 16), (0..600).map(|n| n as i16));
    let error = hear_bytes("a.wav", &bytes).err().unwrap();
    assert!(matches!(error, FileError::TooManyChannels { channels: 6, .. }), "{error}");
    assert!(error.to_string().contains("6 channels; fold it down to stereo"), "{error}");
}

#[test]
fn rates_that_can_not_be_measured_at_are_refused() {
    for (rate, kind) in
        [(7999, "unsupported-rate"), (8000, "none"), (384_000, "none"), (384_001, "unsupported-rate")]
    {
        let spec = WavSpec { sample_rate: rate, ..integers(1, 16) };
        assert_eq!(kind_of("a.wav", &wav(spec, [1_i16; 10])), kind, "{rate} Hz");
    }
}

#[test]
fn progress_goes_from_little_to_all() {
    let folder = TempDir::new().unwrap();
    let path = folder.path().join("a.wav");
    std::fs::write(&path, wav(integers(2, 16), (0..400_000).map(|n| n as i16))).unwrap();
    let mut file = SoundFile::open(&path).unwrap();
    let mut last = file.progress();
    assert!(last < 0.1, "{last}");
    while file.next_block().unwrap().is_some() {
        assert!(file.progress() >= last);
        last = file.progress();
    }
    assert_eq!(last, 1.0);
}

proptest! {
    /// Whatever is done to a file, it is read or refused; nothing breaks, and no sound is made up.
    #[test]
    fn a_file_with_any_bytes_changed_is_read_or_refused(
        changes in prop::collection::vec((0_usize..160, any::<u8>()), 1..8),
        cut in 1_usize..3000,
        is_aiff: bool,
    ) {
        let mut bytes = if is_aiff { aiff(500) } else { stereo(500) };
        for (at, value) in changes {
            bytes[at] = value;
        }
        bytes.truncate(cut);
        match hear_bytes("a.wav", &bytes) {
            Ok(heard) => prop_assert!(heard.left.len() <= bytes.len()),
            Err(error) => prop_assert!(!error.to_string().is_empty()),
        }
    }
}
