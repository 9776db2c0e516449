//! Asking for files: on a thread of its own, for a dialog stays open for as long as a person likes.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread;

use candlemark_clerk::{Order, Seat};
use rfd::FileDialog;

/// What sound files are called; whatever else is chosen is looked into all the same.
const ENDINGS: [&str; 11] = ["wav", "wave", "aif", "aiff", "aifc", "flac", "mp3", "ogg", "oga", "m4a", "aac"];

/// Asks for files, one dialog at a time for an instance.
#[derive(Clone, Default)]
pub(crate) struct Asking {
    is_open: Arc<AtomicBool>,
}

/// A dialog that is open, until this goes, however the thread ends.
struct Open(Arc<AtomicBool>);

impl Drop for Open {
    fn drop(&mut self) {
        self.0.store(false, Ordering::Release);
    }
}

impl Asking {
    /// Asks for the records of which a yardstick of this name is to be taken, and orders it where some are chosen. Does
    /// nothing while a dialog is open.
    pub(crate) fn for_records(&self, seat: &Arc<Seat>, name: String) {
        self.ask(seat, move || {
            let dialog = FileDialog::new().set_title(format!("Records for “{name}”"));
            let files = dialog.add_filter("Sound", &ENDINGS).pick_files()?;
            (!files.is_empty()).then_some(Order::Take(name, files))
        });
    }

    /// Asks for the file to which the print sheet of a song of this name is to be written, and orders it. Does nothing while
    /// a dialog is open.
    pub(crate) fn for_sheet(&self, seat: &Arc<Seat>, song: Option<&str>) {
        let name = candlemark_files::sheet::file_name(song);
        self.ask(seat, move || {
            let dialog = FileDialog::new().set_title("Print sheet").set_file_name(name);
            dialog.add_filter("Page", &["html"]).save_file().map(Order::PrintSheet)
        });
    }

    /// Opens a dialog on a thread of its own, and orders what comes of it.
    fn ask(&self, seat: &Arc<Seat>, dialog: impl FnOnce() -> Option<Order> + Send + 'static) {
        if self.is_open.swap(true, Ordering::AcqRel) {
            return;
        }
        let (open, seat) = (Open(Arc::clone(&self.is_open)), Arc::downgrade(seat));
        // Without a thread there is no dialog, and what it would have held goes at once.
        let _ = thread::Builder::new().name("candlemark files".into()).spawn(move || {
            let _open = open;
            let order = dialog();
            // The instance may have gone meanwhile.
            if let Some((seat, order)) = seat.upgrade().zip(order) {
                _ = seat.order(order);
            }
        });
    }
}
