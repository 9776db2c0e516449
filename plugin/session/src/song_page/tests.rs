use candlemark_analysis::Lufs;
use proptest::prelude::*;

use super::*;
use crate::figures::Fold;
use crate::pencil::{MetersRead, SongPlace};

fn mark(number: u32, made_unix_s: f64, note: &str) -> PencilMark {
    PencilMark {
        number,
        listen: 1,
        made_unix_s,
        at: SongPlace { song_s: 12.5, beats: Some(25.0) },
        read: MetersRead {
            short_term: Some(Lufs(-18.25)),
            fold: Fold { kept: Some(0.75) },
            ..MetersRead::default()
        },
        note: note.into(),
        dealt_with: false,
    }
}

fn listen(number: u32, ended_unix_s: f64) -> Listen {
    Listen {
        number,
        ended_unix_s,
        played_s: 200.0,
        integrated: Some(Lufs(-16.5)),
        range_lu: None,
        true_peak_dbtp: None,
        psr_loud: None,
        fold: None,
    }
}

fn line(at_unix_s: f64, item: Item) -> Line {
    Line { at_unix_s, item }
}

fn id() -> SongId {
    SongId::of_bits(0x0123_4567_89ab_cdef)
}

fn any_line() -> impl Strategy<Value = Line> {
    let item = prop_oneof![
        "[a-c]{0,3}".prop_map(Item::Name),
        (0.0..9.0f64, 0.0..9.0f64, 0..3u8).prop_map(|(burnt_s, worked_s, put_off)| Item::Candle(
            candle::Kept { burnt_s, worked_s, put_off }
        )),
        Just(Item::Rested(true)),
        (1..4u32, 0..3u32, "[a-c]{0,2}").prop_map(|(number, made, note)| Item::Mark(mark(
            number,
            made.into(),
            &note
        ))),
        (1..4u32, 0..3u32).prop_map(|(number, ended)| Item::Listen(listen(number, ended.into()))),
        "[a-c]".prop_map(Item::Took),
    ];
    (0..6u32, item).prop_map(|(at, item)| line(at.into(), item))
}

proptest! {
    /// Two copies of a page come together the same whichever is put into which, however often, and in whatever order
    /// their lines were taken.
    #[test]
    fn copies_come_together_without_doubles(
        one in prop::collection::vec(any_line(), 0..30),
        other in prop::collection::vec(any_line(), 0..30),
    ) {
        let of = |lines: &[Line]| SongPage::of(id(), lines.iter().cloned());
        let (first, second) = (of(&one), of(&other));
        let (mut there, mut back) = (first.clone(), second.clone());
        there.merge(&second);
        back.merge(&first);
        prop_assert_eq!(&there, &back);
        there.merge(&second);
        there.merge(&first);
        prop_assert_eq!(&there, &back, "twice is once");
        let mut mixed: Vec<Line> = other.iter().chain(&one).rev().cloned().collect();
        mixed.rotate_left(one.len() / 2);
        prop_assert_eq!(&of(&mixed), &back);
    }

    #[test]
    fn what_is_written_is_read_back(lines in prop::collection::vec(any_line(), 0..30)) {
        let page = SongPage::of(id(), lines);
        let text = serde_json::to_string(&page).unwrap();
        prop_assert_eq!(serde_json::from_str::<SongPage>(&text).unwrap(), page);
    }
}

#[test]
fn the_later_state_of_a_mark_stands_and_what_burnt_stays_burnt() {
    let kept = |burnt_s: f64, worked_s: f64| Item::Candle(candle::Kept { burnt_s, worked_s, put_off: 0 });
    let page = SongPage::of(
        id(),
        [
            line(30.0, Item::Mark(mark(1, 10.0, "too loud"))),
            line(10.0, Item::Mark(mark(1, 10.0, ""))),
            line(11.0, Item::Mark(mark(2, 11.0, ""))),
            line(40.0, kept(100.0, 100.0)),
            line(50.0, kept(90.0, 20.0)),
            line(5.0, Item::Name("Low Water".into())),
        ],
    );
    let notes: Vec<String> = page.marks().into_iter().map(|mark| mark.note).collect();
    assert_eq!(notes, ["too loud", ""]);
    let Burnt { kept, at_unix_s } = page.candle().unwrap();
    assert_eq!((kept.burnt_s, kept.worked_s, at_unix_s), (100.0, 20.0, 50.0));
    assert_eq!((page.name(), page.next_numbers()), (Some("Low Water"), (3, 2)));
}

