//! The calibration noise held with the mouse: what it is, how it comes and goes, and what ends it.

use std::time::Instant;

use candlemark_clerk::ReadOut;
use candlemark_editor::Look;
use candlemark_handoff::{NOISE_A_WEIGHTED_DB, NOISE_LONGEST_S};
use ebur128::{EbuR128, Mode};

use super::{
    Auditions, BLOCK, ENDS, End, HAND, Heard, Place, RATE, Restart, SECOND, Studio, TRIES, Told, is_song,
    nothing, place_after, wherever_it_is,
};
use crate::read_out::shown;
use crate::signals::{Noise, level_db};
use crate::spectrum::{Spectrum, a_weight};
use crate::x11::{Parent, on_a_display_of_its_own};

const STANDS: Told = Told { at_s: None, records: false };

/// Standard deviation of a song so quiet that no noise could hide in what is measured of it.
const QUIET: f64 = 0.001;

/// For how long the second speaker's is held, in seconds: two for the way up, six for its level and its spectrum.
const SHORTLY_S: usize = 8;

impl<H: Auditions> Studio<'_, H> {
    /// Presses the button, and plays until the noise has sounded for half a second.
    fn holds_noise(&mut self, place: Place, when: &str) {
        for _ in 0..TRIES {
            self.press_until(place, |heard| heard != Heard::Song, when);
            if (0..SECOND / 2).all(|_| self.block() != Heard::Song) {
                return;
            }
            self.parent.release();
            self.hears(Heard::Song, SECOND / 5, "gone before its time, and let go");
        }
        panic!("before {when}: it went by itself {TRIES} times");
    }
}

/// Marks the monitor knob in the plugin's window as far as the noise goes: holds it for as long as it lasts, measures it,
/// sees what the meter says meanwhile, and ends it in every way there is. `test` is the test's name with its modules.
///
/// # Panics
///
/// When it sounds where it must not, does not where it must, or is not what it says.
pub fn the_noise_sounds_only_while_it_is_held<H: Auditions>(test: &str) {
    on_a_display_of_its_own(test, || hold_the_noise(&mut H::new(2), &Parent::open(None)));
}

fn hold_the_noise<H: Auditions>(host: &mut H, parent: &Parent) {
    let seen = Look { hint_seen: true, ..Look::default() };
    let mark = place_after(&[], "mark knob", seen);
    let [left, right] = ["Noise left", "Noise right"].map(|words| place_after(&[mark], words, seen));
    let mut studio = Studio::open(host, parent, STANDS);
    studio.deviation = QUIET;
    // The hint for the first time lies at the top, and goes when it is clicked.
    studio.click(Place { x: 300, y: 20 });
    studio.click(mark);
    studio.hears(Heard::Song, SECOND / 2, "nothing is asked for");

    let heard = lasts(&mut studio, left, 0);
    comes_slowly(&heard);
    is_what_it_says(&heard, 1.0);
    let heard = shortly(&mut studio, right, 1);
    comes_slowly(&heard);
    // Chance has the root of 27 s to 6 s more of a part in it.
    is_what_it_says(&heard, 2.2);

    // Silence is no song: what is written of one would move the buttons.
    studio.deviation = 0.0;
    studio.hears(Heard::Song, SECOND / 2, "silence");
    studio.told.at_s = Some(0.0);
    studio.hears(Heard::Song, SECOND / 5, "playback runs");
    studio.press(left);
    studio.hears(Heard::Song, SECOND, "asked for while playback runs");
    studio.told.at_s = None;
    studio.hears(Heard::Song, SECOND / 2, "playback is over, and the button down");
    studio.parent.release();
    studio.hears(Heard::Song, SECOND / 5, "let go after playback");

    for end in ends().into_iter().chain(wherever_it_is()) {
        studio.holds_noise(left, end.name);
        studio.ends_by(&end);
    }
    for Restart { name, restart } in H::RESTARTS {
        studio.holds_noise(right, name);
        restart(studio.host);
        studio.hears(Heard::Song, SECOND / 2, name);
        studio.parent.release();
        studio.hears(Heard::Song, SECOND / 5, name);
    }

    studio.holds_noise(left, "a render");
    studio.host.set_up(true);
    studio.render("a render while the noise is held");
    studio.parent.release();
    studio.next = Instant::now();
    studio.told.at_s = Some(5.0);
    studio.press(left);
    studio.hears(Heard::Song, SECOND / 2, "asked for in a render");
    studio.parent.release();
    studio.hears(Heard::Song, SECOND / 5, "let go in a render");
    studio.host.set_up(false);
    studio.told = STANDS;

    studio.holds_noise(left, "the window is closed");
    studio.host.close();
    studio.lets_go(ENDS, "the window is closed");
    studio.hears(Heard::Song, SECOND / 2, "the window is closed");
}

