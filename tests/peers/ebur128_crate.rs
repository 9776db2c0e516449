//! Against the crate `ebur128`, a general-purpose reference for EBU R 128, on the very same samples.

use std::ffi::OsStr;
use std::fmt::Write as _;
use std::path::Path;

use candlemark_analysis::{Lufs, Reading};
use candlemark_tests::paths;
use candlemark_tests::signals::{Noise, faded, sine, tone_segments};
use candlemark_tests::sound::Sound;
use ebur128::{EbuR128, Mode};
use tempfile::TempDir;

use crate::{ffmpeg, name, track};

/// Both follow one definition in double precision, with filters that differ by 0.005 dB at 44.1 kHz.
const LOUDNESS_LU: f64 = 0.02;
/// Both oversample four times; the crate interpolates with 49 taps, we with 64 of another window. Near half the
/// rate, where neither is ideal, they differ by some tenths.
const TRUE_PEAK_DB: f64 = 0.3;
/// The crate's own range: it takes a short-term value each second, where EBU Tech 3342 v4 (2023) asks for ten,
/// which we take.
const OWN_RANGE_LU: f64 = 0.30;
/// Of less sound than a minute, EBU R 128 v5 (2023) advises against a range; there the crate's values are so few
/// that each is 2 % of them, and only the range over ten a second is compared.
const SHORTEST_FOR_OWN_RANGE_S: f64 = 60.0;
/// The range of the crate's short-term values, taken ten times a second: we sort them into bins of 0.01 LU, and
/// take the mean of a bin for a percentile that lies in it; the windows are cut at other frames.
const RANGE_LU: f64 = 0.1;
/// Under the absolute gate there is nothing to agree on but how filters ring out.
const QUIETEST_LUFS: f64 = -70.0;

/// What lies furthest apart in a sound.
#[derive(Debug, Default)]
struct Apart {
    integrated_lu: f64,
    momentary_lu: f64,
    short_term_lu: f64,
    range_lu: f64,
    own_range_lu: f64,
    true_peak_db: f64,
    instants: usize,
}

fn compare(sound: &Sound) -> Apart {
    let heard = sound.heard();
    let figures = heard.figures(sound.rate);
    let mode = Mode::M | Mode::S | Mode::I | Mode::LRA | Mode::SAMPLE_PEAK | Mode::TRUE_PEAK;
    let mut peer = EbuR128::new(2, sound.rate as u32, mode).expect("the crate takes the rate");
    let mut apart = Apart::default();
    let mut short_terms = Vec::new();
    let mut from = 0;
    for reading in &heard.readings {
        let to = reading.end_frame as usize;
        peer.add_frames_planar_f32(&[&sound.left[from..to], &sound.right[from..to]]).expect("sound fits");
        from = to;
        // The last chunk ends with the file, not with its 100 ms.
        if to < sound.left.len() {
            at_an_instant(&peer, reading, sound.rate, &mut apart);
            if to as f64 >= 3.0 * sound.rate {
                short_terms.push(peer.loudness_shortterm().expect("it was asked for"));
            }
        }
    }
    assert_eq!(from, sound.left.len());
    let sample_peak = [0, 1].map(|channel| peer.sample_peak(channel).unwrap());
    let ours = heard.readings.iter().map(|reading| reading.sample_peak).fold(0.0, f32::max);
    assert_eq!(f64::from(ours), sample_peak[0].max(sample_peak[1]), "the sample peaks are samples");
    let true_peak = [0, 1].map(|channel| peer.true_peak(channel).unwrap());
    let true_peak_db = 20.0 * true_peak[0].max(true_peak[1]).log10();
    apart.true_peak_db = figures.true_peak_dbtp.expect("it sounds").0 - true_peak_db;
    apart.integrated_lu = figures.integrated.expect("it sounds").0 - peer.loudness_global().unwrap();
    add_closing_silence(&mut peer, sound, &mut short_terms);
    let range_lu = figures.range_lu.expect("it sounds");
    apart.range_lu = range_lu - range_of(short_terms);
    apart.own_range_lu = range_lu - peer.loudness_range().unwrap();
    apart
}

/// Appends what EBU Tech 3342 v4 (2023) has a meter of files append for the range, 1.5 s of silence, and goes
/// on taking a short-term value at each whole tenth of a second.
fn add_closing_silence(peer: &mut EbuR128, sound: &Sound, short_terms: &mut Vec<f64>) {
    let tenth = (0.1 * sound.rate) as usize;
    let end = sound.left.len() + 15 * tenth;
    let mut at = sound.left.len();
    // A file that ends with a whole tenth has its last value still to come.
    let mut border = at.div_ceil(tenth) * tenth;
    while border <= end {
        let silence = vec![0f32; border - at];
        peer.add_frames_planar_f32(&[&silence, &silence]).expect("silence fits");
        short_terms.push(peer.loudness_shortterm().expect("it was asked for"));
        (at, border) = (border, border + tenth);
    }
}

