//! Who plays what: a score on the band's instruments, panned, in a room.

use candlemark_tests::signals::Noise;

use super::instruments::guitar::Guitar;
use super::instruments::voice::Sung;
use super::instruments::{bass, drums, hz, reeds, voice};
use super::score::{EIGHTHS, FORM, Part, Score, Section, tune};
use super::stereo::Stereo;
use super::{amplitude, frames, room};

/// After the last bar, in seconds.
const TAIL_S: f64 = 3.5;
/// Open strings of the guitars: each takes the next chord note at or above it.
const OPEN_STRINGS: [i32; 5] = [45, 50, 55, 59, 64];
/// Between one string and the next of a strum, in seconds.
const STRUM_S: f64 = 0.011;
/// How far players stray from the beat, in seconds.
const LOOSE_S: f64 = 0.006;

/// Levels in dB, as the faders stand.
mod fader {
    pub(crate) const KICK_DB: f64 = -6.0;
    pub(crate) const SNARE_DB: f64 = -1.0;
    pub(crate) const HAT_DB: f64 = -3.0;
    pub(crate) const SHAKER_DB: f64 = -9.0;
    pub(crate) const BASS_DB: f64 = -9.5;
    pub(crate) const GUITAR_DB: f64 = -7.5;
    pub(crate) const REEDS_DB: f64 = -18.5;
    pub(crate) const VOICE_DB: f64 = -3.0;
    pub(crate) const SECOND_VOICES_DB: f64 = -5.0;
    pub(crate) const ROOM_DB: f64 = -3.5;
}

/// Plays a song.
pub(crate) fn play(score: &Score) -> Stereo {
    let length = frames(score.starts_s(FORM.len()) + TAIL_S);
    let mut band = Band {
        score,
        noise: Noise::new(score.seed),
        guitar: Guitar::default(),
        dry: Stereo::silent(length),
        sent: vec![0.0; length],
    };
    for (index, (part, bars)) in FORM.into_iter().enumerate() {
        let starts_s = score.starts_s(index);
        for within in 0..bars {
            band.bar(part, within, bars, starts_s + within as f64 * score.bar_s());
        }
        if matches!(part, Part::Verse | Part::Chorus) {
            band.sing(score.section(part), starts_s, part == Part::Chorus, index as u64);
        }
    }
    let mut mixed = band.dry;
    mixed.add_all(&room::answer(&band.sent, score.room_s), amplitude(fader::ROOM_DB));
    mixed.fade_out(frames(TAIL_S * 0.7));
    mixed
}

/// The players, and what they have played so far.
struct Band<'a> {
    score: &'a Score,
    noise: Noise,
    guitar: Guitar,
    dry: Stereo,
    /// What the room hears.
    sent: Vec<f32>,
}