fn ends<H: Auditions>() -> [End<H>; 4] {
    [
        End { name: "the button is let go", happens: |it| it.parent.release(), within: HAND, after: nothing },
        End {
            name: "the transport starts",
            happens: |it| it.told.at_s = Some(0.0),
            within: 0,
            after: |it| it.told = STANDS,
        },
        End {
            name: "the host records",
            happens: |it| it.told.records = true,
            within: 0,
            after: |it| it.told = STANDS,
        },
        End { name: "it is set up anew", happens: |it| it.host.set_up(false), within: 0, after: nothing },
    ]
}

/// Holds it until it ends by itself, and gives what sounded in its speaker.
fn lasts<H: Auditions>(studio: &mut Studio<'_, H>, place: Place, speaker: usize) -> Vec<f32> {
    let longest = (NOISE_LONGEST_S * RATE) as usize;
    for _ in 0..TRIES {
        let readings_before = shown().map_or(0, |shown| shown.readings);
        let (heard, meter) = held(studio, place, speaker, usize::MAX);
        assert!(heard.len() <= longest + 2 * BLOCK, "it has sounded for {} frames", heard.len());
        studio.hears(Heard::Song, SECOND, "it has ended by itself, and the button is down");
        studio.parent.release();
        studio.hears(Heard::Song, SECOND / 5, "let go after it had ended");
        if heard.len() < longest - 2 * BLOCK {
            continue;
        }
        let meter = meter.expect("the meter shows something after 25 s");
        assert!(meter.readings > readings_before + 200, "the meter goes on: {} readings", meter.readings);
        let read = meter.view.short_term.expect("it reads a loudness").0;
        let song = loudness_of_song();
        println!("meanwhile the meter reads {read:.2} LUFS, of a song of {song:.2} LUFS");
        // Three seconds of white noise: within 0.1 dB.
        assert!((read - song).abs() < 0.2, "the meter reads {read} LUFS of a song of {song} LUFS");
        return heard;
    }
    panic!("it ended before its time {TRIES} times");
}

/// Holds it for some seconds, and gives what sounded in its speaker.
fn shortly<H: Auditions>(studio: &mut Studio<'_, H>, place: Place, speaker: usize) -> Vec<f32> {
    let wanted = SHORTLY_S * RATE as usize;
    for _ in 0..TRIES {
        let (heard, _) = held(studio, place, speaker, wanted);
        if heard.len() >= wanted {
            return heard;
        }
    }
    panic!("it ended before its time {TRIES} times");
}

/// Holds it until it ends or has sounded for so many frames: what sounded in its speaker, and what the meter showed after
/// 25 s.
fn held<H: Auditions>(
    studio: &mut Studio<'_, H>,
    place: Place,
    speaker: usize,
    frames: usize,
) -> (Vec<f32>, Option<ReadOut>) {
    let longest = (NOISE_LONGEST_S * RATE) as usize;
    let mut meter = None;
    let first = studio.press_until(place, |heard| heard != Heard::Song, "it is held");
    let mut heard = first[speaker].clone();
    loop {
        if heard.len() >= frames {
            studio.parent.release();
            studio.lets_go(HAND, "it is let go");
            return (heard, meter);
        }
        let [input, output] = studio.pass();
        if is_song(&input, &output) {
            return (heard, meter);
        }
        // The song is on its way out in the first block, and on its way back in the last ones.
        let within = (2 * BLOCK..longest - 2 * BLOCK).contains(&heard.len());
        let is_silent = output[1 - speaker].iter().all(|&sample| sample == 0.0);
        let is_last = !is_silent && studio.block() == Heard::Song;
        assert!(!within || is_silent || is_last, "both speakers sound after {} frames", heard.len());
        heard.extend_from_slice(&output[speaker]);
        if heard.len() == 25 * RATE as usize {
            meter = shown();
        }
        if is_last {
            return (heard, meter);
        }
    }
}

