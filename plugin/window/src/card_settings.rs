//! Which of a device's many settings serve.

use cpal::{BufferSize, SampleFormat, StreamConfig, SupportedBufferSize, SupportedStreamConfigRange};

/// Sample formats that are taken, best first.
const FORMATS: [SampleFormat; 7] = [
    SampleFormat::F32,
    SampleFormat::I32,
    SampleFormat::I24,
    SampleFormat::I16,
    SampleFormat::F64,
    SampleFormat::U16,
    SampleFormat::U8,
];

/// What a stream is opened with.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Settings {
    pub(crate) config: StreamConfig,
    pub(crate) format: SampleFormat,
}

impl Settings {
    /// Chooses two channels or, failing that, the fewest that are more, or one; and of their formats the best. `None`
    /// when the device does not run at this rate, or not in blocks of this length.
    pub(crate) fn choose(
        ranges: impl Iterator<Item = SupportedStreamConfigRange>,
        sample_rate_hz: u32,
        block_frames: Option<u32>,
    ) -> Option<Self> {
        let fits = |range: &SupportedStreamConfigRange| {
            range.contains_rate(sample_rate_hz)
                && range.channels() > 0
                && block_frames.is_none_or(|block| allows(*range.buffer_size(), block))
        };
        let rank = |range: SupportedStreamConfigRange| {
            let format = FORMATS.iter().position(|format| *format == range.sample_format())?;
            let channels = range.channels();
            Some(((channels < 2, channels, format), range))
        };
        let (_, best) = ranges.filter(fits).filter_map(rank).min_by_key(|(rank, _)| *rank)?;
        Some(Self {
            config: StreamConfig {
                channels: best.channels(),
                sample_rate: sample_rate_hz,
                buffer_size: block_frames.map_or(BufferSize::Default, BufferSize::Fixed),
            },
            format: best.sample_format(),
        })
    }
}

/// Whether a device allows blocks of so many frames. One that does not say is asked when it is opened.
fn allows(sizes: SupportedBufferSize, block_frames: u32) -> bool {
    match sizes {
        SupportedBufferSize::Range { min, max } => (min..=max).contains(&block_frames),
        SupportedBufferSize::Unknown => true,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SIZES: SupportedBufferSize = SupportedBufferSize::Range { min: 64, max: 4096 };

    fn range(channels: u16, from_hz: u32, to_hz: u32, format: SampleFormat) -> SupportedStreamConfigRange {
        SupportedStreamConfigRange::new(channels, from_hz, to_hz, SIZES, format)
    }

    fn chosen(ranges: &[SupportedStreamConfigRange], rate_hz: u32) -> Option<(u16, SampleFormat)> {
        let settings = Settings::choose(ranges.iter().copied(), rate_hz, None)?;
        assert_eq!(settings.config.sample_rate, rate_hz);
        Some((settings.config.channels, settings.format))
    }

    #[test]
    fn two_channels_come_before_more_and_more_before_one() {
        let one = range(1, 8000, 96_000, SampleFormat::F32);
        let two = range(2, 8000, 96_000, SampleFormat::I16);
        let six = range(6, 8000, 96_000, SampleFormat::F32);
        let eight = range(8, 8000, 96_000, SampleFormat::F32);
        assert_eq!(chosen(&[one, eight, six, two], 48_000), Some((2, SampleFormat::I16)));
        assert_eq!(chosen(&[one, eight, six], 48_000), Some((6, SampleFormat::F32)));
        assert_eq!(chosen(&[one], 48_000), Some((1, SampleFormat::F32)));
    }

    #[test]
    fn of_the_formats_the_best_is_taken_and_unknown_ones_never() {
        let ranges = [SampleFormat::U8, SampleFormat::I16, SampleFormat::I32, SampleFormat::DsdU8]
            .map(|format| range(2, 8000, 96_000, format));
        assert_eq!(chosen(&ranges, 44_100), Some((2, SampleFormat::I32)));
        assert_eq!(chosen(&ranges[3..], 44_100), None);
    }

    #[test]
    fn a_rate_or_a_block_that_the_device_has_not_is_refused() {
        let ranges = [range(2, 44_100, 48_000, SampleFormat::F32)];
        assert_eq!(chosen(&ranges, 96_000), None);
        let choose = |block| Settings::choose(ranges.into_iter(), 48_000, Some(block));
        assert_eq!(choose(32), None);
        assert_eq!(choose(256).map(|settings| settings.config.buffer_size), Some(BufferSize::Fixed(256)));
    }
}