impl Band<'_> {
    /// Adds a sound at a time, and sends a share of it into the room.
    fn add(&mut self, sound: &[f32], at_s: f64, db: f64, pan: f32, to_room: f32) {
        let (gain, from) = (amplitude(db), frames(at_s.max(0.0)));
        self.dry.add(sound, from, gain, pan);
        let sent = self.sent.iter_mut().skip(from);
        sent.zip(sound).for_each(|(sent, sample)| *sent += gain * to_room * sample);
    }

    fn stray_s(&mut self) -> f64 {
        LOOSE_S * (1.0 + self.noise.even())
    }

    fn stray_db(&mut self) -> f64 {
        0.8 * self.noise.even()
    }

    /// One bar of everyone but the singers.
    fn bar(&mut self, part: Part, within: usize, bars: usize, at_s: f64) {
        if part == Part::End {
            if within == 0 {
                self.last_chord(at_s);
            }
            return;
        }
        let section = self.score.section(part);
        let chord = section.chords[within];
        let is_last = within + 1 == bars;
        let loud_db = match part {
            // It begins softly.
            Part::Intro => -9.0 + 2.5 * within as f64,
            Part::Verse => -1.0,
            _ => 0.0,
        };
        let a_bar = [self.score.bar_s(), 0.09];
        self.guitars(section.strum, chord, at_s, loud_db);
        if part != Part::Intro || within >= 2 {
            self.shaken(section.hat, at_s, loud_db);
        }
        if part == Part::Intro {
            self.reeds(chord, a_bar, at_s, loud_db - 1.0);
            return;
        }
        self.bass(section.bass, chord, at_s, loud_db);
        self.drums(section, is_last, at_s, loud_db);
        self.reeds(chord, a_bar, at_s, if part == Part::Chorus { 0.0 } else { -4.0 });
    }

    /// Everyone on the first chord, which rings out.
    fn last_chord(&mut self, at_s: f64) {
        let rings_s = 2.0 * self.score.bar_s();
        self.guitars("d.......", 1, at_s, 0.0);
        self.reeds(1, [rings_s, 0.8 * rings_s], at_s, -1.0);
        let low = bass::note(hz(self.root(1)), rings_s);
        self.add(&low, at_s, fader::BASS_DB, 0.0, 0.0);
        let kick = drums::kick(&mut self.noise);
        self.add(&kick, at_s, fader::KICK_DB, 0.0, 0.1);
        let ringing = drums::hat(&mut self.noise, true);
        self.add(&ringing, at_s, fader::HAT_DB + 3.0, 0.3, 0.3);
    }

    fn drums(&mut self, section: &Section, fills: bool, at_s: f64, loud_db: f64) {
        let sixteenth_s = self.score.bar_s() / 16.0;
        let snare = if fills { "....x.......x.xX" } else { section.snare };
        for (n, (kick, snare)) in section.kick.chars().zip(snare.chars()).enumerate() {
            let at_s = at_s + n as f64 * sixteenth_s;
            if let Some(hit_db) = hit_db(kick) {
                let sound = drums::kick(&mut self.noise);
                let db = fader::KICK_DB + loud_db + hit_db + self.stray_db();
                self.add(&sound, at_s, db, 0.0, 0.04);
            }
            if let Some(hit_db) = hit_db(snare) {
                let sound = drums::snare(&mut self.noise);
                let db = fader::SNARE_DB + loud_db + hit_db + self.stray_db();
                let late_s = self.stray_s();
                self.add(&sound, at_s + late_s, db, 0.04, 0.35);
            }
        }
    }

    /// The hat to the right, and a shaker to the left on every eighth.
    fn shaken(&mut self, hat: &str, at_s: f64, loud_db: f64) {
        let sixteenth_s = self.score.bar_s() / 16.0;
        for (n, stroke) in hat.chars().enumerate() {
            let at_s = at_s + n as f64 * sixteenth_s;
            let (is_open, stroke) = if stroke == 'o' { (true, 'x') } else { (false, stroke) };
            if let Some(hit_db) = hit_db(stroke) {
                let sound = drums::hat(&mut self.noise, is_open);
                let db = fader::HAT_DB + loud_db + hit_db + self.stray_db();
                let late_s = self.stray_s();
                self.add(&sound, at_s + late_s, db, 0.35, 0.12);
            }
            if n % 2 == 0 {
                let sound = drums::shaker(&mut self.noise);
                let accent_db = if n % 4 == 0 { 0.0 } else { -4.0 };
                let worth_db = 20.0 * f64::from(self.score.shaker).log10();
                let db = fader::SHAKER_DB + loud_db + accent_db + worth_db + self.stray_db();
                let late_s = self.stray_s();
                self.add(&sound, at_s + late_s, db, -0.5, 0.12);
            }
        }
    }

    /// The chord's root, low.
    fn root(&self, chord: i32) -> f64 {
        let note = self.score.note(chord - 1);
        // From E up to the E flat above.
        28.0 + (note - 28.0).rem_euclid(12.0)
    }

    fn bass(&mut self, pattern: &str, chord: i32, at_s: f64, loud_db: f64) {
        let eighth_s = self.score.bar_s() / EIGHTHS as f64;
        let root = self.root(chord);
        let fifth = self.score.note(chord + 3) - self.score.note(chord - 1);
        for (n, stroke) in pattern.chars().enumerate() {
            let above = match stroke {
                'r' => 0.0,
                'f' => fifth,
                'o' => 12.0,
                _ => continue,
            };
            let holds = 1 + pattern.chars().skip(n + 1).take_while(|next| *next == '.').count();
            let sound = bass::note(hz(root + above), holds as f64 * eighth_s * 0.97);
            let late_s = self.stray_s();
            let db = fader::BASS_DB + loud_db / 2.0 + self.stray_db();
            self.add(&sound, at_s + n as f64 * eighth_s + late_s, db, 0.0, 0.0);
        }
    }

    /// Whether a MIDI number is in a chord.
    fn is_in(&self, chord: i32, note: i32) -> bool {
        [0, 2, 4]
            .iter()
            .any(|third| (f64::from(note) - self.score.note(chord - 1 + third)).rem_euclid(12.0) == 0.0)
    }

    /// Two takes, one a side.
    fn guitars(&mut self, pattern: &str, chord: i32, at_s: f64, loud_db: f64) {
        let eighth_s = self.score.bar_s() / EIGHTHS as f64;
        let strings: Vec<i32> = OPEN_STRINGS
            .iter()
            .filter_map(|open| (*open..open + 12).find(|note| self.is_in(chord, *note)))
            .collect();
        let worth_db = 20.0 * f64::from(self.score.guitars).log10();
        for (n, stroke) in pattern.chars().enumerate() {
            let (order, stroke_db): (Vec<i32>, f64) = match stroke {
                'd' => (strings.clone(), 0.0),
                'u' => (strings.iter().rev().take(3).copied().collect(), -4.0),
                _ => continue,
            };
            let holds = 1 + pattern.chars().skip(n + 1).take_while(|next| *next == '.').count();
            let accent_db = if n == 0 { 1.0 } else { 0.0 };
            for pan in [-0.9, 0.9] {
                let late_s = self.stray_s();
                for (index, note) in order.iter().enumerate() {
                    let rings_s = (holds as f64 + 1.5) * eighth_s;
                    let sound = self.guitar.string(*note, rings_s, &mut self.noise);
                    let db = fader::GUITAR_DB + loud_db + stroke_db + accent_db + worth_db + self.stray_db();
                    let at_s = at_s + n as f64 * eighth_s + late_s + index as f64 * STRUM_S;
                    self.add(&sound, at_s, db, pan, 0.25);
                }
            }
        }
    }

    /// The chord on a concertina, whose two ends are the two sides; its bellows come to rest over the end of the length.
    fn reeds(&mut self, chord: i32, [length_s, lets_go_s]: [f64; 2], at_s: f64, loud_db: f64) {
        let notes: Vec<i32> = (57..74).filter(|note| self.is_in(chord, *note)).take(4).collect();
        let worth_db = 20.0 * f64::from(self.score.reeds).log10();
        for (index, note) in notes.iter().enumerate() {
            for (pan, cents) in [(-0.6f32, -4.0f32), (0.6, 4.5)] {
                let sound = reeds::reed(hz(f64::from(*note)), cents + index as f32, length_s, lets_go_s);
                let pan = pan + 0.1 * (index as f32 - 1.5);
                self.add(&sound, at_s, fader::REEDS_DB + loud_db + worth_db, pan, 0.35);
            }
        }
    }

    /// The tune; in the chorus two more voices a third above, one a side.
    fn sing(&mut self, section: &Section, starts_s: f64, is_chorus: bool, take: u64) {
        let eighth_s = self.score.bar_s() / EIGHTHS as f64;
        let lift = 7 * self.score.voice_octave;
        let sung = |above: i32| -> Vec<Sung> {
            tune(section.tune)
                .iter()
                .map(|note| Sung {
                    at_s: starts_s + note.at * eighth_s,
                    length_s: note.length * eighth_s,
                    hz: hz(self.score.note(note.step + lift + above)),
                })
                .collect()
        };
        let (tune, third) = (sung(0), sung(2));
        let lead = voice::line(&tune, 0.012, 0.0, self.score.seed + take);
        self.add(&lead, 0.0, fader::VOICE_DB + if is_chorus { 1.0 } else { 0.0 }, 0.0, 0.3);
        if is_chorus {
            for (pan, late_s, cents, seed) in [(-0.65, 0.021, -7.0, 100), (0.65, 0.034, 6.0, 200)] {
                let second = voice::line(&third, late_s, cents, self.score.seed + take + seed);
                self.add(&second, 0.0, fader::SECOND_VOICES_DB, pan, 0.5);
            }
        }
    }
}

/// How hard a stroke is, in dB. `None` where there is none.
fn hit_db(stroke: char) -> Option<f64> {
    match stroke {
        'X' => Some(1.0),
        'x' => Some(0.0),
        'g' => Some(-9.0),
        _ => None,
    }
}
