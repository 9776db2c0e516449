//! The last stage: tone, level, limiter; and the mix with its faults.

use std::ops::Range;
use std::thread;

use candlemark_analysis::Lufs;
use candlemark_tests::sound::Sound;

use super::limiter::limit;
use super::score::Score;
use super::spectrum::Spectrum;
use super::stereo::Stereo;
use super::tone::{Character, towards_the_curve};
use super::{RATE_HZ, amplitude, arrangement, faults, frames, songs};

/// Loudness of each record's chorus, in LUFS.
const RECORDS_LUFS: [f64; 3] = [-11.8, -11.3, -11.5];
/// The same of the mix without its faults.
const MIX_LUFS: f64 = -11.5;
/// So near is near enough, in LU.
const NEAR_LU: f64 = 0.05;
/// No sample goes over this, in dBFS: true peaks stay below full scale.
const CEILING_DBFS: f64 = -1.2;

/// A song that has been made.
pub struct Made {
    /// Its title.
    pub title: &'static str,
    /// Its tempo, in quarter notes a minute.
    pub tempo_bpm: f64,
    /// Where its second half begins (the second verse), in seconds.
    pub middle_s: f64,
    /// The sound.
    pub sound: Sound,
}

impl Made {
    /// As it is called in a folder.
    pub fn file_name(&self) -> String {
        format!("{} - {}.wav", super::BAND, self.title)
    }
}

/// The three records.
pub fn records() -> Vec<Made> {
    thread::scope(|scope| {
        let one =
            |n: usize| scope.spawn(move || clean(&songs::RECORDS[n], Character::OfThree(n), RECORDS_LUFS[n]));
        let made: Vec<_> = (0..songs::RECORDS.len()).map(one).collect();
        made.into_iter().map(|made| made.join().expect("a record can be made")).collect()
    })
}

/// The mix with its three faults.
pub fn mix() -> Made {
    let score = &songs::MIX;
    let played = Spectrum::of(&arrangement::play(score));
    let tone = towards_the_curve(&played, Character::Even);
    let mut sound = played.filtered(|hz| tone.amplitude(hz, faults::too_bright_db(hz)));
    faults::turn_low_end(&mut sound, score.middle_s());
    made(score, brought_to(sound, chorus(score), MIX_LUFS + faults::DRIVEN_DB))
}

/// The mix as it would be without them.
pub fn mix_without_faults() -> Made {
    clean(&songs::MIX, Character::Even, MIX_LUFS)
}

fn clean(score: &Score, character: Character, lufs: f64) -> Made {
    let played = Spectrum::of(&arrangement::play(score));
    let tone = towards_the_curve(&played, character);
    let sound = played.filtered(|hz| tone.amplitude(hz, 0.0));
    made(score, brought_to(sound, chorus(score), lufs))
}

fn made(score: &Score, sound: Sound) -> Made {
    Made { title: score.title, tempo_bpm: score.tempo_bpm, middle_s: score.middle_s(), sound }
}

/// The frames of a song's last chorus.
fn chorus(score: &Score) -> Range<usize> {
    frames(score.starts_s(4))..frames(score.starts_s(5))
}

/// Drives a sound into the limiter until its chorus is as loud as wanted.
fn brought_to(mut sound: Stereo, chorus: Range<usize>, lufs: f64) -> Sound {
    let ceiling = amplitude(CEILING_DBFS);
    let part = Stereo { left: sound.left[chorus.clone()].to_vec(), right: sound.right[chorus].to_vec() };
    let mut drive_db = 0.0;
    loop {
        let mut driven = part.clone();
        driven.scale(amplitude(drive_db));
        limit(&mut driven, ceiling);
        let missing_db = lufs - loudness_lufs(driven);
        drive_db += missing_db;
        if missing_db.abs() < NEAR_LU {
            break;
        }
    }
    sound.scale(amplitude(drive_db));
    limit(&mut sound, ceiling);
    Sound::stereo(RATE_HZ, sound.left, sound.right)
}

fn loudness_lufs(sound: Stereo) -> f64 {
    let heard = Sound::stereo(RATE_HZ, sound.left, sound.right).heard();
    Lufs::of_power(heard.last().pass.integrated_power).expect("a chorus is not silent").0
}
