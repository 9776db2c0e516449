//! The song strip: short-term loudness by song position.

use candlemark_session::strip::StripPoint;
use candlemark_session::view::View;
use candlemark_session::words::{clock, number};
use egui::{Align, Rect, Role, Sense, Ui, pos2, vec2};

use crate::legend::{self, Meaning};
use crate::palette::Colours;
use crate::pen::{self, Kit, Pen};
use crate::pointing::Lit;
use crate::rooms::SCALE_WIDTH;
use crate::strip_lines::{draw_line, hatch, is_heard, mono, shown, stretches};
use crate::strip_scale::{StripScale, whole_s};
use crate::{coverage, spoken_place, strip_marks, strip_zoom};

const TICK: f32 = 9.0;
/// Between two names on the scale of times.
const BETWEEN_NAMES: f32 = 8.0;
/// The line along the bottom where the song was heard.
const HEARD: f32 = 2.0;

/// Draws the strip, and gives the song position under the pointer, in seconds.
pub(crate) fn draw(ui: &mut Ui, room: Rect, view: &View, kit: Kit, lit: Lit) -> Option<f64> {
    let plot = Rect::from_min_max(room.min + vec2(0.0, 25.0), room.max - vec2(SCALE_WIDTH, 20.0));
    let colours = kit.colours;
    let sense = Sense::click_and_drag();
    let response = kit.interact(ui, plot, "the song strip", sense, Role::Image, &name(view));
    let whole = whole_s(view);
    let part = strip_zoom::chosen(ui, whole);
    let shown_s = part.unwrap_or(whole);
    let shown = shown(&view.strip, shown_s);
    let scale = StripScale::of(plot, shown, shown_s);
    let drag = strip_zoom::choose(ui, &response, whole, &scale, kit);
    let pointed = response.hover_pos().map(|at| kit.designed(at).x).map(|x| (x, scale.song_s(x)));

    let said = pointed.map(|(x, song_s)| match strip_marks::pointed(&scale, &view.pencil, x) {
        Some(mark) => strip_marks::said(mark),
        None => spoken_place::place(shown, song_s),
    });
    let pen = kit.pen(ui);
    header(&pen, room, (view, shown), part, said.as_deref());
    pen.fill(plot, colours.raised);
    draw_scale(&pen, &scale);
    if view.strip.is_empty() {
        pen.text_within(plot, "nothing of the song heard yet", pen::SENTENCE, colours.note);
    }
    let inside = pen.clip(plot);
    draw_song(&inside, &scale, shown);
    strip_marks::draw(ui, kit, &scale, &view.pencil, lit.mark);
    draw_playhead(&pen, &scale, view);
    if let Some(x) = lit.at_s.filter(|at_s| scale.shows(*at_s)).map(|at_s| scale.x(at_s)) {
        inside.dashed_down(x, plot.y_range(), 2.0, colours.ink);
    }
    if let Some((x, _)) = pointed {
        inside.down(x, plot.y_range(), 1.0, colours.note);
    }
    if let Some(drag) = drag {
        let place = Rect::from_x_y_ranges(drag, plot.y_range());
        inside.frame(place, 1.5, colours.ink);
    }
    pointed.map(|(_, song_s)| song_s)
}

/// What a reader of screens is told of the picture.
fn name(view: &View) -> String {
    let heard = coverage::heard(view).map_or("nothing heard yet".into(), |[long, _]| long);
    format!("The song: {heard}")
}

fn draw_song(pen: &Pen, scale: &StripScale, shown: &[StripPoint]) {
    let Colours { wire, accent, ink, .. } = *pen.colours;
    let plot = scale.plot;
    for [from, to] in stretches(shown, |point| point.aside) {
        hatch(pen, Rect::from_x_y_ranges(scale.x(from)..=scale.x(to), plot.y_range()));
    }
    for [from, to] in stretches(shown, is_heard) {
        let y = plot.bottom() - HEARD / 2.0;
        pen.across(scale.x(from)..=scale.x(to), y, HEARD, wire);
    }
    draw_line(pen, scale, shown, |point| point.before, 1.2, wire);
    draw_line(pen, scale, shown, mono, 1.5, accent);
    draw_line(pen, scale, shown, |point| point.latest, 2.6, ink);
    for point in shown.iter().filter(|point| point.over) {
        let x = scale.x(point.song_s - point.cell_s / 2.0);
        pen.down(x, plot.top()..=plot.top() + TICK, 2.0, accent);
    }
}

