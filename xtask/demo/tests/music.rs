//! The music is what the demo says it is, measured as files.

use std::path::Path;
use std::sync::LazyLock;

use candlemark_demo::music::{self, Made, UPPER_MIDS_HZ};
use candlemark_files::measure;
use candlemark_session::figures::SongFigures;
use candlemark_session::remarks::{Given, Remarks};
use candlemark_session::yardstick::{Record, Yardstick};

/// A song, and what it measures as a file.
struct Song {
    made: Made,
    figures: SongFigures,
}

impl Song {
    fn new(made: Made, folder: &Path) -> Self {
        let path = folder.join(made.file_name());
        music::write(&path, &made.sound).expect("it can be written");
        let measured = measure(&path, |_| ()).expect("it can be measured");
        assert!(measured.troubles.is_empty(), "{}: {:?}", made.title, measured.troubles);
        Self { made, figures: measured.figures }
    }

    fn lufs(&self) -> f64 {
        self.figures.integrated.expect("it sounds").0
    }

    fn psr_db(&self) -> f64 {
        self.figures.psr_loud.expect("it sounds").0
    }

    fn plr_db(&self) -> f64 {
        self.figures.plr.expect("it sounds").0
    }

    fn fold_db(&self) -> f64 {
        self.figures.fold.db().expect("it is kept in mono").0
    }

    /// Relative levels of the third octaves between two frequencies.
    fn relative_db(&self, from_hz: f64, to_hz: f64) -> Vec<f64> {
        let bands = self.figures.bands.iter().filter(|band| (from_hz..=to_hz).contains(&band.nominal.0));
        bands.map(|band| band.relative.expect("every band is heard").median_db).collect()
    }
}

struct Music {
    records: Vec<Song>,
    mix: Song,
    without_faults: Song,
    yardstick: Yardstick,
}

/// Made once for all tests.
static MUSIC: LazyLock<Music> = LazyLock::new(|| {
    let folder = tempfile::tempdir().expect("there is a place for files");
    let song = |made| Song::new(made, folder.path());
    let records: Vec<Song> = music::records().into_iter().map(song).collect();
    let of = |song: &Song| Record::of(song.made.title, &song.figures).expect("it can be a record");
    let yardstick = Yardstick { name: "the band".into(), records: records.iter().map(of).collect() };
    let music = Music {
        mix: song(music::mix()),
        without_faults: song(music::mix_without_faults()),
        records,
        yardstick,
    };
    for song in music.records.iter().chain([&music.without_faults, &music.mix]) {
        println!(
            "{}: {:.1} s, {:.1} LUFS, range {:.1} LU, PSR {:.1} dB, PLR {:.1} dB, true peak {:.1} dBTP, fold {:.2} dB",
            song.made.title,
            song.figures.duration_s,
            song.lufs(),
            song.figures.range_lu.expect("it is long enough"),
            song.psr_db(),
            song.plr_db(),
            song.figures.true_peak_dbtp.expect("it sounds").0,
            song.fold_db(),
        );
    }
    music
});

fn remarks(song: &Song) -> Vec<String> {
    let remarks = Remarks::default().on(&Given::of_file(&song.figures, Some(&MUSIC.yardstick)));
    for remark in &remarks {
        println!("{}: {}", remark.id, remark.text);
    }
    remarks.into_iter().map(|remark| remark.id).collect()
}

/// The records and the mix without its faults.
fn sound_songs() -> impl Iterator<Item = &'static Song> {
    MUSIC.records.iter().chain([&MUSIC.without_faults])
}

#[test]
fn the_records_measure_as_records_do() {
    for song in sound_songs() {
        let Song { made, figures } = song;
        let title = made.title;
        assert!((80.0..=100.0).contains(&figures.duration_s), "{title}: {} s", figures.duration_s);
        assert!((-14.0..=-12.0).contains(&song.lufs()), "{title}: {} LUFS", song.lufs());
        assert!((9.0..=12.0).contains(&song.psr_db()), "{title}: PSR {} dB", song.psr_db());
        assert!((-1.5..=-0.5).contains(&song.fold_db()), "{title}: fold {} dB", song.fold_db());
        let range_lu = figures.range_lu.expect("it is long enough");
        assert!((4.0..=10.0).contains(&range_lu), "{title}: range {range_lu} LU");
        let true_peak_dbtp = figures.true_peak_dbtp.expect("it sounds").0;
        assert!(true_peak_dbtp < -0.3, "{title}: true peak {true_peak_dbtp} dBTP");
        let imbalance_db = figures.health.imbalance.expect("both sides sound").0;
        assert!(imbalance_db.abs() < 1.0, "{title}: one side {imbalance_db} dB louder");
    }
}

