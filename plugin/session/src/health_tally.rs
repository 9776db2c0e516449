//! Counts what should not be, over a stretch of readings.

use candlemark_analysis::{Db, Reading};

use crate::figures::Health;

/// What a stretch of sound adds up to.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct HealthTally {
    frames: f64,
    dc_sum: [f64; 2],
    sample_peak: f32,
    /// Counts and places; the means are worked out in the end.
    counts: Health,
    /// The last reading taken in was an over.
    ends_over: bool,
}

impl HealthTally {
    /// Takes in the reading of a chunk that begins at `at_s` of the song.
    pub(crate) fn take(&mut self, reading: &Reading, at_s: f64) {
        // The last reading of a file may hold nothing but what the interpolator still held of the one before.
        let goes_on = reading.frames == 0 && self.ends_over;
        self.ends_over = reading.true_peak > 1.0;
        let frames = f64::from(reading.frames);
        let overs = u64::from(self.ends_over && !goes_on);
        let (clipped_runs, non_finite) =
            (reading.faults.clipped_runs.into(), reading.faults.non_finite.into());
        let first_s = |count: u64| (count > 0).then_some(at_s);
        let counts = Health {
            overs,
            over_at_s: first_s(overs),
            clipped_runs,
            clipped_at_s: first_s(clipped_runs),
            non_finite,
            non_finite_at_s: first_s(non_finite),
            ..Health::default()
        };
        let dc_sum = reading.mean.map(|mean| mean * frames);
        self.add(&Self { frames, dc_sum, sample_peak: reading.sample_peak, counts, ends_over: false });
    }

    /// Adds a stretch that lies further on in the song.
    pub(crate) fn add(&mut self, later: &Self) {
        self.frames += later.frames;
        self.sample_peak = self.sample_peak.max(later.sample_peak);
        for (sum, more) in self.dc_sum.iter_mut().zip(later.dc_sum) {
            *sum += more;
        }
        let (counts, more) = (&mut self.counts, &later.counts);
        counts.overs += more.overs;
        counts.clipped_runs += more.clipped_runs;
        counts.non_finite += more.non_finite;
        counts.over_at_s = counts.over_at_s.or(more.over_at_s);
        counts.clipped_at_s = counts.clipped_at_s.or(more.clipped_at_s);
        counts.non_finite_at_s = counts.non_finite_at_s.or(more.non_finite_at_s);
    }

    /// The largest sample of either channel, full scale 1.
    pub(crate) fn sample_peak(&self) -> Option<Db> {
        Db::of_amplitude(self.sample_peak.into())
    }

    /// Counts, first places and means. What takes gates or cells to tell is left undefined.
    pub(crate) fn health(&self) -> Health {
        let [dc_left, dc_right] = self.dc_sum.map(|sum| sum / self.frames.max(1.0));
        Health { dc_left, dc_right, ..self.counts }
    }
}
