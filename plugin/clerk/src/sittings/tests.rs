use std::sync::Mutex;
use std::time::Instant;

use candlemark_files::FileError;
use candlemark_session::candle::Rest;
use candlemark_session::remarks::Meant;

use super::*;

/// One folder for the whole process: each test has songs of its own.
#[expect(clippy::unnecessary_wraps, reason = "as journals are found")]
fn journals() -> Result<Journals, FileError> {
    static FOLDER: Mutex<Option<tempfile::TempDir>> = Mutex::new(None);
    let mut folder = FOLDER.lock().unwrap();
    Ok(Journals::at(folder.get_or_insert_with(|| tempfile::tempdir().unwrap()).path()))
}

struct Clocks {
    begun: Moment,
    awake_s: f64,
    wall_s: f64,
}

impl Clocks {
    fn new() -> Self {
        Self { begun: Moment { at: Instant::now(), unix_s: 1.7e9 }, awake_s: 0.0, wall_s: 0.0 }
    }

    fn now(&self) -> Moment {
        Moment {
            at: self.begun.at + Duration::from_secs_f64(self.awake_s),
            unix_s: self.begun.unix_s + self.wall_s,
        }
    }

    /// Seconds pass, in rounds of one.
    fn pass(&mut self, sittings: &mut Sittings, ids: &[&SongId], seconds: usize, activity: Activity) {
        for _ in 0..seconds {
            self.awake_s += 1.0;
            self.wall_s += 1.0;
            for id in ids {
                sittings.of(id).unwrap().tell(activity);
            }
            sittings.end_round(self.now());
        }
    }
}

fn song(bits: u128) -> SongPage {
    SongPage::new(SongId::of_bits(bits))
}

fn burnt_s(sittings: &mut Sittings, id: &SongId) -> f64 {
    sittings.of(id).unwrap().candle.burnt_s()
}

#[test]
fn two_instances_burn_one_candle_and_two_songs_two() {
    let (mut clocks, mut sittings) = (Clocks::new(), Sittings::new(journals));
    let (one, other) = (song(1), song(2));
    sittings.sit(&one, Times::default(), clocks.now());
    assert_eq!(sittings.sole(), Some(one.id.clone()));
    sittings.sit(&one, Times::default(), clocks.now());
    sittings.sit(&other, Times::default(), clocks.now());
    assert_eq!(sittings.sole(), None);
    clocks.pass(&mut sittings, &[&one.id, &one.id, &other.id], 100, Activity::Sound);
    assert_eq!((burnt_s(&mut sittings, &one.id), burnt_s(&mut sittings, &other.id)), (100.0, 100.0));
    clocks.pass(&mut sittings, &[&one.id], 10, Activity::Sound);
    assert!(sittings.of(&other.id).is_none(), "nobody plays it any more");
}

#[test]
fn a_song_goes_on_after_the_host_is_gone_and_time_away_is_rest() {
    let mut clocks = Clocks::new();
    let page = song(3);
    let mut sittings = Sittings::new(journals);
    sittings.sit(&page, Times::default(), clocks.now());
    clocks.pass(&mut sittings, &[&page.id], 1230, Activity::Sound);
    // It is killed: nothing is written any more. At most a minute is lost.
    drop(sittings);
    clocks.wall_s += 120.0;
    let mut sittings = Sittings::new(journals);
    let sitting = sittings.sit(&page, Times::default(), clocks.now());
    let kept = sitting.candle;
    assert!((1170.0..=1230.0).contains(&kept.burnt_s()), "{}", kept.burnt_s());
    assert!(kept.worked_s() > 0.0);
    clocks.pass(&mut sittings, &[&page.id], 1, Activity::Quiet);
    // No instance any more: it is written, and closed.
    sittings.end_round(clocks.now());
    clocks.wall_s += 24.0 * 3600.0;
    let rested = Sittings::new(journals).sit(&page, Times::default(), clocks.now()).candle;
    assert_eq!((rested.burnt_s(), rested.worked_s()), (kept.burnt_s(), 0.0));
}

