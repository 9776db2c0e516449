//! What stands in a score: chords by degrees of a scale, tunes, patterns, and the parts of a song.

/// Eighth notes in a bar.
pub(crate) const EIGHTHS: usize = 8;

/// A song as it is written down.
pub(crate) struct Score {
    pub(crate) title: &'static str,
    /// Quarter notes a minute.
    pub(crate) tempo_bpm: f64,
    /// MIDI number of the key's lowest useful note.
    pub(crate) key: i32,
    /// Half tones of the scale's degrees above the key.
    pub(crate) scale: [i32; 7],
    pub(crate) verse: Section,
    pub(crate) chorus: Section,
    /// Octaves by which the tune lies above the key.
    pub(crate) voice_octave: i32,
    /// What the lead instruments of this song are worth, 1 being usual.
    pub(crate) guitars: f32,
    pub(crate) reeds: f32,
    pub(crate) shaker: f32,
    /// How long the room rings, in seconds.
    pub(crate) room_s: f64,
    pub(crate) seed: u64,
}

/// Eight bars that come again.
pub(crate) struct Section {
    /// Degrees of the chords, one a bar.
    pub(crate) chords: [i32; 8],
    /// The tune: `degree:eighths`, `-` is a rest, `'` an octave up, `,` an octave down; bars are for the eye.
    pub(crate) tune: &'static str,
    /// Eighths of the bass: `r` the chord's root, `f` its fifth, `o` its octave, `.` goes on.
    pub(crate) bass: &'static str,
    /// Eighths of the guitars: `d` down, `u` up (lighter), `.` rings on.
    pub(crate) strum: &'static str,
    /// Sixteenths of the drums: `X` hard, `x` usual, `g` light, `.` nothing; in the hat's, `o` is open.
    pub(crate) kick: &'static str,
    pub(crate) snare: &'static str,
    pub(crate) hat: &'static str,
}

/// The parts of every song.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Part {
    Intro,
    Verse,
    Chorus,
    End,
}

/// What every song is built like.
pub(crate) const FORM: [(Part, usize); 6] = [
    (Part::Intro, 4),
    (Part::Verse, 8),
    (Part::Chorus, 8),
    (Part::Verse, 8),
    (Part::Chorus, 8),
    (Part::End, 2),
];

/// One note of a tune, in eighths from the section's start.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct TuneNote {
    pub(crate) at: f64,
    pub(crate) length: f64,
    /// Degrees above the key, from 0; an octave is seven.
    pub(crate) step: i32,
}

impl Score {
    pub(crate) fn bar_s(&self) -> f64 {
        240.0 / self.tempo_bpm
    }

    /// A degree (from 0; an octave is seven) as a MIDI number.
    pub(crate) fn note(&self, step: i32) -> f64 {
        f64::from(self.key + 12 * step.div_euclid(7) + self.scale[step.rem_euclid(7) as usize])
    }

    /// Where one of the parts begins, or the end of the last.
    pub(crate) fn starts_s(&self, part: usize) -> f64 {
        let bars: usize = FORM[..part].iter().map(|(_, bars)| bars).sum();
        bars as f64 * self.bar_s()
    }

    /// Where the second of two equal halves begins: the second verse.
    pub(crate) fn middle_s(&self) -> f64 {
        self.starts_s(3)
    }

    pub(crate) fn section(&self, part: Part) -> &Section {
        if part == Part::Chorus { &self.chorus } else { &self.verse }
    }
}

/// The notes of a tune.
pub(crate) fn tune(text: &str) -> Vec<TuneNote> {
    let mut at = 0.0;
    let mut notes = Vec::new();
    for token in text.split_whitespace().filter(|token| *token != "|") {
        let (degree, length) = token.split_once(':').expect("a tune's note has a length");
        let length: f64 = length.parse().expect("a tune's length is a number");
        if let Ok(degree_number) = degree.trim_end_matches(['\'', ',']).parse::<i32>() {
            let octaves = degree.matches('\'').count() as i32 - degree.matches(',').count() as i32;
            notes.push(TuneNote { at, length, step: degree_number - 1 + 7 * octaves });
        }
        at += length;
    }
    notes
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::music::songs;

    #[test]
    fn a_tune_is_read_as_it_is_written() {
        let notes = tune("1:2 5,:1 | -:3 2':2");
        let note = |at, length, step| TuneNote { at, length, step };
        assert_eq!(notes, [note(0.0, 2.0, 0), note(2.0, 1.0, -3), note(6.0, 2.0, 8)]);
    }

    #[test]
    fn every_section_is_eight_bars_long() {
        for score in songs::RECORDS.iter().chain([&songs::MIX]) {
            for section in [&score.verse, &score.chorus] {
                let length: f64 = section
                    .tune
                    .split_whitespace()
                    .filter_map(|t| t.split_once(':')?.1.parse::<f64>().ok())
                    .sum();
                assert_eq!(length, 64.0, "{}: {}", score.title, section.tune);
                assert_eq!([section.bass.len(), section.strum.len()], [8, 8], "{}", score.title);
                assert_eq!(
                    [section.kick.len(), section.snare.len(), section.hat.len()],
                    [16; 3],
                    "{}",
                    score.title
                );
            }
        }
    }
}
