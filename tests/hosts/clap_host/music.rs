//! Real music through the plugin: two tracks in two instances, at many block sizes and at changing rates. The
//! debug build aborts where anything allocates meanwhile.

use candlemark_tests::paths;
use candlemark_tests::sound::Sound;

use crate::host::{Instance, Placement, assert_same, blocks};
use crate::transport::looping;

/// The loudest stretch that goes on of a track.
fn stretch(track: usize) -> Vec<Vec<f32>> {
    let tracks = paths::music_tracks();
    let sound = Sound::read(&tracks[track % tracks.len()]).steadiest_stretch(20);
    vec![sound.left, sound.right]
}

#[test]
fn music_comes_out_as_it_went_in_of_two_instances() {
    let music = [stretch(0), stretch(5)];
    let mut instances = [Instance::new(2), Instance::new(2)];
    for (rate, sizes) in [
        (44_100.0, &[1][..]),
        (44_100.0, &[64]),
        (48_000.0, &[480]),
        (88_200.0, &[512, 17]),
        (44_100.0, &[4096, 1]),
    ] {
        for (instance, music) in instances.iter_mut().zip(&music) {
            instance.activate(rate);
            let frames = music[0].len();
            for blocks in [blocks(frames, sizes), looping(frames)] {
                let output = instance.play(music, &blocks, Placement::InPlace);
                assert_same(&output, music, &format!("music at {rate} Hz in blocks of {sizes:?}"));
            }
        }
    }
}
