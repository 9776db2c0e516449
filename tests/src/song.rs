//! A song for the tests of sessions, and what its figures must be whatever was done in between.

use candlemark_session::figures::SongFigures;

use crate::signals::Noise;

/// The song's sample rate, in hertz.
pub const RATE: f64 = 48_000.0;

/// A song of four parts of twelve seconds that differ in level, tone and width; half-wave swells make a range.
pub fn song() -> [Vec<f32>; 2] {
    let mut noise = Noise::new(77);
    let parts = [(0.03, 0.02, 0.1), (0.06, 0.08, 0.4), (0.1, 0.3, 0.7), (0.05, 0.05, 0.3)];
    let (mut low, mut left, mut right) = ([0.0; 2], Vec::new(), Vec::new());
    for (level, brightness, width) in parts {
        for n in 0..12 * 48_000 {
            let swell = 1.0 + 0.5 * (n as f64 / 48_000.0 * std::f64::consts::TAU).sin();
            let middle = noise.gaussian(level * swell);
            let side = noise.gaussian(level * swell) * width;
            for (low, x) in low.iter_mut().zip([middle + side, middle - side]) {
                *low += 0.02 * (x - *low);
            }
            left.push((low[0] * 4.0 + brightness * (middle + side)) as f32);
            right.push((low[1] * 4.0 + brightness * (middle - side)) as f32);
        }
    }
    [left, right]
}

/// Fails when a session's figures are not those of the song as a file: integrated loudness within 0.01 LU, range within
/// 0.1 LU, the fold within 0.05 dB, and each band within 0.4 dB: low bands are told in windows of 1.4 s, which reach over
/// the borders of what was heard piecemeal.
#[track_caller]
pub fn same_figures(session: &SongFigures, file: &SongFigures) {
    let integrated = session.integrated.unwrap().0 - file.integrated.unwrap().0;
    assert!(integrated.abs() < 0.01, "integrated {integrated:+.3} LU apart");
    let range = session.range_lu.unwrap() - file.range_lu.unwrap();
    assert!(range.abs() < 0.1, "range {range:+.3} LU apart");
    let fold = session.fold.db().unwrap().0 - file.fold.db().unwrap().0;
    assert!(fold.abs() < 0.05, "fold {fold:+.3} dB apart");
    let mut worst = 0.0f64;
    for (session, file) in session.bands.iter().zip(&file.bands) {
        let hz = file.nominal.0;
        let level = session.level.unwrap().0 - file.level.unwrap().0;
        assert!(level.abs() < 0.4, "{hz} Hz: level {level:+.3} dB apart");
        let relative = session.relative.unwrap().median_db - file.relative.unwrap().median_db;
        assert!(relative.abs() < 0.4, "{hz} Hz: relative level {relative:+.3} dB apart");
        worst = [worst, level, relative].into_iter().max_by(|a, b| a.abs().total_cmp(&b.abs())).unwrap();
    }
    println!(
        "integrated {integrated:+.3} LU, range {range:+.3} LU, fold {fold:+.3} dB, worst band {worst:+.3} dB"
    );
}
