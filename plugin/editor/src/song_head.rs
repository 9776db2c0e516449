//! The song over its candle: what it is called, what is done with it, and behind a click the other songs of the project.

use candlemark_session::remarks::Stage;
use candlemark_session::song_page::{NAME_MOST, SongId};
use candlemark_session::view::View;
use egui::{
    Align2, Button, Id, Key, Popup, PopupCloseBehavior, Rect, Role, ScrollArea, Sense, TextEdit, Ui,
    WidgetInfo, pos2,
};

use crate::pen::{self, Kit};
use crate::{Choice, Wish};

/// What it takes of the candle's column, in points.
pub(crate) const HEIGHT: f32 = 62.0;
/// Beside the name, in points.
const BESIDE: f32 = 6.0;
const FIELD_WIDTH: f32 = 190.0;
/// The other songs take so much at most before they scroll, in points.
const SONGS_HEIGHT: f32 = 150.0;

const NO_NAME: &str = "no name yet";
const NAMELESS: &str = "a song without a name";

/// The part of the candle's column that is the song's.
pub(crate) fn place(column: Rect) -> Rect {
    let top = column.top() + 12.0;
    column.with_min_y(top).with_max_y(top + HEIGHT - 18.0).shrink2(egui::vec2(BESIDE, 0.0))
}

fn name_of(stage: Stage) -> &'static str {
    match stage {
        Stage::Mixing => "mixing",
        Stage::Printing => "printing",
    }
}

/// What a reader of screens is told.
fn said(view: &View) -> String {
    let name = view.song_name.as_deref().unwrap_or(NO_NAME);
    format!("The song: {name}, {}", name_of(view.stage))
}

/// What can be asked of it, before it is drawn.
pub(crate) fn show(ui: &Ui, kit: Kit, column: Rect, view: &View, choice: &Choice) -> Vec<Wish> {
    let mut wishes = Vec::new();
    let (name, sense) = ("the song's name and stage", Sense::click());
    let button = kit.interact(ui, place(column), name, sense, Role::Button, &said(view));
    let popup = Popup::menu(&button).close_behavior(PopupCloseBehavior::CloseOnClickOutside);
    let shown = popup.show(|ui| {
        let is_named = name_of_song(ui, kit, view, &mut wishes);
        within(ui, kit, view, choice, &mut wishes) || is_named
    });
    match shown {
        // What was written stays, however the popup is left, but for Esc.
        None => wishes.extend(take_draft(ui).and_then(|draft| renamed(view, &draft))),
        Some(shown) if shown.inner => Popup::close_all(ui.ctx()),
        Some(_) => {}
    }
    button.on_hover_text(view.song_name.as_deref().unwrap_or("Give the song a name"));
    wishes
}

pub(crate) fn draw(ui: &Ui, kit: Kit, column: Rect, view: &View) {
    let (pen, place) = (kit.pen(ui), place(column));
    let middle = |width: f32, down: f32| pos2(place.center().x - width / 2.0, place.top() + down);
    let (name, face, colour) = match &view.song_name {
        Some(name) => (name.as_str(), pen::TITLE, pen.colours.ink),
        None => (NO_NAME, pen::NOTE, pen.colours.note),
    };
    let name = pen.paragraph_of(name, face, colour, place.width(), 1);
    let stage = pen.paragraph_of(name_of(view.stage), pen::NOTE, pen.colours.note, place.width(), 1);
    pen.write(middle(pen.size(&name).x, 3.0), name);
    pen.write(middle(pen.size(&stage).x, 23.0), stage);
}

fn memory() -> Id {
    Id::unique("the song's name as it is written")
}

fn take_draft(ui: &Ui) -> Option<String> {
    ui.data_mut(|data| data.remove_temp::<String>(memory()))
}

/// A name that is one, and another than it has.
fn renamed(view: &View, draft: &str) -> Option<Wish> {
    let name = draft.trim();
    let is_new = !name.is_empty() && view.song_name.as_deref() != Some(name);
    is_new.then(|| Wish::NameSong(name.to_owned()))
}

/// The field for its name. Gives whether all is said.
fn name_of_song(ui: &mut Ui, kit: Kit, view: &View, wishes: &mut Vec<Wish>) -> bool {
    let before = view.song_name.clone().unwrap_or_default();
    let mut name = ui.data(|data| data.get_temp::<String>(memory())).unwrap_or(before);
    let field = TextEdit::singleline(&mut name).hint_text("name of the song").char_limit(NAME_MOST);
    let field = ui.add(field.align(Align2::LEFT_CENTER).desired_width(FIELD_WIDTH * kit.grow));
    field.widget_info(|| WidgetInfo::labeled(Role::TextInput, true, "Name of the song"));
    if ui.input(|input| input.key_pressed(Key::Escape)) {
        take_draft(ui);
    } else if field.lost_focus() {
        take_draft(ui);
        wishes.extend(renamed(view, &name));
    } else if field.changed() {
        ui.data_mut(|data| data.insert_temp(memory(), name));
    }
    field.lost_focus() && ui.input(|input| input.key_pressed(Key::Enter))
}

/// The stage, the other songs and a new one. Gives whether all is said.
fn within(ui: &mut Ui, kit: Kit, view: &View, choice: &Choice, wishes: &mut Vec<Wish>) -> bool {
    let before = wishes.len();
    ui.horizontal(|ui| {
        for (stage, hint) in [
            (Stage::Mixing, "It is worked on"),
            (Stage::Printing, "It is about to leave the room: what only matters then is said too"),
        ] {
            let is = ui.selectable_label(view.stage == stage, name_of(stage)).on_hover_text(hint);
            if is.clicked() && view.stage != stage {
                wishes.push(Wish::Do(stage));
            }
        }
    });
    if view.stage == Stage::Printing {
        let button = ui.add_enabled(view.song.duration_s > 0.0, Button::new("Print sheet…"));
        let button = button
            .on_hover_text("One page about the song as it stands, with your marks, to keep or to print");
        if button.on_disabled_hover_text("Nothing of the song was heard yet").clicked() {
            wishes.push(Wish::PrintSheet);
        }
    }
    let is_other = |(id, _): &&(SongId, String)| Some(id) != choice.song.as_ref();
    let others: Vec<_> = choice.songs.iter().filter(is_other).collect();
    if !others.is_empty() {
        ui.separator();
        ui.weak("Other songs of this project");
        ScrollArea::vertical().max_height(SONGS_HEIGHT * kit.grow).show(ui, |ui| {
            for (id, name) in others {
                let name = if name.is_empty() { NAMELESS } else { name };
                if ui.selectable_label(false, name).clicked() {
                    wishes.push(Wish::OpenSong(id.clone()));
                }
            }
        });
    }
    ui.separator();
    if ui.button("New song").clicked() {
        wishes.push(Wish::NewSong);
    }
    ui.weak("with a fresh candle, and nothing heard");
    wishes.len() > before
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_that_is_none_or_the_same_renames_nothing() {
        let view = View { song_name: Some("Low Water".into()), ..View::default() };
        assert_eq!(renamed(&view, "  "), None);
        assert_eq!(renamed(&view, " Low Water "), None);
        assert_eq!(renamed(&view, "Harbour"), Some(Wish::NameSong("Harbour".into())));
        assert_eq!(said(&view), "The song: Low Water, mixing");
        assert_eq!(said(&View::default()), "The song: no name yet, mixing");
    }
}
