//! Whether what was heard is what was played.

use std::collections::HashMap;

/// The longest run of frames of `played` that stands in `heard` without a sample changed, left out or put in.
pub(crate) fn longest_run(heard: &[[f32; 2]], played: &[[f32; 2]]) -> usize {
    let bits = |frame: &[f32; 2]| frame.map(f32::to_bits);
    // Noise: a frame hardly ever comes twice.
    let mut places = HashMap::<[u32; 2], Vec<usize>>::new();
    for (place, frame) in played.iter().enumerate() {
        places.entry(bits(frame)).or_default().push(place);
    }
    let mut longest = 0;
    let mut at = 0;
    while at < heard.len() {
        let run_from = |place: usize| {
            let pairs = heard[at..].iter().zip(&played[place..]);
            pairs.take_while(|(heard, played)| bits(heard) == bits(played)).count()
        };
        let starts = places.get(&bits(&heard[at])).into_iter().flatten();
        let run = starts.map(|place| run_from(*place)).max().unwrap_or(0);
        longest = longest.max(run);
        at += run.max(1);
    }
    longest
}

/// Both channels, frame by frame.
pub(crate) fn frames(left: &[f32], right: &[f32]) -> Vec<[f32; 2]> {
    left.iter().zip(right).map(|(left, right)| [*left, *right]).collect()
}

#[test]
fn runs_end_where_a_sample_differs() {
    let played: Vec<[f32; 2]> = (1..=100).map(|n| [n as f32, -n as f32]).collect();
    let mut heard = vec![[0.0; 2]; 30];
    heard.extend(&played);
    assert_eq!(longest_run(&heard, &played), 100);
    heard[30 + 40][1] = 0.5;
    assert_eq!(longest_run(&heard, &played), 59);
    heard.remove(30 + 60);
    assert_eq!(longest_run(&heard, &played), 40);
    assert_eq!(longest_run(&[[0.0; 2]; 9], &played), 0);
}
