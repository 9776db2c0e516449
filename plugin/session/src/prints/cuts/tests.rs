use super::super::lay_over;
use super::super::tests::steps;
use super::*;

/// The song with this cut out of it, in steps.
fn without(song: &[f64], from: usize, to: usize) -> Vec<f64> {
    [&song[..from], &song[to..]].concat()
}

fn found(old: &[f64], new: &[f64]) -> Vec<Cut> {
    cuts(old, new, &lay_over(old, new).expect("it is one song"))
}

fn is_near(seconds: f64, steps: usize) -> bool {
    // The level about a step is of a second about it, half of which is other music at the cut.
    (seconds - steps as f64 * STEP_S).abs() <= 0.5
}

/// 15.23 s out of 2:00, near the head, near the tail, and the same put in.
#[test]
fn what_was_cut_near_an_end_is_found_with_its_place_and_its_length() {
    let song = steps(12_000, 1);
    for (at, is_head) in [(1200, true), (3000, true), (12_000 - 1523 - 1200, false)] {
        let cut = without(&song, at, at + 1523);
        for (old, new, cut_s) in [(&song, &cut, 15.23), (&cut, &song, -15.23)] {
            let found = found(old, new);
            assert_eq!(found.len(), 1, "{at}: {found:?}");
            assert!((found[0].cut_s - cut_s).abs() < 0.011, "{at}: {found:?}");
            assert!(is_near(found[0].at_s, at) && found[0].is_head == is_head, "{at}: {found:?}");
        }
    }
}

#[test]
fn what_lies_beside_other_music_is_left_out_and_no_more() {
    let song = steps(12_000, 1);
    let left_out = |at: usize| found(&song, &without(&song, at, at + 1500))[0].left_out_s;
    // The new print's first 12 s lie beside the old one's from 15 to 27 s, and its last beside those before the cut's end.
    let [from_s, to_s] = left_out(1200);
    assert!(is_near(from_s, 1500) && is_near(to_s, 2700), "{from_s} to {to_s}");
    let [from_s, to_s] = left_out(12_000 - 1500 - 1200);
    assert!(is_near(from_s, 9300) && is_near(to_s, 10_500), "{from_s} to {to_s}");
}

#[test]
fn a_head_that_was_trimmed_or_replaced_or_is_very_short_is_no_cut() {
    let song = steps(12_000, 1);
    assert_eq!(found(&song, &song), []);
    assert_eq!(found(&song, &song[1000..]), []);
    assert_eq!(found(&song[1000..], &song[..11_000]), []);
    assert_eq!(found(&song, &[&steps(1500, 2)[..], &song[1500..]].concat()), []);
    assert_eq!(found(&song, &without(&song, 600, 2100)), [], "6 s of a head");
}

/// Four times the same half minute: a loop fits wherever it comes again.
#[test]
fn a_song_of_loops_has_no_cut_that_is_not_there() {
    let song = steps(3000, 1).repeat(4);
    assert_eq!(found(&song, &song[1000..]), []);
    assert_eq!(found(&song, &song[..11_000]), []);
}

/// A head of 30 s, and 55 s behind what was cut: laid over each other by the head, the tail would leave out most of it.
#[test]
fn a_cut_leaves_out_no_more_than_half_of_what_both_share() {
    let song = steps(10_000, 1);
    let new = without(&song, 3000, 4500);
    let by = |later_s: f64| cuts(&song, &new, &Overlay { later_s, correlation: 1.0 });
    let [from_s, to_s] = by(-15.0)[0].left_out_s;
    assert!(is_near(from_s, 1500) && is_near(to_s, 4500), "30 of 85 s: {from_s} to {to_s}");
    assert_eq!(by(0.0), [], "55 of 85 s");
}

#[test]
fn it_is_said_how_much_and_where() {
    let cut = Cut { at_s: 12.0, cut_s: 15.0, is_head: true, left_out_s: [15.0, 27.0] };
    let told = "15.00 s were cut at 0:12; what lies before that is left out here.";
    assert_eq!(cut.words(), told);
    let put_in = Cut { at_s: 192.0, cut_s: -4.0, is_head: false, ..cut };
    let told = "4.00 s were put in at 3:12; what lies behind that is left out here.";
    assert_eq!(put_in.words(), told);
}
