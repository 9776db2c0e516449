//! A song's journal: what can be opened can be written to, and what is written is there when it is opened next.
#![no_main]
#![allow(missing_docs, reason = "the entry point is the fuzzer's")]

use std::sync::LazyLock;

use candlemark_files::journal::{Journals, Sure};
use candlemark_fuzz::Scratch;
use candlemark_session::song_page::{Item, Line, SongId};
use libfuzzer_sys::fuzz_target;

static SCRATCH: LazyLock<Scratch> = LazyLock::new(Scratch::new);

fuzz_target!(|bytes: &[u8]| {
    let id = SongId::of_bits(7);
    let journals = Journals::at(SCRATCH.path());
    let path = journals.path_of(&id);
    std::fs::write(&path, bytes).expect("a file can be written");
    let Ok((mut journal, found)) = journals.open(&id) else {
        assert_eq!(
            std::fs::read(&path).expect("it is there"),
            bytes,
            "what is none of ours is left as it is"
        );
        return;
    };
    let mut twice = found.page.clone();
    twice.merge(&found.page);
    assert_eq!(twice, found.page, "a page holds all of itself");

    let last = found.page.lines().last().map_or(0.0, |line| line.at_unix_s);
    let line = Line { at_unix_s: last.max(0.0) + 1.0, item: Item::Took("brass".to_owned()) };
    journal.write(&line, Sure::OfTheHost).expect("it can be written to");
    drop(journal);
    let (_, again) = journals.open(&id).expect("it can be opened again");
    let mut wanted = found.page;
    wanted.take(line);
    assert_eq!((again.page, again.cut_bytes), (wanted, 0));
    assert_eq!(SCRATCH.names().len(), 2, "nothing is left beside it and its lock");
});
