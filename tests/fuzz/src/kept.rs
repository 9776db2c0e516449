//! The room and the monitor marks: what is read is as it was after it has been written.
#![no_main]
#![allow(missing_docs, reason = "the entry point is the fuzzer's")]

use std::fmt::Debug;
use std::sync::LazyLock;

use candlemark_files::kept::{Keepable, KeptFile};
use candlemark_fuzz::Scratch;
use candlemark_session::chair::Marks;
use candlemark_session::room::Room;
use libfuzzer_sys::fuzz_target;

static SCRATCH: LazyLock<Scratch> = LazyLock::new(Scratch::new);

fn comes_back<T: Keepable + PartialEq + Debug>(bytes: &[u8]) {
    let file = KeptFile::<T>::at(SCRATCH.put("kept.toml", bytes));
    if let Ok(kept) = file.load() {
        let kept = kept.expect("the file is there");
        file.save(&kept).expect("it can be written");
        assert_eq!(file.load().expect("it can be read"), Some(kept));
    }
}

fuzz_target!(|bytes: &[u8]| {
    comes_back::<Marks>(bytes);
    comes_back::<Room>(bytes);
});
