//! The picker under a pointer.

use candlemark_editor::{Choice, Wish, show};
use candlemark_session::view::View;
use egui::epaint::ClippedShape;
use egui::{Context, Event, Modifiers, PointerButton, Pos2, RawInput, Rect, Shape};

use crate::{DESIGNED, views};

/// A window that stays open from one click to the next.
struct Open {
    ctx: Context,
    frame: u32,
    choice: Choice,
    view: View,
}

impl Open {
    fn frame(&mut self, events: Vec<Event>) -> (Vec<ClippedShape>, Option<Wish>) {
        self.frame += 1;
        let input = RawInput {
            screen_rect: Some(Rect::from_min_size(Pos2::ZERO, DESIGNED)),
            time: Some(f64::from(self.frame) * 0.1),
            events,
            ..RawInput::default()
        };
        let mut wish = None;
        let mut output = self.ctx.run_ui(input, |ui| {
            if let Some(wished) = show(ui, &self.view, &self.choice) {
                wish = Some(wished);
            }
        });
        output.textures_delta.clear();
        (output.shapes, wish)
    }

    /// Clicks where the last text of these words is written, and gives what was wished.
    fn click(&mut self, words: &str) -> Option<Wish> {
        let (shapes, _) = self.frame(Vec::new());
        let place = shapes.iter().rev().find_map(|clipped| match &clipped.shape {
            Shape::Text(text) if text.galley.text() == words => Some(text.visual_bounding_rect()),
            _ => None,
        });
        let pos = place.unwrap_or_else(|| panic!("“{words}” is not written anywhere")).center();
        let button = |pressed| Event::PointerButton {
            pos,
            button: PointerButton::Primary,
            pressed,
            modifiers: Modifiers::NONE,
        };
        let mut wish = None;
        for events in [vec![Event::PointerMoved(pos)], vec![button(true)], vec![button(false)], Vec::new()] {
            wish = self.frame(events).1.or(wish);
        }
        wish
    }
}

fn open() -> Open {
    let mut open = Open { ctx: Context::default(), frame: 0, choice: views::shelf(), view: views::working() };
    open.frame(Vec::new());
    open
}

#[test]
fn another_yardstick_can_be_picked() {
    let mut open = open();
    assert_eq!(open.click("folk, three records"), None, "it only opens the list");
    assert_eq!(open.click("a louder evening"), Some(Wish::Use("a louder evening".into())));
}

#[test]
fn the_yardstick_can_be_put_away() {
    let mut open = open();
    assert_eq!(open.click("folk, three records"), None, "it only opens the list");
    assert_eq!(open.click("no yardstick"), Some(Wish::UseNone));
}
