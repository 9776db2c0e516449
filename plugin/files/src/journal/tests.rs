use candlemark_session::candle::Kept;
use candlemark_session::song_page::Item;

use std::sync::Barrier;

use super::*;

fn id() -> SongId {
    SongId::of_bits(7)
}

fn name(at_unix_s: f64, name: &str) -> Line {
    Line { at_unix_s, item: Item::Name(name.into()) }
}

fn rested(at_unix_s: f64) -> Line {
    Line { at_unix_s, item: Item::Rested(true) }
}

fn candle(at_unix_s: f64) -> Line {
    Line { at_unix_s, item: Item::Candle(Kept { burnt_s: at_unix_s, worked_s: 1.5, put_off: 1 }) }
}

struct Folder {
    _held: tempfile::TempDir,
    journals: Journals,
}

impl Folder {
    fn new() -> Self {
        let held = tempfile::tempdir().unwrap();
        let journals = Journals::at(held.path().join("journals"));
        Self { _held: held, journals }
    }

    fn open(&self) -> (Journal, Found) {
        self.journals.open(&id()).expect("it can be opened")
    }

    fn text(&self) -> Vec<u8> {
        std::fs::read(self.journals.path_of(&id())).unwrap()
    }

    fn put(&self, text: &[u8]) {
        std::fs::create_dir_all(&self.journals.folder).unwrap();
        std::fs::write(self.journals.path_of(&id()), text).unwrap();
    }
}

#[test]
fn what_was_written_is_there_when_it_is_opened_next() {
    let folder = Folder::new();
    let (mut journal, found) = folder.open();
    assert_eq!(found, Found { page: SongPage::new(id()), cut_bytes: 0, unreadable: 0 });
    let lines = [name(1.0, "Low Water, “first”\nmix"), rested(2.0), candle(3.0)];
    for line in &lines {
        journal.write(line, Sure::OfTheMachine).unwrap();
    }
    // While the first is open still, as a host's second instance has it.
    let (mut second, found) = folder.open();
    assert_eq!(found.page, SongPage::of(id(), lines.clone()));
    second.write(&rested(4.0), Sure::OfTheHost).unwrap();
    journal.write(&rested(5.0), Sure::OfTheHost).unwrap();
    let (_, found) = folder.open();
    assert_eq!(found.page.lines().len(), 5);
}

/// Wherever the last line is torn, all before it is there, the tear is mended, and the file can be written on.
#[test]
fn a_torn_last_line_is_cut_off_wherever_it_is_torn() {
    let folder = Folder::new();
    let (mut journal, _) = folder.open();
    journal.write(&name(1.0, "Low Water"), Sure::OfTheHost).unwrap();
    let whole = folder.text().len();
    journal.write(&candle(2.0), Sure::OfTheHost).unwrap();
    let text = folder.text();
    drop(journal);
    for torn in 0..text.len() {
        folder.put(&text[..torn]);
        let (mut journal, found) = folder.open();
        assert_eq!(found.unreadable, 0, "at {torn}");
        assert_eq!(found.page.name().is_some(), torn >= whole - 1, "at {torn}");
        assert_eq!(found.page.candle().is_some(), torn >= text.len() - 1, "at {torn}");
        journal.write(&rested(3.0), Sure::OfTheHost).unwrap();
        drop(journal);
        let (_, again) = folder.open();
        assert_eq!((again.cut_bytes, again.unreadable), (0, 0), "at {torn}");
        assert_eq!(again.page.lines().len(), found.page.lines().len() + 1, "at {torn}");
    }
}

#[test]
fn a_line_that_cant_be_read_hides_no_other_and_is_left() {
    let folder = Folder::new();
    let (mut journal, _) = folder.open();
    journal.write(&rested(1.0), Sure::OfTheHost).unwrap();
    drop(journal);
    let mut text = folder.text();
    text.extend_from_slice(b"{\"at_unix_s\":2.0,\"trumpet\":3}\n\xff\xfe\n");
    folder.put(&text);
    let (mut journal, found) = folder.open();
    assert_eq!((found.unreadable, found.page.lines().len()), (2, 1));
    journal.write(&rested(3.0), Sure::OfTheHost).unwrap();
    assert!(folder.text().starts_with(&text), "nothing is taken out");
    assert_eq!(folder.open().1.page.lines().len(), 2);
}

