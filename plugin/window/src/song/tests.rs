use super::*;
use crate::wav::wav;

/// A WAV file whose left samples are the frames' numbers, in 1/65536, and the right ones their negatives.
fn numbered(frames: usize, channels: u16) -> tempfile::NamedTempFile {
    let sides = [1.0, -1.0].into_iter().take(channels.into());
    wav(channels, 8000, (0..frames).flat_map(|frame| sides.clone().map(move |sign| sign * sample(frame))))
}

fn sample(frame: usize) -> f32 {
    frame as f32 / 65_536.0
}

fn open(file: &tempfile::NamedTempFile, again: bool) -> (Song, Arc<Tally>) {
    let tally = Arc::new(Tally::default());
    let (song, _) = Song::open(file.path(), again, &tally).unwrap();
    (song, tally)
}

/// Takes until `total` frames have come or the song is over; gives each stretch's start and left samples.
fn take_all(song: &mut Song, block: usize, total: usize) -> Vec<(u64, Vec<f32>)> {
    let mut stretches = Vec::new();
    let mut count = 0;
    let begun = Instant::now();
    while count < total {
        let (mut left, mut right) = (vec![0.0; block], vec![0.0; block]);
        let taken = song.take(&mut left, &mut right);
        for (left, right) in left[..taken.frames].iter().zip(&right) {
            assert!(*right == -left || *right == *left);
        }
        left.truncate(taken.frames);
        count += taken.frames;
        if taken.frames > 0 {
            stretches.push((taken.from_frame, left));
        } else {
            if taken.over {
                break;
            }
            assert!(begun.elapsed() < Duration::from_secs(20), "the reader gives nothing");
            thread::sleep(Duration::from_millis(1));
        }
    }
    stretches
}

/// Longer than the ring, so that the reader must wait on the way.
#[test]
fn a_file_comes_whole_and_in_order_and_ends() {
    for channels in [1, 2] {
        let file = numbered(50_001, channels);
        let (mut song, tally) = open(&file, false);
        let stretches = take_all(&mut song, 700, usize::MAX);
        let mut expected = 0;
        for (from, samples) in stretches {
            assert_eq!(from as usize, expected);
            for left in samples {
                assert_eq!(left, sample(expected));
                expected += 1;
            }
        }
        assert_eq!(expected, 50_001);
        assert!(!tally.is_damaged());
    }
}

#[test]
fn each_round_begins_at_its_start_and_no_stretch_spans_two() {
    for frames in [1, 7, 3000] {
        let file = numbered(frames, 2);
        let (mut song, _) = open(&file, true);
        let stretches = take_all(&mut song, 512, 5 * frames);
        let mut expected = 0;
        for (from, samples) in &stretches {
            assert_eq!(*from as usize, expected % frames);
            for (at, left) in samples.iter().enumerate() {
                assert_eq!(*left, sample(*from as usize + at));
            }
            expected += samples.len();
        }
        assert!(expected >= 5 * frames);
    }
}

#[test]
fn silence_is_never_taken_for_the_end() {
    let file = numbered(10, 1);
    let (mut song, _) = open(&file, false);
    let (mut left, mut right) = ([9.0; 4], [9.0; 4]);
    let takes: Vec<_> = (0..4).map(|_| song.take(&mut left, &mut right)).collect();
    let frames: Vec<_> = takes.iter().map(|taken| taken.frames).collect();
    assert_eq!(frames, [4, 4, 2, 0]);
    assert!(takes[3].over && !takes[0].over);
    assert_eq!(takes[3].from_frame, 10);
}

#[test]
fn what_is_missing_of_a_file_is_told_and_its_round_is_the_last() {
    let file = numbered(3000, 2);
    let whole = std::fs::read(file.path()).unwrap();
    std::fs::write(file.path(), &whole[..whole.len() / 2]).unwrap();
    let (mut song, tally) = open(&file, true);
    let stretches = take_all(&mut song, 512, usize::MAX);
    let frames: usize = stretches.iter().map(|(_, samples)| samples.len()).sum();
    assert!((1400..=1500).contains(&frames), "{frames}");
    assert!(tally.is_damaged());
}

#[test]
fn a_reader_that_nobody_listens_to_ends() {
    let file = numbered(100_000, 1);
    let (song, tally) = open(&file, true);
    drop(song);
    let begun = Instant::now();
    // The reader holds the other one.
    while Arc::strong_count(&tally) > 1 {
        assert!(begun.elapsed() < Duration::from_secs(20));
        thread::sleep(PAUSE);
    }
}