/// Loudness of the quiet song, in LUFS, by another meter.
fn loudness_of_song() -> f64 {
    let mut noise = Noise::new(65);
    let sides = [(); 2].map(|()| noise.white(10 * RATE as usize, QUIET));
    integrated_lufs(&[&sides[0], &sides[1]])
}

fn integrated_lufs(sides: &[&[f32]]) -> f64 {
    let mut meter = EbuR128::new(sides.len() as u32, RATE as u32, Mode::I).expect("it can meter this");
    meter.add_frames_planar_f32(sides).expect("it takes the sound");
    meter.loudness_global().expect("it has a loudness")
}

/// It begins at least 20 dB under its level and rises in a straight line of decibels over two seconds.
fn comes_slowly(heard: &[f32]) {
    let tenth = RATE as usize / 10;
    let level = level_db(&heard[3 * RATE as usize..]);
    // The song is still on its way out in the first hundredth.
    let first = level_db(&heard[BLOCK..tenth]);
    assert!(first < level - 20.0, "it begins at {first} dB, and is {level} dB");
    for (index, tenth) in heard.chunks(tenth).take(20).enumerate().skip(1) {
        let wanted = level - 30.0 * (1.0 - (index as f64 + 0.5) / 20.0);
        let now = level_db(tenth);
        // A tenth of a second of noise over some 1000 Hz: a standard deviation of 0.4 dB.
        assert!((now - wanted).abs() < 2.0, "tenth {index}: {now} dB, not {wanted} dB");
    }
}

/// Its level and its spectrum, once it is up. So many times as far apart as in 27 s may they be by chance.
fn is_what_it_says(heard: &[f32], chance: f64) {
    let up = &heard[(2.2 * RATE) as usize..heard.len() - 3 * BLOCK];
    // Stretches of a tenth of a second.
    let spectrum = Spectrum::of(up, RATE, RATE as usize / 10);
    let bands: Vec<(i32, f64)> = (20..=41).map(|number| (number, spectrum.third_octave_db(number))).collect();
    let (level, weighted) = (level_db(up), spectrum.a_weighted_db());
    let lufs = integrated_lufs(&[up]);
    println!("noise: {level:.2} dB, {weighted:.2} dB A-weighted, {lufs:.2} LUFS in one channel, {bands:.1?}");

    // Of pink noise every octave has as much: what A-weighting takes from 500 Hz to 2 kHz.
    let evenly = (0..2000).map(|step| 500.0 * 4f64.powf((f64::from(step) + 0.5) / 2000.0));
    let taken = 10.0 * (evenly.map(a_weight).sum::<f64>() / 2000.0).log10();
    // 27 s of some 1000 Hz: a standard deviation of 0.03 dB.
    assert!((weighted - level - taken).abs() < 0.1, "{weighted} of {level} dB, and not {taken} dB of change");
    assert!(
        (weighted - NOISE_A_WEIGHTED_DB).abs() < 0.15 * chance,
        "{weighted} dB, not {NOISE_A_WEIGHTED_DB} dB"
    );
    // EBU Tech 3343 (2016 on), 8.2: −23 LUFS in one channel.
    assert!((lufs + 23.0).abs() < 0.2 * chance, "{lufs} LUFS");

    // Two octaves are 6.02 third octaves of base ten.
    let even = level - 10.0 * (10.0 * 4f64.log10()).log10();
    for (number, band) in bands {
        match number {
            // 630 Hz to 1.6 kHz lie within the band.
            28..=32 => assert!((band - even).abs() < 0.5 * chance, "band {number}: {band} dB, not {even} dB"),
            // 500 Hz and 2 kHz straddle its edges.
            27 | 33 => assert!((band - even + 3.0).abs() < 1.5, "band {number}: {band} dB beside {even} dB"),
            // An octave outside.
            ..=24 | 36..=38 => assert!(band < even - 30.0, "band {number}: {band} dB beside {even} dB"),
            // Where the song would be heard, at −80 dB and more, had it any part in it.
            39.. => assert!(band < -95.0, "band {number}: {band} dB"),
            _ => {}
        }
    }
}
