mod answers;
mod auditions;
mod from_input;
mod print_sheets;
mod songs;
mod takings;

use std::sync::MutexGuard;

use candlemark_analysis::{Analyzer, Channels, Hertz, Position};
use candlemark_files::kept::KeptFile;
use candlemark_files::{FileError, Shelf};
use candlemark_handoff::{Audition, Gain, OrderReceiver, Tape, TapeWriter, orders};
use candlemark_session::chair::Marks;
use candlemark_session::remarks::Meant;
use candlemark_session::room::Room;
use candlemark_session::song_page::Songs;
use candlemark_session::yardstick::{Record, RecordBand, Yardstick};

use super::*;
use crate::keeper::Told;
use crate::table::FAILED;

#[derive(Default)]
struct InUse {
    yardstick: Mutex<Option<Arc<Yardstick>>>,
    told: Mutex<Told>,
    /// What a project that has just been opened holds, and what is kept of it.
    opened: Mutex<Option<Vec<Meant>>>,
    meant: Mutex<Vec<Meant>>,
    opened_songs: Mutex<Option<Songs>>,
    songs: Mutex<Songs>,
}

impl Keeper for InUse {
    fn yardstick(&self) -> Option<Arc<Yardstick>> {
        self.yardstick.lock().unwrap().clone()
    }

    fn take_into_use(&self, yardstick: Yardstick) {
        *self.yardstick.lock().unwrap() = Some(Arc::new(yardstick));
    }

    fn put_away(&self) {
        *self.yardstick.lock().unwrap() = None;
    }

    fn told(&self) -> Told {
        *self.told.lock().unwrap()
    }

    fn newly_opened_songs(&self) -> Option<Songs> {
        self.opened_songs.lock().unwrap().take()
    }

    fn keep_songs(&self, songs: &Songs) {
        *self.songs.lock().unwrap() = songs.clone();
    }

    fn newly_opened_meant(&self) -> Option<Vec<Meant>> {
        self.opened.lock().unwrap().take()
    }

    fn keep_meant(&self, meant: &[Meant]) {
        *self.meant.lock().unwrap() = meant.to_vec();
    }
}

/// The tests share one office and one shelf; they run one after the other.
static ONE_AT_A_TIME: Mutex<()> = Mutex::new(());

fn alone() -> MutexGuard<'static, ()> {
    ONE_AT_A_TIME.lock().unwrap_or_else(PoisonError::into_inner)
}

/// A shelf of the test's own, the same for the whole process.
#[expect(clippy::unnecessary_wraps, reason = "as a shelf is found")]
fn shelf() -> Result<Shelf, FileError> {
    static FOLDER: Mutex<Option<tempfile::TempDir>> = Mutex::new(None);
    let mut folder = FOLDER.lock().unwrap();
    let folder = folder.get_or_insert_with(|| tempfile::tempdir().unwrap());
    Ok(Shelf::at(folder.path()))
}

/// The same of journals.
fn journals() -> Result<Journals, FileError> {
    Ok(Journals::at(shelf()?.folder().join("journals")))
}

/// The same of monitor marks.
fn monitor() -> Result<KeptFile<Marks>, FileError> {
    Ok(KeptFile::at(shelf()?.folder().join("monitor.toml")))
}

/// The same of the room.
fn room() -> Result<KeptFile<Room>, FileError> {
    Ok(KeptFile::at(shelf()?.folder().join("room.toml")))
}

fn record(title: &str, relative_db: f64) -> Record {
    Record {
        title: title.into(),
        duration_s: 200.0,
        section: false,
        integrated_lufs: -14.0,
        range_lu: Some(5.0),
        true_peak_dbtp: Some(-1.0),
        plr_db: Some(13.0),
        psr_loud_db: Some(9.0),
        crest_db: Some(12.0),
        fold_db: Some(-0.5),
        correlation: Some(0.7),
        bands: vec![RecordBand {
            hz: 1000.0,
            relative_db,
            low_db: relative_db,
            high_db: relative_db,
            fold_db: None,
        }],
    }
}

/// A sine, its phase going on by so much a frame.
#[derive(Clone, Copy)]
struct Sine {
    amplitude: f32,
    step: f32,
}

const SINE: Sine = Sine { amplitude: 0.1, step: 0.131 };

/// An instance: seconds of sines go through an Analyzer onto its tape.
struct Instance {
    writer: TapeWriter,
    analyzer: Analyzer,
    frames: usize,
    keeper: Arc<InUse>,
    sender: OrderSender,
    audio: OrderReceiver,
    seat: Seat,
}

