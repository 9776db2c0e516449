//! The song strip on a sheet: short-term loudness by position, and the same in mono.

use std::fmt::Write as _;

use candlemark_analysis::Lufs;
use candlemark_session::pencil::PencilMark;
use candlemark_session::strip::StripPoint;
use candlemark_session::words::{clock, number};
use maud::{Markup, html};

use super::{Sounded, places};

const WIDTH: f64 = 1000.0;
const HEIGHT: f64 = 250.0;
const LEFT: f64 = 8.0;
const RIGHT: f64 = 950.0;
const TOP: f64 = 22.0;
const BOTTOM: f64 = 222.0;
/// How much loudness the scale shows, in LU, and how far its lines lie apart.
const SHOWN_LU: f64 = 30.0;
const STEP_LU: f64 = 6.0;
/// More points than this would only make the page heavy.
const MOST_POINTS: usize = 1500;
/// Steps of the scale of times, in seconds.
const STEPS_S: [f64; 10] = [5.0, 10.0, 15.0, 30.0, 60.0, 120.0, 300.0, 600.0, 1800.0, 3600.0];
/// At most so many of them.
const MOST_STEPS: f64 = 9.0;

/// Places with an over, those next to each other together, in seconds.
pub(super) fn overs(strip: &[StripPoint]) -> Vec<[f64; 2]> {
    let mut found: Vec<[f64; 2]> = Vec::new();
    for point in strip.iter().filter(|point| point.over) {
        let from_s = point.song_s - point.cell_s;
        match found.last_mut() {
            Some([_, to_s]) if from_s - *to_s < 0.5 * point.cell_s => *to_s = point.song_s,
            _ => found.push([from_s, point.song_s]),
        }
    }
    // An over lies somewhere in its cell: the cell's beginning tells where to look.
    for [from_s, to_s] in &mut found {
        *to_s = (*to_s - 1.0).max(*from_s);
    }
    found
}

/// Where things lie.
struct Scale {
    from_s: f64,
    to_s: f64,
    highest_lufs: f64,
}

impl Scale {
    /// A song begins at its beginning, and in a count-in where that was heard.
    fn of(sounded: Sounded<'_>) -> Self {
        let strip = sounded.strip;
        let from_s = strip.iter().map(|point| point.song_s - point.cell_s).fold(0.0, f64::min);
        let heard_to_s = strip.iter().map(|point| point.song_s).fold(0.0, f64::max);
        // The last cell of a file ends with it.
        let to_s = heard_to_s.max(if from_s < 0.0 { 0.0 } else { sounded.figures.duration_s });
        let loudest = strip.iter().filter_map(|point| point.latest).map(|lufs| lufs.0).fold(-40.0, f64::max);
        Self { from_s, to_s, highest_lufs: ((loudest + 1.0) / STEP_LU).ceil() * STEP_LU }
    }

    fn x(&self, song_s: f64) -> f64 {
        let share = (song_s - self.from_s) / (self.to_s - self.from_s).max(1e-9);
        LEFT + (RIGHT - LEFT) * share.clamp(0.0, 1.0)
    }

    fn y(&self, lufs: f64) -> f64 {
        TOP + (BOTTOM - TOP) * ((self.highest_lufs - lufs) / SHOWN_LU).clamp(0.0, 1.0)
    }
}

/// Of points next to each other the loudest, so that no more are left than can be seen.
fn thinned(strip: &[StripPoint]) -> Vec<StripPoint> {
    let together = strip.len().div_ceil(MOST_POINTS).max(1);
    let loudness = |point: &StripPoint| point.latest.map_or(f64::NEG_INFINITY, |lufs| lufs.0);
    let chunks = strip.chunks(together);
    chunks
        .filter_map(|chunk| chunk.iter().max_by(|a, b| loudness(a).total_cmp(&loudness(b))))
        .copied()
        .collect()
}

/// A line through the points that have a loudness and lie at most so far apart, broken where one has none.
fn line(
    points: &[StripPoint],
    apart_s: f64,
    scale: &Scale,
    of: impl Fn(&StripPoint) -> Option<Lufs>,
) -> String {
    let mut path = String::new();
    let mut is_down = false;
    let mut last_s = f64::NEG_INFINITY;
    for point in points {
        match of(point) {
            Some(lufs) => {
                // Where a part of the song was not heard, there is no line.
                let goes_on = point.song_s - last_s < 1.5 * apart_s;
                let pen = if is_down && goes_on { 'L' } else { 'M' };
                let _ = write!(path, "{pen}{:.1} {:.1}", scale.x(point.song_s), scale.y(lufs.0));
                (is_down, last_s) = (true, point.song_s);
            }
            None => is_down = false,
        }
    }
    path
}

/// The picture in words, for who does not see it.
fn in_words(sounded: Sounded<'_>) -> String {
    let song = sounded.figures;
    let lufs = |lufs: Option<Lufs>| {
        lufs.map_or_else(|| "none".to_owned(), |lufs| format!("{} LUFS", number(lufs.0, 1)))
    };
    let overs = overs(sounded.strip).len();
    format!(
        "Short-term loudness over {}: at most {}, integrated {}. Under it the same in mono. Places over 0 dBTP: {overs}.",
        clock(song.duration_s),
        lufs(song.short_term_max),
        lufs(song.integrated)
    )
}

