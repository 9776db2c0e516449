//! A delivery profile's text: what is read asks for something that can be.
#![no_main]
#![allow(missing_docs, reason = "the entry point is the fuzzer's")]

use candlemark_files::delivery_of_toml;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|text: &str| {
    if let Ok(profile) = delivery_of_toml("mine", text) {
        assert!(!profile.limits.is_empty());
        assert!(profile.limits.iter().all(|(figure, limit)| limit.check(*figure).is_ok()));
    }
});