#[test]
fn sleep_is_rest_and_a_clock_that_is_put_back_is_not() {
    let (mut clocks, mut sittings) = (Clocks::new(), Sittings::new(journals));
    let page = song(4);
    sittings.sit(&page, Times::default(), clocks.now());
    clocks.pass(&mut sittings, &[&page.id], 600, Activity::Sound);
    clocks.wall_s -= 9000.0;
    clocks.pass(&mut sittings, &[&page.id], 1, Activity::Quiet);
    assert_eq!(sittings.of(&page.id).unwrap().rests, 0, "and put back");
    clocks.wall_s += 3600.0;
    clocks.pass(&mut sittings, &[&page.id], 1, Activity::Quiet);
    let sitting = sittings.of(&page.id).unwrap();
    assert_eq!((sitting.rests, sitting.candle.rest()), (1, Rest::In(Times::default().rest_every_s)));
}

/// The lid is closed while the song loops: it plays on in the first round after. On some systems the clock that only goes
/// forward has gone on too, and no round takes eight hours.
#[test]
fn a_night_asleep_is_a_rest_and_burns_nothing_though_the_song_plays_on() {
    for goes_on in [false, true] {
        let (mut clocks, mut sittings) = (Clocks::new(), Sittings::new(journals));
        let page = song(if goes_on { 41 } else { 42 });
        sittings.sit(&page, Times::default(), clocks.now());
        clocks.pass(&mut sittings, &[&page.id], 2640, Activity::Sound);
        clocks.wall_s += 8.0 * 3600.0;
        clocks.awake_s += if goes_on { 8.0 * 3600.0 } else { 0.0 };
        clocks.pass(&mut sittings, &[&page.id], 1, Activity::Sound);
        clocks.pass(&mut sittings, &[&page.id], 60, Activity::Sound);
        let sitting = sittings.of(&page.id).unwrap();
        // Five quiet minutes burn before the candle stops by itself.
        let burnt_s = sitting.candle.burnt_s();
        assert!((2700.0..=3001.0).contains(&burnt_s), "{burnt_s} s where it goes on: {goes_on}");
        assert!(matches!(sitting.candle.rest(), Rest::In(s) if s > 2600.0), "{:?}", sitting.candle.rest());
        assert_eq!(sitting.rests, 1);
    }
}

/// Two systems on one machine, or the first time from the network: what is said after the clock was put back still counts.
#[test]
fn what_is_said_after_the_clock_was_put_back_stands() {
    let meant = Meant { id: "dc".into(), text: "There is DC.".into(), figure: Some(-30.0), bands_hz: None };
    let (mut clocks, mut sittings) = (Clocks::new(), Sittings::new(journals));
    let page = song(43);
    sittings.sit(&page, Times::default(), clocks.now()).write(Item::Name("Low Water".into()), clocks.now());
    clocks.pass(&mut sittings, &[&page.id], 600, Activity::Sound);
    clocks.wall_s -= 7200.0;
    let now = clocks.now();
    let sitting = sittings.of(&page.id).unwrap();
    sitting.write(Item::Name("High Water".into()), now);
    sitting.write(Item::Meant(Vec::new()), now);
    assert_eq!((sitting.page().name(), sitting.page().meant()), (Some("High Water"), Some(&[][..])));
    sitting.write(Item::Meant(vec![meant]), now);
    assert_eq!(sitting.page().meant().map(<[Meant]>::len), Some(1));
    drop(sittings);
    let mut again = Sittings::new(journals);
    let page = again.sit(&song(43), Times::default(), clocks.now()).page();
    assert_eq!(
        (page.name(), page.meant().map(<[Meant]>::len)),
        (Some("High Water"), Some(1)),
        "and in its journal"
    );
}

#[test]
fn the_times_that_were_told_last_are_the_songs_own() {
    let (mut clocks, mut sittings) = (Clocks::new(), Sittings::new(journals));
    let page = song(44);
    let long = Times { budget_s: 4.0 * 3600.0, ..Times::default() };
    sittings.sit(&page, Times::default(), clocks.now()).plan(long, clocks.now());
    // Another instance sits down, with times of its own that nobody has told here.
    let sitting = sittings.sit(&page, Times::default(), clocks.now());
    assert_eq!(sitting.candle.times(), long);
    let lines = sitting.page().lines().len();
    sitting.plan(long, clocks.now());
    assert_eq!(sitting.page().lines().len(), lines, "nothing new");
    clocks.pass(&mut sittings, &[&page.id], 1, Activity::Sound);
    drop(sittings);
    let mut again = Sittings::new(journals);
    assert_eq!(again.sit(&song(44), Times::default(), clocks.now()).candle.times(), long);
}