fn draw_playhead(pen: &Pen, scale: &StripScale, view: &View) {
    let (plot, ink) = (scale.plot, pen.colours.ink);
    if let Some(playhead_s) = view.playhead_s.filter(|playhead_s| scale.shows(*playhead_s)) {
        let x = scale.x(playhead_s);
        pen.down(x, plot.top() - 2.0..=plot.bottom() + 4.0, 1.6, ink);
        let top = plot.top() - 1.0;
        pen.polygon(vec![pos2(x - 4.5, top - 7.0), pos2(x + 4.5, top - 7.0), pos2(x, top)], ink);
    }
}

fn header(
    pen: &Pen,
    room: Rect,
    (view, shown): (&View, &[StripPoint]),
    part: strip_zoom::Part,
    said: Option<&[String]>,
) {
    let colours = pen.colours;
    let baseline = room.top() + 12.0;
    let title = pen.text(pos2(room.left(), baseline), Align::Min, "The song", pen::TITLE, colours.ink);
    let mut left = title.right() + 8.0;
    let mut right = room.right() - SCALE_WIDTH;
    if view.aside {
        let words = "aside now: not counted";
        let place = pen.text(pos2(right, baseline), Align::Max, words, pen::NOTE, colours.ink);
        let swatch = Rect::from_min_size(pos2(place.left() - 26.0, baseline - 10.0), vec2(20.0, 11.0));
        hatch(pen, swatch);
        right = swatch.left() - 10.0;
    }
    let write = |said: &[String], left: f32| {
        let at = pos2(left, baseline);
        pen.text_that_fits(at, Align::Min, said, pen::NOTE, right - left, colours.ink)
    };
    if let Some(said) = said {
        write(said, left);
        return;
    }
    if let Some([from, to]) = part {
        let shown = format!("{}–{}", clock(from), clock(to));
        let said = [format!("{shown} (double click or Home: all)"), shown];
        left = write(&said, left).map_or(left, |place| place.right() + 12.0);
    }
    let words = legend::line(pen, &meanings(view, shown), right - left);
    pen.text(pos2(left, baseline), Align::Min, &words, pen::NOTE, colours.note);
}

/// What the lines and marks mean, those that matter most first.
fn meanings(view: &View, shown: &[StripPoint]) -> Vec<Meaning> {
    let any = |what: fn(&StripPoint) -> bool| shown.iter().any(what);
    let mut meanings: Vec<Meaning> = Vec::new();
    if view.strip_by_time {
        meanings.push(("no position from the host: the last ten minutes", "last ten minutes"));
    }
    meanings.push(("short-term loudness, latest pass", "heavy: latest"));
    meanings.push(("thin: the same in mono", "thin: mono"));
    if any(|point| point.before.is_some()) {
        meanings.push(("pale: the pass before", "pale: before"));
    }
    if any(|point| point.over) {
        meanings.push(("ticks: overs", "ticks: overs"));
    }
    // What is aside now says so itself, with its hatching.
    if any(|point| point.aside) && !view.aside {
        meanings.push(("hatched: aside, not counted", "hatched: aside"));
    }
    if stretches(shown, is_heard).len() > 1 {
        meanings.push(("gap: not heard", "gap: not heard"));
    }
    if !view.pencil.is_empty() {
        meanings.push(("flag: pencil mark", "flag: pencil"));
    }
    meanings
}

fn draw_scale(pen: &Pen, scale: &StripScale) {
    let Colours { grid, note, .. } = *pen.colours;
    let plot = scale.plot;
    for lufs in scale.levels() {
        let y = scale.y(lufs);
        pen.across(plot.x_range(), y, 0.8, grid);
        let name = number(lufs, 0);
        pen.text(pos2(plot.right() + 6.0, y + 4.0), Align::Min, &name, pen::NOTE, note);
    }
    let mut taken = f32::NEG_INFINITY;
    for song_s in scale.times() {
        let x = scale.x(song_s);
        pen.down(x, plot.y_range(), 1.0, grid);
        let name = clock(song_s);
        let half = pen.width(&name, pen::NOTE) / 2.0;
        let x = x.clamp(plot.left() + half, plot.right() - half);
        if x - half > taken {
            let at = pos2(x, plot.bottom() + 17.0);
            taken = pen.text(at, Align::Center, &name, pen::NOTE, note).right() + BETWEEN_NAMES;
        }
    }
}
