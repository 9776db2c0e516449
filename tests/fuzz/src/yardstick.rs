//! A yardstick's text: what is read can be written, read back as it was, and held against itself.
#![no_main]
#![allow(missing_docs, reason = "the entry point is the fuzzer's")]

use candlemark_files::{from_toml, to_toml};
use candlemark_session::two_yardsticks::TwoYardsticks;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|text: &str| {
    if let Ok(yardstick) = from_toml(text) {
        assert_eq!(from_toml(&to_toml(&yardstick)).as_ref(), Ok(&yardstick));
        let two = TwoYardsticks::new(&yardstick, &yardstick);
        assert!(two.bands.iter().all(|band| band.above_db() == 0.0));
    }
});
