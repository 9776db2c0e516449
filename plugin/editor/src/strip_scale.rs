//! Song positions and loudnesses of the song strip, as places.

use candlemark_analysis::Lufs;
use candlemark_session::strip::StripPoint;
use candlemark_session::view::View;
use egui::{Rangef, Rect};

use crate::strip_lines::begin_s;

/// The strip is never shorter than this, in seconds.
const SHORTEST_S: f64 = 60.0;
/// A strip that begins no later than this begins at zero, in seconds.
const FROM_ZERO_S: f64 = 60.0;
/// The scale spans at least and at most so many LU.
const SPAN_LU: [f64; 2] = [20.0, 40.0];
/// The highest level of the scale lies here while nothing has been heard, in LUFS.
const EMPTY_TOP_LUFS: f64 = -10.0;
const LEVEL_STEP_LU: f64 = 5.0;
/// Between named times lie at least so many points.
const TIME_PITCH: f32 = 62.0;
const TIME_STEPS_S: [f64; 14] =
    [1.0, 2.0, 5.0, 10.0, 15.0, 30.0, 60.0, 120.0, 300.0, 600.0, 1200.0, 1800.0, 3600.0, 7200.0];

pub(crate) struct StripScale {
    pub(crate) plot: Rect,
    song_s: [f64; 2],
    lufs: [f64; 2],
}

/// The song positions between which the whole of a view's strip lies, in seconds.
pub(crate) fn whole_s(view: &View) -> [f64; 2] {
    let playhead = view.playhead_s.into_iter();
    // A strip is in order.
    let begins = view.strip.first().map(begin_s).into_iter().chain(playhead.clone());
    let ends = view.strip.last().map(|point| point.song_s).into_iter().chain(playhead);
    let begin = begins.reduce(f64::min).unwrap_or(0.0);
    let begin = if (0.0..=FROM_ZERO_S).contains(&begin) { 0.0 } else { begin };
    [begin, ends.fold(begin + SHORTEST_S, f64::max)]
}

impl StripScale {
    /// A scale of these song positions that holds every loudness of what is shown.
    pub(crate) fn of(plot: Rect, shown: &[StripPoint], song_s: [f64; 2]) -> Self {
        let loudness = || {
            let all = shown.iter().flat_map(|point| [point.latest, point.mono, point.before]);
            all.flatten().map(|Lufs(lufs)| lufs)
        };
        let [least, most] = SPAN_LU;
        let up = |lufs: f64| (lufs / LEVEL_STEP_LU).ceil() * LEVEL_STEP_LU;
        let down = |lufs: f64| (lufs / LEVEL_STEP_LU).floor() * LEVEL_STEP_LU;
        let top = loudness().reduce(f64::max).map_or(EMPTY_TOP_LUFS, |highest| up(highest + 1.0));
        let bottom = loudness().reduce(f64::min).map_or(top - least, |lowest| down(lowest - 1.0));
        Self { plot, song_s, lufs: [bottom.clamp(top - most, top - least), top] }
    }

    /// Place of a song position; outside the plot for one that is not shown.
    pub(crate) fn x(&self, song_s: f64) -> f32 {
        let [begin, end] = self.song_s;
        self.plot.left() + (f64::from(self.plot.width()) * (song_s - begin) / (end - begin)) as f32
    }

    /// The song position at a place, in seconds.
    pub(crate) fn song_s(&self, x: f32) -> f64 {
        let [begin, end] = self.song_s;
        let share = f64::from((x - self.plot.left()) / self.plot.width());
        begin + (end - begin) * share.clamp(0.0, 1.0)
    }

    /// Whether a song position is shown.
    pub(crate) fn shows(&self, song_s: f64) -> bool {
        let [begin, end] = self.song_s;
        (begin..=end).contains(&song_s)
    }

    /// Height of a loudness, at the scale's edge when it lies beyond.
    pub(crate) fn y(&self, lufs: f64) -> f32 {
        let [bottom, top] = self.lufs;
        let share = ((lufs - bottom) / (top - bottom)).clamp(0.0, 1.0);
        let inside = Rangef::new(self.plot.bottom() - 2.0, self.plot.top() + 2.0);
        egui::lerp(inside, share as f32)
    }

    /// The levels to name, in LUFS: not those on the edges.
    pub(crate) fn levels(&self) -> impl Iterator<Item = f64> {
        let [bottom, top] = self.lufs;
        let count = ((top - bottom) / LEVEL_STEP_LU).round() as usize;
        // Where lines would lie closer than text is high, every other one is named.
        let every = if count as f32 * 16.0 > self.plot.height() { 2 } else { 1 };
        (1..count).filter(move |step| step % every == 0).map(move |step| top - LEVEL_STEP_LU * step as f64)
    }

    /// The song positions to name, in seconds.
    pub(crate) fn times(&self) -> impl Iterator<Item = f64> {
        let [begin, end] = self.song_s;
        let wide = |step: &f64| (step / (end - begin)) as f32 * self.plot.width() >= TIME_PITCH;
        let longest = TIME_STEPS_S[TIME_STEPS_S.len() - 1];
        let step = TIME_STEPS_S.into_iter().find(wide).unwrap_or_else(|| {
            let pitch_s = f64::from(TIME_PITCH / self.plot.width()) * (end - begin);
            (pitch_s / longest).ceil() * longest
        });
        let first = (begin / step).ceil() as i64;
        let last = (end / step).floor() as i64;
        (first..=last).map(move |count| count as f64 * step)
    }
}

#[cfg(test)]
mod tests {
    use egui::pos2;

    use super::*;
    use crate::fixtures;

    fn scale(points: &[(f64, f64)]) -> StripScale {
        let plot = Rect::from_min_max(pos2(0.0, 0.0), pos2(600.0, 100.0));
        let strip = points
            .iter()
            .map(|(song_s, lufs)| StripPoint { latest: Some(Lufs(*lufs)), ..fixtures::point(*song_s) });
        let view = View { strip: strip.collect(), ..View::default() };
        StripScale::of(plot, &view.strip, whole_s(&view))
    }

    #[test]
    fn every_point_lies_inside_and_louder_lies_higher() {
        let scale = scale(&[(20.0, -30.0), (220.0, -12.0)]);
        assert_eq!(scale.x(0.0), 0.0);
        assert_eq!(scale.x(220.0), 600.0);
        assert!(scale.y(-12.0) < scale.y(-30.0));
        assert!(scale.y(-30.0) < 98.0, "above the bottom edge");
    }

    #[test]
    fn a_place_and_its_position_are_one() {
        let scale = scale(&[(20.0, -30.0), (220.0, -12.0)]);
        for song_s in [0.0, 33.3, 220.0] {
            assert!((scale.song_s(scale.x(song_s)) - song_s).abs() < 1e-3);
        }
        assert!(scale.shows(220.0) && !scale.shows(221.0));
    }

    #[test]
    fn named_times_leave_room_for_their_names() {
        for end in [60.0, 61.0, 219.0, 3599.0, 90_000.0] {
            let scale = scale(&[(1.0, -20.0), (end, -20.0)]);
            let times: Vec<f64> = scale.times().collect();
            assert!(times.len() >= 2, "{end} s: {times:?}");
            assert!(times.windows(2).all(|pair| scale.x(pair[1]) - scale.x(pair[0]) >= TIME_PITCH));
        }
    }

    #[test]
    fn a_song_that_lies_late_begins_where_it_lies() {
        let scale = scale(&[(1000.0, -20.0), (1200.0, -20.0)]);
        assert_eq!(scale.x(999.0), 0.0);
    }
}
