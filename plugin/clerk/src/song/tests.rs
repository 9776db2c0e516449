use candlemark_analysis::{Analyzer, Position};
use candlemark_handoff::{Tape, TapeWriter};

use super::*;

/// A host that plays a sine at the settings of the moment.
struct Host {
    tape: TapeWriter,
    analyzer: Analyzer,
}

impl Host {
    fn new(tape: TapeWriter, rate: Hertz, channels: Channels) -> Self {
        let mut host = Self { tape, analyzer: Analyzer::new(rate, channels).unwrap() };
        host.tape.activate(rate, channels);
        host
    }

    fn set_up(self, rate: Hertz, channels: Channels) -> Self {
        Self::new(self.tape, rate, channels)
    }

    fn play(&mut self, from_s: usize, to_s: usize) {
        let rate = self.analyzer.sample_rate().0 as usize;
        for second in from_s..to_s {
            let frames = second * rate..(second + 1) * rate;
            let sine: Vec<f32> = frames.clone().map(|n| 0.1 * (n as f32 * 0.131).sin()).collect();
            self.analyzer.push(&sine, &sine, Position::in_file(frames.start as i64), &mut self.tape);
        }
    }
}

#[test]
fn what_was_heard_at_a_sample_rate_is_there_again_when_the_host_comes_back_to_it() {
    let (tape, reader) = Tape::new();
    let mut song = Song::new(&reader);
    let mut now = Instant::now();
    let mut heard = |song: &mut Song| {
        now += FIGURES;
        assert!(song.catch_up(&reader, now), "the figures are worked out anew");
        let WorkedOut { song, strip, .. } = song.worked_out.clone();
        (song, strip)
    };
    let (working, other) = ((Hertz(48_000.0), Channels::Stereo), Hertz(96_000.0));
    let mut host = Host::new(tape, working.0, working.1);
    host.play(0, 12);
    let before = heard(&mut song);
    assert!(before.0.duration_s > 10.0 && before.1.len() > 10);

    // A render at another rate, and something in mono.
    for (rate, channels, seconds) in [(other, Channels::Stereo, 6), (working.0, Channels::Mono, 8)] {
        host = host.set_up(rate, channels);
        let (figures, strip) = heard(&mut song);
        assert_eq!(
            (figures.duration_s, strip.len()),
            (0.0, 0),
            "{rate:?}, {channels:?}: nothing is heard yet"
        );
        host.play(0, seconds);
        let heard_s = heard(&mut song).0.duration_s;
        assert!((heard_s - seconds as f64).abs() <= 1.0, "{rate:?}, {channels:?}: {heard_s} s");
    }

    host = host.set_up(working.0, working.1);
    assert_eq!(heard(&mut song), before);
    // The song goes on where it was.
    host.play(12, 20);
    let after = heard(&mut song).0;
    assert!((after.duration_s - before.0.duration_s - 8.0).abs() <= 1.0, "{} s", after.duration_s);

    // And so does the render's.
    host.set_up(other, Channels::Stereo);
    assert!((heard(&mut song).0.duration_s - 6.0).abs() <= 1.0);
}
