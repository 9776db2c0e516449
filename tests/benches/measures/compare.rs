//! Nanoseconds a frame, beside the peer.

use std::time::Instant;

use anyhow::Result;
use serde_json::json;

use crate::sound::Sound;
use crate::{median, sound, subjects};

/// Something that is fed once.
type Feed = fn(&Sound) -> Result<()>;

/// Times all of them in turns, so that a slow minute of the machine falls on all. What counts is the median of the runs'
/// own ratios.
pub(crate) fn run(seconds: usize, runs: usize) -> Result<()> {
    let sound = sound(seconds);
    let subjects: [(&str, Feed); 4] = [
        ("analyzer", subjects::analyzer),
        ("loudness", subjects::loudness_alone),
        ("ebur128", subjects::ebur128),
        ("ebur128_asked", subjects::ebur128_asked),
    ];
    let mut times: [Vec<f64>; 4] = Default::default();
    for _ in 0..runs {
        for ((_, feed), times) in subjects.iter().zip(&mut times) {
            let start = Instant::now();
            feed(&sound)?;
            times.push(start.elapsed().as_nanos() as f64 / sound.frames() as f64);
        }
    }
    let mut found = serde_json::Map::new();
    for ((name, _), subject) in subjects.iter().zip(&times) {
        let beside = |peer: &[f64]| {
            let ratios = subject.iter().zip(peer).map(|(time, peer)| time / peer);
            median(&mut ratios.collect::<Vec<f64>>())
        };
        let told = json!({
            "ns": median(&mut subject.clone()),
            "beside": { "ebur128": beside(&times[2]), "ebur128_asked": beside(&times[3]) },
        });
        found.insert((*name).to_owned(), told);
    }
    println!("{}", serde_json::Value::Object(found));
    Ok(())
}
