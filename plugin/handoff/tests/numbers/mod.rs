//! Readings and cells of every kind, the same at every run.

use candlemark_analysis::bands::BAND_COUNT;
use candlemark_analysis::{BandPower, Cell, Channels, Faults, PassFigures, Place, Power, Reading};

/// Numbers without a pattern, the same at every run.
pub(crate) struct Numbers(pub(crate) u64);

impl Numbers {
    pub(crate) fn bits(&mut self) -> u64 {
        // SplitMix64, Steele, Lea and Flood 2014.
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let z = (self.0 ^ self.0 >> 30).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        let z = (z ^ z >> 27).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ z >> 31
    }

    fn below(&mut self, end: u64) -> u64 {
        self.bits() % end
    }

    fn flag(&mut self) -> bool {
        self.below(2) == 1
    }

    /// From 2⁻⁴⁶ to 2⁷, −138 to +21 dB, and nothing one time in eight.
    fn power(&mut self) -> f64 {
        if self.below(8) == 0 {
            return 0.0;
        }
        let exponent = 1023 - 46 + self.below(53);
        f64::from_bits(exponent << 52 | self.bits() >> 12)
    }

    fn powers(&mut self) -> Power {
        Power { left: self.power(), right: self.power(), mid: self.power() }
    }

    fn bands(&mut self) -> [BandPower; BAND_COUNT] {
        std::array::from_fn(|_| BandPower {
            left: self.power() as f32,
            right: self.power() as f32,
            mid: self.power() as f32,
        })
    }

    pub(crate) fn channels(&mut self) -> Channels {
        if self.flag() { Channels::Mono } else { Channels::Stereo }
    }

    fn place(&mut self) -> Place {
        Place {
            pass: self.below(1 << 24) as u32,
            song_s: self.below(1 << 40) as f64 / 1e7 - 100.0,
            beats: self.flag().then(|| self.below(1 << 40) as f64 / 1e7 - 100.0),
            offline: self.flag(),
            preroll: self.flag(),
        }
    }

    pub(crate) fn reading(&mut self) -> Reading {
        Reading {
            channels: self.channels(),
            end_frame: self.bits(),
            frames: self.below(38_401) as u32,
            place: self.place(),
            weighted: self.powers(),
            plain: self.powers(),
            mean: [self.power() - 0.5, self.power() - 0.5],
            sample_peak: self.power() as f32,
            true_peak: self.power() as f32,
            faults: Faults { non_finite: self.bits() as u32, clipped_runs: self.bits() as u32 },
            momentary_power: self.power(),
            short_term_power: self.power(),
            true_peak_3s: self.power() as f32,
            weighted_3s: self.powers(),
            plain_3s: self.powers(),
            bands_3s: self.bands(),
            pass: PassFigures {
                integrated_power: self.power(),
                gate_power: self.power(),
                range_lu: self.flag().then(|| self.power()),
                momentary_max_power: self.power(),
                short_term_max_power: self.power(),
                true_peak: self.power() as f32,
                seconds: self.power(),
            },
        }
    }

    pub(crate) fn cell(&mut self) -> Cell {
        let index = self.below(100_000) as i64 - 50_000;
        let by_beats = self.flag();
        let end = (index as f64 + self.below(1_000_001) as f64 / 1e6) * 2.0;
        Cell {
            channels: self.channels(),
            index,
            by_beats,
            place: Place { beats: by_beats.then_some(end), ..self.place() },
            start_frame: self.below(1 << 40),
            frames: self.below(1 << 24) as u32,
            coverage: self.below(1001) as f32 / 1000.0,
            weighted: self.powers(),
            plain: self.powers(),
            short_term_power: self.power(),
            true_peak_3s: self.power() as f32,
            true_peak: self.power() as f32,
            bands: self.bands(),
        }
    }
}
