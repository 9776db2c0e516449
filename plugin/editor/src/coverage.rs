//! How much of the song has been heard, in words.

use candlemark_session::view::View;
use candlemark_session::words::clock;

use crate::strip_lines::{begin_s, is_heard};

/// Silence that is no longer than this is a start, in seconds (ours).
const SHORT_S: f64 = 5.0;

/// How much was heard, from long to short; and of how much, as far as the song has been heard to go, where some between
/// was not. `None` before anything was.
pub(crate) fn heard(view: &View) -> Option<[String; 2]> {
    let heard_s = view.song.duration_s;
    if heard_s <= 0.0 {
        return None;
    }
    let heard = clock(heard_s);
    // A cell more or less at either end is no gap.
    let long = match length_s(view).filter(|whole_s| whole_s - heard_s > 2.0) {
        Some(whole_s) => format!("{heard} of {} heard", clock(whole_s)),
        None => format!("{heard} of the song heard"),
    };
    Some([long, format!("{heard} heard")])
}

/// Why there is no balance yet.
pub(crate) fn too_little(view: &View) -> &'static str {
    let is_silent = view.song.duration_s > SHORT_S && view.song.sample_peak_dbfs.is_none();
    if is_silent { "only silence so far" } else { "not enough of the song heard yet" }
}

/// From where the song was first heard to where it was last, in seconds. `None` where positions are times, which tell
/// nothing of a length, and before anything was heard.
fn length_s(view: &View) -> Option<f64> {
    let heard = || view.strip.iter().filter(|point| is_heard(point));
    let (first, last) = (heard().next()?, heard().next_back()?);
    (!view.strip_by_time).then(|| last.song_s - begin_s(first))
}

#[cfg(test)]
mod tests {
    use candlemark_session::figures::SongFigures;

    use super::*;
    use crate::fixtures::point;

    fn view(cells: &[std::ops::Range<i32>]) -> View {
        let indices: Vec<i32> = cells.iter().cloned().flatten().collect();
        let song = SongFigures { duration_s: indices.len() as f64, ..SongFigures::default() };
        let strip = indices.into_iter().map(|index| point(f64::from(index + 1))).collect();
        View { strip, song: song.into(), ..View::default() }
    }

    fn said(view: &View) -> String {
        heard(view).unwrap()[0].clone()
    }

    #[test]
    fn what_was_not_heard_between_is_told() {
        assert_eq!(said(&view(&[8..90, 172..220])), "2:10 of 3:32 heard");
        assert_eq!(said(&view(std::slice::from_ref(&(8..220)))), "3:32 of the song heard");
        assert_eq!(heard(&View::default()), None);
    }

    #[test]
    fn without_positions_no_length_is_known() {
        let view = View { strip_by_time: true, ..view(&[8..90, 172..220]) };
        assert_eq!(said(&view), "2:10 of the song heard");
    }

    #[test]
    fn what_is_only_aside_does_not_lengthen_the_song() {
        let mut view = view(&[0..100, 200..300]);
        for point in std::sync::Arc::make_mut(&mut view.strip) {
            if point.song_s > 150.0 {
                (point.latest, point.aside) = (None, true);
            }
        }
        view.song = SongFigures { duration_s: 100.0, ..SongFigures::default() }.into();
        assert_eq!(said(&view), "1:40 of the song heard");
    }
}
