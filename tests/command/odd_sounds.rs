//! Sounds at the edges of what can be measured: they give answers.

use candlemark_tests::command::{Home, figure};
use candlemark_tests::signals::sine;
use candlemark_tests::sound::Sound;

use crate::files::{RATE, wav};

#[test]
fn the_lowest_and_the_highest_rate_are_measured() {
    let home = Home::new();
    for (rate, bands) in [(8_000.0, 23), (384_000.0, 31)] {
        let tone = sine(rate, 1000.0, -23.0, 0.0, 5.0);
        let path = wav(home.folder(), "sound.wav", &Sound::in_both(rate, tone));
        let file = &home.measure([path])[0];
        assert!(file["error"].is_null(), "{rate} Hz: {}", file["error"]);
        assert_eq!(figure(file, "sample_rate_hz"), rate);
        assert!((figure(file, "integrated_lufs") + 23.0).abs() <= 0.1, "{rate} Hz: {file}");
        assert!((figure(file, "true_peak_dbtp") + 23.0).abs() <= 0.1, "{rate} Hz: {file}");
        let found = file["bands"].as_array().unwrap();
        // At 8 kHz the 3150 Hz band is the highest whose upper edge lies under half the rate.
        assert_eq!(found.len(), bands, "{rate} Hz");
        let at_1k = found.iter().find(|band| band["hz"] == 1000.0).unwrap();
        assert!((figure(at_1k, "level_db") + 23.0).abs() <= 0.1, "{rate} Hz: {at_1k}");
    }
}

#[test]
fn one_channel_counts_once() {
    let home = Home::new();
    let mono = Sound { rate: RATE, left: sine(RATE, 1000.0, -20.0, 0.0, 5.0), right: Vec::new() };
    let path = wav(home.folder(), "mono.wav", &mono);
    let file = &home.measure([path])[0];
    assert_eq!((file["channels"].as_u64(), file["error"].is_null()), (Some(1), true));
    // ITU-R BS.1770-5 (11/2023) Annex 1: one channel of two reads 3.01 less.
    assert!((figure(file, "integrated_lufs") + 23.01).abs() <= 0.1, "{file}");
    assert_eq!((figure(file, "fold_db"), figure(file, "fold_kept")), (0.0, 1.0));
}

#[test]
fn one_frame_is_a_file() {
    let home = Home::new();
    for right in [vec![], vec![-0.25]] {
        let channels = 1 + right.len() as u64;
        let path = wav(home.folder(), "frame.wav", &Sound { rate: RATE, left: vec![0.5], right });
        let run = home.measured([&path]);
        let file = &run.files()[0];
        assert_eq!((run.status, file["channels"].as_u64()), (Some(0), Some(channels)), "{}", run.told);
        assert!((figure(file, "sample_peak_dbfs") + 6.0206).abs() < 0.001, "{file}");
        assert!(figure(file, "true_peak_dbtp") >= figure(file, "sample_peak_dbfs"), "{file}");
        assert_eq!(figure(file, "duration_s"), 1.0 / RATE);
        for undefined in
            ["integrated_lufs", "momentary_max_lufs", "short_term_max_lufs", "range_lu", "plr_db"]
        {
            assert!(file[undefined].is_null(), "{undefined}: {file}");
        }
        let page = home.run(["measure".as_ref(), path.as_os_str()]).well();
        assert!(page.printed.contains("frame.wav"), "{}", page.printed);
    }
}