impl Instance {
    fn new() -> Self {
        let (mut writer, reader) = Tape::new();
        writer.activate(Hertz(48_000.0), Channels::Stereo);
        let keeper = Arc::new(InUse::default());
        let (sender, audio) = orders();
        let seat = Seat::with_folders(
            reader,
            Arc::clone(&keeper) as Arc<dyn Keeper>,
            sender.clone(),
            Folders { shelf, journals, monitor, room },
        );
        let analyzer = Analyzer::new(Hertz(48_000.0), Channels::Stereo).unwrap();
        Self { writer, analyzer, frames: 0, keeper, sender, audio, seat }
    }

    fn sound(&mut self, seconds: usize, offline: bool) {
        self.play([SINE; 2], seconds, offline);
    }

    fn play(&mut self, sides: [Sine; 2], seconds: usize, offline: bool) {
        self.blocks(sides, seconds * 100, offline);
    }

    /// So many hundredths of a second.
    fn blocks(&mut self, sides: [Sine; 2], blocks: usize, offline: bool) {
        for _ in 0..blocks {
            let block = self.frames..self.frames + 480;
            let [left, right] = sides.map(|Sine { amplitude, step }| -> Vec<f32> {
                block.clone().map(|n| amplitude * (n as f32 * step).sin()).collect()
            });
            let position = Position { offline, ..Position::in_file(self.frames as i64) };
            self.analyzer.push(&left, &right, position, &mut self.writer);
            self.frames += 480;
        }
    }

    /// Seconds of sound as somebody listens to it, no faster than time.
    fn live(&mut self, seconds: usize) {
        self.live_of(SINE, seconds);
    }

    /// The same of this sine on both sides.
    fn live_of(&mut self, sine: Sine, seconds: usize) {
        for _ in 0..10 * seconds {
            self.blocks([sine; 2], 10, false);
            thread::sleep(Duration::from_millis(100));
        }
    }

    /// Waits for the clerk to show something.
    fn wait_for(&self, what: &str, there: impl Fn(&Shown) -> bool) -> Arc<Shown> {
        wait(what, || Some(self.seat.shown()).filter(|shown| there(shown)))
    }

    fn order(&self, order: Order) {
        assert!(self.seat.order(order));
    }
}

/// Waits for something to come.
fn wait<T>(what: &str, mut come: impl FnMut() -> Option<T>) -> T {
    let begun = Instant::now();
    loop {
        if let Some(there) = come() {
            return there;
        }
        assert!(begun.elapsed() < Duration::from_secs(20), "{what} did not come");
        thread::sleep(Duration::from_millis(5));
    }
}

#[test]
fn what_is_on_the_tape_is_shown_without_an_editor() {
    let _alone = alone();
    let mut instance = Instance::new();
    instance.sound(12, false);
    let shown = instance.wait_for("the song", |shown| shown.view.song.duration_s >= 10.0);
    let song = &shown.view.song;
    assert!((shown.view.short_term.unwrap().0 - song.integrated.unwrap().0).abs() < 0.1);
    assert_eq!(song.fold.kept, Some(1.0));
    assert!(shown.view.strip.len() >= 10 && shown.view.playhead_s.is_some());
}

/// The strip grows with the song, and is the same for a second.
#[test]
fn what_is_published_again_is_not_copied() {
    let _alone = alone();
    let mut instance = Instance::new();
    instance.sound(12, false);
    let mut before = instance.wait_for("the song", |shown| shown.view.song.duration_s >= 10.0);
    let shared = (0..5).any(|_| {
        let now = instance.wait_for("another round", |shown| !std::ptr::eq(shown, &raw const *before));
        let [old, new] = [&before.view, &now.view];
        let shares = Arc::ptr_eq(&old.strip, &new.strip) && Arc::ptr_eq(&old.song, &new.song);
        before = now;
        shares
    });
    assert!(shared, "each of five rounds has copied the strip or the figures");
}

