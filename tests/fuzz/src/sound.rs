//! A sound file of any format: figures or an error, never more than a little memory, and figures that are numbers.
#![no_main]
#![allow(missing_docs, reason = "the entry point is the fuzzer's")]

use std::ops::ControlFlow;
use std::sync::LazyLock;

use candlemark_files::measure_while;
use candlemark_fuzz::Scratch;
use libfuzzer_sys::fuzz_target;

static SCRATCH: LazyLock<Scratch> = LazyLock::new(Scratch::new);
/// A few bytes can say hours of silence: so many blocks are read at most (ours).
const MOST_BLOCKS: usize = 200;

fuzz_target!(|bytes: &[u8]| {
    let path = SCRATCH.put("sound", bytes);
    let mut blocks = 0;
    let measured = measure_while(&path, |share| {
        assert!((0.0..=1.0).contains(&share), "{share}");
        blocks += 1;
        if blocks < MOST_BLOCKS { ControlFlow::Continue(()) } else { ControlFlow::Break(()) }
    });
    match measured {
        Ok(measured) => {
            let figures = &measured.figures;
            let all = [
                figures.integrated.map(|lufs| lufs.0),
                figures.true_peak_dbtp.map(|db| db.0),
                figures.correlation,
            ];
            assert!(all.into_iter().flatten().all(f64::is_finite), "{all:?}");
        }
        Err(error) => assert!(!error.to_string().is_empty()),
    }
});
