//! The editor's picture without a window.

use std::path::Path;

use candlemark_editor::{Choice, Controls, Look, show};
use candlemark_session::view::View;
use candlemark_tests::picture::Picture;

/// The window as it opens, in points.
const SIZE: egui::Vec2 = egui::vec2(1084.0, 680.0);

/// Draws what the meter shows as its window would, and writes it as a PNG.
pub(crate) fn draw(view: &View, choice: &Choice, is_stereo: bool, path: &Path) -> anyhow::Result<()> {
    let controls = Controls { stereo: is_stereo, ..Controls::default() };
    let picture = Picture::of(SIZE, 1.0, |ui| {
        show(ui, view, choice, &controls, Look::default());
    });
    picture.save(path)
}
