//! The yardstick of the demo's records.

use std::path::PathBuf;

use anyhow::Context as _;
use candlemark_files::{FileError, Shelf, measure};
use candlemark_session::yardstick::{Record, Yardstick};

/// What the yardstick is called.
const NAME: &str = "harbour band, three records";

/// Takes it from these files, and puts it on the shelf in place of an older one.
pub(crate) fn take(files: &[PathBuf], shelf: &Shelf) -> anyhow::Result<Yardstick> {
    let record = |path: &PathBuf| -> anyhow::Result<Record> {
        let title = path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
        let measured = measure(path, |_| ())?;
        Record::of(title, &measured.figures).with_context(|| format!("{} can't be a record", path.display()))
    };
    let records = files.iter().map(record).collect::<anyhow::Result<_>>()?;
    let yardstick = Yardstick { name: NAME.to_owned(), records };
    match shelf.drop_named(NAME) {
        Ok(_) | Err(FileError::NoYardstick { .. }) => {}
        Err(error) => return Err(error.into()),
    }
    shelf.save(&yardstick)?;
    Ok(yardstick)
}