#[test]
fn what_is_none_or_newer_is_told_and_left_as_it_is() {
    let folder = Folder::new();
    for (text, word) in [
        (&b"{\"candlemark_journal\":2}\n{}\n"[..], "newer"),
        (b"a letter to a friend\n", "no journal"),
        (b"\n", "no journal"),
    ] {
        folder.put(text);
        let error = folder.journals.open(&id()).unwrap_err().to_string();
        assert!(error.contains(word) && error.contains(id().as_str()), "{error}");
        assert_eq!(folder.text(), text);
    }
    folder.put(&vec![b'x'; MOST_BYTES as usize + 1]);
    let error = folder.journals.open(&id()).unwrap_err().to_string();
    assert!(error.contains("larger than the 16 MB"), "{error}");
}

#[test]
fn one_that_has_grown_is_written_anew_but_never_under_anothers_hand() {
    let folder = Folder::new();
    let (mut journal, _) = folder.open();
    let mut at_unix_s = 0.0;
    while folder.text().len() as u64 <= GROWN_BYTES {
        at_unix_s += 1.0;
        journal.write(&candle(at_unix_s), Sure::OfTheHost).unwrap();
    }
    let (second, found) = folder.open();
    assert!(folder.text().len() as u64 > GROWN_BYTES, "the first has it open");
    drop((journal, second));
    let (_, anew) = folder.open();
    assert_eq!(anew.page, found.page);
    assert!(folder.text().len() < 500, "{} bytes", folder.text().len());
    assert_eq!(folder.open().1.page, found.page);
    let left = std::fs::read_dir(&folder.journals.folder).unwrap().count();
    assert_eq!(left, 2, "nothing but the journal and its lock is left in the folder");
}

/// Whoever opens it at once with the one that writes it anew writes to the new one.
#[test]
fn nothing_is_lost_when_several_open_one_that_has_grown() {
    const HANDS: u32 = 4;
    let folder = Folder::new();
    let mut grown = header();
    while grown.len() as u64 <= GROWN_BYTES {
        grown.extend(written(&candle(1.0)));
    }
    for round in 0..100 {
        folder.put(&grown);
        let at = |hand: u32| f64::from(2 + hand);
        let together = Barrier::new(HANDS as usize);
        std::thread::scope(|scope| {
            for hand in 0..HANDS {
                let (folder, together) = (&folder, &together);
                scope.spawn(move || {
                    together.wait();
                    let (mut journal, _) = folder.open();
                    journal.write(&rested(at(hand)), Sure::OfTheHost).unwrap();
                });
            }
        });
        let (_, found) = folder.open();
        let wanted: Vec<Line> =
            std::iter::once(candle(1.0)).chain((0..HANDS).map(|hand| rested(at(hand)))).collect();
        assert_eq!(found.page, SongPage::of(id(), wanted), "round {round}");
    }
}

#[test]
fn beyond_many_the_oldest_of_over_a_year_ago_are_let_go() {
    let folder = Folder::new();
    drop(folder.open());
    let other = folder.journals.folder.join("a letter.txt");
    std::fs::write(&other, "dear").unwrap();
    let song = |number: usize| folder.journals.path_of(&SongId::of_bits(number as u128));
    for number in 1000..1000 + KEPT_MOST {
        std::fs::write(song(number), "").unwrap();
        std::fs::write(song(number).with_extension(LOCK_ENDING), "").unwrap();
    }
    let is_there = || std::fs::read_dir(&folder.journals.folder).unwrap().count();
    let all = is_there();
    let at_once = SystemTime::now();
    let later = at_once + OLD + Duration::from_mins(1);
    folder.journals.let_go_of_old(&id(), at_once);
    assert_eq!(is_there(), all, "none is old");
    // The oldest is the one that is about to be opened, as after a session with a clock that was years behind.
    let set_back = at_once - 10 * OLD;
    File::options().write(true).open(folder.journals.path_of(&id())).unwrap().set_modified(set_back).unwrap();
    folder.journals.let_go_of_old(&id(), later);
    assert_eq!(is_there(), all, "it stays");
    // Two more than are kept: the other of them goes, with what was held.
    std::fs::write(song(1), "").unwrap();
    File::options().write(true).open(song(1)).unwrap().set_modified(at_once - OLD).unwrap();
    std::fs::write(song(1).with_extension(LOCK_ENDING), "").unwrap();
    folder.journals.let_go_of_old(&id(), later);
    assert_eq!((is_there(), song(1).exists(), other.exists()), (all, false, true));
}

/// A folder that can't be made: a file is in its place. (Permissions would not stop root.)
#[test]
fn a_journal_that_cant_be_written_is_told() {
    let held = tempfile::tempdir().unwrap();
    let blocked = held.path().join("blocked");
    std::fs::write(&blocked, "a file").unwrap();
    let error = Journals::at(blocked.join("journals")).open(&id()).unwrap_err();
    assert!(error.to_string().contains("can't be written"), "{error}");
}
