//! How the editor looks, kept inside the host's project: its size, zoom and palette, and what has been seen.

use std::sync::Mutex;

use candlemark_editor::{Look, Palette};
use candlemark_handoff::{Oddity, TapeReader};
use nice_plug::editor::dpi::LogicalSize;
use nice_plug::params::persist::PersistentField;
use serde::{Deserialize, Serialize};

use crate::lock::lock;
use crate::saved_once::Saved;

/// The window as designed, in points.
const DESIGNED: LogicalSize<f32> = LogicalSize { width: 1084.0, height: 680.0 };
/// The smallest window, in points.
pub(crate) const SMALLEST: LogicalSize<f32> = LogicalSize { width: 640.0, height: 400.0 };
/// The largest: twice a 4K screen (ours), so that a damaged project opens no window that fits nowhere.
const LARGEST: LogicalSize<f32> = LogicalSize { width: 7680.0, height: 4320.0 };

/// A look as a project keeps it. What an older one does not have is as it is to begin with.
#[derive(Serialize, Deserialize)]
#[serde(default)]
#[expect(clippy::struct_excessive_bools, reason = "each is a setting of its own, and any goes with any")]
pub(crate) struct SavedShape {
    palette: String,
    zoom_percent: u16,
    far: bool,
    floor_percent: u16,
    rings_always: bool,
    as_heard: bool,
    hint_seen: bool,
    width_points: f32,
    height_points: f32,
}

impl Default for SavedShape {
    fn default() -> Self {
        Self::of(&Shape::default())
    }
}

/// How the editor looks, and its size.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Shape {
    pub(crate) look: Look,
    /// The window's size in points of its own zoom.
    pub(crate) size: LogicalSize<f32>,
}

impl Default for Shape {
    fn default() -> Self {
        Self { look: Look::default(), size: DESIGNED }
    }
}

impl Shape {
    /// The window's size in points as they are without zoom.
    pub(crate) fn zoomed(&self) -> LogicalSize<f32> {
        zoomed(self.size, self.look)
    }

    /// The smallest size, likewise.
    pub(crate) fn smallest(&self) -> LogicalSize<f32> {
        zoomed(SMALLEST, self.look)
    }
}

fn zoomed(size: LogicalSize<f32>, look: Look) -> LogicalSize<f32> {
    let zoom = look.zoom_factor();
    LogicalSize { width: size.width * zoom, height: size.height * zoom }
}

fn within(size: LogicalSize<f32>) -> LogicalSize<f32> {
    LogicalSize {
        width: size.width.clamp(SMALLEST.width, LARGEST.width),
        height: size.height.clamp(SMALLEST.height, LARGEST.height),
    }
}

impl SavedShape {
    fn of(shape: &Shape) -> Self {
        let Shape { look, size } = *shape;
        Self {
            palette: look.palette.name().to_owned(),
            zoom_percent: look.zoom_percent,
            far: look.far,
            floor_percent: look.floor_percent,
            rings_always: look.rings_always,
            as_heard: look.as_heard,
            hint_seen: look.hint_seen,
            width_points: size.width,
            height_points: size.height,
        }
    }

    /// The look, with what this version does not offer brought to what is nearest.
    fn shape(&self) -> Shape {
        let named = |palette: &Palette| palette.name() == self.palette;
        let look = Look {
            palette: Palette::ALL.into_iter().find(named).unwrap_or_default(),
            zoom_percent: self.zoom_percent,
            far: self.far,
            floor_percent: self.floor_percent,
            rings_always: self.rings_always,
            as_heard: self.as_heard,
            hint_seen: self.hint_seen,
        };
        let size = LogicalSize { width: self.width_points, height: self.height_points };
        Shape { look: look.offered(), size: within(size) }
    }
}

/// How the editor looks. Locked by the host's main thread and the editor's, never by the audio thread.
pub(crate) struct SavedLook {
    shape: Mutex<Shape>,
    tape: TapeReader,
}

impl SavedLook {
    pub(crate) fn new(tape: TapeReader) -> Self {
        Self { shape: Mutex::default(), tape }
    }

    pub(crate) fn get(&self) -> Shape {
        *lock(&self.shape)
    }

    pub(crate) fn set_look(&self, look: Look) {
        lock(&self.shape).look = look;
    }

    /// Keeps the window's size in points of its own zoom.
    pub(crate) fn set_size(&self, size: LogicalSize<f32>) {
        lock(&self.shape).size = within(size);
    }

    /// What stands in for it in a project from before there was one, as the framework writes it.
    pub(crate) fn default_field() -> String {
        serde_json::to_string(&SavedShape::default()).unwrap_or_default()
    }
}

impl PersistentField<'_, Saved<SavedShape>> for SavedLook {
    fn set(&self, saved: Saved<SavedShape>) {
        match saved {
            Saved::Kept(kept) => *lock(&self.shape) = kept.shape(),
            // The one before stays, rather than that a damaged project takes it away.
            Saved::Spoilt(_) => self.tape.oddities().count(Oddity::SpoiltState),
        }
    }

    fn map<F, R>(&self, f: F) -> R
    where
        F: Fn(&Saved<SavedShape>) -> R,
    {
        f(&Saved::Kept(SavedShape::of(&self.get())))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(saved: &str) -> Shape {
        match serde_json::from_str::<Saved<SavedShape>>(saved).unwrap() {
            Saved::Kept(kept) => kept.shape(),
            Saved::Spoilt(_) => panic!("{saved} is no look"),
        }
    }

    #[test]
    fn what_is_kept_is_read_back() {
        let look = Look { rings_always: true, far: true, ..Look::default() };
        let shape = Shape { look, ..Shape::default() };
        assert_eq!(read(&serde_json::to_string(&SavedShape::of(&shape)).unwrap()), shape);
    }

    /// As a project of the third form has it from before rings were asked for.
    #[test]
    fn a_project_from_before_there_was_a_choice_opens_as_to_begin_with() {
        let before = r#"{"palette":"paper","zoom_percent":125,"far":false,"floor_percent":20,"hint_seen":true,
            "width_points":1200.0,"height_points":800.0}"#;
        let look = read(before).look;
        assert_eq!((look.palette, look.zoom_percent, look.rings_always), (Palette::Paper, 125, false));
    }
}