#[test]
fn the_records_are_of_one_band_and_not_one_record() {
    let bands = MUSIC.yardstick.curve().filter(|(hz, _)| hz.0 >= 250.0);
    let apart_db: Vec<(f64, f64)> = bands.map(|(hz, point)| (hz.0, point.high_db - point.low_db)).collect();
    // In a band or two three records may lie together by chance.
    assert!(apart_db.iter().all(|(_, db)| (0.2..=8.0).contains(db)), "{apart_db:.1?}");
    let clearly = apart_db.iter().filter(|(_, db)| *db >= 1.0).count();
    assert!(clearly + 2 >= apart_db.len(), "{apart_db:.1?}");
    let tempos: Vec<f64> = MUSIC.records.iter().map(|song| song.made.tempo_bpm).collect();
    assert!(tempos[0] != tempos[1] && tempos[1] != tempos[2] && tempos[0] != tempos[2], "{tempos:?}");
}

#[test]
fn every_song_begins_softly_and_ends_in_silence() {
    for song in sound_songs().chain([&MUSIC.mix]) {
        let sound = &song.made.sound;
        let power =
            |samples: &[f32]| samples.iter().map(|x| f64::from(x * x)).sum::<f64>() / samples.len() as f64;
        let (first, whole) = (power(&sound.left[..2 * 44_100]), power(&sound.left));
        let below_db = 10.0 * (whole / first).log10();
        assert!(below_db > 5.0, "{}: its first two seconds lie {below_db} dB under it", song.made.title);
        let peak = |samples: &[f32]| samples.iter().fold(0f32, |peak, x| peak.max(x.abs()));
        assert!(peak(&sound.left[sound.left.len() - 100..]) < 1e-3, "{} is cut off", song.made.title);
    }
}

#[test]
fn the_low_end_is_out_of_phase_from_the_middle_on() {
    let made = &MUSIC.mix.made;
    let kept = |sound: &Made, from_s: f64, to_s: f64| {
        let cells = sound.sound.heard().cells;
        let part = cells.iter().filter(|cell| (from_s..to_s).contains(&(cell.start_frame as f64 / 44_100.0)));
        let (mut mid, mut sides) = (0.0, 0.0);
        // The third octaves up to 100 Hz.
        for band in part.flat_map(|cell| cell.bands[..8].to_vec()) {
            mid += 2.0 * band.mid;
            sides += band.left + band.right;
        }
        mid / sides
    };
    assert!((made.middle_s / made.sound.seconds() - 0.5).abs() < 0.05, "{} s is no middle", made.middle_s);
    assert!(kept(made, 0.0, made.middle_s - 1.0) > 0.97);
    assert!(kept(made, made.middle_s + 1.0, made.sound.seconds() - 5.0) < 0.03);
    assert!(kept(&MUSIC.without_faults.made, 0.0, made.sound.seconds()) > 0.97);
}

#[test]
fn the_upper_mids_are_some_five_decibels_too_bright_at_matched_loudness() {
    let [low_hz, high_hz] = UPPER_MIDS_HZ;
    let with = MUSIC.mix.relative_db(low_hz, high_hz);
    let without = MUSIC.without_faults.relative_db(low_hz, high_hz);
    assert_eq!(with.len(), 6);
    let more_db = with.iter().zip(&without).map(|(with, without)| with - without).sum::<f64>() / 6.0;
    println!("{more_db:+.1} dB");
    assert!((4.0..=6.0).contains(&more_db), "{more_db} dB");
}

#[test]
fn it_is_clearly_more_compressed_than_any_record() {
    let lowest = |figure: fn(&Song) -> f64| MUSIC.records.iter().map(figure).fold(f64::INFINITY, f64::min);
    for figure in [Song::psr_db, Song::plr_db] {
        assert!(figure(&MUSIC.mix) < lowest(figure) - 2.0);
        assert!(figure(&MUSIC.without_faults) > lowest(figure) - 0.3, "and without the fault it is not");
    }
}

#[test]
fn the_faults_are_named_and_nothing_else_is() {
    assert_eq!(remarks(&MUSIC.mix), ["low-end-fold", "balance", "compression"]);
    assert_eq!(remarks(&MUSIC.without_faults), [] as [&str; 0]);
    for record in &MUSIC.records {
        assert_eq!(remarks(record), [] as [&str; 0], "{}", record.made.title);
    }
}

#[test]
fn it_is_the_same_at_every_run() {
    let again = music::mix();
    assert!(again.sound == MUSIC.mix.made.sound);
}
