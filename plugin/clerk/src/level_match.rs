//! The gain at which an audition is as loud as the song it is heard instead of.

use candlemark_analysis::{Power, Reading};
use candlemark_handoff::{Audition, Gain};

/// The most that an audition is lifted, as a factor of amplitude: what unrelated sides lose in mono (3.01 dB). What
/// loses more is told by its figure, and not made loud.
const LOUDEST: f64 = std::f64::consts::SQRT_2;

/// What the gain of an audition is worked out from: the last 3 s.
pub(crate) fn gain(audition: Audition, reading: &Reading) -> Gain {
    let Power { left, right, mid } = reading.weighted_3s;
    // What both speakers play together, as a power.
    let stereo = left + right;
    let heard = match audition {
        // The difference is what mono leaves out: how little that is, is what one listens for.
        Audition::Off
        | Audition::Difference
        // Its level is its own.
        | Audition::NoiseLeftSpeaker
        | Audition::NoiseRightSpeaker => return Gain::UNITY,
        Audition::MonoBoth => 2.0 * mid,
        Audition::MonoLeftSpeaker | Audition::MonoRightSpeaker => mid,
        Audition::Left => 2.0 * left,
        Audition::Right => 2.0 * right,
    };
    if stereo <= 0.0 {
        return Gain::UNITY;
    }
    let equal = (stereo / heard).sqrt();
    lowered_to_fit(Gain::of_amplitude(equal.min(LOUDEST) as f32), reading)
}

/// A gain, lowered as far as the peaks of the last 3 s must be to fit under full scale; not under 1, for the song's own
/// peaks are not the audition's to turn down.
pub(crate) fn lowered_to_fit(gain: Gain, reading: &Reading) -> Gain {
    let room = f32::max(1.0, 1.0 / reading.true_peak_3s);
    Gain::of_amplitude(gain.amplitude().min(room))
}

/// A gain in dB.
pub(crate) fn db(gain: Gain) -> f64 {
    20.0 * f64::from(gain.amplitude()).log10()
}

#[cfg(test)]
mod tests {
    use candlemark_analysis::{Analyzer, Cell, Channels, Hertz, Position, Sink};

    use super::*;

    struct Last(Option<Reading>);
    impl Sink for Last {
        fn reading(&mut self, reading: &Reading) {
            self.0 = Some(*reading);
        }
        fn cell(&mut self, _: &Cell) {}
    }

    /// Four seconds of tones in the left and the right channel: frequency in cycles a frame, amplitude.
    fn heard(left: (f32, f32), right: (f32, f32)) -> Reading {
        let tone = |(cycles, amplitude): (f32, f32)| -> Vec<f32> {
            (0..4 * 48_000).map(|n| amplitude * (n as f32 * cycles * std::f32::consts::TAU).sin()).collect()
        };
        let mut analyzer = Analyzer::new(Hertz(48_000.0), Channels::Stereo).unwrap();
        let mut last = Last(None);
        analyzer.push(&tone(left), &tone(right), Position::in_file(0), &mut last);
        last.0.unwrap()
    }

    fn gain_db(audition: Audition, reading: &Reading) -> f64 {
        db(gain(audition, reading))
    }

    #[test]
    fn each_audition_is_brought_to_the_songs_loudness() {
        let same = heard((0.01, 0.1), (0.01, 0.1));
        assert!(gain_db(Audition::MonoBoth, &same).abs() < 0.01);
        assert!(gain_db(Audition::Left, &same).abs() < 0.01);
        assert!((gain_db(Audition::MonoLeftSpeaker, &same) - 3.01).abs() < 0.01, "one speaker of two");
        let unrelated = heard((0.01, 0.1), (0.013, 0.1));
        assert!((gain_db(Audition::MonoBoth, &unrelated) - 3.01).abs() < 0.05);
        assert_eq!(gain(Audition::Difference, &unrelated), Gain::UNITY);
        let left_heavy = heard((0.01, 0.2), (0.01, 0.05));
        assert!(gain_db(Audition::Left, &left_heavy) < -2.0, "a louder side is turned down");
    }

    #[test]
    fn nothing_is_made_loud() {
        // Opposite sides: nothing is left in mono, and no gain makes it up.
        let opposite = heard((0.01, 0.1), (0.01, -0.1));
        assert!(gain_db(Audition::MonoBoth, &opposite) <= 3.011);
        // Peaks at full scale are not lifted over it.
        let loud = heard((0.01, 1.0), (0.013, 1.0));
        assert!(gain_db(Audition::MonoBoth, &loud) < 0.01);
        assert_eq!(gain(Audition::MonoBoth, &heard((0.01, 0.0), (0.01, 0.0))), Gain::UNITY);
    }

    #[test]
    fn only_what_would_not_fit_is_lowered_and_never_under_the_song() {
        let lowered = |amplitude: f32, factor: f32| {
            let reading = heard((0.01, amplitude), (0.01, amplitude));
            lowered_to_fit(Gain::of_amplitude(factor), &reading).amplitude()
        };
        assert_eq!(lowered(0.5, 1.4), 1.4);
        assert!((lowered(0.8, 1.4) - 1.25).abs() < 0.001);
        assert_eq!(lowered(1.5, 1.4), 1.0);
        assert_eq!(lowered(1.5, 0.6), 0.6, "what is turned down for its loudness stays so");
        assert_eq!(lowered(0.0, 1.4), 1.4);
    }
}
