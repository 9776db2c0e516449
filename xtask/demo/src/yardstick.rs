//! The yardstick of the demo's records.

use std::ops::ControlFlow;
use std::path::PathBuf;

use candlemark_files::{FileError, Shelf};
use candlemark_session::yardstick::Yardstick;

/// What the yardstick is called.
const NAME: &str = "harbour band, three records";

/// Takes it from these files, and puts it on the shelf in place of an older one.
pub(crate) fn take(files: &[PathBuf], shelf: &Shelf) -> anyhow::Result<Yardstick> {
    let taken = candlemark_files::take(NAME, files, &|_, _| ControlFlow::Continue(()));
    let yardstick = taken.map_err(|mut troubles| troubles.remove(0))?;
    match shelf.drop_named(NAME) {
        Ok(_) | Err(FileError::NoYardstick { .. }) => {}
        Err(error) => return Err(error.into()),
    }
    shelf.save(&yardstick)?;
    Ok(yardstick)
}