#[test]
fn a_page_has_an_end() {
    let mut page = SongPage::new(id());
    for number in 1..=700u32 {
        page.take(line(number.into(), Item::Mark(mark(number, number.into(), ""))));
        page.take(line(number.into(), Item::Rested(true)));
    }
    assert_eq!((page.marks().len(), page.marks()[0].number), (MARKS_MOST, 201), "the oldest go");
    assert_eq!(page.lines().len(), MARKS_MOST + KEPT_MOST);
}

#[test]
fn what_is_no_date_and_no_song_is_not_taken() {
    let mut page = SongPage::new(id());
    page.take(line(f64::NAN, Item::Rested(true)));
    assert_eq!((page.lines().len(), page.candle(), page.name()), (0, None, None));
    for spoilt in ["", "../../etc", "0123456789ABCDEF0123456789ABCDEF", "0123"] {
        assert!(SongId::try_from(spoilt.to_owned()).is_err(), "{spoilt}");
    }
    assert_eq!(SongId::try_from(id().as_str().to_owned()), Ok(id()));
    assert_eq!(clean_name("  Low\n Water "), "Low Water");
}

#[test]
fn a_project_holds_some_songs_and_works_on_one() {
    let mut songs = Songs::default();
    assert!(songs.current().is_none() && !songs.open(&id()));
    for bits in 0..50 {
        songs.keep(SongPage::new(SongId::of_bits(bits)));
    }
    assert_eq!(
        (songs.pages().len(), songs.current().map(|page| page.id.clone())),
        (40, Some(SongId::of_bits(49)))
    );
    assert!(songs.open(&SongId::of_bits(20)) && !songs.open(&SongId::of_bits(2)));
    songs.keep(SongPage::of(SongId::of_bits(20), [line(1.0, Item::Name("Low Water".into()))]));
    assert_eq!((songs.pages().len(), songs.current().and_then(SongPage::name)), (40, Some("Low Water")));
    let text = serde_json::to_string(&songs).unwrap();
    assert_eq!(serde_json::from_str::<Songs>(&text).unwrap(), songs);
    assert_eq!(serde_json::to_string(&Songs::default()).unwrap(), r#"{"pages":[]}"#);
}

#[test]
fn a_state_that_is_loaded_loses_no_song() {
    let songs = |ids: &[u128]| {
        let mut songs = Songs::default();
        for id in ids {
            songs.keep(SongPage::new(SongId::of_bits(*id)));
        }
        songs
    };
    let ids = |songs: &Songs| songs.pages().iter().map(|page| page.id.clone()).collect::<Vec<_>>();
    let all = |ids: &[u128]| ids.iter().map(|id| SongId::of_bits(*id)).collect::<Vec<_>>();
    for (state, other, wanted) in [
        (&[1][..], &[1, 2, 3][..], &[1, 2, 3][..]),
        (&[1, 2], &[2, 1], &[1, 2]),
        (&[1], &[2, 3], &[1, 2, 3]),
        (&[], &[1], &[1]),
        (&[1], &[], &[1]),
    ] {
        let mut kept = songs(state);
        let current = kept.current().map(|page| page.id.clone());
        kept.keep_also(songs(other));
        assert_eq!(ids(&kept), all(wanted), "{state:?} and {other:?}");
        assert_eq!(kept.current().map(|page| page.id.clone()), current);
    }
    let many: Vec<u128> = (0..SONGS_MOST as u128).collect();
    let mut kept = songs(&many);
    kept.keep_also(songs(&[0, 1000]));
    assert_eq!(ids(&kept), all(&many));
}