/// One song fails in earnest: whatever asks for its yardstick panics, because a thread has gone down while it held it.
#[test]
fn a_song_that_fails_says_so_and_stops_no_other() {
    let _alone = alone();
    let mut instances: Vec<Instance> = (0..3).map(|_| Instance::new()).collect();
    instances[1].sender.hold(Audition::MonoBoth);
    let keeper = Arc::clone(&instances[1].keeper);
    let gone_down = thread::spawn(move || {
        let _held = keeper.yardstick.lock().unwrap();
        panic!("it goes down with the yardstick in its hand");
    });
    assert!(gone_down.join().is_err());

    let shown = instances[1].wait_for("word of it", |shown| shown.view.trouble.is_some());
    assert_eq!(shown.view.trouble.as_deref(), Some(FAILED));
    assert_eq!(instances[1].audio.poll().audition.audition, Audition::Off, "what it had asked for is let go");
    for other in [0, 2] {
        instances[other].sound(12, false);
        let shown = instances[other].wait_for("the song", |shown| shown.view.song.duration_s >= 10.0);
        assert_eq!(shown.view.trouble, None);
    }
    // One that comes later is served, too.
    let mut late = Instance::new();
    late.sound(1, false);
    late.wait_for("the sound", |shown| shown.view.momentary.is_some());
}

#[test]
fn each_instance_has_its_own_song_and_all_have_one_clerk() {
    let _alone = alone();
    let mut instances: Vec<Instance> = (0..20).map(|_| Instance::new()).collect();
    instances[7].sound(5, false);
    instances[7].wait_for("a sound", |shown| shown.view.momentary.is_some());
    assert!(instances[8].seat.shown().view.momentary.is_none());
    let offices: Vec<*const Office> = instances.iter().map(|i| Arc::as_ptr(&i.seat.office)).collect();
    assert!(offices.iter().all(|office| *office == offices[0]));
}

#[test]
fn the_office_closes_with_the_last_seat_and_opens_again() {
    let _alone = alone();
    for _ in 0..3 {
        let first = Instance::new();
        let second = Instance::new();
        let office = Arc::downgrade(&first.seat.office);
        drop(first);
        assert!(office.upgrade().is_some(), "it is open while anyone sits");
        drop(second);
        assert!(office.upgrade().is_none(), "it is closed");
        assert!(OPEN.lock().unwrap().upgrade().is_none());
    }
}

#[test]
fn a_yardstick_is_taken_from_the_shelf_and_put_away() {
    let _alone = alone();
    let name = "shelved";
    let records = vec![record("a", -20.0), record("b", -18.0), record("c", -19.0)];
    shelf().unwrap().save(&Yardstick { name: name.into(), records }).unwrap();
    let mut instance = Instance::new();
    instance.sound(12, false);
    instance.wait_for("the shelf", |shown| shown.shelf.iter().any(|there| there == name));
    instance.order(Order::Use(name.into()));
    let shown = instance.wait_for("the yardstick", |shown| shown.in_use.is_some());
    assert_eq!(shown.view.comparison.as_ref().unwrap().records, 3);
    assert_eq!(instance.keeper.yardstick().unwrap().name, name);

    instance.order(Order::Use("not there".into()));
    let shown = instance.wait_for("the trouble", |shown| shown.trouble.is_some());
    assert!(shown.trouble.as_ref().unwrap().contains("not there"), "{:?}", shown.trouble);
    assert_eq!(shown.in_use.as_deref(), Some(name), "the one in use stays");

    instance.order(Order::UseNone);
    instance.wait_for("none in use", |shown| shown.in_use.is_none() && shown.trouble.is_none());
}

/// Twelve seconds of sound that come at once are no twelve seconds of work.
#[test]
fn the_candle_burns_no_faster_than_time() {
    let _alone = alone();
    let begun = Instant::now();
    let mut instance = Instance::new();
    instance.sound(12, false);
    let shown = instance.wait_for("the song", |shown| shown.view.song.duration_s >= 10.0);
    let burnt_s = shown.view.candle.budget_s() - shown.view.candle.left_s();
    assert!(burnt_s <= begun.elapsed().as_secs_f64(), "{burnt_s}");
    drop(instance);

    let mut offline = Instance::new();
    offline.sound(12, true);
    let shown = offline.wait_for("the render", |shown| shown.view.song.duration_s >= 10.0);
    assert_eq!(shown.view.candle.left_s(), shown.view.candle.budget_s());
}

#[test]
fn what_the_person_calls_aside_is_no_song() {
    let _alone = alone();
    let mut instance = Instance::new();
    instance.keeper.told.lock().unwrap().aside = true;
    // One round of the clerk, so that it has been told.
    thread::sleep(2 * ROUND);
    instance.sound(6, false);
    let shown = instance.wait_for("the sound", |shown| shown.view.aside);
    assert_eq!(shown.view.song.duration_s, 0.0);
    assert!(shown.view.strip.iter().all(|point| point.aside));
}