#[test]
fn what_the_project_alone_has_comes_into_the_journal_and_the_other_way() {
    let (clocks, mut sittings) = (Clocks::new(), Sittings::new(journals));
    let mut copy = song(5);
    copy.take(Line { at_unix_s: 1e9, item: Item::Name("Low Water".into()) });
    let sitting = sittings.sit(&copy, Times::default(), clocks.now());
    sitting.write(Item::Took("three records".into()), clocks.now());
    assert!(sitting.changes > 0);
    // The project was never saved, and another copy of it is opened.
    let mut again = Sittings::new(journals);
    let page = again.sit(&song(5), Times::default(), clocks.now()).page();
    assert_eq!((page.name(), page.lines().len()), (Some("Low Water"), 2));
}

#[test]
fn without_a_journal_it_says_so_and_goes_on() {
    #[expect(clippy::unnecessary_wraps, reason = "as journals are found")]
    fn nowhere() -> Result<Journals, FileError> {
        Ok(Journals::at("/dev/null/journals"))
    }
    let (mut clocks, mut sittings) = (Clocks::new(), Sittings::new(nowhere));
    let page = song(6);
    let sitting = sittings.sit(&page, Times::default(), clocks.now());
    assert!(sitting.trouble.as_deref().is_some_and(|trouble| trouble.contains("save the project")));
    sitting.write(Item::Name("Low Water".into()), clocks.now());
    clocks.pass(&mut sittings, &[&page.id], 100, Activity::Sound);
    let sitting = sittings.of(&page.id).unwrap();
    assert_eq!((sitting.page().name(), sitting.candle.burnt_s()), (Some("Low Water"), 100.0));
}

#[test]
fn a_journal_that_comes_back_gets_what_waited() {
    static FOLDER: Mutex<Option<Journals>> = Mutex::new(None);
    #[expect(clippy::unnecessary_wraps, reason = "as journals are found")]
    fn when_there() -> Result<Journals, FileError> {
        Ok(FOLDER.lock().unwrap().clone().unwrap_or_else(|| Journals::at("/dev/null/journals")))
    }
    let (mut clocks, mut sittings) = (Clocks::new(), Sittings::new(when_there));
    let page = song(7);
    sittings.sit(&page, Times::default(), clocks.now()).write(Item::Name("Low Water".into()), clocks.now());
    clocks.pass(&mut sittings, &[&page.id], 30, Activity::Sound);
    assert!(sittings.of(&page.id).unwrap().trouble.is_some());

    let disk = tempfile::tempdir().unwrap();
    // What another host has kept there meanwhile is not lost either.
    let (mut other, _) = Journals::at(disk.path()).open(&page.id).unwrap();
    let took = Line { at_unix_s: 1e9, item: Item::Took("three records".into()) };
    other.write(&took, Sure::OfTheHost).unwrap();
    *FOLDER.lock().unwrap() = Some(Journals::at(disk.path()));
    clocks.pass(&mut sittings, &[&page.id], 61, Activity::Quiet);
    let sitting = sittings.of(&page.id).unwrap();
    assert_eq!((sitting.trouble.as_deref(), sitting.page().name()), (None, Some("Low Water")));
    assert!(sitting.page().lines().contains(&took));
    let (_, found) = Journals::at(disk.path()).open(&page.id).unwrap();
    assert_eq!(found.page.name(), Some("Low Water"));
    assert!(found.page.lines().contains(&took));
}

#[test]
fn time_away_is_a_rest_by_the_rest_that_was_asked_for() {
    for (rest_min, worked) in [(5.0, false), (30.0, true)] {
        let (mut clocks, mut sittings) = (Clocks::new(), Sittings::new(journals));
        let page = song(80 + rest_min as u128);
        let times = Times { rest_for_s: 60.0 * rest_min, ..Times::default() };
        sittings.sit(&page, times, clocks.now());
        clocks.pass(&mut sittings, &[&page.id], 600, Activity::Sound);
        sittings.end_round(clocks.now());
        clocks.wall_s += 600.0;
        let back = Sittings::new(journals).sit(&page, times, clocks.now()).candle;
        assert_eq!(back.worked_s() > 0.0, worked, "ten minutes away where {rest_min} are a rest");
    }
}

#[test]
fn names_of_songs_are_given_once() {
    let names: Vec<SongId> = (0..100).map(|_| Sittings::new_id()).collect();
    assert!((1..names.len()).all(|index| !names[..index].contains(&names[index])));
}