/// The loudness range of short-term values: EBU Tech 3342 v4 (2023), sec. 3.
fn range_of(mut short_terms: Vec<f64>) -> f64 {
    short_terms.retain(|lufs| *lufs >= QUIETEST_LUFS);
    let powers: f64 = short_terms.iter().map(|lufs| 10f64.powf(lufs / 10.0)).sum();
    let gate = 10.0 * (powers / short_terms.len() as f64).log10() - 20.0;
    short_terms.retain(|lufs| *lufs >= gate);
    short_terms.sort_by(f64::total_cmp);
    let percentile = |p: f64| short_terms[((short_terms.len() - 1) as f64 * p / 100.0).round() as usize];
    percentile(95.0) - percentile(10.0)
}

fn at_an_instant(peer: &EbuR128, reading: &Reading, rate: f64, apart: &mut Apart) {
    let seconds = reading.end_frame as f64 / rate;
    let windows = [
        (0.4, reading.momentary_power, peer.loudness_momentary().unwrap(), &mut apart.momentary_lu),
        (3.0, reading.short_term_power, peer.loudness_shortterm().unwrap(), &mut apart.short_term_lu),
    ];
    for (window_s, power, theirs, most) in windows {
        if seconds < window_s || theirs < QUIETEST_LUFS {
            continue;
        }
        let ours = Lufs::of_power(power).expect("the crate says that it sounds").0;
        *most = if (ours - theirs).abs() > most.abs() { ours - theirs } else { *most };
        apart.instants += 1;
    }
}

/// Compares sounds, prints the table in one piece, and fails where anything lies too far apart.
#[track_caller]
fn hold(sounds: impl IntoIterator<Item = (String, Sound)>) {
    let mut table =
        format!("{:<32}   I, LU   M, LU   S, LU   range at 1 Hz  TP, dB instants\n", "ours less the crate's");
    let far: Vec<String> =
        sounds.into_iter().filter_map(|(what, sound)| too_far(&what, &sound, &mut table)).collect();
    println!("{table}");
    assert!(far.is_empty(), "{far:#?}");
}

/// Compares a sound, adds a line to the table, and tells when anything lies too far apart.
fn too_far(what: &str, sound: &Sound, table: &mut String) -> Option<String> {
    let apart = compare(sound);
    let Apart { integrated_lu, momentary_lu, short_term_lu, range_lu, own_range_lu, true_peak_db, instants } =
        apart;
    let _ = writeln!(
        table,
        "{what:<32}{integrated_lu:>8.4}{momentary_lu:>8.4}{short_term_lu:>8.4}{range_lu:>8.3}{own_range_lu:>8.3}\
         {true_peak_db:>8.3}{instants:>9}"
    );
    assert!(instants > 100, "{what}: {instants} instants are no comparison");
    let tells_own_range = sound.seconds() >= SHORTEST_FOR_OWN_RANGE_S;
    let near = [integrated_lu, momentary_lu, short_term_lu].iter().all(|lu| lu.abs() <= LOUDNESS_LU)
        && range_lu.abs() <= RANGE_LU
        && (!tells_own_range || own_range_lu.abs() <= OWN_RANGE_LU)
        && true_peak_db.abs() <= TRUE_PEAK_DB;
    (!near).then(|| format!("{what}: {apart:.4?}"))
}

#[test]
fn every_track_reads_alike() {
    hold(paths::music_tracks().iter().map(|path| (name(path), Sound::read(path))));
}

#[test]
fn tracks_at_48_kilohertz_read_alike() {
    let folder = TempDir::new().unwrap();
    hold(["greek.ogg", "electro.ogg", "mus2.ogg"].into_iter().map(|wanted| {
        let sound = converted(&track(wanted), folder.path());
        assert_eq!(sound.rate, 48_000.0);
        (format!("{wanted} at 48 kHz"), sound)
    }));
}

/// A track as ffmpeg resamples it.
fn converted(track: &Path, folder: &Path) -> Sound {
    let path = folder.join("converted.wav");
    let input = ["-i".as_ref(), track.as_os_str()];
    let output = ["-ar", "48000", "-c:a", "pcm_f32le"].map(OsStr::new);
    ffmpeg::run(input.into_iter().chain(output).chain([path.as_os_str()]));
    Sound::read(&path)
}

#[test]
fn made_sounds_read_alike() {
    let sounds = [44_100.0, 48_000.0].into_iter().flat_map(made_sounds);
    hold(sounds.map(|(what, sound)| (format!("{what}, {} Hz", sound.rate), sound)));
}

fn made_sounds(rate: f64) -> [(&'static str, Sound); 3] {
    // Loud, quiet, under the relative gate, under the absolute gate, and back.
    let steps = [(12.0, -18.0), (9.3, -30.0), (8.0, -45.0), (6.0, -80.0), (11.7, -23.0)];
    let tone = tone_segments(rate, 997.0, &steps);
    let swell = tone_segments(rate, 0.07, &[(60.0, -12.0)]);
    let [left, right] = [(31, 0.3), (32, 0.5)].map(|(seed, deviation)| {
        let mut noise = Noise::new(seed);
        swell.iter().map(|level| level * noise.gaussian(deviation) as f32).collect()
    });
    let [low, high] = [31.0, 9_500.0].map(|hertz| faded(sine(rate, hertz, -6.0, 20.0, 20.0), rate));
    [
        ("tones in steps", Sound::in_both(rate, tone)),
        ("unlike swelling noises", Sound::stereo(rate, left, right)),
        ("a low and a high tone", Sound::stereo(rate, low, high)),
    ]
}
