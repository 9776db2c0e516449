//! Finds places for figures beside their marks, so that none covers another.

use egui::{Pos2, Rect, pos2, vec2};

/// Marks are round, and letters leave air around them: the corners of their places may touch, in points.
const TOUCH: f32 = 2.0;

/// The places that are taken inside a plot.
pub(crate) struct ClearPlace {
    plot: Rect,
    marks: Vec<Rect>,
    /// Lines between a mark and its ring: a figure may stand on that of its own mark alone.
    stems: Vec<Rect>,
    texts: Vec<Rect>,
}

impl ClearPlace {
    pub(crate) fn in_plot(plot: Rect) -> Self {
        Self { plot, marks: Vec::new(), stems: Vec::new(), texts: Vec::new() }
    }

    /// Takes a place for a mark. A figure covers it only where there is no other place.
    pub(crate) fn take(&mut self, mark: Rect) {
        self.marks.push(mark.shrink(TOUCH));
    }

    /// Takes a line down. A figure of another mark covers it only where there is no other place.
    pub(crate) fn take_stem(&mut self, stem: Rect) {
        self.stems.push(stem);
    }

    fn lies_on_another_stem(&self, mark: Pos2, place: &Rect) -> bool {
        self.stems.iter().any(|stem| !stem.x_range().contains(mark.x) && crosses(stem, place))
    }

    /// Takes a place beside a mark that is clear of every mark and figure; `None` when there is none.
    pub(crate) fn nearby(&mut self, mark: Pos2, radius: f32, width: f32, height: f32) -> Option<Rect> {
        let place = self.near(mark, radius, width, height).into_iter().find(|place| {
            let is_taken = self.texts.iter().chain(&self.marks).any(|other| crosses(other, place));
            self.plot.contains_rect(*place) && !is_taken && !self.lies_on_another_stem(mark, place)
        })?;
        self.texts.push(place);
        Some(place)
    }

    /// Under a mark, on its left, on its right, and over it.
    fn near(&self, mark: Pos2, radius: f32, width: f32, height: f32) -> [Rect; 4] {
        let first = radius + height / 2.0 + 1.0;
        let aside = radius + width / 2.0 + 1.0;
        let at = |right: f32, down: f32| {
            let centre = pos2(self.within(mark.x + right, width), mark.y + down);
            Rect::from_center_size(centre, vec2(width, height))
        };
        [at(0.0, first), at(-aside, 0.0), at(aside, 0.0), at(0.0, -first)]
    }

    fn within(&self, x: f32, width: f32) -> f32 {
        x.clamp(self.plot.left() + width / 2.0, self.plot.right() - width / 2.0)
    }

    /// Takes the place nearest to a mark that is clear of every figure; `None` when the plot is full there.
    pub(crate) fn beside(&mut self, mark: Pos2, radius: f32, width: f32, height: f32) -> Option<Rect> {
        let first = radius + height / 2.0 + 1.0;
        let steps = 1..(self.plot.height() / height) as usize;
        let x = self.within(mark.x, width);
        let far = steps.flat_map(|step| {
            let away = first + step as f32 * height;
            [away, -away].map(|down| Rect::from_center_size(pos2(x, mark.y + down), vec2(width, height)))
        });
        let candidates: Vec<Rect> = self
            .near(mark, radius, width, height)
            .into_iter()
            .chain(far)
            .filter(|place| self.plot.contains_rect(*place))
            .filter(|place| !self.texts.iter().any(|text| crosses(text, place)))
            .collect();
        let covers_a_mark = |place: &Rect| self.marks.iter().any(|mark| crosses(mark, place));
        let clear = |place: &&Rect| !covers_a_mark(place) && !self.lies_on_another_stem(mark, place);
        let free = candidates.iter().find(clear);
        let free = free.or_else(|| candidates.iter().find(|place| !covers_a_mark(place)));
        let place = free.or(candidates.first()).copied()?;
        self.texts.push(place);
        Some(place)
    }
}

/// Whether two places share an area; a common edge is none.
fn crosses(one: &Rect, other: &Rect) -> bool {
    one.intersect(*other).is_positive()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn clear() -> ClearPlace {
        ClearPlace::in_plot(Rect::from_min_max(Pos2::ZERO, pos2(100.0, 100.0)))
    }

    #[test]
    fn figures_of_neighbours_do_not_cover_each_other() {
        let mut clear = clear();
        let places: Vec<Rect> = (0..5)
            .map(|i| clear.beside(pos2(40.0 + i as f32 * 4.0, 50.0), 5.0, 20.0, 12.0).unwrap())
            .collect();
        for (i, one) in places.iter().enumerate() {
            assert!(places[..i].iter().all(|other| !crosses(one, other)), "{places:?}");
        }
    }

    #[test]
    fn a_figure_with_no_room_beside_its_mark_is_left_out() {
        let mut crowded = clear();
        assert!(crowded.nearby(pos2(50.0, 50.0), 5.0, 20.0, 12.0).is_some());
        crowded.take(Rect::EVERYTHING);
        assert_eq!(crowded.nearby(pos2(50.0, 20.0), 5.0, 20.0, 12.0), None);
    }

    #[test]
    fn a_figure_stands_on_no_other_marks_line() {
        let at = |x: f32| Rect::from_x_y_ranges(x - 1.0..=x + 1.0, 0.0..=100.0);
        let mut lines = clear();
        for x in [30.0, 50.0, 70.0] {
            lines.take_stem(at(x));
        }
        let under = lines.nearby(pos2(50.0, 50.0), 5.0, 30.0, 12.0).expect("there is room on its own line");
        assert_eq!(under.center().x, 50.0);
        assert_eq!(lines.nearby(pos2(50.0, 50.0), 5.0, 50.0, 12.0), None, "so wide it lies on two more");
    }

    #[test]
    fn a_figure_stays_in_the_plot() {
        let place = clear().beside(pos2(0.0, 100.0), 5.0, 20.0, 12.0).unwrap();
        assert_eq!(place.min.x, 0.0);
        assert!(place.max.y <= 95.0, "above a mark at the lower edge: {place:?}");
    }

    #[test]
    fn a_mark_is_covered_only_where_there_is_no_other_place() {
        let below = Rect::from_min_max(pos2(30.0, 53.0), pos2(70.0, 70.0));
        let mut some = clear();
        some.take(below);
        let place = some.beside(pos2(50.0, 50.0), 5.0, 20.0, 12.0).unwrap();
        assert!(!crosses(&place, &below.shrink(TOUCH)), "{place:?}");
        let mut full = clear();
        full.take(Rect::EVERYTHING);
        assert!(full.beside(pos2(50.0, 50.0), 5.0, 20.0, 12.0).is_some());
    }
}
