//! Streams of a sound device, in whatever form it wants its samples, seen as blocks of left and right.

use std::sync::Arc;

use cpal::traits::DeviceTrait;
use cpal::{Device, ErrorKind, FromSample, I24, Sample, SampleFormat, SizedSample, Stream, StreamConfig};
use nice_assert_no_alloc::assert_no_alloc;

use crate::card_settings::Settings;
use crate::gate::PIECE_FRAMES;
use crate::tally::Tally;

/// Does `$build::<T>` with the samples' type for a format.
macro_rules! with_samples_of {
    ($format:expr, $build:ident($($argument:expr),*)) => {
        match $format {
            SampleFormat::F32 => $build::<f32>($($argument),*),
            SampleFormat::I32 => $build::<i32>($($argument),*),
            SampleFormat::I24 => $build::<I24>($($argument),*),
            SampleFormat::I16 => $build::<i16>($($argument),*),
            SampleFormat::F64 => $build::<f64>($($argument),*),
            SampleFormat::U16 => $build::<u16>($($argument),*),
            SampleFormat::U8 => $build::<u8>($($argument),*),
            _ => Err(ErrorKind::UnsupportedConfig.into()),
        }
    };
}

/// A stream that asks `fill` for each block that is to be heard.
pub(crate) fn output_stream(
    device: &Device,
    settings: Settings,
    tally: &Arc<Tally>,
    fill: impl FnMut(&mut [f32], &mut [f32]) + Send + 'static,
) -> Result<Stream, cpal::Error> {
    with_samples_of!(settings.format, output_of(device, settings.config, tally, fill))
}

/// A stream that hands each block that comes in to `take`, which may use it up.
pub(crate) fn input_stream(
    device: &Device,
    settings: Settings,
    tally: &Arc<Tally>,
    take: impl FnMut(&mut [f32], &mut [f32]) + Send + 'static,
) -> Result<Stream, cpal::Error> {
    with_samples_of!(settings.format, input_of(device, settings.config, tally, take))
}

fn output_of<T: SizedSample + FromSample<f32>>(
    device: &Device,
    config: StreamConfig,
    tally: &Arc<Tally>,
    mut fill: impl FnMut(&mut [f32], &mut [f32]) + Send + 'static,
) -> Result<Stream, cpal::Error> {
    let channels = usize::from(config.channels).max(1);
    let mut planes = [[0.0; PIECE_FRAMES]; 2];
    let give = move |block: &mut [T], _: &_| {
        assert_no_alloc(|| {
            for piece in block.chunks_mut(PIECE_FRAMES * channels) {
                let frames = piece.len() / channels;
                let [left, right] = planes.each_mut().map(|plane| &mut plane[..frames]);
                fill(left, right);
                spread(left, right, piece, channels);
            }
        });
    };
    device.build_output_stream(config, give, watch(tally), None)
}

fn input_of<T: SizedSample>(
    device: &Device,
    config: StreamConfig,
    tally: &Arc<Tally>,
    mut take: impl FnMut(&mut [f32], &mut [f32]) + Send + 'static,
) -> Result<Stream, cpal::Error>
where
    f32: FromSample<T>,
{
    let channels = usize::from(config.channels).max(1);
    let mut planes = [[0.0; PIECE_FRAMES]; 2];
    let hear = move |block: &[T], _: &_| {
        assert_no_alloc(|| {
            for piece in block.chunks(PIECE_FRAMES * channels) {
                let frames = piece.len() / channels;
                let [left, right] = planes.each_mut().map(|plane| &mut plane[..frames]);
                gather(piece, channels, left, right);
                take(left, right);
            }
        });
    };
    device.build_input_stream(config, hear, watch(tally), None)
}

/// Puts both sides into a device's frames: first left, then right, the rest silent. Where there is one channel, it
/// gets the mean of both.
fn spread<T: Sample + FromSample<f32>>(left: &[f32], right: &[f32], frames: &mut [T], channels: usize) {
    for ((frame, left), right) in frames.chunks_mut(channels).zip(left).zip(right) {
        match frame {
            [only] => *only = T::from_sample(0.5 * (left + right)),
            [first, second, rest @ ..] => {
                *first = T::from_sample(*left);
                *second = T::from_sample(*right);
                rest.fill(T::EQUILIBRIUM);
            }
            [] => {}
        }
    }
}

/// Takes both sides out of a device's frames: the first two channels, or the only one for both.
fn gather<T: Sample>(frames: &[T], channels: usize, left: &mut [f32], right: &mut [f32])
where
    f32: FromSample<T>,
{
    for ((frame, left), right) in frames.chunks(channels).zip(left).zip(right) {
        if let [first, rest @ ..] = frame {
            *left = f32::from_sample(*first);
            *right = f32::from_sample(*rest.first().unwrap_or(first));
        }
    }
}

/// What is done when the device tells of trouble. It comes on the stream's thread, when no sound is made.
fn watch(tally: &Arc<Tally>) -> impl FnMut(cpal::Error) + Send + 'static {
    let tally = Arc::clone(tally);
    move |error| match error.kind() {
        ErrorKind::Xrun => tally.system_gap(),
        ErrorKind::DeviceChanged | ErrorKind::RealtimeDenied => {}
        _ => tally.stop(error.to_string()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_sides_keep_their_samples_on_the_way_out_and_in() {
        let (left, right) = ([0.1, -0.25, 1.0], [f32::MIN_POSITIVE, 0.0, -1.0]);
        for channels in [2, 3, 8] {
            let mut frames = vec![7.0_f32; 3 * channels];
            spread(&left, &right, &mut frames, channels);
            assert!(frames.chunks(channels).all(|frame| frame[2..].iter().all(|sample| *sample == 0.0)));
            let (mut left_in, mut right_in) = ([9.0; 3], [9.0; 3]);
            gather(&frames, channels, &mut left_in, &mut right_in);
            assert_eq!((left_in, right_in), (left, right));
        }
    }

    #[test]
    fn one_channel_gets_the_mean_and_serves_both_sides() {
        let mut frames = [0_i16; 2];
        spread(&[0.5, 1.0], &[0.0, -1.0], &mut frames, 1);
        assert_eq!(frames, [8192, 0]);
        let (mut left, mut right) = ([9.0; 2], [9.0; 2]);
        gather(&frames, 1, &mut left, &mut right);
        assert_eq!((left, right), ([0.25, 0.0], [0.25, 0.0]));
    }
}