/// The strip.
pub(super) fn part(sounded: Sounded<'_>, file: usize) -> Markup {
    let scale = Scale::of(sounded);
    let points = thinned(sounded.strip);
    let longest_s = sounded.strip.iter().map(|point| point.cell_s).fold(0.0, f64::max);
    let apart_s = longest_s * sounded.strip.len().div_ceil(MOST_POINTS).max(1) as f64;
    let levels = (0..=(SHOWN_LU / STEP_LU) as usize).map(|step| scale.highest_lufs - STEP_LU * step as f64);
    let length_s = scale.to_s - scale.from_s;
    let step_s = STEPS_S.into_iter().find(|step| length_s / step <= MOST_STEPS).unwrap_or(7200.0);
    let times = (0..=(scale.to_s / step_s) as usize).map(|step| step_s * step as f64);
    let (title, desc) = (format!("strip-{file}-title"), format!("strip-{file}-desc"));
    html! {
        section {
            h3 { "The song " small { "short-term loudness, LUFS · thin line: the same in mono · ticks: over 0 dBTP" @if !sounded.pencil.is_empty() { " · numbers: pencil marks" } } }
            figure .picture style="margin:0" {
                svg viewBox=(format!("0 0 {WIDTH} {HEIGHT}")) role="img" aria-labelledby=(format!("{title} {desc}")) {
                    title id=(title) { "The song strip" }
                    desc id=(desc) { (in_words(sounded)) }
                    rect .plot x=(LEFT) y=(TOP) width=(RIGHT - LEFT) height=(BOTTOM - TOP) {}
                    @for lufs in levels {
                        line .grid x1=(LEFT) x2=(RIGHT) y1=(scale.y(lufs)) y2=(scale.y(lufs)) {}
                        text x=(RIGHT + 8.0) y=(scale.y(lufs) + 4.0) { (number(lufs, 0)) }
                    }
                    @for at_s in times {
                        line .grid x1=(scale.x(at_s)) x2=(scale.x(at_s)) y1=(TOP) y2=(BOTTOM) {}
                        @let anchor = if scale.x(at_s) <= LEFT { "start" } else { "middle" };
                        text x=(scale.x(at_s)) y=(BOTTOM + 17.0) text-anchor=(anchor) { (clock(at_s)) }
                    }
                    path .fold d=(line(&points, apart_s, &scale, |point| point.mono)) {}
                    path .song d=(line(&points, apart_s, &scale, |point| point.latest)) {}
                    @for point in sounded.strip.iter().filter(|point| point.over) {
                        @let x = scale.x(point.song_s - 0.5 * point.cell_s);
                        line .over x1=(x) x2=(x) y1=(TOP - 12.0) y2=(TOP) {}
                    }
                    (flags(sounded.pencil, &scale))
                }
            }
            @let overs = overs(sounded.strip);
            @if !overs.is_empty() {
                p { "Over 0 dBTP at " (overs.iter().map(|place| places(*place)).collect::<Vec<_>>().join(", ")) "." }
            }
        }
    }
}

/// The pencil marks, each with its number but where the one before is in its way.
fn flags(pencil: &[PencilMark], scale: &Scale) -> Markup {
    let mut by_place: Vec<&PencilMark> = pencil.iter().collect();
    by_place.sort_by(|a, b| a.at.song_s.total_cmp(&b.at.song_s));
    let mut free_x = f64::NEG_INFINITY;
    let placed = by_place.into_iter().map(|mark| {
        let x = scale.x(mark.at.song_s);
        let number = (x >= free_x).then(|| mark.number.to_string());
        if let Some(number) = &number {
            free_x = x + 8.0 * number.len() as f64 + 6.0;
        }
        (x, number)
    });
    html! {
        @for (x, number) in placed {
            line .pencil x1=(x) x2=(x) y1=(TOP) y2=(BOTTOM) {}
            @if let Some(number) = number { text .name x=(x + 3.0) y=(BOTTOM - 5.0) { (number) } }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn strip(overs: &[usize]) -> Vec<StripPoint> {
        let point = |n: usize| StripPoint {
            song_s: 1.0 + n as f64,
            cell_s: 1.0,
            latest: Some(Lufs(-20.0 - (n % 7) as f64)),
            mono: None,
            before: None,
            over: overs.contains(&n),
            aside: false,
        };
        (0..5000).map(point).collect()
    }

    #[test]
    fn overs_next_to_each_other_are_one_place() {
        let told: Vec<String> = overs(&strip(&[0, 61, 62, 63, 65])).into_iter().map(places).collect();
        assert_eq!(told, ["0:00", "1:01–1:03", "1:05"]);
    }

    #[test]
    fn a_long_song_keeps_its_loudest_points() {
        let thinned = thinned(&strip(&[]));
        assert!(thinned.len() <= MOST_POINTS && thinned.len() > MOST_POINTS / 2);
        assert!(thinned.iter().all(|point| point.latest.unwrap().0 >= -23.0));
        assert!(thinned.is_sorted_by_key(|point| point.song_s));
    }
}
